"""Where formers meet a skin: their lines on its inner face, the grooves that take them, the outline inside.

A plane is a point of it and its unit normal. The drawing shows the neutral layer; a spot of the sheet `depth`
mm further in lies that far along the inward normal, so the plane meets it elsewhere by depth times the share
of the normal that points along the plane's.
"""

import math
from collections.abc import Iterator, Sequence
from itertools import pairwise
from typing import NamedTuple, TypeAlias

from ringwright.geometry.curve import thinned
from ringwright.geometry.errors import GeometryError
from ringwright.geometry.numbers import short
from ringwright.geometry.part import Groove, Vector
from ringwright.geometry.path import Path, Point, canonical, closed, line, on_way
from ringwright.geometry.recall import recalled
from ringwright.geometry.remember import remembered
from ringwright.geometry.wrap.bend import pierced
from ringwright.geometry.wrap.neutral import inner_section
from ringwright.geometry.wrap.section import Section
from ringwright.geometry.wrap.surface import Surface, normals, outward
from ringwright.geometry.wrap.vector import between, dot, minus, plus, times, unit

Plane: TypeAlias = tuple[Vector, Vector]

DRAWN = 0.02
"""How near drawn lines keep to their true places, mm."""

FIT = 0.3
"""How much wider than the former a groove is, mm: common practice, no published source."""


_STEPS = 8
_APART = 2.0


def plane_at(x: float) -> Plane:
    """The plane across the axis at x, mm."""
    return (x, 0.0, 0.0), (1.0, 0.0, 0.0)


@recalled
@remembered(256)
def lines_on(surface: Surface, plane: Plane, depth: float = 0.0) -> tuple[Path, ...]:
    """Lines of the drawing in which a plane meets the layer `depth` mm inside the drawn one: none where it
    misses.
    """
    found = [at if state == 0 else None for state, at in _levels(surface, plane, 0.0, 0.0, depth)]
    return tuple(line(_drawn(run)) for run in _runs(found) if len(run) > 1)


def former_lines(
    surface: Surface, plane: Plane, thickness: float, depth: float = 0.0
) -> tuple[tuple[Path, ...], tuple[Path, ...]]:
    """Lines of a former's two faces on the skin, the one against the plane's normal first.

    plane: midway in the former; thickness: of the former, mm; depth: of the skin's inner face below the drawn
    layer (neutral fraction times thickness).
    """
    (x, y, z), normal = plane
    sides = []
    for off in (-thickness / 2, thickness / 2):
        origin = (x + off * normal[0], y + off * normal[1], z + off * normal[2])
        sides.append(lines_on(surface, (origin, normal), depth))
    return sides[0], sides[1]


def grooves(
    surface: Surface,
    plane: Plane,
    former: float,
    thickness: float,
    neutral: float,
    facing: float = 0.0,
    fit: float = FIT,
) -> tuple[Groove, ...]:
    """Channels that take a former's edge, one for each run across the skin; at the skin's ends a rebate.

    former: its thickness; thickness, neutral, facing: of the skin's sheet. The channel is cut square to the
    sheet down to the far facing; where the skin leans, it is as much wider as the former's slab leans in it.
    GeometryError 'no-depth' for a sheet that is all facing.
    """
    deep = thickness - facing
    if deep <= 0:
        raise GeometryError(
            "no-depth",
            f"a sheet of {short(thickness, 2)} mm with facings of {short(facing, 2)} mm has no groove",
        )
    top, floor = neutral * thickness, facing - (1 - neutral) * thickness
    half = (former + fit) / 2
    low = _levels(surface, plane, -half, floor, top, least=True)
    high = _levels(surface, plane, half, floor, top, least=False)
    pairs = [None if a == b and a != 0 else (p, q) for (a, p), (b, q) in zip(low, high, strict=True)]
    found = []
    for run in _runs(pairs):
        if len(run) < 2:
            continue
        there, back = _drawn([p for p, _ in run]), _drawn([q for _, q in run])
        wide = max(_apart(p, q) for p, q in run)
        found.append(Groove(canonical(closed([*there, *reversed(back)])), deep, wide))
    return tuple(found)


@recalled
def inside_outline(surface: Surface, plane: Plane, depth: float, is_closed: bool) -> Section:
    """The line in which a plane cuts the layer `depth` mm inside a surface: what a former there must be cut to; corner
    for corner that of the threads that it passes, but for those that meet there.

    GeometryError 'off-skin' where the plane misses part of the skin, 'skin-too-thick'.
    """
    origin, normal = plane
    points: list[Vector] = []
    sides: list[Vector] = []
    rows = len(surface.space[0]) - 1
    for k, thread in enumerate(surface.space):
        at = pierced(thread, origin, normal)
        if at is None:
            raise GeometryError("off-skin", "the plane of the former passes the end of the skin")
        if points and max(abs(a - b) for a, b in zip(points[-1], at, strict=True)) < 1e-6:
            continue
        if points:
            row = next(
                r
                for r in range(rows)
                if dot(minus(thread[r], origin), normal) * dot(minus(thread[r + 1], origin), normal) <= 0
            )
            sides.append(outward(surface.space[k - 1], thread, row))
        points.append(at)
    if is_closed:
        points[-1] = points[0]
    section = Section(tuple(points), is_closed, origin, unit(normal))
    return inner_section(section, [sides], (), depth)


def outline_of(section: Section) -> Path:
    """A closed section across the axis as an outline (y, z), canonical."""
    return canonical(closed([(y, z) for _, y, z in section.points[:-1]]))


class _Grid(NamedTuple):
    """Lines of a sheet that a plane is looked for on: of each corner its height over the plane, the sheet's normal, and
    its place in space and in the drawing.
    """

    heights: list[list[float]]
    normals: list[list[Vector]]
    space: list[list[Vector]]
    flat: list[list[Point]]


def _grid(surface: Surface, plane: Plane) -> _Grid:
    """The threads of a sheet where they go through the plane; its rows, 8 to a bay, where the plane runs along the
    threads.
    """
    origin, normal = plane
    rows = len(surface.flat[0]) - 1
    sides = [normals(surface, row) for row in range(rows)]
    outs = []
    for k in range(len(surface.flat)):
        of = [sides[row][k] for row in range(rows)]
        outs.append([of[0], *(times(plus(a, b), 0.5) for a, b in pairwise(of)), of[-1]])
    heights = [[dot(minus(at, origin), normal) for at in thread] for thread in surface.space]
    whole = _Grid(heights, outs, [list(t) for t in surface.space], [list(t) for t in surface.flat])
    climb = max(abs(thread[-1] - thread[0]) for thread in heights)
    if climb >= abs(heights[-1][0] - heights[0][0]):
        return whole
    shares = [(row, step / _STEPS) for row in range(rows) for step in range(_STEPS)] + [(rows - 1, 1.0)]
    lines = _Grid([], [], [], [])
    for row, share in shares:
        lines.heights.append([of[row] + share * (of[row + 1] - of[row]) for of in heights])
        lines.normals.append([between(of[row], of[row + 1], share) for of in outs])
        lines.space.append([between(of[row], of[row + 1], share) for of in surface.space])
        lines.flat.append([on_way(of[row], of[row + 1], share) for of in surface.flat])
    return lines


class Spot(NamedTuple):
    """A place of a sheet: in the drawing, in space on the drawn layer, and the way out of the sheet there."""

    flat: Point
    space: Vector
    out: Vector


@recalled
def spots_on(surface: Surface, plane: Plane) -> tuple[tuple[Spot, ...], ...]:
    """Places at which a plane meets the drawn layer of a sheet, in runs without a gap, the way the sheet runs."""
    found: list[Spot | None] = []
    for heights, outs, space, flat in zip(*_grid(surface, plane), strict=True):
        found.append(None)
        for k, (low, high) in enumerate(pairwise(heights)):
            if low * high <= 0 and low != high:
                share = low / (low - high)
                found[-1] = Spot(
                    on_way(flat[k], flat[k + 1], share),
                    between(space[k], space[k + 1], share),
                    unit(between(outs[k], outs[k + 1], share)),
                )
                break
    return tuple(tuple(_filled(run)) for run in _runs(found))


def _filled(run: Sequence[Spot]) -> Iterator[Spot]:
    """The places, and others between them, no two far apart."""
    for a, b in pairwise(run):
        steps = max(1, math.ceil(math.dist(a.flat, b.flat) / _APART))
        for k in range(steps):
            share = k / steps
            yield Spot(
                on_way(a.flat, b.flat, share), between(a.space, b.space, share), between(a.out, b.out, share)
            )
    yield run[-1]


def _levels(
    surface: Surface, plane: Plane, level: float, floor: float, top: float, least: bool | None = None
) -> list[tuple[int, Point]]:
    """For each line of the sheet where it reaches a level along the plane's normal: (0, the place), or (-1 or 1,
    its nearer end) where all of it lies before or beyond.

    The level is moved by what the sheet's lean makes of the depth `top`, or of the less or more far-reaching
    of `floor` and `top`.
    """
    found = []
    normal = plane[1]
    for heights, outs, _, flat in zip(*_grid(surface, plane), strict=True):
        over = []
        for height, out in zip(heights, outs, strict=True):
            lean = dot(out, normal)
            shift = top * lean if least is None else (min if least else max)(floor * lean, top * lean)
            off = height - level - shift
            over.append(0.0 if abs(off) < 1e-9 else off)
        at: tuple[int, Point] | None = None
        for k, (low, high) in enumerate(pairwise(over)):
            if low * high <= 0 and low != high:
                at = 0, on_way(flat[k], flat[k + 1], low / (low - high))
                break
        if at is None:
            at = (-1 if over[0] + over[-1] > 0 else 1), flat[0 if abs(over[0]) < abs(over[-1]) else -1]
        found.append(at)
    return found


def _runs(items: Sequence) -> list[list]:  # type: ignore[type-arg]
    """The stretches of a list without None."""
    found: list[list] = [[]]  # type: ignore[type-arg]
    for item in items:
        if item is None:
            found.append([])
        else:
            found[-1].append(item)
    return [run for run in found if run]


def _drawn(points: Sequence[Point]) -> list[Point]:
    """A line of the drawing with no more corners than it takes."""
    once = [points[0]]
    for at in points[1:]:
        if _apart(at, once[-1]) > 1e-6:
            once.append(at)
    return [once[k] for k in thinned(once, DRAWN)] if len(once) > 1 else once


def _apart(a: Point, b: Point) -> float:
    return math.dist(a, b)
