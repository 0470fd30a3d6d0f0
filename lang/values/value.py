"""What expressions mean before the design is solved: amounts hold terms, shapes hold amounts."""

from collections.abc import Iterable
from typing import NamedTuple, TypeAlias

from ringwright.lang.solve.algebra import unknowns_of
from ringwright.lang.solve.terms import Term
from ringwright.lang.source import Span
from ringwright.lang.units import LENGTH, Dimension


class Amount(NamedTuple):
    """A quantity: a term in mm, rad, g and its dimension. A bare number has the dimension NUMBER."""

    term: Term
    dimension: Dimension


class Word(NamedTuple):
    """A word that stands for itself: `inside`, `foamboard`."""

    name: str


class Items(NamedTuple):
    """A list, or a point (then `point` is true); `corner`: a point where a curve breaks.

    depth: how many lists and points lie within one another. size: how many values there are in all.
    """

    items: tuple["Value", ...]
    point: bool
    corner: bool = False
    depth: int = 1
    size: int = 2


class Pair(NamedTuple):
    """`a by b` (word 'by') or `a to b` (word 'to')."""

    word: str
    first: "Value"
    second: "Value"


class ShapeOf(NamedTuple):
    """A shape still to be drawn: an operator or constructor and what it is given, in the function's own order.

    depth: how many operators lie upon one another in it. places: where its values stand, those of its list one by one.
    """

    function: str
    arguments: tuple["Value | None", ...]
    span: Span
    depth: int = 1
    places: tuple[Span, ...] = ()


class Seam(NamedTuple):
    """How the edges of a rolled sheet meet: 'butt', 'lap', 'flap' or 'strap', with the width where one is needed."""

    kind: str
    width: Amount | None


class Reference(NamedTuple):
    """A component, by its id."""

    id: str


class TableLine(NamedTuple):
    """A line of the offsets in space: where its half breadth and its height were measured, (x, value) each.

    half: empty for a line in the middle plane.
    """

    name: str
    half: tuple[tuple[Term, Term], ...]
    height: tuple[tuple[Term, Term], ...]


class Automatic(NamedTuple):
    """`auto`: to be found."""


Value: TypeAlias = (
    Amount | Word | Items | Pair | ShapeOf | Seam | Reference | TableLine | Automatic | str | bool
)


def is_point(value: Value, size: int) -> bool:
    """Return whether a value is a point of so many lengths."""
    return isinstance(value, Items) and value.point and len(value.items) == size and all_lengths(value.items)


def all_lengths(values: tuple[Value, ...]) -> bool:
    """Return whether all of these are lengths."""
    return all(isinstance(value, Amount) and value.dimension == LENGTH for value in values)


def unknowns_within(value: Value | None) -> Iterable[str]:
    """Yield the names of all unknowns in a value, whatever it is made of; what is used twice is gone through once."""
    waiting, seen = [value], set()
    while waiting:
        current = waiting.pop()
        if id(current) in seen:
            continue
        seen.add(id(current))
        match current:
            case Amount():
                yield from unknowns_of(current.term)
            case Items():
                waiting.extend(current.items)
            case Pair():
                waiting.extend((current.first, current.second))
            case ShapeOf():
                waiting.extend(current.arguments)
            case Seam():
                waiting.append(current.width)
            case TableLine():
                yield from unknowns_of(*(term for pair in (*current.half, *current.height) for term in pair))


def named(value: Value | None) -> tuple[str, ...]:
    """Return the id of the component that is named, or of each in a list, each once."""
    each = value.items if isinstance(value, Items) else (value,)
    return tuple(dict.fromkeys(item.id for item in each if isinstance(item, Reference)))
