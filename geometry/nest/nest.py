"""Parts to sheets: largest first, each on the first sheet that takes it, where its top comes out lowest.

Every decision is by place, size and name, so that neither the order in
which parts are given nor the machine has a say. A run of pieces over boards, `fill`, is all there is to it;
a search for a better layout is many such runs with other orders.
"""

from collections.abc import Callable, Mapping, Sequence
from typing import Literal, NamedTuple, TypeAlias

from ringwright.geometry.errors import GeometryError
from ringwright.geometry.nest.bed import FIXED, Bed
from ringwright.geometry.nest.board import Board, Piece, find, put
from ringwright.geometry.nest.fits import fits
from ringwright.geometry.nest.ready import Bench, Group, Item, Shape, prepare
from ringwright.geometry.nest.shape import Pose
from ringwright.geometry.numbers import rounded, short, total
from ringwright.geometry.part import Cutting, Offcut, Part, Placed, Sheet, Stock
from ringwright.geometry.path import signed_area

Effort: TypeAlias = Literal["quick", "normal", "thorough"]


class Progress(NamedTuple):
    """How far the search for a better layout is, in steps that are counted, not timed.

    sheets: of the best layout so far; height: up to which its last sheet is used, mm. stopped: the search was
    interrupted, and the best so far is what comes back.
    """

    stock: str
    step: int
    steps: int
    sheets: int
    height: float
    stopped: bool = False


def nest(
    parts: Sequence[Part],
    cutting: Cutting,
    effort: Effort = "quick",
    offcuts: Mapping[Stock, Sequence[Offcut]] | None = None,
    kept: Sequence[Sheet] = (),
    progress: Callable[[Progress], None] | None = None,
) -> tuple[Sheet, ...]:
    """The sheets from which the parts are cut, by name of the stock; each copy of each part lies on one.

    Gap and margin are kept, the grain too where stock and part have one; a part may lie in another's hole.
    Parts of one `together` lie on one sheet. effort: 'quick' is one run; the others search for a better
    layout, by a count of moves. offcuts: are filled before whole sheets are, in the order given. kept: sheets
    or offcuts whose placements stay as they are, to the last bit, under their index; what is new goes onto
    them where there is room, in order of index, then onto sheets of the lowest index that is not taken. Kept
    copies that nobody asks for are dropped; whether what is kept is sound, `verify` says. progress: told of
    each step of the search. KeyboardInterrupt ends the search, not the run: the best layout so far is given.

    The sheets are sorted by stock, offcuts before whole sheets; those on which nothing lies are left out.
    Raises GeometryError 'part-too-big' for the first part, by id, that fits no sheet of its stock, 'no-size'
    for a gap or margin below zero, 'crosses-itself' for an offcut, 'together-too-big' for a group for which
    one sheet does not do.
    """
    if not (cutting.gap >= 0.0 and cutting.margin >= 0.0):
        raise GeometryError(
            "no-size",
            f"a gap of {short(cutting.gap, 3)} mm and a margin of {short(cutting.margin, 3)} mm: "
            "neither may be below zero",
        )
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
        sheets += _of_stock(
            stock,
            [part for part in parts if part.stock == stock],
            cutting,
            (offcuts or {}).get(stock, ()),
            [sheet for sheet in kept if sheet.stock == stock],
        )
    return tuple(sheets)


class Apart(Exception):
    """A group whose pieces found no room together."""

    def __init__(self, group: Group) -> None:
        super().__init__(group.items[0].part.together)
        self.group = group


def _of_stock(
    stock: Stock,
    parts: Sequence[Part],
    cutting: Cutting,
    offcuts: Sequence[Offcut],
    kept: Sequence[Sheet],
) -> list[Sheet]:
    """The sheets of one stock."""
    areas = {part.id: area_of(part) for part in parts}
    while True:
        bench = prepare(stock, parts, cutting, offcuts, kept)
        try:
            return _sheets(bench, fill(bench), areas)
        except Apart as apart:
            together = {part.id for part in parts if part.together == str(apart)}
            if apart.group.home is None:
                raise GeometryError(
                    "together-too-big",
                    f"{', '.join(sorted(together))} are to stay together, and no way was found to lay them "
                    f"on one sheet of {stock.name}: let some of them go apart, or take a larger sheet",
                ) from None
            # Where the rest of a group lies is no room for what is new of it: all of it looks for another place.
            kept = [
                sheet._replace(
                    placements=tuple(placed for placed in sheet.placements if placed.part not in together)
                )
                for sheet in kept
            ]


def fill(bench: Bench) -> tuple[Board, ...]:
    """The pieces of a bench laid in its order; a piece's key is its place in that order.

    Boards are the bench's beds, then whole sheets. Each piece lies on the first board that takes it, in the
    pose whose top comes out lowest, then leftmost. As boards only fill up, each shape goes on looking where
    it was found before. Raises Apart.
    """
    boards = [bed.board for bed in bench.beds] or [bench.whole.board]
    first: dict[Shape, int] = {}
    reached: dict[tuple[Shape, int, float], int] = {}
    key = 0
    for group in bench.groups:
        # The first board that takes the largest piece of a group is no more than where to begin.
        index = first.get(group.items[0].shape, 0) if group.home is None else group.home
        while (board := _laid(boards[index], group.items, key, index, reached)) is None:
            if group.home is not None or (index >= len(bench.beds) and not boards[index].pieces):
                raise Apart(group)
            index += 1
            if index == len(boards):
                boards.append(bench.whole.board)
        boards[index] = board
        key += len(group.items)
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


def _sheets(bench: Bench, boards: Sequence[Board], areas: Mapping[str, float]) -> list[Sheet]:
    """Filled boards as sheets, offcuts first. areas: of the parts, mm2, by id."""
    items = [item for group in bench.groups for item in group.items]
    taken = {bed.index for bed in bench.beds}
    sheets = []
    for number, board in enumerate(boards):
        bed = bench.beds[number] if number < len(bench.beds) else bench.whole
        new = [_placed(bed, items[piece.key], piece) for piece in board.pieces if piece.key != FIXED]
        # By name, not as they were laid: a sheet is drawn alike whether its pieces were laid now or were kept.
        placements = tuple(sorted((*bed.kept, *new)))
        if not placements:
            continue
        index = bed.index
        if bed.offcut is None and index == 0:
            index = next(free for free in range(1, len(boards) + 1) if free not in taken)
            taken.add(index)
        cut = total(areas[placed.part] for placed in placements)
        whole = bench.stock.width * bench.stock.height if bed.offcut is None else area_of(bed.offcut)
        sheets.append(Sheet(bench.stock, index, placements, cut / whole, bed.offcut))
    return sorted(sheets, key=lambda sheet: sheet.index)


def area_of(shape: Part | Offcut) -> float:
    """Area inside an outline, without its holes, mm2."""
    return abs(signed_area(shape.outline)) - total(abs(signed_area(hole)) for hole in shape.holes)


def _placed(bed: Bed, item: Item, piece: Piece) -> Placed:
    """Where a piece of a board lies on its sheet."""
    way = piece.pose.box
    x, y = (rounded(at, 6) for at in (bed.x + piece.x + way.x, bed.y + piece.y + way.y))
    return Placed(item.part.id, item.copy, x, y, way.turn)
