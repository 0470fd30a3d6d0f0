"""How a part's sheet lies in space: flat triangles of its drawing, each with its place and the way through the sheet.

One picture for all placements: a flat part is one plane, a ring a fan of narrow strips between rulings, a bent sheet
its facets. A spot of the drawing at a depth under the drawn face lies where its triangle carries it. All mm.
"""

import math
from collections.abc import Iterator
from typing import NamedTuple, TypeAlias

from ringwright.geometry.part import Bent, Facet, Flat, Placement, Rolled, Stock, Vector
from ringwright.geometry.path import Point, chords, doubled_area
from ringwright.geometry.place import about_axis
from ringwright.geometry.wrap.vector import angle_between, cross, dot, minus, plus, times, unit

CHORD = 0.05
"""How far a flat strip of a ring may lie from its round wall, mm."""

_STEEP = 0.1
"""Sine under which a sheet lies almost in the planes that its rims are cut in: 6°."""

Triple: TypeAlias = tuple[Vector, Vector, Vector]


class Patch(NamedTuple):
    """A flat triangle of a placed sheet.

    flat: its corners in the drawing, anticlockwise. space: the same corners on the layer that is drawn. through: what
    a millimetre of depth, away from the drawn face, moves each of them by.
    """

    flat: tuple[Point, Point, Point]
    space: Triple
    through: Triple

    def shares(self, point: Point) -> tuple[float, float, float]:
        """How much each corner has of a spot of the drawing, 1 in all; below 0 where the spot lies past the side opposite."""
        a, b, c = self.flat
        whole = doubled_area(a, b, c)
        of_b, of_c = doubled_area(a, point, c) / whole, doubled_area(a, b, point) / whole
        return 1 - of_b - of_c, of_b, of_c

    def at(self, point: Point, depth: float) -> Vector:
        """Where a spot of the drawing lies, `depth` mm further from the drawn face than the layer that is drawn."""
        spot = [0.0, 0.0, 0.0]
        for share, at, way in zip(self.shares(point), self.space, self.through, strict=True):
            for axis in range(3):
                spot[axis] += share * (at[axis] + depth * way[axis])
        return spot[0], spot[1], spot[2]


class Lay(NamedTuple):
    """How a sheet lies. under: depth of the layer that is drawn under the drawn face, mm. flat: it is one plane, of
    which the only patch says no more than where that lies.
    """

    patches: tuple[Patch, ...]
    under: float
    flat: bool


def lay_of(placement: Placement, stock: Stock) -> Lay:
    """How the sheet of a part lies."""
    if isinstance(placement, Flat):
        return Lay((_plane(placement),), 0.0, True)
    patches = tuple(_strips(placement) if isinstance(placement, Rolled) else _facets(placement))
    return Lay(patches, stock.neutral * stock.thickness, False)


def _plane(placement: Flat) -> Patch:
    o, u, v = placement.origin, placement.u, placement.v
    way = cross(v, u)
    return Patch(((0.0, 0.0), (1.0, 0.0), (0.0, 1.0)), (o, plus(o, u), plus(o, v)), (way, way, way))


def _strips(placement: Rolled) -> Iterator[Patch]:
    """A ring, or a piece of one, as flat strips between its rulings; its rims stay in planes square to the axis."""
    largest = max(placement.start_radius, placement.end_radius)
    count = max(3, chords(largest, placement.sweep, CHORD))
    lean = placement.slant / placement.length
    turns = [placement.turn_at_seam + placement.sweep * i / count for i in range(count + 1)]
    rulings = [
        (
            (_drawn(placement, 0.0, share), _drawn(placement, placement.slant, share)),
            (
                about_axis(placement, 0.0, placement.start_radius, turn),
                about_axis(placement, placement.length, placement.end_radius, turn),
            ),
            times(plus(times(placement.top, math.cos(turn)), times(placement.right, math.sin(turn))), lean),
        )
        for share, turn in ((i / count, turn) for i, turn in enumerate(turns))
    ]
    for k in range(count):
        ((p0, p1), (q0, q1), here), ((r0, r1), (s0, s1), there) = rulings[k], rulings[k + 1]
        for patch in (
            Patch((p0, r0, r1), (q0, s0, s1), (here, there, there)),
            Patch((p0, r1, p1), (q0, s1, q1), (here, there, here)),
        ):
            turn_of = doubled_area(*patch.flat)
            if abs(turn_of) > 1e-12:
                yield patch if turn_of > 0 else _other_way(patch)


def _drawn(placement: Rolled, slant: float, share: float) -> Point:
    """The spot of a ring's blank at a length along its slant and a share of its sweep: what `unroller` undoes."""
    if not placement.to_apex:
        return share * abs(placement.sweep) * placement.start_radius, slant
    whole = abs(placement.sweep) * placement.start_radius / placement.to_apex
    angle = (share - 0.5) * whole
    way = 1.0 if placement.end_radius > placement.start_radius else -1.0
    radius = placement.to_apex + way * slant
    return -radius * math.sin(angle), radius * math.cos(angle)


def _other_way(patch: Patch) -> Patch:
    (a, b, c), (p, q, r), (t, u, v) = patch
    return Patch((a, c, b), (p, r, q), (t, v, u))


def _facets(placement: Bent) -> Iterator[Patch]:
    """The facets of a bent sheet; where several meet, the way through is such that all keep their thickness."""
    around: dict[Vector, list[tuple[float, Vector]]] = {}
    for facet in placement.facets:
        normal = _away(facet)
        for k, corner in enumerate(facet.space):
            before, after = facet.space[k - 1], facet.space[(k + 1) % 3]
            wide = angle_between(minus(before, corner), minus(after, corner))
            around.setdefault(corner, []).append((wide, normal))
    ways = {spot: _through(normals, placement.plane) for spot, normals in around.items()}
    for facet in placement.facets:
        a, b, c = (ways[corner] for corner in facet.space)
        yield Patch(facet.flat, facet.space, (a, b, c))


def _away(facet: Facet) -> Vector:
    a, b, c = facet.space
    return unit(cross(minus(c, a), minus(b, a)))


def _through(normals: list[tuple[float, Vector]], plane: Vector | None) -> Vector:
    """A way along which all facets about a corner keep their thickness as nearly as may be, within the plane of a rim."""
    whole = math.fsum(weight for weight, _ in normals)
    summed = (0.0, 0.0, 0.0)
    for weight, normal in normals:
        summed = plus(summed, times(normal, weight))
    middle = unit(summed)
    if plane is not None:
        within = minus(middle, times(plane, dot(middle, plane)))
        if dot(within, within) > _STEEP * _STEEP:
            middle = unit(within)
    reach = math.fsum(weight * dot(normal, middle) for weight, normal in normals) / whole
    return times(middle, 1 / max(reach, _STEEP))
