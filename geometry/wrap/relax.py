"""A surface that no sheet can take, laid flat with as little stretch as may be.

The surface is a grid of stations by rows; edges along the rows, along the rulings and both diagonals of every
mesh are springs that want their true length L. Σ (l - L)²/L is made least by Gauss–Newton steps, held back
where they go too far. Meshes should be about as long as they are high. A grid with finer stations has diagonals
`reach` stations long too and takes the springs that it has more of in proportion weaker: it stands for coarse
grids shifted over each other. The normal equations are banded (stations in order), factored in plain
elementwise arithmetic, so that the result does not follow the processor. Places that coincide in space are held
together.
"""

import math
from collections.abc import Sequence
from itertools import pairwise
from typing import TYPE_CHECKING, Any, NamedTuple

from ringwright.geometry.errors import GeometryError
from ringwright.geometry.numbers import finite
from ringwright.geometry.path import Point
from ringwright.geometry.recall import recalled
from ringwright.geometry.wrap.surface import Surface, Thread, unrolled
from ringwright.geometry.wrap.vector import between

if TYPE_CHECKING:
    from numpy import ndarray

_MOST_STEPS = 30
_STILL = 1e-6
_SETTLED = 1e-3
_SMALL = 0.2
_NONSENSE = 0.5
_HOLD = 1e-9
_SHORT = 1e-3
_BLOCK = 74
_HALVINGS = 6


class Relaxed(NamedTuple):
    """A sheet laid flat with stretch. strain: greatest change of an edge's length, as a share of it."""

    surface: Surface
    strain: float


@recalled
def relaxed(threads: Sequence[Thread], reach: int = 1) -> Relaxed:
    """Threads of any number of rows laid flat with the least stretch.

    reach: how many stations a diagonal goes. GeometryError 'does-not-settle', 'sections-touch'.
    """
    import numpy

    rows = len(threads[0])
    start = _first_guess(threads)
    edges = _edges(threads, reach)
    a = numpy.array([e[0] for e in edges])
    b = numpy.array([e[1] for e in edges])
    true = numpy.array([e[2] for e in edges])
    stiff = numpy.where(b - a == rows, 1.0, 1 / reach) / numpy.maximum(true, _SHORT)
    at = numpy.array([point for thread in start for point in thread], dtype=float)
    order = _order(len(threads), rows, reach)
    at, (a, b) = at[numpy.argsort(order)], (order[a], order[b])
    a, b = numpy.minimum(a, b), numpy.maximum(a, b)
    band = 2 * int((b - a).max()) + 2
    before = _energy(at, a, b, true, stiff)
    hold = _HOLD
    for _ in range(_MOST_STEPS):
        step = _step(at, a, b, true, stiff, band, hold)
        after = _energy(at + step, a, b, true, stiff)
        for _ in range(_HALVINGS):
            if after <= before * (1 + 1e-12) + 1e-18:
                break
            # A right way, but too far: that is cheaper to try than another way.
            step = step / 2
            after = _energy(at + step, a, b, true, stiff)
        if after > before * (1 + 1e-12) + 1e-18:
            # Too far along a direction that hardly anything resists: hold every place back harder.
            hold = max(30 * hold, 1e-4)
            if hold > 1e6:
                break
            continue
        at = at + step
        hold = max(hold / 5, _HOLD)
        gained = before - after
        before = after
        # Whatever is left then is fine wrinkling, which hardly changes what the sheet stretches; each step is a tenth of
        # the one before.
        longest = float(numpy.max(numpy.abs(step)))
        if longest < _STILL or (longest < _SMALL and gained <= _SETTLED * before):
            break
    long = true > _SHORT
    found = _lengths(at, a, b)
    strain = float(numpy.max(numpy.abs(found - true)[long] / true[long]))
    if not strain < _NONSENSE:
        raise GeometryError(
            "does-not-settle",
            "these sections are too unlike for one sheet: its flat shape cannot be found; cut it at a section",
        )
    points: list[Point] = [
        (finite(float(x), "a flat place"), finite(float(y), "a flat place")) for x, y in at[order]
    ]
    flat = tuple(tuple(points[k : k + rows]) for k in range(0, len(points), rows))
    return Relaxed(Surface(tuple(threads), flat), strain)


def evened(threads: Sequence[Thread], stations: int, rows: int) -> tuple[Thread, ...]:
    """Two-row threads as so many, evenly spread along both sections, each with so many rows: the grid whose
    stretch tells how far the surface is from one that lies flat.
    """
    walked = [0.0]
    for a, b in pairwise(threads):
        walked.append(walked[-1] + (math.dist(a[0], b[0]) + math.dist(a[1], b[1])) / 2)
    found = []
    k = 0
    for station in range(stations):
        width = walked[-1] * station / (stations - 1)
        while k < len(threads) - 2 and width > walked[k + 1]:
            k += 1
        span = walked[k + 1] - walked[k]
        share = min(max((width - walked[k]) / span, 0.0), 1.0) if span else 0.0
        foot, head = (between(threads[k][row], threads[k + 1][row], share) for row in (0, 1))
        found.append(tuple(between(foot, head, row / (rows - 1)) for row in range(rows)))
    return tuple(found)


def _order(stations: int, rows: int, reach: int) -> "ndarray[Any, Any]":
    """The number of each place, place = station × rows + row: along the stations, or along the rows where that leaves
    springs between nearer numbers.
    """
    import numpy

    places = numpy.arange(stations * rows)
    if stations + reach >= reach * rows + 1:
        return places
    return (places % rows) * stations + places // rows


def _first_guess(threads: Sequence[Thread]) -> list[list[Point]]:
    """The strip between the outermost rows laid flat, the rows between at their shares of it."""
    outer = unrolled([(thread[0], thread[-1]) for thread in threads]).flat
    found = []
    for thread, ((x0, y0), (x1, y1)) in zip(threads, outer, strict=True):
        walked = [0.0]
        for p, q in pairwise(thread):
            walked.append(walked[-1] + math.dist(p, q))
        shares = [way / walked[-1] for way in walked]
        found.append([(x0 + share * (x1 - x0), y0 + share * (y1 - y0)) for share in shares])
    return found


def _edges(threads: Sequence[Thread], reach: int) -> list[tuple[int, int, float]]:
    """(node, later node, true length) of every spring; node = station × rows + row.

    Diagonals longer than a mesh are measured on the strip between their rows, laid flat by itself.
    """
    rows, count = len(threads[0]), len(threads)
    reach = min(reach, count - 1)
    laid = (
        [unrolled([thread[r : r + 2] for thread in threads]).flat for r in range(rows - 1)]
        if reach > 1
        else []
    )
    found = []
    for k, thread in enumerate(threads):
        for r in range(rows):
            here = k * rows + r
            if r + 1 < rows:
                found.append((here, here + 1, math.dist(thread[r], thread[r + 1])))
            if k + 1 < count:
                found.append((here, here + rows, math.dist(thread[r], threads[k + 1][r])))
            for other in (r - 1, r + 1):
                if not 0 <= other < rows:
                    continue
                if k + 1 < count:
                    found.append((here, here + rows - r + other, math.dist(thread[r], threads[k + 1][other])))
                if reach > 1 and k + reach < count:
                    low = min(r, other)
                    length = math.dist(laid[low][k][r - low], laid[low][k + reach][other - low])
                    found.append((here, here + reach * rows - r + other, length))
    return found


def _lengths(at: "ndarray[Any, Any]", a: Any, b: Any) -> "ndarray[Any, Any]":
    import numpy

    dx, dy = at[b, 0] - at[a, 0], at[b, 1] - at[a, 1]
    return numpy.sqrt(dx * dx + dy * dy)  # type: ignore[no-any-return]


def _energy(at: "ndarray[Any, Any]", a: Any, b: Any, true: Any, stiff: Any) -> float:
    off = _lengths(at, a, b) - true
    return math.fsum((off * off * stiff).tolist())


def _step(
    at: "ndarray[Any, Any]", a: Any, b: Any, true: Any, stiff: Any, band: int, hold: float
) -> "ndarray[Any, Any]":
    """One Gauss–Newton step of every place, each held where it is by a spring as stiff as `hold`."""
    import numpy

    dx, dy = at[b, 0] - at[a, 0], at[b, 1] - at[a, 1]
    found = numpy.sqrt(dx * dx + dy * dy)
    glued = true <= _SHORT
    per = 1 / numpy.maximum(found, 1e-12)
    ux, uy = dx * per, dy * per
    pull = (found - true) * stiff
    fx = numpy.where(glued, dx * stiff, pull * ux)
    fy = numpy.where(glued, dy * stiff, pull * uy)
    xx = numpy.where(glued, stiff, stiff * ux * ux)
    xy = numpy.where(glued, 0.0, stiff * ux * uy)
    yy = numpy.where(glued, stiff, stiff * uy * uy)
    count = 2 * len(at)
    # The diagonal in the middle of each row: the left half is there to be written over.
    matrix = numpy.zeros((count + band, 2 * band - 1))
    middle = band - 1
    right = numpy.zeros(count + band)
    for node in (a, b):
        numpy.add.at(matrix, (2 * node, middle), xx)
        numpy.add.at(matrix, (2 * node, middle + 1), xy)
        numpy.add.at(matrix, (2 * node + 1, middle), yy)
    apart = middle + 2 * (b - a)
    numpy.add.at(matrix, (2 * a, apart), -xx)
    numpy.add.at(matrix, (2 * a, apart + 1), -xy)
    numpy.add.at(matrix, (2 * a + 1, apart - 1), -xy)
    numpy.add.at(matrix, (2 * a + 1, apart), -yy)
    numpy.add.at(right, 2 * a, fx)
    numpy.add.at(right, 2 * a + 1, fy)
    numpy.add.at(right, 2 * b, -fx)
    numpy.add.at(right, 2 * b + 1, -fy)
    matrix[:count, middle] += hold
    matrix[count:, middle] = 1.0
    return _solved(matrix, right, count).reshape(-1, 2)


def _solved(matrix: "ndarray[Any, Any]", right: "ndarray[Any, Any]", count: int) -> "ndarray[Any, Any]":
    """Solution of a symmetric banded system: matrix[i, middle + d] is the entry (i, i + d), `band` rows of padding at
    the end; what stands left of the middle does not count. Elementwise steps only; changes both arguments.
    """
    import numpy
    from numpy.lib.stride_tricks import as_strided

    wide = matrix.shape[1]
    inner = wide // 2
    item = matrix.strides[1]
    # Only what lies right of the diagonal is wanted of each square: in some blocks of rows, from the diagonal on.
    blocks = [(low, min(inner, low + _BLOCK)) for low in range(0, inner, _BLOCK)]
    room = [numpy.empty((high - low, inner - low)) for low, high in blocks]
    pivots = matrix[:count, inner]
    # Seen slanted, the rows below a pivot i are a square: entry (p, q) is (i + 1 + p, i + 1 + q).
    slanted = (wide * item, (wide - 1) * item, item)
    squares = as_strided(matrix[1:, inner:], (count, inner, inner), slanted)
    for i in range(count):
        row = matrix[i, inner + 1 :].copy()
        share = row / pivots[i]
        below = squares[i]
        for (low, high), product in zip(blocks, room, strict=True):
            numpy.multiply(share[low:high, None], row[None, low:], out=product)
            below[low:high, low:] -= product
        matrix[i, inner + 1 :] = share
        right[i + 1 : i + inner + 1] -= share * right[i]
    found = right[:count] / pivots
    padded = numpy.concatenate([numpy.zeros(inner), found])
    flat = matrix.ravel()
    for i in range(count - 1, -1, -1):
        # Column i of the factor, from the row just above upwards.
        rows = min(inner, i)
        if rows:
            first = (i - rows) * wide + inner + rows
            column = flat[first : i * wide + inner - wide + 2 : wide - 1]
            padded[inner + i - rows : inner + i] -= column * padded[inner + i]
    return padded[inner:]
