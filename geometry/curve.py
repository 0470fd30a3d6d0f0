"""Smooth lines through measured points.

Outlines: cubic spline by chord length, periodic when closed, not-a-knot at open ends and at corners; drawn as
arcs that run into each other without a kink, within 0.002 mm of the spline. Lines of the offsets, y as a
function of x: Akima's.
"""

import math
from bisect import bisect_left
from collections.abc import Callable, Iterable, Sequence
from itertools import pairwise
from typing import NamedTuple

from ringwright.geometry.errors import GeometryError
from ringwright.geometry.numbers import finite, short
from ringwright.geometry.path import Path, Point, piece_centre, piece_radius
from ringwright.geometry.remember import remembered

TOLERANCE = 0.002

Traced = Callable[[float], tuple[Point, Point]]
"""A parameter to a point and the direction of travel there (of any length but zero)."""


class Curve(NamedTuple):
    """Parametric cubic spline. knots: chord length at each point, mm (a closed one's last is where it
    closes).

    points: as many as knots, the first repeated when closed; bends: second derivatives at the knots, 1/mm.
    """

    knots: tuple[float, ...]
    points: tuple[Point, ...]
    bends: tuple[Point, ...]
    closed: bool


def spline(points: Iterable[Point], closed: bool) -> Curve:
    """Cubic spline through the points by chord length (mm): periodic when closed, not-a-knot when open.

    GeometryError 'too-few-points' under two, or three when closed; points nearer than 1e-6 mm to the last are
    dropped.
    """
    kept: list[Point] = []
    for x, y in points:
        point = (finite(x, "a point's x"), finite(y, "a point's y"))
        if not kept or math.dist(kept[-1], point) > 1e-6:
            kept.append(point)
    if closed and len(kept) > 1 and math.dist(kept[0], kept[-1]) <= 1e-6:
        kept.pop()
    least = 3 if closed else 2
    if len(kept) < least:
        raise GeometryError(
            "too-few-points", f"a curve needs {least} different points, this one has {len(kept)}"
        )
    if closed:
        kept.append(kept[0])
    steps = [math.dist(a, b) for a, b in pairwise(kept)]
    knots = [0.0]
    for step in steps:
        knots.append(knots[-1] + step)
    solve = _bends_closed if closed else _bends_open
    bends_x = solve(steps, [x for x, _ in kept])
    bends_y = solve(steps, [y for _, y in kept])
    return Curve(tuple(knots), tuple(kept), tuple(zip(bends_x, bends_y, strict=True)), closed)


def curve_at(curve: Curve, knot: float) -> tuple[Point, Point]:
    """Point and first derivative at a parameter (chord length, mm), clamped to the ends."""
    span = min(bisect_left(curve.knots, knot, 1), len(curve.knots) - 1) - 1
    step = curve.knots[span + 1] - curve.knots[span]
    u = min(max(knot - curve.knots[span], 0.0), step)
    ends = zip(
        curve.points[span], curve.points[span + 1], curve.bends[span], curve.bends[span + 1], strict=True
    )
    (x, dx), (y, dy) = (_cubic(step, u, *axis) for axis in ends)
    return (x, y), (dx, dy)


def _cubic(step: float, u: float, a: float, b: float, bend_a: float, bend_b: float) -> tuple[float, float]:
    """Value and slope of one span from its end values and second derivatives."""
    v = step - u
    rise = (b - a) / step
    value = (a * v + b * u) / step - u * v * (bend_a * (step + v) + bend_b * (step + u)) / (6 * step)
    slope = rise + (bend_b * (3 * u * u - step * step) - bend_a * (3 * v * v - step * step)) / (6 * step)
    return value, slope


def curve_area(curve: Curve) -> float:
    """Area within a closed curve, mm2, positive anticlockwise: exact (three-point Gauss on the quintic x y' -
    y x').
    """
    parts = []
    for low, high in zip(curve.knots, curve.knots[1:], strict=False):
        middle, half = (low + high) / 2, (high - low) / 2
        for place, weight in ((-math.sqrt(0.6), 5 / 9), (0.0, 8 / 9), (math.sqrt(0.6), 5 / 9)):
            (x, y), (dx, dy) = curve_at(curve, middle + half * place)
            parts.append(weight * half * (x * dy - y * dx) / 2)
    return math.fsum(parts)


def _jumps(steps: Sequence[float], values: Sequence[float]) -> list[float]:
    """Six times the jump of slope at each inner point."""
    slopes = [(b - a) / h for a, b, h in zip(values, values[1:], steps, strict=False)]
    return [6 * (after - before) for before, after in pairwise(slopes)]


def _bends_open(steps: Sequence[float], values: Sequence[float]) -> list[float]:
    """Second derivatives of the not-a-knot spline; a parabola through three points, a line through two."""
    if len(steps) == 1:
        return [0.0, 0.0]
    jumps = _jumps(steps, values)
    if len(steps) == 2:
        return [jumps[0] / (3 * (steps[0] + steps[1]))] * 3
    inner = len(jumps)
    below = [steps[i] for i in range(inner)]
    middle = [2 * (steps[i] + steps[i + 1]) for i in range(inner)]
    above = [steps[i + 1] for i in range(inner)]
    first, second, last, before = steps[0], steps[1], steps[-1], steps[-2]
    middle[0] += first + first * first / second
    above[0] -= first * first / second
    middle[-1] += last + last * last / before
    below[-1] -= last * last / before
    bends = _tridiagonal(below, middle, above, jumps)
    start = bends[0] + first / second * (bends[0] - bends[1])
    end = bends[-1] + last / before * (bends[-1] - bends[-2])
    return [start, *bends, end]


def _bends_closed(steps: Sequence[float], values: Sequence[float]) -> list[float]:
    """Second derivatives of the periodic spline, the first repeated: cyclic tridiagonal by
    Sherman–Morrison.
    """
    count = len(steps)
    jumps = _jumps([steps[-1], *steps], [values[-2], *values])
    below = [steps[i - 1] for i in range(count)]
    middle = [2 * (steps[i - 1] + steps[i]) for i in range(count)]
    above = list(steps)
    corner = steps[-1]
    pivot = -middle[0]
    middle[0] -= pivot
    middle[-1] -= corner * corner / pivot
    plain = _tridiagonal(below, middle, above, jumps)
    edge = _tridiagonal(below, middle, above, [pivot, *[0.0] * (count - 2), corner])
    share = (plain[0] + corner * plain[-1] / pivot) / (1 + edge[0] + corner * edge[-1] / pivot)
    bends = [a - share * b for a, b in zip(plain, edge, strict=True)]
    return [*bends, bends[0]]


def _tridiagonal(
    below: Sequence[float], middle: Sequence[float], above: Sequence[float], right: Sequence[float]
) -> list[float]:
    """Solution of a tridiagonal system with a dominant diagonal; below[0] and above[-1] are not used."""
    ratios: list[float] = []
    values: list[float] = []
    for i, pivot in enumerate(middle):
        divisor = pivot - below[i] * ratios[-1] if i else pivot
        ratios.append(above[i] / divisor)
        values.append((right[i] - below[i] * values[-1] if i else right[i]) / divisor)
    for i in range(len(values) - 2, -1, -1):
        values[i] -= ratios[i] * values[i + 1]
    return values


# Drawing a smooth line as arcs


def arcs(traced: Traced, stops: Sequence[float], tolerance: float = TOLERANCE) -> Path:
    """Open path of arcs along a smooth line, two to a stretch, halved until they lie within `tolerance` mm of
    it.

    stops: parameters that the path passes through, in order; the tangent is kept at each of them.
    """
    points: list[Point] = [traced(stops[0])[0]]
    bulges: list[float] = []
    for low, high in pairwise(stops):
        _halve(traced, low, high, tolerance, 0, points, bulges)
    return Path(tuple(points), tuple(bulges), False)


def _halve(
    traced: Traced,
    low: float,
    high: float,
    tolerance: float,
    depth: int,
    points: list[Point],
    bulges: list[float],
) -> None:
    start, end = traced(low), traced(high)
    pair = _biarc(start, end)
    between = [traced(low + (high - low) * k / 8)[0] for k in range(1, 8)]
    if depth < 12 and any(min(_off(piece, point) for piece in pair) > tolerance for point in between):
        middle = (low + high) / 2
        _halve(traced, low, middle, tolerance, depth + 1, points, bulges)
        _halve(traced, middle, high, tolerance, depth + 1, points, bulges)
        return
    for _, to, bulge in pair:
        points.append(to)
        bulges.append(bulge)


def _biarc(start: tuple[Point, Point], end: tuple[Point, Point]) -> list[tuple[Point, Point, float]]:
    """One straight piece, or two arcs with a common tangent, from one point and direction to another.

    Of the family of such pairs the one with equal tangent lengths d: (2 - 2 t0·t1) d² + 2 v·(t0 + t1) d =
    v·v.
    """
    (x0, y0), (ux, uy) = start
    (x1, y1), (wx, wy) = end
    size_u, size_w = math.hypot(ux, uy), math.hypot(wx, wy)
    ux, uy, wx, wy = ux / size_u, uy / size_u, wx / size_w, wy / size_w
    vx, vy = x1 - x0, y1 - y0
    square = vx * vx + vy * vy
    chord = math.sqrt(square)
    if max(abs(ux * vy - uy * vx), abs(wx * vy - wy * vx)) < 1e-12 * chord and ux * vx + uy * vy > 0:
        return [((x0, y0), (x1, y1), 0.0)]
    bow = (ux - wx) ** 2 + (uy - wy) ** 2
    along = vx * (ux + wx) + vy * (uy + wy)
    reach = square / (along + math.sqrt(along * along + bow * square))
    joint = ((x0 + x1 + reach * (ux - wx)) / 2, (y0 + y1 + reach * (uy - wy)) / 2)
    first = _lean(ux, uy, joint[0] - x0, joint[1] - y0)
    second = _lean(x1 - joint[0], y1 - joint[1], wx, wy)
    return [((x0, y0), joint, math.tan(first / 2)), (joint, (x1, y1), math.tan(second / 2))]


def _lean(ax: float, ay: float, bx: float, by: float) -> float:
    """Angle from direction a to direction b, anticlockwise."""
    return math.atan2(ax * by - ay * bx, ax * bx + ay * by)


def _off(piece: tuple[Point, Point, float], point: Point) -> float:
    """Distance of a point from a piece's circle or line."""
    (x0, y0), (x1, y1), bulge = piece
    if abs(bulge) < 1e-9:
        return abs((x1 - x0) * (point[1] - y0) - (y1 - y0) * (point[0] - x0)) / math.dist(piece[0], piece[1])
    return abs(math.dist(piece_centre(piece), point) - piece_radius(piece))


def through(points: Sequence[Point], closed: bool = True, corners: Iterable[int] = ()) -> Path:
    """Smooth path through the points; at those whose index is a corner it breaks. Two corners in a row: a
    straight piece.

    GeometryError 'too-few-points'.
    """
    runs = [_drawn(run) for run in splines(points, closed, corners)]
    places = tuple(point for run in runs for point in run.points[:-1]) + runs[-1].points[-1:]
    path = Path(places, tuple(bulge for run in runs for bulge in run.bulges), False)
    # A closed one ends where it starts.
    return Path(path.points[:-1], path.bulges, True) if closed else path


def splines(points: Sequence[Point], closed: bool = True, corners: Iterable[int] = ()) -> tuple[Curve, ...]:
    """The splines of which a smooth path through the points is made: one, or one from corner to corner.

    GeometryError 'too-few-points'.
    """
    breaks = sorted(set(corners))
    if closed and not breaks:
        return (spline(points, True),)
    if closed:
        ring = [*range(breaks[0], len(points)), *range(breaks[0] + 1)]
        ends = [ring.index(i) for i in breaks] + [len(ring) - 1]
    else:
        ring = list(range(len(points)))
        ends = sorted({0, *breaks, len(ring) - 1})
    return tuple(spline([points[k] for k in ring[a : b + 1]], False) for a, b in pairwise(ends))


def _drawn(curve: Curve) -> Path:
    return arcs(lambda knot: curve_at(curve, knot), curve.knots)


@remembered(512)
def thinned(points: Sequence[Point], tolerance: float, keep: Iterable[int] = ()) -> tuple[int, ...]:
    """Indices of the points of an open polyline that stay when it is drawn within `tolerance` mm: the longest
    chords.

    The ends and the indices in `keep` always stay.
    """
    pinned = sorted({0, len(points) - 1, *keep})
    kept = [0]
    for stop in pinned[1:]:
        while kept[-1] < stop:
            start = end = kept[-1]
            while end < stop and _within(points, start, end + 1, tolerance):
                end += 1
            kept.append(max(end, start + 1))
    return tuple(kept)


def _within(points: Sequence[Point], start: int, end: int, tolerance: float) -> bool:
    (x0, y0), (x1, y1) = points[start], points[end]
    chord = math.hypot(x1 - x0, y1 - y0)
    if not chord:
        return end == start + 1
    return all(
        abs((x1 - x0) * (y - y0) - (y1 - y0) * (x - x0)) <= tolerance * chord
        for x, y in points[start + 1 : end]
    )


# Lines of the offsets


class Line(NamedTuple):
    """A value along x: places and values in mm, slope at each place."""

    places: tuple[float, ...]
    values: tuple[float, ...]
    slopes: tuple[float, ...]


def fair_line(places: Sequence[float], values: Sequence[float]) -> Line:
    """Line through (place, value) by Akima's slopes, which keep a straight run straight; not-a-knot under
    five, straight at two.

    GeometryError 'places-not-in-order' unless the places grow; 'too-few-points' under two.
    """
    if len(places) < 2:
        raise GeometryError("too-few-points", f"a line needs two stations, this one has {len(places)}")
    steps = [b - a for a, b in pairwise(places)]
    for at, step in zip(places, steps, strict=False):
        if step <= 1e-6:
            raise GeometryError(
                "places-not-in-order", f"no station may follow {short(at, 3)} mm at or before it"
            )
    if len(places) < 5:
        bends = _bends_open(steps, values)
        spans = list(zip(steps, values, values[1:], bends, bends[1:], strict=False))
        slopes = [_cubic(h, 0.0, a, b, p, q)[1] for h, a, b, p, q in spans]
        h, a, b, p, q = spans[-1]
        slopes.append(_cubic(h, h, a, b, p, q)[1])
    else:
        slopes = _akima([(b - a) / h for a, b, h in zip(values, values[1:], steps, strict=False)])
    return Line(tuple(places), tuple(values), tuple(slopes))


def _akima(chords: list[float]) -> list[float]:
    """Slopes at the points from those of the chords between them, two more extrapolated at each end."""
    start = [3 * chords[0] - 2 * chords[1], 2 * chords[0] - chords[1]]
    end = [2 * chords[-1] - chords[-2], 3 * chords[-1] - 2 * chords[-2]]
    m = [*start, *chords, *end]
    slopes = []
    for i in range(len(chords) + 1):
        before, after = abs(m[i + 1] - m[i]), abs(m[i + 3] - m[i + 2])
        if before + after < 1e-9:
            slopes.append((m[i + 1] + m[i + 2]) / 2)
        else:
            slopes.append((after * m[i + 1] + before * m[i + 2]) / (before + after))
    return slopes


def line_at(line: Line, place: float) -> tuple[float, float]:
    """Value and slope of a line at a place, mm. GeometryError 'beyond-line' past its ends by more than 1e-6
    mm.
    """
    first, last = line.places[0], line.places[-1]
    if not first - 1e-6 <= place <= last + 1e-6:
        raise GeometryError(
            "beyond-line",
            f"the line runs from {short(first, 2)} to {short(last, 2)} mm, not to {short(place, 2)} mm",
        )
    span = 0
    while span < len(line.places) - 2 and place > line.places[span + 1]:
        span += 1
    a, b = line.places[span], line.places[span + 1]
    step, u = b - a, (place - a) / (b - a)
    rise = line.values[span + 1] - line.values[span]
    left, right = line.slopes[span] * step, line.slopes[span + 1] * step
    # u and 3rd-order corrections about the chord: zero at both ends by construction
    value = line.values[span] + u * rise + u * (1 - u) * ((1 - u) * (left - rise) + u * (rise - right))
    slope = rise + (1 - u) * (1 - 3 * u) * (left - rise) + u * (2 - 3 * u) * (rise - right)
    return value, slope / step
