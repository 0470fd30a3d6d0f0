"""No kind: pieces of strip: how long they are, where they lie, and how they are cut from what is bought."""

import math
from itertools import pairwise
from typing import TYPE_CHECKING, NamedTuple

from ringwright.geometry.errors import GeometryError
from ringwright.geometry.lengths import SAW, Bar, bars
from ringwright.geometry.numbers import total
from ringwright.geometry.part import Vector
from ringwright.lang.design.making import Refusal, Unsettled
from ringwright.lang.design.stations import line_in_space, reach
from ringwright.lang.values.value import Amount, Items, TableLine

if TYPE_CHECKING:
    from ringwright.lang.components.tree import Component
    from ringwright.lang.design.making import Maker

_STEPS = 200
_FORM = "a piece has a length, or the points 'from' and 'to', or a line that it lies 'along'"


class Course(NamedTuple):
    """How a piece lies. long: mm. at: its middle; None where nothing says. size: of the box that it fills, mm.

    is_two: it is cut for both sides, though nothing says a hand. spots: places along it, from end to end, mm; () where
    nothing says.
    """

    long: float
    at: Vector | None
    size: Vector
    is_two: bool = False
    spots: tuple[Vector, ...] = ()


def course_of(maker: "Maker", piece: "Component") -> Course:
    """Return how a piece lies. Raises GeometryError, Unsettled."""
    said = [name for name in ("length", "along") if name in piece.properties]
    ends = [name for name in ("from", "to") if name in piece.properties]
    if said == ["length"] and not ends:
        return Course(maker.number(piece, "length"), None, (0.0, 0.0, 0.0))
    if said == ["along"]:
        return _along(maker, piece)
    if said or len(ends) < 2:
        raise GeometryError("piece-form", _FORM)
    a, b = (_point(maker, piece, name) for name in ends)
    return _course([a, b], False)


def _point(maker: "Maker", piece: "Component", name: str) -> Vector:
    value = maker.value(piece, name)
    if not isinstance(value, Items):
        raise Refusal(
            "piece-form", f"without a line '{name}' of a piece is a point", piece.properties[name].span
        )
    x, y, z = (maker.amount(item) for item in value.items)
    return x, y, z


def _along(maker: "Maker", piece: "Component") -> Course:
    line = maker.value(piece, "along")
    if not isinstance(line, TableLine):
        raise Unsettled(f"{piece.id}.along")
    ends = list(reach(maker, line))
    for k, name in enumerate(("from", "to")):
        value = maker.value(piece, name)
        if isinstance(value, Items):
            span = piece.properties[name].span
            raise Refusal("piece-form", f"along a line '{name}' of a piece is a place on it", span)
        if isinstance(value, Amount):
            ends[k] = maker.amount(value)
    at = line_in_space(maker, line)
    xs = [ends[0] + (ends[1] - ends[0]) * k / _STEPS for k in range(_STEPS + 1)]
    spots = [(x, *at(x)) for x in xs]
    return _course(spots, any(y > 0.05 for _, y, _ in spots))


def _course(spots: list[Vector], is_two: bool) -> Course:
    steps = [(math.dist(a, b), a, b) for a, b in pairwise(spots)]
    long = total(step for step, _, _ in steps)
    if long <= 0:
        raise GeometryError("no-length", "this piece ends where it begins")
    middle = [total(step * (a[n] + b[n]) / 2 for step, a, b in steps) / long for n in range(3)]
    size = [max(spot[n] for spot in spots) - min(spot[n] for spot in spots) for n in range(3)]
    return Course(long, (middle[0], middle[1], middle[2]), (size[0], size[1], size[2]), is_two, tuple(spots))


def hands(maker: "Maker", piece: "Component", course: Course) -> tuple[int, ...]:
    """Return the sides that a piece is cut for: 1 as it is drawn, -1 as a mirror shows it."""
    hand = maker.word(piece, "hand") or ("both" if course.is_two else "")
    drawn = "left" if course.at is not None and course.at[1] < 0 else "right"
    if hand == "both":
        return (1, -1)
    return (1,) if hand in ("", drawn) else (-1,)


def copies(maker: "Maker", piece: "Component", course: Course) -> int:
    """Return how many of a piece are cut."""
    return (maker.count(piece, "quantity") or 1) * len(hands(maker, piece, course))


def cut_list(maker: "Maker", strip: "Component") -> tuple[Bar, ...]:
    """Return how the pieces of a strip are cut from the lengths that are bought. Raises GeometryError, Unsettled."""
    pieces = []
    for piece in maker.children(strip, "piece"):
        try:
            course = course_of(maker, piece)
        except GeometryError:
            raise Unsettled(f"{piece.id}.run") from None  # reported at the piece
        pieces += [(piece.name, course.long)] * copies(maker, piece, course)
    return bars(pieces, maker.number(strip, "length"), max(SAW, maker.cutting.kerf))


def density(maker: "Maker", strip: "Component") -> tuple[str, float] | None:
    """Return of what a strip's mass is a multiple, 'density' or 'mass', and how many times per mm of it."""
    width, height = maker.size(strip, "section")
    if maker.has(strip, "mass"):
        return "mass", 1 / maker.number(strip, "length")
    return ("density", width * height) if maker.has(strip, "density") else None
