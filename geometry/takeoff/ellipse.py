"""The ellipse nearest to measured points: the least sum of squared distances, square to the ellipse.

A direct fit starts it (A. Fitzgibbon, M. Pilu, R. Fisher, 1999, in the stable form of R. Halíř and J. Flusser, 1998;
from memory): of all conics with 4ac - b² = 1 the one with the least sum of squares, an eigenvector of a 3 × 3
matrix in closed form. Damped steps on the distances finish it: a distance changes with a size of the ellipse
as the foot of its point does, along the normal there.
"""

import math
from collections.abc import Sequence
from typing import NamedTuple

from ringwright.geometry import outline
from ringwright.geometry.errors import GeometryError
from ringwright.geometry.numbers import finite, total
from ringwright.geometry.path import Path, Point
from ringwright.geometry.takeoff.circle import MOST_POINTS

_STEPS = 60
"""Three times what points take that settle an ellipse; those that do not would go on for ever."""


class Ellipse(NamedTuple):
    """An ellipse: centre, half its longer and half its shorter axis, mm, and the longer's turn from +x, rad (0
    to pi).
    """

    centre: Point
    long: float
    short: float
    turn: float

    @property
    def outline(self) -> Path:
        """The ellipse as an outline, arcs within 0.002 mm."""
        plain = outline.ellipse(2 * self.long, 2 * self.short)
        return outline.moved(outline.turned(plain, self.turn), self.centre)


class EllipseFit(NamedTuple):
    """The ellipse nearest to measured points, and how near it comes.

    rms: root mean square of the distances of the points from it, mm; worst: the greatest, positive where the
    point lies outside; worst_point: its index.
    """

    ellipse: Ellipse
    rms: float
    worst: float
    worst_point: int


def ellipse_fit(points: Sequence[Point], upright: bool = False) -> EllipseFit:
    """The ellipse with the least sum of squared distances from the points, mm.

    upright: its axes stay level and plumb. GeometryError 'too-few-points' under five (four upright),
    'too-many-points' above 500, 'no-ellipse' where the points bend the wrong way or not at all, or leave open which
    ellipse is the nearest.
    """
    if len(points) > MOST_POINTS:
        raise GeometryError("too-many-points", f"a fit takes at most {MOST_POINTS} points, not {len(points)}")
    least = 4 if upright else 5
    if len(points) < least:
        raise GeometryError("too-few-points", f"an ellipse needs {least} points, this one has {len(points)}")
    count = len(points)
    mx = total(finite(x, "a point's x") for x, _ in points) / count
    my = total(finite(y, "a point's y") for _, y in points) / count
    size = max(math.hypot(x - mx, y - my) for x, y in points)
    if size < 1e-6:
        raise _no_ellipse()
    near = [((x - mx) / size, (y - my) / size) for x, y in points]
    sizes = _finished(near, _start(near, upright), upright)
    off = [_distance(sizes, point)[0] * size for point in near]
    worst = max(range(count), key=lambda i: (round(abs(off[i]), 9), -i))
    x, y, a, b, turn = sizes
    if b > a:
        a, b, turn = b, a, turn + math.pi / 2
    turn = turn % math.pi
    if math.pi - turn < 1e-12:
        turn = 0.0
    made = Ellipse((mx + x * size, my + y * size), a * size, b * size, turn)
    return EllipseFit(made, math.sqrt(total(value * value for value in off) / count), off[worst], worst)


def _no_ellipse() -> GeometryError:
    return GeometryError(
        "no-ellipse", "no ellipse fits these points: take more of them, spread round the outline"
    )


_Sizes = tuple[float, float, float, float, float]
"""x, y of the centre, half axes along u and v, turn of u."""


def _start(points: Sequence[Point], upright: bool) -> _Sizes:
    """The direct fit; for an upright one among the conics without a mixed term."""
    squares = [(x * x, 0.0 if upright else x * y, y * y) for x, y in points]
    plain = [(x, y, 1.0) for x, y in points]
    quadratic, mixed, linear = _products(squares, squares), _products(squares, plain), _products(plain, plain)
    columns = [_solved(linear, [-value for value in row]) for row in mixed]
    if any(column is None for column in columns):
        raise _no_ellipse()
    back = [column for column in columns if column is not None]
    # reduced = quadratic + mixed · back, in the order (a, b, c); then the constraint's inverse, rows swapped
    reduced = [
        [quadratic[i][j] + total(mixed[i][k] * back[j][k] for k in range(3)) for j in range(3)]
        for i in range(3)
    ]
    if upright:
        first = _pair(reduced)
    else:
        matrix = [[v / 2 for v in reduced[2]], [-v for v in reduced[1]], [v / 2 for v in reduced[0]]]
        first = _elliptic_vector(matrix)
    rest = [total(back[j][k] * first[j] for j in range(3)) for k in range(3)]
    return _sizes_of(*first, *rest)


def _products(rows: Sequence[Sequence[float]], others: Sequence[Sequence[float]]) -> list[list[float]]:
    return [
        [total(row[i] * other[j] for row, other in zip(rows, others, strict=True)) for j in range(3)]
        for i in range(3)
    ]


def _pair(reduced: list[list[float]]) -> list[float]:
    """(a, 0, c) with 4ac = 1 that makes the sum of squares least: a² p + 2ac q + c² s, so a/c = √(s/p)."""
    p, s = reduced[0][0], reduced[2][2]
    if p <= 0 or s <= 0:
        # Noise of points that lie on an ellipse exactly; a sum of squares is not below 0.
        p, s = max(p, 1e-300), max(s, 1e-300)
    a = (s / p) ** 0.25 / 2
    return [a, 0.0, 1 / (4 * a)]


def _elliptic_vector(m: list[list[float]]) -> list[float]:
    """The eigenvector of a 3 × 3 matrix that is an ellipse, 4ac - b² > 0."""
    trace = m[0][0] + m[1][1] + m[2][2]
    minors = (
        m[0][0] * m[1][1] - m[0][1] * m[1][0]
        + m[0][0] * m[2][2] - m[0][2] * m[2][0]
        + m[1][1] * m[2][2] - m[1][2] * m[2][1]
    )  # fmt: skip
    found: list[tuple[float, list[float]]] = []
    for root in _cubic(-trace, minors, -_determinant(m)):
        rows = [[m[i][j] - (root if i == j else 0.0) for j in range(3)] for i in range(3)]
        crosses = [_cross(rows[i], rows[j]) for i, j in ((0, 1), (0, 2), (1, 2))]
        vector = max(crosses, key=lambda v: math.hypot(*v))
        length = math.hypot(*vector)
        if length > 0:
            a, b, c = (value / length for value in vector)
            found.append((4 * a * c - b * b, [a, b, c]))
    best = max(found, default=(0.0, []), key=lambda item: item[0])
    if best[0] <= 1e-12:
        raise _no_ellipse()
    return best[1]


def _cubic(b: float, c: float, d: float) -> list[float]:
    """Real roots of x³ + b x² + c x + d, each bettered by Newton's steps."""
    p, q = c - b * b / 3, 2 * b**3 / 27 - b * c / 3 + d
    inside = q * q / 4 + p**3 / 27
    if inside > 0:
        root = math.sqrt(inside)
        rough = [math.cbrt(-q / 2 + root) + math.cbrt(-q / 2 - root)]
    else:
        reach = math.sqrt(max(0.0, -p / 3))
        angle = math.acos(max(-1.0, min(1.0, -q / (2 * reach**3)))) if reach else 0.0
        rough = [2 * reach * math.cos((angle - 2 * math.pi * k) / 3) for k in range(3)]
    roots = []
    for value in rough:
        x = value - b / 3
        for _ in range(3):
            slope = c + x * (2 * b + 3 * x)
            if slope:
                x -= (d + x * (c + x * (b + x))) / slope
        roots.append(x)
    return roots


def _determinant(m: list[list[float]]) -> float:
    return total(a * b for a, b in zip(m[0], _cross(m[1], m[2]), strict=True))


def _cross(a: Sequence[float], b: Sequence[float]) -> list[float]:
    return [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]]


def _sizes_of(a: float, b: float, c: float, d: float, e: float, f: float) -> _Sizes:
    """Centre, half axes and turn of a x² + b xy + c y² + d x + e y + f = 0."""
    det = 4 * a * c - b * b
    x, y = (b * e - 2 * c * d) / det, (b * d - 2 * a * e) / det
    level = -(f + (d * x + e * y) / 2)
    turn = math.atan2(b, a - c) / 2
    cos, sin = math.cos(turn), math.sin(turn)
    along = a * cos * cos + b * cos * sin + c * sin * sin
    across = a * sin * sin - b * cos * sin + c * cos * cos
    if level * along <= 0 or level * across <= 0:
        raise _no_ellipse()
    return x, y, math.sqrt(level / along), math.sqrt(level / across), turn


def _distance(sizes: _Sizes, point: Point) -> tuple[float, Point, Point]:
    """Signed distance of a point from an ellipse (positive outside), its foot and the outward normal there, both
    in the ellipse's own axes.
    """
    x, y, a, b, turn = sizes
    cos, sin = math.cos(turn), math.sin(turn)
    u = cos * (point[0] - x) + sin * (point[1] - y)
    v = cos * (point[1] - y) - sin * (point[0] - x)
    foot_u, foot_v = _foot(a, b, abs(u), abs(v)) if a >= b else _foot(b, a, abs(v), abs(u))[::-1]
    foot = (math.copysign(foot_u, u), math.copysign(foot_v, v))
    nu, nv = foot[0] / (a * a), foot[1] / (b * b)
    size = math.hypot(nu, nv)
    normal = (nu / size, nv / size)
    return (u - foot[0]) * normal[0] + (v - foot[1]) * normal[1], foot, normal


def _foot(a: float, b: float, u: float, v: float) -> Point:
    """Nearest point of an ellipse, a >= b, to one in its first quarter: u a² / (t + a²), v b² / (t + b²) with t
    by halving.
    """
    if v == 0.0 and u * a < a * a - b * b:
        foot_u = a * a * u / (a * a - b * b)
        return foot_u, b * math.sqrt(max(0.0, 1 - (foot_u / a) ** 2))
    if v == 0.0:
        return a, 0.0
    low, high = b * (v - b), math.hypot(a * u, b * v) - b * b
    for _ in range(200):
        t = (low + high) / 2
        if t in (low, high):
            break
        if (a * u / (t + a * a)) ** 2 + (b * v / (t + b * b)) ** 2 > 1:
            low = t
        else:
            high = t
    return a * a * u / (high + a * a), b * b * v / (high + b * b)


def _finished(points: Sequence[Point], sizes: _Sizes, upright: bool) -> _Sizes:
    """Sizes with the least sum of squared distances, by damped steps from a start. GeometryError 'no-ellipse'."""
    used = 4 if upright else 5
    best, damping = _squares(points, sizes), 1e-4
    for _ in range(_STEPS):
        found = [_row(sizes, point) for point in points]
        rows, off = [row[:used] for row, _ in found], [distance for _, distance in found]
        matrix = [[total(row[i] * row[j] for row in rows) for j in range(used)] for i in range(used)]
        right = [total(row[i] * value for row, value in zip(rows, off, strict=True)) for i in range(used)]
        while damping < 1e10:
            damped = [
                [value + (damping * (value + 1e-12) if i == j else 0.0) for j, value in enumerate(row)]
                for i, row in enumerate(matrix)
            ]
            step = _solved(damped, right)
            if step is not None:
                x, y, a, b, turn = (s + d for s, d in zip(sizes, [*step, 0.0][:5], strict=True))
                if min(a, b) > 1e-6 and max(a, b) < 1e5:
                    squares = _squares(points, (x, y, a, b, turn))
                    if squares < best:
                        break
            damping *= 10
        else:
            return sizes
        gained = best - squares
        sizes, best, damping = (x, y, a, b, turn), squares, max(damping / 10, 1e-12)
        if gained <= 1e-15 * best:
            return sizes
    raise _no_ellipse()


def _row(sizes: _Sizes, point: Point) -> tuple[list[float], float]:
    """How the foot of a point moves along its normal with x, y, both half axes and the turn; and how far it is."""
    _, _, a, b, turn = sizes
    off, (fu, fv), (nu, nv) = _distance(sizes, point)
    cos, sin = math.cos(turn), math.sin(turn)
    return [cos * nu - sin * nv, sin * nu + cos * nv, fu / a * nu, fv / b * nv, fu * nv - fv * nu], off


def _squares(points: Sequence[Point], sizes: _Sizes) -> float:
    return total(_distance(sizes, point)[0] ** 2 for point in points)


def _solved(matrix: Sequence[Sequence[float]], right: Sequence[float]) -> list[float] | None:
    """Solution of a small system by elimination, largest pivot first; None where it has none."""
    rows = [[*row, value] for row, value in zip(matrix, right, strict=True)]
    count = len(rows)
    for i in range(count):
        pivot = max(range(i, count), key=lambda k: abs(rows[k][i]))
        rows[i], rows[pivot] = rows[pivot], rows[i]
        if abs(rows[i][i]) < 1e-14:
            return None
        for k in range(i + 1, count):
            share = rows[k][i] / rows[i][i]
            rows[k] = [below - share * above for below, above in zip(rows[k], rows[i], strict=True)]
    values = [0.0] * count
    for i in range(count - 1, -1, -1):
        rest = total(rows[i][k] * values[k] for k in range(i + 1, count))
        values[i] = (rows[i][count] - rest) / rows[i][i]
    return values
