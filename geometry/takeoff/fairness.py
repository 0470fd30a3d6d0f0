"""Stations that stick out of a fair line through their neighbours: most often a misread figure.

Each inner station in turn is left out, and the line drawn through the rest. A misread one pushes its neighbours
off, too, to the other side; but only with it gone is the rest fair. So the station whose loss leaves the rest
fairest is the one to doubt, unless the rest stays off nearly as much: then the line bends so.
"""

from bisect import bisect_left
from collections.abc import Iterable, Sequence
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

_REACH = 4
"""How many stations to either side may have a say in where the line runs (Akima's looks at three)."""


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
        judged = _left_out(kept, range(len(kept)), places, values)
        worst = sorted(judged, key=lambda outlier: -abs(outlier.off))
        for suspect in judged:
            around = _around(kept, suspect.station, worst, places, values)
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


def _around(
    kept: list[int], station: int, worst: list[Outlier], places: Sequence[float], values: Sequence[float]
) -> float:
    """How far the worst of the other stations sticks out once this one is gone: anew near it, else as before."""
    at = bisect_left(kept, station)
    rest = kept[:at] + kept[at + 1 :]
    near = range(max(0, at - _REACH), min(len(rest), at + _REACH))
    anew = _left_out(rest, near, places, values)
    close = {station, *(rest[position] for position in near)}
    far = next((outlier for outlier in worst if outlier.station not in close), None)
    return max((abs(other.off) for other in (*anew, *((far,) if far else ()))), default=0.0)


def _left_out(
    kept: list[int], positions: Iterable[int], places: Sequence[float], values: Sequence[float]
) -> list[Outlier]:
    """Every inner station at those positions in `kept` that can be judged against the line through the others."""
    found = []
    for position in positions:
        index = kept[position]
        if position in (0, len(kept) - 1) or _blunt(kept, index, places, values):
            continue
        # The line there follows from the three stations on each side alone.
        others = [k for k in kept[max(0, position - _REACH) : position + _REACH + 1] if k != index]
        line = fair_line([places[k] for k in others], [values[k] for k in others])
        fair = line_at(line, places[index])[0]
        found.append(Outlier(index, places[index], values[index], fair, values[index] - fair))
    return found
