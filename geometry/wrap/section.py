"""Sections: the lines in space that a skin runs between, as corners close enough together to reckon with.

A section of an outline runs with growing turn, clockwise as seen from behind, from where the skin starts: the
seam of a closed one, one end of an arc. Turn is 0 at the top and grows to starboard.
"""

import math
from collections.abc import Iterable, Sequence
from itertools import pairwise
from typing import NamedTuple, TypeAlias

from ringwright.geometry.errors import GeometryError
from ringwright.geometry.numbers import finite, short
from ringwright.geometry.part import Vector
from ringwright.geometry.path import (
    Path,
    Piece,
    Point,
    bounds,
    canonical,
    flattened,
    piece_point,
    pieces,
    reversed_path,
)
from ringwright.geometry.wrap.vector import between, minus, unit

TOLERANCE = 0.005
"""How near its corners keep to a section, mm."""

_NEAREST = 1e-6

Limit: TypeAlias = float | Point
"""Where an arc of an outline begins or ends: a turn about the outline's centre (rad), or the point nearest to
a given one.
"""

Place: TypeAlias = tuple[int, float]
"""A piece of a path and a share of its length."""


class Section(NamedTuple):
    """A line in space that a skin starts from, passes or ends at.

    points: its corners, mm; a closed one repeats its first at its end, a section shrunk to a point has one.
    closed: whether it comes back to its start. centre: what turns are measured about. plane: normal of the
    plane its rim is cut in, unit; None where the rim is cut square to the sheet.
    """

    points: tuple[Vector, ...]
    closed: bool
    centre: Vector
    plane: Vector | None

    @property
    def is_point(self) -> bool:
        """Whether the section has shrunk to a point."""
        return len(self.points) == 1


def across(
    outline: Path,
    x: float,
    seam_at: float = 0.0,
    arc: tuple[Limit, Limit] | None = None,
    about: Point | None = None,
    tolerance: float = TOLERANCE,
) -> Section:
    """Section of an outline (y, z) in the plane across the axis at x, mm.

    Whole, starting at turn `seam_at` (rad), or the `arc` from one limit with growing turn to another. Turns
    are about `about`, the middle of the outline's box unless given. GeometryError 'no-size', 'no-arc',
    'off-outline'.
    """
    finite(x, "a section's place")
    way = reversed_path(canonical(outline))
    if len(way.points) < 2:
        raise GeometryError("no-size", f"the outline at {short(x, 2)} mm has no size: it cannot be wrapped")
    left, low, right, top = bounds(way)
    centre = about if about is not None else ((left + right) / 2, (low + top) / 2)
    fine = flattened_with_places(way, tolerance / 10)
    begin, end = (
        _place(way, fine, limit, centre) for limit in (arc if arc is not None else (seam_at, seam_at))
    )
    line = _cut(way, begin, end, whole=arc is None)
    corners = _apart((x, y, z) for y, z in flattened(line, tolerance))
    if len(corners) < 2:
        raise GeometryError("no-arc", f"the arc of the outline at {short(x, 2)} mm has no length")
    if arc is None:
        corners[-1] = corners[0]
    return Section(tuple(corners), arc is None, (x, *centre), (1.0, 0.0, 0.0))


def point(at: Vector) -> Section:
    """Section shrunk to a point: the skin comes together there."""
    return Section((at,), False, at, (1.0, 0.0, 0.0))


def along(points: Iterable[Vector], plane: Vector | None = None) -> Section:
    """Open section through the points, mm; its rim is cut square to the sheet unless a plane is given.

    GeometryError 'no-arc' under two different points.
    """
    corners = _apart(points)
    if len(corners) < 2:
        raise GeometryError("no-arc", "a line that a sheet is bent along needs two different points")
    middle = between(corners[0], corners[-1], 0.5)
    return Section(tuple(corners), False, middle, unit(plane) if plane is not None else None)


def closed_through(points: Iterable[Vector], plane: Vector | None = None) -> Section:
    """Closed section through the points, the first of which is the seam. GeometryError 'no-arc'."""
    corners = _apart(points)
    while len(corners) > 1 and math.dist(corners[0], corners[-1]) <= _NEAREST:
        corners.pop()
    if len(corners) < 3:
        raise GeometryError("no-arc", "a closed section needs three different points")
    middle = tuple(math.fsum(p[i] for p in corners) / len(corners) for i in range(3))
    centre = (middle[0], middle[1], middle[2])
    return Section((*corners, corners[0]), True, centre, unit(plane) if plane is not None else None)


def mirrored(section: Section) -> Section:
    """The section of the other hand: y to -y, run so that turn still grows."""
    x, y, z = section.centre
    points = tuple((a, 0.0 - b, c) for a, b, c in section.points[::-1])
    normal = section.plane
    plane = None if normal is None else (normal[0], 0.0 - normal[1], normal[2])
    return Section(points, section.closed, (x, 0.0 - y, z), plane)


def is_symmetric(section: Section) -> bool:
    """Whether a section is its own mirror image about the middle plane, corner for corner, within 1e-6 mm."""
    return all(
        abs(a[0] - b[0]) < _NEAREST and abs(a[1] + b[1]) < _NEAREST and abs(a[2] - b[2]) < _NEAREST
        for a, b in zip(section.points, reversed(section.points), strict=True)
    )


def symmetric(section: Section) -> Section:
    """A symmetric section with exactly mirrored corners, one of them on the middle plane."""
    corners = list(section.points)
    if len(corners) == 1:
        return section
    if len(corners) % 2 == 0:
        half = len(corners) // 2
        corners.insert(half, between(corners[half - 1], corners[half], 0.5))
    middle = len(corners) // 2
    corners[middle] = (corners[middle][0], 0.0, corners[middle][2])
    if section.closed:
        corners[0] = (corners[0][0], 0.0, corners[0][2])
    for i in range(middle):
        x, y, z = corners[i]
        corners[len(corners) - 1 - i] = (x, 0.0 - y, z)
    return section._replace(points=tuple(corners))


def divided(section: Section, longest: float) -> Section:
    """Section with its steps cut evenly until none is longer than `longest` mm."""
    corners = list(section.points[:1])
    for a, b in pairwise(section.points):
        count = max(1, math.ceil(math.dist(a, b) / longest - 1e-9))
        corners.extend(between(a, b, step / count) for step in range(1, count))
        corners.append(b)
    return section._replace(points=tuple(corners))


def length(section: Section) -> float:
    """Length along a section, mm."""
    return math.fsum(math.dist(a, b) for a, b in pairwise(section.points))


def started_at(section: Section, step: int, share: float) -> Section:
    """Closed section that starts at a share of one of its steps instead, with a corner there."""
    corners = section.points[:-1]
    if share <= 1e-9 or share >= 1 - 1e-9:
        first = (step + (share >= 0.5)) % len(corners)
        turned = corners[first:] + corners[:first]
        return section._replace(points=(*turned, turned[0]))
    start = between(section.points[step], section.points[step + 1], share)
    turned = corners[step + 1 :] + corners[: step + 1]
    return section._replace(points=(start, *turned, start))


def turn_of(section: Section, at: Vector) -> float:
    """Turn of a point about a section's centre, rad: 0 at the top, growing to starboard."""
    _, y, z = minus(at, section.centre)
    return math.atan2(y, z)


# Places on an outline


def flattened_with_places(path: Path, tolerance: float) -> list[tuple[Point, Place]]:
    """Corners of the path's chords, each with its place on it; the first point once more at the end."""
    found: list[tuple[Point, Place]] = []
    for index, piece in enumerate(pieces(path)):
        count = len(flattened(Path(piece[:2], (piece[2],), False), tolerance)) - 1
        found.extend((piece_point(piece, k / count)[0], (index, k / count)) for k in range(max(1, count)))
    last = len(path.bulges) - 1
    return [*found, (path.points[0], (last, 1.0))]


def _place(path: Path, fine: Sequence[tuple[Point, Place]], limit: Limit, centre: Point) -> Place:
    if isinstance(limit, tuple):
        return _nearest(path, fine, limit)
    return _at_turn(path, fine, limit, centre)


def _at_turn(path: Path, fine: Sequence[tuple[Point, Place]], turn: float, centre: Point) -> Place:
    """Where the outline lies furthest out at a turn about the centre."""
    quarters = turn / (math.pi / 2)
    if abs(quarters - round(quarters)) < 1e-12:
        sine, cosine = ((0.0, 1.0), (1.0, 0.0), (0.0, -1.0), (-1.0, 0.0))[round(quarters) % 4]
    else:
        sine, cosine = math.sin(turn), math.cos(turn)

    def off(at: Point) -> float:
        return (at[0] - centre[0]) * cosine - (at[1] - centre[1]) * sine

    def out(at: Point) -> float:
        return (at[0] - centre[0]) * sine + (at[1] - centre[1]) * cosine

    every = list(pieces(path))
    best: tuple[float, Place] | None = None
    for (a, (index, low)), (b, (following, high)) in pairwise(fine):
        top = high if following == index else 1.0
        side_a, side_b = off(a), off(b)
        side_a, side_b = (0.0 if abs(side) < 1e-9 else side for side in (side_a, side_b))
        if side_a * side_b > 0 or max(out(a), out(b)) <= 0:
            continue
        if not side_a:
            share = low
        elif not side_b:
            share = top
        else:
            share = _root(lambda share, piece=every[index]: off(piece_point(piece, share)[0]), low, top)
        reach = out(piece_point(every[index], share)[0])
        if reach > 0 and (best is None or reach > best[0] + 1e-9):
            best = reach, (index, share)
    if best is None:
        raise GeometryError(
            "off-outline",
            f"no line from ({short(centre[0], 1)}, {short(centre[1], 1)}) at {short(math.degrees(turn), 1)} deg"
            " meets the outline: its centre must lie within it",
        )
    return best[1]


def _root(f, low: float, high: float) -> float:  # type: ignore[no-untyped-def]
    """Where a function that changes sign is 0, by halving."""
    sign = f(low) > 0
    for _ in range(60):
        middle = (low + high) / 2
        if (f(middle) > 0) == sign:
            low = middle
        else:
            high = middle
    return (low + high) / 2


def _nearest(path: Path, fine: Sequence[tuple[Point, Place]], target: Point) -> Place:
    every = list(pieces(path))
    best: tuple[float, Place] | None = None
    for (a, (index, low)), (b, (following, high)) in pairwise(fine):
        top = high if following == index else 1.0
        dx, dy = b[0] - a[0], b[1] - a[1]
        square = dx * dx + dy * dy
        on = (
            min(max(((target[0] - a[0]) * dx + (target[1] - a[1]) * dy) / square, 0.0), 1.0)
            if square
            else 0.0
        )
        share = low + on * (top - low)
        apart = math.dist(piece_point(every[index], share)[0], target)
        if best is None or apart < best[0] - 1e-9:
            best = apart, (index, share)
    assert best is not None
    return best[1]


def _cut(path: Path, begin: Place, end: Place, whole: bool) -> Path:
    """Open path along a closed one from one place on to another; all round where they are the same."""
    every = list(pieces(path))
    (first, low), (last, high) = begin, end
    count = len(every)
    around = (last - first) % count
    if around == 0 and (whole or high <= low):
        around = count
    points: list[Point] = [piece_point(every[first], low)[0]]
    bulges: list[float] = []
    for step in range(around + 1):
        piece = every[(first + step) % count]
        a = low if step == 0 else 0.0
        b = high if step == around else 1.0
        if b - a <= 1e-12:
            continue
        points.append(piece_point(piece, b)[0])
        bulges.append(_part_bulge(piece, b - a))
    return Path(tuple(points), tuple(bulges), False)


def _part_bulge(piece: Piece, share: float) -> float:
    return math.tan(share * math.atan(piece[2])) if share < 1 else piece[2]


def _apart(points: Iterable[Vector]) -> list[Vector]:
    """The points without those nearer than 1e-6 mm to the last."""
    kept: list[Vector] = []
    for x, y, z in points:
        at = (finite(x, "a point's x"), finite(y, "a point's y"), finite(z, "a point's z"))
        if not kept or math.dist(kept[-1], at) > _NEAREST:
            kept.append(at)
    return kept
