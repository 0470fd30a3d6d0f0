"""Circles from what was measured: three points, many points, a chord and its rise.

Many points: the least sum of squared distances. Taubin's algebraic fit starts it (G. Taubin, 1991, in closed form
as N. Chernov gives it, Circular and Linear Regression, 2010; from memory), Gauss's steps on the distances
finish it: with the radius always the mean distance, two unknowns are left, the centre.
"""

import math
from collections.abc import Sequence
from itertools import pairwise
from typing import NamedTuple

from ringwright.geometry.errors import GeometryError
from ringwright.geometry.numbers import finite, short, total
from ringwright.geometry.path import Path, Point, canonical

_STEPS = 300

MOST_POINTS = 500
"""More than anybody measures round a section."""

SHORT_ARC = math.radians(40)
"""Arc spanned by points, rad, below which the radius of their circle is hardly known: worth a note."""


class Circle(NamedTuple):
    """A circle by its centre and radius, mm."""

    centre: Point
    radius: float

    @property
    def outline(self) -> Path:
        """The circle as an outline: two arcs."""
        (x, y), r = self.centre, self.radius
        return canonical(Path(((x - r, y), (x + r, y)), (1.0, 1.0), True))


class CircleFit(NamedTuple):
    """The circle nearest to measured points, and how near it comes.

    rms: root mean square of the distances of the points from it, mm; worst: the greatest, positive where the
    point lies outside; worst_point: its index. arc: the angle that the points span, rad.
    """

    circle: Circle
    rms: float
    worst: float
    worst_point: int
    arc: float

    @property
    def short_arc(self) -> bool:
        """Whether the points span so little that their circle is hardly known."""
        return self.arc < SHORT_ARC


def circle_through(a: Point, b: Point, c: Point) -> Circle:
    """Circle through three points, mm. GeometryError 'points-in-line'."""
    for x, y in (a, b, c):
        finite(x, "a point's x")
        finite(y, "a point's y")
    bx, by, cx, cy = b[0] - a[0], b[1] - a[1], c[0] - a[0], c[1] - a[1]
    longest = max(bx * bx + by * by, cx * cx + cy * cy, (bx - cx) ** 2 + (by - cy) ** 2)
    cross = bx * cy - by * cx
    if abs(cross) <= 1e-9 * longest:
        raise GeometryError(
            "points-in-line",
            f"{_named(a)}, {_named(b)} and {_named(c)} lie in a line: no circle passes there",
        )
    square_b, square_c = bx * bx + by * by, cx * cx + cy * cy
    x, y = (cy * square_b - by * square_c) / (2 * cross), (bx * square_c - cx * square_b) / (2 * cross)
    return Circle((a[0] + x, a[1] + y), math.hypot(x, y))


def _named(point: Point) -> str:
    return f"({short(point[0], 2)}, {short(point[1], 2)})"


def circle_fit(points: Sequence[Point]) -> CircleFit:
    """The circle with the least sum of squared distances from the points, mm.

    GeometryError 'too-few-points' under three, 'too-many-points' above 500, 'points-in-line' where no circle is
    nearer than a line.
    """
    if len(points) > MOST_POINTS:
        raise GeometryError("too-many-points", f"a fit takes at most {MOST_POINTS} points, not {len(points)}")
    if len(points) < 3:
        raise GeometryError("too-few-points", f"a circle needs three points, this one has {len(points)}")
    count = len(points)
    mx = total(finite(x, "a point's x") for x, _ in points) / count
    my = total(finite(y, "a point's y") for _, y in points) / count
    size = max(math.hypot(x - mx, y - my) for x, y in points)
    if size < 1e-6:
        raise GeometryError("points-in-line", "these points all lie in one place: no circle passes there")
    # About their middle and by their size, so that squares and cubes stay near 1.
    near = [((x - mx) / size, (y - my) / size) for x, y in points]
    centre = _nearest(near, _taubin(near))
    distances = [math.hypot(x - centre[0], y - centre[1]) for x, y in near]
    radius = total(distances) / count
    off = [(distance - radius) * size for distance in distances]
    worst = max(range(count), key=lambda i: (round(abs(off[i]), 9), -i))
    return CircleFit(
        Circle((mx + centre[0] * size, my + centre[1] * size), radius * size),
        math.sqrt(total(value * value for value in off) / count),
        off[worst],
        worst,
        _spanned(near, centre),
    )


def _taubin(points: Sequence[Point]) -> Point:
    """Centre of Taubin's circle for points about the origin: Newton's steps on its quartic, from 0."""
    count = len(points)

    def mean(p: int, q: int, s: int) -> float:
        return total(x**p * y**q * (x * x + y * y) ** s for x, y in points) / count

    xx, yy, xy = mean(2, 0, 0), mean(0, 2, 0), mean(1, 1, 0)
    xz, yz, zz = mean(1, 0, 1), mean(0, 1, 1), mean(0, 0, 2)
    z, cov = xx + yy, xx * yy - xy * xy
    if cov <= 1e-14 * z * z:
        raise GeometryError("points-in-line", "these points lie in a line: no circle is nearer than that")
    var = zz - z * z
    a3, a2 = 4 * z, -3 * z * z - zz
    a1 = var * z + 4 * cov * z - xz * xz - yz * yz
    a0 = xz * (xz * yy - yz * xy) + yz * (yz * xx - xz * xy) - var * cov
    root, value = 0.0, a0
    for _ in range(100):
        slope = a1 + root * (2 * a2 + root * 3 * a3)
        fresh = root - value / slope if slope else root
        fresh_value = a0 + fresh * (a1 + fresh * (a2 + fresh * a3))
        if fresh == root or not abs(fresh_value) < abs(value):
            break
        root, value = fresh, fresh_value
    det = root * root - root * z + cov
    if abs(det) < 1e-14:
        raise GeometryError("points-in-line", "these points lie in a line: no circle is nearer than that")
    return (xz * (yy - root) - yz * xy) / (2 * det), (yz * (xx - root) - xz * xy) / (2 * det)


def _nearest(points: Sequence[Point], start: Point) -> Point:
    """Centre with the least sum of squared distances: damped steps, then full ones as long as they shrink."""
    centre, best, damping = start, _squares(points, start), 1e-6
    for _ in range(_STEPS):
        while damping < 1e12:
            dx, dy = _step(points, centre, damping)
            fresh = (centre[0] + dx, centre[1] + dy)
            squares = _squares(points, fresh)
            if squares < best:
                break
            damping *= 10
        else:
            break
        centre, best, damping = fresh, squares, max(damping / 10, 1e-12)
        if math.hypot(*centre) > 1e5:
            raise GeometryError("points-in-line", "these points lie in a line: no circle is nearer than that")
    last = math.inf
    for _ in range(_STEPS):
        dx, dy = _step(points, centre, 0.0)
        if not math.hypot(dx, dy) < last:
            break
        centre, last = (centre[0] + dx, centre[1] + dy), math.hypot(dx, dy)
    return centre


def _step(points: Sequence[Point], centre: Point, damping: float) -> Point:
    """Gauss's step for the centre, the radius being the mean distance; none where the points leave it open."""
    spokes = [(x - centre[0], y - centre[1], math.hypot(x - centre[0], y - centre[1])) for x, y in points]
    if min(size for _, _, size in spokes) == 0:
        return 0.0, 0.0
    count = len(points)
    radius = total(size for _, _, size in spokes) / count
    ux, uy = (
        total(dx / size for dx, _, size in spokes) / count,
        total(dy / size for _, dy, size in spokes) / count,
    )
    rows = [(ux - dx / size, uy - dy / size, size - radius) for dx, dy, size in spokes]
    aa, ab, bb = (total(row[i] * row[j] for row in rows) for i, j in ((0, 0), (0, 1), (1, 1)))
    ga, gb = total(row[0] * row[2] for row in rows), total(row[1] * row[2] for row in rows)
    aa, bb = aa * (1 + damping), bb * (1 + damping)
    det = aa * bb - ab * ab
    return ((ab * gb - bb * ga) / det, (ab * ga - aa * gb) / det) if det > 0 else (0.0, 0.0)


def _squares(points: Sequence[Point], centre: Point) -> float:
    distances = [math.hypot(x - centre[0], y - centre[1]) for x, y in points]
    radius = total(distances) / len(distances)
    return total((distance - radius) ** 2 for distance in distances)


def _spanned(points: Sequence[Point], centre: Point) -> float:
    """A full turn less the greatest gap between the points, seen from the centre."""
    headings = sorted(math.atan2(y - centre[1], x - centre[0]) for x, y in points)
    gaps = [b - a for a, b in pairwise(headings)]
    return 2 * math.pi - max(*gaps, headings[0] + 2 * math.pi - headings[-1])


def sagitta_radius(chord: float, rise: float) -> float:
    """Radius of the arc with this chord and rise, mm: c² / 8s + s / 2. GeometryError 'no-size'."""
    if not (chord > 0 and rise > 0):
        raise GeometryError(
            "no-size",
            f"an arc's chord and rise must be above 0, not {short(chord, 3)} and {short(rise, 3)} mm",
        )
    return finite(chord * chord / (8 * rise) + rise / 2, "the arc's radius")


def sagitta_slope(chord: float, rise: float) -> tuple[float, float]:
    """How fast that radius changes with the chord and with the rise: c / 4s and 1/2 - c² / 8s². Mostly much.

    GeometryError 'no-size'.
    """
    sagitta_radius(chord, rise)
    return chord / (4 * rise), 0.5 - (chord / rise) ** 2 / 8


def arc(chord: float, rise: float) -> Path:
    """Outline between a chord, its middle in the origin, and the arc that rises above it, mm. GeometryError
    'no-size'.
    """
    sagitta_radius(chord, rise)
    return Path(((-chord / 2, 0.0), (chord / 2, 0.0)), (0.0, 2 * rise / chord), True)
