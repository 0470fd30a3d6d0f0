"""What a skin asks of its sheet and of its sections: bends, hollows, misfits. mm and rad."""

import math
from collections.abc import Sequence
from itertools import pairwise
from typing import NamedTuple

from ringwright.geometry.part import Vector
from ringwright.geometry.path import Point, on_way
from ringwright.geometry.wrap.neutral import edge_normals
from ringwright.geometry.wrap.rulings import Rulings
from ringwright.geometry.wrap.section import Section
from ringwright.geometry.wrap.surface import Surface, rim
from ringwright.geometry.wrap.vector import between, cross, dot, minus, size, unit

CREASE = math.radians(10)
"""Bend at one ruling from which it counts as a corner of the section, not as part of a curve. Our choice."""


_WINDOW = 9


class Bend(NamedTuple):
    """A bend of the skin at a corner of a section: place, angle (rad, + where the outside is the outer side),
    radius, mm.
    """

    at: Vector
    angle: float
    radius: float


class Bends(NamedTuple):
    """How a skin bends across its rulings.

    tightest: of its curves, None where it is flat but for corners. creases: corners in its sections, sharpest
    turns. hollow: total turn the hollow way at each section, rad, and where it is deepest.
    """

    tightest: Bend | None
    creases: tuple[Bend, ...]
    hollow: tuple[Bend, ...]


def bends(made: Rulings) -> Bends:
    """The bends of a skin at the corners of its two sections: radii of the layer that is given."""
    tightest: Bend | None = None
    creases: list[Bend] = []
    hollow: list[Bend] = []
    for section, normals, others in _sides(made):
        steps = list(pairwise(section.points))
        pairs = list(pairwise(range(len(normals))))
        if section.closed:
            pairs.append((len(normals) - 1, 0))
        depth, deepest = 0.0, None
        smooth: list[Bend] = []
        for a, b in pairs:
            at = section.points[b]
            turn = cross(normals[a], normals[b])
            angle = math.atan2(size(turn), dot(normals[a], normals[b]))
            if dot(turn, others[b]) > 0:
                # The normal turns against the way the section runs.
                angle = -angle
            broad = [_across(minus(q, p), others[k]) for k, (p, q) in ((a, steps[a]), (b, steps[b]))]
            radius = math.inf if abs(angle) < 1e-9 else (broad[0] + broad[1]) / 2 / abs(angle)
            here = Bend(at, angle, radius)
            if abs(angle) > CREASE:
                creases.append(here)
                tightest = _tighter(tightest, smooth)
                smooth = []
            else:
                smooth.append(here._replace(radius=(broad[0] + broad[1]) / 2))
            if angle < -1e-6:
                depth += angle
                if deepest is None or angle < deepest.angle:
                    deepest = here
        tightest = _tighter(tightest, smooth)
        if deepest is not None and depth < -math.radians(0.5):
            hollow.append(deepest._replace(angle=depth))
    return Bends(tightest, tuple(creases), tuple(hollow))


def _tighter(tightest: Bend | None, smooth: Sequence[Bend]) -> Bend | None:
    """The tightest bend of a stretch of curve, or that given; `smooth` has widths in place of radii.

    Over a few corners at a time: which corners of two sections are joined makes each alone turn more or less.
    """
    for k in range(len(smooth)):
        start = max(0, min(k - _WINDOW // 2, len(smooth) - _WINDOW))
        near = smooth[start : start + _WINDOW]
        angle = math.fsum(bend.angle for bend in near)
        if abs(angle) <= 1e-6:
            continue
        radius = math.fsum(bend.radius for bend in near) / abs(angle)
        if tightest is None or radius < tightest.radius - 1e-9:
            tightest = Bend(smooth[k].at, smooth[k].angle, radius)
    return tightest


def _sides(made: Rulings) -> list[tuple[Section, Sequence[Vector], Sequence[Vector]]]:
    """Each section with the skin's normals and ruling directions at its edges."""
    normals = edge_normals(made)
    ways: tuple[list[Vector], list[Vector]] = ([], [])
    for (i, j), (k, _) in pairwise(made.ways):
        ways[0 if k > i else 1].append(unit(minus(made.second.points[j], made.first.points[i])))
    return [
        (section, of, way)
        for section, of, way in zip((made.first, made.second), normals, ways, strict=True)
        if len(of) > 1
    ]


def _across(step: Vector, ruling: Vector) -> float:
    """How wide a step is square to a ruling."""
    return size(cross(step, ruling))


def deviation(surface: Surface, section: Section) -> float:
    """Greatest distance, mm, between a section and the line in which a skin that does not pass through it cuts
    its plane, measured either way. The section needs a plane.
    """
    assert section.plane is not None
    cut = [
        at for at in (pierced(t, section.points[0], section.plane) for t in surface.space) if at is not None
    ]
    if not cut:
        return math.inf
    return max(_farthest(cut, section.points), _farthest(section.points, cut))


def pierced(thread: Sequence[Vector], origin: Vector, normal: Vector) -> Vector | None:
    """Where a thread goes through a plane; None where it does not."""
    for a, b in pairwise(thread):
        low, high = dot(minus(a, origin), normal), dot(minus(b, origin), normal)
        if low * high <= 0 and low != high:
            return between(a, b, low / (low - high))
    return None


def _farthest(points: Sequence[Vector], line: Sequence[Vector]) -> float:
    """Greatest distance of some points from a line of straight pieces."""
    import numpy

    if len(line) == 1:
        return max(math.dist(p, line[0]) for p in points)
    at = numpy.array(points)[:, None, :]
    a, b = numpy.array(line[:-1])[None, :, :], numpy.array(line[1:])[None, :, :]
    step = b - a
    square = step[..., 0] ** 2 + step[..., 1] ** 2 + step[..., 2] ** 2
    to = at - a
    along = to[..., 0] * step[..., 0] + to[..., 1] * step[..., 1] + to[..., 2] * step[..., 2]
    share = numpy.clip(along / numpy.where(square > 0, square, 1.0), 0.0, 1.0)
    off = to - share[..., None] * step
    apart = off[..., 0] ** 2 + off[..., 1] ** 2 + off[..., 2] ** 2
    return math.sqrt(float(apart.min(axis=1).max()))


def gap(before: Surface, after: Surface) -> float:
    """How far two bays gape at the ends of their common edge when laid together at its middle, mm."""
    there, here = rim(before, len(before.flat[0]) - 1), rim(after, 0)
    frames = [_at_middle(line) for line in (there, here)]
    ends = [
        [_seen(frame, line[end]) for frame, line in zip(frames, (there, here), strict=True)]
        for end in (0, -1)
    ]
    return max(math.dist(a, b) for a, b in ends)


def _at_middle(line: Sequence[Point]) -> tuple[Point, Point]:
    """Middle of a line of straight pieces, and its direction there: that of the chord of the middle tenth."""
    walked = [0.0]
    for a, b in pairwise(line):
        walked.append(walked[-1] + math.dist(a, b))

    def at(width: float) -> Point:
        for k, (low, high) in enumerate(pairwise(walked)):
            if width <= high:
                return on_way(line[k], line[k + 1], (width - low) / (high - low))
        return line[-1]

    middle = walked[-1] / 2
    a, b = at(middle - walked[-1] / 20), at(middle + walked[-1] / 20)
    long = math.dist(a, b)
    return at(middle), ((b[0] - a[0]) / long, (b[1] - a[1]) / long)


def _seen(frame: tuple[Point, Point], at: Point) -> Point:
    (x0, y0), (ux, uy) = frame
    x, y = at[0] - x0, at[1] - y0
    return ux * x + uy * y, ux * y - uy * x
