"""What is left over of a sheet in pieces large enough to keep: the largest rectangles, one after another."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from ringwright.backends.room import segments
from ringwright.geometry.path import Path

if TYPE_CHECKING:
    from ringwright.backends.drawing import Rectangle

CELL = 10.0
"""Rectangles are looked for in steps of this, mm."""
LEAST_SIDE, LEAST_AREA = 80.0, 20_000.0
"""What is smaller goes into the bin, mm and mm2: common practice, no published source."""
MOST = 3


def offcuts(width: float, height: float, outlines: list[Path], gap: float) -> list[Rectangle]:
    """(left, low, right, high) of the rectangles of a sheet that are worth keeping, largest first.

    outlines: of the parts; what falls out of their openings is no offcut. gap: that is kept about them, mm.
    """
    columns, rows = math.floor(width / CELL), math.floor(height / CELL)
    free = _free(columns, rows, outlines, gap)
    found: list[Rectangle] = []
    while len(found) < MOST and sum(map(sum, free)) * CELL * CELL >= LEAST_AREA:
        left, low, right, high = _largest(free)
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


def _largest(free: list[list[bool]]) -> tuple[int, int, int, int]:
    """The largest rectangle of free cells (left, low, right, high), by a stack of rising heights along each row."""
    best, area = (0, 0, 0, 0), 0
    heights = [0] * (len(free[0]) if free else 0)
    for row, cells in enumerate(free):
        heights = [height + 1 if cell else 0 for height, cell in zip(heights, cells, strict=True)]
        stack: list[tuple[int, int]] = []
        last = 0
        for column, height in enumerate([*heights, 0]):
            if height == last:
                continue
            start, last = column, height
            while stack and stack[-1][1] >= height:
                start, tall = stack.pop()
                if tall * (column - start) > area:
                    area = tall * (column - start)
                    best = (start, row + 1 - tall, column, row + 1)
            stack.append((start, height))
    return best
