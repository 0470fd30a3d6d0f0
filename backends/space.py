"""Where on a part lettering may stand: points to try, turns to try, and what of its room is left.

Points are the middles of the part, of its cross sections and of its rims, and a grid.
"""

from __future__ import annotations

import math
from bisect import bisect_right
from typing import TYPE_CHECKING, NamedTuple, TypeAlias

from ringwright.backends.room import Box, Room, chords, free_lengths, of_some, segments, turn, upright
from ringwright.geometry.numbers import snap
from ringwright.geometry.path import Path, Point, bounds, centroid, flattened

if TYPE_CHECKING:
    from ringwright.backends.room import Axis, Floats, Indices

LONG = 2.2
"""A part this many times as long as wide bears its label along its length."""

Turn: TypeAlias = float | None
"""A turn of lettering to try, degrees; None: along the line that is nearest."""

_LOWEST = 2.0
"""No lettering with the space about it is lower, mm."""
_STEEP = 60.0
_FALLING = 0.866
"""Lettering that falls more steeply than 60 degrees, and the sine of that."""
_SOON = 6
"""So many points are tried before the lengths of all are worked out."""


class Spots(NamedTuple):
    """Points within a part, widest space first, of like ones those first that let lettering lie level.

    points (n, 2) mm; reach (n,) mm to the nearest line; along: cosine and sine, each (n, 1), of that line's
    slope, to be read upright.
    """

    points: Floats
    reach: Floats
    along: tuple[Floats, Floats]


def spots(rings: tuple[Path, ...], rotation: float, room: Room, count: int = 40) -> Spots:
    """Points to try: the middles of the part, of its cross sections and of its rims, and a grid of `count`.

    rings: outline, then holes. rotation: of the part on the sheet, degrees.
    """
    import numpy as np

    left, low, right, high = bounds(rings[0])
    width, height = max(right - left, 1e-6), max(high - low, 1e-6)
    columns = min(count // 5, max(5, math.ceil(math.sqrt(count * width / height))))
    rows = max(5, count // columns)
    grid = [
        (left + (i + 0.5) / columns * width, low + (j + 0.5) / rows * height)
        for j in range(rows)
        for i in range(columns)
    ]
    mid = middles(rings, rotation)
    points = np.concatenate([np.array(mid), _rim_middles(rings), np.array(grid)])
    bear = room.may_bear(points)
    points, favoured = points[bear], (np.arange(len(points)) < len(mid))[bear]
    reach, runs = room.nearest(points)
    c, s = runs[:, 0], runs[:, 1]
    long = np.sqrt(c * c + s * s) * np.where((c > 0) | ((c == 0) & (s > 0)), 1.0, -1.0)
    c, s = c / long, s / long
    value = np.floor(np.where(favoured, 2.3, 2.0) * reach + 1e-6)
    order = np.lexsort((np.round(np.abs(s), 3), -value))
    return Spots(points[order], reach[order], (c[order, None], s[order, None]))


def fine_points(room: Room) -> Floats:
    """A grid of at most some hundreds of points all over a part, 3 mm apart or more, (n, 2)."""
    import numpy as np

    low, high = room.lines[:, :2].min(axis=0), room.lines[:, :2].max(axis=0)
    across, up = (high - low).tolist()
    step = max(3.0, math.sqrt(across * up / 600))
    x = low[0] + step * (np.arange(max(1, math.floor(across / step))) + 0.5)
    y = low[1] + step * (np.arange(max(1, math.floor(up / step))) + 0.5)
    points: Floats = np.stack([np.tile(x, len(y)), np.repeat(y, len(x))], axis=1)
    return points


class Lengths(NamedTuple):
    """How far a row of the least height may reach both ways from each point in one turn, mm.

    best: the same at best, of the point with the widest reach, of the first two, and so on.
    """

    each: Floats
    best: list[float]


class Space:
    """Where lettering still finds place on a part: a room, points to try in it, and turns to try at each."""

    def __init__(self, room: Room, places: Spots, turns: tuple[Turn, ...]) -> None:
        import numpy as np

        self.room, self.places, self.turns = room, places, turns
        self._by_reach = np.argsort(-places.reach, kind="stable")
        self._falling = (-places.reach[self._by_reach]).tolist()
        self._lengths: dict[Turn, Lengths] = {}
        self._failed: dict[Turn, list[tuple[float, float]]] = {}

    def taking(self, box: Box) -> Space:
        """What is left when a box is taken."""
        left = Space(self.room.copy(), self.places, self.turns)
        left.room.take(box)
        # What was too short before, or fitted nowhere, still is and does.
        left._lengths = dict(self._lengths)
        left._failed = {rotation: list(failed) for rotation, failed in self._failed.items()}
        return left

    def fit(
        self, width: float, height: float, beside: Box | None = None, after: bool = False
    ) -> tuple[Point, float] | None:
        """Where a rectangle first fits: its centre and turn, by turn, then by space.

        beside: a box that it belongs to: in the same turn if it may be, and by nearness rather than by space. after:
        only where one reads on from there, right of it or below.
        """
        import numpy as np

        count = bisect_right(self._falling, -height / 2)
        turns = [turn for turn in self.turns if count and self._may_fit(turn, count, width, height)]
        if not turns:
            return None
        which = np.flatnonzero(self.places.reach >= height / 2)
        if beside is not None:
            like = beside.rotation if beside.rotation in self.turns else None
            turns.sort(key=lambda turn: turn != like)
            away = self.places.points[which] - beside.centre
            square = np.round(away[:, 0] * away[:, 0] + away[:, 1] * away[:, 1], 3)
            order = np.argsort(square, kind="stable")
            if after:
                c, s = turn(beside.rotation)
                along, up = c * away[:, 0] + s * away[:, 1], c * away[:, 1] - s * away[:, 0]
                half = beside.width / 2
                order = order[((along > half) | ((along >= -half) & (up < 0)))[order]]
            which = which[order]
        for rotation in turns:
            order = which[self._levelness(which)] if rotation is None and beside is None else which
            found = self._first(order, width, height, rotation)
            if found is not None:
                x, y = self.places.points[found].tolist()
                return (x, y), self._slope(found) if rotation is None else rotation
            if not after:
                self._failed.setdefault(rotation, []).append((width, height))
        return None

    def _may_fit(self, rotation: Turn, count: int, width: float, height: float) -> bool:
        """Whether a rectangle may fit at one of the points with the widest reach, so many, by what is known.

        What fits nowhere rules out all that is wider and higher.
        """
        if rotation in self._lengths and self._lengths[rotation].best[count - 1] < width / 2:
            return False
        return not any(w <= width and h <= height for w, h in self._failed.get(rotation, ()))

    def _first(self, which: Indices, width: float, height: float, rotation: Turn) -> int | None:
        """The first of some points at which a rectangle fits, by index. Many fit soon; most others are too short."""
        import numpy as np

        if rotation not in self._lengths:
            soon = self._first_of(which[:_SOON], width, height, rotation)
            if soon is not None:
                return soon
            which = which[_SOON:]
            each = free_lengths(self.room.lines, self.places.points, _LOWEST, self._axis(rotation))
            best = np.maximum.accumulate(each[self._by_reach]).tolist()
            self._lengths[rotation] = Lengths(each, best)
        each = self._lengths[rotation].each
        return self._first_of(which[each[which] >= width / 2], width, height, rotation)

    def _first_of(self, which: Indices, width: float, height: float, rotation: Turn) -> int | None:
        if not len(which):
            return None
        points, axis = self.places.points[which], of_some(self._axis(rotation), which)
        found = self.room.first(points, width, height, axis, within=True)
        return None if found is None else int(which[found])

    def _axis(self, rotation: Turn) -> Axis:
        return self.places.along if rotation is None else turn(rotation)

    def _levelness(self, which: Indices) -> Indices:
        """The order of some points by how level lettering along their lines lies, steeply falling last."""
        import numpy as np

        rise = self.places.along[1][which, 0]
        tilt = np.round(np.abs(rise) + np.where(rise < -_FALLING, 1.0, 0.0), 1)
        order: Indices = np.argsort(tilt, kind="stable")
        return order

    def _slope(self, index: int) -> float:
        c, s = self.places.along
        return upright(snap(math.degrees(math.atan2(s[index, 0], c[index, 0]))))


def label_turns(outline: Path, rotation: float) -> tuple[Turn, ...]:
    """Turns of lettering to try: along a long part, else level, else upright, else along the nearest line.

    Lettering that falls steeply is read from the left, which is the last resort.
    """
    axis, slimness = long_axis(outline, rotation)
    level = (0.0, upright(rotation), 90.0)
    turns = tuple(dict.fromkeys((axis, *level) if slimness >= LONG else (*level, axis)))
    return (*(turn for turn in turns if turn >= -_STEEP), None, *(turn for turn in turns if turn < -_STEEP))


def long_axis(outline: Path, rotation: float) -> tuple[float, float]:
    """Turn of the smallest rectangle about an outline, upright, and its length over its width.

    The part's own axes are tried, then each 15 degrees and the direction of the longest piece, where that saves
    a tenth.
    """
    import numpy as np

    x, y = np.array(flattened(outline, 0.5)).T
    ends = list(zip(outline.points, (*outline.points[1:], outline.points[0]), strict=True))
    longest = max(ends, key=lambda piece: round(math.dist(*piece), 6))
    (x0, y0), (x1, y1) = longest
    turns = [rotation + 15.0 * step for step in range(12)]
    turns.append(math.degrees(math.atan2(y1 - y0, x1 - x0)))
    best = (math.inf, 0.0, 1.0)
    for angle in turns:
        c, s = turn(angle)
        along, aside = c * x + s * y, c * y - s * x
        wide, high = float(along.max() - along.min()), float(aside.max() - aside.min())
        if round(wide * high, 3) < 0.9 * best[0]:
            if high > wide:
                angle, wide, high = angle + 90.0, high, wide
            best = (round(wide * high, 3), upright(angle), wide / max(high, 1e-9))
    return best[1], best[2]


def middles(rings: tuple[Path, ...], rotation: float) -> list[Point]:
    """Middles and quarters of the stretches of material on lines through the outline's centroid.

    The lines run along the part's axes and the sheet's.
    """
    centre = centroid(rings[0])
    corners = [chords(ring) for ring in rings]
    found = [centre]
    for angle in dict.fromkeys(snap(slope % 180.0) for slope in (rotation, rotation + 90.0, 0.0, 90.0)):
        c, s = turn(angle)
        level = c * centre[1] - s * centre[0]
        crossings = []
        for points in corners:
            local = [(c * x + s * y, c * y - s * x) for x, y in points]
            for (u0, v0), (u1, v1) in zip(local, [*local[1:], local[0]], strict=True):
                if (v0 > level) != (v1 > level):
                    crossings.append(u0 + (level - v0) * (u1 - u0) / (v1 - v0))
        crossings.sort()
        for start, end in zip(crossings[::2], crossings[1::2], strict=True):
            for share in (0.5, 0.25, 0.75):
                along = start + share * (end - start)
                found.append((c * along - s * level, s * along + c * level))
    return found


def _rim_middles(rings: tuple[Path, ...]) -> Floats:
    """Middles of the material square to the rims, from points about 8 mm apart on them, (n, 2)."""
    import numpy as np

    lines = segments(rings)
    run = lines[:, 2:] - lines[:, :2]
    long = np.sqrt(run[:, 0] * run[:, 0] + run[:, 1] * run[:, 1])
    lines, run, long = lines[long > 1e-6], run[long > 1e-6], long[long > 1e-6]
    step = max(8.0, float(long.sum()) / 90)
    counts = np.maximum(1, np.round(long / step)).astype(int)
    # Short chords of arcs: every so many of them.
    along = np.cumsum(long)
    kept = (long > step / 2) | (np.floor(along / step) > np.floor((along - long) / step))
    which = np.repeat(np.flatnonzero(kept), counts[kept])
    first = np.cumsum(counts[kept]) - counts[kept]
    share = (np.arange(len(which)) - np.repeat(first, counts[kept]) + 0.5) / counts[which]
    start = lines[which, :2] + share[:, None] * run[which]
    inward = np.stack([-run[which, 1], run[which, 0]], axis=1) / long[which, None]
    # The first line that the way inward meets: start + t inward = a + u run.
    ax, ay = lines[:, 0] - start[:, :1], lines[:, 1] - start[:, 1:]
    cross = inward[:, :1] * run[:, 1] - inward[:, 1:] * run[:, 0]
    safe = np.where(np.abs(cross) > 1e-9, cross, 1.0)
    t = (ax * run[:, 1] - ay * run[:, 0]) / safe
    u = (ax * inward[:, 1:] - ay * inward[:, :1]) / safe
    t = np.where((np.abs(cross) > 1e-9) & (t > 1e-3) & (u >= 0.0) & (u <= 1.0), t, np.inf).min(axis=1)
    met = t < np.inf
    middles: Floats = start[met] + inward[met] * (t[met, None] / 2)
    return middles
