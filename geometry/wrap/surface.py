"""A bent sheet, in space and flat at once, as a row of threads.

A thread is a straight line of the sheet (a ruling), or one with a corner at each section that it crosses. All
threads have the same number of rows, row 0 on the first section. Between two neighbours lie flat facets, the
same in space and in the drawing.

Threads go up the drawing and follow one another to the right; the drawn face is the one that, in space too,
has them so: the inner face of a skin whose sections run with growing turn, drawn aft up.
"""

import math
from collections.abc import Sequence
from itertools import pairwise
from typing import NamedTuple, TypeAlias

from ringwright.geometry.errors import GeometryError
from ringwright.geometry.numbers import finite, short
from ringwright.geometry.part import Facet, Vector
from ringwright.geometry.path import Point, doubled_area, on_way
from ringwright.geometry.wrap.rulings import Rulings
from ringwright.geometry.wrap.vector import angle_between, between, cross, dot, minus, plus, unit

Thread: TypeAlias = tuple[Vector, ...]


class Surface(NamedTuple):
    """A sheet bent in space and laid flat: space[k][r] and flat[k][r] are the same spot of it, mm."""

    space: tuple[Thread, ...]
    flat: tuple[tuple[Point, ...], ...]


def threads_of(made: Rulings) -> tuple[Thread, ...]:
    """Rulings in space, foot on the first section, head on the second; those that nothing bends about are
    left out where both sections move on.
    """
    pairs = [(made.first.points[i], made.second.points[j]) for i, j in made.ways]
    kept = [made.ways[0]]
    for k in range(1, len(pairs) - 1):
        level = made.ways[k + 1][0] - kept[-1][0] == 1 and made.ways[k + 1][1] - kept[-1][1] == 1
        if not (level and _turn(pairs[k - 1], pairs[k], pairs[k + 1]) < 1e-6):
            kept.append(made.ways[k])
    kept.append(made.ways[-1])
    found: list[Thread] = []
    for i, j in kept:
        thread = made.first.points[i], made.second.points[j]
        # Edges that vanish on an inner layer leave threads of no distance.
        if not found or any(math.dist(p, q) > 1e-9 for p, q in zip(found[-1], thread, strict=True)):
            found.append(thread)
    return tuple(found)


def _turn(before: Sequence[Vector], here: Sequence[Vector], after: Sequence[Vector]) -> float:
    """Angle between the triangles on both sides of a ruling."""
    return angle_between(outward(before, here), outward(here, after))


def outward(thread: Sequence[Vector], following: Sequence[Vector], row: int = 0) -> Vector:
    """Unit normal of the sheet between two threads, above a row, on the side that is not drawn; of no length
    where they are one.
    """
    ruling = minus(thread[row + 1], thread[row])
    step = plus(minus(following[row], thread[row]), minus(following[row + 1], thread[row + 1]))
    return unit(cross(ruling, step))


def normals(surface: Surface, row: int = 0) -> tuple[Vector, ...]:
    """Outward unit normal of the sheet at each thread, above a row: midway between those on its two sides."""
    sides = [outward(a, b, row) for a, b in pairwise(surface.space)]
    sums = [plus(a, b) for a, b in zip([sides[0], *sides], [*sides, sides[-1]], strict=True)]
    return tuple(map(unit, sums))


def unrolled(threads: Sequence[Thread]) -> Surface:
    """The sheet through two-row threads laid flat, every triangle in its true size.

    The middle thread stands upright on the origin, so that what is symmetric about it stays so exactly.
    GeometryError 'sections-touch'.
    """
    for foot, head in threads:
        if math.dist(foot, head) < 1e-6:
            raise GeometryError(
                "sections-touch",
                f"two sections of the skin touch near ({', '.join(short(c, 1) for c in foot)}) mm:"
                " it has no length there",
            )
    middle = len(threads) // 2
    foot, head = threads[middle]
    flat: list[tuple[Point, ...]] = [()] * len(threads)
    flat[middle] = ((0.0, 0.0), (0.0, math.dist(foot, head)))
    for way in (1, -1):
        k = middle
        while 0 <= k + way < len(threads):
            flat[k + way] = _laid(threads[k], flat[k], threads[k + way], way)
            k += way
    for thread in flat:
        for x, y in thread:
            finite(x, "a skin's development")
            finite(y, "a skin's development")
    return Surface(tuple(threads), tuple(flat))


def _laid(thread: Thread, flat: Sequence[Point], following: Thread, way: int) -> tuple[Point, Point]:
    """The next thread's place in the flat, to the right (way 1) or left (-1): the shorter of its two diagonals
    first.
    """
    (foot, head), (foot_at, head_at) = thread, flat
    if math.dist(foot, following[1]) < math.dist(head, following[0]):
        next_head = _third((foot, head), (foot_at, head_at), following[1], way)
        return _third((foot, following[1]), (foot_at, next_head), following[0], way), next_head
    next_foot = _third((foot, head), (foot_at, head_at), following[0], way)
    return next_foot, _third((following[0], head), (next_foot, head_at), following[1], way)


def _third(line: tuple[Vector, Vector], flat: tuple[Point, Point], at: Vector, way: int) -> Point:
    """Place of a third corner, to the right or left of the line from the first to the second."""
    if at == line[0]:
        return flat[0]
    if at == line[1]:
        return flat[1]
    ruling = unit(minus(line[1], line[0]))
    to = minus(at, line[0])
    up = dot(to, ruling)
    off = cross(ruling, to)
    side = way * math.sqrt(dot(off, off))
    (x0, y0), (x1, y1) = flat
    long = math.dist(*flat)
    ux, uy = (x1 - x0) / long, (y1 - y0) / long
    return x0 + up * ux + side * uy, y0 + up * uy - side * ux


def facets(surface: Surface) -> tuple[Facet, ...]:
    """All triangles of a sheet, in order; those without area are left out."""
    found = []
    for (a, b), (p, q) in zip(pairwise(surface.flat), pairwise(surface.space), strict=True):
        for row in range(len(a) - 1):
            square = [(a[row], p[row]), (b[row], q[row]), (b[row + 1], q[row + 1]), (a[row + 1], p[row + 1])]
            if math.dist(p[row], q[row + 1]) < math.dist(p[row + 1], q[row]):
                corners = [(square[0], square[1], square[2]), (square[0], square[2], square[3])]
            else:
                corners = [(square[0], square[1], square[3]), (square[1], square[2], square[3])]
            for one, two, three in corners:
                flat = (one[0], two[0], three[0])
                if abs(doubled_area(*flat)) > 1e-12:
                    found.append(Facet(flat, (one[1], two[1], three[1])))
    return tuple(found)


def area(surface: Surface) -> float:
    """Area of a sheet, mm2, without strips at its edges."""
    return math.fsum(doubled_area(*facet.flat) for facet in facets(surface)) / 2


def rim(surface: Surface, row: int) -> tuple[Point, ...]:
    """A row of the sheet in the drawing, from the first thread to the last; repeated places once."""
    return _once([thread[row] for thread in surface.flat])


def rim_in_space(surface: Surface, row: int) -> tuple[Vector, ...]:
    """A row of the sheet in space; repeated places once."""
    return _once([thread[row] for thread in surface.space])


def _once(points: Sequence) -> tuple:  # type: ignore[type-arg]
    kept = list(points[:1])
    for at in points[1:]:
        if math.dist(kept[-1], at) > 1e-9:
            kept.append(at)
    return tuple(kept)


def widths(surface: Surface) -> tuple[float, ...]:
    """How far each thread is from the first, mm: mean of the lengths along the outermost rows."""
    found = [0.0]
    for a, b in pairwise(surface.flat):
        found.append(found[-1] + (math.dist(a[0], b[0]) + math.dist(a[-1], b[-1])) / 2)
    return tuple(found)


def thread_at(surface: Surface, width: float) -> tuple[int, float]:
    """The thread before a width from the first (mm), and the share of the way to the next."""
    walked = widths(surface)
    for k, (low, high) in enumerate(pairwise(walked)):
        if width <= high or k == len(walked) - 2:
            return k, min(max((width - low) / (high - low), 0.0), 1.0) if high > low else 0.0
    return 0, 0.0


def part(surface: Surface, low: float, high: float) -> Surface:
    """The sheet between two widths from its first thread, mm, with threads of its own there."""
    walked = widths(surface)
    inside = [k for k, width in enumerate(walked) if low + 1e-6 < width < high - 1e-6]
    ends = []
    for width in (low, high):
        k, share = thread_at(surface, width)
        space = tuple(
            between(a, b, share) for a, b in zip(surface.space[k], surface.space[k + 1], strict=True)
        )
        flat = tuple(on_way(a, b, share) for a, b in zip(surface.flat[k], surface.flat[k + 1], strict=True))
        ends.append((space, flat))
    rows = [ends[0], *((surface.space[k], surface.flat[k]) for k in inside), ends[1]]
    return Surface(tuple(space for space, _ in rows), tuple(flat for _, flat in rows))


def upright(surface: Surface) -> Surface:
    """The same sheet with its middle thread drawn upright, from the origin."""
    middle = surface.flat[len(surface.flat) // 2]
    (x0, y0), (x1, y1) = middle[0], middle[-1]
    long = math.dist(middle[0], middle[-1])
    cos, sin = (y1 - y0) / long, (x1 - x0) / long

    def moved(at: Point) -> Point:
        x, y = at[0] - x0, at[1] - y0
        return cos * x - sin * y, sin * x + cos * y

    return surface._replace(flat=tuple(tuple(moved(at) for at in thread) for thread in surface.flat))


def level(surface: Surface, up: Vector) -> Surface:
    """The same sheet turned so that, on the whole, its drawing goes up where it goes along `up` in space; the first
    place of its first row on the origin.
    """
    gx = gy = 0.0
    for (a, b, c), (p, q, r) in facets(surface):
        rise_b, rise_c = dot(minus(q, p), up), dot(minus(r, p), up)
        # Twice the area times the way of steepest rise.
        gx += rise_b * (c[1] - a[1]) - rise_c * (b[1] - a[1])
        gy += rise_c * (b[0] - a[0]) - rise_b * (c[0] - a[0])
    steep = math.hypot(gx, gy)
    sin, cos = (gx / steep, gy / steep) if steep > 1e-9 else (0.0, 1.0)
    x0, y0 = surface.flat[0][0]

    def moved(at: Point) -> Point:
        x, y = at[0] - x0, at[1] - y0
        return cos * x - sin * y, sin * x + cos * y

    return surface._replace(flat=tuple(tuple(moved(at) for at in thread) for thread in surface.flat))


def skirted(surface: Surface, reach: float) -> Surface:
    """The sheet run on straight by `reach` mm beyond all four edges: what strips there lie on."""
    space: list[Thread] = []
    flat: list[tuple[Point, ...]] = []
    for thread, drawn in zip(surface.space, surface.flat, strict=True):
        shares = [-reach / math.dist(thread[k], thread[n]) for k, n in ((0, 1), (-1, -2))]
        space.append(
            (between(thread[0], thread[1], shares[0]), *thread, between(thread[-1], thread[-2], shares[1]))
        )
        flat.append((on_way(drawn[0], drawn[1], shares[0]), *drawn, on_way(drawn[-1], drawn[-2], shares[1])))
    for first in (True, False):
        edge, near, at = (0, 1, 0) if first else (len(space) - 1, len(space) - 2, len(space))
        broad = max(math.dist(p, q) for p, q in zip(space[edge], space[near], strict=True))
        share = -reach / broad
        more = tuple(between(p, q, share) for p, q in zip(space[edge], space[near], strict=True))
        more_flat = tuple(on_way(p, q, share) for p, q in zip(flat[edge], flat[near], strict=True))
        space.insert(at, more)
        flat.insert(at, more_flat)
    return Surface(tuple(space), tuple(flat))
