"""Outlines in the section plane: constructors and the operators on them. All lengths in mm; every result is
canonical.

Points are (x, y) of the drawing: (y, z) of a section as seen from behind, right to the right.
"""

import math
from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING

from ringwright.geometry import curve as smooth
from ringwright.geometry import path as lines
from ringwright.geometry.combine import flat, with_arcs
from ringwright.geometry.crossing import simple
from ringwright.geometry.errors import GeometryError
from ringwright.geometry.numbers import short
from ringwright.geometry.offset import inset, tightest_bend
from ringwright.geometry.path import Path, Point, canonical
from ringwright.geometry.remember import remembered

if TYPE_CHECKING:
    from shapely import Geometry, Polygon

__all__ = [
    "CENTRE_LINE",
    "both_sides",
    "circle",
    "common",
    "curve",
    "ellipse",
    "half",
    "half_curve",
    "half_ends",
    "inset",
    "joined",
    "minus",
    "mirrored",
    "moved",
    "outset",
    "polygon",
    "rect",
    "scaled",
    "simple",
    "slot",
    "superellipse",
    "tightest_bend",
    "turned",
]

CENTRE_LINE = 0.25
"""How near to the centre line a measured point counts as on it, mm."""


def _positive(value: float, what: str) -> None:
    if not value > 0:
        raise GeometryError("no-size", f"{what} must be above 0, not {short(value, 3)}")


def circle(diameter: float) -> Path:
    """Circle about the origin, two arcs. GeometryError 'no-size'."""
    _positive(diameter, "a circle's diameter")
    return Path(((-diameter / 2, 0.0), (diameter / 2, 0.0)), (1.0, 1.0), True)


def ellipse(width: float, height: float) -> Path:
    """Ellipse about the origin, as arcs within 0.002 mm. GeometryError 'no-size'."""
    _positive(width, "an ellipse's width")
    _positive(height, "an ellipse's height")
    if width == height:
        return circle(width)
    a, b = width / 2, height / 2

    def traced(angle: float) -> tuple[Point, Point]:
        cos, sin = _cos_sin(angle)
        return (a * cos, b * sin), (-a * sin, b * cos)

    return _round(traced)


def superellipse(width: float, height: float, power: float) -> Path:
    """|2x/w|^n + |2y/h|^n = 1 about the origin, as arcs within 0.002 mm: n = 2 an ellipse, larger boxier.

    GeometryError 'no-size'; 'hollow-superellipse' for n not above 1.
    """
    _positive(width, "a superellipse's width")
    _positive(height, "a superellipse's height")
    if power <= 1:
        raise GeometryError(
            "hollow-superellipse", f"a superellipse's power must be above 1, not {short(power, 3)}"
        )
    a, b = width / 2, height / 2

    def traced(angle: float) -> tuple[Point, Point]:
        cos, sin = _cos_sin(angle)
        x = math.copysign(abs(cos) ** (2 / power), cos)
        y = math.copysign(abs(sin) ** (2 / power), sin)
        steep_x = math.copysign(abs(x) ** (power - 1), x) / a
        steep_y = math.copysign(abs(y) ** (power - 1), y) / b
        return (a * x, b * y), (-steep_y, steep_x)

    return _round(traced)


def _cos_sin(angle: float) -> Point:
    """Cosine and sine, exact on the axes."""
    quarters = angle / (math.pi / 2)
    if quarters == round(quarters):
        return ((1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0))[round(quarters) % 4]
    return math.cos(angle), math.sin(angle)


def _round(traced: smooth.Traced) -> Path:
    """Closed outline traced by an angle, with stops on both axes."""
    drawn = smooth.arcs(traced, [quarter * math.pi / 2 for quarter in range(5)])
    return canonical(Path(drawn.points[:-1], drawn.bulges, True))


def rect(width: float, height: float, corner: float = 0.0) -> Path:
    """Rectangle about the origin, its corners rounded. GeometryError 'no-size', 'corner-too-big'."""
    _positive(width, "a rectangle's width")
    _positive(height, "a rectangle's height")
    least = min(width, height)
    if corner < 0 or 2 * corner > least + 1e-9:
        raise GeometryError(
            "corner-too-big",
            f"a corner of {short(corner, 3)} mm does not fit: half the shorter side is"
            f" {short(least / 2, 3)} mm",
        )
    x, y = width / 2, height / 2
    if not corner:
        return canonical(lines.closed([(-x, -y), (x, -y), (x, y), (-x, y)]))
    inner_x, inner_y, turn = max(0.0, x - corner), max(0.0, y - corner), lines.bulge_of(math.pi / 2)
    corners = [
        (-inner_x, -y), (inner_x, -y), (x, -inner_y), (x, inner_y),
        (inner_x, y), (-inner_x, y), (-x, inner_y), (-x, -inner_y),
    ]  # fmt: skip
    return canonical(_without_gaps(corners, [0.0, turn] * 4))


def _without_gaps(points: Sequence[Point], bulges: Sequence[float]) -> Path:
    """Closed path without its pieces of no length."""
    around = list(zip(points, [*points[1:], points[0]], bulges, strict=True))
    kept = [(start, bulge) for start, end, bulge in around if math.dist(start, end) > 1e-9]
    return Path(tuple(start for start, _ in kept), tuple(bulge for _, bulge in kept), True)


def slot(length: float, width: float, round_ends: bool = False) -> Path:
    """Slot about the origin, along x, square or half-round at its ends. GeometryError 'no-size',
    'corner-too-big'.
    """
    return rect(length, width, width / 2 if round_ends else 0.0)


def polygon(points: Iterable[Point]) -> Path:
    """Straight-sided outline. GeometryError 'too-few-points', 'crosses-itself'."""
    outline = lines.closed(points)
    if len(outline.points) < 3:
        raise GeometryError(
            "too-few-points", f"an outline needs three different points, this one has {len(outline.points)}"
        )
    return canonical(simple(outline))


def curve(points: Sequence[Point], corners: Iterable[int] = ()) -> Path:
    """Smooth outline through the points; it breaks at those whose index is in `corners`. GeometryErrors as
    `polygon`.
    """
    return canonical(simple(smooth.through(points, True, corners)))


def half(points: Sequence[Point]) -> Path:
    """Straight-sided outline from its right half, top to bottom, mirrored. GeometryErrors as `polygon`,
    'left-of-centre'.
    """
    around, _ = both_sides(points, ())
    return polygon(around)


def half_curve(points: Sequence[Point], corners: Iterable[int] = ()) -> Path:
    """Smooth outline from its right half: mirrored first, then curved, so that it crosses the centre line
    square.

    A half that ends off the centre line is closed by a straight piece, with corners at its ends.
    GeometryErrors as `half`.
    """
    around, breaks = both_sides(points, corners)
    return curve(around, breaks)


def half_ends(points: Sequence[Point]) -> tuple[Point, ...]:
    """Those ends of a half that do not lie on the centre line and will be closed by a straight line: worth a
    note.
    """
    return tuple(point for point in (points[0], points[-1]) if abs(point[0]) >= CENTRE_LINE) if points else ()


def both_sides(points: Sequence[Point], corners: Iterable[int]) -> tuple[list[Point], list[int]]:
    """All points of an outline from those of its right half, top to bottom, and the indices of its corners.

    GeometryErrors 'left-of-centre', 'too-few-points'.
    """
    right: list[Point] = []
    for y, z in points:
        if y <= -CENTRE_LINE:
            raise GeometryError(
                "left-of-centre",
                f"({short(y, 2)}, {short(z, 2)}) lies left of the centre line:"
                " a half lists one side, with y 0 or more",
            )
        right.append((0.0 if y < CENTRE_LINE else y, z))
    if not right:
        raise GeometryError("too-few-points", "an outline needs points")
    count = len(right)
    breaks = set(corners)
    if right[0][0]:
        breaks.add(0)
    if right[-1][0]:
        breaks.add(count - 1)
    around = list(right)
    places = set(breaks)
    for index in range(count - 1, -1, -1):
        y, z = right[index]
        if y or 0 < index < count - 1:
            if index in breaks:
                places.add(len(around))
            around.append((0.0 - y, z))
    return around, sorted(places)


# Operators


def outset(outline: Path, distance: float) -> Path:
    """Outline moved outwards, mm, corners mitred. GeometryErrors as `inset`."""
    return inset(outline, -distance)


def moved(outline: Path, by: Point) -> Path:
    """Outline moved by (x, y), mm."""
    return canonical(lines.moved(outline, by))


def turned(outline: Path, angle: float) -> Path:
    """Outline turned anticlockwise about the origin, rad."""
    return canonical(lines.turned(outline, angle))


def mirrored(outline: Path) -> Path:
    """Outline mirrored left for right."""
    return canonical(lines.mirrored(outline))


def scaled(outline: Path, factor: float) -> Path:
    """Outline scaled about the origin. GeometryError 'no-size'."""
    _positive(factor, "a scale")
    return canonical(lines.scaled(outline, factor))


@remembered(256)
def joined(a: Path, b: Path) -> Path:
    """Both outlines as one, arcs kept. GeometryError 'apart', 'hole-inside'."""
    shape = _flat(a).union(_flat(b))
    return _one(shape, a, b, "the two outlines do not touch: they cannot be joined", "joined")


@remembered(256)
def minus(a: Path, b: Path) -> Path:
    """The first without the second, arcs kept. GeometryError 'nothing-left', 'apart', 'hole-inside'."""
    shape = _flat(a).difference(_flat(b))
    return _one(shape, a, b, "taking the second outline away cuts the first in pieces", "left")


@remembered(256)
def common(a: Path, b: Path) -> Path:
    """What both cover, arcs kept. GeometryError 'nothing-left', 'apart'."""
    shape = _flat(a).intersection(_flat(b))
    return _one(shape, a, b, "the two outlines overlap in more than one place", "common")


def meet(a: Path, b: Path) -> bool:
    """Whether two outlines have some area in common."""
    return bool(_flat(a).intersection(_flat(b)).area > 0.0)


def _flat(outline: Path) -> "Polygon":
    return flat(simple(outline))


def _one(shape: "Geometry", a: Path, b: Path, apart: str, verb: str) -> Path:
    parts = [
        part for part in getattr(shape, "geoms", [shape]) if part.geom_type == "Polygon" and part.area > 1e-6
    ]
    if not parts:
        raise GeometryError("nothing-left", f"nothing is {verb} of the two outlines")
    if len(parts) > 1:
        raise GeometryError("apart", apart)
    if parts[0].interiors:
        raise GeometryError("hole-inside", "the second outline lies within the first: make it a hole instead")
    return with_arcs(parts[0], a, b)
