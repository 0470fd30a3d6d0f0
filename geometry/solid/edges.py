"""The edges of a mesh that a picture shows: creases from wherever one looks, and what is a rim from one side only."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, NamedTuple

from ringwright.geometry.solid.mesh import Solid
from ringwright.geometry.solid.rows import cross, dot, size

if TYPE_CHECKING:
    from ringwright.geometry.solid.rows import Counts, Numbers, Truths

CREASE = math.radians(25.0)
"""Two faces that turn by more are drawn with the edge between them."""


class Edges(NamedTuple):
    """The edges of a mesh. ends: their two vertices, by number, one row an edge; faces: the triangles on either side;
    normals: the outward unit normal of each triangle; creased: whether the faces turn sharply.
    """

    ends: Counts
    faces: Counts
    normals: Numbers
    creased: Truths


def edges_of(solid: Solid) -> Edges:
    """The edges of a closed mesh."""
    import numpy as np

    points, triangles = np.array(solid.vertices), np.array(solid.triangles)
    normals = normals_of(points, triangles)
    starts = triangles.ravel()
    stops = triangles[:, [1, 2, 0]].ravel()
    face = np.repeat(np.arange(len(triangles)), 3)
    # Every edge stands there once each way: sorted by its ends, the two are neighbours.
    low, high = np.minimum(starts, stops), np.maximum(starts, stops)
    order = np.lexsort((starts > stops, high, low))
    one, other = order[0::2], order[1::2]
    ends = np.stack([low[one], high[one]], axis=1)
    faces = np.stack([face[one], face[other]], axis=1)
    cosines = dot(normals[faces[:, 0]], normals[faces[:, 1]])
    return Edges(ends, faces, normals, cosines < math.cos(CREASE))


def normals_of(points: Numbers, triangles: Counts) -> Numbers:
    """Outward unit normals of triangles; of no length where a triangle has no area."""
    import numpy as np

    a, b, c = (points[triangles[:, k]] for k in range(3))
    crossed = cross(b - a, c - a)
    return np.asarray(crossed / np.maximum(size(crossed), 1e-300)[:, None])
