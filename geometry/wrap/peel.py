"""Where a sheet with paper faces loses the inner one, because it is bent tighter than it takes as bought. mm and rad."""

import math
from collections.abc import Sequence
from itertools import pairwise
from typing import TYPE_CHECKING

from ringwright.geometry.path import Path, canonical, closed, flattened
from ringwright.geometry.wrap.bend import CREASE
from ringwright.geometry.wrap.score import turns
from ringwright.geometry.wrap.sheet import sheet
from ringwright.geometry.wrap.surface import Surface, part, widths

if TYPE_CHECKING:
    from shapely import Polygon

WIDEST = 2000.0
"""Radius of what counts as flat whatever the stock is, mm. Our choice."""

_WINDOW = 8
_FLAT = 3.0
_APART = 10.0
_LEAST = 1.0


def bent_zones(surface: Surface, radius: float) -> tuple[tuple[float, float], ...]:
    """From where to where a sheet is bent tighter than to a radius, counted from its first thread: widths, mm.

    Scored corners are no bends. Flats narrower than 10 mm between two zones, or beside an edge, go with
    them.
    """
    limit = min(radius, WIDEST)
    bent, walked = turns(surface), widths(surface)
    rows = [_walked(surface, row) for row in (0, -1)]
    gaps = [b - a for a, b in pairwise(walked)]
    # A bend at a thread is spread over what lies nearest to it: beside a flat, over the bend's half alone.
    cells = [(a + b) / 2 if max(a, b) < _FLAT * min(a, b) else min(a, b) for a, b in pairwise(gaps)]
    angles = [0.0 if abs(angle) > CREASE else angle for angle in bent[1:-1]]
    found: list[tuple[float, float]] = []
    for k, wide in enumerate(cells):
        first = last = k
        # Over some threads at once: which corners of two sections are joined makes each alone turn more or less. A flat
        # is no part of the bend beside it.
        while first > max(0, k - _WINDOW) and gaps[first] < _FLAT * min(cells[first - 1 : first + 1]):
            first -= 1
        while last < min(len(cells) - 1, k + _WINDOW) and gaps[last + 1] < _FLAT * min(
            cells[last : last + 2]
        ):
            last += 1
        turned = abs(math.fsum(angles[first : last + 1]))
        span = math.fsum(cells[first : last + 1])
        shares = [(row[last + 2] - row[first]) / (walked[last + 2] - walked[first]) for row in rows]
        if not angles[k] or span * min(shares) >= limit * turned - 1e-9:
            continue
        at = walked[k + 1]
        low, high = at - wide / 2, at + wide / 2
        # What is left beside an edge goes with the zone.
        low = walked[0] if low - walked[0] < _APART else low
        high = walked[-1] if walked[-1] - high < _APART else high
        if found and low - found[-1][1] < _APART:
            low = found.pop()[0]
        found.append((low, high))
    return tuple(zone for zone in found if zone[1] - zone[0] >= _LEAST)


def _walked(surface: Surface, row: int) -> list[float]:
    """How far along a row each thread is, mm."""
    found = [0.0]
    for a, b in pairwise(surface.flat):
        found.append(found[-1] + math.dist(a[row], b[row]))
    return found


def zone_outline(surface: Surface, zone: tuple[float, float]) -> Path:
    """The outline of a zone of a sheet in its drawing, canonical."""
    return sheet(part(surface, *zone)).outline


def shared(area: Path, openings: Sequence[Path]) -> tuple[Path, ...]:
    """The pieces of an area that lie in some closed paths, too: what must not be counted twice."""
    whole = _polygon(area)
    found = [whole.intersection(_polygon(path)) for path in openings]
    pieces = [piece for shape in found for piece in getattr(shape, "geoms", (shape,))]
    return tuple(
        canonical(closed([(float(x), float(y)) for x, y in piece.exterior.coords[:-1]]))
        for piece in pieces
        if piece.geom_type == "Polygon" and piece.area > 1e-6
    )


def _polygon(path: Path) -> "Polygon":
    from shapely import Polygon

    return Polygon(flattened(path, 0.01))
