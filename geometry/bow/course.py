"""How far a profile runs from a straight line between two points: exact on its arcs, not on samples of it."""

import math
from bisect import bisect_right
from itertools import pairwise
from typing import NamedTuple

from ringwright.geometry.along import cut
from ringwright.geometry.path import Path, Piece, Point, piece_length, piece_point, pieces, sweep_of

_CORNER = 1e-6


class Course(NamedTuple):
    """A profile by its length: its pieces, and the length run at the start of each and at the end, mm.

    across: whether deviations count square to the straight line ('across the wall'), else along the radius.
    """

    pieces: tuple[Piece, ...]
    runs: tuple[float, ...]
    across: bool

    @property
    def length(self) -> float:
        """Length of the profile, mm."""
        return self.runs[-1]


def course(profile: Path, across: bool) -> Course:
    """A profile made ready for measuring."""
    every = tuple(pieces(profile))
    runs = [0.0]
    for piece in every:
        runs.append(runs[-1] + piece_length(piece))
    return Course(every, tuple(runs), across)


def steep(profile: Path) -> bool:
    """Whether a profile leans by more than 60° from its axis somewhere: deviations then count across the
    wall.
    """
    least = min(piece_point(piece, share)[1][0] for piece in pieces(profile) for share in (0.0, 1.0))
    return least < 0.5 - 1e-9


def spot(way: Course, run: float) -> tuple[int, float]:
    """Index of the piece at a length along the profile, and the share of its own length."""
    index = min(max(bisect_right(way.runs, run) - 1, 0), len(way.pieces) - 1)
    share = (run - way.runs[index]) / (way.runs[index + 1] - way.runs[index])
    return index, min(1.0, max(0.0, share))


def point_at(way: Course, run: float) -> Point:
    """Point at a length along the profile, mm."""
    index, share = spot(way, run)
    return piece_point(way.pieces[index], share)[0]


def corners(way: Course) -> list[float]:
    """Lengths along the profile at which it breaks."""
    found = []
    for (before, after), run in zip(pairwise(way.pieces), way.runs[1:], strict=False):
        (ax, ay), (bx, by) = piece_point(before, 1.0)[1], piece_point(after, 0.0)[1]
        if abs(ax * by - ay * bx) > _CORNER:
            found.append(run)
    return found


def gaps(way: Course, start: Point, end: Point, first: float, last: float) -> tuple[float, float]:
    """(least, greatest) signed distance of the profile from the line start–end between two lengths along it.

    Positive where the profile lies outside the line, mm; measured across the line or along the radius, as the
    course says.
    """
    dx, dy = end[0] - start[0], end[1] - start[1]
    size = math.hypot(dx, dy) if way.across else dx
    low = high = 0.0
    fresh = True
    for piece in _between(way, first, last):
        for x, y in _furthest(piece, dx, dy):
            off = (dx * (y - start[1]) - dy * (x - start[0])) / size
            low, high = (off, off) if fresh else (min(low, off), max(high, off))
            fresh = False
    return low, high


def off_chord(way: Course, first: float, last: float) -> float:
    """Greatest deviation of the profile from its own chord between two lengths along it, mm."""
    low, high = gaps(way, point_at(way, first), point_at(way, last), first, last)
    return max(-low, high)


def _between(way: Course, first: float, last: float) -> list[Piece]:
    """The pieces of the profile between two lengths along it, those at the ends cut."""
    (i, low), (j, high) = spot(way, first), spot(way, last)
    if i == j:
        return [cut(way.pieces[i], low, high)]
    return [cut(way.pieces[i], low, 1.0), *way.pieces[i + 1 : j], cut(way.pieces[j], 0.0, high)]


def _furthest(piece: Piece, dx: float, dy: float) -> list[Point]:
    """Points of a piece at which its distance from a line of direction (dx, dy) can be least or greatest."""
    found = [piece[0], piece[1]]
    if piece[2]:
        (ax, ay), (bx, by) = piece_point(piece, 0.0)[1], piece_point(piece, 1.0)[1]
        before, after = ax * dy - ay * dx, bx * dy - by * dx
        if before * after < 0:
            share = math.atan2(before, ax * dx + ay * dy) / sweep_of(piece[2])
            found.append(piece_point(piece, share)[0])
    return found
