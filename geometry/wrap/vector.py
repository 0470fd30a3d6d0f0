"""Vectors of three numbers, as tuples: no more than the wraps need. Lengths in mm."""

import math

from ringwright.geometry.part import Vector


def plus(a: Vector, b: Vector) -> Vector:
    """Sum of two vectors."""
    return a[0] + b[0], a[1] + b[1], a[2] + b[2]


def minus(a: Vector, b: Vector) -> Vector:
    """The vector from b to a."""
    return a[0] - b[0], a[1] - b[1], a[2] - b[2]


def times(a: Vector, factor: float) -> Vector:
    """A vector made longer by a factor."""
    return a[0] * factor, a[1] * factor, a[2] * factor


def dot(a: Vector, b: Vector) -> float:
    """Scalar product."""
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]


def cross(a: Vector, b: Vector) -> Vector:
    """Vector product."""
    return a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]


def size(a: Vector) -> float:
    """Length of a vector."""
    return math.sqrt(a[0] * a[0] + a[1] * a[1] + a[2] * a[2])


def unit(a: Vector) -> Vector:
    """Vector of length 1 the same way; a vector of no length stays as it is."""
    length = size(a)
    return times(a, 1 / length) if length > 1e-12 else (0.0, 0.0, 0.0)


def between(a: Vector, b: Vector, share: float) -> Vector:
    """The point at a share (0 … 1) of the way from a to b."""
    return tuple(p + share * (q - p) for p, q in zip(a, b, strict=True))  # type: ignore[return-value]


def angle_between(a: Vector, b: Vector) -> float:
    """Angle between two vectors, rad, 0 … pi; exact for small ones too."""
    return math.atan2(size(cross(a, b)), dot(a, b))
