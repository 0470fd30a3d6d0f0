"""Pieces cut from bars that are bought by the length."""

from collections.abc import Sequence
from typing import NamedTuple

from ringwright.geometry.errors import GeometryError
from ringwright.geometry.numbers import short, snap, total

SAW = 1.0
"""What a saw takes away between two pieces, mm. Common practice, no published source."""


class Bar(NamedTuple):
    """One bar as bought: what is cut from it, longest first, and what is left over, mm."""

    pieces: tuple[tuple[str, float], ...]
    left: float


def bars(pieces: Sequence[tuple[str, float]], long: float, saw: float = SAW) -> tuple[Bar, ...]:
    """How pieces (name, length in mm) are cut from bars so long: each, longest first, from the first that has room.

    That takes at most 11/9 of the fewest bars possible, and one more (Johnson, 1973; from memory). GeometryError
    'longer-than-bar'.
    """
    found: list[list[tuple[str, float]]] = []
    for name, piece in sorted(pieces, key=lambda each: (-snap(each[1]), each[0])):
        if piece > long + 1e-6:
            raise GeometryError(
                "longer-than-bar",
                f"'{name}' is {short(piece, 1)} mm long, {short(piece - long, 1)} mm more than what it is cut from",
            )
        room = next((bar for bar in found if _left(bar, long, saw) >= piece - 1e-6), None)
        if room is None:
            found.append([(name, piece)])
        else:
            room.append((name, piece))
    return tuple(Bar(tuple(bar), max(0.0, _left(bar, long, saw))) for bar in found)


def _left(bar: Sequence[tuple[str, float]], long: float, saw: float) -> float:
    """What is left of a bar behind its last cut, mm."""
    return long - total(length + saw for _, length in bar)
