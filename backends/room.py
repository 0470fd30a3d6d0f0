"""Free space for lettering: which rectangles cross no line.

Lines are straight segments in one array; a rectangle is free when no segment comes within it and its centre
lies where lettering may stand. Thousands of rectangles are tried at a time. Only sums, products and square
roots are taken of arrays, so that the same space is found on every machine.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING, NamedTuple

from ringwright.geometry.path import Path, Point, flattened

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Truths = NDArray[np.bool_]

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
        self._lines = _stack([self._within, *self._off, segments(along)])

    def add(self, *paths: Path) -> None:
        """Keep clear of more lines from now on."""
        self.add_segments(segments(paths))

    def add_segments(self, lines: Floats) -> None:
        """Keep clear of more straight segments from now on."""
        self._lines = _stack([self._lines, lines])

    def take(self, box: Box) -> None:
        """Keep clear of a box, and out of it, from now on."""
        edges = segments([Path(box.corners(), (0.0,) * 4, True)])
        self.add_segments(edges)
        self._off.append(edges)

    def may_bear(self, points: Floats) -> Truths:
        """Whether each point lies where lettering may stand."""
        free = inside(self._within, points)
        for area in self._off:
            free &= ~inside(area, points)
        return free

    def clearance(self, points: Floats) -> Floats:
        """Distance of each point from the nearest line, mm."""
        import numpy as np

        s = self._lines
        dx, dy = s[:, 2] - s[:, 0], s[:, 3] - s[:, 1]
        px, py = points[:, :1] - s[:, 0], points[:, 1:] - s[:, 1]
        square = np.maximum(dx * dx + dy * dy, 1e-18)
        share = np.clip((px * dx + py * dy) / square, 0.0, 1.0)
        qx, qy = px - share * dx, py - share * dy
        nearest: Floats = np.sqrt((qx * qx + qy * qy).min(axis=1))
        return nearest

    def clear(self, points: Floats, width: float, height: float, rotation: float) -> Truths:
        """Whether no line comes within the rectangle of this size and turn about each point."""
        return ~crossed(self._lines, points, width, height, rotation)

    def first(self, boxes: Iterable[Box], pad: float) -> Box | None:
        """The first of some boxes that is free with `pad` mm about it."""
        import numpy as np

        for box in boxes:
            points = np.array([box.centre])
            if (
                self.clear(points, box.width + 2 * pad, box.height + 2 * pad, box.rotation)[0]
                and self.may_bear(points)[0]
            ):
                return box
        return None


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


def segments(paths: Iterable[Path]) -> Floats:
    """The pieces of some paths as rows x0, y0, x1, y1, arcs as chords."""
    import numpy as np

    parts = []
    for path in paths:
        points = np.array(flattened(path, FLATNESS))
        ends = np.concatenate([points[1:], points[:1]])
        rows = np.concatenate([points, ends], axis=1)
        parts.append(rows if path.closed else rows[:-1])
    return _stack(parts)


def _stack(parts: Sequence[Floats]) -> Floats:
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


def crossed(lines: Floats, points: Floats, width: float, height: float, rotation: float) -> Truths:
    """Whether any segment comes within the rectangle about each point.

    They are apart when they are so along the box's two axes or across the segment.
    """
    import numpy as np

    c, s = turn(rotation)
    mx, my = (lines[:, 0] + lines[:, 2]) / 2, (lines[:, 1] + lines[:, 3]) / 2
    hx, hy = (lines[:, 2] - lines[:, 0]) / 2, (lines[:, 3] - lines[:, 1]) / 2
    dx, dy = c * hx + s * hy, c * hy - s * hx
    ex, ey = np.abs(dx), np.abs(dy)
    u0, v0 = c * mx + s * my, c * my - s * mx
    pu, pv = c * points[:, :1] + s * points[:, 1:], c * points[:, 1:] - s * points[:, :1]
    u, v = u0 - pu, v0 - pv
    half_width, half_height = width / 2, height / 2
    apart = np.abs(u) > half_width + ex
    apart |= np.abs(v) > half_height + ey
    apart |= np.abs(u * dy - v * dx) > half_width * ey + half_height * ex
    every: Truths = np.all(apart, axis=1)
    return ~every
