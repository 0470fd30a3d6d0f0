"""The layer of a thick skin that keeps its length: the outer sections moved in along the skin's normals.

A developable's tangent planes move in by the same distance all over, and so stay parallel: rulings keep their
ends. In a section's plane an edge moves by d / √(1 - n_e²), n_e being the share of the skin's normal that
points out of that plane (d / cos of the half angle on a cone); where the rim is cut square to the sheet, by d
square to the ruling. Neighbouring edges are joined where they meet, edges that vanish fall away.
"""

import math
from collections.abc import Sequence
from itertools import pairwise

from ringwright.geometry.errors import GeometryError
from ringwright.geometry.numbers import short
from ringwright.geometry.part import Vector
from ringwright.geometry.wrap.rulings import Rulings
from ringwright.geometry.wrap.section import Section, is_symmetric, symmetric
from ringwright.geometry.wrap.vector import cross, dot, minus, plus, size, times, unit

_MITRE = 0.02
"""Least 1 + cos of the turn at a corner: mitres go no further than ten times the distance."""

_SMOOTH = math.cos(math.radians(10))
"""Cosine of the turn up to which two edges belong to a curve."""


def edge_normals(made: Rulings) -> tuple[tuple[Vector, ...], tuple[Vector, ...]]:
    """Outward normal of the triangle on each edge of the first section, and of the second; unit."""
    found: tuple[list[Vector], list[Vector]] = ([], [])
    for (i, j), (k, m) in pairwise(made.ways):
        foot, head = made.first.points[i], made.second.points[j]
        step = minus(made.first.points[k], foot) if k > i else minus(made.second.points[m], head)
        found[0 if k > i else 1].append(unit(cross(minus(head, foot), step)))
    return tuple(found[0]), tuple(found[1])


def ruling_ways(made: Rulings) -> tuple[tuple[Vector, ...], tuple[Vector, ...]]:
    """Mean direction of the rulings at each corner of the first section, and of the second; unit."""
    sums: tuple[list[Vector], list[Vector]] = (
        [(0.0, 0.0, 0.0)] * len(made.first.points),
        [(0.0, 0.0, 0.0)] * len(made.second.points),
    )
    for i, j in made.ways:
        way = unit(minus(made.second.points[j], made.first.points[i]))
        sums[0][i] = plus(sums[0][i], way)
        sums[1][j] = plus(sums[1][j], way)
    if made.first.closed:
        for ends in sums:
            if len(ends) > 1:
                ends[0] = ends[-1] = plus(ends[0], ends[-1])
    return tuple(map(unit, sums[0])), tuple(map(unit, sums[1]))


def moved_in(made: Rulings, depth: float) -> Rulings:
    """The same rulings on the layer `depth` mm inside the given one. GeometryError 'skin-too-thick'."""
    if not depth:
        return made
    normals, ways = edge_normals(made), ruling_ways(made)
    first = inner_section(made.first, [normals[0]], ways[0], depth)
    second = inner_section(made.second, [normals[1]], ways[1], depth)
    return made._replace(first=first, second=second)


def inner_section(
    section: Section, normals: Sequence[Sequence[Vector]], ways: Sequence[Vector], depth: float
) -> Section:
    """A section of the layer `depth` mm inside, corner for corner.

    normals: of the skin at each edge, one list for each bay that meets the section (the mean of both is
    taken). ways: of the rulings at each corner. GeometryError 'skin-too-thick'.
    """
    if section.is_point or not depth:
        return section
    if section.plane is not None:
        across = [section.plane] * len(section.points)
    else:
        across = list(ways)
    lines = []
    for edge in range(len(section.points) - 1):
        leans = []
        for of_bay in normals:
            normal = of_bay[edge]
            within = minus(normal, times(across[edge], dot(normal, across[edge])))
            leans.append((size(within), unit(within)))
        if min(lean for lean, _ in leans) < 1e-3:
            raise GeometryError(
                "skin-too-thick",
                f"the skin lies in the plane of its section near {_said(section.points[edge])}: a sheet with a"
                " thickness cannot; leave more length between the sections",
            )
        lines.append((leans[0][1], math.fsum(depth / lean for lean, _ in leans) / len(leans)))
    points = _joined(section, lines, across)
    moved = section._replace(points=tuple(points))
    return symmetric(moved) if is_symmetric(section) and is_symmetric(moved) else moved


def _joined(
    section: Section, lines: Sequence[tuple[Vector, float]], across: Sequence[Vector]
) -> list[Vector]:
    """The corners where the moved edges meet. lines: (way out, distance) of each edge."""
    steps = [unit(minus(b, a)) for a, b in pairwise(section.points)]
    kept = list(range(len(steps)))
    while True:
        corners = _corners(section, lines, steps, across, kept)
        runs = [dot(minus(b, a), steps[edge]) for edge, (a, b) in zip(kept, pairwise(corners), strict=True)]
        worst = min(range(len(kept)), key=lambda k: (runs[k], k))
        if runs[worst] > -1e-9:
            break
        if section.plane is None or len(kept) <= (3 if section.closed else 1):
            raise GeometryError(
                "skin-too-thick",
                f"the sheet is too thick for the bend near {_said(section.points[kept[worst]])}:"
                " its inside would fold over",
            )
        del kept[worst]
    found = []
    reached = 0
    for corner in range(len(section.points)):
        while reached < len(kept) and kept[reached] < corner:
            reached += 1
        found.append(corners[reached])
    if section.closed:
        found[0] = found[-1] = corners[0]
    return found


def _corners(
    section: Section,
    lines: Sequence[tuple[Vector, float]],
    steps: Sequence[Vector],
    across: Sequence[Vector],
    kept: Sequence[int],
) -> list[Vector]:
    pairs = list(pairwise(kept))
    found = [_met(section, lines, steps, across, a, b) for a, b in pairs]
    if section.closed:
        ends = _met(section, lines, steps, across, kept[-1], kept[0])
        return [ends, *found, ends]
    start = minus(section.points[kept[0]], _end_way(section, lines, kept[0], kept[1:2]))
    end = minus(section.points[kept[-1] + 1], _end_way(section, lines, kept[-1], kept[-2:-1]))
    return [start, *found, end]


def _end_way(
    section: Section, lines: Sequence[tuple[Vector, float]], edge: int, neighbour: Sequence[int]
) -> Vector:
    """How far out the end of an open section lies: square to the curve there, which goes on turning past the
    middle of its last chord as it did before.
    """
    out, by = lines[edge]
    if not neighbour or dot(out, lines[neighbour[0]][0]) < _SMOOTH:
        return times(out, by)
    own, other = (math.dist(section.points[k], section.points[k + 1]) for k in (edge, neighbour[0]))
    more = times(minus(out, lines[neighbour[0]][0]), own / (own + other))
    return times(unit(plus(out, more)), by)


def _met(
    section: Section,
    lines: Sequence[tuple[Vector, float]],
    steps: Sequence[Vector],
    across: Sequence[Vector],
    a: int,
    b: int,
) -> Vector:
    """Where two moved edges meet; near to parallel, midway between their ends."""
    (out_a, by_a), (out_b, by_b) = lines[a], lines[b]
    corner = section.points[b]
    if b == a + 1 or (b == 0 and a == len(lines) - 1):
        cosine = dot(out_a, out_b)
        middle = times(plus(out_a, out_b), (by_a + by_b) / 2 / max(1 + cosine, _MITRE))
        if 1 - cosine > 1e-10:
            middle = plus(middle, times(minus(out_b, out_a), (by_b - by_a) / 2 / (1 - cosine)))
        return minus(corner, middle)
    start = minus(section.points[a], times(out_a, by_a))
    there = minus(corner, times(out_b, by_b))
    turn = dot(cross(steps[a], steps[b]), across[b])
    if abs(turn) < 1e-9:
        return times(plus(minus(section.points[a + 1], times(out_a, by_a)), there), 0.5)
    reach = dot(cross(minus(there, start), steps[b]), across[b]) / turn
    return plus(start, times(steps[a], reach))


def _said(at: Vector) -> str:
    return f"({', '.join(short(c, 1) for c in at)}) mm"
