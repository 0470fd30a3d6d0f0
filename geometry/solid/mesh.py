"""Parts as closed meshes where they sit in the aircraft: vertices in mm, triangles anticlockwise seen from outside.

Every slab of a sheet is carried into space patch by patch: the drawn face, the other one, and a wall along each edge
that only one triangle has. Strips that are glued over or under a neighbour (laps, flaps, tabs along a seam) are left
out, and so is what has no place.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, NamedTuple, TypeAlias

from ringwright.geometry.part import Part, Placement, Vector
from ringwright.geometry.path import Point, doubled_area
from ringwright.geometry.solid.lay import Lay, Patch, lay_of
from ringwright.geometry.solid.slab import Slab, bevelled, slabs_of

if TYPE_CHECKING:
    from shapely import Geometry, Polygon

Triangle: TypeAlias = tuple[int, int, int]

_BEYOND = 0.06
"""How far a bent sheet's facets may stand out over its outline, whose corners were thinned out, mm."""
_GRID = 1e-6


class Solid(NamedTuple):
    """One copy of a part as a closed mesh. part: its id; copy: from 1; vertices: mm; triangles: by vertex number."""

    part: str
    copy: int
    vertices: tuple[Vector, ...]
    triangles: tuple[Triangle, ...]


def solids_of(part: Part) -> tuple[Solid, ...]:
    """The solids of a part: one for each of its copies that has a place."""
    slabs = slabs_of(part) if places_of(part) else ()
    return tuple(
        solid_at(part, number, lay_of(place, part.stock), slabs)
        for number, place in enumerate(places_of(part), start=1)
    )


def places_of(part: Part) -> tuple[Placement, ...]:
    """Where the copies of a part sit; of copies that say no place of their own, one stands for all."""
    return () if part.placement is None else (part.placement, *part.others)


def solid_at(part: Part, copy: int, lay: Lay, slabs: tuple[Slab, ...]) -> Solid:
    """One copy of a part, of which the slabs are known, where it lies."""
    vertices: list[Vector] = []
    triangles: list[Triangle] = []
    for slab in slabs:
        base = len(vertices)
        found, faces = _slab(part, lay, slab)
        vertices += found
        triangles += [(a + base, b + base, c + base) for a, b, c in faces]
    return Solid(part.id, copy, tuple(vertices), tuple(triangles))


def _slab(part: Part, lay: Lay, slab: Slab) -> tuple[list[Vector], list[Triangle]]:
    """One slab: each spot of the drawing twice, on its near face (even numbers) and on its far face (odd ones)."""
    numbers: dict[tuple[int, int], int] = {}
    vertices: list[Vector] = []
    faces: list[Triangle] = []
    thick = part.stock.thickness

    def number(spot: Point, at: tuple[Point, Point], patch: Patch) -> int:
        x, y = round(spot[0] / _GRID), round(spot[1] / _GRID)
        # Two patches may find a crossing on their common edge a step of the grid apart.
        key = next((near for near in _around(x, y) if near in numbers), (x, y))
        if key not in numbers:
            numbers[key] = len(numbers)
            vertices.append(patch.at(at[0], slab.near - lay.under))
            vertices.append(patch.at(at[1], slab.far - lay.under))
        return numbers[key]

    for patch, shape in _pieces(lay, slab.region):
        moved = _bevels(shape, part, slab, thick) if part.bevels and lay.flat and shape is not None else {}
        for corners in (patch.flat,) if shape is None else _triangles(shape):
            a, b, c = (number(spot, moved.get(spot, (spot, spot)), patch) for spot in corners)
            if len({a, b, c}) == 3:
                faces.append((a, b, c))
    return vertices, [*_both_faces(faces), *_walls(faces)]


def _around(x: int, y: int) -> Iterator[tuple[int, int]]:
    """A place on the grid, then those within two steps of it."""
    yield x, y
    steps = range(-2, 3)
    yield from ((x + i, y + j) for i in steps for j in steps if i or j)


def _bevels(shape: Polygon, part: Part, slab: Slab, thick: float) -> dict[Point, tuple[Point, Point]]:
    """Where each corner of a polygon comes to lie on a slab's near and far face."""
    import shapely

    near, far = (bevelled(shape, part, depth / thick) for depth in (slab.near, slab.far))
    corners = (shapely.get_coordinates(each).tolist() for each in (shape, near, far))
    return {tuple(a): (tuple(b), tuple(c)) for a, b, c in zip(*corners, strict=True)}


def _pieces(lay: Lay, region: Geometry) -> Iterator[tuple[Patch, Polygon | None]]:
    """The parts of a region that each patch carries, None where that is the whole patch."""
    import numpy as np
    import shapely

    if lay.flat:
        yield from ((lay.patches[0], piece) for piece in _polygons(region))
        return
    cells = shapely.polygons(np.array([patch.flat for patch in lay.patches]))
    grown = _grown(region)
    shapely.prepare(grown)
    whole = shapely.covers(grown, cells)
    for patch, cell, covered in zip(lay.patches, cells, whole.tolist(), strict=True):
        if covered:
            yield patch, None
        else:
            cut = shapely.intersection(cell, grown, grid_size=_GRID)
            yield from ((patch, piece) for piece in _polygons(cut))


def _grown(region: Geometry) -> Geometry:
    """A region with its outer edges moved out a little, its openings as they are."""
    import shapely

    shells = [shapely.Polygon(piece.exterior) for piece in _polygons(region)]
    holes = [shapely.Polygon(ring) for piece in _polygons(region) for ring in piece.interiors]
    outer = shapely.union_all([shapely.buffer(shell, _BEYOND, join_style="mitre") for shell in shells])
    return shapely.difference(outer, shapely.union_all(holes)) if holes else outer


def _polygons(shape: Geometry) -> Iterator[Polygon]:
    for each in getattr(shape, "geoms", (shape,)):
        if each.geom_type == "Polygon" and each.area > 1e-9:
            yield each


def _triangles(shape: Polygon) -> Iterator[tuple[Point, Point, Point]]:
    """A polygon in triangles that run anticlockwise."""
    import shapely

    if len(shape.exterior.coords) == 4 and not shape.interiors:
        found = [shape]
    else:
        found = list(shapely.constrained_delaunay_triangles(shape).geoms)
    for each in found:
        a, b, c = each.exterior.coords[:3]
        twice = doubled_area(a, b, c)
        if twice:
            yield (a, b, c) if twice > 0 else (a, c, b)


def _both_faces(faces: list[Triangle]) -> Iterator[Triangle]:
    for a, b, c in faces:
        yield 2 * a, 2 * b, 2 * c
        yield 2 * a + 1, 2 * c + 1, 2 * b + 1


def _walls(faces: list[Triangle]) -> Iterator[Triangle]:
    """Two triangles for each edge that one triangle alone has: where the slab ends."""
    edges = {edge: None for a, b, c in faces for edge in ((a, b), (b, c), (c, a))}
    for a, b in edges:
        if (b, a) not in edges:
            yield 2 * a, 2 * a + 1, 2 * b + 1
            yield 2 * a, 2 * b + 1, 2 * b
