"""A piece of strip as a closed mesh: its section carried along the line of its middle. mm."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise

from ringwright.geometry.part import Vector
from ringwright.geometry.solid.mesh import Solid, Triangle
from ringwright.geometry.wrap.vector import cross, dot, minus, plus, times, unit

_STRAIGHT = math.cos(math.radians(0.5))
"""A line that turns by less runs straight on."""
_STEEP = 0.98
"""The share of its length that a piece rises when it is taken to stand upright."""


def bar(part: str, copy: int, line: Sequence[Vector], section: tuple[float, float]) -> Solid:
    """A bar along a line of two places or more; its width lies level, its height square to it.

    part, copy: as of a solid. section: width and height, mm. Of a piece that stands upright, the width lies along y.
    """
    spots = _thinned(line)
    width, height = section
    whole = unit(minus(spots[-1], spots[0]))
    up: Vector = (1.0, 0.0, 0.0) if abs(whole[2]) > _STEEP else (0.0, 0.0, 1.0)
    vertices: list[Vector] = []
    for k, spot in enumerate(spots):
        along = unit(minus(spots[min(k + 1, len(spots) - 1)], spots[max(k - 1, 0)]))
        side = unit(cross(along, up))
        normal = cross(side, along)
        for a, b in ((-0.5, -0.5), (0.5, -0.5), (0.5, 0.5), (-0.5, 0.5)):
            vertices.append(plus(spot, plus(times(side, a * width), times(normal, b * height))))
    triangles: list[Triangle] = [(0, 1, 2), (0, 2, 3)]
    for base in range(0, len(vertices) - 4, 4):
        for k in range(4):
            a, b = base + k, base + (k + 1) % 4
            triangles += [(b, a, a + 4), (b, a + 4, b + 4)]
    end = len(vertices) - 4
    triangles += [(end, end + 2, end + 1), (end, end + 3, end + 2)]
    return Solid(part, copy, tuple(vertices), tuple(triangles))


def _thinned(line: Sequence[Vector]) -> list[Vector]:
    """The places of a line at which it turns, and its ends."""
    kept = [line[0]]
    for spot, following in pairwise(line[1:]):
        if dot(unit(minus(spot, kept[-1])), unit(minus(following, spot))) < _STRAIGHT:
            kept.append(spot)
    return [*kept, line[-1]]
