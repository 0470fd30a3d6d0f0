"""What a closed mesh measures: its volume, its middle, its box. mm."""

from typing import TypeAlias

from ringwright.geometry.numbers import total
from ringwright.geometry.part import Vector
from ringwright.geometry.solid.mesh import Solid
from ringwright.geometry.wrap.vector import cross, dot, minus

Box: TypeAlias = tuple[Vector, Vector]
"""Least and greatest x, y and z."""


def volume(solid: Solid) -> float:
    """Volume within a mesh, mm3: of the tetrahedra from its first vertex to each triangle."""
    return total(each for each, _ in _tetrahedra(solid))


def centre(solid: Solid) -> Vector:
    """Middle of the volume within a mesh."""
    whole = volume(solid)
    found = list(_tetrahedra(solid))
    x, y, z = (total(each * at[axis] for each, at in found) / whole for axis in range(3))
    return x, y, z


def _tetrahedra(solid: Solid) -> list[tuple[float, Vector]]:
    origin = solid.vertices[0]
    found = []
    for numbers in solid.triangles:
        a, b, c = (solid.vertices[number] for number in numbers)
        each = dot(minus(a, origin), cross(minus(b, origin), minus(c, origin))) / 6
        middle = tuple((o + p + q + r) / 4 for o, p, q, r in zip(origin, a, b, c, strict=True))
        found.append((each, (middle[0], middle[1], middle[2])))
    return found


def box_of(solid: Solid) -> Box:
    """The box that a mesh lies in."""
    xs, ys, zs = zip(*solid.vertices, strict=True)
    return (min(xs), min(ys), min(zs)), (max(xs), max(ys), max(zs))
