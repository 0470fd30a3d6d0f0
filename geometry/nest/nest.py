"""Parts to sheets: largest first, each on the first sheet that takes it, where its top comes out lowest.

Every decision is by place, size and name, so that neither the order in
which parts are given nor the machine has a say. A run of pieces over boards, `fill`, is all there is to it;
a search for a better layout is many such runs with other orders.
"""

from collections.abc import Iterable, Sequence
from typing import NamedTuple

from ringwright.geometry.nest.board import Board, empty, find, put
from ringwright.geometry.nest.fits import fits
from ringwright.geometry.nest.raster import Grid, grid
from ringwright.geometry.nest.shape import Box, Grown, Pose, box, grow, posed
from ringwright.geometry.nest.turns import allowed, room
from ringwright.geometry.numbers import rounded, total
from ringwright.geometry.part import Cutting, Part, Placed, Sheet, Stock
from ringwright.geometry.path import Path, signed_area

_CELL = 2.0
"""mm: with exact sliding as good as 1 mm, at a third of the time."""

_CELLS = 400_000
"""Most cells of a sheet; beyond them they grow."""


class Shape:
    """What identical parts share: the ways they may lie, each drawn when it is first asked for.

    ways: their boxes, the lowest first. Of most ways the box alone says that another keeps lower on the sheet.
    """

    def __init__(self, outline: Path, grown: Grown, turns: Iterable[float], clear: float, on: Grid) -> None:
        boxes = [box(outline, turn, clear, on) for turn in turns]
        self.ways = tuple(sorted(boxes, key=lambda box: (box.rows, box.turn)))
        self._grown = grown
        self._on = on
        self._poses: dict[tuple[object, ...], Pose] = {}
        self._drawn: dict[float, Pose | None] = {}

    def pose(self, way: Box) -> Pose | None:
        """The shape drawn in one of its ways; None where it has the box and the cells of one drawn before."""
        if way.turn not in self._drawn:
            pose = posed(self._grown, way, self._on)
            alike = (rounded(way.width, 6), rounded(way.height, 6), pose.looks)
            self._drawn[way.turn] = pose if self._poses.setdefault(alike, pose) is pose else None
        return self._drawn[way.turn]


class Item(NamedTuple):
    """One copy of a part, with its shape; copies count from 1."""

    part: Part
    copy: int
    shape: Shape


class Bench(NamedTuple):
    """One stock made ready: the cells of its sheet, and every piece to be cut from it, largest first.

    clear: mm that the grid's frame stands off the room inside the margins, all round.
    """

    stock: Stock
    grid: Grid
    clear: float
    items: tuple[Item, ...]


def nest(parts: Sequence[Part], cutting: Cutting) -> tuple[Sheet, ...]:
    """The sheets from which the parts are cut, by name of the stock; each copy of each part lies on one.

    Gap and margin are kept, the grain too where stock and part have one; a part may lie in another's hole.
    Raises GeometryError 'part-too-big' for the first part, by id, that fits no sheet of its stock.
    """
    parts = sorted(parts, key=lambda part: part.id)
    for part in parts:
        error = fits(part, cutting)
        if error is not None:
            raise error
    stocks = dict.fromkeys(part.stock for part in parts if part.quantity > 0)
    sheets: list[Sheet] = []
    for stock in sorted(
        stocks, key=lambda stock: (stock.name, stock.thickness, stock.width, stock.height, stock.grain)
    ):
        bench = prepare(stock, [part for part in parts if part.stock == stock], cutting)
        boards = fill(bench.grid, [item.shape for item in bench.items])
        sheets.extend(
            _sheet(bench, board, index, cutting.margin) for index, board in enumerate(boards, start=1)
        )
    return tuple(sheets)


def prepare(stock: Stock, parts: Iterable[Part], cutting: Cutting) -> Bench:
    """The parts of one stock, all of which fit it, made ready for `fill`, by area with holes filled."""
    ways = {part.id: (part.outline, part.holes, allowed(part, cutting)) for part in parts}
    grown = {way: grow(way[0], way[1], cutting.gap) for way in dict.fromkeys(ways.values())}
    clear = max(shape.by for shape in grown.values())
    width, height = room(stock, cutting)
    on = grid(width + 2.0 * clear, height + 2.0 * clear, _CELL, _CELLS)
    shapes = {
        way: Shape(outline=way[0], grown=shape, turns=way[2], clear=clear, on=on)
        for way, shape in grown.items()
    }
    largest = sorted(parts, key=lambda part: (-rounded(abs(signed_area(part.outline)), 6), part.id))
    items = [
        Item(part, copy, shapes[ways[part.id]]) for part in largest for copy in range(1, part.quantity + 1)
    ]
    return Bench(stock, on, clear, tuple(items))


def fill(on: Grid, shapes: Sequence[Shape]) -> tuple[Board, ...]:
    """Shapes laid on boards in the order given; a piece's key is its shape's place in that order.

    Each lies on the first board that takes it, in the pose whose top comes out lowest, then leftmost. As
    boards only fill up, each shape goes on looking where it was found before.
    """
    boards: list[Board] = []
    first: dict[Shape, int] = {}
    reached: dict[tuple[Shape, int, float], int] = {}
    for key, shape in enumerate(shapes):
        index = first.get(shape, 0)
        while True:
            if index == len(boards):
                boards.append(empty(on))
            found = _lowest(boards[index], shape, index, reached)
            if found is not None:
                break
            index += 1
        boards[index] = put(boards[index], key, *found)
        first[shape] = index
    return tuple(boards)


def _lowest(
    board: Board, shape: Shape, index: int, reached: dict[tuple[Shape, int, float], int]
) -> tuple[Pose, int] | None:
    """The pose in which a shape comes to lie lowest on a board, and its cell; None where it fits in none.

    reached: cells before which a pose is known not to fit, by shape, board's index and turn; kept up here.
    """
    best: tuple[tuple[int, int, float], Pose, int] | None = None
    for way in shape.ways:
        name = (shape, index, way.turn)
        start = reached.get(name, 0)
        row, column = divmod(start, board.grid.columns)
        if best is not None and (row + way.rows, column, way.turn) >= best[0]:
            continue
        pose = shape.pose(way)
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


def _sheet(bench: Bench, board: Board, index: int, margin: float) -> Sheet:
    """A filled board as a sheet."""
    placed, areas = [], []
    for piece in board.pieces:
        item = bench.items[piece.key]
        box = piece.pose.box
        x, y = (rounded(margin - bench.clear + at, 6) for at in (piece.x + box.x, piece.y + box.y))
        placed.append(Placed(item.part.id, item.copy, x, y, box.turn))
        areas.append(
            abs(signed_area(item.part.outline)) - total(abs(signed_area(hole)) for hole in item.part.holes)
        )
    return Sheet(bench.stock, index, tuple(placed), total(areas) / (bench.stock.width * bench.stock.height))
