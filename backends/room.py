"""Free space for lettering: which rectangles cross no line.

Lines are straight segments in one array; a rectangle is free when no segment comes within it and its centre
lies where lettering may stand. Thousands of rectangles are tried at a time. Only sums, products and square
roots are taken of arrays, so that the same space is found on every machine.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from functools import lru_cache
from typing import TYPE_CHECKING, NamedTuple

from ringwright.geometry.path import Path, Point, flattened

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Truths = NDArray[np.bool_]
    Indices = NDArray[np.intp]
    Axis = tuple[float, float] | tuple[Floats, Floats]

FLATNESS = 0.1
"""How far a chord may lie from its arc when space is measured, mm."""


class Box(NamedTuple):
    """A rectangle on the sheet: its centre, width, height (mm) and turn (degrees anticlockwise)."""

    centre: Point
    width: float
    height: float
    rotation: float

    def place(self, u: float, v: float) -> Point:
        """The point u mm along the box and v mm up it, from its centre."""
        c, s = turn(self.rotation)
        return self.centre[0] + c * u - s * v, self.centre[1] + s * u + c * v

    def corners(self) -> tuple[Point, ...]:
        """Anticlockwise, lower left first."""
        u, v = self.width / 2, self.height / 2
        return self.place(-u, -v), self.place(u, -v), self.place(u, v), self.place(-u, v)


class Room:
    """Lines to keep clear of, and the closed lines within which lettering may stand.

    A point may bear lettering when it lies within an odd number of `within` lines and of none of the `off`
    lines.
    """

    def __init__(self, within: Iterable[Path], off: Iterable[Path] = (), along: Iterable[Path] = ()) -> None:
        """Within: outline and holes. off: areas without lettering. along: lines not to touch."""
        within, off = tuple(within), tuple(off)
        self._within = segments(within)
        self._off = [segments([path]) for path in off]
        self.taken: list[Box] = []
        self.lines = stacked([self._within, *self._off, segments(along)])

    def copy(self) -> Room:
        """The same room, from which something else may be taken."""
        other = Room(())
        other._within, other._off, other.taken = self._within, self._off, list(self.taken)
        other.lines = self.lines
        return other

    def add_segments(self, lines: Floats) -> None:
        """Keep clear of more straight segments from now on."""
        self.lines = stacked([self.lines, lines])

    def take(self, box: Box) -> None:
        """Keep clear of a box, and out of it, from now on."""
        self.add_segments(segments([Path(box.corners(), (0.0,) * 4, True)]))
        self.taken.append(box)

    def may_bear(self, points: Floats) -> Truths:
        """Whether each point lies where lettering may stand."""
        free = inside(self._within, points)
        for area in self._off:
            free &= ~inside(area, points)
        return free & self._untaken(points)

    def _untaken(self, points: Floats) -> Truths:
        import numpy as np

        free: Truths = np.ones(len(points), dtype=bool)
        for box in self.taken:
            c, s = turn(box.rotation)
            x, y = points[:, 0] - box.centre[0], points[:, 1] - box.centre[1]
            free &= (np.abs(c * x + s * y) > box.width / 2) | (np.abs(c * y - s * x) > box.height / 2)
        return free

    def nearest(self, points: Floats) -> tuple[Floats, Floats]:
        """Distance of each point from the nearest line, mm, and that line as (n, 2): its run in x and y."""
        import numpy as np

        s = self.lines
        dx, dy = s[:, 2] - s[:, 0], s[:, 3] - s[:, 1]
        px, py = points[:, :1] - s[:, 0], points[:, 1:] - s[:, 1]
        square = np.maximum(dx * dx + dy * dy, 1e-18)
        share = np.minimum(np.maximum((px * dx + py * dy) / square, 0.0), 1.0)
        qx, qy = px - share * dx, py - share * dy
        apart = np.round(qx * qx + qy * qy, 9)
        which = apart.argmin(axis=1)
        reach: Floats = np.sqrt(apart[np.arange(len(points)), which])
        return reach, s[which, 2:] - s[which, :2]

    def clear(self, points: Floats, width: float, height: float, axis: Axis) -> Truths:
        """Whether no line comes within the rectangle of this size about each point.

        axis: cosine and sine of the rectangle's turn, of all of them or, as (n, 1), of each.
        """
        return ~crossed(self.lines, points, width, height, axis)

    def first(
        self, points: Floats, width: float, height: float, axis: Axis, within: bool = False
    ) -> int | None:
        """Index of the first point about which a rectangle is free and may stand; None where none is.

        within: whether all points are known to lie where lettering might stand when nothing was taken.
        """
        free = self.clear(points, width, height, axis)
        if free.any():
            free[free] = self._untaken(points[free]) if within else self.may_bear(points[free])
        return int(free.argmax()) if free.any() else None


def of_some(axis: Axis, which: Indices | slice) -> Axis:
    """The turns of some of the points that an axis is of."""
    if isinstance(axis[0], float) or isinstance(axis[1], float):
        return axis
    return axis[0][which], axis[1][which]


@lru_cache(maxsize=1024)
def turn(rotation: float) -> tuple[float, float]:
    """Cosine and sine of an angle in degrees; exact for quarter turns."""
    quarters = rotation / 90
    if quarters == round(quarters):
        return ((1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0))[round(quarters) % 4]
    return math.cos(math.radians(rotation)), math.sin(math.radians(rotation))


def upright(rotation: float) -> float:
    """The same slope so that lettering reads from below or from the right: above -90 to 90 degrees."""
    half = math.fmod(rotation, 180.0)
    if half > 90.0 + 1e-6:
        half -= 180.0
    elif half <= -90.0 + 1e-6:
        half += 180.0
    return round(half, 6) + 0.0


@lru_cache(maxsize=512)
def chords(path: Path) -> tuple[Point, ...]:
    """The corners of a path with its arcs as chords."""
    return flattened(path, FLATNESS)


def segments(paths: Iterable[Path]) -> Floats:
    """The pieces of some paths as rows x0, y0, x1, y1, arcs as chords."""
    import numpy as np

    rows = []
    for path in paths:
        points = chords(path)
        ends = points[1:] + points[:1]
        if not path.closed:
            points = points[:-1]
        rows += [(*start, *end) for start, end in zip(points, ends, strict=False)]
    return np.array(rows) if rows else np.zeros((0, 4))


def stacked(parts: Sequence[Floats]) -> Floats:
    """Some arrays of segments as one."""
    import numpy as np

    return np.concatenate(parts) if parts else np.zeros((0, 4))


def inside(ring: Floats, points: Floats) -> Truths:
    """Whether each point lies within an odd number of closed lines."""
    import numpy as np

    x, y = points[:, :1], points[:, 1:]
    x0, y0, x1, y1 = ring[:, 0], ring[:, 1], ring[:, 2], ring[:, 3]
    spans = (y0 > y) != (y1 > y)
    rise = np.where(y1 == y0, 1.0, y1 - y0)
    crosses = spans & (x < x0 + (y - y0) * (x1 - x0) / rise)
    odd: Truths = np.count_nonzero(crosses, axis=1) % 2 == 1
    return odd


def crossed(lines: Floats, points: Floats, width: float | Floats, height: float, axis: Axis) -> Truths:
    """Whether any segment comes within the rectangle about each point, turned to an axis or each to its own.

    width: of all of them or, as (n, 1), of each.

    They are apart when they are so along the box's two axes or across the segment.
    """
    import numpy as np

    half = (lines[:, 2:] - lines[:, :2]) / 2
    u, v, dx, dy = _in_frame(lines[:, :2] + half, half, points, axis)
    ex, ey = np.abs(dx), np.abs(dy)
    half_width, half_height = width / 2, height / 2
    apart = np.abs(u) > half_width + ex
    apart |= np.abs(v) > half_height + ey
    apart |= np.abs(u * dy - v * dx) > half_width * ey + half_height * ex
    return np.logical_not(apart.all(axis=1))


def free_lengths(lines: Floats, points: Floats, height: float, axis: Axis) -> Floats:
    """How far a strip of this height about each point is free both ways along an axis, mm: (n,)."""
    import numpy as np

    half = height / 2
    u, v, du, dv = _in_frame(lines[:, :2], lines[:, 2:] - lines[:, :2], points, axis)
    # The stretch of each segment that lies in the strip; one along it has all or nothing there.
    rate = 1.0 / np.where(np.abs(dv) > 1e-9, dv, 1e-9)
    middle, reach = -v * rate, half * np.abs(rate)
    start, end = np.maximum(middle - reach, 0.0), np.minimum(middle + reach, 1.0)
    first, last = u + start * du, u + end * du
    apart = np.where(first * last > 0.0, np.minimum(np.abs(first), np.abs(last)), 0.0)
    least: Floats = np.where(start <= end, apart, np.inf).min(axis=1)
    return least


def _in_frame(
    starts: Floats, runs: Floats, points: Floats, axis: Axis
) -> tuple[Floats, Floats, Floats, Floats]:
    """Starts from each point, along its axis and across, (n, lines); runs the same, (lines,) where all turn alike."""
    c, s = axis
    du, dv = c * runs[:, 0] + s * runs[:, 1], c * runs[:, 1] - s * runs[:, 0]
    if isinstance(c, float) or isinstance(s, float):
        u = (c * starts[:, 0] + s * starts[:, 1]) - (c * points[:, :1] + s * points[:, 1:])
        v = (c * starts[:, 1] - s * starts[:, 0]) - (c * points[:, 1:] - s * points[:, :1])
    else:
        x, y = starts[:, 0] - points[:, :1], starts[:, 1] - points[:, 1:]
        u, v = c * x + s * y, c * y - s * x
    return u, v, du, dv


def near(lines: Floats, points: Floats, reach: float) -> Floats:
    """The segments that come within `reach` of the rectangle that holds the points."""
    import numpy as np

    low, high = points.min(axis=0) - reach, points.max(axis=0) + reach
    first, last = np.minimum(lines[:, :2], lines[:, 2:]), np.maximum(lines[:, :2], lines[:, 2:])
    found: Floats = lines[((first <= high) & (last >= low)).all(axis=1)]
    return found
