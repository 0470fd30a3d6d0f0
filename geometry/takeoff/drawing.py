"""SVG texts read with care: only what outlines are made of, and nothing from outside the text.

Read by the standard library's expat. Refused outright: document types and entities, scripts, references to other
files, and texts that are too long, too deep or too many-limbed. Nothing is ever opened or fetched.
"""

from collections.abc import Callable
from functools import lru_cache
from typing import NamedTuple

from ringwright.geometry.errors import GeometryError

MOST_CHARACTERS = 8_000_000
MOST_ELEMENTS = 100_000
DEEPEST = 64

_SVG = "http://www.w3.org/2000/svg"
_XLINK = "http://www.w3.org/1999/xlink"


class Element(NamedTuple):
    """One element of a drawing. parent: index of what it stands in, -1 for the root."""

    tag: str
    attributes: dict[str, str]
    parent: int


class Drawing(NamedTuple):
    """The elements of a drawing in the order of the text, the root first.

    children: for each element the indices of what stands directly in it. ids: index of each id's first element.
    """

    elements: tuple[Element, ...]
    children: tuple[tuple[int, ...], ...]
    ids: dict[str, int]


def refused(reason: str) -> GeometryError:
    """What is said of a drawing that is not read."""
    return GeometryError("drawing-refused", reason)


@lru_cache(maxsize=2)
def read(text: str) -> Drawing:
    """The elements of an SVG text, read once though many outlines of it are traced.

    GeometryError 'drawing-refused' with what is wrong and where.
    """
    from xml.parsers import expat

    if len(text) > MOST_CHARACTERS:
        raise refused(
            f"the drawing has {len(text)} characters, at most {MOST_CHARACTERS} are read:"
            " take the scan out of it and save it plain"
        )
    reader = _Reader()
    parser = expat.ParserCreate(namespace_separator=" ")
    parser.SetParamEntityParsing(expat.XML_PARAM_ENTITY_PARSING_NEVER)
    parser.StartDoctypeDeclHandler = reader.doctype
    parser.EntityDeclHandler = reader.doctype
    parser.ExternalEntityRefHandler = reader.doctype
    parser.SkippedEntityHandler = reader.doctype
    parser.ProcessingInstructionHandler = reader.instruction
    parser.StartElementHandler = reader.start
    parser.EndElementHandler = reader.end
    parser.CharacterDataHandler = reader.text
    reader.line = lambda: parser.CurrentLineNumber
    try:
        parser.Parse(text.lstrip("\ufeff").encode("utf-8", "surrogatepass"), True)
    except expat.ExpatError as error:
        raise refused(
            f"line {error.lineno} of the drawing is no XML: {expat.ErrorString(error.code)}"
        ) from None
    except (ValueError, LookupError) as error:
        if isinstance(error, GeometryError):
            raise
        raise refused("the drawing names an encoding that cannot be read: save it as UTF-8") from None
    if not reader.elements or reader.elements[0].tag != "svg":
        raise refused("this is no SVG drawing: its root is not svg")
    children: list[list[int]] = [[] for _ in reader.elements]
    ids: dict[str, int] = {}
    for index, element in enumerate(reader.elements):
        if element.parent >= 0:
            children[element.parent].append(index)
        if "id" in element.attributes:
            ids.setdefault(element.attributes["id"], index)
    return Drawing(tuple(reader.elements), tuple(map(tuple, children)), ids)


class _Reader:
    """What expat calls; keeps the elements and refuses the rest."""

    def __init__(self) -> None:
        self.elements: list[Element] = []
        self.open: list[int] = []
        self.line: Callable[[], int] = int

    def _refuse(self, reason: str) -> GeometryError:
        return refused(f"line {self.line()} of the drawing {reason}")

    def doctype(self, *_: object) -> int:
        raise self._refuse("declares a document type or an entity: save it as plain SVG, without")

    def instruction(self, target: str, _: str) -> None:
        raise self._refuse(f"holds an instruction to programs ({target[:20]}): save it as plain SVG")

    def start(self, name: str, attributes: dict[str, str]) -> None:
        space, _, tag = name.rpartition(" ")
        if len(self.elements) >= MOST_ELEMENTS:
            raise self._refuse(f"begins element {MOST_ELEMENTS + 1}: save only what is traced")
        if len(self.open) >= DEEPEST:
            raise self._refuse(f"nests more than {DEEPEST} deep: ungroup")
        if tag.lower() in (
            "script",
            "foreignobject",
            "handler",
            "iframe",
            "set",
            "animate",
            "animatetransform",
        ):
            raise self._refuse(f"holds a {tag[:20]} element: a drawing that does something is not read")
        kept = {}
        for key, value in attributes.items():
            owner, _, attribute = key.rpartition(" ")
            if attribute.lower().startswith("on") and not owner:
                raise self._refuse(
                    f"holds a script ({attribute[:20]}): a drawing that does something is not read"
                )
            if attribute == "href" and owner in ("", _XLINK):
                self._check_link(value)
                attribute, owner = "href", ""
            elif "url(" in value.lower() and space in ("", _SVG):
                self._check_urls(value)
            if not owner:
                kept[attribute] = value
        self.elements.append(
            Element(tag if space in ("", _SVG) else "", kept, self.open[-1] if self.open else -1)
        )
        self.open.append(len(self.elements) - 1)

    def end(self, _: str) -> None:
        self.open.pop()

    def text(self, text: str) -> None:
        if self.open and self.elements[self.open[-1]].tag == "style":
            if "@import" in text.lower():
                raise self._refuse("fetches another file (@import): save it as plain SVG")
            self._check_urls(text)

    def _check_link(self, value: str) -> None:
        link = value.strip()
        if not link.startswith("#") and not link.lower().startswith("data:image/"):
            raise self._refuse(f"refers to something outside it ({link[:40]!r}): take that out, or embed it")

    def _check_urls(self, value: str) -> None:
        for part in value.lower().split("url(")[1:]:
            if not part.strip(" \t\n\r\"'").startswith("#"):
                raise self._refuse(f"refers to something outside it ({part[:40]!r}): take that out")
