"""Sides, floors and decks: a flat sheet bent along the fuselage between two lines, in its true length.

A line gives its distance from the middle plane and its height at each x. Where both share one plan line the
side is upright: its rulings are vertical and its length that of the plan. All else is the skin between two
lines in space (see `rulings`). The rims are cut square to the sheet.
"""

import math
from collections.abc import Callable, Iterable, Sequence
from itertools import pairwise
from typing import NamedTuple, TypeAlias

from ringwright.geometry.curve import Line, line_at
from ringwright.geometry.errors import GeometryError
from ringwright.geometry.numbers import finite, short
from ringwright.geometry.part import Vector
from ringwright.geometry.path import Path
from ringwright.geometry.wrap.former import lines_on, plane_at
from ringwright.geometry.wrap.lattice import twists
from ringwright.geometry.wrap.neutral import moved_in
from ringwright.geometry.wrap.relax import evened, relaxed
from ringwright.geometry.wrap.rulings import TWIST, Rulings, rulings
from ringwright.geometry.wrap.section import TOLERANCE, Section, along
from ringwright.geometry.wrap.strip import Strip
from ringwright.geometry.wrap.surface import threads_of, unrolled

Traced: TypeAlias = Callable[[float], float]
"""A value along x, both mm."""

_FIRST_STEPS = 8
_DEEPEST = 10
_FLAT = 1e-6


class SpaceLine(NamedTuple):
    """A line of the fuselage: y and z at each x. The other hand's has y negative."""

    y: Traced
    z: Traced


def of_lines(half: Line, height: Line, hand: int = 1) -> SpaceLine:
    """The line with the given half breadths and heights; hand 1 to starboard, -1 to port."""
    return SpaceLine(lambda x: hand * line_at(half, x)[0], lambda x: line_at(height, x)[0])


def side(
    lower: SpaceLine,
    upper: SpaceLine,
    start: float,
    end: float,
    thickness: float = 0.0,
    neutral: float = 1.0,
    stations: Iterable[float] = (),
    tolerance: float = TOLERANCE,
) -> Strip:
    """Side between two lines of its outer face from x = start to end, mm: inside up, lower line lowest.

    A starboard side is drawn with x to the right. For the port side hand over its own two lines: it comes out
    as the mirror image, x to the left. stations: places where the lines may have corners. GeometryError
    'no-length', 'lines-cross', 'skin-too-thick'.
    """
    if end - start < 1e-6:
        raise GeometryError("no-length", f"a side cannot run from {short(start, 2)} to {short(end, 2)} mm")
    places = _places((lower, upper), start, end, stations, tolerance)
    low, high = ([_at(of, x) for x in places] for of in (lower, upper))
    for x, a, b in zip(places, low, high, strict=True):
        if math.dist(a, b) < 1e-3:
            raise GeometryError(
                "lines-cross",
                f"the two lines of the side meet at x = {short(x, 1)} mm: it has no height there",
            )
    port = math.fsum(p[1] for p in (*low, *high)) < 0
    if port:
        low, high = low[::-1], high[::-1]
    return between_lines(low, high, thickness, neutral)


def deck(
    left: SpaceLine,
    right: SpaceLine,
    start: float,
    end: float,
    thickness: float = 0.0,
    neutral: float = 1.0,
    stations: Iterable[float] = (),
    tolerance: float = TOLERANCE,
) -> Strip:
    """Deck across between two lines, its outer face up, drawn inside up, x to the right. GeometryErrors as
    `side`.
    """
    places = _places((left, right), start, end, stations, tolerance)
    return between_lines([_at(right, x) for x in places], [_at(left, x) for x in places], thickness, neutral)


def floor(
    left: SpaceLine,
    right: SpaceLine,
    start: float,
    end: float,
    thickness: float = 0.0,
    neutral: float = 1.0,
    stations: Iterable[float] = (),
    tolerance: float = TOLERANCE,
) -> Strip:
    """Floor across between two lines, its outer face down, drawn inside up, x to the right. GeometryErrors as
    `side`.
    """
    return deck(right, left, start, end, thickness, neutral, stations, tolerance)


def between_lines(
    low: Sequence[Vector], high: Sequence[Vector], thickness: float = 0.0, neutral: float = 1.0
) -> Strip:
    """Sheet bent between two lines of its outer face, corner for corner where one stands over the other, lies level
    with it or both lie in one plane, else along the rulings that bend best. low: the lower edge of the drawing, left to right.
    """
    first, second = along(low), along(high)
    if _straight_across(first, second):
        made = Rulings(first, second, _paired(len(first.points)), 0.0, False)
    else:
        made = rulings(first, second)
    surface = unrolled(threads_of(moved_in(made, (1 - neutral) * thickness)))
    strain = relaxed(evened(threads_of(made), 21, 5)).strain if made.twist > TWIST else 0.0
    return Strip(0, 1, surface, (made,), strain, made.twist, 0.0, not made.spread)


def _straight_across(first: Section, second: Section) -> bool:
    """Whether a sheet between two lines can bend, if at all, along rulings at one x each: there it is cut in pieces."""
    if len(first.points) != len(second.points):
        return False
    pairs = list(zip(first.points, second.points, strict=True))
    if any(abs(a[0] - b[0]) > 1e-6 for a, b in pairs):
        return False
    if any(all(abs(a[k] - b[k]) < 1e-6 for a, b in pairs) for k in (1, 2)):
        return True
    return max(twists(first, second, _paired(len(pairs)))) < _FLAT


def station_marks(
    strip: Strip, stations: Iterable[float], depth: float = 0.0
) -> tuple[tuple[float, Path], ...]:
    """Lines of the drawing at the given x, with that x; those the sheet does not reach are left out.

    depth: of the inner face below the drawn layer, mm.
    """
    return tuple((x, drawn) for x in stations for drawn in lines_on(strip.surface, plane_at(x), depth))


def _paired(count: int) -> tuple[tuple[int, int], ...]:
    """Ways from corner to corner of two lines that have as many."""
    found = [(0, 0)]
    for k in range(1, count):
        found.extend(((k, k - 1), (k, k)))
    return tuple(found)


def _at(of: SpaceLine, x: float) -> Vector:
    return x, finite(of.y(x), "a line's half breadth"), finite(of.z(x), "a line's height")


def _places(
    lines: Sequence[SpaceLine], start: float, end: float, stations: Iterable[float], tolerance: float
) -> list[float]:
    """Places along x, the stations among them, between which no line leaves its chord by more than the
    tolerance.
    """
    stops = sorted({start, end, *(x for x in stations if start < x < end)})
    found = [start]
    for low, high in pairwise(stops):
        for step in range(_FIRST_STEPS):
            a, b = (low + (high - low) * (step + k) / _FIRST_STEPS for k in (0, 1))
            _halve(lines, a, b, tolerance, 0, found)
    return found


def _halve(
    lines: Sequence[SpaceLine], low: float, high: float, tolerance: float, depth: int, found: list[float]
) -> None:
    if depth < _DEEPEST and any(_off(line, low, high) > tolerance for line in lines):
        middle = (low + high) / 2
        _halve(lines, low, middle, tolerance, depth + 1, found)
        _halve(lines, middle, high, tolerance, depth + 1, found)
    else:
        found.append(high)


def _off(line: SpaceLine, low: float, high: float) -> float:
    """How far a line leaves its chord between two places, measured across at three of them."""
    a, b = _at(line, low), _at(line, high)
    worst = 0.0
    for share in (0.25, 0.5, 0.75):
        at = _at(line, low + share * (high - low))
        worst = max(worst, math.hypot(*(at[k] - a[k] - share * (b[k] - a[k]) for k in (1, 2))))
    return worst
