"""The blocks of a book as rows: strips of a page that are not broken, y from 0 at their top downwards. mm."""

from collections.abc import Iterable, Iterator, Sequence
from typing import NamedTuple

from ringwright.backends.book.blocks import (
    Blank,
    Block,
    Book,
    Box,
    Cell,
    Chapter,
    Heading,
    Job,
    Lines,
    Name,
    Picture,
    Table,
    Words,
)
from ringwright.backends.drawing import NARROW, WIDE, Bookmark, Item, Stroke, lettering, moved_item, rectangle
from ringwright.backends.lettering import broken
from ringwright.geometry.path import line

BODY, TITLE, NAME = 2.5, 3.5, 5.0
"""Heights of text, of headings and of chapters (ISO 3098-1), mm."""
PITCH = 4.8
"""From one row of text to the next, mm."""
HEAD = 22.0
"""Width of the margin within a page in which the heads of paragraphs stand, mm."""
GAP = 2.0
TICK = 3.5


class Row(NamedTuple):
    """A strip of a page that is not broken: what is in it, y from 0 at its top downwards, mm.

    keep: it stays with the row below it. above: what is repeated over it where it begins a page. mark: a bookmark that
    leads to it.
    """

    height: float
    items: tuple[Item, ...]
    keep: bool = False
    above: "Row | None" = None
    mark: Bookmark | None = None


def chapter_rows(book: Book, chapter: Chapter, cover: bool, room: float) -> Iterator[Row]:
    """A chapter within `room` mm of width; the cover is called by the book."""
    if not (cover or chapter.fresh):
        yield Row(5 * GAP, (), keep=True)
    title = book.title if cover else chapter.title
    first, *more = _lines(title, NAME, room, keep=True)
    yield first._replace(mark=Bookmark(title, 0, 0.0))
    yield from more
    if cover:
        words = [book.revision and f"Revision {book.revision}", book.date]
        yield from _lines(" · ".join(word for word in words if word) or "Build book", TITLE, room)
    yield Row(GAP, (), keep=True)
    for block in chapter.blocks:
        yield from _block(block, room)


def _block(block: Block, room: float) -> Iterator[Row]:
    match block:
        case Heading():
            yield from _heading(block, room)
        case Words():
            yield from _words(block, room)
        case Table():
            yield from _table(block, room)
        case Job():
            yield from _job(block, room)
        case Picture():
            yield from _picture(block, room)


def _lines(text: str, height: float, room: float, keep: bool = False) -> Iterator[Row]:
    pitch = PITCH * height / BODY
    for row in broken(text, height, room):
        yield Row(pitch, (lettering("text", (0.0, -pitch + height / 2), row, height),), keep)


def _heading(block: Heading, room: float) -> Iterator[Row]:
    yield Row(3 * GAP, (), keep=True)
    first, *more = _lines(block.text, TITLE, room, keep=True)
    yield first._replace(mark=Bookmark(block.text, 1, 0.0))
    yield from more
    yield Row(GAP / 2, (), keep=True)


def _words(block: Words, room: float) -> Iterator[Row]:
    items = list(_text(block.head, (0.0, 0.0), HEAD - GAP)) if block.head else []
    indent = HEAD if block.head else 0.0
    items += _text(block.text, (indent, 0.0), room - indent)
    yield Row(_depth(items) + GAP, tuple(items))


def _picture(block: Picture, room: float) -> Iterator[Row]:
    by = ((room - block.width) / 2, -block.height)
    yield Row(block.height + GAP, tuple(moved_item(item, by) for item in block.items))


def _table(block: Table, room: float) -> Iterator[Row]:
    gap = GAP if block.ruled else 0.4
    widths = [share * room for share in block.widths]
    starts = [sum(widths[:i]) for i in range(len(widths))]

    def laid(cells: Sequence[Cell]) -> tuple[list[Item], float]:
        items: list[Item] = []
        deep = 0.0
        for i, (cell, start, width) in enumerate(zip(cells, starts, widths, strict=True)):
            own = _cell(cell, width - GAP, i in block.right)
            items += [moved_item(item, (start, -gap / 2)) for item in own]
            deep = max(deep, cell.height if isinstance(cell, Picture) else _depth(own))
        return items, deep + gap

    def ruled(cells: Sequence[Cell], width: float) -> Row:
        items, deep = laid(cells)
        if block.ruled:
            items.append(Stroke("info", line([(0.0, -deep), (room, -deep)]), width))
        return Row(deep, tuple(items))

    head = ruled(block.heads, WIDE) if block.heads else None
    for i, cells in enumerate(block.rows):
        if i == 0 and head is not None:
            yield head._replace(keep=True)
        yield ruled(cells, NARROW)._replace(above=head)


def _cell(cell: Cell, room: float, right: bool) -> list[Item]:
    if isinstance(cell, Picture):
        return [moved_item(item, (0.0, -cell.height)) for item in cell.items]
    if isinstance(cell, Box):
        return _tick((0.0, 0.0))
    if isinstance(cell, Blank):
        return [Stroke("info", line([(0.0, -PITCH), (room, -PITCH)]), NARROW)]
    if isinstance(cell, Lines):
        items: list[Item] = []
        for row in cell.rows:
            items += _text(row, (0.0, -_depth(items)), room, right)
        return items
    return list(_text(cell.text if isinstance(cell, Name) else cell, (0.0, 0.0), room, right))


def _job(block: Job, room: float) -> Iterator[Row]:
    picture = block.picture
    beside = room - (picture.width + 2 * GAP if picture is not None else 0.0)
    indent = 2 * TICK
    items: list[Item] = _tick((0.0, -1.0))
    title = list(_text(f"{block.number}  {block.title}", (indent, -0.2), beside - indent, height=TITLE))
    items += title
    y = _depth(title) + GAP / 2
    for words in block.lines:
        items += _text("–", (indent, -y), beside)
        row = list(_text(words, (indent + 3.5, -y), beside - indent - 3.5))
        items += row
        y = max(y, _depth(row))
    for head, words in block.heads:
        items += _text(head, (indent, -y), HEAD - 2 * TICK)
        row = list(_text(words, (indent + 14.0, -y), beside - indent - 14.0))
        items += row
        y = max(y, _depth(row))
    if picture is not None:
        items += [moved_item(item, (room - picture.width, -picture.height)) for item in picture.items]
        y = max(y, picture.height)
    yield Row(y + 2.5 * GAP, tuple(items), False, None, Bookmark(f"{block.number} {block.title}", 1, 0.0))


def _tick(at: tuple[float, float]) -> list[Item]:
    x, y = at
    return [Stroke("info", rectangle(x, y - TICK, x + TICK, y), NARROW)]


def _text(
    text: str, at: tuple[float, float], room: float, right: bool = False, height: float = BODY
) -> Iterator[Item]:
    """A text in rows from a place downwards; to the right of the room, if asked."""
    pitch = PITCH * height / BODY
    x, y = at
    for row in broken(text, height, room):
        place = (x + room, y - pitch + height / 2) if right else (x, y - pitch + height / 2)
        yield lettering("text", place, row, height, 0.0, "end" if right else "start")
        y -= pitch


def _depth(items: Iterable[Item]) -> float:
    """How deep items reach below y = 0, mm: a row of text a little below its baseline."""
    deep = 0.0
    for item in items:
        if isinstance(item, Stroke):
            deep = max(deep, *(-y for _, y in item.path.points))
        else:
            deep = max(deep, item.height / 2 - item.at[1])
    return deep
