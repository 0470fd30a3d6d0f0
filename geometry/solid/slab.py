"""What of a part's drawing is there at which depth: its slabs, and its edges where they are bevelled. mm.

Peeled areas count as whole: what is peeled is bent there, and the foam is pressed rather than gone.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, NamedTuple

from ringwright.geometry.part import Bevel, Part
from ringwright.geometry.path import Path, Point, flattened

if TYPE_CHECKING:
    from shapely import Geometry, Polygon

CHORD = 0.02
"""How far a chord of an outline may lie from its arc, mm."""

_ON = 0.01


class Slab(NamedTuple):
    """A layer of a part. near, far: depths under the drawn face; region: what of the drawing is there."""

    near: float
    far: float
    region: Geometry


def slabs_of(part: Part) -> tuple[Slab, ...]:
    """The slabs of a part from its drawn face on: one, or more where grooves are cut into that."""
    whole = region_of(part)
    depths = sorted({min(groove.depth, part.stock.thickness) for groove in part.grooves})
    found, near = [], 0.0
    for far in (*depths, part.stock.thickness):
        if far > near:
            cut = [groove.path for groove in part.grooves if groove.depth > near]
            found.append(Slab(near, far, _without(whole, cut) if cut else whole))
            near = far
    return tuple(found)


def region_of(part: Part) -> Geometry:
    """What of a part's drawing is sheet: its outline without its holes."""
    from shapely import Polygon

    holes = [flattened(hole, CHORD) for hole in part.holes]
    whole = Polygon(flattened(part.outline, CHORD), [hole for hole in holes if len(hole) > 2])
    return whole if whole.is_valid else _without(Polygon(flattened(part.outline, CHORD)), part.holes)


def _without(region: Geometry, paths: tuple[Path, ...] | list[Path]) -> Geometry:
    import shapely

    cut = [shapely.Polygon(points) for path in paths if len(points := flattened(path, CHORD)) > 2]
    return shapely.difference(region, shapely.union_all([shapely.make_valid(each) for each in cut]))


def bevelled_region(region: Geometry, part: Part, share: float) -> Geometry:
    """A region of a part's drawing with its bevelled edges where they are at a share of its thickness."""
    import shapely

    if not part.bevels:
        return region
    pieces = [each for each in getattr(region, "geoms", (region,)) if each.geom_type == "Polygon"]
    return shapely.union_all([shapely.make_valid(bevelled(each, part, share)) for each in pieces])


def bevelled(shape: Polygon, part: Part, share: float) -> Polygon:
    """A polygon of a part's drawing with its bevelled edges where they are at a share of its thickness: 0 the drawn
    face, 1 the other. Its corners stay the same ones.
    """
    from shapely import Polygon

    if not part.bevels:
        return shape
    rings = [_moved_in(ring.coords[:-1], part.bevels, share) for ring in (shape.exterior, *shape.interiors)]
    return Polygon(rings[0], rings[1:])


def _moved_in(ring: list[Point], bevels: tuple[Bevel, ...], share: float) -> list[Point]:
    """Corners of a ring, its edges on a bevel moved to their left or right by its width at that depth."""
    edges = list(zip(ring, [*ring[1:], ring[0]], strict=True))
    inwards = _inwards(ring)
    off = [inwards * (drawn + share * (back - drawn)) for drawn, back in _widths(edges, bevels)]
    return [_corner(edges[k - 1], edges[k], off[k - 1], off[k]) for k in range(len(ring))]


def _inwards(ring: list[Point]) -> float:
    """+1 where the left of a ring's way lies within it: material is on the left of outlines and of openings' rings."""
    from shapely import LinearRing

    return 1.0 if LinearRing(ring).is_ccw else -1.0


def _widths(edges: list[tuple[Point, Point]], bevels: tuple[Bevel, ...]) -> list[tuple[float, float]]:
    """How far each edge is bevelled on the drawn face and on the other: by the first bevel that it lies on."""
    import shapely

    middles = shapely.points([((x0 + x1) / 2, (y0 + y1) / 2) for (x0, y0), (x1, y1) in edges])
    found = [(0.0, 0.0)] * len(edges)
    for bevel in reversed(bevels):
        points = flattened(bevel.path, CHORD)
        line = shapely.LineString([*points, points[0]] if bevel.path.closed else points)
        shapely.prepare(line)
        for number, on in enumerate(shapely.dwithin(line, middles, CHORD + _ON).tolist()):
            if on:
                found[number] = (bevel.drawn, bevel.back)
    return found


def _corner(before: tuple[Point, Point], after: tuple[Point, Point], off: float, then: float) -> Point:
    """Where two edges meet once each is moved to its left."""
    at = after[0]
    if not off and not then:
        return at
    (ux, uy), (vx, vy) = _way(before), _way(after)
    turn = ux * vy - uy * vx
    if abs(turn) < 1e-3:
        return at[0] - uy * off, at[1] + ux * off
    # The corner p has p·n1 = off and p·n2 = then, n the left of an edge.
    return at[0] + (off * vx - then * ux) / turn, at[1] + (off * vy - then * uy) / turn


def _way(edge: tuple[Point, Point]) -> Point:
    (x0, y0), (x1, y1) = edge
    long = math.hypot(x1 - x0, y1 - y0)
    return (x1 - x0) / long, (y1 - y0) / long
