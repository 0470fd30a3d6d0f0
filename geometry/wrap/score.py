"""Score lines: where thick sheet is cut from one side so that it bends, and how far each cut lets it.

Between scores the sheet stays flat. A facet of turning b over a radius R leaves the curve by R (1 - cos b/2);
so many scores that no facet leaves it by more than a tolerance lie where the turning, each bit of it divided by
the b that its radius allows, passes a half, one and a half, …: for an arc evenly, half a spacing from its ends.
"""

import math
from itertools import pairwise
from typing import NamedTuple

from ringwright.geometry.errors import GeometryError
from ringwright.geometry.numbers import ceil_safe, short
from ringwright.geometry.part import Score
from ringwright.geometry.path import line
from ringwright.geometry.wrap.bend import CREASE
from ringwright.geometry.wrap.surface import Surface, outward, part, widths
from ringwright.geometry.wrap.vector import cross, dot, minus, size


class Slots(NamedTuple):
    """Slots that close on a bend. angle: of one, rad, when its lips meet. number: fewest that make the bend.
    spacing: on the outer face, mm. sagitta: of the facets between, mm.
    """

    angle: float
    number: int
    spacing: float
    sagitta: float


def closing_angle(thickness: float, facing: float, width: float) -> float:
    """Angle, rad, at which the lips of a slot of that width, cut to the far facing, meet: 2 atan(w / 2d).

    GeometryError 'no-depth'.
    """
    deep = thickness - facing
    if deep <= 0 or width < 0:
        raise GeometryError(
            "no-depth",
            f"a slot needs depth: the sheet is {short(thickness, 2)} mm, its facing {short(facing, 2)} mm",
        )
    return 2 * math.atan2(width, 2 * deep)


def slots(radius: float, turning: float, thickness: float, facing: float, width: float) -> Slots:
    """Slots for a bend of `turning` rad at an outer radius, mm. GeometryError 'no-depth', 'slot-never-closes'."""
    angle = closing_angle(thickness, facing, width)
    if not angle:
        raise GeometryError(
            "slot-never-closes",
            "a knife cut of no width never closes: space scores by how even the bend shall be",
        )
    count = max(1, ceil_safe(turning / angle))
    return Slots(angle, count, radius * turning / count, radius * (1 - math.cos(turning / (2 * count))))


def spacing_for(radius: float, tolerance: float) -> float:
    """Spacing of scores on an arc, mm, whose facets stay within `tolerance` mm of it: 2 R acos(1 - e/R)."""
    return 2 * radius * _facet_turn(radius, tolerance)


def _facet_turn(radius: float, tolerance: float) -> float:
    """Half the turning of a facet: acos(1 - e/R), well formed for large radii; a right angle at most."""
    return 2 * math.asin(math.sqrt(min(tolerance / (2 * radius), 0.5))) if radius > 0 else math.pi / 2


class Scored(NamedTuple):
    """Score lines of a sheet. closing: how many of them close when cut with a cutter of the given width."""

    scores: tuple[Score, ...]
    closing: int


def corners(surface: Surface) -> tuple[Score, ...]:
    """Score lines at the corners of the sections alone, for a sheet that bends without scores elsewhere."""
    bent = turns(surface)
    return tuple(
        Score(line(thread), abs(turn), "inside" if turn > 0 else "face")
        for thread, turn in zip(surface.flat, bent, strict=True)
        if abs(turn) > CREASE
    )


def scores(
    surface: Surface, tolerance: float, thickness: float = 0.0, facing: float = 0.0, width: float = 0.0
) -> Scored:
    """Score lines along the rulings of a sheet, so that its facets stay within `tolerance` mm of the curve; one
    at every corner of the sections.

    thickness, facing, width: of the sheet and of the cut (0 for a knife), to count the cuts that close; leave
    them out for none. Side 'inside' where the skin bulges out, 'face' where it is hollow.
    """
    if tolerance <= 0:
        raise GeometryError("no-size", "the facets of a scored bend need a tolerance above 0 mm")
    bent = turns(surface)
    walked = widths(surface)
    placed: list[tuple[float, float]] = []
    stretch: list[int] = []
    for k in range(1, len(bent)):
        if k < len(bent) - 1 and abs(bent[k]) <= CREASE:
            stretch.append(k)
            continue
        placed.extend(_spaced(surface, bent, walked, stretch, tolerance))
        stretch = []
        if k < len(bent) - 1:
            placed.append((walked[k], bent[k]))
    limit = closing_angle(thickness, facing, width) if thickness and width else math.inf
    found = []
    closing = 0
    for at, angle in placed:
        thread = part(surface, at, walked[-1]).flat[0]
        found.append(Score(line(thread), abs(angle), "inside" if angle > 0 else "face"))
        closing += abs(angle) >= limit - 1e-9
    return Scored(tuple(found), closing)


def turns(surface: Surface) -> list[float]:
    """Return the bend at each thread, rad, the greatest of its rows, + where the sheet bulges to its outer side; 0 at the
    ends.
    """
    rows = len(surface.space[0]) - 1
    found = [0.0] * len(surface.space)
    for row in range(rows):
        sides = [outward(a, b, row) for a, b in pairwise(surface.space)]
        for k in range(1, len(surface.space) - 1):
            if not size(sides[k - 1]) or not size(sides[k]):
                continue
            turn = cross(sides[k - 1], sides[k])
            angle = math.atan2(size(turn), dot(sides[k - 1], sides[k]))
            thread = surface.space[k]
            signed = -angle if dot(turn, minus(thread[row + 1], thread[row])) > 0 else angle
            if abs(signed) > abs(found[k]):
                found[k] = signed
    return found


def _spaced(
    surface: Surface, turns: list[float], walked: tuple[float, ...], stretch: list[int], tolerance: float
) -> list[tuple[float, float]]:
    """Places (width, angle) of the scores of a smooth stretch of threads."""
    needs = []
    cells = []
    for k in stretch:
        broad = (walked[k + 1] - walked[k - 1]) / 2
        # The sheet's ends turn on as before for the half of a chord that is left there.
        low = walked[0] if k == 1 else (walked[k - 1] + walked[k]) / 2
        high = walked[-1] if k == len(walked) - 2 else (walked[k] + walked[k + 1]) / 2
        more = (high - low) / broad
        cells.append((low, high, turns[k] * more))
        for row in (0, -1):
            before, here, after = (surface.flat[k + i][row] for i in (-1, 0, 1))
            broad = max(broad, (math.dist(before, here) + math.dist(here, after)) / 2)
        turn = abs(turns[k])
        needs.append(more * turn / (2 * _facet_turn(broad / turn, tolerance)) if turn > 1e-9 else 0.0)
    whole = math.fsum(needs)
    if whole < 1e-9:
        return []
    count = max(1, ceil_safe(whole - 1e-6))
    found: list[tuple[float, float]] = []
    reached = 0.0
    angles = [0.0] * count
    places = [0.0] * count
    for (start, end, turn), need in zip(cells, needs, strict=True):
        low, high = reached * count / whole, (reached + need) * count / whole
        for score in range(int(low), min(count - 1, int(high)) + 1):
            share = min(high, score + 1.0) - max(low, float(score))
            if need and share > 0:
                angles[score] += turn * share / (high - low)
            if need and low <= score + 0.5 <= high:
                places[score] = start + (score + 0.5 - low) / (high - low) * (end - start)
        reached += need
    for place, angle in zip(places, angles, strict=True):
        if abs(angle) > 1e-6:
            found.append((place, angle))
    return found
