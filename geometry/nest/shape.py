"""A part made ready to be nested: grown by half the gap, turned, on cells, and as the edges that it shows."""

import math
from typing import TYPE_CHECKING, NamedTuple

from ringwright.geometry.nest.raster import Grid, cells, runs, whole
from ringwright.geometry.numbers import snap
from ringwright.geometry.path import Path, bounds, flattened, turned

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

FLATTEN = 0.05
"""mm by which chords may leave an arc; a part with arcs is grown by as much again."""

_OVER = 1.015
"""Grown by so much more, as the arcs round a grown outline's corners are chords; never short in trials."""

_THIN = 1e-7
"""mm; an edge that covers less than this of an axis shows nothing along it."""


class Grown(NamedTuple):
    """An outline with its holes, mm, so enlarged that two of them may touch where parts must keep their gap.

    rings: the outline, then its holes, each with the material on its left. by: the most it was enlarged, mm.
    """

    rings: "tuple[NDArray[np.float64], ...]"
    by: float


class Faces(NamedTuple):
    """The edges that a shape shows downwards, upwards, to the left and to the right.

    Each 4 x n: where the edge begins and ends along the axis that it is seen across (x for bottom and top),
    then how far along the other axis it lies at the one and at the other.
    """

    bottom: "NDArray[np.float64]"
    top: "NDArray[np.float64]"
    left: "NDArray[np.float64]"
    right: "NDArray[np.float64]"


class Box(NamedTuple):
    """The room that a shape takes in one of its turns, in a frame whose origin is the lower left corner.

    turn: degrees. width, height: mm, of the grown shape. x, y: where the part's origin lies in this frame.
    columns, rows: cells.
    """

    turn: float
    width: float
    height: float
    x: float
    y: float
    columns: int
    rows: int


class Pose(NamedTuple):
    """A shape drawn as its box says, in the frame of that box.

    edges: 4 x n, x0, y0, x1, y1. looks: (row, column, doublings, stacked) of `free` as needed, see
    `board.find`.
    """

    box: Box
    edges: "NDArray[np.float64]"
    faces: Faces
    looks: tuple[tuple[int, int, int, int], ...]


def grow(outline: Path, holes: tuple[Path, ...], gap: float) -> Grown:
    """The shape enlarged by half the gap, and by what flattening may have cut off it.

    Its distance is measured and mended, for an offset polygon falls a little short of its circle.
    """
    import numpy as np
    import shapely

    curved = any(bulge for path in (outline, *holes) for bulge in path.bulges)
    need = gap / 2.0 + (FLATTEN if curved else 0.0)
    corners = flattened(outline, FLATTEN)
    flat = shapely.Polygon(corners, [flattened(hole, FLATTEN) for hole in holes])
    if not flat.is_valid:
        # Walls thinner than the flattening, or an outline that crosses itself: keep clear of all of it.
        flat = shapely.MultiPoint(corners).convex_hull
    grown, by = flat, 0.0
    if need > 0.0:
        by = need * _OVER
        grown = flat.buffer(by)
        while shapely.distance(grown.boundary, flat) < need:
            by *= 1.005
            grown = flat.buffer(by)
    rings = []
    for index, ring in enumerate((grown.exterior, *grown.interiors)):
        # Rounded, so that the last bits of the processor's sines stay out of the layout.
        points = np.round(shapely.get_coordinates(ring)[:-1], 6)
        x, y = points[:, 0], points[:, 1]
        anticlockwise = float((x * np.roll(y, -1) - np.roll(x, -1) * y).sum()) > 0.0
        rings.append(points if anticlockwise == (index == 0) else points[::-1])
    return Grown(tuple(rings), by)


def box(outline: Path, turn: float, clear: float, on: Grid) -> Box:
    """The room that a shape takes in a turn, known before it is drawn so.

    clear: mm that it stands off the part's own box, all round; the same for all parts of a sheet.
    """
    x0, y0, x1, y1 = (snap(value) for value in bounds(turned(outline, math.radians(turn))))
    width, height = x1 - x0 + 2.0 * clear, y1 - y0 + 2.0 * clear
    columns = min(whole(width / on.cell_width), on.columns)
    rows = min(whole(height / on.cell_height), on.rows)
    return Box(turn, width, height, clear - x0, clear - y0, columns, rows)


def posed(grown: Grown, box: Box, on: Grid) -> Pose:
    """The grown shape drawn as its box says, on the cells of a sheet."""
    import numpy as np

    cosine, sine = _direction(box.turn)
    ends = []
    for ring in grown.rings:
        x, y = ring[:, 0], ring[:, 1]
        moved = np.stack((x * cosine - y * sine + box.x, x * sine + y * cosine + box.y))
        ends.append(np.concatenate((moved, np.roll(moved, -1, axis=1))))
    edges = np.concatenate(ends, axis=1)
    taken = cells(edges, 0.0, 0.0, box.columns, box.rows, on)
    return Pose(box, edges, faces(edges), _looks(runs(taken)))


def obstacle(edges: "NDArray[np.float64]", box: Box) -> Pose:
    """What only stands in the way: its edges, 4 x n, in the frame of its box. It cannot be looked for."""
    return Pose(box, edges, faces(edges), ())


def faces(edges: "NDArray[np.float64]") -> Faces:
    """The edges, 4 x n with material on their left, sorted by where they face."""
    x0, y0, x1, y1 = edges
    across, up = x1 - x0, y1 - y0
    return Faces(
        bottom=edges[:, across > _THIN][[0, 2, 1, 3]],
        top=edges[:, across < -_THIN][[2, 0, 3, 1]],
        left=edges[:, up < -_THIN][[3, 1, 2, 0]],
        right=edges[:, up > _THIN][[1, 3, 0, 2]],
    )


def _direction(turn: float) -> tuple[float, float]:
    """Cosine and sine of a turn in degrees; exact for quarters."""
    (point,) = turned(Path(((1.0, 0.0),), (), False), math.radians(turn)).points
    return point


def _looks(parts: list[tuple[int, int, int]]) -> tuple[tuple[int, int, int, int], ...]:
    """Runs of cells as look-ups: two for each, at either end, of the longest power of two that it holds.

    Look-ups of one length that stand in one column over several rows are gathered in the same way.
    """
    stands: dict[tuple[int, int], list[int]] = {}
    for row, column, length in parts:
        doublings = length.bit_length() - 1
        stands.setdefault((doublings, column), []).append(row)
        if length > 1 << doublings:
            stands.setdefault((doublings, column + length - (1 << doublings)), []).append(row)
    looks = []
    for (doublings, column), rows in stands.items():
        first = rows[0]
        for row, following in zip(rows, [*rows[1:], -1], strict=True):
            if following != row + 1:
                stacked = (row + 1 - first).bit_length() - 1
                for start in (first, row + 1 - (1 << stacked)):
                    looks.append((-doublings - stacked, start, column, doublings, stacked))
                first = following
    # The largest blocks first: they rule out most.
    return tuple(look[1:] for look in dict.fromkeys(sorted(looks)))
