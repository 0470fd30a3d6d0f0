"""Rulings between any two lines, by dynamic programming: the path over corners whose surface turns least
along its rulings.

A step from corner i to i + 1 of one line adds the triangle of that edge and the corner reached on the other.
It costs its edge's length times the square of the angle by which its plane misses the line there (nothing
where it lies within the corner), plus a thousandth for how far it is from the middle of the corner, which
breaks ties. Costs are whole numbers of 1e-8 mm, so that noise in the last bits cannot choose; of equal paths
the one that moves on the first line last wins. Squares and cross products only, no trigonometry.
"""

import math
from collections.abc import Sequence
from itertools import pairwise
from typing import TYPE_CHECKING, Any, NamedTuple

from ringwright.geometry.part import Vector
from ringwright.geometry.wrap.merge import Ways
from ringwright.geometry.wrap.section import Section
from ringwright.geometry.wrap.vector import cross, dot, minus, unit

if TYPE_CHECKING:
    from numpy import ndarray

_UNIT = 1e-8
_STRAIGHT = 1e-6
_FAR = 1 << 61


class Tangents(NamedTuple):
    """Directions of a line at its corners, unit: before each and after each.

    free_start, free_end: whether the line ends there, so that a skin may turn on about its end.
    """

    before: tuple[Vector, ...]
    after: tuple[Vector, ...]
    free_start: bool
    free_end: bool


def tangents(section: Section) -> Tangents:
    """Directions of a section at its corners."""
    if section.is_point:
        none = ((0.0, 0.0, 0.0),)
        return Tangents(none, none, True, True)
    steps = [unit(minus(b, a)) for a, b in pairwise(section.points)]
    first, last = (steps[-1], steps[0]) if section.closed else (steps[0], steps[-1])
    return Tangents((first, *steps), (*steps, last), not section.closed, not section.closed)


class _Line(NamedTuple):
    """A line as columns: x, y, z of its corners and of its directions there, of the turn before and after
    each edge.
    """

    at: "tuple[ndarray[Any, Any], ...]"
    before: "tuple[ndarray[Any, Any], ...]"
    after: "tuple[ndarray[Any, Any], ...]"
    turned: "tuple[ndarray[Any, Any], ...]"
    turning: "tuple[ndarray[Any, Any], ...]"
    free: tuple[bool, bool]


def _columns(vectors: Sequence[Vector]) -> "tuple[ndarray[Any, Any], ...]":
    import numpy

    return tuple(numpy.array([v[i] for v in vectors], dtype=float) for i in range(3))


def _line(section: Section, directions: Tangents) -> _Line:
    edges = directions.after[:-1] if len(section.points) > 1 else ()
    bends = [cross(a, b) for a, b in pairwise(edges)]
    turned = _carried([(0.0, 0.0, 0.0), *bends])[: len(edges)]
    turning = _carried([(0.0, 0.0, 0.0), *bends[::-1]])[: len(edges)][::-1]
    return _Line(
        _columns(section.points),
        _columns(directions.before),
        _columns(directions.after),
        _columns(turned),
        _columns(turning),
        (directions.free_start, directions.free_end),
    )


def _carried(bends: Sequence[Vector]) -> list[Vector]:
    """Each turn, or the last one before it where the line runs straight."""
    found: list[Vector] = []
    for bend in bends:
        straight = dot(bend, bend) < _STRAIGHT * _STRAIGHT
        found.append(found[-1] if straight and found else bend)
    return found


def _slanted(moving: _Line, edge: Any, resting: _Line, corner: Any) -> "tuple[Any, Any, Any, Any]":
    """Of the triangles of an edge of one line and a corner of another: edge length; sine of the twist; whether
    it is on the wrong side; sine to the middle of the corner.

    edge, corner: index arrays that broadcast together.
    """
    import numpy

    a = [column[edge] for column in moving.at]
    b = [column[edge + 1] for column in moving.at]
    c = [column[corner] for column in resting.at]
    before = [column[corner] for column in resting.before]
    after = [column[corner] for column in resting.after]
    e = [q - p for p, q in zip(a, b, strict=True)]
    r = [q - p for p, q in zip(a, c, strict=True)]
    n = [e[1] * r[2] - e[2] * r[1], e[2] * r[0] - e[0] * r[2], e[0] * r[1] - e[1] * r[0]]
    width = numpy.sqrt(e[0] * e[0] + e[1] * e[1] + e[2] * e[2])
    area = numpy.sqrt(n[0] * n[0] + n[1] * n[1] + n[2] * n[2])
    per_area = numpy.where(area > 1e-12, 1 / numpy.maximum(area, 1e-12), 0.0)

    def lean(t: "Sequence[Any]") -> Any:
        return (n[0] * t[0] + n[1] * t[1] + n[2] * t[2]) * per_area

    lean_in, lean_out = lean(before), lean(after)
    middle = [p + q for p, q in zip(before, after, strict=True)]
    length = numpy.sqrt(middle[0] * middle[0] + middle[1] * middle[1] + middle[2] * middle[2])
    hairpin = length < 1e-6
    lean_mid = numpy.where(hairpin, 0.0, lean(middle) / numpy.maximum(length, 1e-6))
    sine = numpy.where(
        (lean_in * lean_out <= 0) | hairpin, 0.0, numpy.minimum(numpy.abs(lean_in), numpy.abs(lean_out))
    )
    last = len(resting.at[0]) - 1
    for end, tangent, bend, way in (
        (0, after, moving.turning, -1.0),
        (last, before, moving.turned, 1.0),
    ):
        if last and resting.free[end > 0]:
            # Past the end of the resting line the skin may go on turning about its last corner.
            t = [column[edge] for column in bend]
            x = [
                tangent[1] * e[2] - tangent[2] * e[1],
                tangent[2] * e[0] - tangent[0] * e[2],
                tangent[0] * e[1] - tangent[1] * e[0],
            ]
            turn = t[0] * r[0] + t[1] * r[1] + t[2] * r[2]
            beyond = way * (x[0] * r[0] + x[1] * r[1] + x[2] * r[2])
            sine = numpy.where((corner == end) & (turn * beyond > 0), 0.0, sine)
    wrong = e[0] * middle[0] + e[1] * middle[1] + e[2] * middle[2] < 0
    if not last:
        sine, wrong, lean_mid = sine * 0.0, wrong & False, lean_mid * 0.0
    return width, numpy.minimum(sine, 1.0), wrong, numpy.minimum(numpy.abs(lean_mid), 1.0)


def _costs(moving: _Line, resting: _Line) -> "ndarray[Any, Any]":
    """Whole-number costs of all moves along one line, for every corner of the other: edges by corners."""
    import numpy

    edges = numpy.arange(len(moving.at[0]) - 1)[:, None]
    corners = numpy.arange(len(resting.at[0]))[None, :]
    width, sine, wrong, middle = _slanted(moving, edges, resting, corners)
    square = sine * sine
    root = numpy.sqrt(1 - square)
    # The square of the angle, as that of its chord: 2 - 2 cos.
    bend = numpy.where(wrong, 2 * (1 + root), 2 * square / (1 + root))
    found = numpy.rint(width * (bend + 1e-3 * middle * middle) / _UNIT)
    return found.astype(numpy.int64)  # type: ignore[no-any-return]


def cheapest(
    first: Section, second: Section, along: tuple[Tangents, Tangents] | None = None
) -> tuple[int, Ways]:
    """Cost and rulings of the surface that turns least along its rulings, from first corners to last.

    along: directions at the corners where they are not those of the sections alone (a half of something).
    """
    import numpy

    ends = along if along is not None else (tangents(first), tangents(second))
    p, q = _line(first, ends[0]), _line(second, ends[1])
    n, m = len(first.points) - 1, len(second.points) - 1
    on_first = _costs(p, q).ravel()
    on_second = numpy.ascontiguousarray(_costs(q, p).T).ravel()
    best = numpy.full(n + 1, _FAR, dtype=numpy.int64)
    best[0] = 0
    moved = numpy.zeros((n + m + 1, n + 1), dtype=bool)
    for total in range(1, n + m + 1):
        low, high = max(0, total - m), min(n, total)
        # Costs along the diagonal i + j = total: stride m in rows of m + 1, m - 1 in rows of m.
        stay = numpy.full(n + 1, _FAR, dtype=numpy.int64)
        top = min(high, total - 1)
        if m and low <= top:
            start = low * m + total - 1 - low
            costs = on_second[start :: max(1, m - 1)][: top - low + 1] if m > 1 else on_second[low : top + 1]
            stay[low : top + 1] = best[low : top + 1] + costs
        step = numpy.full(n + 1, _FAR, dtype=numpy.int64)
        base = max(low, 1)
        if n and base <= high:
            start = (base - 1) * (m + 1) + total - base
            costs = on_first[start :: max(1, m)][: high - base + 1] if m else on_first[base - 1 : high]
            step[base : high + 1] = best[base - 1 : high] + costs
        take = step <= stay
        best = numpy.where(take, step, stay)
        moved[total] = take
    ways = [(n, m)]
    i = n
    for total in range(n + m, 0, -1):
        i -= bool(moved[total, i])
        ways.append((i, total - 1 - i))
    return int(best[n]), tuple(reversed(ways))


def twists(
    first: Section, second: Section, ways: Ways, along: tuple[Tangents, Tangents] | None = None
) -> tuple[float, ...]:
    """How far the tangent plane turns along the rulings at each step of the way, rad."""
    import numpy

    ends = along if along is not None else (tangents(first), tangents(second))
    p, q = _line(first, ends[0]), _line(second, ends[1])
    found = [0.0] * (len(ways) - 1)
    for moving, resting, own in ((p, q, 0), (q, p, 1)):
        steps = [k for k, (a, b) in enumerate(pairwise(ways)) if a[own] != b[own]]
        if not steps:
            continue
        edges = numpy.array([ways[k][own] for k in steps])
        corners = numpy.array([ways[k][1 - own] for k in steps])
        _, sine, wrong, _ = _slanted(moving, edges, resting, corners)
        for k, lean, turned in zip(steps, sine.tolist(), wrong.tolist(), strict=True):
            angle = math.asin(lean)
            found[k] = math.pi - angle if turned else angle
    return tuple(found)
