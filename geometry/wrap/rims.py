"""Places on the rims of a bent sheet, where it meets formers and its neighbours. mm and rad."""

import math
from collections.abc import Sequence
from itertools import pairwise
from typing import NamedTuple

from ringwright.geometry.mark import TICK
from ringwright.geometry.numbers import finite
from ringwright.geometry.part import Mark, Vector
from ringwright.geometry.path import Path, Point, canonical, closed, line, on_way
from ringwright.geometry.wrap.section import Section
from ringwright.geometry.wrap.surface import Surface, normals, rim
from ringwright.geometry.wrap.vector import between

APART = 4.0
"""Between the ticks of a group, mm."""

SHARES = (0.25, 0.75)
"""Where along a common rim two sheets have their match marks: one tick, then two."""

_NEAR = 0.05
_BEYOND = 0.5
_SAME = 1.0
_LEVEL = 1e-3


class Spot(NamedTuple):
    """A place on a rim: in the drawing, with the way into the sheet there, square to the rim (unit)."""

    at: Point
    inward: Point


def at_share(surface: Surface, row: int, share: float) -> Vector:
    """The place in space at a share (0 … 1) of a rim's length from its first thread."""
    return along_line([thread[row] for thread in surface.space], share)


def along_line(points: Sequence[Vector], share: float) -> Vector:
    """The place at a share (0 … 1) of the length of a line in space."""
    walked = [0.0]
    for a, b in pairwise(points):
        walked.append(walked[-1] + math.dist(a, b))
    wanted = share * walked[-1]
    for k, (low, high) in enumerate(pairwise(walked)):
        if wanted <= high and high > low:
            return between(points[k], points[k + 1], (wanted - low) / (high - low))
    return points[-1]


def passes(points: Sequence[Vector], at: Vector) -> bool:
    """Whether a line in space passes a place within 0.05 mm."""
    return any(_foot(a, b, at)[1] <= _NEAR for a, b in pairwise(points))


def _foot(a: Vector, b: Vector, at: Vector) -> tuple[float, float]:
    """The share of the way from a to b that is nearest to a place, and how far it is from it, mm."""
    square = math.dist(a, b) ** 2
    share = sum((q - p) * (w - p) for p, q, w in zip(a, b, at, strict=True)) / square if square else 0.0
    share = min(1.0, max(0.0, share))
    return share, math.dist(between(a, b, share), at)


def highest(surface: Surface, row: int) -> Vector | None:
    """The highest place of a rim in the middle plane of the aircraft; None where it does not reach that."""
    found: list[Vector] = []
    for a, b in pairwise(thread[row] for thread in surface.space):
        if a[1] * b[1] <= 0 and a[1] != b[1]:
            found.append(between(a, b, a[1] / (a[1] - b[1])))
    return max(found, key=lambda at: at[2], default=None)


def spot_on(surface: Surface, row: int, at: Vector, near: float = _NEAR) -> Spot | None:
    """The place on a rim of the drawing that lies at a place in space; None where the rim passes it by. near: how far it
    may lie from it, mm, such as the sheet is thick for a place on its other face.
    """
    best: tuple[float, Spot] | None = None
    other = 1 if row == 0 else -2
    for k in range(len(surface.space) - 1):
        share, apart = _foot(surface.space[k][row], surface.space[k + 1][row], at)
        if apart > near or (best is not None and apart >= best[0] - 1e-9):
            continue
        here, into = (on_way(surface.flat[k][r], surface.flat[k + 1][r], share) for r in (row, other))
        edge = surface.flat[k][row], surface.flat[k + 1][row]
        if math.dist(*edge) > 1e-9 and math.dist(here, into) > 1e-9:
            best = apart, _spot(edge, here, into)
    return None if best is None else best[1]


def seam_spot(surface: Surface, is_last: bool, share: float) -> Spot:
    """The place at a share (0 … 1) of the length of the first or the last edge of a sheet, from its first row."""
    edge, near = (surface.flat[-1], surface.flat[-2]) if is_last else (surface.flat[0], surface.flat[1])
    walked = [0.0]
    for a, b in pairwise(edge):
        walked.append(walked[-1] + math.dist(a, b))
    wanted = share * walked[-1]
    row = next(k for k in range(len(edge) - 1) if wanted <= walked[k + 1] or k == len(edge) - 2)
    within = (wanted - walked[row]) / (walked[row + 1] - walked[row])
    at = on_way(edge[row], edge[row + 1], within)
    return _spot((edge[row], edge[row + 1]), at, on_way(near[row], near[row + 1], within))


def _spot(edge: tuple[Point, Point], at: Point, into: Point) -> Spot:
    """A place on a straight edge; into: a place further in, which says on which side of it the sheet is."""
    (x0, y0), (x1, y1) = edge
    long = math.dist(*edge)
    ux, uy = (y1 - y0) / long, (x0 - x1) / long
    way = 1.0 if (into[0] - at[0]) * ux + (into[1] - at[1]) * uy >= 0 else -1.0
    return Spot(at, (way * ux, way * uy))


def on_edge(surface: Surface, row: int, spot: Spot) -> bool:
    """Whether a place on a rim is at one of its ends, as near as a mark there could not be told from the edge."""
    return min(math.dist(spot.at, thread[row]) for thread in (surface.flat[0], surface.flat[-1])) < _SAME


def ticks(spot: Spot, count: int, text: str = "") -> tuple[Mark, ...]:
    """A group of ticks into the sheet, square to the rim; text beside the first."""
    (x, y), (ux, uy) = spot
    found = []
    for k in range(count):
        off = (k - (count - 1) / 2) * APART
        start = (x - off * uy, y + off * ux)
        end = (start[0] + TICK * ux, start[1] + TICK * uy)
        found.append(Mark(line([start, end]), "notch", text if k == 0 else ""))
    return tuple(found)


def greatest_lean(surface: Surface, row: int) -> float:
    """How far the sheet leans at a rim against a plane across the axis, at most, rad: the bevel of its edge."""
    return math.asin(min(1.0, max(_leans(surface, row))))


def is_even(surface: Surface, row: int) -> bool:
    """Whether the sheet leans the same all along a rim, within a tenth of a degree."""
    leans = _leans(surface, row)
    return math.asin(min(1.0, max(leans))) - math.asin(min(1.0, min(leans))) < math.radians(0.1)


def bevelled_face(surface: Surface, row: int) -> str:
    """The face of which less is left where a rim is cut in its plane: 'inside' or 'outside', '' where it changes along
    the rim.
    """
    found = [n[0] for n in normals(surface, 0 if row == 0 else len(surface.space[0]) - 2)]
    # A skin that comes in towards the tail has its inner face further aft.
    aft = max(found) > _LEVEL, min(found) < -_LEVEL
    if aft[0] == aft[1]:
        return ""
    return "inside" if aft[0] == (row == 0) else "outside"


def _leans(surface: Surface, row: int) -> list[float]:
    found = normals(surface, 0 if row == 0 else len(surface.space[0]) - 2)
    return [abs(finite(n[0], "a skin's normal")) for n in found]


def lies_along(path: Path, surface: Surface, row: int) -> bool:
    """Whether a line of the drawing lies along a rim, so near that both could not be told apart."""
    edge = rim(surface, row)
    if len(edge) < 2:
        return False
    return all(min(_from(at, a, b) for a, b in pairwise(edge)) < _SAME for at in path.points)


def _from(at: Point, a: Point, b: Point) -> float:
    square = math.dist(a, b) ** 2
    share = ((b[0] - a[0]) * (at[0] - a[0]) + (b[1] - a[1]) * (at[1] - a[1])) / square if square else 0.0
    return math.dist(on_way(a, b, min(1.0, max(0.0, share))), at)


def band(outer: Sequence[Vector], inner: Section) -> Path:
    """What an open skin takes of a section across the axis: (y, z) from its inner face to past its outer one."""
    out = [(y, z) for _, y, z in outer]
    ways = []
    for a, b in pairwise(out):
        long = math.dist(a, b)
        ways.append(((a[1] - b[1]) / long, (b[0] - a[0]) / long))
    # Sections run with growing turn: clockwise, so that outside is to the left.
    beyond = []
    for k, (y, z) in enumerate(out):
        near = [ways[i] for i in (k - 1, k) if 0 <= i < len(ways)]
        ny, nz = math.fsum(w[0] for w in near), math.fsum(w[1] for w in near)
        long = math.hypot(ny, nz) or 1.0
        beyond.append((y + _BEYOND * ny / long, z + _BEYOND * nz / long))
    return canonical(closed([*beyond, *((y, z) for _, y, z in reversed(inner.points))]))
