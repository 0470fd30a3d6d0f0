"""A better layout looked for: fewer sheets, then less of the last one.

The last sheet is given up, or made a little lower, its pieces are put among the others, and what then
overlaps is moved until it does not. Where that fails, large pieces change places and it is tried again. Effort is a count of pairs looked at.
"""

import math
from collections.abc import Callable, Sequence
from itertools import pairwise
from typing import TYPE_CHECKING, NamedTuple

from ringwright.geometry.nest.bed import FIXED
from ringwright.geometry.nest.board import Board, lay, settled
from ringwright.geometry.nest.dice import Dice
from ringwright.geometry.nest.lattice import BITS, STEPS, WIDEST, Form, area, form
from ringwright.geometry.nest.ready import Bench, Item
from ringwright.geometry.nest.shape import Pose
from ringwright.geometry.nest.untangle import Floor, Lie, Tangle, Way
from ringwright.geometry.numbers import rounded

if TYPE_CHECKING:
    from shapely import Polygon

_ACROSS = 200
"""Nodes across the narrower side of a sheet."""

_MEETINGS = 24_000_000
"""Nodes of all meetings together: what they may take of the memory, at six bytes a node."""

_MOST = 1_500
"""Pieces that are searched with; with more the first layout is the last."""

_FULLEST = 0.93
"""Share of the sheets that pieces may take for one sheet less to be tried."""

_MUCH, _LOWER, _LEAST = 0.04, 0.01, 0.002
"""Share of its height by which the last sheet is made lower: while that comes off at once, then, in the end."""


class Score(NamedTuple):
    """What makes a layout better, least first: whole sheets begun, and height used of the last, mm."""

    sheets: int
    height: float


def score(bench: Bench, boards: Sequence[Board]) -> Score:
    """How good a layout is. Sheets that lay there before do not count."""
    new = boards[len(bench.beds) :]
    return Score(len(new), rounded(_height(new[-1]), 6) if new else 0.0)


def _height(board: Board) -> float:
    tops: list[float] = [piece.y + piece.pose.box.height for piece in board.pieces]
    return max(tops, default=0.0)


def improve(
    bench: Bench, boards: tuple[Board, ...], most: int, told: Callable[[int, Score, bool], None]
) -> tuple[Board, ...]:
    """A layout at least as good as the one given, after looking at so many pairs.

    told: of the pairs looked at, the best score so far, and whether the search was broken off.
    """
    items = [item for group in bench.groups for item in group.items]
    best = score(bench, boards)
    if best.sheets == 0 or len(items) > _MOST:
        return boards
    search = _Search(bench, items, boards, most, told)
    try:
        search.run()
    except KeyboardInterrupt:
        told(search.tangle.work, search.best, True)
    return search.boards


class _Search:
    """The best layout so far, and the tangle in which a better one is looked for."""

    def __init__(
        self,
        bench: Bench,
        items: Sequence[Item],
        boards: tuple[Board, ...],
        most: int,
        told: Callable[[int, Score, bool], None],
    ) -> None:
        self.bench, self.items, self.boards, self.most, self.told = bench, items, boards, most, told
        self.best = score(bench, boards)
        self.dice = Dice()
        grids = [board.grid for board in boards]
        self.poses: list[Pose] = []
        pieces: list[tuple[int, ...]] = []
        numbers: dict[object, tuple[int, ...]] = {}
        whole = bench.whole.board.grid
        for item in items:
            if item.shape not in numbers:
                drawn = [item.shape.pose(way, whole) for way in item.shape.ways(whole)]
                poses = [pose for pose in drawn if pose is not None]
                numbers[item.shape] = tuple(range(len(self.poses), len(self.poses) + len(poses)))
                self.poses += poses
            pieces.append(numbers[item.shape])
        self.pitch = _pitch(self.poses, min(min(grid.width, grid.height) for grid in grids))
        ways = tuple(
            Way(
                form(_polygon(pose), self.pitch),
                self._steps(pose.box.width),
                self._steps(pose.box.height),
            )
            for pose in self.poses
        )
        self.areas = [area(way.form) for way in ways]
        floors = tuple(
            Floor(self._steps(board.grid.width), self._steps(board.grid.height), self._obstacles(board))
            for board in boards
        )
        lies: dict[int, Lie] = {}
        for floor, board in enumerate(boards):
            for piece in board.pieces:
                if piece.key != FIXED:
                    way = min(
                        pieces[piece.key], key=lambda way: self.poses[way].box.turn != piece.pose.box.turn
                    )
                    row, column = (int(at / self.pitch + 0.5) for at in (piece.y, piece.x))
                    lies[piece.key] = Lie(way, floor, row, column)
        bound: set[int] = set()
        first = 0
        for group in bench.groups:
            if len(group.items) > 1 or group.home is not None:
                bound.update(range(first, first + len(group.items)))
            first += len(group.items)
        self.tangle = Tangle(
            ways, tuple(pieces), floors, tuple(lies[key] for key in range(len(items))), frozenset(bound)
        )
        for floor in range(len(floors)):
            self._within(floor)

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
        """Look for fewer sheets, then for less of the last, until the effort is spent."""
        while self.best.sheets:
            while self.best.sheets > 1 and self._without_last():
                pass
            self._lower()
            if self._top():
                break
            # All that lay on it has found room elsewhere.
            self.tangle.floors.pop()
            self._take()

    def _without_last(self) -> bool:
        """Give up the last sheet; whether that came off."""
        tangle = self.tangle
        last = len(tangle.floors) - 1
        if any(tangle.lies[piece].floor == last for piece in tangle.bound):
            return False
        room = sum(floor.width * floor.height for floor in tangle.floors[:last])
        if sum(self.areas[tangle.pieces[piece][0]] for piece in range(len(tangle.lies))) > _FULLEST * room:
            return False
        kept, floor = list(tangle.lies), tangle.floors.pop()
        # Half of what is left of the effort may go into this.
        until = tangle.work + (self.most - tangle.work) // 2
        for piece, lie in enumerate(kept):
            if lie.floor == last:
                tangle.lies[piece] = self._anywhere(piece)
        while tangle.work < until:
            if tangle.untangle(self.dice, until):
                self._take()
                return True
            self._swap()
        tangle.floors.append(floor)
        tangle.lies = kept
        return False

    def _anywhere(self, piece: int) -> Lie:
        """A place at the foot of a floor that has room for a piece."""
        tangle = self.tangle
        fitting = [
            Lie(way, floor, 0, 0)
            for floor in range(len(tangle.floors))
            if piece not in tangle.bound or floor == tangle.lies[piece].floor
            for way in tangle.pieces[piece]
            if min(tangle.room(way, floor)) > 0
        ]
        return fitting[self.dice.below(len(fitting))]

    def _lower(self) -> None:
        """Make the last sheet lower as often as it works."""
        tangle = self.tangle
        last = len(tangle.floors) - 1
        floor = tangle.floors[last]
        height, kept = self._top(), list(tangle.lies)
        least, share, failed = self._least(last), _MUCH, 0
        while tangle.work < self.most:
            lower = max(least, int(height * (1.0 - share)))
            if lower >= height:
                break
            tangle.floors[last] = floor._replace(height=lower)
            self._within(last)
            if tangle.untangle(self.dice, self.most):
                height, kept, failed = self._top(), list(tangle.lies), 0
                self._take()
                continue
            tangle.lies = list(kept)
            if share > _LOWER:
                share = max(_LOWER, share / 2.0)
                continue
            failed += 1
            for _ in range(1 + failed % 3):
                self._swap()
            if failed % 4 == 0:
                share = max(_LEAST, 0.7 * share)
        tangle.lies = kept

    def _least(self, floor: int) -> int:
        """Height below which a floor has no room for one of the pieces that can lie nowhere else, in steps."""
        tangle = self.tangle
        least = 0
        for piece, lie in enumerate(tangle.lies):
            elsewhere = piece not in tangle.bound and any(
                min(tangle.room(way, other)) > 0
                for other in range(len(tangle.floors))
                if other != floor
                for way in tangle.pieces[piece]
            )
            if not elsewhere and (lie.floor == floor or piece not in tangle.bound):
                least = max(
                    least,
                    min(
                        tangle.ways[way].height
                        for way in tangle.pieces[piece]
                        if min(tangle.room(way, floor)) > 0
                    ),
                )
        return least

    def _within(self, floor: int) -> None:
        """Bring what passes the top of a floor down to it, or to another floor where it is too high for this."""
        tangle = self.tangle
        for piece, lie in enumerate(tangle.lies):
            rows, columns = tangle.room(lie.way, lie.floor)
            if lie.floor == floor and (lie.row >= rows or lie.column >= columns):
                if rows > 0 and columns > 0:
                    lie = lie._replace(row=min(lie.row, rows - 1), column=min(lie.column, columns - 1))
                else:
                    lie = self._anywhere(piece)
                tangle.lies[piece] = lie

    def _top(self) -> int:
        """Up to where the last floor is used, in steps."""
        last = len(self.tangle.floors) - 1
        return max(
            (
                (lie.row << BITS) + self.tangle.ways[lie.way].height
                for lie in self.tangle.lies
                if lie.floor == last
            ),
            default=0,
        )

    def _swap(self) -> None:
        """Let two of the larger pieces change places."""
        tangle = self.tangle
        free = [piece for piece in range(len(tangle.lies)) if piece not in tangle.bound]
        if len(free) < 2:
            return
        # Pieces come in the order of their size.
        larger = free[: max(4, len(free) // 2)]
        one, other = (larger[self.dice.below(len(larger))] for _ in range(2))
        a, b = tangle.lies[one], tangle.lies[other]
        tangle.lies[one] = self._clipped(a._replace(floor=b.floor, row=b.row, column=b.column), a)
        tangle.lies[other] = self._clipped(b._replace(floor=a.floor, row=a.row, column=a.column), b)

    def _clipped(self, lie: Lie, otherwise: Lie) -> Lie:
        rows, columns = self.tangle.room(lie.way, lie.floor)
        if rows < 1 or columns < 1:
            return otherwise
        return lie._replace(row=min(lie.row, rows - 1), column=min(lie.column, columns - 1))

    def _take(self) -> None:
        """Make the layout of the tangle the best, its last sheet slid together, if it is."""
        found = self._boards()
        better = score(self.bench, found)
        if better < self.best:
            self.boards, self.best = found, better
        self.told(self.tangle.work, self.best, False)

    def _boards(self) -> tuple[Board, ...]:
        """The layout of the tangle as boards."""
        tangle = self.tangle
        boards = []
        for floor, board in enumerate(self.boards[: len(tangle.floors)]):
            pieces = [(lie.row, lie.column, key) for key, lie in enumerate(tangle.lies) if lie.floor == floor]
            fixed = tuple(piece for piece in board.pieces if piece.key == FIXED)
            filled = board._replace(pieces=fixed)
            for row, column, key in sorted(pieces):
                pose = self.poses[tangle.lies[key].way]
                filled = lay(filled, key, pose, column * self.pitch, row * self.pitch)
            boards.append(filled)
        if boards:
            boards[-1] = settled(boards[-1], FIXED)
        return tuple(boards)


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
