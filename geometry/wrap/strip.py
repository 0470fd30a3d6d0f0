"""A skin over any number of sections: one piece where a sheet can take it, else strips with seams at sections.

A strip grows from section to section. Where the straight rulings from its first to its last section pass
those between within 0.2 mm they are passed over, and the strip is exact; else its bays are laid flat together
with the least stretch, up to 0.5 %. Where that is too much, it ends at the section before. Limits are ours: no
published source.
"""

import math
from collections.abc import Sequence
from itertools import pairwise
from typing import NamedTuple

from ringwright.geometry.errors import GeometryError
from ringwright.geometry.numbers import short, snap
from ringwright.geometry.recall import recalled
from ringwright.geometry.wrap.bend import CREASE, Bends, bends, deviation, gap
from ringwright.geometry.wrap.neutral import edge_normals, inner_section, moved_in, ruling_ways
from ringwright.geometry.wrap.relax import evened, relaxed
from ringwright.geometry.wrap.rulings import STEPS, TWIST, Rulings, aligned, rulings
from ringwright.geometry.wrap.section import Section, divided, is_symmetric, length, symmetric
from ringwright.geometry.wrap.surface import Surface, Thread, outward, threads_of, unrolled, upright
from ringwright.geometry.wrap.vector import angle_between, between

NOTICE_STRAIN = 0.002
"""Stretch from which a strip deserves a warning."""

MOST_STRAIN = 0.005
"""Stretch above which a strip is cut at a section."""

DEVIATION = 0.2
"""How far, mm, a strip may pass a section by that it does not go through."""

ROWS = 3
"""Steps between two sections in the grid whose stretch is reckoned."""

_MESHES = 17
_REACH = 4
_TRIAL = 21


class Strip(NamedTuple):
    """A skin in one piece from one section to another.

    first, last: indices of those sections. surface: of the neutral layer, which is drawn. bays: rulings of the
    outer layer, one from first to last where the strip is exact, else one for each bay. strain: greatest
    stretch, a share. twist: greatest, rad. deviation: mm, at sections passed over. exact: whether it lies flat
    without stretch.
    """

    first: int
    last: int
    surface: Surface
    bays: tuple[Rulings, ...]
    strain: float
    twist: float
    deviation: float
    exact: bool


class Cut(NamedTuple):
    """A seam at a section and why it is there.

    section: its index. gap: how far the two strips would gape at their ends if laid together, mm. strain: what
    one piece over it would have to stretch, a share; None where it was not asked.
    """

    section: int
    gap: float
    strain: float | None
    reason: str


class Skin(NamedTuple):
    """A skin over sections: its strips, fore to aft, and the cuts between them; `sections` as they were used."""

    sections: tuple[Section, ...]
    strips: tuple[Strip, ...]
    cuts: tuple[Cut, ...]

    @property
    def worst_strain(self) -> float:
        """Greatest stretch of any strip, a share."""
        return max(strip.strain for strip in self.strips)

    @property
    def worst_twist(self) -> float:
        """Greatest twist along a ruling, rad."""
        return max(strip.twist for strip in self.strips)

    @property
    def worst_deviation(self) -> float:
        """Greatest distance from a section passed over, mm."""
        return max(strip.deviation for strip in self.strips)

    @property
    def bends(self) -> tuple[Bends, ...]:
        """How the outer layer bends, for each bay, fore to aft."""
        return tuple(bends(bay) for strip in self.strips for bay in strip.bays)


@recalled
def skin(
    sections: Sequence[Section],
    thickness: float = 0.0,
    neutral: float = 1.0,
    seams: str = "auto",
    most_strain: float = MOST_STRAIN,
    most_deviation: float = DEVIATION,
) -> Skin:
    """Skin over sections of its outer face, fore to aft, in the fewest strips.

    thickness: of the sheet, mm; neutral: fraction 0 (inner face) … 1 (outer face). seams: 'auto', 'none' (one
    piece whatever it stretches) or 'each' (a seam at every section). GeometryError 'too-few-sections' and those
    of `rulings`, 'skin-too-thick', 'does-not-settle'.
    """
    if len(sections) < 2:
        raise GeometryError("too-few-sections", "a skin needs two sections at least to run between")
    _check_order(sections)
    used = _prepared(sections)
    bays = [rulings(a, b) for a, b in pairwise(used)]
    if [len(bay.first.points) + len(bay.second.points) for bay in bays] != [
        len(a.points) + len(b.points) for a, b in pairwise(used)
    ]:
        # Some bays need corners of their own between those of their sections: then all have them, so that
        # each section is the same in both its bays. Halves of symmetric ones take steps half as long.
        used = [s if s.is_point else divided(s, length(s) / (2 * STEPS)) for s in used]
        bays = [rulings(a, b) for a, b in pairwise(used)]
    depth = (1 - neutral) * thickness
    strips: list[Strip] = []
    refused: list[float | None] = []
    start = 0
    while start < len(bays):
        strip, over = _grown(used, bays, start, depth, seams, most_strain, most_deviation)
        strips.append(strip)
        refused.append(over)
        start = strip.last
    cuts = tuple(
        _cut(before, after, over, seams, most_strain)
        for (before, after), over in zip(pairwise(strips), refused, strict=False)
    )
    return Skin(tuple(used), tuple(strips), cuts)


def _check_order(sections: Sequence[Section]) -> None:
    """Sections across the axis must follow one another aft: the way round them tells inside from outside."""
    for before, after in pairwise(sections):
        facing = all(s.plane is not None and abs(s.plane[0]) > 0.5 for s in (before, after))
        if facing and after.centre[0] < before.centre[0] - 1e-6:
            raise GeometryError(
                "sections-not-in-order",
                f"the skin's sections must run aft: {short(after.centre[0], 2)} mm comes after"
                f" {short(before.centre[0], 2)} mm",
            )


def _prepared(sections: Sequence[Section]) -> list[Section]:
    """The sections begun where the rulings of the one before ask for it; symmetric ones exactly so."""
    used = [sections[0]]
    for section in sections[1:]:
        used.append(aligned(used[-1], section))
    return [symmetric(section) if is_symmetric(section) else section for section in used]


def _grown(
    used: Sequence[Section],
    bays: Sequence[Rulings],
    start: int,
    depth: float,
    seams: str,
    most_strain: float,
    most_deviation: float,
) -> tuple[Strip, float | None]:
    """The longest strip from a section on, and what one section more would have stretched it."""
    if seams == "none":
        if start + 1 == len(bays):
            return _single(start, start + 1, bays[start], depth, 0.0), None
        whole = _passing(used, bays, start, len(bays), depth, most_deviation)
        return whole or _together(used, bays, start, len(bays), depth), None
    strip: Strip | None = _single(start, start + 1, bays[start], depth, 0.0)
    end, over = start + 1, None
    if seams == "auto":
        for last in range(start + 2, len(bays) + 1):
            longer = _passing(used, bays, start, last, depth, most_deviation)
            if longer is None:
                strain = _tried(bays[start:last])
                if snap(strain) > most_strain:
                    over = strain
                    break
            strip, end = longer, last
    return strip or _together(used, bays, start, end, depth), over


def _tried(bays: Sequence[Rulings]) -> float:
    """What some bays in one piece have to stretch, reckoned on a coarse grid; 1 where it does not settle."""
    layers = _inner(bays, 0.0)
    lines = [
        tuple(layer.points[i] for layer, i in zip(layers, way, strict=True))
        for way in _stepped(_threaded(bays))
    ]
    try:
        return relaxed([_rowed(line) for line in _stationed(lines, _MESHES)]).strain
    except GeometryError as error:
        if error.code != "does-not-settle":
            raise
        return 1.0


def _single(first: int, last: int, bay: Rulings, depth: float, off: float) -> Strip:
    """A strip along straight rulings, exact unless it twists."""
    surface = unrolled(threads_of(moved_in(bay, depth)))
    strain = 0.0
    if bay.twist > TWIST:
        strain = relaxed(evened(threads_of(bay), _TRIAL, 5)).strain
    return Strip(first, last, surface, (bay,), strain, bay.twist, off, not bay.spread)


def _passing(
    used: Sequence[Section], bays: Sequence[Rulings], first: int, last: int, depth: float, limit: float
) -> Strip | None:
    """A strip straight from one section to another, if it passes those between near enough."""
    if any(section.plane is None for section in used[first + 1 : last]):
        return None
    bay = rulings(used[first], used[last])
    if bay.twist > TWIST:
        return None
    outer = Surface(threads_of(bay), ())
    off = 0.0
    for section in used[first + 1 : last]:
        off = max(off, deviation(outer, section))
        if snap(off) > limit:
            return None
    return _single(first, last, bay, depth, off)


def _together(used: Sequence[Section], bays: Sequence[Rulings], first: int, last: int, depth: float) -> Strip:
    """A strip of several bays, laid flat with the least stretch."""
    chosen = bays[first:last]
    layers = _inner(chosen, depth)
    ways = _stepped(_threaded(chosen))
    lines = [tuple(layer.points[i] for layer, i in zip(layers, way, strict=True)) for way in ways]
    threads = [_rowed(line) for line in _stationed(lines, _MESHES * _REACH)]
    laid = relaxed(threads, _REACH)
    surface = upright(laid.surface)
    if _mirrored(surface.space):
        surface = _evened_out(surface)
    twist = max(bay.twist for bay in chosen)
    strip = Strip(first, last, surface, tuple(chosen), laid.strain, twist, 0.0, False)
    # Sections within 1e-6 of lying flat together: that is rounding, not stretch.
    return strip._replace(strain=0.0, exact=True) if laid.strain < 1e-9 else strip


def _inner(bays: Sequence[Rulings], depth: float) -> list[Section]:
    """The sections of some bays in a row on the layer `depth` mm inside."""
    if not depth:
        return [bays[0].first, *(bay.second for bay in bays)]
    normals = [edge_normals(bay) for bay in bays]
    ways = [ruling_ways(bay) for bay in bays]
    found = [inner_section(bays[0].first, [normals[0][0]], ways[0][0], depth)]
    for k, bay in enumerate(bays):
        meeting = [normals[k][1]] + ([normals[k + 1][0]] if k + 1 < len(bays) else [])
        found.append(inner_section(bay.second, meeting, ways[k][1], depth))
    return found


def _threaded(bays: Sequence[Rulings]) -> list[tuple[int, ...]]:
    """Ways through several bays: a corner of every section for each thread."""
    found: list[tuple[int, ...]] = [tuple(way) for way in bays[0].ways]
    for bay in bays[1:]:
        joined = [(*found[0], bay.ways[0][1])]
        a = b = 0
        while a + 1 < len(found) or b + 1 < len(bay.ways):
            corner = bay.ways[b][0]
            waits_a = a + 1 < len(found) and found[a + 1][-1] == corner
            waits_b = b + 1 < len(bay.ways) and bay.ways[b + 1][0] == corner
            both = not waits_a and not waits_b
            a, b = a + (waits_a or both), b + (waits_b or both)
            joined.append((*found[a], bay.ways[b][1]))
        found = joined
    return found


def _stepped(ways: Sequence[tuple[int, ...]]) -> list[tuple[int, ...]]:
    """The ways without those between which every section moves on by a corner at most: they step level instead."""
    whole = ways[-1]
    middle = len(ways) // 2
    even = len(ways) % 2 == 1 and all(
        a + b == c
        for way, back in zip(ways, reversed(ways), strict=True)
        for a, b, c in zip(way, back, whole, strict=True)
    )
    if even:
        half = _stepped_on(ways[: middle + 1])
        return [
            *half,
            *(tuple(c - a for a, c in zip(way, whole, strict=True)) for way in reversed(half[:-1])),
        ]
    return _stepped_on(ways)


def _stepped_on(ways: Sequence[tuple[int, ...]]) -> list[tuple[int, ...]]:
    kept = [ways[0]]
    for way, following in pairwise(ways[1:]):
        if any(b - a > 1 for a, b in zip(kept[-1], following, strict=True)):
            kept.append(way)
    return [*kept, ways[-1]]


def _rowed(line: Sequence) -> Thread:  # type: ignore[type-arg]
    """A thread with rows between its sections."""
    rows = [between(a, b, step / ROWS) for a, b in pairwise(line) for step in range(ROWS)]
    return (*rows, line[-1])


def _stationed(lines: Sequence[Thread], meshes: int) -> list[Thread]:
    """Threads about so many meshes apart: one at every corner, evenly spread between."""
    walked = [0.0]
    for a, b in pairwise(lines):
        walked.append(walked[-1] + math.fsum(math.dist(p, q) for p, q in zip(a, b, strict=True)))
    stops = [0, *(k for k in range(1, len(lines) - 1) if _is_corner(lines, k)), len(lines) - 1]
    if _mirrored(lines):
        stops = sorted({*stops, len(lines) // 2})
    found: list[Thread] = [lines[0]]
    for low, high in pairwise(stops):
        span = walked[high] - walked[low]
        count = max(1, round(span * meshes / walked[-1]))
        k = low
        for station in range(1, count):
            width = walked[low] + span * station / count
            while walked[k + 1] < width:
                k += 1
            found.append(_between(lines[k], lines[k + 1], (width - walked[k]) / (walked[k + 1] - walked[k])))
        if any(math.dist(p, q) > 1e-6 for p, q in zip(found[-1], lines[high], strict=True)):
            found.append(lines[high])
    return found


def _is_corner(lines: Sequence[Thread], k: int) -> bool:
    """Whether the surface has a corner at a thread, in any of its bays."""
    for row in range(len(lines[0]) - 1):
        before, after = outward(lines[k - 1], lines[k], row), outward(lines[k], lines[k + 1], row)
        if any(before) and any(after) and angle_between(before, after) > CREASE:
            return True
    return False


def _between(a: Thread, b: Thread, share: float) -> Thread:
    return tuple(between(p, q, share) for p, q in zip(a, b, strict=True))


def _mirrored(lines: Sequence[Thread]) -> bool:
    """Whether the threads are the mirror images of one another about the middle one."""
    return len(lines) % 2 == 1 and all(
        abs(p[0] - q[0]) < 1e-9 and abs(p[1] + q[1]) < 1e-9 and abs(p[2] - q[2]) < 1e-9
        for a, b in zip(lines, reversed(lines), strict=True)
        for p, q in zip(a, b, strict=True)
    )


def _evened_out(surface: Surface) -> Surface:
    """A drawing that is symmetric but for rounding, made exactly so."""
    flat = [
        tuple(((p[0] - q[0]) / 2, (p[1] + q[1]) / 2) for p, q in zip(a, b, strict=True))
        for a, b in zip(surface.flat, reversed(surface.flat), strict=True)
    ]
    return surface._replace(flat=tuple(flat))


def _cut(before: Strip, after: Strip, over: float | None, seams: str, most_strain: float) -> Cut:
    apart = gap(before.surface, after.surface)
    if over is None:
        reason = "a seam at every section was asked for"
    else:
        reason = (
            "one piece over this section would not lie flat at all"
            if over >= 1
            else f"one piece over this section would stretch {short(over * 100, 2)} %,"
            f" more than {short(most_strain * 100, 2)} %"
        )
    return Cut(before.last, apart, over, reason)
