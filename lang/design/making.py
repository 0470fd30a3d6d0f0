"""What a kind sees when it makes parts: the solved design, one number or shape at a time."""

from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from typing import TYPE_CHECKING, NamedTuple

from ringwright.geometry import outline as shapes
from ringwright.geometry.blank import Blank
from ringwright.geometry.errors import GeometryError
from ringwright.geometry.part import Cutting, Stock
from ringwright.geometry.path import Path, Point
from ringwright.lang.components.tree import Component, Tree, children_of, property_of
from ringwright.lang.design import takeoff
from ringwright.lang.design.takeoff import Drawn
from ringwright.lang.diagnostics.diagnostic import Diagnostic, Label
from ringwright.lang.solve.algebra import evaluate
from ringwright.lang.solve.terms import Term
from ringwright.lang.source import Span
from ringwright.lang.units import on_sheet
from ringwright.lang.values.evaluate import Evaluator
from ringwright.lang.values.sections import SECTION
from ringwright.lang.values.trouble import Trouble
from ringwright.lang.values.value import Amount, Automatic, Items, Pair, Seam, ShapeOf, Value, Word

MOVES = ("moved", "turned", "scaled", "mirrored")
"""What takes the holes of a drawing along."""


if TYPE_CHECKING:
    from ringwright.geometry.seat import Seat
    from ringwright.lang.kinds.covered import Covered
    from ringwright.lang.kinds.lengthwise import Sheeted
    from ringwright.lang.kinds.skin import Skinned
    from ringwright.lang.kinds.skin_parts import Laid
    from ringwright.lang.kinds.surface import Lifted


class Unsettled(Exception):
    """A number that was not found; the reason has been reported already."""


class Refusal(GeometryError):
    """What geometry refuses, with the place in the text that asked for it."""

    def __init__(self, code: str, message: str, span: Span) -> None:
        super().__init__(code, message)
        self.span = span


@contextmanager
def blaming(span: Span) -> Iterator[None]:
    """Put a place in the text to what geometry refuses, unless it has a nearer one already."""
    try:
        yield
    except Refusal:
        raise
    except GeometryError as error:
        raise Refusal(error.code, str(error), span) from None


class SeamChoice(NamedTuple):
    """A seam as chosen: 'butt', 'lap', 'flap' or 'strap', and its width in mm (0 for a butt)."""

    kind: str
    width: float


BUTT = SeamChoice("butt", 0.0)


class Maker:
    """The solved design as kinds read it. Remembers shapes it has drawn, defaults that were chosen, and findings."""

    def __init__(
        self,
        tree: Tree,
        evaluator: Evaluator,
        values: Mapping[str, float],
        cutting: Cutting,
        revision: str = "",
        units: tuple[str, int | None] = ("mm", None),
    ) -> None:
        self.tree = tree
        self.evaluator = evaluator
        self.values = values
        self.cutting = cutting
        self.revision = revision
        self._units = units
        self.defaults: dict[str, str] = {}
        self.findings: list[Diagnostic] = []
        self.blanks: dict[str, tuple[Blank, Stock]] = {}
        self.avoided: dict[str, tuple[float, ...]] = {}
        self.skins: dict[str, Skinned] = {}
        self.sheeted: dict[str, Sheeted] = {}
        self.seats: dict[str, Seat] = {}
        self.saddles = tuple(
            id for id, component in tree.components.items() if component.kind.name == "saddle"
        )
        self.sheets: dict[str, tuple[Laid, ...]] = {}
        self.lifted: dict[str, Lifted] = {}
        self.covers: dict[str, tuple[Covered, ...]] = {}
        self._stocks: dict[str, Stock] = {}
        self._drawn: dict[int, Drawn] = {}
        self._outlines: dict[str, Path] = {}

    # -- numbers and words ------------------------------------------------------------------------

    def number(self, component: Component, name: str) -> float:
        """Return a solved dimension, mm, rad, g. Raises Unsettled."""
        found = self.values.get(f"{component.id}.{name}")
        if found is None:
            raise Unsettled(f"{component.id}.{name}")
        return found

    def has(self, component: Component, name: str) -> bool:
        """Return whether a dimension was solved, or a property that is no dimension is given."""
        return f"{component.id}.{name}" in self.values or self.value(component, name) is not None

    def value(self, component: Component, name: str) -> Value | None:
        """Return a property's value as written; None where it is left out, `auto` or broken."""
        try:
            found = self.evaluator.property(component, name)
        except Trouble as trouble:
            raise Unsettled(trouble.finding.message) from None
        return None if isinstance(found, Automatic) else found

    def word(self, component: Component, name: str) -> str:
        """Return a word property, or its default, or ''."""
        found = self.value(component, name)
        if isinstance(found, Word):
            return found.name
        default = property_of(component.kind, name).default
        return default if isinstance(default, str) else ""

    def text(self, component: Component, name: str) -> str:
        """Return a text property, or its default, or ''."""
        found = self.value(component, name)
        if isinstance(found, str):
            return found
        default = property_of(component.kind, name).default
        return default if isinstance(default, str) else ""

    def flag(self, component: Component, name: str) -> bool:
        """Return a yes-or-no property, or its default."""
        found = self.value(component, name)
        return found if isinstance(found, bool) else bool(property_of(component.kind, name).default)

    def count(self, component: Component, name: str) -> int | None:
        """Return a whole number, or its default, or None."""
        found = self.value(component, name)
        if isinstance(found, Amount):
            return int(self.amount(found))
        default = property_of(component.kind, name).default
        return int(default) if isinstance(default, float) else None

    def amount(self, value: Value | None) -> float:
        """Return an amount's number. Raises Unsettled."""
        assert isinstance(value, Amount)
        return self.known(value.term)

    def known(self, term: Term) -> float:
        """Return what a term comes to, mm, rad, g. Raises Unsettled."""
        try:
            return evaluate(term, self.values)
        except KeyError as missing:
            raise Unsettled(str(missing.args[0])) from None

    def point(self, component: Component, name: str) -> tuple[float, ...] | None:
        """Return a point property, mm, or None where it is left out."""
        found = self.value(component, name)
        if not isinstance(found, Items):
            if property_of(component.kind, name).required:
                raise Unsettled(f"{component.id}.{name}")  # its lack has been reported
            return None
        return tuple(self.amount(item) for item in found.items)

    def size(self, component: Component, name: str) -> tuple[float, float]:
        """Return a size property, mm."""
        found = self.value(component, name)
        if not isinstance(found, Pair):
            raise Unsettled(name)
        return self.amount(found.first), self.amount(found.second)

    def bearing(self, component: Component, name: str, words: Mapping[str, float]) -> float | None:
        """Return a property that is an angle or a word for one, rad; None where it is left out."""
        found = self.value(component, name)
        if isinstance(found, Word):
            return words[found.name]
        return None if found is None else self.amount(found)

    def seam(self, component: Component, name: str = "seam") -> SeamChoice | None:
        """Return the seam of an element or of the stack it stands in; None where neither says."""
        current: Component | None = component
        while current is not None:
            if any(property.name == name for property in current.kind.properties):
                found = self.value(current, name)
                if isinstance(found, Seam):
                    return SeamChoice(found.kind, 0.0 if found.width is None else self.amount(found.width))
            current = self.tree.components.get(current.parent)
        return None

    def length(self, value: float) -> str:
        """Return a length, mm, as it is lettered on a part, in the model's unit: '2.2 mm', '3/32 in'."""
        return on_sheet(value, *self._units)

    def span(self, low: float, high: float) -> str:
        """Return a range of lengths, mm, in the same way: '0.4 to 0.6 mm', '6 mm' where both read alike."""
        first, last = self.length(low), self.length(high)
        if first == last:
            return last
        return f"{first.removesuffix(' ' + self._units[0])} to {last}"

    # -- shapes -----------------------------------------------------------------------------------

    def shape(self, component: Component, name: str) -> Path | None:
        """Return a shape property as drawn, mm; None where it is left out. Raises GeometryError.

        What there is to say of its measuring is reported: a warning where the component can accept it.
        """
        found = self.value(component, name)
        if not isinstance(found, ShapeOf):
            return None
        drawn = self.whole(found)
        self._tell(drawn.said, component, name)
        return self._closed(drawn, found)

    def holes(self, component: Component, name: str) -> tuple[Path, ...]:
        """Return the holes that came with a shape property's drawing, mm. Raises GeometryError."""
        found = self.value(component, name)
        return self.whole(found).holes if isinstance(found, ShapeOf) else ()

    def drawn(self, value: ShapeOf) -> Path:
        """Return the outline of a shape. Raises GeometryError."""
        return self._closed(self.whole(value), value)

    def whole(self, value: ShapeOf) -> Drawn:
        """Draw a shape, once however often it is used. Raises GeometryError."""
        # By identity: the evaluator keeps its values, and comparing deep shapes would take as long as drawing them.
        found = self._drawn.get(id(value))
        if found is None:
            with blaming(value.span):
                found = self._drawn[id(value)] = self._draw(value)
        return found

    def _closed(self, drawn: Drawn, value: ShapeOf) -> Path:
        if drawn.outline.closed:
            return drawn.outline
        message = f"{value.function} draws a line for a profile, not an outline"
        raise Refusal("open-outline", message, value.span)

    def _tell(self, said: tuple[Diagnostic, ...], component: Component, name: str) -> None:
        """Report what is said of a shape; a warning of one drawn elsewhere stands where it is used."""
        texts = (component.whole, *((component.made.recipe,) if component.made else ()))
        for finding in said:
            shape = finding.span
            if finding.severity == "warning" and shape and not any(text.holds(shape) for text in texts):
                property = component.properties.get(name)
                finding = finding._replace(
                    span=component.span if property is None else property.value.span,
                    labels=(Label(shape, "drawn here"), *finding.labels),
                )
            self.findings.append(finding)

    def outline(self, component: Component, draw: Callable[["Maker", Component], Path]) -> Path:
        """Return a component's outline as its kind draws it: once, though parts and measures both ask for it."""
        if component.id not in self._outlines:
            self._outlines[component.id] = draw(self, component)
        return self._outlines[component.id]

    def _draw(self, value: ShapeOf) -> Drawn:
        arguments = value.arguments
        if value.function == SECTION:
            from ringwright.lang.design.stations import drawn_section

            return Drawn(drawn_section(self, arguments))
        made = takeoff.draw(self, value)
        if made is not None:
            return made
        build: Callable[..., Path] = getattr(shapes, value.function)
        values = [self._argument(argument) for argument in arguments if argument is not None]
        inner = [self.whole(argument) for argument in arguments if isinstance(argument, ShapeOf)]
        kept = inner if value.function == "joined" else inner[:1]
        holes = dict.fromkeys(hole for shape in kept for hole in shape.holes)
        if value.function in MOVES:
            holes = dict.fromkeys(build(hole, *values[1:]) for hole in holes)
        said = dict.fromkeys(finding for shape in inner for finding in shape.said)
        return Drawn(build(*values), tuple(holes), tuple(said))

    def _argument(self, value: Value) -> float | Path | Point | tuple[Point, ...]:
        if isinstance(value, ShapeOf):
            return self.drawn(value)
        if isinstance(value, Items):
            return self.point_of(value) if value.point else self.points(value)
        return self.amount(value)

    def points(self, listed: Items) -> tuple[Point, ...]:
        """Return the points of a list, mm. Raises Unsettled."""
        return tuple(self.point_of(item) for item in listed.items)

    def point_of(self, item: Value | None) -> Point:
        """Return a point of two values, mm. Raises Unsettled."""
        assert isinstance(item, Items)
        return self.amount(item.items[0]), self.amount(item.items[1])

    # -- other components -------------------------------------------------------------------------

    def children(self, component: Component, *kinds: str) -> tuple[Component, ...]:
        """Return the components in a component, of the kinds named (all where none is)."""
        return tuple(
            child for child in children_of(self.tree, component) if not kinds or child.kind.name in kinds
        )

    def parent(self, component: Component) -> Component:
        """Return what a component stands in."""
        return self.tree.components[component.parent]

    def stock(self, component: Component) -> Stock:
        """Return the stock that a component is cut from. Raises Unsettled."""
        found = self.evaluator.stock_of(component)
        if found is None:
            raise Unsettled(f"{component.id}.stock")
        return self.of_stock(found)

    def of_stock(self, component: Component) -> Stock:
        """Return what a stock component says, with all that follows from it. Raises GeometryError."""
        from ringwright.lang.kinds.stock import make_stock

        if component.id not in self._stocks:
            with blaming(component.span):
                self._stocks[component.id] = make_stock(self, component)
        return self._stocks[component.id]

    # -- what is said on the way ------------------------------------------------------------------

    def default(self, component: Component, name: str, text: str) -> None:
        """Note a default that was chosen."""
        self.defaults[f"{component.id}.{name}"] = text

    def warn(self, code: str, message: str, span: Span, help: str = "") -> None:
        """Report a warning."""
        self.findings.append(Diagnostic(code, "warning", message, span, (), help))

    def note(self, code: str, message: str, span: Span) -> None:
        """Report what is worth knowing and no fault."""
        self.findings.append(Diagnostic(code, "note", message, span))
