"""Outlines moved in or out by a distance, and whether an outline crosses itself.

Straight and circular pieces move exactly, corners are mitred. What does not work out piece by piece (spikes
past the mitre limit, pieces that vanish far from a corner) goes through shapely's buffer on chords of 0.001
mm.
"""

import math
from itertools import pairwise
from typing import TYPE_CHECKING, NamedTuple

from ringwright.geometry.crossing import crossing
from ringwright.geometry.errors import GeometryError
from ringwright.geometry.meet import distance_to, share_on, supports_meet
from ringwright.geometry.numbers import short
from ringwright.geometry.path import (
    Path,
    Piece,
    Point,
    bulge_of,
    canonical,
    closed,
    flattened,
    piece_point,
    piece_radius,
    pieces,
    signed_area,
    sweep_of,
)

if TYPE_CHECKING:
    from shapely import Geometry, Polygon

MITRE_LIMIT = 10.0
_CHORDS = 0.001
_SMOOTH = 1e-6
_ON = 1e-9
_MOST_DROPPED = 40


def inset(outline: Path, distance: float) -> Path:
    """Outline moved inwards by `distance` mm (outwards when negative), corners mitred, canonical.

    GeometryError 'inset-too-deep' where nothing is left, 'waist-too-narrow' where it falls in pieces,
    'gap-closes' where an outset closes a gap to an island.
    """
    outline = canonical(outline)
    if not distance:
        return outline
    if outline.bulges == (1.0, 1.0) and distance < math.dist(*outline.points) / 2 - 1e-9:
        (x0, y), (x1, _) = outline.points
        return Path(((x0 + distance, y), (x1 - distance, y)), outline.bulges, True)
    exact = _piecewise(outline, distance)
    return canonical(exact if exact is not None else _buffered(outline, distance))


def tightest_bend(outline: Path) -> float:
    """Least radius of the arcs that bulge outwards, mm; infinite without any. An inset beyond it trims a
    cusp.
    """
    radii = [piece_radius(piece) for piece in pieces(canonical(outline)) if piece[2] > 1e-9]
    return min(radii, default=math.inf)


class _Joint(NamedTuple):
    """Where two moved pieces meet: indices of the one that ends there and the one that starts there."""

    before: int
    after: int
    at: Point


def _piecewise(outline: Path, distance: float) -> Path | None:
    """Every piece moved to its left, joined anew at the corners; None where that is no outline.

    Pieces that overlap at a corner are cut where they cross, and those between fall away, as do arcs tighter
    than the inset; across a gap the pieces run on to a mitre.
    """
    old = list(pieces(outline))
    moved = [_moved_piece(piece, distance) for piece in old]
    joints: dict[tuple[int, int], _Joint] = {}
    for i in range(len(old)):
        turn = _turn(old[i - 1], old[i])
        whole = moved[i - 1] is not None and moved[i] is not None
        if whole and turn is not None and abs(turn) < _SMOOTH:
            continue
        overlaps = not whole or turn is None or turn * distance > 0
        joint = _cut(old, moved, i, distance) if overlaps else _mitre(old, moved, i, distance)
        if joint is None:
            return None
        joints[joint.before, joint.after] = joint
    path = _assembled(old, moved, sorted(joints.values()))
    return path if path is not None and signed_area(path) > 0 and crossing(path) is None else None


def _moved_piece(piece: Piece, distance: float) -> Piece | None:
    """A piece moved to its left; None for an arc that vanishes."""
    if piece[2] and piece_radius(piece) - math.copysign(distance, piece[2]) <= 1e-9:
        return None
    ends = []
    for share in (0.0, 1.0):
        (x, y), (dx, dy) = piece_point(piece, share)
        ends.append((x - distance * dy, y + distance * dx))
    return ends[0], ends[1], piece[2]


def _turn(before: Piece, after: Piece) -> float | None:
    """Sine of the turn at a corner, positive to the left; None for a hairpin."""
    ax, ay = piece_point(before, 1.0)[1]
    bx, by = piece_point(after, 0.0)[1]
    turn = ax * by - ay * bx
    return None if abs(turn) < _SMOOTH and ax * bx + ay * by < 0 else turn


def _mitre(old: list[Piece], moved: list[Piece | None], i: int, distance: float) -> _Joint | None:
    """The pieces at corner i run on until they meet, nearest to the corner."""
    count = len(old)
    before, after = moved[i - 1], moved[i]
    if before is None or after is None:
        return None
    corner = old[i][0]
    at = min(supports_meet(before, after), key=lambda point: math.dist(point, corner), default=None)
    if at is None or math.dist(at, corner) > MITRE_LIMIT * abs(distance):
        return None
    return _Joint((i - 1) % count, i, at)


def _cut(old: list[Piece], moved: list[Piece | None], i: int, distance: float) -> _Joint | None:
    """The first crossing of pieces before corner i with pieces after it that keeps its distance from the old
    outline.
    """
    count = len(old)
    for dropped in range(min(count - 1, _MOST_DROPPED)):
        for back in range(dropped + 1):
            first, second = (i - 1 - back) % count, (i + dropped - back) % count
            before, after = moved[first], moved[second]
            if before is None or after is None or first == second:
                continue
            for at in supports_meet(before, after):
                on_both = all(-_ON <= share_on(piece, at) <= 1 + _ON for piece in (before, after))
                clear = dropped == 0 or all(distance_to(piece, at) >= abs(distance) - 1e-6 for piece in old)
                if on_both and clear:
                    return _Joint(first, second, at)
    return None


def _assembled(old: list[Piece], moved: list[Piece | None], joints: list[_Joint]) -> Path | None:
    """Path of the pieces that are left; None where joints contradict each other or a piece has turned
    about.
    """
    count = len(old)
    starts = {joint.after: joint.at for joint in joints}
    ends = {joint.before: joint for joint in joints}
    if len(starts) < len(joints) or len(ends) < len(joints):
        return None
    first = joints[0].after if joints else 0
    points: list[Point] = []
    bulges: list[float] = []
    index = first
    for _ in range(count):
        piece = moved[index]
        if piece is None:
            return None
        joint = ends.get(index)
        start, end = starts.get(index, piece[0]), joint.at if joint else piece[1]
        bulge = piece[2] if index not in starts and joint is None else _new_bulge(piece, start, end)
        if bulge is None:
            return None
        points.append(start)
        bulges.append(bulge)
        index = joint.after if joint else (index + 1) % count
        if index == first:
            return Path(tuple(points), tuple(bulges), True)
    return None


def _new_bulge(piece: Piece, start: Point, end: Point) -> float | None:
    """Bulge of a moved piece between new ends; None where it has turned about."""
    if not piece[2]:
        (x0, y0), (x1, y1) = piece[0], piece[1]
        return 0.0 if (x1 - x0) * (end[0] - start[0]) + (y1 - y0) * (end[1] - start[1]) > 0 else None
    share = share_on(piece, end) - share_on(piece, start)
    sweep = share * sweep_of(piece[2])
    return bulge_of(sweep) if share > 0 and abs(sweep) < 2 * math.pi else None


def _buffered(outline: Path, distance: float) -> Path:
    """The same by shapely; its ring comes back clockwise and from another point, so callers make it
    canonical.
    """
    from shapely import Polygon

    flat = Polygon(flattened(outline, _CHORDS))
    left = _shrunk(flat, distance)
    if left.is_empty or left.geom_type != "Polygon":
        allowed = _deepest(flat, distance, falls_apart=not left.is_empty)
        if left.is_empty:
            raise GeometryError(
                "inset-too-deep",
                f"an inset of {short(distance, 2)} mm leaves nothing of this outline:"
                f" {short(distance - allowed, 2)} mm too much",
            )
        raise GeometryError(
            "waist-too-narrow",
            f"an inset of {short(distance, 2)} mm cuts this outline in pieces: its waist is"
            f" {short(2 * (distance - allowed), 2)} mm too narrow",
        )
    return outer_ring(
        left, "gap-closes", f"an outset of {short(-distance, 2)} mm closes a gap in this outline"
    )


def _shrunk(flat: "Polygon", distance: float) -> "Geometry":
    return flat.buffer(-distance, quad_segs=32, join_style="mitre", mitre_limit=MITRE_LIMIT)


def _deepest(flat: "Polygon", distance: float, falls_apart: bool) -> float:
    """Greatest inset that still leaves one piece (or anything at all), mm, by halving to 1e-6 of the asked
    one.
    """
    low, high = 0.0, distance
    for _ in range(20):
        middle = (low + high) / 2
        left = _shrunk(flat, middle)
        fails = left.geom_type != "Polygon" if falls_apart else left.is_empty
        low, high = (low, middle) if fails else (middle, high)
    return low


def outer_ring(shape: "Geometry", code: str, message: str) -> Path:
    """Outer ring of a shapely polygon as a canonical path, points in line dropped; GeometryError where it has
    holes.
    """
    if shape.interiors:
        raise GeometryError(code, message)
    points = list(closed(shape.exterior.coords).points)
    kept = [p for i, p in enumerate(points) if _stands_out(points[i - 1], p, points[(i + 1) % len(points)])]
    return canonical(closed(kept))


def _stands_out(before: Point, point: Point, after: Point) -> bool:
    """Whether a point lies more than 1e-7 mm off the line of its neighbours."""
    base = math.dist(before, after)
    dx, dy = after[0] - before[0], after[1] - before[1]
    return abs(dx * (point[1] - before[1]) - dy * (point[0] - before[0])) > 1e-7 * base


def alongside(line: Path, distance: float) -> Path:
    """An open line moved to its left by `distance` mm (to its right when negative), its pieces joined anew.

    GeometryError 'inset-too-deep' where an arc of it is tighter than that.
    """
    old = list(pieces(line))
    moved = []
    for piece in old:
        found = _moved_piece(piece, distance)
        if found is None:
            raise GeometryError(
                "inset-too-deep", f"a line {short(abs(distance), 2)} mm beside this one has no bend"
            )
        moved.append(found)
    joints = [moved[0][0]]
    for i in range(1, len(moved)):
        meets = supports_meet(moved[i - 1], moved[i])
        smooth = abs(_turn(old[i - 1], old[i]) or 0.0) < _SMOOTH or not meets
        corner = old[i][0]
        joints.append(moved[i][0] if smooth else _nearest(meets, corner))
    joints.append(moved[-1][1])
    bulges = [
        piece[2] if (piece[0], piece[1]) == ends else _new_bulge(piece, *ends) or 0.0
        for piece, ends in zip(moved, pairwise(joints), strict=True)
    ]
    return Path(tuple(joints), tuple(bulges), False)


def _nearest(points: list[Point], to: Point) -> Point:
    return min(points, key=lambda point: math.dist(point, to))
