"""Which parts of the assembled model meet: solids that come nearer to one another than a gap. mm.

Boxes first. Then the corners of each solid, and spots along its longer edges, are held against the triangles of the
other: sheets that meet at an edge, at a face or in a slot all have such spots close by.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, NamedTuple

from ringwright.geometry.solid.mesh import Solid
from ringwright.geometry.solid.rows import cross, dot, size

if TYPE_CHECKING:
    from ringwright.geometry.solid.rows import Numbers
    from shapely import STRtree

_STEP = 3.0
"""How far apart spots along an edge lie at most, mm."""
_FEW = 16


class _Body(NamedTuple):
    """A solid as its spots (n, 3), its triangles (m, 3, 3), a tree of these seen along z, and its box."""

    part: str
    spots: Numbers
    corners: Numbers
    tree: STRtree
    low: Numbers
    high: Numbers


def contacts(solids: Sequence[Solid], gap: float) -> frozenset[tuple[str, str]]:
    """The pairs of parts of which copies come within `gap` mm of one another, by their ids, both ways round."""
    bodies = [
        _body(solid)
        for solid in sorted(solids, key=lambda solid: (solid.part, solid.copy))
        if solid.triangles
    ]
    found: set[tuple[str, str]] = set()
    for i, one in enumerate(bodies):
        for other in bodies[i + 1 :]:
            apart = (one.low - gap > other.high).any() or (other.low - gap > one.high).any()
            if apart or one.part == other.part or (one.part, other.part) in found:
                continue
            if _near(one, other, gap) or _near(other, one, gap):
                found |= {(one.part, other.part), (other.part, one.part)}
    return frozenset(found)


def _body(solid: Solid) -> _Body:
    import numpy as np
    import shapely

    vertices, triangles = np.array(solid.vertices), np.array(solid.triangles)
    corners = vertices[triangles]
    low, high = corners.min(axis=1), corners.max(axis=1)
    boxes = shapely.box(low[:, 0], low[:, 1], high[:, 0], high[:, 1])
    edges = np.concatenate([triangles[:, [0, 1]], triangles[:, [1, 2]], triangles[:, [2, 0]]])
    edges = np.unique(np.sort(edges, axis=1), axis=0)
    start, run = vertices[edges[:, 0]], vertices[edges[:, 1]] - vertices[edges[:, 0]]
    counts = np.maximum(1, np.ceil(size(run) / _STEP)).astype(int)
    which = np.repeat(np.arange(len(edges)), counts)
    share = (np.arange(len(which)) - np.repeat(np.cumsum(counts) - counts, counts)) / counts[which]
    spots = np.concatenate([vertices, start[which] + share[:, None] * run[which]])
    return _Body(
        solid.part, spots, corners, shapely.STRtree(boxes), vertices.min(axis=0), vertices.max(axis=0)
    )


def _near(one: _Body, other: _Body, gap: float) -> bool:
    """Whether a spot of one solid comes within a gap of a triangle of another."""
    within = ((one.spots >= other.low - gap) & (one.spots <= other.high + gap)).all(axis=1)
    spots = one.spots[within]
    # Of most that meet a few spots tell: all are looked at where these do not.
    return any(len(some) and _close(some, other, gap) for some in (spots[::_FEW], spots))


def _close(spots: Numbers, other: _Body, gap: float) -> bool:
    import numpy as np
    import shapely

    around = shapely.box(spots[:, 0] - gap, spots[:, 1] - gap, spots[:, 0] + gap, spots[:, 1] + gap)
    spot, face = other.tree.query(around)
    corners, at = other.corners[face], spots[spot]
    level = (corners[:, :, 2].min(axis=1) - gap <= at[:, 2]) & (
        at[:, 2] <= corners[:, :, 2].max(axis=1) + gap
    )
    return bool(np.any(_apart(at[level], corners[level]) <= gap))


def _apart(at: Numbers, corners: Numbers) -> Numbers:
    """How far each spot is from its triangle: from its plane where it is over it, else from the nearest edge."""
    import numpy as np

    a, b, c = (corners[:, k] for k in range(3))
    normal = cross(b - a, c - a)
    long = np.maximum(size(normal), 1e-12)
    over = np.ones(len(at), dtype=bool)
    nearest = np.full(len(at), np.inf)
    for start, end in ((a, b), (b, c), (c, a)):
        run, to = end - start, at - start
        over &= dot(cross(run, to), normal) >= 0.0
        share = np.clip(dot(to, run) / np.maximum(dot(run, run), 1e-12), 0.0, 1.0)
        nearest = np.minimum(nearest, size(to - share[:, None] * run))
    return np.where(over, np.abs(dot(at - a, normal)) / long, nearest)
