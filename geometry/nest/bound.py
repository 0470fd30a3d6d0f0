"""How many sheets no layout can do with less than: so that one knows when to stop looking for a better one.

Two bounds, both of layouts that keep gap and margin and turn parts by quarters. By area: parts grown by half the gap do
not overlap, and lie within the margins grown as much. By the largest parts: two of which each holds a rectangle, such
that those find no room beside or above one another, are never on one sheet.
"""

import math
from collections.abc import Iterable, Iterator, Sequence
from typing import NamedTuple

from ringwright.geometry.nest.rectangle import largest
from ringwright.geometry.nest.turns import QUARTERS, allowed, room
from ringwright.geometry.numbers import total
from ringwright.geometry.part import Cutting, Offcut, Part, Stock
from ringwright.geometry.path import bounds, flattened

_CHORD = 0.01
"""mm by which chords may leave arcs: what they take away is less than a bound may be wrong by."""

_SPARE = 1e-6
"""Share of a sheet that rounding may make up."""

_CELLS = 48
"""Cells along the longer side of a part in which a rectangle is looked for."""


class Bound(NamedTuple):
    """sheets: the least number of whole ones. by: 'area' or 'large parts', whichever asks for more."""

    sheets: int
    by: str


def least_sheets(
    stock: Stock, parts: Iterable[Part], cutting: Cutting, offcuts: Sequence[Offcut] = ()
) -> Bound:
    """The least number of whole sheets on which the parts of a stock could lie, whatever lies on its offcuts."""
    parts = [part for part in parts if part.stock == stock]
    area = _by_area(stock, parts, cutting, offcuts)
    large = _by_size(stock, parts, cutting, offcuts)
    return Bound(large, "large parts") if large > area else Bound(area, "area")


def _by_area(stock: Stock, parts: Sequence[Part], cutting: Cutting, offcuts: Sequence[Offcut]) -> int:
    import shapely

    half = cutting.gap / 2.0

    def grown(shape: Part | Offcut, by: float) -> float:
        polygon = shapely.Polygon(
            flattened(shape.outline, _CHORD), [flattened(hole, _CHORD) for hole in shape.holes]
        )
        return float(shapely.make_valid(polygon).buffer(by).area)

    needed = total(part.quantity * grown(part, half) for part in parts)
    spare = total(grown(offcut, half - cutting.margin) * 1.01 for offcut in offcuts)
    width, height = room(stock, cutting)
    sheet = (width + cutting.gap) * (height + cutting.gap)
    return max(0, math.ceil((needed - spare) / sheet - _SPARE))


class _Large(NamedTuple):
    """A part, and the sizes of a rectangle within it, mm, in the turns in which the part fits a sheet."""

    part: Part
    sizes: tuple[tuple[float, float], ...]


def _by_size(stock: Stock, parts: Sequence[Part], cutting: Cutting, offcuts: Sequence[Offcut]) -> int:
    """The number of parts of which no two lie on one sheet: as many as are found, the largest first.

    Every offcut that could hold one of them may save a sheet.
    """
    within = room(stock, cutting)
    chosen: list[_Large] = []
    for large in sorted(_large_ones(parts, within, cutting), key=lambda one: (_area(one), one.part.id)):
        for _ in range(large.part.quantity):
            if not all(_apart(large, other, within, cutting.gap) for other in chosen):
                break
            chosen.append(large)
    boxes = [bounds(offcut.outline) for offcut in offcuts]
    rooms = [(x1 - x0 - 2.0 * cutting.margin, y1 - y0 - 2.0 * cutting.margin) for x0, y0, x1, y1 in boxes]
    helpful = sum(1 for width, height in rooms if any(_fits(large, width, height) for large in chosen))
    return max(0, len(chosen) - helpful)


def _large_ones(parts: Iterable[Part], within: tuple[float, float], cutting: Cutting) -> Iterator[_Large]:
    """Those parts of which two might not go on one sheet; none that lies aslant on it."""
    for part in parts:
        x0, y0, x1, y1 = bounds(part.outline)
        if (x1 - x0) * (y1 - y0) * 4.0 > within[0] * within[1]:
            turns = allowed(part, cutting)
            if turns and set(turns) <= set(QUARTERS):
                size = _within(part)
                yield _Large(part, tuple({size if turn in (0.0, 180.0) else size[::-1]: 0 for turn in turns}))


def _area(large: _Large) -> float:
    wide, high = large.sizes[0]
    return -wide * high


def _apart(one: _Large, other: _Large, within: tuple[float, float], gap: float) -> bool:
    """Whether two parts lie together on no sheet, for the rectangles in them do not."""
    return all(
        wide + gap + other_wide > within[0] + _SPARE and high + gap + other_high > within[1] + _SPARE
        for wide, high in one.sizes
        for other_wide, other_high in other.sizes
    )


def _fits(large: _Large, width: float, height: float) -> bool:
    return any(wide <= width + _SPARE and high <= height + _SPARE for wide, high in large.sizes)


def _within(part: Part) -> tuple[float, float]:
    """Width and height, mm, of a large rectangle that lies within a part."""
    import numpy as np
    import shapely

    x0, y0, x1, y1 = bounds(part.outline)
    # What a plate is shrunk by below shall not cost it a row of cells.
    x0, y0, x1, y1 = x0 + 3.0 * _CHORD, y0 + 3.0 * _CHORD, x1 - 3.0 * _CHORD, y1 - 3.0 * _CHORD
    # Chords of a hole run within it: what is cut out is made a little larger, so that nothing of it is missed.
    holes = [shapely.Polygon(flattened(hole, _CHORD)).buffer(2.0 * _CHORD) for hole in part.holes]
    solid = shapely.Polygon(flattened(part.outline, _CHORD)).buffer(-2.0 * _CHORD)
    solid = solid.difference(shapely.union_all(holes))
    shapely.prepare(solid)
    cell = max(x1 - x0, y1 - y0) / _CELLS
    columns, rows = (max(1, math.floor(side / cell)) for side in (x1 - x0, y1 - y0))
    left = x0 + (x1 - x0 - columns * cell) / 2.0 + cell * np.arange(columns)
    low = y0 + (y1 - y0 - rows * cell) / 2.0 + cell * np.arange(rows)
    boxes = shapely.box(left[None, :], low[:, None], left[None, :] + cell, low[:, None] + cell)
    free: list[list[bool]] = shapely.covers(solid, boxes).tolist()
    found = largest(free)
    return (found[2] - found[0]) * cell, (found[3] - found[1]) * cell
