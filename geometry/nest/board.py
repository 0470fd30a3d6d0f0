"""A sheet being filled.

A board is never altered: putting a piece on it makes another, so that any stage can be kept.
"""

from typing import TYPE_CHECKING, NamedTuple

from ringwright.geometry.nest.raster import Grid, bits, cells, split, whole
from ringwright.geometry.nest.shape import Pose
from ringwright.geometry.nest.slide import travel
from ringwright.geometry.numbers import rounded

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

_BLOCK = 48
"""Rows of positions that are tried at a time."""

_ROUNDS = 4
"""Times that a piece slides down and left."""

_PASSES = 6
"""Times that all pieces of a board are slid."""

_NEAR = 4.0
"""Cells that a slide looks ahead at a time."""


class Piece(NamedTuple):
    """A shape where it lies.

    key: whatever its owner knows it by. x, y: lower left corner of the pose's box, mm, in the grid's frame.
    top, right: the edges that it shows those ways, placed.
    """

    key: int
    pose: Pose
    x: float
    y: float
    top: "NDArray[np.float64]"
    right: "NDArray[np.float64]"


class Board(NamedTuple):
    """A sheet and what lies on it.

    free: the cells not taken, as one integer, bit row * columns + column. pieces: in the order placed.
    """

    grid: Grid
    free: int
    pieces: tuple[Piece, ...]

    @property
    def used(self) -> float:
        """Up to where something lies on it, mm; 0 where nothing does."""
        tops: list[float] = [piece.y + piece.pose.box.height for piece in self.pieces]
        return rounded(max(tops, default=0.0), 6)


def empty(on: Grid) -> Board:
    """A board with nothing on it."""
    return Board(on, (1 << on.columns * on.rows) - 1, ())


def find(board: Board, pose: Pose, start: int, highest: int) -> int | None:
    """The lowest, then leftmost cell at which a pose's lower left cell can lie, or None.

    start: a cell to begin at, none before it being looked at. highest: the last row that is looked at.

    All positions of a block of rows are tried at once: what is left of them is one integer, and each
    look-up strikes from it, in one operation on the whole, those at which a block of 2^doublings x
    2^stacked cells is not free.
    """
    stride = board.grid.columns
    box = pose.box
    across = stride - box.columns + 1
    highest = min(highest, board.grid.rows - box.rows)
    if across < 1:
        return None
    row = start // stride
    while row <= highest:
        count = min(_BLOCK, highest - row + 1)
        window = (board.free >> row * stride) & ((1 << (count + box.rows) * stride) - 1)
        tables = {(0, 0): window}
        # One row of allowed columns, repeated: a number of `count` digits, each `across` ones, to the base
        # 2^stride.
        found = ((1 << across) - 1) * (((1 << count * stride) - 1) // ((1 << stride) - 1))
        if start > row * stride:
            found = found >> (start - row * stride) << (start - row * stride)
        for up, column, doublings, stacked in pose.looks:
            found &= _table(tables, doublings, stacked, stride) >> (up * stride + column)
            if not found:
                break
        else:
            return row * stride + (found & -found).bit_length() - 1
        row += count
    return None


def _table(tables: dict[tuple[int, int], int], doublings: int, stacked: int, stride: int) -> int:
    """Cells from which 2^doublings columns to the right by 2^stacked rows upwards are free."""
    table = tables.get((doublings, stacked))
    if table is None:
        if stacked:
            half = _table(tables, doublings, stacked - 1, stride)
            table = half & half >> (stride << stacked - 1)
        else:
            half = _table(tables, doublings - 1, 0, stride)
            table = half & half >> (1 << doublings - 1)
        tables[doublings, stacked] = table
    return table


def put(board: Board, key: int, pose: Pose, cell: int) -> Board:
    """The board with a pose put down at a cell that `find` gave, slid down and left as far as it goes."""
    row, column = divmod(cell, board.grid.columns)
    x, y = _settle(board, pose, column * board.grid.cell_width, row * board.grid.cell_height)
    return lay(board, key, pose, x, y)


def lay(board: Board, key: int, pose: Pose, x: float, y: float) -> Board:
    """The board with a pose whose box has its lower left corner at (x, y), mm; nothing is checked.

    Of a piece that passes the edge of the board no cells are taken there.
    """
    on = board.grid
    column, across, columns = _span(x, pose.box.width, on.cell_width, on.columns)
    row, up, rows = _span(y, pose.box.height, on.cell_height, on.rows)
    taken = 0
    if columns > 0 and rows > 0:
        taken = bits(cells(pose.edges, across, up, columns, rows, on), on.columns)
        taken <<= row * on.columns + column
    return Board(on, board.free & ~taken, (*board.pieces, _piece(key, pose, x, y)))


def settled(board: Board, fixed: int) -> Board:
    """The board with its pieces slid down and left, the lowest first, as often as that moves one.

    fixed: key of pieces that stay. `free` is left as it is: nothing can be looked for on such a board.
    """
    pieces = sorted(board.pieces, key=lambda piece: (piece.y, piece.x))
    for _ in range(_PASSES):
        moved = False
        for number, piece in enumerate(pieces):
            if piece.key == fixed:
                continue
            rest = board._replace(pieces=(*pieces[:number], *pieces[number + 1 :]))
            x, y = _settle(rest, piece.pose, piece.x, piece.y)
            if (x, y) != (piece.x, piece.y):
                pieces[number] = _piece(piece.key, piece.pose, x, y)
                moved = True
        if not moved:
            break
    return board._replace(pieces=tuple(pieces))


def _piece(key: int, pose: Pose, x: float, y: float) -> Piece:
    """A pose laid with its box's lower left corner at (x, y)."""
    import numpy as np

    top = pose.faces.top + np.array(((x,), (x,), (y,), (y,)))
    right = pose.faces.right + np.array(((y,), (y,), (x,), (x,)))
    return Piece(key, pose, x, y, top, right)


def _span(place: float, length: float, cell: float, cells: int) -> tuple[int, float, int]:
    """Of a piece along an axis: its first cell, how far into that it begins, mm, and how many it may touch."""
    first, into = split(place, cell)
    if first < 0:
        first, into = 0, place
    return first, into, min(whole((length + into) / cell), cells - first)


def _settle(board: Board, pose: Pose, x: float, y: float) -> tuple[float, float]:
    """Where a pose at (x, y) comes to rest when it slides down and left by turns."""
    for _ in range(_ROUNDS):
        down = _slide(board, pose, x, y, downwards=True)
        y -= down
        left = _slide(board, pose, x, y, downwards=False)
        x -= left
        if down == left == 0.0:
            break
    return x, y


def _slide(board: Board, pose: Pose, x: float, y: float, downwards: bool) -> float:
    """How far a pose at (x, y) can go one way, mm."""
    import numpy as np

    box = pose.box
    at, base, breadth, depth = (x, y, box.width, box.height) if downwards else (y, x, box.height, box.width)
    own = pose.faces.bottom if downwards else pose.faces.left
    ahead = _NEAR * (board.grid.cell_height if downwards else board.grid.cell_width)
    gone = 0.0
    while gone < base:
        here = base - gone
        reach = min(ahead, here)
        facing = []
        for piece in board.pieces:
            other = piece.pose.box
            if downwards:
                start, end, low, high = piece.x, piece.x + other.width, piece.y, piece.y + other.height
            else:
                start, end, low, high = piece.y, piece.y + other.height, piece.x, piece.x + other.width
            if start < at + breadth and end > at and low < here + depth and high > here - reach:
                facing.append(piece.top if downwards else piece.right)
        step = travel(own, np.concatenate(facing, axis=1), at, here, reach) if facing else reach
        gone = base if step == here else gone + step
        if step < reach:
            break
    return gone
