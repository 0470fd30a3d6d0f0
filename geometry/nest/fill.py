"""Pieces on boards one after the other, each on the first that takes it, where its top comes out lowest."""

from collections.abc import Sequence
from itertools import accumulate

from ringwright.geometry.nest.board import Board, find, put
from ringwright.geometry.nest.ready import Bench, Group, Item, Shape
from ringwright.geometry.nest.shape import Pose


class Apart(Exception):
    """A group whose pieces found no room together."""

    def __init__(self, group: Group) -> None:
        super().__init__(group.items[0].part.together)
        self.group = group


def fill(bench: Bench, order: Sequence[int] | None = None) -> tuple[Board, ...]:
    """The pieces of a bench laid in its order; a piece's key is its place in that order.

    order: places of the groups in another order in which they are laid.

    Boards are the bench's beds, then whole sheets. Each piece lies on the first board that takes it, in the
    pose whose top comes out lowest, then leftmost. As boards only fill up, each shape goes on looking where
    it was found before. Raises Apart.
    """
    boards = [bed.board for bed in bench.beds] or [bench.whole.board]
    first: dict[Shape, int] = {}
    reached: dict[tuple[Shape, int, float], int] = {}
    keys = list(accumulate((len(group.items) for group in bench.groups), initial=0))
    for place in range(len(bench.groups)) if order is None else order:
        group, key = bench.groups[place], keys[place]
        # The first board that takes the largest piece of a group is no more than where to begin.
        index = first.get(group.items[0].shape, 0) if group.home is None else group.home
        while (board := _laid(boards[index], group.items, key, index, reached)) is None:
            if group.home is not None or (index >= len(bench.beds) and not boards[index].pieces):
                raise Apart(group)
            index += 1
            if index == len(boards):
                boards.append(bench.whole.board)
        boards[index] = board
        if len(group.items) == 1:
            first[group.items[0].shape] = index
    return tuple(boards)


def _laid(
    board: Board,
    items: Sequence[Item],
    key: int,
    index: int,
    reached: dict[tuple[Shape, int, float], int],
) -> Board | None:
    """A board with all pieces of a group put on it, None where one of them does not fit."""
    # What a group finds before it fails holds only where its first pieces lie.
    reached = reached if len(items) == 1 else {}
    for offset, item in enumerate(items):
        found = _lowest(board, item.shape, index, reached)
        if found is None:
            return None
        board = put(board, key + offset, *found)
    return board


def _lowest(
    board: Board, shape: Shape, index: int, reached: dict[tuple[Shape, int, float], int]
) -> tuple[Pose, int] | None:
    """The pose in which a shape comes to lie lowest on a board, and its cell; None where it fits in none.

    reached: cells before which a pose is known not to fit, by shape, board's index and turn; kept up here.
    """
    best: tuple[tuple[int, int, float], Pose, int] | None = None
    for way in shape.ways(board.grid):
        name = (shape, index, way.turn)
        start = reached.get(name, 0)
        row, column = divmod(start, board.grid.columns)
        if best is not None and (row + way.rows, column, way.turn) >= best[0]:
            continue
        pose = shape.pose(way, board.grid)
        if pose is None:
            continue
        highest = board.grid.rows if best is None else best[0][0] - way.rows
        cell = find(board, pose, start, highest)
        if cell is None:
            continue
        reached[name] = cell
        row, column = divmod(cell, board.grid.columns)
        place = (row + way.rows, column, way.turn)
        if best is None or place < best[0]:
            best = (place, pose, cell)
    return None if best is None else best[1:]
