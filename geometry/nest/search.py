"""A better layout looked for: fewer sheets, then less of the last one.

The last sheet is made lower, and what then overlaps there, or on one other sheet, is moved until it does not; so
with each of the other sheets, the emptiest first. Where that fails, large pieces change places and it is tried
again. Effort is a count of pairs looked at.
"""

import math
from collections.abc import Callable, Sequence
from itertools import pairwise
from typing import TYPE_CHECKING, NamedTuple

from ringwright.geometry.nest.bed import FIXED
from ringwright.geometry.nest.board import Board, lay, settled
from ringwright.geometry.nest.dice import Dice
from ringwright.geometry.nest.fill import Apart, fill
from ringwright.geometry.nest.lattice import BITS, STEPS, WIDEST, Form, area, form
from ringwright.geometry.nest.meeting import Meeting
from ringwright.geometry.nest.ready import Bench, Item, Shape
from ringwright.geometry.nest.shape import Pose
from ringwright.geometry.nest.untangle import Floor, Lie, Tangle, Way
from ringwright.geometry.numbers import rounded

if TYPE_CHECKING:
    from shapely import Polygon

_ACROSS = 200
"""Nodes across the narrower side of a sheet."""

_MEETINGS = 70_000_000
"""Nodes of all meetings together: what they may take of the memory, at six bytes a node."""

_MOST = 1_500
"""Pieces that are searched with; with more the first layout is the last."""

_TURNS = 2
"""Parts that the effort is divided into where there are several sheets."""

_TRIES = 25
"""Share of the effort, one in so many, after which one try to make a sheet lower is given up."""

_LAID = 300
"""What it counts to lay a piece afresh."""

_MUCH, _LOWER = 0.04, 0.01
"""Share of its height by which the last sheet is made lower: while that comes off at once, then."""


class _Pace(NamedTuple):
    """How a sheet is made lower by less where it fails: after how many tries, by what factor, down to what share.

    again: factor by which it is made lower by more after it has come off.
    """

    tries: int
    factor: float
    least: float
    again: float


_ALONE = _Pace(2, 0.6, 0.001, 1.5)
_PAIRED = _Pace(4, 0.7, 0.002, 1.0)
"""Found by trial: a sheet alone is made lower bit by bit, of two a piece must change over."""


class Score(NamedTuple):
    """What makes a layout better, least first: whole sheets begun, and height used of the last, mm."""

    sheets: int
    height: float


def score(bench: Bench, boards: Sequence[Board]) -> Score:
    """How good a layout is. Sheets that lay there before do not count."""
    new = boards[len(bench.beds) :]
    return Score(len(new), new[-1].used if new else 0.0)


def improve(
    bench: Bench, boards: tuple[Board, ...], most: int, told: Callable[[int, Score, bool], None]
) -> tuple[Board, ...]:
    """A layout at least as good as the one given, after looking at so many pairs.

    told: of the pairs looked at, the best score so far, and whether the search was broken off.
    """
    items = bench.items
    best = score(bench, boards)
    if best.sheets == 0 or len(items) > _MOST:
        return boards
    search = None
    work = 0
    try:
        told(0, best, False)
        for order in _orders(bench):
            if 2 * work > most:
                break
            work += _LAID * len(items)
            boards = _better(bench, boards, order)
        search = _Search(bench, items, boards, most, told)
        search.work = work
        search.run()
    except KeyboardInterrupt:
        told(search.work if search else work, search.best if search else score(bench, boards), True)
    return search.boards if search else boards


def _better(bench: Bench, boards: tuple[Board, ...], order: list[int]) -> tuple[Board, ...]:
    """The better of a layout and that which another order gives."""
    try:
        other = fill(bench, order)
    except Apart:
        return boards
    return other if score(bench, other) < score(bench, boards) else boards


def _orders(bench: Bench) -> list[list[int]]:
    """Other orders in which a bench may be laid: by half the perimeter of the box, its longer, its shorter side."""
    boxes = []
    for group in bench.groups:
        way = group.items[0].shape.ways(bench.whole.board.grid)[0]
        boxes.append((rounded(way.width, 6), rounded(way.height, 6)))
    keys = (sum, max, min)
    return [sorted(range(len(boxes)), key=lambda place: (-key(boxes[place]), place)) for key in keys]


class _Search:
    """The best layout so far, and where all pieces lie on the lattice."""

    def __init__(
        self,
        bench: Bench,
        items: Sequence[Item],
        boards: tuple[Board, ...],
        most: int,
        told: Callable[[int, Score, bool], None],
    ) -> None:
        self.bench, self.boards, self.most, self.told = bench, boards, most, told
        self.best = score(bench, boards)
        self.dice = Dice()
        self.work = 0
        self.top: int | None = None
        self.meetings: dict[tuple[int, int], Meeting] = {}
        self.poses: list[Pose] = []
        self.pieces: list[tuple[int, ...]] = []
        numbers: dict[Shape, tuple[int, ...]] = {}
        whole = bench.whole.board.grid
        for item in items:
            if item.shape not in numbers:
                drawn = [item.shape.pose(way, whole) for way in item.shape.ways(whole)]
                poses = [pose for pose in drawn if pose is not None]
                numbers[item.shape] = tuple(range(len(self.poses), len(self.poses) + len(poses)))
                self.poses += poses
            self.pieces.append(numbers[item.shape])
        self.pitch = _pitch(self.poses, min(whole.width, whole.height))
        self.ways = tuple(
            Way(form(_polygon(pose), self.pitch), self._steps(pose.box.width), self._steps(pose.box.height))
            for pose in self.poses
        )
        self.areas = [area(way.form) for way in self.ways]
        self.floors = [
            Floor(self._steps(board.grid.width), self._steps(board.grid.height), self._obstacles(board))
            for board in boards
        ]
        self.bound: set[int] = set()
        first = 0
        for group in bench.groups:
            if len(group.items) > 1 or group.home is not None:
                self.bound.update(range(first, first + len(group.items)))
            first += len(group.items)
        self.lies: dict[int, Lie] = {}
        for floor, board in enumerate(boards):
            for piece in board.pieces:
                if piece.key != FIXED:
                    way = min(
                        self.pieces[piece.key],
                        key=lambda way: self.poses[way].box.turn != piece.pose.box.turn,
                    )
                    row, column = (int(at / self.pitch + 0.5) for at in (piece.y, piece.x))
                    self.lies[piece.key] = Lie(way, floor, row, column)

    def _steps(self, length: float) -> int:
        """A length, mm, in steps of the lattice."""
        return round(length / self.pitch * STEPS)

    def _obstacles(self, board: Board) -> tuple[Form, ...]:
        import shapely.affinity

        return tuple(
            form(shapely.affinity.translate(_polygon(piece.pose), piece.x, piece.y), self.pitch)
            for piece in board.pieces
            if piece.key == FIXED
        )

    def run(self) -> None:
        """Look for less of the last sheet, with one of the others after the other, until the effort is spent."""
        while self.best.sheets and self.work < self.most:
            before = self.work
            last = len(self.boards) - 1
            others = sorted(range(last), key=lambda floor: (self._filled(floor), floor))
            share = self.most // max(_TURNS, len(others)) if others else self.most
            for other in others:
                if last == len(self.boards) - 1:
                    self._lower((other, last), min(self.most, self.work + share))
            if not others:
                self._lower((last,), self.most)
            if self.work == before:
                break

    def _filled(self, floor: int) -> float:
        """Share of a floor on which something lies that can move."""
        taken = sum(self.areas[lie.way] for lie in self.lies.values() if lie.floor == floor)
        return rounded(taken / (self.floors[floor].width * self.floors[floor].height), 6)

    def _lower(self, floors: tuple[int, ...], most: int) -> None:
        """Make the last of some floors lower as often as it works; pieces of the others move, too."""
        keys = [key for key, lie in sorted(self.lies.items()) if lie.floor in floors]
        tangle = Tangle(
            self.ways,
            tuple(self.pieces[key] for key in keys),
            tuple(self.floors[floor] for floor in floors),
            tuple(self.lies[key]._replace(floor=floors.index(self.lies[key].floor)) for key in keys),
            frozenset(number for number, key in enumerate(keys) if key in self.bound),
            self.meetings,
        )
        tangle.work = self.work
        try:
            self._lowered(tangle, floors, keys, most)
        finally:
            self.work = tangle.work

    def _lowered(self, tangle: Tangle, floors: tuple[int, ...], keys: list[int], most: int) -> None:
        last = len(floors) - 1
        floor = tangle.floors[last]
        if self.top is not None:
            tangle.floors[last] = floor._replace(height=self.top)
        for number in range(len(floors)):
            self._within(tangle, number)
        # From where they lay pieces have been brought to nodes, and may overlap.
        if not tangle.untangle(self.dice, most):
            return
        kept, height = list(tangle.lies), _top(tangle)
        self._take(tangle, floors, keys)
        pace = _ALONE if len(floors) == 1 else _PAIRED
        least, share, failed = self._least(tangle), _MUCH, 0
        while tangle.work < most:
            lower = max(least, height - int(max(height, floor.width // 2) * share))
            if lower >= height:
                return
            tangle.floors[last] = floor._replace(height=lower)
            self._within(tangle, last)
            if tangle.untangle(self.dice, min(most, tangle.work + self.most // _TRIES)):
                kept, height, failed = list(tangle.lies), _top(tangle), 0
                share = max(share, min(_LOWER, pace.again * share))
                self._take(tangle, floors, keys)
                continue
            tangle.lies = list(kept)
            if share > _LOWER:
                share = max(_LOWER, share / 2.0)
                continue
            failed += 1
            for _ in range(1 + failed % 3):
                self._swap(tangle)
            if failed % pace.tries == 0:
                share = max(pace.least, pace.factor * share)

    def _least(self, tangle: Tangle) -> int:
        """Height below which the last floor has no room for one of the pieces that can lie nowhere else, in steps."""
        last, least = len(tangle.floors) - 1, 0
        for piece, lie in enumerate(tangle.lies):
            if piece in tangle.bound and lie.floor != last:
                continue
            elsewhere = piece not in tangle.bound and any(
                min(tangle.room(way, floor)) > 0 for floor in range(last) for way in tangle.pieces[piece]
            )
            if not elsewhere:
                fitting = [way for way in tangle.pieces[piece] if min(tangle.room(way, last)) > 0]
                least = max(least, min(tangle.ways[way].height for way in fitting))
        return least

    def _within(self, tangle: Tangle, floor: int) -> None:
        """Bring what passes the edge of a floor within it, or to another floor where it is too large for this."""
        for piece, lie in enumerate(tangle.lies):
            rows, columns = tangle.room(lie.way, lie.floor)
            if lie.floor == floor and (lie.row >= rows or lie.column >= columns):
                tangle.lies[piece] = _clipped(tangle, lie) or self._anywhere(tangle, piece)

    def _anywhere(self, tangle: Tangle, piece: int) -> Lie:
        """A place at the foot of a floor that has room for a piece."""
        fitting = [
            Lie(way, floor, 0, 0)
            for floor in range(len(tangle.floors))
            if piece not in tangle.bound or floor == tangle.lies[piece].floor
            for way in tangle.pieces[piece]
            if min(tangle.room(way, floor)) > 0
        ]
        return fitting[self.dice.below(len(fitting))]

    def _swap(self, tangle: Tangle) -> None:
        """Let two of the larger pieces change places."""
        free = [piece for piece in range(len(tangle.lies)) if piece not in tangle.bound]
        if len(free) < 2:
            return
        # Pieces come in the order of their size.
        larger = free[: max(4, len(free) // 2)]
        one, other = (larger[self.dice.below(len(larger))] for _ in range(2))
        a, b = tangle.lies[one], tangle.lies[other]
        tangle.lies[one] = _clipped(tangle, b._replace(way=a.way)) or a
        tangle.lies[other] = _clipped(tangle, a._replace(way=b.way)) or b

    def _take(self, tangle: Tangle, floors: tuple[int, ...], keys: list[int]) -> None:
        """Keep the layout of a tangle; make it the best, its last sheet slid together, if it is."""
        self.lies.update(
            (key, lie._replace(floor=floors[lie.floor])) for key, lie in zip(keys, tangle.lies, strict=True)
        )
        found = list(self.boards)
        for floor in floors:
            found[floor] = self._board(floor)
        found[-1] = settled(found[-1], FIXED)
        while len(found) > len(self.bench.beds) and not found[-1].pieces:
            found.pop()
        self.top = _top(tangle) if len(found) == len(self.boards) else None
        better = score(self.bench, found)
        if better < self.best:
            self.boards, self.best = tuple(found), better
        self.told(tangle.work, self.best, False)

    def _board(self, floor: int) -> Board:
        """A floor as a board."""
        board = self.boards[floor]
        board = board._replace(pieces=tuple(piece for piece in board.pieces if piece.key == FIXED))
        pieces = [(lie.row, lie.column, key) for key, lie in self.lies.items() if lie.floor == floor]
        for row, column, key in sorted(pieces):
            pose = self.poses[self.lies[key].way]
            board = lay(board, key, pose, column * self.pitch, row * self.pitch)
        return board


def _top(tangle: Tangle) -> int:
    """Up to where the last floor is used, in steps."""
    last = len(tangle.floors) - 1
    tops = [(lie.row << BITS) + tangle.ways[lie.way].height for lie in tangle.lies if lie.floor == last]
    return max(tops, default=0)


def _clipped(tangle: Tangle, lie: Lie) -> Lie | None:
    """A lie moved within the edges of its floor; None where it has no room there."""
    rows, columns = tangle.room(lie.way, lie.floor)
    if rows < 1 or columns < 1:
        return None
    return lie._replace(row=min(lie.row, rows - 1), column=min(lie.column, columns - 1))


def _polygon(pose: Pose) -> "Polygon":
    """A pose as shapely sees it."""
    import numpy as np
    import shapely

    rings = []
    ends = pose.edges
    starts = [0, *(np.flatnonzero((ends[2:, :-1] != ends[:2, 1:]).any(axis=0)) + 1).tolist(), ends.shape[1]]
    for begin, end in pairwise(starts):
        rings.append(ends[:2, begin:end].T)
    return shapely.Polygon(rings[0], rings[1:])


def _pitch(poses: Sequence[Pose], narrow: float) -> float:
    """From node to node, mm: fine for the sheet, no finer than the memory allows."""
    widest = max(max(pose.box.width, pose.box.height) for pose in poses)
    wide = sum(pose.box.width for pose in poses)
    high = sum(pose.box.height for pose in poses)
    area = sum(pose.box.width * pose.box.height for pose in poses)
    # The sum of (w + w')(h + h') over all pairs.
    nodes = len(poses) * area + wide * high
    return max(narrow / _ACROSS, widest / WIDEST, math.sqrt(nodes / _MEETINGS))
