"""Match marks of rings: ticks across the rims that meet, and the line at top centre.

Ticks stand square to the rim in groups of one at the top, two at the right, three at the left, at turns that
both rings share, so that they meet when the rings do; a group that would come on a seam of either ring, or on
another group, moves by 10° and more, to the nearer side. On small rims ticks are shorter and stand closer.
"""

import math
from collections.abc import Iterable, Sequence
from typing import NamedTuple

from ringwright.geometry.blank import Blank
from ringwright.geometry.numbers import snap
from ringwright.geometry.part import Mark, Rolled
from ringwright.geometry.path import Point, line
from ringwright.geometry.remember import remembered

TICK = 4.0
"""Length of a tick, mm, where there is room for it."""

_PITCH = 3.0
_PITCHES_ROUND = 24
_CLEAR = 8.0
_CLEAR_SHARE = 0.1
_APART = 3.0
"""Between two groups, in pitches."""
_STEP = math.pi / 18
_STEPS = 7
"""So many steps either way keep a group on its own side."""
_GROUPS = ((0.0, 1), (math.pi / 2, 2), (3 * math.pi / 2, 3))


class RimPoint(NamedTuple):
    """A point on the rim of a blank: index of the piece, place in its drawing, unit vector from there into
    the sheet.
    """

    piece: int
    at: Point
    inward: Point


def rim_point(blank: Blank, placed: Sequence[Rolled], rim: str, turn: float) -> RimPoint:
    """Where a turn about the axis (rad, 0 top, growing to the right) meets a rim ('start' or 'end') of a
    ring's blank.

    placed: one placement for each piece, of `place.rolled`.
    """
    share_round = (turn - placed[0].turn_at_seam) / (2 * math.pi) * math.copysign(1.0, placed[0].sweep)
    share = (share_round - math.floor(share_round)) * blank.pieces
    piece = min(int(share + 1e-9), blank.pieces - 1)
    at = share - piece
    made = blank.ring
    if made.blank_angle is None or made.blank_inner_radius is None or made.blank_outer_radius is None:
        x = at * (made.blank_length or 0.0) / blank.pieces
        return (
            RimPoint(piece, (x, 0.0), (0.0, 1.0))
            if rim == "start"
            else RimPoint(piece, (x, made.slant), (0.0, -1.0))
        )
    angle = (at - 0.5) * made.blank_angle / blank.pieces
    outwards = (-math.sin(angle), math.cos(angle))
    if (made.start > made.end) == (rim == "start"):
        radius, sign = made.blank_outer_radius, -1.0
    else:
        radius, sign = made.blank_inner_radius, 1.0
    return RimPoint(
        piece, (radius * outwards[0], radius * outwards[1]), (sign * outwards[0], sign * outwards[1])
    )


def seam_turns(placed: Iterable[Rolled]) -> tuple[float, ...]:
    """Turns at which a ring's pieces start: what its marks keep clear of."""
    return tuple(piece.turn_at_seam for piece in placed)


def match_turns(diameter: float, avoid: Iterable[float] = ()) -> tuple[tuple[float, ...], ...]:
    """Turns (rad) of the groups of ticks on a joint of outside diameter `diameter` mm, clear of the seams in
    `avoid`.

    The same for both rings of a joint if both their seams are given. They keep 8 mm from seams, or a tenth of the
    way round where that is less; where many seams leave no such place, as far as can be.
    """
    return _match_turns(diameter, tuple(avoid))


@remembered(2048)
def _match_turns(diameter: float, seams: tuple[float, ...]) -> tuple[tuple[float, ...], ...]:
    radius = diameter / 2
    pitch = min(_PITCH, math.pi * diameter / _PITCHES_ROUND) / radius
    clear = min(_CLEAR / radius, _CLEAR_SHARE * 2 * math.pi)
    groups: list[tuple[float, ...]] = []
    for base, count in _GROUPS:
        others = [tick for group in groups for tick in group]
        places = [
            tuple(base + way * _STEP + (i - (count - 1) / 2) * pitch for i in range(count)) for way in _ways()
        ]
        apart = [ticks for ticks in places if _least(ticks, others) >= _APART * pitch - 1e-9]
        free = next((ticks for ticks in apart if _least(ticks, seams) >= clear - 1e-9), None)
        groups.append(free or max(apart or places, key=lambda ticks: snap(_least(ticks, seams))))
    return tuple(groups)


def _ways() -> list[int]:
    """0, 1, -1, 2, -2 …"""
    return [0, *(way for step in range(1, _STEPS + 1) for way in (step, -step))]


def _least(ticks: Iterable[float], others: Sequence[float]) -> float:
    """Least angle between some turns and others; infinite without others."""
    return min((_apart(tick, other) for tick in ticks for other in others), default=math.inf)


def tick_length(room: float) -> float:
    """How long a tick is, mm, on a rim that has so much material square to it: less than a third of it."""
    return min(TICK, 0.3 * room)


def spread_turns(count: int, avoid: Iterable[float] = ()) -> tuple[tuple[float, ...], ...]:
    """Turns (rad) of single ticks spread evenly round a joint, for pieces that stand side by side on it.

    The first is at the top, or up to half a pitch from it: of four ways the one that lies furthest from the seams in
    `avoid`.
    """
    seams, pitch = tuple(avoid), 2 * math.pi / count
    ways = [tuple((way / 4 + tick) * pitch for tick in range(count)) for way in (0, 1, -1, 2)]

    def clear(turns: tuple[float, ...]) -> float:
        return snap(min((_apart(turn, seam) for turn in turns for seam in seams), default=0.0))

    return tuple((turn,) for turn in max(ways, key=clear))


def _apart(a: float, b: float) -> float:
    """Least angle between two turns."""
    return abs(math.remainder(a - b, 2 * math.pi))


def rim_marks(
    blank: Blank, placed: Sequence[Rolled], rim: str, groups: Iterable[Sequence[float]], text: str
) -> tuple[tuple[Mark, ...], ...]:
    """Ticks on a rim, for each piece of the blank; `text` ('to drum') stands by the first on each piece."""
    long = tick_length(blank.ring.slant)
    marks: list[list[Mark]] = [[] for _ in range(blank.pieces)]
    for group in groups:
        for turn in group:
            piece, (x, y), (dx, dy) = rim_point(blank, placed, rim, turn)
            said = "" if marks[piece] else text
            marks[piece].append(Mark(line([(x, y), (x + long * dx, y + long * dy)]), "notch", said))
    return tuple(tuple(of_piece) for of_piece in marks)


def top_marks(blank: Blank, placed: Sequence[Rolled], word: str = "top") -> tuple[tuple[Mark, ...], ...]:
    """The line at turn 0 over the middle third of the slant, for each piece; none where a seam is within 2 mm.

    word: what stands beside it: which side of the model that is.
    """
    marks: list[tuple[Mark, ...]] = [()] * blank.pieces
    start, end = (rim_point(blank, placed, rim, 0.0) for rim in ("start", "end"))
    radius = max(blank.ring.start, blank.ring.end) / 2
    if all(_apart(0.0, seam) * radius >= 2.0 for seam in seam_turns(placed)):
        (x0, y0), (x1, y1) = start.at, end.at
        third = [(x0 + share * (x1 - x0), y0 + share * (y1 - y0)) for share in (1 / 3, 2 / 3)]
        marks[start.piece] = (Mark(line(third), "top", word),)
    return tuple(marks)
