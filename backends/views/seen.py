"""Which edges of solids are seen from afar: creases and rims, each without what lies behind something.

Of every edge and every triangle before it, both flat on the picture, the stretch of the edge within the triangle and
farther than its plane is hidden: exact but for rounding. mm.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, NamedTuple

from ringwright.backends.views.looking import Look
from ringwright.geometry.path import Path, Point, line
from ringwright.geometry.solid.edges import edges_of
from ringwright.geometry.solid.mesh import Solid
from ringwright.geometry.solid.rows import along

if TYPE_CHECKING:
    from ringwright.geometry.solid.rows import Counts, Numbers, Truths
    from shapely import Geometry, STRtree

BEHIND = 0.05
"""What lies less far behind a face, mm, is on it: edges of parts that are glued there, chords of round walls."""
GRID = 0.01
"""Lines of a picture that lie as near to each other as this, mm, are one."""
_STRETCH = 8.0
_BESIDE = 0.25
_LEAST = 0.05


class Seen(NamedTuple):
    """What is seen, mm on the picture: rims, with nothing of the model on one side of them, and the lines within."""

    rims: tuple[Path, ...]
    lines: tuple[Path, ...]


class _Faces(NamedTuple):
    """The triangles that look at the eye: corners on the picture, and how near each is to the eye."""

    corners: Numbers  # n, 3, 2
    near: Numbers  # n, 3


def seen(solids: Sequence[Solid], look: Look, of: Sequence[Solid] | None = None) -> Seen:
    """What is seen of solids from afar. of: those alone whose lines are drawn, all of them unless given."""
    import numpy as np
    import shapely

    drawn = solids if of is None else of
    if not drawn:
        return Seen((), ())
    faces = _faces(solids, look)
    tree = shapely.STRtree(shapely.polygons(faces.corners))
    ends = np.concatenate([_ends(solid, look) for solid in drawn])
    left = np.array(list(_left(ends, _hidden(ends, faces, tree)))).reshape(-1, 2, 2)
    pieces = _cut_short(left[_long(left) > _LEAST])
    rim = _on_rims(pieces, tree)
    rims = shapely.union_all(shapely.linestrings(pieces[rim]), grid_size=GRID)
    within = shapely.union_all(shapely.linestrings(pieces[~rim]), grid_size=GRID)
    within = shapely.difference(within, rims, grid_size=GRID)
    return Seen(_paths(rims, look.stretch), _paths(within, look.stretch))


def _flat(points: Numbers, look: Look) -> tuple[Numbers, Numbers]:
    """Points on the picture, and how near they are to the eye."""
    import numpy as np

    right, up, eye = (along(points, way) for way in (look.right, look.up, look.eye))
    return np.stack([right, up], axis=1), eye


def _faces(solids: Sequence[Solid], look: Look) -> _Faces:
    import numpy as np

    corners, near = [], []
    for solid in solids:
        at, depth = _flat(np.array(solid.vertices), look)
        triangles = np.array(solid.triangles)
        a, b, c = (at[triangles[:, k]] for k in range(3))
        twice = (b[:, 0] - a[:, 0]) * (c[:, 1] - a[:, 1]) - (b[:, 1] - a[:, 1]) * (c[:, 0] - a[:, 0])
        front = triangles[twice > 1e-9]
        corners.append(at[front])
        near.append(depth[front])
    return _Faces(np.concatenate(corners), np.concatenate(near))


def _ends(solid: Solid, look: Look) -> Numbers:
    """Both ends of each edge of a solid that may be seen: right, up, near."""
    import numpy as np

    edges = edges_of(solid)
    at, near = _flat(np.array(solid.vertices), look)
    _, towards = _flat(edges.normals, look)
    one, other = towards[edges.faces[:, 0]] > 1e-6, towards[edges.faces[:, 1]] > 1e-6
    shown = edges.ends[(one != other) | (edges.creased & (one | other))]
    return np.stack(
        [np.concatenate([at[shown[:, k]], near[shown[:, k], None]], axis=1) for k in (0, 1)], axis=1
    )


def _hidden(ends: Numbers, faces: _Faces, tree: STRtree) -> tuple[Counts, Numbers, Numbers]:
    """What of the edges lies behind faces: which edge, and from which to which share of its length."""
    import numpy as np
    import shapely

    edge, face = tree.query(shapely.linestrings(ends[:, :, :2]), predicate="intersects")
    start, run = ends[edge, 0], ends[edge, 1] - ends[edge, 0]
    low: Numbers = np.zeros(len(edge))
    high: Numbers = np.ones(len(edge))
    corners = faces.corners[face]
    for k in range(3):
        a, b = corners[:, k], corners[:, (k + 1) % 3]
        side = b - a
        inside = side[:, 0] * (start[:, 1] - a[:, 1]) - side[:, 1] * (start[:, 0] - a[:, 0])
        growing = side[:, 0] * run[:, 1] - side[:, 1] * run[:, 0]
        low, high = _kept(low, high, inside, growing)
    # How much nearer than the edge the face's plane is, along the edge.
    (x0, y0), (x1, y1), (x2, y2) = (corners[:, k].T for k in range(3))
    d0, d1, d2 = faces.near[face].T
    twice = (x1 - x0) * (y2 - y0) - (y1 - y0) * (x2 - x0)
    slope_x = ((d1 - d0) * (y2 - y0) - (d2 - d0) * (y1 - y0)) / twice
    slope_y = ((d2 - d0) * (x1 - x0) - (d1 - d0) * (x2 - x0)) / twice
    nearer = d0 + slope_x * (start[:, 0] - x0) + slope_y * (start[:, 1] - y0) - start[:, 2] - BEHIND
    growing = slope_x * run[:, 0] + slope_y * run[:, 1] - run[:, 2]
    low, high = _kept(low, high, nearer, growing)
    behind = high > low + 1e-9
    return edge[behind], low[behind], high[behind]


def _kept(low: Numbers, high: Numbers, value: Numbers, growing: Numbers) -> tuple[Numbers, Numbers]:
    """The stretch from low to high in which value + share * growing is above 0."""
    import numpy as np

    level = np.abs(growing) < 1e-12
    share = np.where(level, 0.0, -value / np.where(level, 1.0, growing))
    low = np.where(level, np.where(value > 0, low, 2.0), np.where(growing > 0, np.maximum(low, share), low))
    high = np.where(~level & (growing < 0), np.minimum(high, share), high)
    return low, high


def _left(ends: Numbers, hidden: tuple[Counts, Numbers, Numbers]) -> Iterator[tuple[Point, Point]]:
    """What is left of each edge when its hidden stretches are taken away, in order."""
    import numpy as np

    edge, low, high = hidden
    order = np.lexsort((high, low, edge))
    stretches: dict[int, list[tuple[float, float]]] = {}
    for number, start, end in zip(
        edge[order].tolist(), low[order].tolist(), high[order].tolist(), strict=True
    ):
        stretches.setdefault(number, []).append((start, end))
    for number, ((x0, y0, _), (x1, y1, _)) in enumerate(ends.tolist()):
        at = 0.0
        for start, end in [*stretches.get(number, ()), (1.0, 1.0)]:
            if start > at:
                yield (
                    (x0 + at * (x1 - x0), y0 + at * (y1 - y0)),
                    (x0 + start * (x1 - x0), y0 + start * (y1 - y0)),
                )
            at = max(at, end)


def _long(pieces: Numbers) -> Numbers:
    import numpy as np

    run = pieces[:, 1] - pieces[:, 0]
    return np.sqrt(run[:, 0] ** 2 + run[:, 1] ** 2)


def _cut_short(pieces: Numbers) -> Numbers:
    """Pieces in stretches so short that each is a rim, or is none, as a whole."""
    import numpy as np

    counts = np.maximum(1, np.ceil(_long(pieces) / _STRETCH)).astype(int)
    which = np.repeat(np.arange(len(pieces)), counts)
    step = np.arange(len(which)) - np.repeat(np.cumsum(counts) - counts, counts)
    start, run = pieces[which, 0], pieces[which, 1] - pieces[which, 0]
    share = (1.0 / counts[which])[:, None]
    return np.stack([start + run * share * step[:, None], start + run * share * (step[:, None] + 1)], axis=1)


def _on_rims(pieces: Numbers, tree: STRtree) -> Truths:
    """Whether nothing of the model is seen close beside the middle of a piece, on one side or the other."""
    import numpy as np
    import shapely

    run = pieces[:, 1] - pieces[:, 0]
    aside = np.stack([-run[:, 1], run[:, 0]], axis=1) / _long(pieces)[:, None] * _BESIDE
    middle = (pieces[:, 0] + pieces[:, 1]) / 2
    bare = np.zeros(len(pieces), dtype=bool)
    for places in (middle + aside, middle - aside):
        covered = np.zeros(len(pieces), dtype=bool)
        covered[tree.query(shapely.points(places), predicate="intersects")[0]] = True
        bare |= ~covered
    return bare


def _paths(lines: Geometry, stretch: float) -> tuple[Path, ...]:
    """Lines joined as far as they run on, in an order of their own places."""
    import shapely

    joined = shapely.line_merge(lines)
    found = []
    for each in getattr(joined, "geoms", (joined,)):
        points = shapely.simplify(each, GRID).coords
        if len(points) > 1:
            found.append(line([(stretch * x, stretch * y) for x, y in points]))
    return tuple(sorted(found))
