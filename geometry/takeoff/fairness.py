"""Stations that stick out of a fair line through their neighbours: most often a misread figure.

Each inner station in turn is left out, and the line drawn through the rest. A misread one pushes its neighbours
off, too, to the other side; but only with it gone is the rest fair. So the station whose loss leaves the rest
fairest is the one to doubt, unless the rest stays off nearly as much: then the line bends so.
"""

from collections.abc import Sequence
from typing import NamedTuple

from ringwright.geometry.curve import fair_line, line_at
from ringwright.geometry.numbers import finite, rounded

LIMIT = 1.5
"""How far a station must stick out to be worth a word, mm (our choice: three times what a ruler on a plan misreads)."""

_CLEARLY = 2.0
"""How many times further than all others, once it is gone (our choice)."""

_BLUNT = 0.3
"""Slope from an end to the next station above which the end may just be blunt, as a nose is (our choice)."""

_FEWEST = 5


class Outlier(NamedTuple):
    """A station that sticks out.

    station: its index. value: as given; fair: where the line through the others passes; off: value - fair, mm.
    """

    station: int
    place: float
    value: float
    fair: float
    off: float


def sticking_out(
    places: Sequence[float], values: Sequence[float], limit: float = LIMIT
) -> tuple[Outlier, ...]:
    """The stations of a line that stick out of it, by index; at most a quarter of them.

    places, which grow, and values in mm; limit: what is worth a word, mm. Not judged: the first
    and the last station, one next to a blunt end, and a line of five or fewer. GeometryErrors as `fair_line`.
    """
    for value in (*places, *values):
        finite(value, "a station")
    fair_line(places, values)
    kept = list(range(len(places)))
    found: list[Outlier] = []
    while len(kept) > _FEWEST and len(found) < max(1, len(places) // 4):
        doubted = []
        for suspect in _left_out(kept, places, values):
            rest = [index for index in kept if index != suspect.station]
            around = max((abs(other.off) for other in _left_out(rest, places, values)), default=0.0)
            if abs(suspect.off) > max(limit, _CLEARLY * around):
                doubted.append((rounded(around, 6), suspect.station, suspect))
        if not doubted:
            break
        _, index, suspect = min(doubted)
        found.append(suspect)
        kept.remove(index)
    return tuple(sorted(found))


def _blunt(kept: list[int], index: int, places: Sequence[float], values: Sequence[float]) -> bool:
    """Whether a station is next to an end that may just be blunt."""
    for end, beside in ((kept[0], kept[1]), (kept[-1], kept[-2])):
        if index == beside:
            rise, run = values[index] - values[end], places[index] - places[end]
            return abs(rise) > _BLUNT * abs(run)
    return False


def _left_out(kept: list[int], places: Sequence[float], values: Sequence[float]) -> list[Outlier]:
    """Every inner station that can be judged against the line through the others."""
    found = []
    for index in kept[1:-1]:
        if _blunt(kept, index, places, values):
            continue
        others = [k for k in kept if k != index]
        line = fair_line([places[k] for k in others], [values[k] for k in others])
        fair = line_at(line, places[index])[0]
        found.append(Outlier(index, places[index], values[index], fair, values[index] - fair))
    return found
