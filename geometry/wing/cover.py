"""Skins of wings: a sheet from section to section, over the upper or the lower side or round the leading edge.

Drawn inside up, out from the root up the drawing. Rims lie in the planes in which the panel ends, so that the skins of
two panels, or of both halves, meet edge to edge.
"""

from collections.abc import Sequence
from itertools import pairwise
from typing import NamedTuple

from ringwright.geometry.curve import thinned
from ringwright.geometry.part import Vector
from ringwright.geometry.path import Point, on_way
from ringwright.geometry.remember import remembered
from ringwright.geometry.wing.planform import LEVEL, Mount, Panel, Slice, in_frame, outwards, sliced, upwards
from ringwright.geometry.wing.profile import at_chord
from ringwright.geometry.wrap.bend import Bends, bends
from ringwright.geometry.wrap.former import Plane
from ringwright.geometry.wrap.section import along
from ringwright.geometry.wrap.strip import skin
from ringwright.geometry.wrap.surface import Surface, Thread, normals, threads_of, unrolled
from ringwright.geometry.wrap.vector import between, cross, dot, minus, plus, times, unit

_RIM = 0.002
_MEET = 1e-6
"""Steps along a rim, times those of both rims, under which two rulings begin in one point, mm2."""

SIDES = ("around", "upper", "lower")


class Cover(NamedTuple):
    """A panel's skin laid flat.

    surface: of the drawn layer, in the surface's frame. outer: rulings of the outer face, from square section to square
    section. strain: a share; twist: rad.
    """

    surface: Surface
    outer: tuple[Thread, ...]
    strain: float
    twist: float
    bends: Bends


def part_of(around: Sequence[Point], side: str) -> Sequence[Point]:
    """The points of a section that a skin on that side lies on, in their order."""
    middle = len(around) // 2
    return {"around": around, "upper": around[: middle + 1], "lower": around[middle:]}[side]


@remembered(64)
def cover(panel: Panel, side: str, thickness: float, neutral: float) -> Cover:
    """The skin of a panel on one side, or all round it. GeometryErrors of wrap/."""
    ends = [sliced(panel, 0.0), sliced(panel, panel.long)]
    out = outwards(panel.rise)
    sections = [
        along([in_frame(end.flat, at) for at in part_of(_points(end), side)], plane=out) for end in ends
    ]
    made = skin(sections, thickness, neutral, "each")
    (strip,) = made.strips
    threads = _needed(strip.surface.space, panel)
    if max(abs(panel.rise - panel.lean_in), abs(panel.rise - panel.lean_out)) > LEVEL:
        planes = (
            (ends[0].flat.origin, outwards(panel.lean_in)),
            (ends[1].flat.origin, outwards(panel.lean_out)),
        )
        threads = _in_order(threads, [_trimmed(thread, planes) for thread in threads])
    surface = unrolled(threads)
    return Cover(surface, threads_of(strip.bays[0]), strip.strain, strip.twist, bends(strip.bays[0]))


def section_of(panel: Panel, of: Cover, along: float) -> tuple[Point, ...]:
    """The line of a skin's outer face at a distance along its panel, mm, in the drawing of the section there.

    Where a panel is twisted, or its two sections are unlike, a sheet passes that section elsewhere than straight lines
    between like places would.
    """
    here = sliced(panel, along)
    found = []
    for foot, head in of.outer:
        off = minus(between(foot, head, along / panel.long), here.flat.origin)
        found.append((dot(off, here.flat.u), dot(off, here.flat.v)))
    return tuple(found)


def _needed(threads: Sequence[Thread], panel: Panel) -> list[Thread]:
    """The threads that keep both rims within 0.002 mm: where a section is nearly flat, few; round its nose so many that
    no bend is taken for a corner.
    """
    up = upwards(panel.rise)
    kept: set[int] = set()
    for row in (0, -1):
        points = [(thread[row][0], dot(thread[row], up)) for thread in threads]
        kept.update(thinned(points, _RIM))
    return [threads[k] for k in sorted(kept)]


def _points(end: Slice) -> Sequence[Point]:
    assert end.station.profile is not None
    return at_chord(end.station.profile, end.station.chord)


def _trimmed(thread: Sequence[Vector], planes: tuple[Plane, Plane]) -> tuple[Vector, Vector]:
    """A ruling run on, or cut off, to the planes in which its sheet ends."""
    foot, head = thread
    ruling = minus(head, foot)
    found = [
        between(foot, head, dot(minus(origin, foot), normal) / dot(ruling, normal))
        for origin, normal in planes
    ]
    return found[0], found[1]


def _in_order(before: Sequence[Thread], after: Sequence[Thread]) -> list[Thread]:
    """Rulings run on to other planes, none of which passes its neighbour there: those that meet in a point stay together."""
    found = [tuple(after[0])]
    for (old, following), thread in zip(pairwise(before), after[1:], strict=True):
        ahead = plus(minus(following[0], old[0]), minus(following[-1], old[-1]))
        last = found[-1]
        found.append(
            tuple(
                at if dot(minus(at, by), ahead) > _MEET else by for at, by in zip(thread, last, strict=True)
            )
        )
    return found


def mounted(surface: Surface, mount: Mount) -> Surface:
    """The same sheet where it lies in the aircraft."""
    return surface._replace(space=tuple(tuple(mount.at(at) for at in thread) for thread in surface.space))


def across_plane(panel: Panel, distance: float) -> Plane:
    """The plane of a rib at a distance along a panel, in the surface's frame."""
    here = sliced(panel, distance)
    return here.flat.origin, outwards(panel.rise)


def along_plane(panel: Panel, start: float, end: float) -> Plane:
    """The plane, square to the panel, through two places along the chord at its two ends, mm."""
    a = in_frame(sliced(panel, 0.0).flat, (start, 0.0))
    b = in_frame(sliced(panel, panel.long).flat, (end, 0.0))
    up = upwards(panel.rise)
    return a, unit(cross(up, minus(b, a)))


def lines_along(surface: Surface, plane: Plane, depth: float) -> tuple[tuple[Point, Point], ...]:
    """Where a plane that runs out along a skin meets the layer `depth` mm inside the drawn one, in the drawing.

    Each line goes from the first rim to the last: straight, as all of a panel is.
    """
    rims = [_crossings(surface, row, plane, depth) for row in (0, -1)]
    return tuple(zip(*rims, strict=False))


def _crossings(surface: Surface, row: int, plane: Plane, depth: float) -> list[Point]:
    """The places of a rim's drawing at which the layer inside passes a plane, in the order of the threads."""
    origin, normal = plane
    outs = normals(surface, 0 if row == 0 else len(surface.space[0]) - 2)
    levels = [
        dot(minus(minus(thread[row], times(out, depth)), origin), normal)
        for thread, out in zip(surface.space, outs, strict=True)
    ]
    found = []
    for k, (low, high) in enumerate(pairwise(levels)):
        if (low < 0) != (high < 0):
            found.append(on_way(surface.flat[k][row], surface.flat[k + 1][row], low / (low - high)))
    return found
