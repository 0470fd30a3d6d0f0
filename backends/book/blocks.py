"""What a book is made of: chapters of headings, paragraphs, tables and pictures, for every format alike."""

from typing import NamedTuple, TypeAlias

from ringwright.backends.drawing import Item


class Picture(NamedTuple):
    """A small drawing, mm as printed, origin at its lower left corner. name: what it shows, in words."""

    name: str
    width: float
    height: float
    items: tuple[Item, ...]


class Box(NamedTuple):
    """A box to tick. of: what is ticked by it, unlike any other."""

    of: str


class Name(NamedTuple):
    """What a part is called; on a screen it can be picked by it."""

    part: str
    text: str


class Lines(NamedTuple):
    """Texts one under the other."""

    rows: tuple[str, ...]


class Blank(NamedTuple):
    """A field to write a number into. of: what it is, unlike any other; unit: behind it."""

    of: str
    unit: str


Cell: TypeAlias = str | Lines | Name | Picture | Box | Blank


class Heading(NamedTuple):
    """A heading within a chapter."""

    text: str


class Words(NamedTuple):
    """A paragraph. head: what stands in the margin before it, such as a word or a dash."""

    text: str
    head: str = ""


class Table(NamedTuple):
    """Rows of cells. heads: over its columns, () for none. widths: shares of the page's width. right: columns of
    figures. ruled: a line under each row, and more room.
    """

    heads: tuple[str, ...]
    widths: tuple[float, ...]
    rows: tuple[tuple[Cell, ...], ...]
    right: tuple[int, ...] = ()
    ruled: bool = True


class Job(NamedTuple):
    """A step of building. number: from 1. lines: what is done, in turn. heads: a word and what it is about, such as glue
    and check. about: ids of parts that are new in it.
    """

    number: int
    title: str
    lines: tuple[str, ...]
    heads: tuple[tuple[str, str], ...]
    about: tuple[str, ...]
    picture: Picture | None


Block: TypeAlias = Heading | Words | Table | Job | Picture


class Chapter(NamedTuple):
    """A chapter. id: for links. fresh: it begins a new page."""

    id: str
    title: str
    blocks: tuple[Block, ...]
    fresh: bool = False


class Book(NamedTuple):
    """The whole. title, revision: of the model. subtitle: a line of what it is. chapters: the first is the cover's."""

    title: str
    revision: str
    date: str
    chapters: tuple[Chapter, ...]
