"""What a bent sheet weighs and where: from its facets, with openings, strips and peeled areas. mm, mm2, g."""

from collections.abc import Sequence
from typing import TypeAlias

from ringwright.geometry.curve import TOLERANCE
from ringwright.geometry.mass import weights
from ringwright.geometry.numbers import total
from ringwright.geometry.part import Facet, MassProperties, Stock, Vector
from ringwright.geometry.path import (
    Path,
    Point,
    bounds,
    canonical,
    centroid,
    closed,
    flattened,
    length,
    signed_area,
)
from ringwright.geometry.recall import recalled
from ringwright.geometry.remember import remembered
from ringwright.geometry.wrap.carry import outward_of, spot
from ringwright.geometry.wrap.peel import shared
from ringwright.geometry.wrap.surface import Surface, facets, skirted
from ringwright.geometry.wrap.vector import dot, minus, times

Layer: TypeAlias = tuple[float, Vector | None]
"""How far in the middle layer lies, mm, and the normal of the planes that the rims are cut in."""


@recalled
@remembered(128)
def weighed(
    surface: Surface,
    outline: Path,
    holes: Sequence[Path],
    far: Sequence[Path],
    peels: Sequence[Path],
    stock: Stock,
    strips: float = 0.0,
    plane: Vector | None = (1.0, 0.0, 0.0),
    bared: Sequence[Path] = (),
    halved: Sequence[Path] = (),
) -> MassProperties:
    """Mass properties of one copy of a bent part.

    surface: the drawn layer. strips: width of the widest strip beyond its edges, mm; they lie as the sheet runs
    on. plane: normal of the planes its rims are cut in, None where they are cut square to the sheet. Area is
    that of the drawing, bending moves no mass; the centroid is that of the layer midway through the sheet, in
    space. Peels weigh one facing where the stock says what that weighs, and bared areas one less;
    halved areas, tapered ones, weigh half.
    """
    sheet = facets(surface)
    skirts = _skirts(surface, sheet, 2 * strips) if strips else ()
    area = total([abs(signed_area(outline)), *(-abs(signed_area(hole)) for hole in holes)])
    cut = total(length(path) for path in (outline, *holes, *far))
    per_area, lost, paper = weights(stock)
    layer = (stock.neutral - 0.5) * stock.thickness, plane
    # What has been cut into is looked at triangle by triangle.
    is_whole = abs(signed_area(outline)) > 0.9999 * total(signed_area(closed(facet.flat)) for facet in sheet)
    covered = (_whole if is_whole else _left)(sheet, skirts, outline, layer)
    # Skirts say where strips lie; how much of them there is is known from the drawing, also where skirts fan out.
    drawn = abs(signed_area(outline)) / total(piece for piece, _ in covered) if skirts else 1.0
    parts = [(per_area * drawn * piece, at) for piece, at in covered]
    layers = [*((hole, -per_area) for hole in holes), *((peel, -lost) for peel in peels if lost)]
    layers.extend((area, -per_area / 2) for area in halved)
    facings = [abs(signed_area(peel)) for peel in peels] if paper else []
    for zone in bared if paper else ():
        # Where a hole or a groove lies in it, its paper is gone already.
        gone = shared(zone, (*holes, *peels))
        layers.append((zone, -paper))
        layers.extend((piece, paper) for piece in gone)
        facings.extend((-abs(signed_area(zone)), *(abs(signed_area(piece)) for piece in gone)))
    for path, density in layers:
        parts.extend((density * piece, at) for piece, at in _spread((*sheet, *skirts), path, layer))
    weight = total(share for share, _ in parts)
    where: Vector = (
        total(share * at[0] for share, at in parts) / weight,
        total(share * at[1] for share, at in parts) / weight,
        total(share * at[2] for share, at in parts) / weight,
    )
    return MassProperties(area, weight if stock.areal_mass is not None else None, cut, where, total(facings))


def _skirts(surface: Surface, sheet: Sequence[Facet], reach: float) -> tuple[Facet, ...]:
    """What the sheet would be beyond its edges."""
    own = frozenset(sheet)
    return tuple(facet for facet in facets(skirted(surface, reach)) if facet not in own)


def _whole(
    sheet: Sequence[Facet], skirts: Sequence[Facet], outline: Path, layer: Layer
) -> list[tuple[float, Vector]]:
    """Areas that make up a sheet with its strips: all its facets, and of the rest what the outline covers."""
    found = []
    for facet in sheet:
        piece = closed(facet.flat)
        if len(piece.points) == 3:
            found.append((signed_area(piece), on_layer(facet, centroid(piece), layer)))
    return [*found, *_spread(skirts, outline, layer)]


def _left(
    sheet: Sequence[Facet], skirts: Sequence[Facet], outline: Path, layer: Layer
) -> list[tuple[float, Vector]]:
    """The same of a sheet that has been cut into: only facets that the outline runs through are cut up."""
    from shapely import Polygon, contains, prepare

    drawn = Polygon(flattened(outline, TOLERANCE)).buffer(0)
    prepare(drawn)
    inside = contains(drawn, [Polygon(facet.flat) for facet in sheet])
    whole = [facet for facet, is_inside in zip(sheet, inside, strict=True) if is_inside]
    rest = [facet for facet, is_inside in zip(sheet, inside, strict=True) if not is_inside]
    return [*_whole(whole, (), outline, layer), *_spread((*rest, *skirts), outline, layer)]


def _spread(sheet: Sequence[Facet], path: Path, layer: Layer) -> list[tuple[float, Vector]]:
    """The parts of a closed path on each facet, with their centroids on the layer `inwards` mm inside."""
    around = canonical(path)
    left, low, right, top = bounds(around)
    ring = flattened(around, TOLERANCE)
    found = []
    for facet in sheet:
        xs, ys = [x for x, _ in facet.flat], [y for _, y in facet.flat]
        if max(xs) < left or min(xs) > right or max(ys) < low or min(ys) > top:
            continue
        piece = closed(_within(ring, facet.flat))
        if len(piece.points) > 2 and signed_area(piece) > 1e-9:
            found.append((signed_area(piece), on_layer(facet, centroid(piece), layer)))
    return found


def on_layer(facet: Facet, point: Point, layer: Layer) -> Vector:
    """Where a spot of the drawing has its middle layer: further in along the normal, or in the rims' planes."""
    inwards, plane = layer
    normal = outward_of(facet)
    if plane is not None:
        within = minus(normal, times(plane, dot(normal, plane)))
        lean = dot(within, within)
        # Past 84° the sheet lies almost in those planes: along the normal, then.
        if lean > 0.01:
            normal = times(within, 1 / lean)
    return minus(spot(facet, point), times(normal, inwards))


def _within(ring: Sequence[Point], corners: tuple[Point, Point, Point]) -> list[Point]:
    """The part of a polygon within a triangle that runs anticlockwise: cut by its three sides in turn."""
    points = list(ring)
    for (ax, ay), (bx, by) in zip(corners, (*corners[1:], corners[0]), strict=True):
        sides = [(bx - ax) * (y - ay) - (by - ay) * (x - ax) for x, y in points]
        kept: list[Point] = []
        for k, (x1, y1) in enumerate(points):
            (x0, y0), low, high = points[k - 1], sides[k - 1], sides[k]
            if low * high < 0:
                share = low / (low - high)
                kept.append((x0 + share * (x1 - x0), y0 + share * (y1 - y0)))
            if high >= 0:
                kept.append((x1, y1))
        points = kept
        if not points:
            break
    return points
