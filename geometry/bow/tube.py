"""Where to break a profile into cones whose joints may leave it: the fewest straight lines through a tube.

A limit makes a tube about the profile, closed to a point at both its ends. Seen from the start, straight lines
run on until one wall of the tube covers the last of them; that one touches both walls, and the next line starts
on it, between its later touch and the place where it leaves the tube. No other way needs fewer lines (from
memory: H. Imai and M. Iri, 1986, on lines between two chains of points). The least limit for a number of lines
is found by halving.
"""

from collections.abc import Iterable, Sequence
from itertools import pairwise
from typing import NamedTuple

from ringwright.geometry.path import Point

_HALVINGS = 40


class _Ray(NamedTuple):
    """A line that touches a wall: at a point, with a slope."""

    touch: Point
    slope: float

    def height(self, x: float) -> float:
        return self.touch[1] + self.slope * (x - self.touch[0])


class _Window(NamedTuple):
    """From where a line may start: below these points of the upper wall, above those of the lower."""

    below: list[Point]
    above: list[Point]


def nearest_joints(
    middle: Sequence[Point], normals: Sequence[Point], count: int, limit: float
) -> tuple[Point, ...] | None:
    """Joints, both ends included, of `count` straight lines from the first point to the last that come
    nearest to those between.

    middle: points whose x grows, mm; normals: unit vectors towards the upper wall, along which distances
    count. limit: a distance that `count` lines can keep. None where it leaves no more than that.
    """
    best: tuple[Point, ...] | None = None
    low, high = 0.0, limit
    for _ in range(_HALVINGS):
        tried = (low + high) / 2
        found = fewest_lines(middle, normals, tried)
        if found is not None and len(found) - 1 <= count:
            high = tried
            best = found
        else:
            low = tried
    return best if best is not None and len(best) - 1 == count else None


def fewest_lines(middle: Sequence[Point], normals: Sequence[Point], limit: float) -> tuple[Point, ...] | None:
    """Joints, both ends included, of the fewest straight lines that keep within `limit` mm of the points.

    middle, normals as for `nearest_joints`. None where the tube is too narrow to be told from a line.
    """
    start, end = middle[0], middle[-1]
    gates = _gates(middle, normals, limit)
    window, index = _Window([start], [start]), 0
    rays: list[_Ray] = []
    while len(rays) < len(middle):
        index, rising, ray, beyond = _seen(gates, index, window)
        rays.append(ray)
        if index == len(gates):
            return _meetings(start, rays, end)
        leaves = _leaves(ray, beyond, gates[index][1])
        if leaves is None:
            return None
        passed = [(upper, point) for upper, point in gates[:index] if point[0] > ray.touch[0]]
        touched = [ray.touch, *(point for upper, point in passed if upper == rising)]
        window = _Window(touched, [leaves]) if rising else _Window([leaves], touched)
    return None


def _gates(middle: Sequence[Point], normals: Sequence[Point], limit: float) -> list[tuple[bool, Point]]:
    """The points of both walls by x, the upper's marked True; both meet in the end point."""
    start, end = middle[0], middle[-1]
    gates = []
    for (x, y), (nx, ny) in zip(middle[1:-1], normals[1:-1], strict=True):
        for upper, off in ((False, -limit), (True, limit)):
            point = (x + off * nx, y + off * ny)
            if start[0] < point[0] < end[0]:
                gates.append((point[0], upper, point))
    gates.sort()
    return [(upper, point) for _, upper, point in gates] + [(False, end), (True, end)]


def _seen(gates: Sequence[tuple[bool, Point]], index: int, window: _Window) -> tuple[int, bool, _Ray, Point]:
    """How far straight lines from a window run: the gate that covers the last of them (their number at the
    end), whether it stands in the lower wall, that line, and the last point of that wall passed before.
    """
    below, above = list(window.below), list(window.above)
    high: _Ray | None = None
    low: _Ray | None = None
    for place in range(index, len(gates)):
        upper, point = gates[place]
        if upper:
            if low is not None and point[1] < low.height(point[0]):
                return place, False, low, below[-1]
            if high is None or point[1] < high.height(point[0]):
                high = _Ray(point, min(_slopes(point, above)))
            below.append(point)
        else:
            if high is not None and point[1] > high.height(point[0]):
                return place, True, high, above[-1]
            if low is None or point[1] > low.height(point[0]):
                low = _Ray(point, max(_slopes(point, below)))
            above.append(point)
    # Any line between these two arrives; started at the very last gate there is only one of them.
    end = gates[-1][1]
    slopes = [ray.slope for ray in (low, high) if ray is not None]
    return len(gates), False, _Ray(end, sum(slopes) / len(slopes)), end


def _slopes(point: Point, others: Iterable[Point]) -> list[float]:
    return [(point[1] - y) / (point[0] - x) for x, y in others if x < point[0]]


def _leaves(ray: _Ray, before: Point, after: Point) -> Point | None:
    """Where a line leaves the tube between two points of a wall; None unless that is past its touch."""
    over, under = before[1] - ray.height(before[0]), after[1] - ray.height(after[0])
    if over == under:
        return None
    share = over / (over - under)
    x = before[0] + share * (after[0] - before[0])
    return (x, ray.height(x)) if x > ray.touch[0] else None


def _meetings(start: Point, rays: Sequence[_Ray], end: Point) -> tuple[Point, ...] | None:
    """The ends, and where each line meets the next; None where two are parallel."""
    joints = [start]
    for a, b in pairwise(rays):
        if a.slope == b.slope:
            return None
        x = (b.height(0.0) - a.height(0.0)) / (a.slope - b.slope)
        joints.append((x, a.height(x)))
    return (*joints, end)
