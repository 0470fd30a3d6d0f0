"""Where points and level lines lie against an outline, in plain arithmetic: most parts need no more."""

import math
from collections.abc import Sequence

from ringwright.geometry.meet import distance_to
from ringwright.geometry.path import Path, Point, flattened, piece_centre, piece_radius, pieces
from ringwright.geometry.remember import remembered

_CHORDS = 0.002


def within(outline: Path, point: Point) -> bool:
    """Whether a point that is not on a closed line lies inside it."""
    return sum(x > point[0] for x in level_crossings(outline, point[1])) % 2 == 1


@remembered(2048)
def level_crossings(outline: Path, y: float) -> tuple[float, ...]:
    """The x of all places where the level line at `y` goes into or out of a closed line, from left to right.

    An even number of them, arcs within 0.002 mm. What only touches the level is no crossing.
    """
    corners = flattened(outline, _CHORDS)
    ends = (*corners[1:], corners[0])
    return tuple(
        sorted(
            x0 + (y - y0) * (x1 - x0) / (y1 - y0)
            for (x0, y0), (x1, y1) in zip(corners, ends, strict=True)
            if (y0 > y) != (y1 > y)
        )
    )


def room_about(outline: Path, holes: Sequence[Path], point: Point) -> float:
    """Radius of the largest circle about a point that stays on a sheet, mm; 0 where the point is off it."""
    if not within(outline, point) or any(within(hole, point) for hole in holes):
        return 0.0
    return min(distance_to(piece, point) for path in (outline, *holes) for piece in pieces(path))


def circle_of(hole: Path) -> tuple[Point, float] | None:
    """Centre and radius, mm, of a closed path that is one circle; None for any other."""
    if not hole.closed or not all(abs(bulge) > 1e-12 for bulge in hole.bulges):
        return None
    first, *others = pieces(hole)
    centre, radius = piece_centre(first), piece_radius(first)
    same = all(
        math.dist(piece_centre(piece), centre) < 1e-6 and abs(piece_radius(piece) - radius) < 1e-6
        for piece in others
    )
    return (centre, radius) if same else None
