"""Match marks of rings: ticks across the rims that meet, and the line at top centre.

Ticks stand square to the rim in groups of one at the top, two at the right, three at the left, at turns that
both rings share, so that they meet when the rings do; a group that would come on a seam of either ring moves
on by 10°.
"""

import math
from collections.abc import Iterable, Sequence
from typing import NamedTuple

from ringwright.geometry.blank import Blank
from ringwright.geometry.numbers import snap
from ringwright.geometry.part import Mark, Rolled
from ringwright.geometry.path import Point, line

TICK = 4.0
"""Length of a tick, mm."""

_PITCH = 3.0
_CLEAR = 8.0
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

    The same for both rings of a joint if both their seams are given. A group that finds no place is left out.
    """
    radius = diameter / 2
    seams = tuple(avoid)
    groups = []
    for base, count in _GROUPS:
        for step in range(36):
            middle = base + step * math.pi / 18
            ticks = tuple(middle + (i - (count - 1) / 2) * _PITCH / radius for i in range(count))
            if all(_apart(tick, seam) * radius >= _CLEAR - 1e-6 for tick in ticks for seam in seams):
                groups.append(ticks)
                break
    return tuple(groups)


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
    marks: list[list[Mark]] = [[] for _ in range(blank.pieces)]
    for group in groups:
        for turn in group:
            piece, (x, y), (dx, dy) = rim_point(blank, placed, rim, turn)
            said = "" if marks[piece] else text
            marks[piece].append(Mark(line([(x, y), (x + TICK * dx, y + TICK * dy)]), "notch", said))
    return tuple(tuple(of_piece) for of_piece in marks)


def top_marks(blank: Blank, placed: Sequence[Rolled]) -> tuple[tuple[Mark, ...], ...]:
    """The line at top centre (turn 0) over the middle third of the slant, for each piece; none where a seam
    is within 2 mm.
    """
    marks: list[tuple[Mark, ...]] = [()] * blank.pieces
    start, end = (rim_point(blank, placed, rim, 0.0) for rim in ("start", "end"))
    radius = max(blank.ring.start, blank.ring.end) / 2
    if all(_apart(0.0, seam) * radius >= 2.0 for seam in seam_turns(placed)):
        (x0, y0), (x1, y1) = start.at, end.at
        third = [(x0 + share * (x1 - x0), y0 + share * (y1 - y0)) for share in (1 / 3, 2 / 3)]
        marks[start.piece] = (Mark(line(third), "top", "top"),)
    return tuple(marks)
