"""Where holes go, and how much is left around them. Lengths in mm; angles in rad, 0 at the top, growing to
the right.
"""

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING, NamedTuple

from ringwright.geometry.errors import GeometryError
from ringwright.geometry.meet import distance_to
from ringwright.geometry.numbers import short
from ringwright.geometry.offset import inset
from ringwright.geometry.path import Path, Point, flattened, pieces
from ringwright.geometry.within import circle_of, within

if TYPE_CHECKING:
    from shapely import Polygon

RIM = -1
"""In a Clearance: nearest to the part's own outline, not to another hole."""

_CHORDS = 0.002

Box = tuple[float, float, float, float]


class Clearance(NamedTuple):
    """How near a hole comes to the rim or to another hole: mm of material between, below 0 by how far it goes
    over.

    to: RIM, or the index of the other hole.
    """

    distance: float
    to: int


def on_circle(count: int, diameter: float, first: float = 0.0) -> tuple[Point, ...]:
    """Places of `count` holes evenly on a circle about the origin. GeometryError 'no-size' without any."""
    if count < 1 or diameter <= 0:
        raise GeometryError("no-size", f"{count} holes on a circle of {short(diameter, 3)} mm are no pattern")
    angles = [first + 2 * math.pi * i / count for i in range(count)]
    return tuple((diameter / 2 * math.sin(angle), diameter / 2 * math.cos(angle)) for angle in angles)


def on_rect(width: float, height: float) -> tuple[Point, ...]:
    """Places of four holes at a rectangle's corners, clockwise from the upper right."""
    x, y = width / 2, height / 2
    return (x, y), (x, -y), (-x, -y), (-x, y)


def rim_hole(outline: Path, rim: float) -> Path:
    """Opening that leaves a rim of constant width, as an outline. GeometryErrors as `inset`, said of the rim."""
    try:
        return inset(outline, rim)
    except GeometryError as error:
        raise GeometryError(error.code, str(error).replace("an inset of", "a rim of")) from None


def hole_clearance(outline: Path, holes: Sequence[Path]) -> tuple[Clearance, ...]:
    """For each hole what is left between it and the nearest of rim and other holes; within 0.004 mm."""
    sound = _around_circles(outline, holes)
    return sound if sound is not None else _around_any(outline, holes)


def _around_circles(outline: Path, holes: Sequence[Path]) -> tuple[Clearance, ...] | None:
    """The same, exactly and without shapely, where all holes are circles and none reaches over anything."""
    circles = [circle for circle in map(circle_of, holes) if circle is not None]
    if len(circles) < len(holes):
        return None
    rim = tuple(pieces(outline))
    found = []
    for index, (centre, radius) in enumerate(circles):
        best = Clearance(min(distance_to(piece, centre) for piece in rim) - radius, RIM)
        for other, (place, reach) in enumerate(circles):
            between = math.dist(centre, place) - radius - reach
            if other != index and between < best.distance:
                best = Clearance(between, other)
        if best.distance <= 0 or not within(outline, centre):
            return None
        found.append(best)
    return tuple(found)


def _around_any(outline: Path, holes: Sequence[Path]) -> tuple[Clearance, ...]:
    from shapely import Point as Spot
    from shapely import Polygon

    sheet = Polygon(flattened(outline, _CHORDS))
    flats = [Polygon(flattened(hole, _CHORDS)) for hole in holes]
    boxes = [flat.bounds for flat in flats]
    found = []
    for index, hole in enumerate(flats):
        if sheet.contains(hole):
            best = Clearance(float(hole.distance(sheet.exterior)), RIM)
        else:
            # What reaches over the rim is told so, whatever else it reaches over.
            reach = max(float(Spot(point).distance(sheet)) for point in hole.exterior.coords)
            found.append(Clearance(-reach, RIM))
            continue
        for other, flat in enumerate(flats):
            if other != index and _apart(boxes[index], boxes[other]) < best.distance:
                between = _between(hole, flat)
                if between < best.distance:
                    best = Clearance(between, other)
        found.append(best)
    return tuple(found)


def _apart(a: Box, b: Box) -> float:
    """Least distance between what lies in two boxes (left, low, right, high); below 0 where these overlap."""
    across, up = max(a[0] - b[2], b[0] - a[2]), max(a[1] - b[3], b[1] - a[3])
    return math.hypot(max(across, 0.0), max(up, 0.0)) if max(across, up) >= 0 else -math.inf


def _between(a: "Polygon", b: "Polygon") -> float:
    """Distance between two holes; where they overlap, minus the deepest point of one within the other."""
    from shapely import Point as Spot

    if not a.intersects(b):
        return float(a.distance(b))
    depth = [
        float(b.exterior.distance(Spot(point))) for point in a.exterior.coords if b.contains(Spot(point))
    ]
    depth += [
        float(a.exterior.distance(Spot(point))) for point in b.exterior.coords if a.contains(Spot(point))
    ]
    return -max(depth, default=0.0)
