"""Where parts of the assembled model lie in one another: solid against solid.

Boxes first, without a mesh. Of a pair whose boxes meet, the sheet of one is looked at plane by plane: each of its
patches at a few depths, cut with the mesh of the other, and with what of its own drawing is there. What is left of that
in the drawing and wider than the tolerance is where they overlap. Glue joints meet without depth, and what a slot, a
groove or a bevel makes room for is not there to be met. mm.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, NamedTuple

from ringwright.geometry.part import Flat, Part, Vector
from ringwright.geometry.path import Path, Point, flattened
from ringwright.geometry.solid.lay import Lay, Patch, lay_of
from ringwright.geometry.solid.mesh import solid_at
from ringwright.geometry.solid.near import Body, bodies_of, near_pairs, touching
from ringwright.geometry.solid.slab import Slab, bevelled_region, slabs_of
from ringwright.geometry.wrap.vector import cross, minus, plus, times

if TYPE_CHECKING:
    import numpy as np
    from shapely import Geometry

    Numbers = np.ndarray[tuple[int, ...], np.dtype[np.float64]]
    Counts = np.ndarray[tuple[int, ...], np.dtype[np.int64]]

TOLERANCE = 0.5
"""Parts may lie in one another by so much, mm: what foam, a knife and glue give. Our choice."""
_THIN = 0.9
"""Of thin sheet it is this share of the thickness: what goes right through is found."""
_FINE = 9
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
        one, other = (_meeting(met, k, *of[k]) for k in (i, j))
        found = _overlap(one.among(ours), other.among(theirs), wanted[i, j])
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
        depths = [edge, (0.5 + _OFF) * thick, thick - edge] if a is host else [(0.5 + _OFF) * thick]
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

    def off(patch: Patch) -> float:
        (ax, ay), (bx, by), (cx, cy) = patch.flat
        whole = (bx - ax) * (cy - ay) - (cx - ax) * (by - ay)
        b = ((spot[0] - ax) * (cy - ay) - (cx - ax) * (spot[1] - ay)) / whole
        c = ((bx - ax) * (spot[1] - ay) - (spot[0] - ax) * (by - ay)) / whole
        return max(-b, -c, b + c - 1)

    return min(lay.patches, key=off)


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
        section = _section(guest, patch, depth - host.lay.under)
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


def _section(guest: _Met, patch: Patch, depth: float) -> Geometry | None:
    """A mesh cut by the plane of a patch at a depth, in the patch's drawing; None where it is not met."""
    import numpy as np

    a, b, c = (plus(at, times(way, depth)) for at, way in zip(patch.space, patch.through, strict=True))
    u, v = minus(b, a), minus(c, a)
    normal = cross(u, v)
    off = guest.points - np.array(a)
    height = off[:, 0] * normal[0] + off[:, 1] * normal[1] + off[:, 2] * normal[2]
    above = height >= 0
    mixed = guest.triangles[above[guest.triangles].any(axis=1) & ~above[guest.triangles].all(axis=1)]
    if not len(mixed):
        return None
    # Cut along the edge that goes down, out along the edge that comes up.
    ups = above[mixed]
    ahead, ups_ahead = mixed[:, [1, 2, 0]], ups[:, [1, 2, 0]]
    edges = np.sort(np.stack([mixed, ahead], axis=2), axis=2)
    down, up = (edges[turn].tolist() for turn in (ups & ~ups_ahead, ~ups & ups_ahead))
    following = {(i, j): (k, m) for (i, j), (k, m) in zip(down, up, strict=True)}
    spots = _spots(guest.points, height, sorted(following), (a, u, v), patch)
    return _filled(following, spots)


def _spots(
    points: Numbers,
    height: Numbers,
    edges: list[tuple[int, int]],
    plane: tuple[Vector, Vector, Vector],
    patch: Patch,
) -> dict[tuple[int, int], Point]:
    """Where edges of a mesh pass through a plane, in the patch's drawing. plane: its corner and the ways to the two
    others.
    """
    import numpy as np

    numbers = np.array(edges)
    low, high = numbers[:, 0], numbers[:, 1]
    share = (height[low] / (height[low] - height[high]))[:, None]
    at = points[low] + share * (points[high] - points[low]) - np.array(plane[0])
    u, v = np.array(plane[1]), np.array(plane[2])
    uu, uv, vv = (float(sum(p * q for p, q in zip(*pair, strict=True))) for pair in ((u, u), (u, v), (v, v)))
    au, av = (at[:, 0] * way[0] + at[:, 1] * way[1] + at[:, 2] * way[2] for way in (u, v))
    whole = uu * vv - uv * uv
    b, c = (au * vv - av * uv) / whole, (av * uu - au * uv) / whole
    (ax, ay), (bx, by), (cx, cy) = patch.flat
    xs = ax + b * (bx - ax) + c * (cx - ax)
    ys = ay + b * (by - ay) + c * (cy - ay)
    return dict(zip(edges, zip(xs.tolist(), ys.tolist(), strict=True), strict=True))


def _filled(
    following: dict[tuple[int, int], tuple[int, int]], spots: dict[tuple[int, int], Point]
) -> Geometry:
    """What loops of cut edges enclose."""
    import shapely

    inner: list[Geometry] = []
    outer: list[Geometry] = []
    left = set(following)
    for start in sorted(following):
        if start not in left:
            continue
        ring, at = [], start
        while at in left:
            left.discard(at)
            ring.append(spots[at])
            at = following[at]
        if len(ring) > 2:
            twice = sum(p[0] * q[1] - p[1] * q[0] for p, q in zip(ring, [*ring[1:], ring[0]], strict=True))
            filled = shapely.Polygon(ring)
            if not shapely.is_valid(filled):
                filled = shapely.make_valid(filled, method="structure", keep_collapsed=False)
            (outer if twice > 0 else inner).append(filled)
    whole = outer[0] if len(outer) == 1 else shapely.union_all(outer)
    return shapely.difference(whole, shapely.union_all(inner)) if inner else whole
