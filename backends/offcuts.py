"""What is left over of a sheet in pieces large enough to keep: the largest rectangles, one after another."""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import lru_cache
from typing import TYPE_CHECKING

from ringwright.backends.drawing import Rectangle, rectangle
from ringwright.backends.room import segments
from ringwright.geometry.nest.rectangle import largest
from ringwright.geometry.numbers import same
from ringwright.geometry.part import Sheet
from ringwright.geometry.path import Path, flattened, moved, signed_area, turned

if TYPE_CHECKING:
    from ringwright.backends.record import BuildRecord

CELL = 10.0
"""Rectangles are looked for in steps of this, mm."""
LEAST_SIDE, LEAST_AREA = 80.0, 20_000.0
"""What is smaller goes into the bin, mm and mm2: common practice, no published source."""
MOST = 3


def left_over(record: BuildRecord, sheet: Sheet) -> tuple[Rectangle, ...]:
    """The rectangles of a sheet that are worth keeping once its parts are cut, largest first."""
    parts = {part.id: part.outline for part in record.parts}
    outlines = tuple(
        moved(turned(parts[placed.part], math.radians(placed.rotation)), (placed.x, placed.y))
        for placed in sheet.placements
    )
    return _left_over(sheet.size, outlines, edges(sheet), max(record.cutting.gap, record.cutting.margin))


@lru_cache(maxsize=64)
def _left_over(
    size: tuple[float, float], outlines: tuple[Path, ...], beyond: tuple[Path, ...], gap: float
) -> tuple[Rectangle, ...]:
    return tuple(offcuts(*size, outlines, gap, beyond))


def edges(sheet: Sheet) -> tuple[Path, ...]:
    """Lines about what there is no sheet of: none for a whole one, else its box, the offcut's outline, and its damage.

    A rectangle without damage has none, too.
    """
    if sheet.offcut is None:
        return ()
    width, height = sheet.size
    whole = same(abs(signed_area(sheet.offcut.outline)), width * height, 0.01)
    if whole and not sheet.offcut.holes:
        return ()
    box = rectangle(0.0, 0.0, width, height)
    return (box, box if whole else sheet.offcut.outline, *sheet.offcut.holes)


def offcuts(
    width: float, height: float, outlines: Sequence[Path], gap: float, beyond: Sequence[Path] = ()
) -> list[Rectangle]:
    """(left, low, right, high) of the rectangles of a sheet that are worth keeping, largest first.

    outlines: of the parts; what falls out of their openings is no offcut. gap: that is kept about them, mm. beyond: the
    sheet's `edges`, where it is an offcut itself.
    """
    columns, rows = math.floor(width / CELL), math.floor(height / CELL)
    free = _free(columns, rows, [*outlines, *beyond[2:]], gap)
    if beyond:
        _strike(free, beyond[1])
    found: list[Rectangle] = []
    while len(found) < MOST and sum(map(sum, free)) * CELL * CELL >= LEAST_AREA:
        left, low, right, high = largest(free)
        wide, tall = (right - left) * CELL, (high - low) * CELL
        if min(wide, tall) < LEAST_SIDE or wide * tall < LEAST_AREA:
            break
        found.append((left * CELL, low * CELL, right * CELL, high * CELL))
        for row in range(low, high):
            free[row][left:right] = [False] * (right - left)
    return found


def _free(columns: int, rows: int, outlines: list[Path], gap: float) -> list[list[bool]]:
    """Which cells of a sheet no part comes near: by the spans that each outline covers in the cell's row."""
    import numpy as np

    free = np.ones((rows, columns), dtype=bool)
    for outline in outlines:
        x0, y0, x1, y1 = segments([outline]).T
        first = max(0, math.floor((min(y0) - gap) / CELL))
        last = min(rows, math.floor((max(y0) + gap) / CELL) + 1)
        low = np.arange(first, last)[:, None] * CELL - gap
        high = low + CELL + 2 * gap
        # The part of each piece that lies within each row, as shares of its length: (rows, pieces).
        flat = y1 == y0
        rise = np.where(flat, 1.0, y1 - y0)
        start, end = (low - y0) / rise, (high - y0) / rise
        enter = np.where(flat, 0.0, np.clip(np.minimum(start, end), 0.0, 1.0))
        leave = np.where(flat, 1.0, np.clip(np.maximum(start, end), 0.0, 1.0))
        within = (np.minimum(y0, y1) <= high) & (np.maximum(y0, y1) >= low)
        one, two = x0 + enter * (x1 - x0), x0 + leave * (x1 - x0)
        left = np.where(within, np.minimum(one, two), np.inf).min(axis=1)
        right = np.where(within, np.maximum(one, two), -np.inf).max(axis=1)
        for row, (from_x, to_x) in enumerate(zip(left.tolist(), right.tolist(), strict=True), first):
            if from_x <= to_x:
                free[row, max(0, math.floor((from_x - gap) / CELL)) : math.floor((to_x + gap) / CELL) + 1] = (
                    False
                )
    found: list[list[bool]] = free.tolist()
    return found


def _strike(free: list[list[bool]], outline: Path) -> None:
    """Take away the cells that do not lie within an outline as a whole."""
    import shapely

    board = shapely.Polygon(flattened(outline, 0.05))
    shapely.prepare(board)
    for row, cells in enumerate(free):
        for column, is_free in enumerate(cells):
            if is_free:
                x, y = column * CELL, row * CELL
                cells[column] = bool(board.covers(shapely.box(x, y, x + CELL, y + CELL)))
