"""What a skin leaves of a former inside it: how far in, and what of an outline it takes. mm and rad."""

import math
from collections.abc import Sequence
from typing import NamedTuple

from ringwright.geometry.curve import thinned
from ringwright.geometry.errors import GeometryError
from ringwright.geometry.outline import common, inset, minus
from ringwright.geometry.part import Vector
from ringwright.geometry.path import Path, canonical, closed
from ringwright.geometry.wrap.former import inside_outline, plane_at
from ringwright.geometry.wrap.rims import band
from ringwright.geometry.wrap.section import Section, is_symmetric, length
from ringwright.geometry.wrap.surface import Surface, normals

EVEN = 0.17
"""Share of a skin's normal along the axis up to which it may be taken for square to its sections: 10°."""


FINE = 0.01
"""How near a former's edge keeps to its true place, mm."""


class Inside(NamedTuple):
    """Where a former ends inside a skin.

    line: of its edge. least, most: how far that lies inside the outline, mm. lean: of the skin there, at most, rad.
    """

    line: Section
    least: float
    most: float
    lean: float

    @property
    def length(self) -> float:
        """Length along the edge, mm."""
        return length(self.line)


def inside(surface: Surface, x: float, depth: float, off: float, is_closed: bool) -> Inside:
    """Where a former at x ends inside a skin, `depth` mm further in than its drawn layer and `off` mm than its outer
    face. GeometryErrors as `inside_outline`.
    """
    row = _row(surface, x)
    leans = [min(1.0, abs(n[0])) for n in normals(surface, row)]
    insets = [off / math.sqrt(max(1e-9, 1 - lean * lean)) for lean in leans]
    line = inside_outline(surface, plane_at(x), depth, is_closed)
    return Inside(line, min(insets), max(insets), math.asin(max(leans)))


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
    from ringwright.geometry.path import flattened
    from shapely import Polygon

    whole = Polygon(flattened(outline, 0.005)).buffer(0.01)
    return inner if whole.contains(Polygon(flattened(inner, 0.005))) else common(outline, inner)
