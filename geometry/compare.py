"""What is different between two cut parts: by how much, and whether one can still be made from the other.

All mm. Two lines are the same where no place on either is further than `SAME` from the other. Old lines are first moved
as a whole, so that a part that was only drawn elsewhere in its frame is the same part.
"""

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING, Any, NamedTuple, TypeAlias

from ringwright.geometry.errors import GeometryError
from ringwright.geometry.numbers import rounded, snap
from ringwright.geometry.path import (
    Path,
    Point,
    bounds,
    centroid,
    flattened,
    line,
    moved,
    pieces,
    reversed_path,
    sagitta,
)

if TYPE_CHECKING:
    from shapely import LineString, Polygon

SAME = 0.001
"""What lies no further apart is unchanged."""

_COARSE, _FINE = 0.001, 0.0001
"""How far chords may miss an arc: where a distance is reported, and where it decides."""

_CLEAR = 0.3
"""Old lines nearer than this to a new cut are not drawn: they would blur it."""

Tagged: TypeAlias = tuple[str, Path]
"""A line that is not cut through, and all that it says: its sort, its words, its depth."""


class Cut(NamedTuple):
    """All that is cut through of a part."""

    outline: Path
    holes: tuple[Path, ...]


class Change(NamedTuple):
    """How a part differs from an old one.

    shift: by what the old lines are moved to lie under the new ones. outline: greatest distance between both outlines,
    0 where they are the same. holes: the same for each hole that moved or changed, largest first. more, fewer: holes
    that have no old one, and old ones that have no new one. less: the new part lies within the old one, so that
    cutting alone makes it from that.
    """

    shift: Point
    outline: float
    holes: tuple[float, ...]
    more: int
    fewer: int
    less: bool

    @property
    def same(self) -> bool:
        """Whether nothing is different but perhaps where the part lies in its frame."""
        return not (self.outline or self.holes or self.more or self.fewer)


def changed(old: Cut, new: Cut) -> Change:
    """Compare two parts."""
    shifts = _shifts(old.outline, new.outline)
    for shift in shifts:
        if same_line(_moved(old.outline, shift), new.outline):
            return _judged(old, new, shift, 0.0)
    found = []
    for number, shift in enumerate(shifts):
        far = rounded(distance(_moved(old.outline, shift), new.outline), 6)
        # As both are drawn is how people think of them, unless another way lays them far better.
        found.append((not _within(new, old, shift), far if not number else 2 * far, number, far))
    *_, number, far = min(found)
    return _judged(old, new, shifts[number], far)


def same_line(a: Path, b: Path) -> bool:
    """Whether two lines are the same to `SAME`, run in the same direction where they are open."""
    if a.closed != b.closed:
        return False
    if len(a.points) == len(b.points) and all(
        math.dist(p[0], q[0]) <= SAME
        and math.dist(p[1], q[1]) <= SAME
        and abs(sagitta(p) - sagitta(q)) <= SAME
        for p, q in zip(pieces(a), pieces(b), strict=True)
    ):
        return True
    if not a.points or not b.points:
        return False
    if not a.closed and math.dist(a.points[0], b.points[0]) > SAME:
        return False
    if any(abs(p - q) > 2 * SAME for p, q in zip(bounds(a), bounds(b), strict=True)):
        return False
    return distance(a, b) <= SAME


def distance(a: Path, b: Path) -> float:
    """Greatest distance of a place on one line from the other (Hausdorff's), taken at corners and along arcs."""
    import shapely

    def at(flatness: float) -> float:
        return snap(float(shapely.hausdorff_distance(_string(a, flatness), _string(b, flatness))))

    found = at(_COARSE)
    return at(_FINE) if found <= 10 * _COARSE else found


def unmatched(
    old: Sequence[Tagged], new: Sequence[Tagged], shift: Point = (0.0, 0.0)
) -> tuple[tuple[Tagged, ...], tuple[Tagged, ...]]:
    """Return the old lines that have no new one of the same tag in the same place, and the new ones without an old one."""
    left = list(new)
    gone = []
    for tag, path in old:
        there = _moved(path, shift)
        for number, (other, now) in enumerate(left):
            if other == tag and (same_line(there, now) or same_line(there, reversed_path(now))):
                del left[number]
                break
        else:
            gone.append((tag, path))
    return tuple(gone), tuple(left)


def traces(old: Cut, new: Cut, shift: Point) -> tuple[Path, ...]:
    """The old outline and holes where they run across the new part, clear of its own cuts; sorted."""
    import shapely

    region = _region(new, (0.0, 0.0), 0.02)
    clear = region.buffer(-_CLEAR)
    found = []
    for path in (old.outline, *old.holes):
        kept = _string(_moved(path, shift), 0.02).intersection(clear)
        for piece in shapely.get_parts(
            shapely.line_merge(kept) if kept.geom_type == "MultiLineString" else kept
        ):
            if piece.geom_type == "LineString" and piece.length >= 1.0:
                found.append(line([(rounded(x, 4), rounded(y, 4)) for x, y in piece.coords]))
    return tuple(sorted(found))


def _shifts(old: Path, new: Path) -> tuple[Point, ...]:
    """Ways to lay an old outline under a new one: as both are drawn, corner on corner, middle on middle."""
    (left, low, *_), (new_left, new_low, *_) = bounds(old), bounds(new)
    found = [(0.0, 0.0), (new_left - left, new_low - low)]
    try:
        (x, y), (new_x, new_y) = centroid(old), centroid(new)
        found.append((new_x - x, new_y - y))
    except GeometryError:  # an outline without area has no middle
        pass
    kept: list[Point] = []
    for shift in found:
        if all(math.dist(shift, other) > SAME / 10 for other in kept):
            kept.append(shift)
    return tuple(kept)


def _judged(old: Cut, new: Cut, shift: Point, outline: float) -> Change:
    """Compare the holes of two parts whose outlines are laid on each other."""
    gone, come = unmatched([("", hole) for hole in old.holes], [("", hole) for hole in new.holes], shift)
    was, now = [_moved(path, shift) for _, path in gone], [path for _, path in come]
    moves = _paired(was, now)
    less = _within(new, old, shift) if outline or was or now else True
    fewer, more = len(was) - len(moves), len(now) - len(moves)
    return Change(shift, outline, tuple(sorted(moves, reverse=True)), more, fewer, less)


def _paired(old: Sequence[Path], new: Sequence[Path]) -> list[float]:
    """Pair old holes with new ones, the nearest first; return how far those of each pair differ."""
    near = [
        (rounded(math.dist(_middle(a), _middle(b)), 6), *sorted((_place(a), _place(b))), i, j)
        for i, a in enumerate(old)
        for j, b in enumerate(new)
    ]
    left, free = set(range(len(old))), set(range(len(new)))
    found = []
    for _, _, _, i, j in sorted(near):
        if i in left and j in free:
            left.remove(i)
            free.remove(j)
            found.append(distance(old[i], new[j]))
    return found


def _middle(path: Path) -> Point:
    left, low, right, high = bounds(path)
    return (left + right) / 2, (low + high) / 2


def _place(path: Path) -> tuple[float, ...]:
    return tuple(rounded(value, 6) for value in bounds(path))


def _within(inner: Cut, outer: Cut, shift: Point) -> bool:
    """Whether one part can be cut from another, moved by `shift`: nothing of it lies where that has no material."""
    left, low, right, high = bounds(_moved(outer.outline, shift))
    a, b, c, d = bounds(inner.outline)
    if min(a - left, b - low, right - c, high - d) < -SAME:
        return False  # what reaches beyond it need not be laid on it
    room = _region(outer, shift, _FINE).buffer(SAME, quad_segs=4, join_style="mitre", mitre_limit=2)
    rest = _region(inner, (0.0, 0.0), _FINE).difference(room)
    return bool(snap(rest.area) <= SAME * SAME)


def _region(cut: Cut, shift: Point, flatness: float) -> "Polygon":
    import shapely

    def area(path: Path) -> Any:
        corners = flattened(_moved(path, shift), flatness)
        return shapely.make_valid(shapely.Polygon(corners)) if len(corners) >= 3 else shapely.Polygon()

    whole = area(cut.outline)
    return whole.difference(shapely.union_all([area(hole) for hole in cut.holes])) if cut.holes else whole


def _string(path: Path, flatness: float) -> "LineString":
    import shapely

    corners = list(flattened(path, flatness))
    if path.closed or len(corners) == 1:
        corners.append(corners[0])
    return shapely.LineString(corners)


def _moved(path: Path, shift: Point) -> Path:
    return moved(path, shift) if shift != (0.0, 0.0) else path
