"""Rulings between two convex outlines in parallel planes: their edges merged by heading.

A plane that touches both outlines cuts their planes in parallel lines, so a ruling joins places of the same
heading. Each edge of one, with the corner of the other that has been reached, is a triangle; together they are
the sides of the convex hull of both. Headings are compared by cross products, so that ties are ties on every
machine.
"""

import math
from collections.abc import Sequence
from itertools import pairwise
from typing import TypeAlias

from ringwright.geometry.part import Vector
from ringwright.geometry.wrap.section import Section
from ringwright.geometry.wrap.vector import cross, dot, minus, plus, size, times, unit

Ways: TypeAlias = tuple[tuple[int, int], ...]
"""Corners (i of the first section, j of the second) that the rulings join, in order: each step moves on by
one corner on one of them.
"""

_FLAT = 1e-9
_WAVES = 0.01
"""Turning the other way, rad in all, that a convex outline may have: what it takes to draw a curve as arcs."""

_PARALLEL = 1e-7


def merged(first: Section, second: Section) -> Ways | None:
    """Rulings by heading; None where an outline is hollow or the planes are not parallel.

    A section shrunk to a point makes a fan.
    """
    if first.is_point or second.is_point:
        return fan(first, second)
    normal = common_normal(first, second)
    if normal is None:
        return None
    edges = [[unit(minus(b, a)) for a, b in pairwise(section.points)] for section in (first, second)]
    senses = [_sense(of, section.closed, normal) for of, section in zip(edges, (first, second), strict=True)]
    if None in senses or (senses[0] and senses[1] and senses[0] != senses[1]):
        return None
    sense = senses[0] or senses[1] or 1.0
    here, there = edges
    ways = [(0, 0)]
    i = j = 0
    while i < len(here) or j < len(there):
        if j == len(there):
            on_first = True
        elif i == len(here):
            on_first = False
        else:
            on_first = sense * dot(cross(here[i], there[j]), normal) >= -_FLAT
        i, j = (i + 1, j) if on_first else (i, j + 1)
        ways.append((i, j))
    return tuple(ways)


def fan(first: Section, second: Section) -> Ways:
    """Rulings from a point to every corner of a line."""
    if second.is_point:
        return tuple((i, 0) for i in range(len(first.points)))
    return tuple((0, j) for j in range(len(second.points)))


def common_normal(first: Section, second: Section) -> Vector | None:
    """Unit normal of the two parallel planes that the sections lie in; None where they do not."""
    flat = [normal_of(section.points) for section in (first, second)]
    if None in flat:
        return None
    normals = [n for n in flat if n is not None and size(n)]
    if not normals:
        line, other = (unit(minus(section.points[-1], section.points[0])) for section in (first, second))
        to = minus(second.points[0], first.points[0])
        # Two straight lines lie in parallel planes always; parallel ones in many, of which the ones across.
        normals = [
            unit(cross(line, other))
            if size(cross(line, other)) > _PARALLEL
            else unit(minus(to, times(line, dot(to, line))))
        ]
        if not size(normals[0]):
            return None
    normal = normals[0]
    for section in (first, second):
        steps = [unit(minus(b, a)) for a, b in pairwise(section.points)]
        if any(abs(dot(step, normal)) > _PARALLEL for step in steps):
            return None
    if abs(dot(minus(second.points[0], first.points[0]), normal)) < 1e-6:
        return None
    return normal


def normal_of(points: Sequence[Vector]) -> Vector | None:
    """Unit normal of the plane through the points, of no length where they lie in a line; None for no plane."""
    origin = points[0]
    total: Vector = (0.0, 0.0, 0.0)
    spread = 0.0
    for a, b in pairwise(points):
        total = plus(total, cross(minus(a, origin), minus(b, origin)))
        spread = max(spread, size(minus(b, origin)))
    if size(total) < 1e-7 * spread * spread:
        line = unit(minus(points[-1], origin))
        off = max(size(minus(minus(p, origin), times(line, dot(minus(p, origin), line)))) for p in points)
        return (0.0, 0.0, 0.0) if off < 1e-6 else None
    normal = unit(total)
    if any(abs(dot(minus(p, origin), normal)) > 1e-6 for p in points):
        return None
    return normal


def _sense(edges: Sequence[Vector], closed: bool, normal: Vector) -> float | None:
    """Which way a line turns all along: 1 or -1, 0 for a straight one; None for one that turns both ways."""
    pairs = list(pairwise(edges))
    if closed:
        pairs.append((edges[-1], edges[0]))
    turns = [dot(cross(a, b), normal) for a, b in pairs]
    if any(dot(a, b) < 0 and abs(turn) < _FLAT for (a, b), turn in zip(pairs, turns, strict=True)):
        return None
    left, right = (math.fsum(turn for turn in turns if sign * turn > _FLAT) for sign in (1, -1))
    if min(left, -right) > _WAVES:
        return None
    return 1.0 if left > -right else -1.0 if right else 0.0
