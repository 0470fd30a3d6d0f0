"""Lines made of straight and circular pieces: the one form in which outlines, holes and marks travel.

Coordinates are mm. A path's piece i runs from points[i] to points[i + 1] (a closed one's last piece back to
points[0]).
"""

import math
from collections.abc import Callable, Iterable, Iterator
from itertools import chain
from typing import NamedTuple, TypeAlias

from ringwright.geometry.errors import GeometryError
from ringwright.geometry.numbers import ceil_safe, finite, rounded, total

Point: TypeAlias = tuple[float, float]
Piece: TypeAlias = tuple[Point, Point, float]


class Path(NamedTuple):
    """A line of straight and circular pieces.

    points: corners, mm; a closed path does not repeat its first point at its end.
    bulges: one per piece: tan of a quarter of the swept angle, positive anticlockwise, 0 for a straight piece
    (len(points) of them when closed, one less when open).
    """

    points: tuple[Point, ...]
    bulges: tuple[float, ...]
    closed: bool


# Making paths


def line(points: Iterable[Point]) -> Path:
    """Open path of straight pieces through the points, in mm."""
    corners = _finite_points(points)
    return Path(corners, (0.0,) * max(0, len(corners) - 1), False)


def closed(points: Iterable[Point]) -> Path:
    """Closed path of straight pieces; a first point repeated at the end, and points within 1e-6 mm, are
    dropped.
    """
    corners: list[Point] = []
    for point in _finite_points(points):
        if not corners or math.dist(corners[-1], point) > 1e-6:
            corners.append(point)
    while len(corners) > 1 and math.dist(corners[0], corners[-1]) <= 1e-6:
        corners.pop()
    return Path(tuple(corners), (0.0,) * len(corners), True)


def arc(centre: Point, radius: float, start: float, sweep: float) -> Path:
    """Open arc of less than a full turn: radius in mm, start and sweep in rad, anticlockwise from +x;
    negative clockwise.
    """
    begin, end = (
        (centre[0] + radius * math.cos(angle), centre[1] + radius * math.sin(angle))
        for angle in (start, start + sweep)
    )
    return Path((begin, end), (bulge_of(sweep),), False)


def bulge_of(sweep: float) -> float:
    """Bulge of a piece that turns through `sweep` rad (less than 2 pi)."""
    return math.tan(sweep / 4)


def sweep_of(bulge: float) -> float:
    """Angle in rad through which a piece turns, positive anticlockwise."""
    return 4 * math.atan(bulge)


def _finite_points(points: Iterable[Point]) -> tuple[Point, ...]:
    found = tuple((x, y) for x, y in points)
    if not all(map(math.isfinite, chain.from_iterable(found))):
        return tuple((finite(x, "a point's x"), finite(y, "a point's y")) for x, y in found)
    return found


# One piece


def pieces(path: Path) -> Iterator[Piece]:
    """(from, to, bulge) of every piece, in order; a bulge below 1e-12 is straight."""
    ends = path.points[1:] + path.points[:1]
    bulges: Iterable[float] = path.bulges
    if any(path.bulges):
        bulges = [bulge if abs(bulge) > 1e-12 else 0.0 for bulge in path.bulges]
    return zip(path.points, ends, bulges, strict=False)


def piece_radius(piece: Piece) -> float:
    """Radius of a circular piece, mm; infinite for a straight one."""
    start, end, bulge = piece
    return math.dist(start, end) * (1 + bulge * bulge) / (4 * abs(bulge)) if bulge else math.inf


def piece_centre(piece: Piece) -> Point:
    """Centre of a circular piece."""
    (x0, y0), (x1, y1), bulge = piece
    lean = (1 - bulge * bulge) / (4 * bulge)
    return (x0 + x1) / 2 - lean * (y1 - y0), (y0 + y1) / 2 + lean * (x1 - x0)


def piece_length(piece: Piece) -> float:
    """Length along a piece, mm."""
    start, end, bulge = piece
    chord = math.dist(start, end)
    half = 2 * math.atan(bulge)
    return chord * half / math.sin(half) if half else chord


def piece_point(piece: Piece, share: float) -> tuple[Point, Point]:
    """Point at a share (0 … 1) of a piece's length, and the unit tangent there.

    Built from the piece's own start and chord, never from its centre, so that almost straight arcs lose
    nothing.
    """
    return tracer(piece)(share)


def tracer(piece: Piece) -> Callable[[float], tuple[Point, Point]]:
    """What `piece_point` says of one piece, ready to be asked at many shares."""
    (x0, y0), (x1, y1), bulge = piece
    dx, dy = x1 - x0, y1 - y0
    chord = math.hypot(dx, dy)
    half = 2 * math.atan(bulge)
    sine = math.sin(half)

    def at(share: float) -> tuple[Point, Point]:
        point = _point_on(x0, y0, dx, dy, half, sine, share)
        if not chord:
            return point, (1.0, 0.0)
        turn = (2 * share - 1) * half
        cos, sin = math.cos(turn) / chord, math.sin(turn) / chord
        return point, (cos * dx - sin * dy, sin * dx + cos * dy)

    return at


def _point_on(x0: float, y0: float, dx: float, dy: float, half: float, sine: float, share: float) -> Point:
    """Point at a share of an arc from (x0, y0) over the chord (dx, dy); half its sweep, rad, and the sine of that."""
    reach = math.sin(share * half) / sine if half else share
    lean = (share - 1) * half
    cos, sin = math.cos(lean), math.sin(lean)
    return x0 + reach * (cos * dx - sin * dy), y0 + reach * (sin * dx + cos * dy)


def divided(piece: Piece, count: int) -> list[Point]:
    """The points that part a piece into `count` of equal length, without its ends."""
    (x0, y0), (x1, y1), bulge = piece
    dx, dy = x1 - x0, y1 - y0
    half = 2 * math.atan(bulge)
    sine = math.sin(half)
    return [_point_on(x0, y0, dx, dy, half, sine, step / count) for step in range(1, count)]


def sagitta(piece: Piece) -> float:
    """Height of a piece over its chord, mm, positive where it bulges to the right of its way."""
    return math.dist(piece[0], piece[1]) * piece[2] / 2


def chords(radius: float, sweep: float, tolerance: float) -> int:
    """Fewest equal chords that stay within `tolerance` mm of an arc of `sweep` rad."""
    if radius <= tolerance:
        return max(1, ceil_safe(abs(sweep) / (math.pi / 2)))
    step = 4 * math.asin(math.sqrt(tolerance / (2 * radius)))
    return max(1, ceil_safe(abs(sweep) / step))


# Measures


def length(path: Path) -> float:
    """Length along the path, mm; exact with arcs."""
    return total(piece_length(piece) for piece in pieces(path))


def on_way(a: Point, b: Point, share: float) -> Point:
    """The place at a share (0 … 1) of the straight way from one to another."""
    return a[0] + share * (b[0] - a[0]), a[1] + share * (b[1] - a[1])


def doubled_area(a: Point, b: Point, c: Point) -> float:
    """Twice the area of a triangle, mm2, positive where its corners run anticlockwise."""
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])


def signed_area(path: Path) -> float:
    """Area within a closed path, mm2, positive when it runs anticlockwise; exact with arcs."""
    x0, y0 = path.points[0]
    areas: list[float] = []
    for (xa, ya), (xb, yb), bulge in pieces(path):
        ax, ay, bx, by = xa - x0, ya - y0, xb - x0, yb - y0
        areas.append((ax * by - ay * bx) / 2)
        if bulge:
            chord = math.hypot(bx - ax, by - ay)
            if chord:
                areas.append(_segment(chord, bulge)[0])
    return total(areas)


def centroid(path: Path) -> Point:
    """Centroid of the area within a closed path; exact with arcs. GeometryError 'no-area' where there is
    none.
    """
    area, along_x, along_y = _moments(path)
    if abs(area) < 1e-9:
        raise GeometryError("no-area", "an outline without area has no centre")
    x0, y0 = path.points[0]
    return x0 + along_x / area, y0 + along_y / area


def _moments(path: Path) -> tuple[float, float, float]:
    """Signed area and its first moments about the path's first point: triangles of the fan, then the arcs'
    segments.
    """
    x0, y0 = path.points[0]
    areas: list[float] = []
    moments_x: list[float] = []
    moments_y: list[float] = []

    def add(area: float, x: float, y: float) -> None:
        areas.append(area)
        moments_x.append(area * x)
        moments_y.append(area * y)

    for (xa, ya), (xb, yb), bulge in pieces(path):
        ax, ay, bx, by = xa - x0, ya - y0, xb - x0, yb - y0
        add((ax * by - ay * bx) / 2, (ax + bx) / 3, (ay + by) / 3)
        chord = math.hypot(bx - ax, by - ay)
        if bulge and chord:
            area, height = _segment(chord, bulge)
            right_x, right_y = (by - ay) / chord, (ax - bx) / chord
            add(area, (ax + bx) / 2 + height * right_x, (ay + by) / 2 + height * right_y)
    return total(areas), total(moments_x), total(moments_y)


def _segment(chord: float, bulge: float) -> tuple[float, float]:
    """Signed area of a circular segment, and how far to the right of its chord its centroid lies (first
    moment c³/12).

    Series below 0.04 rad, where the differences of the closed forms would cancel.
    """
    half = 2 * math.atan(abs(bulge))
    radius = chord / (2 * math.sin(half))
    square = half * half
    if half < 0.02:
        area = 2 / 3 * radius * radius * half * square * (1 - square / 5 * (1 - 2 * square / 21))
        height = radius * square / 5 * (1 - 13 * square / 210)
    else:
        area = radius * radius / 2 * (2 * half - math.sin(2 * half))
        height = chord**3 / (12 * area) - radius * math.cos(half)
    return math.copysign(area, bulge), math.copysign(height, bulge)


def bounds(path: Path) -> tuple[float, float, float, float]:
    """(least x, least y, greatest x, greatest y), mm; exact with arcs."""
    xs = [x for x, _ in path.points]
    ys = [y for _, y in path.points]
    for piece in pieces(path):
        if piece[2]:
            for x, y in _extremes(piece):
                xs.append(x)
                ys.append(y)
    return min(xs), min(ys), max(xs), max(ys)


def _extremes(piece: Piece) -> Iterator[Point]:
    """Points within an arc at which it runs along an axis."""
    (x0, y0), (x1, y1), bulge = piece
    sweep = sweep_of(bulge)
    heading = math.atan2(y1 - y0, x1 - x0) - sweep / 2
    low, high = sorted((heading, heading + sweep))
    for quarter in range(math.ceil(low / (math.pi / 2)), math.floor(high / (math.pi / 2)) + 1):
        yield piece_point(piece, (quarter * math.pi / 2 - heading) / sweep)[0]


def flattened(path: Path, tolerance: float) -> tuple[Point, ...]:
    """Corners of the path with its arcs cut into equal chords within `tolerance` mm; a closed one does not
    repeat its first.

    The number of chords depends on radius, sweep and tolerance alone.
    """
    points: list[Point] = []
    for piece in pieces(path):
        points.append(piece[0])
        if piece[2]:
            count = chords(piece_radius(piece), sweep_of(piece[2]), tolerance)
            points.extend(divided(piece, count))
    if not path.closed and path.points:
        points.append(path.points[-1])
    return tuple(points)


def point_at(path: Path, distance: float) -> tuple[Point, Point]:
    """Point at a distance along the path from its start, mm, and the unit tangent there; clamped to its
    ends.
    """
    left = max(0.0, distance)
    last = None
    for piece in pieces(path):
        along = piece_length(piece)
        if along > 0:
            if left <= along:
                return piece_point(piece, left / along)
            last = piece
        left -= along
    if last is None:
        raise GeometryError("no-length", "a path without length has no points along it")
    return piece_point(last, 1.0)


# Moving and turning


def _mapped(path: Path, points: Iterable[Point], flip: bool = False) -> Path:
    bulges = tuple(-bulge for bulge in path.bulges) if flip else path.bulges
    return Path(_finite_points(points), bulges, path.closed)


def moved(path: Path, by: Point) -> Path:
    """Path moved by (x, y) mm."""
    return _mapped(path, ((x + by[0], y + by[1]) for x, y in path.points))


def turned(path: Path, angle: float, about: Point = (0.0, 0.0)) -> Path:
    """Path turned anticlockwise by `angle` rad; whole quarter turns are exact."""
    quarters = angle / (math.pi / 2)
    if abs(quarters - round(quarters)) < 1e-12:
        cos, sin = ((1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0))[round(quarters) % 4]
    else:
        cos, sin = math.cos(angle), math.sin(angle)
    cx, cy = about
    return _mapped(
        path,
        (
            (cx + cos * (x - cx) - sin * (y - cy), cy + sin * (x - cx) + cos * (y - cy))
            for x, y in path.points
        ),
    )


def mirrored(path: Path) -> Path:
    """Path mirrored left for right (x to -x). A closed one runs the other way round afterwards: see
    `canonical`.
    """
    return _mapped(path, ((0.0 - x, y) for x, y in path.points), flip=True)


def scaled(path: Path, factor: float) -> Path:
    """Path scaled about the origin by a factor above 0."""
    return _mapped(path, ((x * factor, y * factor) for x, y in path.points))


def reversed_path(path: Path) -> Path:
    """The same line run the other way; a closed one keeps its first point."""
    if path.closed:
        points = path.points[:1] + path.points[:0:-1]
    else:
        points = path.points[::-1]
    return Path(points, tuple(-bulge for bulge in reversed(path.bulges)), path.closed)


def canonical(path: Path) -> Path:
    """A closed path anticlockwise and from its smallest corner (x, then y, compared to 1e-6 mm); open ones
    unchanged.

    -0.0 becomes 0.0, so that equal outlines are equal values.
    """
    if not path.closed or not path.points:
        return path
    if signed_area(path) < 0:
        path = reversed_path(path)
    # Rounding takes its time, and only the leftmost can be the smallest.
    least = min(x for x, _ in _finite_points(path.points))
    left = [index for index, (x, _) in enumerate(path.points) if x <= least + 2e-6]
    first = min(left, key=lambda index: tuple(rounded(value, 6) for value in path.points[index]))
    points = path.points[first:] + path.points[:first]
    bulges = path.bulges[first:] + path.bulges[:first]
    return Path(tuple((x + 0.0, y + 0.0) for x, y in points), tuple(bulge + 0.0 for bulge in bulges), True)


def as_hole(path: Path) -> Path:
    """A closed path clockwise and from its smallest corner: how holes run."""
    return reversed_path(canonical(path))
