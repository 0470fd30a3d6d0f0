"""Whether an outline crosses itself, and where."""

from ringwright.geometry.errors import GeometryError
from ringwright.geometry.meet import lines_meet
from ringwright.geometry.numbers import short
from ringwright.geometry.path import Path, Point, closed, flattened


def crossing(path: Path) -> Point | None:
    """Where a closed path first crosses, touches or folds back on itself; None for a simple outline."""
    points = closed(flattened(path, 0.005)).points
    count = len(points)
    if count < 3:
        return points[0] if points else None
    order = sorted(range(count), key=lambda i: (min(points[i][0], points[(i + 1) % count][0]), i))
    active: list[int] = []
    for i in order:
        a, b = points[i], points[(i + 1) % count]
        left = min(a[0], b[0])
        active = [k for k in active if max(points[k][0], points[(k + 1) % count][0]) >= left]
        for k in active:
            c, d = points[k], points[(k + 1) % count]
            if (k + 1) % count == i:
                hit = _folds(c, a, b)
            elif (i + 1) % count == k:
                hit = _folds(a, c, d)
            else:
                hit = _cross(a, b, c, d)
            if hit:
                return _crossing_point(a, b, c, d)
        active.append(i)
    return None


def simple(path: Path) -> Path:
    """The path itself; GeometryError 'crosses-itself' naming the place where it does."""
    where = crossing(path)
    if where is not None:
        raise GeometryError(
            "crosses-itself",
            f"the outline crosses itself near ({short(where[0], 1)}, {short(where[1], 1)}) mm:"
            " check the order of its points",
        )
    return path


def _side(a: Point, b: Point, c: Point) -> float:
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])


def _folds(a: Point, b: Point, c: Point) -> bool:
    """Whether a-b-c doubles back along itself."""
    return _side(a, b, c) == 0 and (b[0] - a[0]) * (c[0] - b[0]) + (b[1] - a[1]) * (c[1] - b[1]) < 0


def _cross(a: Point, b: Point, c: Point, d: Point) -> bool:
    if (
        max(a[1], b[1]) < min(c[1], d[1])
        or max(c[1], d[1]) < min(a[1], b[1])
        or max(c[0], d[0]) < min(a[0], b[0])
    ):
        return False
    return _side(a, b, c) * _side(a, b, d) <= 0 and _side(c, d, a) * _side(c, d, b) <= 0


def _crossing_point(a: Point, b: Point, c: Point, d: Point) -> Point:
    met = lines_meet((a, (b[0] - a[0], b[1] - a[1])), (c, (d[0] - c[0], d[1] - c[1])))
    return met if met is not None else (b if b in (c, d) else a)
