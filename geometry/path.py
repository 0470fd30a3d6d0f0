"""Lines made of straight and circular pieces: the one form in which outlines, holes and marks travel.

Coordinates are mm. A path's piece i runs from points[i] to points[i + 1] (a closed one's last piece back to points[0]).
"""

from typing import NamedTuple, TypeAlias

Point: TypeAlias = tuple[float, float]


class Path(NamedTuple):
    """A line of straight and circular pieces.

    points: corners, mm; a closed path does not repeat its first point at its end.
    bulges: one per piece: tan of a quarter of the swept angle, positive anticlockwise, 0 for a straight piece
    (len(points) of them when closed, one less when open).
    """

    points: tuple[Point, ...]
    bulges: tuple[float, ...]
    closed: bool
