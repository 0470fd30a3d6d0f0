"""How two forms meet: for every displacement of one against the other by whole nodes, how deep they overlap.

Two forms overlap where the displacement lies inside the sum of the one and the other turned about. The edges
of that sum wind about a displacement once for each piece that they have in common: of convex forms it is the
usual sum of edges by their direction; at corners that point inwards edges run backwards and take away what the others
count twice (the convolution of two polygons: Guibas, Ramshaw, Stolfi 1983).
"""

from typing import TYPE_CHECKING, NamedTuple

from ringwright.geometry.nest.lattice import BITS, Corners, Form

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

UNIT = 16
"""Of depth, to a node's distance."""


class Meeting(NamedTuple):
    """How deep a form lies in another, rows x columns, by its displacement from (y, x) nodes on.

    depth: UNIT times the distance, in nodes, to the nearest displacement at which they do not overlap; 0
    there. coarse: of every second row and column, beginning with the first or second: [row][column].
    """

    y: int
    x: int
    depth: "NDArray[np.int16]"
    coarse: "tuple[tuple[NDArray[np.int16], ...], ...]"


def meeting(moving: Form, fixed: Form) -> Meeting:
    """How deep one form lies in another that stays, wherever it may be put."""
    y, x, inside = overlap(moving, fixed)
    return _found(y, x, _depth(inside))


def overlap(moving: Form, fixed: Form) -> "tuple[int, int, NDArray[np.bool_]]":
    """Whether one form overlaps another that stays, rows x columns, by its displacement from (y, x) nodes on."""
    import numpy as np

    # Rounding outwards gives a rim on which nothing overlaps.
    y, x = fixed.y - moving.y - moving.rows, fixed.x - moving.x - moving.columns
    rows, columns = fixed.rows + moving.rows + 1, fixed.columns + moving.columns + 1
    inside = np.zeros((rows, columns), dtype=bool)
    for one in fixed.rings:
        for other in moving.rings:
            inside |= _inside(one, -other, y, x, rows, columns)
    return y, x, inside


def turned_about(found: Meeting) -> Meeting:
    """The same with the parts exchanged: what was fixed moves."""
    import numpy as np

    rows, columns = found.depth.shape
    return _found(
        -(found.y + rows - 1), -(found.x + columns - 1), np.ascontiguousarray(found.depth[::-1, ::-1])
    )


def _found(y: int, x: int, depth: "NDArray[np.int16]") -> Meeting:
    import numpy as np

    coarse = tuple(
        tuple(np.ascontiguousarray(depth[row::2, column::2]) for column in (0, 1)) for row in (0, 1)
    )
    return Meeting(y, x, depth, coarse)


def _sum_edges(one: Corners, other: Corners) -> "tuple[Corners, Corners, NDArray[np.int64]]":
    """The edges of the sum of two rings: beginnings, ends, and 1 or -1 as they run on or backwards."""
    import numpy as np

    a, b = np.roll(one, -1, axis=0) - one, np.roll(other, -1, axis=0) - other
    turn = np.sign(a[:, :1] * b[:, 1] - a[:, 1:] * b[:, 0])
    level = turn == 0
    if level.any():
        # Of edges of one direction that of the first is taken to be a shade further round.
        along = np.sign(a[:, :1] * b[:, 0] + a[:, 1:] * b[:, 1])
        turn = np.where(level, -along, turn)

    def bent(edges: Corners) -> "NDArray[np.int64]":
        before = np.roll(edges, 1, axis=0)
        bends: NDArray[np.int64] = np.sign(before[:, 0] * edges[:, 1] - before[:, 1] * edges[:, 0])
        return bends

    # An edge of the one goes with a corner of the other where its direction lies between the corner's edges.
    before, bend = np.roll(turn, 1, axis=1), bent(b)
    i, j = np.nonzero((before == -bend) & (turn == bend))
    begin, end, sign = one[i] + other[j], one[i] + other[j] + a[i], bend[j]
    before, bend = np.roll(turn, 1, axis=0), bent(a)[:, None]
    i, j = np.nonzero((before == bend) & (turn == -bend))
    start = one[i] + other[j]
    return (
        np.concatenate((begin, start)),
        np.concatenate((end, start + b[j])),
        np.concatenate((sign, bend[i, 0])),
    )


def _inside(one: Corners, other: Corners, y: int, x: int, rows: int, columns: int) -> "NDArray[np.bool_]":
    """The nodes that lie within the sum of two rings, not on its edge."""
    import numpy as np

    begin, end, sign = _sum_edges(one, other)
    rise = end[:, 1] - begin[:, 1]
    steep = rise != 0
    begin, end, sign, rise = begin[steep], end[steep], sign[steep], rise[steep]
    up = rise > 0
    low, high = np.where(up[:, None], begin, end), np.where(up[:, None], end, begin)
    winds, rise, run = np.where(up, -sign, sign), np.abs(rise), high[:, 0] - low[:, 0]
    stride = columns + 1
    size = rows * stride
    inside = np.ones((rows, columns), dtype=bool)
    # A node on an edge is outside: each is looked at from a shade above and below, and of those with an edge
    # right through them from a shade left and right.
    for above in (True, False):
        if above:
            first, last = -(-low[:, 1] >> BITS), -(-high[:, 1] >> BITS)
        else:
            first, last = (low[:, 1] >> BITS) + 1, (high[:, 1] >> BITS) + 1
        first = np.minimum(np.maximum(first - y, 0), rows)
        last = np.minimum(np.maximum(last - y, 0), rows)
        count = np.maximum(last - first, 0)
        edge = np.repeat(np.arange(len(count)), count)
        row = np.arange(len(edge)) - (np.cumsum(count) - count)[edge] + first[edge]
        over = low[edge, 0] * rise[edge] + (((row + y) << BITS) - low[edge, 1]) * run[edge]
        under = rise[edge] << BITS
        node = over // under
        through = node * under == over
        cases = (node + 1, np.where(through, node, node + 1)) if through.any() else (node + 1,)
        for case in cases:
            place = row * stride + np.minimum(np.maximum(case - x, 0), columns)
            marks = np.bincount(place, weights=winds[edge], minlength=size)
            inside &= marks.reshape(rows, stride)[:, :columns].cumsum(axis=1) > 0.5
    return inside


def _depth(inside: "NDArray[np.bool_]") -> "NDArray[np.int16]":
    """How far each node is from the nearest that is not inside, in UNITs; the rim is not inside."""
    import numpy as np

    rows, columns = inside.shape
    place = np.arange(columns, dtype=np.int32)
    left = np.maximum.accumulate(np.where(inside, 0, place), axis=1)
    right = np.minimum.accumulate(np.where(inside, columns - 1, place)[:, ::-1], axis=1)[:, ::-1]
    level = np.minimum(place - left, right - place) ** 2
    nearest = level.copy()
    rise, most = 1, int(nearest.max(initial=0))
    while rise < rows and rise * rise < most:
        np.minimum(nearest[rise:], level[:-rise] + rise * rise, out=nearest[rise:])
        np.minimum(nearest[:-rise], level[rise:] + rise * rise, out=nearest[:-rise])
        if rise % 4 == 0:
            most = int(nearest.max())
        rise += 1
    depth: NDArray[np.int16] = np.rint(np.sqrt(nearest.astype(np.float64)) * UNIT).astype(np.int16)
    return depth
