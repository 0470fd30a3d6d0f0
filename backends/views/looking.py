"""Ways to look at the aircraft from far away, as ISO 5456 has them."""

import math
from typing import NamedTuple

from ringwright.geometry.part import Vector
from ringwright.geometry.path import Point
from ringwright.geometry.wrap.vector import dot

_HALF, _SIXTH = math.sqrt(0.5), math.sqrt(1 / 6)


class Look(NamedTuple):
    """A way to look: what runs to the right and up on the picture, and where the eye is, all unit vectors.

    stretch: what a projected length is drawn longer by: isometric pictures have true lengths along the three axes.
    """

    name: str
    right: Vector
    up: Vector
    eye: Vector
    stretch: float = 1.0

    def at(self, place: Vector) -> Point:
        """Where a place in the aircraft is drawn, mm."""
        return self.stretch * dot(place, self.right), self.stretch * dot(place, self.up)


SIDE = Look("side view, from port", (1.0, 0.0, 0.0), (0.0, 0.0, 1.0), (0.0, -1.0, 0.0))
TOP = Look("top view", (1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))
FRONT = Look("front view", (0.0, -1.0, 0.0), (0.0, 0.0, 1.0), (-1.0, 0.0, 0.0))
ISOMETRIC = Look(
    "isometric view",
    (_HALF, -_HALF, 0.0),
    (_SIXTH, _SIXTH, 2 * _SIXTH),
    (-math.sqrt(1 / 3), -math.sqrt(1 / 3), math.sqrt(1 / 3)),
    math.sqrt(1.5),
)
"""Nose to the lower left, the left side to the lower right; axes at 30° (ISO 5456-3)."""
