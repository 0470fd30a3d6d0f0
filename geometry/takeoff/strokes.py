"""What outlines of a drawing are made of: straight strokes, cubics and elliptical arcs. All three stay what they are
under any affine transform, so transforms are honoured exactly; arcs of circles only come at the end.
"""

import math
from collections.abc import Iterable, Sequence
from typing import NamedTuple, TypeAlias

from ringwright.geometry import curve
from ringwright.geometry.path import Path, Point, bulge_of


class Matrix(NamedTuple):
    """x' = a x + c y + e, y' = b x + d y + f, the order in which SVG writes it."""

    a: float
    b: float
    c: float
    d: float
    e: float
    f: float

    def point(self, at: Point) -> Point:
        """A point moved."""
        return self.a * at[0] + self.c * at[1] + self.e, self.b * at[0] + self.d * at[1] + self.f

    def vector(self, by: Point) -> Point:
        """A direction turned and stretched."""
        return self.a * by[0] + self.c * by[1], self.b * by[0] + self.d * by[1]

    def after(self, first: "Matrix") -> "Matrix":
        """This transform of what the first has transformed."""
        a, b = self.vector((first.a, first.b))
        c, d = self.vector((first.c, first.d))
        e, f = self.point((first.e, first.f))
        return Matrix(a, b, c, d, e, f)


PLAIN = Matrix(1.0, 0.0, 0.0, 1.0, 0.0, 0.0)


class Straight(NamedTuple):
    """A straight stroke."""

    start: Point
    end: Point


class Cubic(NamedTuple):
    """A cubic stroke by its four control points."""

    start: Point
    first: Point
    second: Point
    end: Point


class Round(NamedTuple):
    """An arc of an ellipse: centre + u cos t + v sin t from t = begin by sweep, rad; its ends as written."""

    start: Point
    end: Point
    centre: Point
    u: Point
    v: Point
    begin: float
    sweep: float


Stroke: TypeAlias = Straight | Cubic | Round


class Trace(NamedTuple):
    """One subpath: strokes, each from the end of the last. closed: whether it is said to be."""

    strokes: tuple[Stroke, ...]
    closed: bool


def quadratic(start: Point, middle: Point, end: Point) -> Cubic:
    """A quadratic stroke as the cubic that it is."""
    first, second = (
        (a[0] + 2 * (b[0] - a[0]) / 3, a[1] + 2 * (b[1] - a[1]) / 3)
        for a, b in ((start, middle), (end, middle))
    )
    return Cubic(start, first, second, end)


def arc_between(
    start: Point, end: Point, rx: float, ry: float, turn: float, large: bool, positive: bool
) -> Stroke:
    """The elliptical arc of SVG 1.1, F.6, from its two ends; radii that are too small are scaled up as it says.

    turn: of the ellipse, rad. large: more than half a turn; positive: towards growing angles.
    """
    rx, ry = abs(rx), abs(ry)
    if not rx or not ry or start == end:
        return Straight(start, end)
    cos, sin = math.cos(turn), math.sin(turn)
    dx, dy = (start[0] - end[0]) / 2, (start[1] - end[1]) / 2
    x, y = (cos * dx + sin * dy) / rx, (cos * dy - sin * dx) / ry
    square = x * x + y * y
    if square >= 1:
        grow = math.sqrt(square)
        rx, ry, x, y, square = rx * grow, ry * grow, x / grow, y / grow, 1.0
    reach = math.sqrt(max(0.0, (1 - square) / square))
    if large == positive:
        reach = -reach
    cx, cy = reach * y, -reach * x
    begin, finish = math.atan2(y - cy, x - cx), math.atan2(-y - cy, -x - cx)
    sweep = (finish - begin) % (2 * math.pi)
    if not positive:
        sweep -= 2 * math.pi
    u, v = (rx * cos, rx * sin), (-ry * sin, ry * cos)
    middle = ((start[0] + end[0]) / 2, (start[1] + end[1]) / 2)
    centre = (middle[0] + u[0] * cx + v[0] * cy, middle[1] + u[1] * cx + v[1] * cy)
    return Round(start, end, centre, u, v, begin, sweep)


def moved(trace: Trace, matrix: Matrix) -> Trace:
    """A subpath under a transform."""
    return Trace(tuple(_moved(stroke, matrix) for stroke in trace.strokes), trace.closed)


def _moved(stroke: Stroke, m: Matrix) -> Stroke:
    if isinstance(stroke, Straight):
        return Straight(m.point(stroke.start), m.point(stroke.end))
    if isinstance(stroke, Cubic):
        return Cubic(*(m.point(at) for at in stroke))
    return Round(
        m.point(stroke.start), m.point(stroke.end), m.point(stroke.centre), m.vector(stroke.u),
        m.vector(stroke.v), stroke.begin, stroke.sweep,
    )  # fmt: skip


def extent(traces: Iterable[Trace]) -> tuple[float, float, float, float]:
    """(least x, least y, greatest x, greatest y) of a box that holds all strokes, if not the tightest."""
    points: list[Point] = []
    for stroke in (stroke for trace in traces for stroke in trace.strokes):
        if isinstance(stroke, Round):
            (x, y), (ux, uy), (vx, vy) = stroke.centre, stroke.u, stroke.v
            dx, dy = math.hypot(ux, vx), math.hypot(uy, vy)
            points += [(x - dx, y - dy), (x + dx, y + dy)]
        else:
            points += stroke
    xs, ys = [x for x, _ in points], [y for _, y in points]
    return min(xs), min(ys), max(xs), max(ys)


def drawn(strokes: Iterable[Stroke], tolerance: float) -> Path:
    """Strokes as an open path of straight pieces and arcs, within a tolerance; nothing of no length."""
    points: list[Point] = []
    bulges: list[float] = []
    for stroke in strokes:
        part = _drawn(stroke, tolerance)
        points = points or [part.points[0]]
        for point, bulge in zip(part.points[1:], part.bulges, strict=True):
            if math.dist(points[-1], point) > 1e-9 * tolerance:
                points.append(point)
                bulges.append(bulge)
    return Path(tuple(points), tuple(bulges), False)


def _drawn(stroke: Stroke, tolerance: float) -> Path:
    if isinstance(stroke, Straight):
        return Path((stroke.start, stroke.end), (0.0,), False)
    if isinstance(stroke, Cubic):
        return _drawn_cubic(stroke, tolerance)
    return _drawn_round(stroke, tolerance)


def _drawn_round(stroke: Round, tolerance: float) -> Path:
    """A circle's arc exactly, in pieces of less than half a turn; an ellipse's as arcs."""
    (ux, uy), (vx, vy) = stroke.u, stroke.v
    size = math.hypot(ux, uy)
    parts = max(1, math.ceil(abs(stroke.sweep) / (math.pi / 2) - 1e-9))
    angles = [stroke.begin + stroke.sweep * k / parts for k in range(parts + 1)]

    def traced(angle: float) -> tuple[Point, Point]:
        cos, sin = math.cos(angle), math.sin(angle)
        way = math.copysign(1.0, stroke.sweep)
        return (
            (stroke.centre[0] + ux * cos + vx * sin, stroke.centre[1] + uy * cos + vy * sin),
            (way * (vx * cos - ux * sin), way * (vy * cos - uy * sin)),
        )

    if abs(size - math.hypot(vx, vy)) <= 1e-9 * size and abs(ux * vx + uy * vy) <= 1e-9 * size * size:
        bulge = bulge_of(math.copysign(stroke.sweep / parts, (ux * vy - uy * vx) * stroke.sweep))
        points = [traced(angle)[0] for angle in angles]
        made = Path(tuple(points), (bulge,) * parts, False)
    elif abs(ux * vy - uy * vx) <= 1e-12 * max(size, math.hypot(vx, vy)) ** 2:
        made = Path((stroke.start, stroke.end), (0.0,), False)  # squashed flat: no area either way
    else:
        made = curve.arcs(traced, angles, tolerance)
    return Path((stroke.start, *made.points[1:-1], stroke.end), made.bulges, False)


def _drawn_cubic(stroke: Cubic, tolerance: float) -> Path:
    """Arcs where the cubic runs smoothly, chords round a cusp, where it has no direction to keep."""
    if _flat(stroke, 1e-6 * tolerance):
        return Path((stroke.start, stroke.end), (0.0,), False)

    def traced(t: float) -> tuple[Point, Point]:
        return _cubic_at(stroke, t)

    try:
        made = curve.arcs(traced, (0.0, 0.25, 0.5, 0.75, 1.0), tolerance)
    except ZeroDivisionError:
        return _chords(stroke, tolerance)
    inside = all(abs(bulge) < 1 for bulge in made.bulges)
    return (
        Path((stroke.start, *made.points[1:-1], stroke.end), made.bulges, False)
        if inside
        else _chords(stroke, tolerance)
    )


def _cubic_at(stroke: Cubic, t: float) -> tuple[Point, Point]:
    """Point and direction at a parameter; at an end with a control point on it the direction is to the next."""
    s = 1 - t
    weights = (s * s * s, 3 * s * s * t, 3 * s * t * t, t * t * t)
    at = _mixed(stroke, weights)
    slope = _mixed(stroke, (-s * s, s * s - 2 * s * t, 2 * s * t - t * t, t * t))
    size = max(math.dist(stroke[i], stroke[0]) for i in (1, 2, 3))
    if math.hypot(*slope) > 1e-9 * size:
        return at, slope
    bend = _mixed(stroke, (s, 3 * t - 2, 1 - 3 * t, t))
    way = 1.0 if t < 0.5 else -1.0
    if math.hypot(*bend) > 1e-9 * size:
        return at, (way * bend[0], way * bend[1])
    return at, (stroke.end[0] - stroke.start[0], stroke.end[1] - stroke.start[1])


def _mixed(points: Sequence[Point], weights: Sequence[float]) -> Point:
    return (
        math.fsum(w * x for w, (x, _) in zip(weights, points, strict=True)),
        math.fsum(w * y for w, (_, y) in zip(weights, points, strict=True)),
    )


def _chords(stroke: Cubic, tolerance: float, depth: int = 0) -> Path:
    """A cubic halved until its control points lie on its chord."""
    if depth >= 16 or _flat(stroke, tolerance):
        return Path((stroke.start, stroke.end), (0.0,), False)
    a, b, c, d = stroke
    ab, bc, cd = _half(a, b), _half(b, c), _half(c, d)
    abc, bcd = _half(ab, bc), _half(bc, cd)
    middle = _half(abc, bcd)
    first = _chords(Cubic(a, ab, abc, middle), tolerance, depth + 1)
    second = _chords(Cubic(middle, bcd, cd, d), tolerance, depth + 1)
    return Path((*first.points, *second.points[1:]), (*first.bulges, *second.bulges), False)


def _half(a: Point, b: Point) -> Point:
    return (a[0] + b[0]) / 2, (a[1] + b[1]) / 2


def _flat(stroke: Cubic, tolerance: float) -> bool:
    """Whether both control points lie on the chord, within a tolerance, and between its ends."""
    (x, y), (dx, dy) = stroke.start, (stroke.end[0] - stroke.start[0], stroke.end[1] - stroke.start[1])
    size = math.hypot(dx, dy)
    for px, py in (stroke.first, stroke.second):
        if size <= tolerance:
            if math.hypot(px - x, py - y) > tolerance:
                return False
            continue
        along = ((px - x) * dx + (py - y) * dy) / size
        if (
            abs((px - x) * dy - (py - y) * dx) > tolerance * size
            or not -tolerance <= along <= size + tolerance
        ):
            return False
    return True
