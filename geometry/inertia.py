"""Moments of inertia: how a part's mass is spread about its middle, and what a whole model's masses come to.

A part's spread is the mean of (r - c)(r - c)ᵀ over its mass, mm², about its own centroid c. It is that of the
layer midway through the sheet, with a twelfth of the thickness squared across it. Flat sheets and rings are
boundary integrals, as in `mass.py`; a bent sheet is the sum of what its drawing leaves of its triangles.
"""

import math
from collections.abc import Iterator, Sequence
from typing import NamedTuple, TypeAlias

from ringwright.geometry.curve import TOLERANCE
from ringwright.geometry.mass import GAUSS, bent_around, weights
from ringwright.geometry.numbers import ceil_safe, total
from ringwright.geometry.part import Bent, Facet, Flat, Part, Rolled, Vector
from ringwright.geometry.path import (
    Path,
    Point,
    canonical,
    closed,
    flattened,
    piece_length,
    pieces,
    signed_area,
    sweep_of,
    tracer,
)
from ringwright.geometry.wrap.carry import outward_of
from ringwright.geometry.wrap.vector import cross
from ringwright.geometry.wrap.weigh import Layer, on_layer

Spread: TypeAlias = tuple[float, float, float, float, float, float]
"""Mean of xx, yy, zz, xy, xz, yz about the centroid, mm2."""

POINT: Spread = (0.0, 0.0, 0.0, 0.0, 0.0, 0.0)
_AXES = ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))
_PAIRS = ((0, 0), (1, 1), (2, 2), (0, 1), (0, 2), (1, 2))
_Moments: TypeAlias = list[float]
"""Of an area: 1, then first moments p, q, r, then second ones pp, qq, rr, pq, pr, qr, in axes of its own."""


class Inertia(NamedTuple):
    """Moments of inertia about axes through the balance point, g mm2: about x (roll), y (pitch) and z (yaw)."""

    roll: float
    pitch: float
    yaw: float


def inertia(masses: Sequence[tuple[float, Vector, Spread]]) -> Inertia:
    """Moments of inertia of masses (g, centroid in mm, spread) about their common balance point."""
    weight = total(mass for mass, _, _ in masses)
    if weight <= 0:
        return Inertia(0.0, 0.0, 0.0)
    middle = [total(mass * at[axis] for mass, at, _ in masses) / weight for axis in range(3)]
    xx, yy, zz = (
        total(mass * (spread[axis] + (at[axis] - middle[axis]) ** 2) for mass, at, spread in masses)
        for axis in range(3)
    )
    return Inertia(yy + zz, xx + zz, xx + yy)


def box(size: Vector) -> Spread:
    """Spread of a solid box of that length, width and height, mm."""
    x, y, z = (side * side / 12 for side in size)
    return (x, y, z, 0.0, 0.0, 0.0)


def spread_of(part: Part) -> Spread:
    """Spread of a part where it sits, all copies that have a place together; `POINT` where it has none."""
    placement = part.placement
    if placement is None:
        return POINT
    if isinstance(placement, Bent):
        places = [placement, *(place for place in part.others if isinstance(place, Bent))]
        return _of_bent(part, [facet for place in places for facet in place.facets])
    own = _of_sheet(part, placement)
    others = [place for place in part.others if not isinstance(place, Bent)]
    if not others:
        return own
    # Copies that lie alike, each by as much further on as its frame.
    apart = _added([_at(place.origin) for place in (placement, *others)])
    return _summed(own, _in_space(apart, _AXES, (0.0, 0.0, 0.0)))


def _of_sheet(part: Part, placement: Flat | Rolled) -> Spread:
    """Spread of one copy of a flat or rolled part where it sits."""
    stock = part.stock
    sheet, lost, _ = weights(stock)
    layers = [(part.outline, sheet), *((hole, -sheet) for hole in part.holes)]
    layers += [(peel, -lost) for peel in part.peels if lost]
    if isinstance(placement, Flat):
        sums = [_flat(path, density) for path, density in layers]
        u, v = placement.u, placement.v
        normal = cross(u, v)
        return _in_space(_added(sums), (u, v, normal), (0.0, 0.0, stock.thickness**2 / 12))
    inward = (stock.neutral - 0.5) * stock.thickness * placement.slant / placement.length
    sums = [_rolled(path, density, placement, inward) for path, density in layers]
    # Across the wall, which stands up and sideways in equal parts, and leans along the axis.
    lean = (placement.end_radius - placement.start_radius) / placement.slant
    across = stock.thickness**2 / 12
    walls = (across * lean * lean, across * (1 - lean * lean) / 2, across * (1 - lean * lean) / 2)
    return _in_space(_added(sums), (placement.axis, placement.top, placement.right), walls)


def _flat(path: Path, density: float) -> _Moments:
    """Moments of a closed path's area, in its own x and y."""
    found: _Moments = [0.0] * 10
    for piece in pieces(canonical(path)):
        size = piece_length(piece)
        stretches = max(1, ceil_safe(abs(sweep_of(piece[2])) / 0.5))
        trace = tracer(piece)
        for share, weight in _shares(stretches) if size else ():
            (x, y), (_, dy) = trace(share)
            step = dy * size * weight
            # Green: the area's integral of x^n y^m is that of x^(n+1) y^m / (n+1) along dy.
            for slot, value in (
                (0, x),
                (1, x * x / 2),
                (2, x * y),
                (4, x**3 / 3),
                (5, x * y * y),
                (7, x * x * y / 2),
            ):
                found[slot] += value * step
    return _signed(found, density)


def _shares(stretches: int) -> Iterator[tuple[float, float]]:
    half = 0.5 / stretches
    for stretch in range(stretches):
        middle = (2 * stretch + 1) * half
        for place, weight in GAUSS:
            yield middle - half * place, weight * half
            yield middle + half * place, weight * half


def _rolled(path: Path, density: float, placement: Rolled, inward: float) -> _Moments:
    """Moments of a closed path's area once it is bent, along the axis, to the top and to the right."""
    m0 = placement.start_radius - inward
    m1 = (placement.end_radius - placement.start_radius) / placement.slant
    k = placement.length / placement.slant
    found: _Moments = [0.0] * 10
    for q, turn, step in bent_around(canonical(path), placement):
        up, side = math.cos(turn), math.sin(turn)
        r1 = q * (m0 + m1 * q / 2)
        r2 = q * (m0 * m0 + m1 * q * (m0 + m1 * q / 3))
        r3 = q * (m0**3 + q * m1 * (1.5 * m0 * m0 + q * m1 * (m0 + q * m1 / 4)))
        s1 = k * q * q * (m0 / 2 + m1 * q / 3)
        s2 = k * k * q**3 * (m0 / 3 + m1 * q / 4)
        sr = k * q * q * (m0 * m0 / 2 + q * m1 * (2 * m0 / 3 + q * m1 / 4))
        values = (
            r1,
            s1,
            r2 * up,
            r2 * side,
            s2,
            r3 * up * up,
            r3 * side * side,
            sr * up,
            sr * side,
            r3 * up * side,
        )
        for slot, value in enumerate(values):
            found[slot] += value * step
    return _signed(found, density)


def _signed(found: _Moments, density: float) -> _Moments:
    """Moments of an area, whichever way round its path runs."""
    times = -density if found[0] < 0 else density
    return [times * value for value in found]


def _added(sums: Sequence[_Moments]) -> _Moments:
    return [total(column) for column in zip(*sums, strict=True)]


def _in_space(moments: _Moments, axes: tuple[Vector, Vector, Vector], wall: Vector) -> Spread:
    """Spread of an area's moments in axes of its own, as it lies in the aircraft; wall: that across the sheet."""
    weight = moments[0]
    if weight <= 0:
        return POINT
    middle = [value / weight for value in moments[1:4]]
    own = [
        moments[4 + slot] / weight - middle[a] * middle[b] + (wall[a] if a == b else 0.0)
        for slot, (a, b) in enumerate(_PAIRS)
    ]
    return _turned(own, axes)


def _turned(own: Sequence[float], axes: tuple[Vector, Vector, Vector]) -> Spread:
    found = []
    for i, j in _PAIRS:
        terms = []
        for value, (a, b) in zip(own, _PAIRS, strict=True):
            terms.append(value * axes[a][i] * axes[b][j])
            if a != b:
                terms.append(value * axes[b][i] * axes[a][j])
        found.append(total(terms))
    return (found[0], found[1], found[2], found[3], found[4], found[5])


def _at(point: Vector) -> _Moments:
    """Moments of a mass of 1 at a point."""
    return [1.0, *point, *(point[a] * point[b] for a, b in _PAIRS)]


def _summed(a: Spread, b: Spread) -> Spread:
    xx, yy, zz, xy, xz, yz = (p + q for p, q in zip(a, b, strict=True))
    return xx, yy, zz, xy, xz, yz


def _of_bent(part: Part, facets: Sequence[Facet]) -> Spread:
    """Spread of a bent sheet: of what its drawing leaves of each triangle, on the layer midway through the sheet.

    The mean of xy over a triangle of corners a, b, c is (Σ x Σ y + Σ x y) / 12.
    """
    from shapely import Polygon, prepare

    stock = part.stock
    density, lost, paper = weights(stock)
    sheet = Polygon(flattened(part.outline, TOLERANCE)).buffer(0)
    for hole in part.holes:
        sheet = sheet.difference(Polygon(flattened(hole, TOLERANCE)))
    layers = [(sheet, density)]
    layers += [
        (Polygon(flattened(path, TOLERANCE)).intersection(sheet), -less)
        for paths, less in ((part.peels, lost), (part.bared, paper))
        for path in (paths if less else ())
    ]
    layer = (stock.neutral - 0.5) * stock.thickness, (1.0, 0.0, 0.0)
    across = stock.thickness**2 / 12
    sums: list[_Moments] = []
    for shape, weight in layers:
        prepare(shape)
        for facet in facets:
            whole = Polygon(facet.flat)
            cut = whole if shape.contains(whole) else shape.intersection(whole)
            normal = outward_of(facet)
            for piece in getattr(cut, "geoms", (cut,)):
                if piece.geom_type != "Polygon" or piece.is_empty:
                    continue
                for number, ring in enumerate((piece.exterior, *piece.interiors)):
                    points = [(float(x), float(y)) for x, y in ring.coords[:-1]]
                    way = -weight if number else weight
                    sums.append(_of_ring(facet, points, way, layer, normal, across))
    return _in_space(_added(sums), _AXES, (0.0, 0.0, 0.0))


def _of_ring(
    facet: Facet, points: Sequence[Point], weight: float, layer: Layer, normal: Vector, across: float
) -> _Moments:
    """Moments of a polygon of a triangle, whichever way round it runs, where it lies in space."""
    area = signed_area(closed(points))
    weight = -weight if area < 0 else weight
    spots = [on_layer(facet, at, layer) for at in points]
    found: _Moments = [0.0] * 10
    (x0, y0), p = points[0], spots[0]
    for k in range(1, len(points) - 1):
        (x1, y1), (x2, y2) = points[k], points[k + 1]
        share = weight * ((x1 - x0) * (y2 - y0) - (x2 - x0) * (y1 - y0)) / 2
        q, r = spots[k], spots[k + 1]
        first = [p[n] + q[n] + r[n] for n in range(3)]
        found[0] += share
        for n in range(3):
            found[1 + n] += share * first[n] / 3
        for slot, (i, j) in enumerate(_PAIRS):
            corners = p[i] * p[j] + q[i] * q[j] + r[i] * r[j]
            found[4 + slot] += share * ((first[i] * first[j] + corners) / 12 + across * normal[i] * normal[j])
    return found
