"""What is seen of a part from far away: its outline where it sits, and a few lines within."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from typing import TYPE_CHECKING, NamedTuple

from ringwright.geometry.part import Bent, Flat, Part, Placement, Rolled, Vector
from ringwright.geometry.path import Path, Point, closed, flattened, line
from ringwright.geometry.place import about_axis, in_space
from ringwright.geometry.solid.mesh import places_of

if TYPE_CHECKING:
    from shapely import Geometry

FLATNESS = 0.02
"""How far a chord may lie from its arc, mm."""
GRID = 1e-4
"""Corners are set to this grid, mm, so that surfaces that meet become one."""

SLIT = 0.05
"""Half the width of gaps between facets that are none, mm."""

Seeing = Callable[[Vector], Point]


class Shape(NamedTuple):
    """What is seen of a part: the silhouette (polygons) and lines within it."""

    outline: Geometry
    inner: tuple[Path, ...]


def shape_of(part: Part, seen: Seeing) -> Shape | None:
    """What is seen of a part, its thickness included where it is flat; None where it has no place.

    seen: a place in the aircraft as it is seen from far away.
    """
    import shapely

    places = places_of(part)
    seen_of = [_faces(part, placement, seen) for placement in places]
    polygons = [shapely.Polygon(face) for faces, _ in seen_of for face in faces if _has_area(face)]
    if not polygons:
        return None
    inner = tuple(dict.fromkeys(path for _, lines in seen_of for path in lines))
    outline = shapely.union_all(polygons, grid_size=GRID)
    if not isinstance(part.placement, Flat):
        # Facets seen from their edge leave slits between others.
        outline = outline.buffer(SLIT, join_style="mitre").buffer(-SLIT, join_style="mitre")
    outline = shapely.normalize(shapely.set_precision(outline, GRID))
    return None if outline.is_empty else Shape(outline, inner)


Face = list[Point]


def _faces(part: Part, placement: Placement, seen: Seeing) -> tuple[Iterator[Face], tuple[Path, ...]]:
    """Faces that a copy of a part is seen by, and lines within it."""
    if isinstance(placement, Flat):
        return _flat(part, placement, seen)
    if isinstance(placement, Rolled):
        return _rolled(placement, seen)
    return _bent(placement, seen)


def _flat(part: Part, placement: Flat, seen: Seeing) -> tuple[Iterator[Face], tuple[Path, ...]]:
    """Both faces of a flat part and what lies between their edges; its openings as lines where one sees through them."""
    u, v, thick = placement.u, placement.v, part.stock.thickness
    normal = (u[1] * v[2] - u[2] * v[1], u[2] * v[0] - u[0] * v[2], u[0] * v[1] - u[1] * v[0])

    def both(path: Path) -> tuple[Face, Face]:
        front = [in_space(placement, point) for point in flattened(path, FLATNESS)]
        back = [(x - thick * normal[0], y - thick * normal[1], z - thick * normal[2]) for x, y, z in front]
        return [seen(place) for place in front], [seen(place) for place in back]

    front, back = both(part.outline)
    faces = _swept(front, back)
    openings = (both(hole)[0] for hole in part.holes)
    return faces, tuple(closed(opening) for opening in openings if _has_area(opening))


def _swept(front: Face, back: Face) -> Iterator[Face]:
    yield front
    yield back
    for i in range(len(front)):
        j = (i + 1) % len(front)
        yield [front[i], front[j], back[j], back[i]]


def _rolled(placement: Rolled, seen: Seeing) -> tuple[Iterator[Face], tuple[Path, ...]]:
    """A ring, or a piece of one, as a fan of flat strips; its rims as lines."""
    largest = max(placement.start_radius, placement.end_radius, 1e-3)
    step = 2 * math.acos(max(0.0, 1.0 - FLATNESS / largest))
    count = max(8, math.ceil(abs(placement.sweep) / step))
    turns = [placement.turn_at_seam + placement.sweep * i / count for i in range(count + 1)]
    rims = [
        [seen(about_axis(placement, along, radius, turn)) for turn in turns]
        for along, radius in ((0.0, placement.start_radius), (placement.length, placement.end_radius))
    ]
    return _strips(*rims), tuple(path for rim in rims for path in _rim(rim))


def _strips(start: Face, end: Face) -> Iterator[Face]:
    for i in range(len(start) - 1):
        yield [start[i], start[i + 1], end[i + 1], end[i]]


def _rim(points: Face) -> Iterator[Path]:
    """A rim as a line: straight where it is seen from its edge."""
    (x0, y0), (x1, y1) = min(points), max(points)
    wide = max(x for x, _ in points) - min(x for x, _ in points)
    high = max(y for _, y in points) - min(y for _, y in points)
    if wide < 1e-3:
        low, top = (pick(points, key=lambda point: point[1]) for pick in (min, max))
        yield line([low, top])
    elif high < 1e-3:
        yield line([(x0, y0), (x1, y1)])
    else:
        yield line(points)


def _bent(placement: Bent, seen: Seeing) -> tuple[Iterator[Face], tuple[Path, ...]]:
    return ([seen(corner) for corner in facet.space] for facet in placement.facets), ()


def _has_area(face: Face) -> bool:
    """Whether a polygon encloses more than a line does."""
    x0, y0 = face[0]
    area = math.fsum(
        (ax - x0) * (by - y0) - (ay - y0) * (bx - x0)
        for (ax, ay), (bx, by) in zip(face, face[1:] + face[:1], strict=True)
    )
    return abs(area) > 1e-6
