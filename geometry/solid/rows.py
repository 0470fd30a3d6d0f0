"""Many vectors at once: numpy arrays whose last axis is x, y, z. Elementwise steps only, alike on every machine. mm."""

from __future__ import annotations

from typing import TYPE_CHECKING, TypeAlias

from ringwright.geometry.part import Vector

if TYPE_CHECKING:
    import numpy as np

    Numbers: TypeAlias = np.ndarray[tuple[int, ...], np.dtype[np.float64]]
    Counts: TypeAlias = np.ndarray[tuple[int, ...], np.dtype[np.int64]]
    Truths: TypeAlias = np.ndarray[tuple[int], np.dtype[np.bool_]]


def along(rows: Numbers, way: Vector) -> Numbers:
    """Scalar product of each vector with one."""
    found: Numbers = rows[..., 0] * way[0] + rows[..., 1] * way[1] + rows[..., 2] * way[2]
    return found


def dot(p: Numbers, q: Numbers) -> Numbers:
    """Scalar products."""
    found: Numbers = p[..., 0] * q[..., 0] + p[..., 1] * q[..., 1] + p[..., 2] * q[..., 2]
    return found


def cross(p: Numbers, q: Numbers) -> Numbers:
    """Vector products of (n, 3) with (n, 3)."""
    import numpy as np

    (px, py, pz), (qx, qy, qz) = p.T, q.T
    return np.stack([py * qz - pz * qy, pz * qx - px * qz, px * qy - py * qx], axis=1)


def size(p: Numbers) -> Numbers:
    """Lengths."""
    import numpy as np

    found: Numbers = np.sqrt(dot(p, p))
    return found
