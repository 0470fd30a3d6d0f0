"""Parts to sheets, of all stocks: laid largest first, then a search for a better layout where effort is asked for.

Every decision is by place, size and name, and in whole numbers where it is a near thing, so that neither the
order in which parts are given nor the machine has a say.
"""

from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import TYPE_CHECKING, Literal, NamedTuple, TypeAlias

from ringwright.geometry.errors import GeometryError
from ringwright.geometry.nest.bed import FIXED, Bed
from ringwright.geometry.nest.board import Board, Piece
from ringwright.geometry.nest.fill import Apart, fill
from ringwright.geometry.nest.fits import fits
from ringwright.geometry.nest.ready import Bench, Item, prepare
from ringwright.geometry.nest.verify import verify
from ringwright.geometry.numbers import rounded, short, total
from ringwright.geometry.part import Cutting, Offcut, Part, Placed, Sheet, Stock
from ringwright.geometry.path import signed_area

if TYPE_CHECKING:
    from ringwright.geometry.nest.search import Score

Effort: TypeAlias = Literal["quick", "normal", "thorough"]

EFFORTS: Mapping[str, int] = {"quick": 0, "normal": 2_000_000, "thorough": 9_000_000}
"""Pairs of pieces that a search looks at. On one core of 2020 or so that takes up to 15 s and 60 s."""


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
    turns: Mapping[str, Sequence[float]] | None = None,
) -> tuple[Sheet, ...]:
    """The sheets from which the parts are cut, by name of the stock; each copy of each part lies on one.

    Gap and margin are kept, the grain too where stock and part have one; a part may lie in another's hole.
    Parts of one `together` lie on one sheet. effort: 'quick' is one run; the others search for a better
    layout, by a count of moves. offcuts: are filled before whole sheets are, in the order given. kept: sheets
    or offcuts whose placements stay as they are, to the last bit, under their index; what is new goes onto
    them where there is room, in order of index, then onto sheets of the lowest index that is not taken. Kept
    copies that nobody asks for are dropped; whether what is kept is sound, `verify` says. progress: told of
    each step of the search. turns: degrees, by id of a part: only these of those that its grain allows.
    KeyboardInterrupt ends the search, not the run: the best layout so far is given.

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
    turns = turns or {}
    for part in parts:
        error = fits(part, cutting, turns.get(part.id))
        if error is not None:
            raise error
    stocks = dict.fromkeys(part.stock for part in parts if part.quantity > 0)
    copies = sum(part.quantity for part in parts)
    share = Share(effort, copies, progress)
    sheets: list[Sheet] = []
    for stock in sorted(
        stocks, key=lambda stock: (stock.name, stock.thickness, stock.width, stock.height, stock.grain)
    ):
        sheets += _of_stock(
            stock,
            [part for part in parts if part.stock == stock],
            cutting,
            turns,
            (offcuts or {}).get(stock, ()),
            [sheet for sheet in kept if sheet.stock == stock],
            share,
        )
    return tuple(sheets)


class Share:
    """The effort that goes into the stocks of a model, to each by its share of the copies; none after an interrupt."""

    def __init__(self, effort: Effort, copies: int, progress: Callable[[Progress], None] | None) -> None:
        self._effort, self._copies, self._progress = EFFORTS[effort], copies, progress
        self._packs = effort == "thorough"

    def improved(self, bench: Bench, boards: tuple[Board, ...]) -> Iterator[tuple[Board, ...]]:
        """The boards of one stock after the search, and as another program lays the last of them."""
        most = self._effort * len(bench.items) // max(self._copies, 1)
        if not most:
            return
        from ringwright.geometry.nest.search import improve

        def told(work: int, best: "Score", stopped: bool) -> None:
            if stopped:
                self._effort = 0
            if self._progress is not None:
                self._progress(
                    Progress(bench.stock.name, min(work, most), most, best.sheets, best.height, stopped)
                )

        boards = improve(bench, boards, most, told)
        yield boards
        if self._packs and self._effort:
            from ringwright.geometry.nest.packed import repacked

            yield repacked(bench, boards)


def _of_stock(
    stock: Stock,
    parts: Sequence[Part],
    cutting: Cutting,
    turns: Mapping[str, Sequence[float]],
    offcuts: Sequence[Offcut],
    kept: Sequence[Sheet],
    share: Share,
) -> list[Sheet]:
    """The sheets of one stock."""
    areas = {part.id: area_of(part) for part in parts}
    while True:
        bench = prepare(stock, parts, cutting, turns, offcuts, kept)
        try:
            boards = fill(bench)
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
            continue
        best = _sheets(bench, boards, areas)
        unsound: set[str] | None = None
        for better in share.improved(bench, boards):
            found = _sheets(bench, better, areas)
            if unsound is None:
                unsound = set(verify(best, parts, cutting))
            if set(verify(found, parts, cutting)) <= unsound:
                best = found
        return best


def _sheets(bench: Bench, boards: Sequence[Board], areas: Mapping[str, float]) -> list[Sheet]:
    """Filled boards as sheets, offcuts first. areas: of the parts, mm2, by id."""
    items = bench.items
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
