"""The last sheet laid by spyrrow, a general strip-packing library, where that is installed: an extra, `pack`.

It stops on the clock, so that its layouts differ from run to run; one that is kept is kept because it is better.
"""

from collections.abc import Sequence

from ringwright.geometry.nest.bed import FIXED
from ringwright.geometry.nest.board import Board, lay, settled
from ringwright.geometry.nest.ready import Bench, Item
from ringwright.geometry.nest.shape import Box, Pose
from ringwright.geometry.numbers import rounded

SECONDS = 15
"""That it may take."""

_SEED = 1


def repacked(bench: Bench, boards: tuple[Board, ...]) -> tuple[Board, ...]:
    """The boards with the last sheet laid afresh, if that uses less of it; else, or without spyrrow, as they are.

    Its pieces lie in no holes then. The gap is kept as everywhere: shapes are grown by half of it. What comes
    out is only as exact as that program's single precision: whoever asks for it checks it.
    """
    try:
        import spyrrow
    except ImportError:
        return boards
    if len(boards) == len(bench.beds) or len(boards[-1].pieces) < 2:
        return boards
    board = boards[-1]
    items = bench.items
    keys: dict[str, list[int]] = {}
    for piece in sorted(board.pieces, key=lambda piece: piece.key):
        keys.setdefault(items[piece.key].part.id, []).append(piece.key)
    ways = {name: _ways(items[of[0]], board) for name, of in keys.items()}
    instance = spyrrow.StripPackingInstance(
        "sheet",
        strip_height=board.grid.width,
        items=[
            spyrrow.Item(
                name,
                [(float(x), float(y)) for x, y in items[of[0]].shape.grown.rings[0]],
                len(of),
                # Its strip lies down, ours stands.
                [(way.turn - 90.0) % 360.0 for way, _ in ways[name]],
            )
            for name, of in keys.items()
        ],
    )
    config = spyrrow.StripPackingConfig(total_computation_time=SECONDS, num_workers=1, seed=_SEED)
    packed = board._replace(pieces=())
    for one in instance.solve(config).placed_items:
        turn = (round(one.rotation) + 90.0) % 360.0
        way, pose = next((way, pose) for way, pose in ways[one.id] if way.turn == turn)
        x = rounded(board.grid.width - one.translation[1] - way.x, 6)
        y = rounded(one.translation[0] - way.y, 6)
        x = min(max(x, 0.0), board.grid.width - way.width)
        packed = lay(packed, keys[one.id].pop(0), pose, x, max(y, 0.0))
    if any(keys.values()):
        return boards
    packed = settled(packed, FIXED)
    return (*boards[:-1], packed) if packed.used < board.used else boards


def _ways(item: Item, board: Board) -> Sequence[tuple[Box, Pose]]:
    """The ways in which an item may lie on a board, without those that look like another."""
    drawn = ((way, item.shape.pose(way, board.grid)) for way in item.shape.ways(board.grid))
    return [(way, pose) for way, pose in drawn if pose is not None]
