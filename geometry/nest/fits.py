"""Whether a part fits its sheet at all: asked of each part alone, before any is placed."""

from collections.abc import Sequence

from ringwright.geometry.errors import GeometryError
from ringwright.geometry.nest.turns import QUARTERS, SLACK, allowed, by_grain, excess, room, size
from ringwright.geometry.numbers import fixed, rounded, short
from ringwright.geometry.part import Cutting, Part


def fits(part: Part, cutting: Cutting, only: Sequence[float] | None = None) -> GeometryError | None:
    """None where the part fits a sheet of its stock in a turn that its grain allows, else what is wrong.

    only: quarter turns that are left to choose from, None for all. The error's code is 'part-too-big'. A free part that only fits aslant fits: `nest` turns it so.
    """
    stock = part.stock
    width, height = room(stock, cutting)
    if min(width, height) <= 0.0:
        return GeometryError(
            "part-too-big",
            f"{part.id} has no room: a margin of {short(cutting.margin, 2)} mm leaves nothing of "
            f"a {short(stock.width, 2)} x {short(stock.height, 2)} mm sheet of {stock.name}",
        )
    if allowed(part, cutting, only):
        return None
    wide, high = size(part, 0.0)
    turns = by_grain(part, only) or by_grain(part)
    excesses = excess(part, QUARTERS, cutting)
    faults = _faults({turn: excesses[turn] for turn in turns}, lengthwise=wide >= high)
    if len(turns) < len(QUARTERS):
        faults += f" with its grain {part.grain} the sheet's"
    if any(max(over) <= SLACK for over in excesses.values()):
        faults += "; turned by 90° it would fit"
    return GeometryError(
        "part-too-big",
        f"{part.id} is {fixed(wide, 1)} x {fixed(high, 1)} mm, the sheet of {stock.name} leaves "
        f"{short(width, 2)} x {short(height, 2)} mm inside its margins: {faults}",
    )


def _faults(excesses: dict[float, tuple[float, float]], lengthwise: bool) -> str:
    """'60 mm too long', '12 mm too wide' or both, in the turn that comes nearest to fitting.

    excesses: mm of width and height, by turn. lengthwise: whether the part is longest along its own x.
    """
    turn = min(excesses, key=lambda turn: (rounded(max(excesses[turn]), 6), turn))
    over = excesses[turn]
    long, wide = over if lengthwise == (turn in (0.0, 180.0)) else over[::-1]
    # Upwards, so that a sheet enlarged by what is said here does fit.
    return " and ".join(
        f"{short(rounded(value + 0.049, 1) if value > 0.1 else rounded(value + 0.00049, 3), 3)} mm too {word}"
        for value, word in ((long, "long"), (wide, "wide"))
        if value > SLACK
    )
