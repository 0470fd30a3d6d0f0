"""Two outlines combined, their arcs kept: joined, one less the other, what both cover.

shapely works it out on chords of 0.001 mm, whose corners it leaves where they were. So every edge of the result is
known by the chord it lies on, and that by its piece; edges of one piece become that piece again, and where two
pieces meet their circles and lines say exactly where. What doesn't work out so stays in chords, and so
may a circle that both outlines share but begin at different places.
"""

import math
from typing import TYPE_CHECKING, NamedTuple

from ringwright.geometry.crossing import crossing
from ringwright.geometry.meet import share_on, supports_meet
from ringwright.geometry.path import (
    Path,
    Piece,
    Point,
    bulge_of,
    canonical,
    chords,
    closed,
    length,
    piece_point,
    piece_radius,
    pieces,
    signed_area,
    sweep_of,
)

if TYPE_CHECKING:
    from shapely import Polygon

CHORDS = 0.001
_ON = 1e-7
_NEAR = 0.1


class _Chord(NamedTuple):
    start: Point
    end: Point
    piece: Piece


def flat(outline: Path) -> "Polygon":
    """An outline as shapely's polygon, arcs cut to chords of 0.001 mm."""
    from shapely import Polygon

    return Polygon([chord.start for chord in _chords(outline)])


def with_arcs(shape: "Polygon", a: Path, b: Path) -> Path:
    """The outer ring of what shapely made of two outlines, its arcs theirs again, canonical."""
    ring = closed(shape.exterior.coords)
    if signed_area(ring) < 0:
        ring = closed(ring.points[::-1])
    restored = _restored(list(ring.points), [*_chords(a), *_chords(b)])
    if restored is not None:
        restored = canonical(without_needless(restored))
        off = abs(signed_area(restored) - signed_area(ring))
        if off <= 2 * CHORDS * length(ring) + 1e-6 and crossing(restored) is None:
            return restored
    return canonical(without_needless(ring))


def without_needless(outline: Path) -> Path:
    """A closed path without the corners at which straight pieces run on within 1e-7 mm."""
    count = len(outline.points)
    kept = []
    for k, point in enumerate(outline.points):
        before, after = outline.points[k - 1], outline.points[(k + 1) % count]
        dx, dy = after[0] - before[0], after[1] - before[1]
        off = abs(dx * (point[1] - before[1]) - dy * (point[0] - before[0]))
        if outline.bulges[k - 1] or outline.bulges[k] or off > _ON * math.hypot(dx, dy):
            kept.append(k)
    return Path(tuple(outline.points[k] for k in kept), tuple(outline.bulges[k] for k in kept), True)


def _chords(outline: Path) -> list[_Chord]:
    found = []
    for piece in pieces(outline):
        count = chords(piece_radius(piece), sweep_of(piece[2]), CHORDS) if piece[2] else 1
        points = [piece[0], *(piece_point(piece, k / count)[0] for k in range(1, count)), piece[1]]
        found += [_Chord(points[k], points[k + 1], piece) for k in range(count)]
    return found


def _restored(points: list[Point], every: list[_Chord]) -> Path | None:
    """The ring of points as pieces; None where one of its edges lies on no chord."""
    beside: dict[Point, list[_Chord]] = {}
    for chord in every:
        beside.setdefault(chord.start, []).append(chord)
        beside.setdefault(chord.end, []).append(chord)
    owners: list[Piece] = []
    for start, end in zip(points, points[1:] + points[:1], strict=True):
        near = [*beside.get(start, ()), *beside.get(end, ())] or every
        owner = next((chord.piece for chord in near if _lies_on(start, end, chord)), None)
        if owner is None:
            return None
        owners.append(owner)
    turns = [k for k in range(len(points)) if owners[k - 1] != owners[k]]
    if len(turns) < 2:
        return None
    corners = [_corner(points[k], owners[k - 1], owners[k]) for k in turns]
    kept: list[tuple[Point, float]] = []
    for place, start in enumerate(corners):
        end = corners[(place + 1) % len(corners)]
        bulge = _bulge(owners[turns[place]], start, end)
        if bulge is None:
            return None
        if math.dist(start, end) > _ON:
            kept.append((start, bulge))
    return Path(tuple(start for start, _ in kept), tuple(bulge for _, bulge in kept), True)


def _lies_on(start: Point, end: Point, chord: _Chord) -> bool:
    (x, y), (dx, dy) = chord.start, (chord.end[0] - chord.start[0], chord.end[1] - chord.start[1])
    size = math.hypot(dx, dy)
    for px, py in (start, end):
        along = ((px - x) * dx + (py - y) * dy) / size
        if abs((px - x) * dy - (py - y) * dx) > _ON * size or not -_ON <= along <= size + _ON:
            return False
    return True


def _corner(rough: Point, before: Piece, after: Piece) -> Point:
    """Where two pieces meet, from where their chords do."""
    if rough in before[:2] and rough in after[:2]:
        return rough
    met = [point for point in supports_meet(before, after) if math.dist(point, rough) < _NEAR]
    return min(met, key=lambda point: math.dist(point, rough), default=rough)


def _bulge(piece: Piece, start: Point, end: Point) -> float | None:
    """Bulge of the part of a piece between two of its points, run either way; None where there is none."""
    if not piece[2]:
        return 0.0
    if (start, end) in (piece[:2], piece[1::-1]):
        return piece[2] if start == piece[0] else -piece[2]
    sweep = (share_on(piece, end) - share_on(piece, start)) * sweep_of(piece[2])
    return bulge_of(sweep) if abs(sweep) < 2 * math.pi - 1e-9 else None
