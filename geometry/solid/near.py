"""Which copies of parts come so near to each other that they may overlap: boxes first, then their prisms. mm.

A placed sheet is made of prisms, one a patch. Two of them lie apart, or touch, where they do along the normal of any of
their faces; what is left is looked at more closely.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from typing import TYPE_CHECKING, NamedTuple

from ringwright.geometry.part import Flat, Part, Placement, Rolled, Vector
from ringwright.geometry.path import bounds
from ringwright.geometry.place import about_axis, in_space
from ringwright.geometry.solid import rows
from ringwright.geometry.solid.lay import Lay, Patch
from ringwright.geometry.solid.mesh import places_of
from ringwright.geometry.wrap.vector import cross, plus, times

if TYPE_CHECKING:
    from ringwright.geometry.solid.rows import Numbers, Truths

_AT_ONCE = 20_000
_LEAST = 1e-3
"""Boxes that share less, mm, touch."""


class Body(NamedTuple):
    """One copy of a part where it sits, not yet worked out as a solid. low, high: a box that it lies in."""

    part: Part
    copy: int
    place: Placement
    low: Vector
    high: Vector


def bodies_of(parts: Sequence[Part]) -> tuple[Body, ...]:
    """All copies of parts that have a place."""
    return tuple(
        Body(part, copy, place, *_box(part, place))
        for part in sorted(parts, key=lambda part: part.id)
        for copy, place in enumerate(places_of(part), start=1)
    )


def _box(part: Part, place: Placement) -> tuple[Vector, Vector]:
    """A box that a part lies in, with room for its thickness where it is bent."""
    thick = part.stock.thickness
    points: list[Vector]
    if isinstance(place, Flat):
        left, low, right, high = bounds(part.outline)
        corners = [in_space(place, (x, y)) for x in (left, right) for y in (low, high)]
        back = times(cross(place.v, place.u), thick)
        points, room = [*corners, *(plus(corner, back) for corner in corners)], 0.0
    elif isinstance(place, Rolled):
        points = [
            about_axis(place, along, radius, turn * math.pi / 4)
            for along, radius in ((0.0, place.start_radius), (place.length, place.end_radius))
            for turn in range(8)
        ]
        # Between two of these eight places a circle reaches out by 0.076 of its radius at most.
        room = thick * place.slant / place.length + 0.08 * max(place.start_radius, place.end_radius)
    else:
        points, room = [corner for facet in place.facets for corner in facet.space], 1.5 * thick
    xs, ys, zs = zip(*points, strict=True)
    return (
        (min(xs) - room, min(ys) - room, min(zs) - room),
        (max(xs) + room, max(ys) + room, max(zs) + room),
    )


def near_pairs(bodies: Sequence[Body]) -> Iterator[tuple[int, int]]:
    """Pairs of copies of different parts, by number, whose boxes lie in one another."""
    order = sorted(range(len(bodies)), key=lambda k: (bodies[k].low[0], k))
    for place, first in enumerate(order):
        one = bodies[first]
        for second in order[place + 1 :]:
            other = bodies[second]
            if other.low[0] > one.high[0] - _LEAST:
                break
            if one.part.id != other.part.id and all(
                min(one.high[k], other.high[k]) - max(one.low[k], other.low[k]) > _LEAST for k in (1, 2)
            ):
                yield min(first, second), max(first, second)


def touching(
    lays: Sequence[tuple[Body, Lay]], wanted: Mapping[tuple[int, int], float]
) -> dict[tuple[int, int], tuple[frozenset[int], frozenset[int]]]:
    """Of some pairs those of which prisms lie in one another, each with the patches concerned of both.

    wanted: by how much those of each pair may do so, mm.
    """
    import numpy as np
    import shapely

    prisms = [_prisms(body, lay) for body, lay in lays]
    corners = np.concatenate(prisms)
    owner = np.repeat(np.arange(len(prisms)), [len(each) for each in prisms])
    patch = np.concatenate([np.arange(len(each)) for each in prisms])
    low, high = corners.min(axis=1), corners.max(axis=1)
    boxes = shapely.box(low[:, 0], low[:, 1], high[:, 0], high[:, 1])
    one, other = shapely.STRtree(boxes).query(boxes)
    kept = owner[one] < owner[other]
    one, other = one[kept], other[kept]
    may = np.full((len(prisms), len(prisms)), np.inf)
    for (first, second), tolerance in wanted.items():
        may[first, second] = tolerance
    room = may[owner[one], owner[other]]
    kept = np.ones(len(one), dtype=bool)
    for k in range(3):
        kept &= np.minimum(high[one, k], high[other, k]) - np.maximum(low[one, k], low[other, k]) > room
    one, other, room = one[kept], other[kept], room[kept]
    axes = _axes(corners)
    found: dict[tuple[int, int], tuple[set[int], set[int]]] = {}
    for start in range(0, len(one), _AT_ONCE):
        a, b, least = (each[start : start + _AT_ONCE] for each in (one, other, room))
        meet = _meet(corners[a], corners[b], axes[a], least) & _meet(corners[b], corners[a], axes[b], least)
        for i, j in zip(a[meet].tolist(), b[meet].tolist(), strict=True):
            ours, theirs = found.setdefault((int(owner[i]), int(owner[j])), (set(), set()))
            ours.add(int(patch[i]))
            theirs.add(int(patch[j]))
    return {pair: (frozenset(ours), frozenset(theirs)) for pair, (ours, theirs) in sorted(found.items())}


def _prisms(body: Body, lay: Lay) -> Numbers:
    """Corners of a sheet's prisms: three on its drawn face, three on the other. A flat part is a box in two halves."""
    import numpy as np

    thick = body.part.stock.thickness
    patches: Sequence[Patch] = lay.patches
    if lay.flat:
        left, low, right, high = bounds(body.part.outline)
        whole = lay.patches[0]
        halves = (((left, low), (right, low), (right, high)), ((left, low), (right, high), (left, high)))
        return np.array(
            [[whole.at(spot, depth) for depth in (0.0, thick) for spot in half] for half in halves]
        )
    space = np.array([patch.space for patch in patches])
    through = np.array([patch.through for patch in patches])
    return np.concatenate([space - lay.under * through, space + (thick - lay.under) * through], axis=1)


def _axes(corners: Numbers) -> Numbers:
    """Unit normals of the four kinds of faces of prisms: their ends, and their three walls."""
    import numpy as np

    a, b, c, d, e, f = (corners[:, k] for k in range(6))
    ways = [(b - a, c - a), (b - a, d - a + e - b), (c - b, e - b + f - c), (a - c, d - a + f - c)]
    found = []
    for p, q in ways:
        normal = rows.cross(p, q)
        found.append(normal / np.maximum(rows.size(normal), 1e-12)[:, None])
    return np.stack(found, axis=1)


def _meet(ours: Numbers, theirs: Numbers, axes: Numbers, least: Numbers) -> Truths:
    """Whether prisms lie in others by more than `least` along each of some axes of one of them."""
    import numpy as np

    meet = np.ones(len(ours), dtype=bool)
    for k in range(axes.shape[1]):
        axis = axes[:, k, None, :]
        p, q = rows.dot(ours, axis), rows.dot(theirs, axis)
        shared = np.minimum(p.max(axis=1), q.max(axis=1)) - np.maximum(p.min(axis=1), q.min(axis=1))
        flat = (axes[:, k, 0] == 0) & (axes[:, k, 1] == 0) & (axes[:, k, 2] == 0)
        meet &= (shared > least) | flat
    return meet
