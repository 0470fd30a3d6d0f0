"""Pieces that overlap moved until none does: each to where it is least in the way, by weights that grow.

A piece is tried at every node of its sheet at once. Of pairs that stay in each other's way the weight grows
with every round, of others it falls back, so that what is stuck gets loose sooner or later.
"""

from typing import TYPE_CHECKING, NamedTuple

from ringwright.geometry.nest.dice import Dice
from ringwright.geometry.nest.lattice import BITS, Form
from ringwright.geometry.nest.meeting import Meeting, meeting, overlap, turned_about

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

_SHIFT = 4
_ONE = 1 << _SHIFT
"""Least weight of a pair, and unit of all."""

_HEAVY = 200 * _ONE
"""Most weight of a pair."""

_FORBIDDEN = 1 << 29
"""Cost of a node at which a piece would lie on what cannot move."""

_PATIENCE = 60
"""Rounds that may pass without the overlaps becoming a fiftieth less."""

_REMEMBERED = 60_000_000
"""Nodes of meetings that are remembered; at so many all are forgotten. Four bytes each, about."""

_MET = 40
"""What it counts to work out how two forms meet, and more for large ones."""

_CELLS_PER_STEP = 4096
"""Nodes that are looked at in about the time that it takes to begin looking at a pair."""


class Way(NamedTuple):
    """A form in one of the turns in which a piece may lie. width, height: of its box, in steps."""

    form: Form
    width: int
    height: int


class Floor(NamedTuple):
    """A sheet on the lattice: its width and height in steps, and what lies on it for good, at node (0, 0)."""

    width: int
    height: int
    obstacles: tuple[Form, ...]


class Lie(NamedTuple):
    """Where a piece lies: its way, floor, and the node of its box's lower left corner."""

    way: int
    floor: int
    row: int
    column: int


class Tangle:
    """Pieces on floors, as they are moved about.

    ways: all ways of all pieces; pieces: of each the ways that it may take; bound: pieces that keep to
    their floor. meetings: of ways, as far as they are known, kept up here. work: pairs looked at so far, and more for large ones: what effort is counted in.
    """

    def __init__(
        self,
        ways: tuple[Way, ...],
        pieces: tuple[tuple[int, ...], ...],
        floors: tuple[Floor, ...],
        lies: tuple[Lie, ...],
        bound: frozenset[int] = frozenset(),
        meetings: "dict[tuple[int, int], Meeting] | None" = None,
    ) -> None:
        self.ways = ways
        self.pieces = pieces
        self.floors = list(floors)
        self.lies = list(lies)
        self.bound = bound
        self.work = 0
        self._meetings = {} if meetings is None else meetings
        self._nodes = sum(found.depth.size for found in self._meetings.values())
        self._grounds: dict[tuple[int, int, int], NDArray[np.int32]] = {}

    def meeting(self, moving: int, fixed: int) -> Meeting:
        """How one way meets another, worked out once."""
        found = self._meetings.get((moving, fixed))
        if found is None:
            found = meeting(self.ways[moving].form, self.ways[fixed].form)
            if self._nodes > _REMEMBERED:
                self._meetings.clear()
                self._nodes = 0
            self._meetings[moving, fixed] = found
            if moving != fixed:
                self._meetings[fixed, moving] = turned_about(found)
            self._nodes += 2 * found.depth.size
            self.work += _MET + 30 * found.depth.size // _CELLS_PER_STEP
        return found

    def depth(self, one: int, other: int) -> int:
        """How deep two pieces lie in each other."""
        lie, there = self.lies[one], self.lies[other]
        if lie.floor != there.floor:
            return 0
        found = self.meeting(lie.way, there.way)
        row, column = lie.row - there.row - found.y, lie.column - there.column - found.x
        rows, columns = found.depth.shape
        return int(found.depth[row, column]) if 0 <= row < rows and 0 <= column < columns else 0

    def room(self, way: int, floor: int) -> tuple[int, int]:
        """Rows and columns of nodes at which a way lies within a floor; zero or less where it does not fit."""
        on, form = self.floors[floor], self.ways[way]
        return (on.height - form.height >> BITS) + 1, (on.width - form.width >> BITS) + 1

    def overlaps(self) -> "NDArray[np.int32]":
        """How deep each pair lies in each other."""
        import numpy as np

        count = len(self.lies)
        found = np.zeros((count, count), dtype=np.int32)
        by_floor: dict[int, list[int]] = {}
        for piece, lie in enumerate(self.lies):
            for other in by_floor.setdefault(lie.floor, []):
                found[piece, other] = found[other, piece] = self.depth(piece, other)
            by_floor[lie.floor].append(piece)
        return found

    def untangle(self, dice: Dice, most: int) -> bool:
        """Move pieces until none overlaps; whether that came about before hope, or `work`, ran out at `most`."""
        import numpy as np

        overlaps = self.overlaps()
        weights = np.full(overlaps.shape, _ONE, dtype=np.int32)
        least, since = int(overlaps.sum()), 0
        while True:
            crossed = set(np.flatnonzero(overlaps.any(axis=1)).tolist())
            stuck = dice.shuffled(
                piece for piece in range(len(self.lies)) if piece in crossed or self._lies_on_fixed(piece)
            )
            if not stuck:
                return True
            if since > _PATIENCE or self.work >= most:
                return False
            for piece in stuck:
                if overlaps[piece].any() or self._lies_on_fixed(piece):
                    self._move(piece, overlaps, weights, dice)
            left, deepest = int(overlaps.sum()), int(overlaps.max())
            if 50 * left < 49 * least:
                least, since = left, 0
            else:
                since += 1
            if deepest:
                grown = weights + weights * (deepest + 4 * overlaps) // (5 * deepest)
                weights = np.where(
                    overlaps > 0, np.minimum(grown, _HEAVY), np.maximum(weights * 19 // 20, _ONE)
                ).astype(np.int32)

    def _move(
        self, piece: int, overlaps: "NDArray[np.int32]", weights: "NDArray[np.int32]", dice: Dice
    ) -> None:
        """Put a piece where it is less in the way than it is, if there is such a place."""
        heavy: list[int] = weights[piece].tolist()
        now = int((overlaps[piece] * weights[piece] >> _SHIFT).sum())
        if self._lies_on_fixed(piece):
            now = _FORBIDDEN
        cost, lie = self._best(piece, heavy, dice)
        if cost >= now:
            return
        self.lies[piece] = lie
        line = [0 if other == piece else self.depth(piece, other) for other in range(len(self.lies))]
        overlaps[piece] = line
        overlaps[:, piece] = line

    def _lies_on_fixed(self, piece: int) -> bool:
        """Whether a piece lies on what cannot move."""
        lie = self.lies[piece]
        if not self.floors[lie.floor].obstacles:
            return False
        return bool(self._ground(lie.way, lie.floor)[lie.row, lie.column])

    def _best(self, piece: int, heavy: list[int], dice: Dice) -> tuple[int, Lie]:
        """Where a piece is least in the way, and how much it is."""
        at = self.lies[piece]
        floors = range(len(self.floors))
        if piece in self.bound:
            floors = range(at.floor, at.floor + 1)
        best = (_FORBIDDEN, at)
        for floor in floors if len(floors) <= 3 else _some(at.floor, len(floors), dice):
            others = self._others(piece, floor, heavy)
            for way in self.pieces[piece]:
                found = self._over_floor(way, floor, others)
                if found is not None and found[0] < best[0]:
                    best = found
        if best[0] > 0:
            # Every second node has been looked at: now those between, and those about where it lies.
            for about in (best[1], at):
                others = self._others(piece, about.floor, heavy)
                best = min(best, self._about(about, others))
        return best

    def _others(self, piece: int, floor: int, heavy: list[int]) -> list[tuple[Lie, int]]:
        """Where all other pieces of a floor lie, each with its weight."""
        return [
            (there, heavy[other])
            for other, there in enumerate(self.lies)
            if there.floor == floor and other != piece
        ]

    def _over_floor(self, way: int, floor: int, others: list[tuple[Lie, int]]) -> tuple[int, Lie] | None:
        """The best of every second node of a floor, lowest first, for one way."""
        import numpy as np

        rows, columns = self.room(way, floor)
        if rows < 1 or columns < 1:
            return None
        cost = self._ground(way, floor)[:rows:2, :columns:2].copy()
        rows, columns = cost.shape
        for there, weight in others:
            found = self._meetings.get((way, there.way)) or self.meeting(way, there.way)
            y, x = there.row + found.y, there.column + found.x
            depth = found.coarse[y & 1][x & 1]
            row, column = y + 1 >> 1, x + 1 >> 1
            end, side = row + depth.shape[0], column + depth.shape[1]
            up = across = 0
            if row < 0:
                up, row = -row, 0
            if column < 0:
                across, column = -column, 0
            if end > rows:
                end = rows
            if side > columns:
                side = columns
            if row < end and column < side:
                part = depth[up : up + end - row, across : across + side - column]
                if weight != _ONE:
                    part = np.multiply(part, weight, dtype=np.int32)
                    part >>= _SHIFT
                cost[row:end, column:side] += part
                self.work += 1 + part.size // _CELLS_PER_STEP
        place = int(cost.argmin())
        row, column = divmod(place, columns)
        return int(cost[row, column]), Lie(way, floor, 2 * row, 2 * column)

    def _about(self, lie: Lie, others: list[tuple[Lie, int]]) -> tuple[int, Lie]:
        """The best of the nodes about a place, those two rows and columns off included."""
        import numpy as np

        rows, columns = self.room(lie.way, lie.floor)
        bottom, left = max(lie.row - 2, 0), max(lie.column - 2, 0)
        top, right = min(lie.row + 3, rows), min(lie.column + 3, columns)
        if bottom >= top or left >= right:
            return _FORBIDDEN, lie
        cost = self._ground(lie.way, lie.floor)[bottom:top, left:right].copy()
        for there, weight in others:
            found = self._meetings.get((lie.way, there.way)) or self.meeting(lie.way, there.way)
            y, x = there.row + found.y, there.column + found.x
            row, end = max(y, bottom), min(y + found.depth.shape[0], top)
            column, side = max(x, left), min(x + found.depth.shape[1], right)
            if row < end and column < side:
                part = found.depth[row - y : end - y, column - x : side - x]
                cost[row - bottom : end - bottom, column - left : side - left] += (
                    np.multiply(part, weight, dtype=np.int32) >> _SHIFT
                )
                self.work += 1
        place = int(cost.argmin())
        row, column = divmod(place, right - left)
        return int(cost[row, column]), Lie(lie.way, lie.floor, bottom + row, left + column)

    def _ground(self, way: int, floor: int) -> "NDArray[np.int32]":
        """What the nodes of a floor cost a way before any other piece is looked at."""
        import numpy as np

        on = self.floors[floor]
        rows, columns = self.room(way, floor)
        name = (way, floor if on.obstacles else -1, columns)
        found = self._grounds.get(name)
        if found is None or found.shape[0] < rows:
            found = np.zeros((rows, columns), dtype=np.int32)
            for obstacle in on.obstacles:
                y, x, inside = overlap(self.ways[way].form, obstacle)
                self.work += 1 + 4 * inside.size // _CELLS_PER_STEP
                row, column = max(y, 0), max(x, 0)
                part = inside[row - y : rows - y, column - x : columns - x]
                found[row : row + part.shape[0], column : column + part.shape[1]][part] = _FORBIDDEN
            self._grounds[name] = found
        return found


def _some(own: int, count: int, dice: Dice) -> list[int]:
    """A piece's own floor, and two others by chance."""
    others = [floor for floor in range(count) if floor != own]
    return [own, *dice.shuffled(others)[:2]]
