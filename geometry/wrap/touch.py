"""Where the edge of a plate lies along a bent sheet, though neither was drawn after the other. mm."""

from collections.abc import Iterator, Sequence
from itertools import pairwise
from typing import TYPE_CHECKING, NamedTuple

from ringwright.geometry.path import Path, Point, canonical, closed, flattened, line
from ringwright.geometry.wrap.former import Spot
from ringwright.geometry.wrap.vector import plus, times

if TYPE_CHECKING:
    from shapely import LineString

NEAR = 1.0
"""How far from a sheet an edge may be that is said to lie along it, mm. Our choice."""

_SHORTEST = 3.0


class Touch(NamedTuple):
    """How a plate's edge lies along a sheet. runs: the places along it. into: how far it reaches into it at most, mm."""

    runs: tuple[tuple[Spot, ...], ...]
    into: float


def touching(
    runs: Sequence[tuple[Spot, ...]], outline: Path, above: float, below: float, deep: float
) -> Touch:
    """Where the edge of a plate across the axis lies along a sheet.

    runs: places at which the plate's plane meets the sheet. outline: of the plate, (y, z). above, below: how far the
    outer and the inner face are from the drawn layer. deep: how far below the drawn layer the plate has to keep.
    """
    import shapely

    plate = shapely.Polygon(flattened(outline, 0.01))
    shapely.prepare(plate)
    kept: list[tuple[Spot, ...]] = []
    for run in runs:
        middles = shapely.points([_moved(spot, (above - below) / 2) for spot in run])
        near = shapely.distance(plate.exterior, middles) <= (above + below) / 2 + NEAR
        kept.extend(run[low:high] for low, high in _stretches([bool(flag) for flag in near]))
    long = tuple(run for run in kept if _length(run) >= _SHORTEST)
    into = 0.0
    for run in long:
        limits = shapely.points([_moved(spot, -deep) for spot in run])
        depths = shapely.distance(plate.exterior, limits) * shapely.contains(plate, limits)
        into = max(into, float(depths.max()))
    return Touch(long, into)


def _moved(spot: Spot, out: float) -> Point:
    """Where a place is seen across the axis, that much further out."""
    _, y, z = plus(spot.space, times(spot.out, out))
    return y, z


def _stretches(flags: Sequence[bool]) -> Iterator[tuple[int, int]]:
    """From where to where flags are set."""
    start = None
    for k, flag in enumerate((*flags, False)):
        if flag and start is None:
            start = k
        elif not flag and start is not None:
            yield start, k
            start = None


def _length(run: Sequence[Spot]) -> float:
    return float(_line([spot.flat for spot in run]).length) if len(run) > 1 else 0.0


def _line(points: Sequence[Point]) -> "LineString":
    from shapely import LineString

    return LineString(points)


def beside(path: Path, runs: Sequence[Sequence[Spot]], whole: Sequence[Sequence[Spot]]) -> tuple[Path, ...]:
    """The stretches of a line of the drawing that lie beside some runs of places out of all: the line itself where
    those are all.
    """
    if [len(run) for run in runs] == [len(run) for run in whole]:
        return (path,)
    from shapely import Point as Place
    from shapely.ops import substring

    drawn = _line(path.points)
    found = []
    for run in runs:
        ends = sorted(float(drawn.project(Place(*run[k].flat))) for k in (0, -1))
        if ends[1] - ends[0] >= _SHORTEST:
            points = [(float(x), float(y)) for x, y in substring(drawn, *ends).coords]
            if all(a != b for a, b in pairwise(points)):
                found.append(line(points))
    return tuple(found)


def around(
    channel: Path, runs: Sequence[Sequence[Spot]], whole: Sequence[Sequence[Spot]], width: float
) -> tuple[Path, ...]:
    """The stretches of a channel of the drawing that lie beside some runs of places, as `beside`."""
    if [len(run) for run in runs] == [len(run) for run in whole]:
        return (channel,)
    from shapely import Polygon

    # A channel lies a lean's width off the middle plane at most.
    cuts = [_line([spot.flat for spot in run]).buffer(2 * width, cap_style="flat") for run in runs]
    cut = [Polygon(flattened(channel, 0.01)).intersection(strip) for strip in cuts]
    return tuple(
        canonical(closed([(float(x), float(y)) for x, y in piece.exterior.coords[:-1]]))
        for piece in cut
        if isinstance(piece, Polygon) and not piece.is_empty
    )
