"""Where parts of the assembled model lie in one another: solid against solid.

Boxes first, without a mesh. Of a pair whose boxes meet, the sheet of one is looked at plane by plane: each of its
patches at a few depths, cut with the mesh of the other, and with what of its own drawing is there. What is left of that
in the drawing and wider than the tolerance is where they overlap. Glue joints meet without depth, and what a slot, a
groove or a bevel makes room for is not there to be met. mm.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, NamedTuple, TypeAlias

from ringwright.geometry.part import Flat, Part, Vector
from ringwright.geometry.path import Path, Point, flattened
from ringwright.geometry.recall import known
from ringwright.geometry.solid.lay import Lay, Patch, lay_of
from ringwright.geometry.solid.mesh import solid_at
from ringwright.geometry.solid.near import Body, bodies_of, near_pairs, touching
from ringwright.geometry.solid.rows import along
from ringwright.geometry.solid.slab import Slab, bevelled_region, slabs_of
from ringwright.geometry.wrap.vector import cross, dot, minus, plus, times

if TYPE_CHECKING:
    from ringwright.geometry.solid.rows import Counts, Numbers
    from shapely import Geometry

TOLERANCE = 0.5
"""Parts may lie in one another by so much, mm: what foam, a knife and glue give. Our choice."""
_THIN = 0.9
"""Of thin sheet it is this share of the thickness: what goes right through is found."""
_FINE = 9
Box: TypeAlias = tuple[float, float, float, float]

_OFF = 0.0137
"""A share of the thickness that no face of another part is likely to lie at."""


class Overlap(NamedTuple):
    """Two parts that lie in one another. deep: how far, mm: the smallest way across what both take up; volume: of that,
    mm3, nearly; at: its middle.
    """

    one: str
    other: str
    deep: float
    volume: float
    at: Vector


def overlaps(
    parts: Sequence[Part],
    tolerance: float = TOLERANCE,
    skipped: Callable[[Part, Part], bool] = lambda one, other: False,
) -> tuple[Overlap, ...]:
    """All pairs of parts that overlap by more than the tolerance, by their ids; of several copies the worst.

    Where an edge of one meets the other at a bevel, the tolerance is larger by what is bevelled off. skipped: pairs that
    are not looked at.
    """
    bodies = bodies_of(parts)
    pairs = [(i, j) for i, j in near_pairs(bodies) if not skipped(bodies[i].part, bodies[j].part)]
    if not pairs:
        return ()
    lays = {
        k: lay_of(bodies[k].place, bodies[k].part.stock) for k in sorted({k for pair in pairs for k in pair})
    }
    numbers = {k: number for number, k in enumerate(lays)}
    wanted = {(numbers[i], numbers[j]): allowed(bodies[i].part, bodies[j].part, tolerance) for i, j in pairs}
    of = [(bodies[k], lay) for k, lay in lays.items()]
    met: dict[int, _Met] = {}
    worst: dict[tuple[str, str], Overlap] = {}
    for (i, j), (ours, theirs) in touching(of, wanted).items():
        sides = [(k, frozenset(patches)) for k, patches in ((i, ours), (j, theirs))]

        def looked_at(
            sides: list[tuple[int, frozenset[int]]] = sides, most: float = wanted[i, j]
        ) -> Overlap | None:
            one, other = (_meeting(met, k, *of[k]).among(patches) for k, patches in sides)
            return _overlap(one, other, most)

        asked = [(of[k][0].part, of[k][0].copy, tuple(sorted(patches))) for k, patches in sides]
        found = known("overlap", (*asked[0], *asked[1], wanted[i, j]), looked_at)
        if found is not None:
            key = found.one, found.other
            if key not in worst or found.deep > worst[key].deep:
                worst[key] = found
    return tuple(worst[key] for key in sorted(worst))


def allowed(one: Part, other: Part, tolerance: float) -> float:
    """By how much two parts may lie in one another, mm."""
    thin = min(tolerance, _THIN * one.stock.thickness, _THIN * other.stock.thickness)
    return thin + max(_bevelled_off(one, other), _bevelled_off(other, one))


def _bevelled_off(part: Part, mate: Part) -> float:
    """How wide the bevels of a part's edges are that meet another."""
    return max(
        (part.stock.thickness * math.tan(abs(edge.bevel)) for edge in part.edges if _is(mate, edge.mate)),
        default=0.0,
    )


def _is(part: Part, name: str) -> bool:
    """Whether a part is what an edge names as its mate: by id, or by the name of what it belongs to, hand and all."""
    names = name.split()
    own = part.component.rpartition(".")[2]
    return any(each in (part.id, part.component, own, f"{own}.{part.hand}") for each in names)


class _Met(NamedTuple):
    """A copy with all that its pairs ask for. patches: those of its sheet that are looked at."""

    body: Body
    lay: Lay
    slabs: tuple[Slab, ...]
    points: Numbers
    triangles: Counts
    patches: tuple[Patch, ...]

    def among(self, wanted: frozenset[int]) -> _Met:
        """The same of which no more than some patches are looked at."""
        if self.lay.flat:
            return self
        return self._replace(patches=tuple(self.lay.patches[number] for number in sorted(wanted)))


def _meeting(met: dict[int, _Met], number: int, body: Body, lay: Lay) -> _Met:
    import numpy as np

    if number not in met:
        slabs = slabs_of(body.part)
        solid = solid_at(body.part, body.copy, lay, slabs)
        points, triangles = np.array(solid.vertices), np.array(solid.triangles)
        met[number] = _Met(body, lay, slabs, points, triangles, lay.patches)
    return met[number]


def _overlap(one: _Met, other: _Met, tolerance: float) -> Overlap | None:
    """Where two copies overlap, None where they do not."""
    host, guest = _roles(one, other)
    for a, b in ((host, guest), (guest, host)) if guest.lay.flat else ((host, guest),):
        thick = a.body.part.stock.thickness
        edge = min(tolerance, thick / 4)
        middle = (0.5 + _OFF) * thick
        # A bent sheet is met at one of its faces, if at all.
        depths = [edge, thick - edge, *([middle] if a.lay.flat else ())] if a is host else [middle]
        if any(_wide(_shared(a, b, depth), tolerance) for depth in depths):
            found = _measured(one, other, a, b, tolerance)
            return found if found.deep > tolerance else None
    return None


def filling(host: Part, slot: Path, parts: Sequence[Part]) -> tuple[tuple[str, float], ...]:
    """What other parts fill of an opening of a flat part, midway through its sheet: their ids and the share, most first.

    slot: as it lies in the host's drawing; of a notch what lies beyond the host's edge is left out.
    """
    import shapely

    within = shapely.convex_hull(shapely.Polygon(flattened(host.outline, 0.02)))
    region = shapely.intersection(shapely.Polygon(flattened(slot, 0.02)), within)
    if not region.area > 0:
        return ()
    slab = Slab(0.0, host.stock.thickness, region)
    place = host.placement
    assert isinstance(place, Flat)
    lay = lay_of(place, host.stock)
    alone = host._replace(outline=slot, holes=(), grooves=(), bevels=(), others=())
    bodies = [*bodies_of([alone]), *bodies_of([part for part in parts if part.id != host.id])]
    near = [(i, j) for i, j in near_pairs(bodies) if 0 in (i, j)]
    if not near:
        return ()
    import numpy as np

    mine = _Met(bodies[0], lay, (slab,), np.empty((0, 3)), np.empty((0, 3), dtype=int), lay.patches)
    found: dict[str, float] = {}
    for i, j in near:
        guest = bodies[i or j]
        met = _meeting({}, 0, guest, lay_of(guest.place, guest.part.stock))
        shared = _shared(mine, met, (0.5 + _OFF) * host.stock.thickness)
        share = shared.area / slab.region.area
        if share > 0:
            found[guest.part.id] = max(found.get(guest.part.id, 0.0), share)
    return tuple(sorted(found.items(), key=lambda each: (-each[1], each[0])))


def _roles(one: _Met, other: _Met) -> tuple[_Met, _Met]:
    """Of which of two copies the sheet is looked at, and of which the mesh: the one of fewer patches first."""
    return (
        (one, other)
        if (len(one.patches), not one.lay.flat) <= (len(other.patches), not other.lay.flat)
        else (other, one)
    )


def _wide(region: Geometry, tolerance: float) -> bool:
    """Whether a region is anywhere wider than the tolerance."""
    return not region.is_empty and not region.buffer(-tolerance / 2, quad_segs=2).is_empty


def _measured(one: _Met, other: _Met, host: _Met, guest: _Met, tolerance: float) -> Overlap:
    import shapely

    thick = host.body.part.stock.thickness
    step = thick / _FINE
    layers = [(k + 0.5 + _OFF) * step for k in range(_FINE)]
    regions = [(depth, _shared(host, guest, depth)) for depth in layers]
    hit = [(at, region) for at, region in regions if _wide(region, tolerance)] or [
        max(regions, key=lambda each: each[1].area)
    ]
    middle = (hit[0][0] + hit[-1][0]) / 2
    circles = [(at, shapely.maximum_inscribed_circle(region, tolerance=0.02)) for at, region in hit]
    depth, widest = max(circles, key=lambda each: (round(each[1].length, 2), -abs(each[0] - middle)))
    spot: Point = widest.coords[0]
    patch = _patch_at(host.lay, spot)
    return Overlap(
        one.body.part.id,
        other.body.part.id,
        min(2 * widest.length, step * len(hit)),
        step * sum(region.area for _, region in regions),
        patch.at(spot, depth - host.lay.under),
    )


def _patch_at(lay: Lay, spot: Point) -> Patch:
    if lay.flat:
        return lay.patches[0]
    return max(lay.patches, key=lambda patch: min(patch.shares(spot)))


def _shared(host: _Met, guest: _Met, depth: float) -> Geometry:
    """What of the host's drawing is in the guest at a depth under its drawn face."""
    import shapely

    part = host.body.part
    slab = next(slab for slab in host.slabs if depth <= slab.far)
    region = slab.region
    if host.lay.flat:
        region = bevelled_region(region, part, depth / part.stock.thickness)
    found = []
    for patch in host.patches:
        xs, ys = zip(*patch.flat, strict=True)
        around = region.bounds if host.lay.flat else (min(xs), min(ys), max(xs), max(ys))
        section = _section(guest, patch, depth - host.lay.under, around)
        if section is not None:
            if not host.lay.flat:
                section = shapely.intersection(section, shapely.Polygon(patch.flat))
            found.append(section)
    if not found:
        return shapely.Polygon()
    shared = shapely.intersection(shapely.union_all(found, grid_size=1e-6), region)
    # Where faces lie in the plane, lines come out as well.
    pieces = [each for each in getattr(shared, "geoms", (shared,)) if each.geom_type == "Polygon"]
    return shapely.MultiPolygon(pieces)


def _section(guest: _Met, patch: Patch, depth: float, around: Box) -> Geometry | None:
    """A mesh cut by the plane of a patch at a depth, in the patch's drawing; None where nothing of it is there.

    around: (left, low, right, high) of what is asked for; where the mesh does not end in there, all of that is returned
    that lies in the mesh.
    """
    import numpy as np
    import shapely

    a, b, c = (plus(at, times(way, depth)) for at, way in zip(patch.space, patch.through, strict=True))
    u, v = minus(b, a), minus(c, a)
    normal = cross(u, v)
    off = guest.points - np.array(a)
    height = along(off, normal)
    above = height >= 0
    mixed = guest.triangles[above[guest.triangles].any(axis=1) & ~above[guest.triangles].all(axis=1)]
    if not len(mixed):
        return None
    # Cut along the edge that goes down, out along the edge that comes up.
    ups = above[mixed]
    ahead, ups_ahead = mixed[:, [1, 2, 0]], ups[:, [1, 2, 0]]
    edges = np.sort(np.stack([mixed, ahead], axis=2), axis=2)
    down, up = edges[ups & ~ups_ahead], edges[~ups & ups_ahead]
    start, end = (_crossed(off, height, each, (u, v), patch) for each in (down, up))
    left, low, right, high = around
    least, most = np.minimum(start, end), np.maximum(start, end)
    near = (least[:, 0] <= right) & (most[:, 0] >= left) & (least[:, 1] <= high) & (most[:, 1] >= low)
    if not near.any():
        x, y = (left + right) / 2, (low + high) / 2
        over = (start[:, 1] > y) != (end[:, 1] > y)
        p, q = start[over], end[over]
        met = p[:, 0] + (y - p[:, 1]) / (q[:, 1] - p[:, 1]) * (q[:, 0] - p[:, 0]) > x
        return shapely.box(*around) if met.sum() % 2 else None
    count = len(guest.points)
    return _filled(start, down[:, 0] * count + down[:, 1], up[:, 0] * count + up[:, 1])


def _crossed(
    off: Numbers, height: Numbers, edges: Counts, ways: tuple[Vector, Vector], patch: Patch
) -> Numbers:
    """Where edges of a mesh pass through a plane, in the patch's drawing.

    off: its vertices from the plane's corner; height: over the plane; ways: to the patch's two other corners.
    """
    import numpy as np

    low, high = edges[:, 0], edges[:, 1]
    share = (height[low] / (height[low] - height[high]))[:, None]
    at = off[low] + share * (off[high] - off[low])
    u, v = ways
    uu, uv, vv = dot(u, u), dot(u, v), dot(v, v)
    au, av = (along(at, way) for way in (u, v))
    whole = uu * vv - uv * uv
    b, c = (au * vv - av * uv) / whole, (av * uu - au * uv) / whole
    (ax, ay), (bx, by), (cx, cy) = patch.flat
    return np.stack([ax + b * (bx - ax) + c * (cx - ax), ay + b * (by - ay) + c * (cy - ay)], axis=1)


def _filled(spots: Numbers, keys: Counts, following: Counts) -> Geometry:
    """What loops of cut edges enclose. spots: where each edge is cut; keys: what it is known by; following: the key of
    the next one round its loop.
    """
    import numpy as np
    import shapely

    order = np.argsort(keys, kind="stable")
    after = order[np.searchsorted(keys[order], following)].tolist()
    inner: list[Geometry] = []
    outer: list[Geometry] = []
    left = [True] * len(after)
    for start in order.tolist():
        ring, at = [], start
        while left[at]:
            left[at] = False
            ring.append(at)
            at = after[at]
        if len(ring) > 2:
            points = spots[ring]
            filled = shapely.polygons(points)
            if not shapely.is_valid(filled):
                filled = shapely.make_valid(filled, method="structure", keep_collapsed=False)
            is_hole = not shapely.is_ccw(shapely.linearrings(points))
            (inner if is_hole else outer).append(filled)
    whole = outer[0] if len(outer) == 1 else shapely.union_all(outer)
    return shapely.difference(whole, shapely.union_all(inner)) if inner else whole
