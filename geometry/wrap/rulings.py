"""The rulings of a skin between two sections: straight lines along which it bends, or nearly.

Convex outlines in parallel planes by merging (`merge`), all others by dynamic programming (`lattice`). What is
symmetric about the middle plane is worked out as a half and mirrored. Where the surface would have to twist
by more than 2° along a ruling it cannot be bent from flat: there the rulings are spread evenly instead, and
the sheet must stretch (see `relax`).
"""

import math
from collections.abc import Sequence
from itertools import pairwise
from typing import NamedTuple

from ringwright.geometry.errors import GeometryError
from ringwright.geometry.numbers import short, snap
from ringwright.geometry.wrap.lattice import Tangents, cheapest, tangents, twists
from ringwright.geometry.wrap.merge import Ways, fan, merged
from ringwright.geometry.wrap.section import (
    Section,
    divided,
    is_symmetric,
    length,
    started_at,
    symmetric,
)
from ringwright.geometry.wrap.vector import cross, dot, minus, plus, size, unit

TWIST = math.radians(2)
"""Twist along a ruling from which it is said, and the rulings are spread. Our choice, no published source."""

STEPS = 48
"""How many steps a section has at least where rulings may start anywhere on it."""

_MOST_STARTS = 7
_LEVEL = 1e-7


class Rulings(NamedTuple):
    """Two sections and which of their corners are joined.

    first, second: as given, with the corners that were added. ways: see `merge.Ways`. twist: greatest, rad,
    before any spreading. spread: whether some rulings were spread evenly.
    """

    first: Section
    second: Section
    ways: Ways
    twist: float
    spread: bool


def rulings(first: Section, second: Section) -> Rulings:
    """Rulings from one section to the next, start to start: see `aligned` for closed ones.

    GeometryError 'same-plane', 'sections-touch', 'open-and-closed'.
    """
    _check(first, second)
    if is_symmetric(first) and is_symmetric(second) and _crosses_middle(first, second):
        return _halved(symmetric(first), symmetric(second))
    return _joined(first, second)


def _check(first: Section, second: Section) -> None:
    if first.is_point and second.is_point:
        raise GeometryError("sections-touch", "a skin cannot run from a point to a point")
    if not first.is_point and not second.is_point and first.closed != second.closed:
        raise GeometryError(
            "open-and-closed",
            "a skin runs between two closed sections or between two open ones, not one of each",
        )
    if first.plane is not None and second.plane is not None and size(cross(first.plane, second.plane)) < 1e-9:
        apart = dot(minus(second.points[0], first.points[0]), first.plane)
        if abs(apart) < 1e-6:
            raise GeometryError(
                "same-plane",
                f"two sections of the skin lie in the same plane, at {short(first.points[0][0], 2)} mm:"
                " it needs a distance to bridge",
            )


def _crosses_middle(first: Section, second: Section) -> bool:
    """Whether both run across the middle plane rather than along it."""
    return all(
        max(abs(p[1]) for p in section.points) > 1e-6 for section in (first, second) if not section.is_point
    )


def aligned(first: Section, second: Section) -> Section:
    """The second section, begun at the corner that the tangent plane at the first's start touches, if both are
    closed.

    Of several such corners the nearest to its own start is taken, unless another is cheaper to reach.
    """
    if first.is_point or second.is_point or not (first.closed and second.closed):
        return second
    if is_symmetric(first) and is_symmetric(second):
        return second
    turned = [started_at(second, corner, 0.0) for corner in _touched(first, second)]
    if not turned:
        return second
    if len(turned) == 1 or merged(first, turned[0]) is not None:
        return turned[0]
    costs = [cheapest(first, section)[0] for section in turned[:_MOST_STARTS]]
    return turned[costs.index(min(costs))]


def _touched(first: Section, second: Section) -> list[int]:
    """Corners of the second section within which the tangent plane of the first's start lies, nearest first."""
    ends = tangents(first)
    heading = unit(plus(ends.before[0], ends.after[0]))
    others = tangents(second)
    around = length(second)
    walked = 0.0
    found: list[tuple[float, int]] = []
    for corner, (a, b) in enumerate(pairwise(second.points)):
        normal = unit(cross(heading, minus(a, first.points[0])))
        before, after = others.before[corner], others.after[corner]
        low, high = (snap(dot(normal, way)) for way in (before, after))
        if low * high <= 0 and dot(heading, plus(before, after)) > 0:
            found.append((snap(min(walked, around - walked)), corner))
        walked += math.dist(a, b)
    return [corner for _, corner in sorted(found)]


def _halved(first: Section, second: Section) -> Rulings:
    """Rulings of symmetric sections: one half worked out, the other its mirror image."""
    halves, along = [], []
    for section in (first, second):
        middle = len(section.points) // 2
        ends = tangents(section)
        halves.append(section._replace(points=section.points[: middle + 1], closed=False))
        along.append(
            Tangents(
                ends.before[: middle + 1],
                ends.after[: middle + 1],
                not section.closed,
                section.is_point,
            )
        )
    half = _joined(halves[0], halves[1], (along[0], along[1]))
    firsts, seconds = (
        symmetric(
            section._replace(
                points=(
                    *part.points,
                    *((x, 0.0 - y, z) for x, y, z in reversed(part.points[:-1])),
                )
            )
        )
        for section, part in ((first, half.first), (second, half.second))
    )
    n, m = len(firsts.points) - 1, len(seconds.points) - 1
    there = tuple((n - i, m - j) for i, j in reversed(half.ways[:-1]))
    return half._replace(first=firsts, second=seconds, ways=(*half.ways, *there))


def _joined(first: Section, second: Section, along: tuple[Tangents, Tangents] | None = None) -> Rulings:
    if first.is_point or second.is_point:
        return Rulings(first, second, fan(first, second), 0.0, False)
    ways = merged(first, second)
    if ways is not None:
        worst = max(twists(first, second, ways, along))
        if worst <= TWIST:
            return Rulings(first, second, ways, worst, False)
    first, second, along = _finer(first, second, along)
    _, ways = cheapest(first, second, along)
    turned = twists(first, second, ways, along)
    worst = max(turned)
    level = _level_steps(first, second, ways)
    spread = [twist > TWIST or flat for twist, flat in zip(turned, level, strict=True)]
    return Rulings(first, second, _spread(first, second, ways, spread), worst, worst > TWIST)


def _level_steps(first: Section, second: Section, ways: Ways) -> list[bool]:
    """Of each step whether its triangle lies in one plane with a neighbour's: there any rulings do, and even
    ones are the ones to cut along.
    """
    normals = []
    for (i, j), (k, m) in pairwise(ways):
        foot, head = first.points[i], second.points[j]
        step = minus(first.points[k], foot) if k > i else minus(second.points[m], head)
        normals.append(unit(cross(minus(head, foot), step)))
    same = [size(minus(a, b)) < _LEVEL for a, b in pairwise(normals)]
    return [a or b for a, b in zip([False, *same], [*same, False], strict=True)]


def _finer(
    first: Section, second: Section, along: tuple[Tangents, Tangents] | None
) -> tuple[Section, Section, tuple[Tangents, Tangents] | None]:
    """Both sections in steps short enough for rulings to start anywhere, with their directions at the ends."""
    cut = [divided(section, length(section) / STEPS) for section in (first, second)]
    if along is None:
        return cut[0], cut[1], None
    ends = []
    for section, given in zip(cut, along, strict=True):
        own = tangents(section)
        before = (given.before[0], *own.before[1:])
        after = (*own.after[:-1], given.after[-1])
        ends.append(
            own._replace(before=before, after=after, free_start=given.free_start, free_end=given.free_end)
        )
    return cut[0], cut[1], (ends[0], ends[1])


def _spread(first: Section, second: Section, ways: Ways, uneven: Sequence[bool]) -> Ways:
    """The ways with an even staircase, by length, for each stretch of steps that are so marked."""
    found = [ways[0]]
    step = 0
    while step < len(uneven):
        end = step
        while end < len(uneven) and uneven[end]:
            end += 1
        if end > step:
            found.extend(_staircase(first, second, ways[step], ways[end]))
            step = end
        else:
            found.append(ways[step + 1])
            step += 1
    return tuple(found)


def _staircase(first: Section, second: Section, low: tuple[int, int], high: tuple[int, int]) -> Ways:
    """Steps from one ruling to another that keep level on both sections."""
    shares = []
    for section, a, b in ((first, low[0], high[0]), (second, low[1], high[1])):
        walked = [0.0]
        for p, q in pairwise(section.points[a : b + 1]):
            walked.append(walked[-1] + math.dist(p, q))
        whole = walked[-1] or 1.0
        shares.append([snap((u + v) / 2 / whole) for u, v in pairwise(walked)])
    i = j = 0
    found = []
    while i < len(shares[0]) or j < len(shares[1]):
        on_first = j == len(shares[1]) or (i < len(shares[0]) and shares[0][i] <= shares[1][j])
        i, j = (i + 1, j) if on_first else (i, j + 1)
        found.append((low[0] + i, low[1] + j))
    return tuple(found)
