"""What is nested made ready: shapes that identical parts share, the beds that they lie on, the pieces to be laid."""

from collections.abc import Iterable, Mapping, Sequence
from typing import NamedTuple

from ringwright.geometry.nest.bed import FIXED, Bed, bed_of_offcut, bed_of_sheet
from ringwright.geometry.nest.board import lay
from ringwright.geometry.nest.raster import Grid
from ringwright.geometry.nest.shape import Box, Grown, Pose, box, grow, posed
from ringwright.geometry.nest.turns import SLACK, allowed
from ringwright.geometry.numbers import rounded
from ringwright.geometry.part import Cutting, Offcut, Part, Placed, Sheet, Stock
from ringwright.geometry.path import Path, signed_area


class Shape:
    """What identical parts share: the ways they may lie on a grid, each drawn when it is first asked for."""

    def __init__(self, outline: Path, grown: Grown, turns: tuple[float, ...], clear: float) -> None:
        self.outline = outline
        self.grown = grown
        self.turns = turns
        self.clear = clear
        self._ways: dict[Grid, tuple[Box, ...]] = {}
        self._alike: dict[tuple[object, ...], Pose] = {}
        self._drawn: dict[tuple[Grid, float], Pose | None] = {}

    def ways(self, on: Grid) -> tuple[Box, ...]:
        """Boxes of the ways that a grid has room for, the lowest first.

        Of most ways the box alone says that another keeps lower on the sheet.
        """
        if on not in self._ways:
            boxes = [box(self.outline, turn, self.clear, on) for turn in self.turns]
            fitting = [
                box for box in boxes if box.width <= on.width + SLACK and box.height <= on.height + SLACK
            ]
            self._ways[on] = tuple(sorted(fitting, key=lambda box: (box.rows, box.turn)))
        return self._ways[on]

    def pose(self, way: Box, on: Grid) -> Pose | None:
        """The shape drawn in one of its ways; None where it has the box and the cells of one drawn before."""
        if (on, way.turn) not in self._drawn:
            pose = posed(self.grown, way, on)
            alike = (on, rounded(way.width, 6), rounded(way.height, 6), pose.looks)
            self._drawn[on, way.turn] = pose if self._alike.setdefault(alike, pose) is pose else None
        return self._drawn[on, way.turn]


class Item(NamedTuple):
    """One copy of a part, with its shape; copies count from 1."""

    part: Part
    copy: int
    shape: Shape


class Group(NamedTuple):
    """Pieces that must lie on one sheet, largest first; most are of one piece.

    home: place among the bench's beds of the one on which the rest of it lies already, None where none does.
    """

    items: tuple[Item, ...]
    home: int | None


class Bench(NamedTuple):
    """One stock made ready: its sheets and offcuts, and every piece to be laid.

    groups: that with the largest piece first. whole: the bed of a sheet on which nothing lies yet. beds:
    offcuts, then sheets on which something lies already.
    """

    stock: Stock
    groups: tuple[Group, ...]
    whole: Bed
    beds: tuple[Bed, ...]

    @property
    def items(self) -> tuple[Item, ...]:
        """All pieces to be laid, in their order: the key of each on a board is its place here."""
        return tuple(item for group in self.groups for item in group.items)


def prepare(
    stock: Stock,
    parts: Iterable[Part],
    cutting: Cutting,
    turns: Mapping[str, Sequence[float]],
    offcuts: Sequence[Offcut] = (),
    kept: Sequence[Sheet] = (),
) -> Bench:
    """The parts of one stock, all of which fit it, made ready for `fill`, by area with holes filled.

    kept: sheets of the stock whose placements stay. Of these are left out those of copies that nobody asks
    for, and all but the first of a copy.
    """
    parts = tuple(parts)
    ways = {part.id: (part.outline, part.holes, allowed(part, cutting, turns.get(part.id))) for part in parts}
    grown = {way: grow(way[0], way[1], cutting.gap) for way in dict.fromkeys(ways.values())}
    clear = max(shape.by for shape in grown.values())
    drawn = {way: Shape(way[0], shape, way[2], clear) for way, shape in grown.items()}
    shapes = {id: drawn[way] for id, way in ways.items()}

    asked = {(part.id, copy): part for part in parts for copy in range(1, part.quantity + 1)}
    left = dict(asked)
    whole = bed_of_sheet(stock, cutting, clear)
    beds: dict[str | int, Bed] = {offcut.name: bed_of_offcut(offcut, cutting, clear) for offcut in offcuts}
    homes: dict[str, str | int] = {}
    for sheet in sorted(kept, key=lambda sheet: sheet.index):
        laid = [
            placed for placed in sheet.placements if left.pop((placed.part, placed.copy), None) is not None
        ]
        if not laid:
            continue
        name: str | int = sheet.index
        if sheet.offcut is not None:
            name = sheet.offcut.name
            bed = beds.get(name) or bed_of_offcut(sheet.offcut, cutting, clear)
        else:
            bed = whole._replace(index=sheet.index)
        beds[name] = _with(bed, laid, shapes)
        homes.update((asked[placed.part, placed.copy].together, name) for placed in laid)

    groups: dict[tuple[str, str, int], list[Item]] = {}
    for part in sorted(parts, key=lambda part: (-rounded(abs(signed_area(part.outline)), 6), part.id)):
        for copy in range(1, part.quantity + 1):
            if (part.id, copy) in left:
                group = (part.together, "", 0) if part.together else ("", part.id, copy)
                groups.setdefault(group, []).append(Item(part, copy, shapes[part.id]))
    where = {name: number for number, name in enumerate(beds)}
    return Bench(
        stock,
        tuple(
            Group(tuple(items), where[homes[group]] if group and group in homes else None)
            for (group, _, _), items in groups.items()
        ),
        whole,
        tuple(beds.values()),
    )


def _with(
    bed: Bed,
    laid: Sequence[Placed],
    shapes: Mapping[str, Shape],
) -> Bed:
    """A bed with pieces on it that stay where they are."""
    board = bed.board
    for placed in laid:
        shape = shapes[placed.part]
        way = box(shape.outline, placed.rotation, shape.clear, board.grid)
        x, y = placed.x - bed.x - way.x, placed.y - bed.y - way.y
        board = lay(board, FIXED, posed(shape.grown, way, board.grid), x, y)
    return bed._replace(board=board, kept=(*bed.kept, *laid))
