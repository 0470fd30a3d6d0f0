"""How a part may be turned on its stock: by quarters as the grain allows, or aslant where only that fits."""

import math
from collections.abc import Iterable, Sequence

from ringwright.geometry.numbers import rounded
from ringwright.geometry.part import Cutting, Part, Stock
from ringwright.geometry.path import bounds, turned

SLACK = 1e-6
"""mm by which a part may pass the edge of the room that it has: what rounding of coordinates may add."""

QUARTERS = (0.0, 90.0, 180.0, 270.0)
_ALONG = (0.0, 180.0)
_ACROSS = (90.0, 270.0)


def room(stock: Stock, cutting: Cutting) -> tuple[float, float]:
    """Width and height, mm, that a sheet leaves inside its margins."""
    return stock.width - 2.0 * cutting.margin, stock.height - 2.0 * cutting.margin


def by_grain(part: Part, only: Sequence[float] | None = None) -> tuple[float, ...]:
    """The quarter turns, degrees, that the grain of stock and part leave; only: of these, None for all."""
    turns: tuple[float, ...] = QUARTERS
    if part.stock.grain != "none" and part.grain != "free":
        level = part.stock.grain == "along_width"
        turns = _ALONG if level == (part.grain == "along") else _ACROSS
    return turns if only is None else tuple(turn for turn in turns if turn in only)


def size(part: Part, turn: float) -> tuple[float, float]:
    """Width and height, mm, of the part's outline turned by so many degrees."""
    x0, y0, x1, y1 = bounds(turned(part.outline, math.radians(turn)))
    return x1 - x0, y1 - y0


def excess(part: Part, turns: Iterable[float], cutting: Cutting) -> dict[float, tuple[float, float]]:
    """By how much, mm, the part is wider and higher than its room, by turn; negative where it is not."""
    width, height = room(part.stock, cutting)
    quarters = [size(part, 0.0)]
    quarters.append(quarters[0][::-1])
    over = {}
    for turn in turns:
        wide, high = quarters[int(turn // 90.0) % 2] if turn in QUARTERS else size(part, turn)
        over[turn] = (wide - width, high - height)
    return over


def allowed(part: Part, cutting: Cutting, only: Sequence[float] | None = None) -> tuple[float, ...]:
    """The turns, degrees, in which the part may lie on its sheet and fits it; none where it fits in no way.

    only: quarter turns that are left to choose from, None for all.

    A part that no quarter turn fits, and that its grain leaves free, may lie at the quarter degree that
    leaves it most room, either way up: a blank is cut in the pieces that fit so.
    """
    quarters = by_grain(part, only)
    fitting = tuple(turn for turn, over in excess(part, quarters, cutting).items() if max(over) <= SLACK)
    if fitting or len(quarters) < len(QUARTERS):
        return fitting
    aslant = excess(part, (step / 4 for step in range(1, 720)), cutting)
    over, best = min((rounded(max(over), 6), turn) for turn, over in aslant.items())
    return (best, best + 180.0) if over <= SLACK else ()
