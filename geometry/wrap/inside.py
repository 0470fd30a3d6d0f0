"""What a skin leaves of a former inside it: how far in, and what of an outline it takes. mm and rad."""

import math
from collections.abc import Sequence
from itertools import pairwise
from typing import NamedTuple

from ringwright.geometry.curve import thinned
from ringwright.geometry.errors import GeometryError
from ringwright.geometry.outline import common, inset, minus
from ringwright.geometry.part import Vector
from ringwright.geometry.path import Path, Point, canonical, closed, flattened, line
from ringwright.geometry.recall import recalled
from ringwright.geometry.wrap.bend import pierced
from ringwright.geometry.wrap.former import inside_outline, plane_at
from ringwright.geometry.wrap.rims import band
from ringwright.geometry.wrap.section import Section, is_symmetric, length
from ringwright.geometry.wrap.surface import Surface, normals

EVEN = 0.17
"""Share of a skin's normal along the axis up to which it may be taken for square to its sections: 10°."""


SHOWN = 0.5
"""Width from which the second line of a bevel can be told from the edge, mm. Our choice."""

SHORTEST = 3.0
"""Length from which it is drawn, mm."""

FINE = 0.01
"""How near a former's edge keeps to its true place, mm."""


class Inside(NamedTuple):
    """Where a former ends inside a skin.

    line: of its edge. least, most: how far that lies inside the outline, mm. lean: of the skin there, at most, rad.
    slopes: at each corner of the line, by how much the skin comes nearer to the axis a mm further aft.
    """

    line: Section
    least: float
    most: float
    lean: float
    slopes: tuple[float, ...]

    @property
    def length(self) -> float:
        """Length along the edge, mm."""
        return length(self.line)


@recalled
def inside(surface: Surface, x: float, depth: float, off: float, is_closed: bool) -> Inside:
    """Where a former at x ends inside a skin, `depth` mm further in than its drawn layer and `off` mm than its outer
    face. GeometryErrors as `inside_outline`.
    """
    row = _row(surface, x)
    outs = normals(surface, row)
    leans = [min(1.0, abs(n[0])) for n in outs]
    insets = [off / math.sqrt(max(1e-9, 1 - lean * lean)) for lean in leans]
    edge = inside_outline(surface, plane_at(x), depth, is_closed)
    slopes = _slopes(surface, x, [n[0] / math.sqrt(max(1e-9, 1 - n[0] * n[0])) for n in outs])
    return Inside(edge, min(insets), max(insets), math.asin(max(leans)), slopes)


def _slopes(surface: Surface, x: float, slopes: Sequence[float]) -> tuple[float, ...]:
    """The slopes of the threads, without those that meet the one before in the plane at x."""
    kept: list[float] = []
    last: Vector | None = None
    for thread, slope in zip(surface.space, slopes, strict=True):
        at = pierced(thread, *plane_at(x))
        if at is not None and (
            last is None or max(abs(a - b) for a, b in zip(last, at, strict=True)) >= 1e-6
        ):
            kept.append(slope)
            last = at
    return tuple(kept)


def bevel(found: Inside, further: float, outline: Path) -> tuple[Path, ...]:
    """Where the smaller of a former's two faces ends, inside its outline: the second line of a bevel.

    further: from the plane of the outline to the other face, mm, + aft. Only where the other face is the smaller.
    """
    from shapely import LineString, Polygon

    points: list[Point] = []
    widths: list[float] = []
    for (_, y, z), slope in zip(found.line.points, found.slopes, strict=True):
        # Where a bend is tight, its inner corners fall together.
        if not points or math.dist(points[-1], (y, z)) > 1e-6:
            points.append((y, z))
            widths.append(further * slope)
    if len(points) < 2:
        return ()
    runs: list[list[Point]] = [[]]
    for at, out, width in zip(points, _outwards(points, found.line.closed), widths, strict=True):
        if width < SHOWN:
            runs.append([])
        else:
            runs[-1].append((at[0] - width * out[0], at[1] - width * out[1]))
    long = [run for run in runs if len(run) > 1]
    if found.line.closed and len(long) == 1 and len(long[0]) == len(points):
        return (canonical(closed([long[0][k] for k in thinned(long[0], FINE)])),)
    within = Polygon(flattened(outline, 0.01))
    drawn = []
    for run in long:
        cut = LineString([run[k] for k in thinned(run, FINE)]).intersection(within)
        for piece in getattr(cut, "geoms", (cut,)):
            if piece.length >= SHORTEST:
                drawn.append(line([(float(y), float(z)) for y, z in piece.coords]))
    return tuple(drawn)


def _outwards(points: Sequence[Point], is_closed: bool) -> list[Point]:
    """The way out at each corner of a section, unit: it runs clockwise, so to its left."""
    ways = []
    for (y0, z0), (y1, z1) in pairwise(points):
        long = math.hypot(y1 - y0, z1 - z0)
        ways.append(((z0 - z1) / long, (y1 - y0) / long))
    pairs = zip([ways[-1 if is_closed else 0], *ways], [*ways, ways[0 if is_closed else -1]], strict=True)
    sums = [(a[0] + b[0], a[1] + b[1]) for a, b in pairs]
    return [(y / max(math.hypot(y, z), 1e-9), z / max(math.hypot(y, z), 1e-9)) for y, z in sums]


def _row(surface: Surface, x: float) -> int:
    """The row of a sheet below the place at which its middle thread passes x."""
    thread = surface.space[len(surface.space) // 2]
    for row in range(len(thread) - 1):
        if (
            min(thread[row][0], thread[row + 1][0]) - 1e-6
            <= x
            <= max(thread[row][0], thread[row + 1][0]) + 1e-6
        ):
            return row
    raise GeometryError("off-skin", "the plane of the former passes the end of the skin")


def left_by(outline: Path, whole: Path, found: Inside, outer: Sequence[Vector]) -> Path:
    """An outline without what a skin takes of it: all round, or along its arc.

    whole: the outline before any skin took of it. outer: the skin's outer face at the former. Where the skin hardly leans, the outline is inset evenly.
    """
    if found.line.closed:
        if math.sin(found.lean) <= EVEN:
            return common_to(outline, inset(whole, found.least))
        return common_to(outline, canonical(closed([(y, z) for _, y, z in _drawn(found.line)])))
    return minus(outline, band(outer, found.line._replace(points=_drawn(found.line))))


def _drawn(section: Section) -> tuple[Vector, ...]:
    """The corners that a drawing needs; what is symmetric stays so."""
    points = section.points
    half = len(points) // 2 + 1 if is_symmetric(section) else len(points)
    kept = [points[k] for k in thinned([(y, z) for _, y, z in points[:half]], FINE)]
    if half < len(points):
        kept += [(x, 0.0 - y, z) for x, y, z in reversed(kept[: -1 if len(points) % 2 else None])]
    return tuple(kept)


def common_to(outline: Path, inner: Path) -> Path:
    """What two outlines have in common; the inner one where it lies within the other."""
    from shapely import Polygon

    whole = Polygon(flattened(outline, 0.005)).buffer(0.01)
    return inner if whole.contains(Polygon(flattened(inner, 0.005))) else common(outline, inner)
