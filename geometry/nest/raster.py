"""Which cells of a grid a shape touches.

Never too few are claimed, so what does not collide on cells does not collide at all.
"""

from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

_TOUCH = 1e-7
"""Fraction of a cell by which an edge may pass a cell line without claiming the cell behind it."""


class Grid(NamedTuple):
    """A sheet in cells that divide it evenly, so that what just fits the sheet just fits the grid.

    width, height: mm; columns, rows: of cells; cell_width, cell_height: mm.
    """

    width: float
    height: float
    columns: int
    rows: int
    cell_width: float
    cell_height: float


def grid(width: float, height: float, cell: float, most: int) -> Grid:
    """Cells of about `cell` mm, larger where there would be more than `most` of them."""
    side = max(cell, (width * height / most) ** 0.5)
    columns, rows = max(1, round(width / side)), max(1, round(height / side))
    return Grid(width, height, columns, rows, width / columns, height / rows)


def whole(length: float) -> int:
    """The number of cells that a length, in cells, needs."""
    return -int(-(length - _TOUCH) // 1)


def split(place: float, cell: float) -> tuple[int, float]:
    """The cell in which a place, mm, lies, and how far into it, mm."""
    index = int((place / cell + _TOUCH) // 1)
    return index, place - index * cell


def cells(
    edges: "NDArray[np.float64]", across: float, up: float, columns: int, rows: int, on: Grid
) -> "NDArray[np.bool_]":
    """The cells that the inside of a shape touches, rows x columns, bottom row first.

    edges: 4 x n, x0, y0, x1, y1 of each edge of its rings, mm; they are moved by (across, up) first. Cells
    beyond columns and rows are left out.
    """
    import numpy as np

    x, y = (edges[0::2] + across) / on.cell_width, (edges[1::2] + up) / on.cell_height
    upward = y[0] <= y[1]
    xa, xb = np.where(upward, x[0], x[1]), np.where(upward, x[1], x[0])
    ya, yb = np.where(upward, y[0], y[1]), np.where(upward, y[1], y[0])
    level = yb - ya < 1e-9
    slope = np.where(level, 0.0, (xb - xa) / np.where(level, 1.0, yb - ya))
    left, right = np.minimum(xa, xb), np.maximum(xa, xb)

    # Each edge marks, row by row, the cells between where it comes into the row and where it leaves it; a
    # level edge has no slope to divide by and marks its whole length.
    edge, row = _rows(np.floor(ya + _TOUCH), np.ceil(yb - _TOUCH), rows)
    start, run = ya[edge], slope[edge]
    one = xa[edge] + (np.maximum(row, start) - start) * run
    other = xa[edge] + (np.minimum(row + 1, yb[edge]) - start) * run
    flat = level[edge]
    low = np.where(flat, left[edge], np.maximum(np.minimum(one, other), left[edge]))
    high = np.where(flat, right[edge], np.minimum(np.maximum(one, other), right[edge]))
    first = _within(np.floor(low + _TOUCH), columns)
    last = _within(np.ceil(high - _TOUCH), columns)
    stride = columns + 1
    size = rows * stride
    marks = np.bincount(row * stride + first, minlength=size) - np.bincount(
        row * stride + last, minlength=size
    )

    # A cell that no edge crosses is inside where an odd number of edges lies left of it.
    edge, row = _rows(np.ceil(ya - 0.5), np.ceil(yb - 0.5), rows)
    crossing = xa[edge] + (row + 0.5 - ya[edge]) * slope[edge]
    toggle = _within(np.ceil(crossing - 0.5), columns)
    toggles = np.bincount(row * stride + toggle, minlength=size)

    touched = marks.reshape(rows, stride).cumsum(axis=1) > 0
    inside = toggles.reshape(rows, stride).cumsum(axis=1) & 1 == 1
    taken: NDArray[np.bool_] = (touched | inside)[:, :columns]
    return taken


def _within(index: "NDArray[np.float64]", most: int) -> "NDArray[np.int64]":
    """Whole numbers kept between 0 and most."""
    import numpy as np

    return np.minimum(np.maximum(index, 0), most).astype(np.int64)


def _rows(
    first: "NDArray[np.float64]", last: "NDArray[np.float64]", rows: int
) -> "tuple[NDArray[np.int64], NDArray[np.int64]]":
    """Every pair of an edge and a row from its first to before its last, as two arrays: edge, row."""
    import numpy as np

    bottom = _within(first, rows)
    count = np.maximum(_within(last, rows) - bottom, 0)
    edge = np.repeat(np.arange(len(count)), count)
    before = np.cumsum(count) - count
    return edge, np.arange(len(edge)) - before[edge] + bottom[edge]


def bits(taken: "NDArray[np.bool_]", stride: int) -> int:
    """Cells as one integer, bit row * stride + column; stride >= columns."""
    import numpy as np

    rows, columns = taken.shape
    wide = np.zeros((rows, stride), dtype=bool)
    wide[:, :columns] = taken
    return int.from_bytes(np.packbits(wide, axis=None, bitorder="little").tobytes(), "little")


def runs(taken: "NDArray[np.bool_]") -> list[tuple[int, int, int]]:
    """The cells as horizontal runs: row, first column, length."""
    import numpy as np

    rows, columns = taken.shape
    padded = np.zeros((rows, columns + 2), dtype=np.int8)
    padded[:, 1:-1] = taken
    change = np.diff(padded, axis=1).ravel()
    starts, ends = np.flatnonzero(change == 1), np.flatnonzero(change == -1)
    stride = columns + 1
    return list(
        zip((starts // stride).tolist(), (starts % stride).tolist(), (ends - starts).tolist(), strict=True)
    )
