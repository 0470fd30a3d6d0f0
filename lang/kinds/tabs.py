"""No kind: tabs of formers, and the slots for them in the sides, floors and decks that they pass."""

import math
from collections.abc import Iterator
from typing import TYPE_CHECKING, NamedTuple

from ringwright.geometry.path import Path, canonical, closed, mirrored
from ringwright.lang.kinds.lengthwise import Sheeted, lean_at, sheeted, wanted_hand
from ringwright.lang.kinds.slot import FIT

if TYPE_CHECKING:
    from ringwright.lang.components.tree import Component
    from ringwright.lang.design.making import Maker

ROOT = 1.0
"""How far a tab is drawn into its former, mm, so that the two are one."""


class Tab(NamedTuple):
    """A tab of a former: its outline (y, z) with a root within the former, and the slot for it in the sheet's own view,
    (x, z) from the side or (x, y) from above, in the hand that is worked out.
    """

    former: Path
    slot: Path


def tabs(maker: "Maker", former: "Component", sheet: "Component") -> Iterator[Tab]:
    """Yield the tabs of a former in a sheet, of a side in the hands that are wanted: none unless it asks for them, or
    where it stands so near an end of the sheet that the slot would run out. Raises GeometryError, Unsettled.
    """
    if not maker.has(former, "tab") or maker.value(former, "inset") is not None:
        return
    made = sheeted(maker, sheet)
    fore, aft = maker.number(former, "x_fore"), maker.number(former, "x_aft")
    thick = aft - fore
    if fore < made.reach[0] + thick or aft > made.reach[1] - thick:
        return
    x = maker.number(former, "x")
    one = Tab(_tab(made, x, maker.number(former, "tab")), _slot(maker, former, sheet, made, fore, aft))
    other = one._replace(former=canonical(mirrored(one.former)))
    wanted = wanted_hand(maker, sheet)
    if wanted != "left":
        yield one
    if wanted in ("left", "both"):
        yield other


def _ends(made: Sheeted, x: float) -> tuple[tuple[float, float], tuple[float, float]]:
    """The edge of a sheet at a place along x, (y, z) each, so that the inside is to the right of it."""
    (y0, z0), (y1, z1) = ((line.y(x), line.z(x)) for line in made.lines)
    return (y0, z0), (y1, z1)


def _tab(made: Sheeted, x: float, wide: float) -> Path:
    """A rectangle from a little within the former to the sheet's outer face, in the middle of its edge."""
    (y0, z0), (y1, z1) = _ends(made, x)
    long = math.dist((y0, z0), (y1, z1))
    uy, uz = (y1 - y0) / long, (z1 - z0) / long
    deep = made.stock.thickness / math.cos(lean_at(made, x)) + ROOT
    # Inward is towards the middle plane for a side, down for a deck, up for a floor.
    iy, iz = uz, -uy
    if made.below:
        iy, iz = -iy, -iz
    my, mz = (y0 + y1) / 2, (z0 + z1) / 2
    corners = [(s * wide / 2, d) for s, d in ((-1, 0.0), (1, 0.0), (1, deep), (-1, deep))]
    return canonical(closed([(my + a * uy + d * iy, mz + a * uz + d * iz) for a, d in corners]))


def _slot(
    maker: "Maker", former: "Component", sheet: "Component", made: Sheeted, fore: float, aft: float
) -> Path:
    """The slot as seen from the side or from above: as wide as the former is thick, and its fit."""
    stock = maker.evaluator.stock_of(former)
    fit = FIT.get(maker.word(stock, "kind"), 0.0) if stock is not None else 0.0
    x = (fore + aft) / 2
    (y0, z0), (y1, z1) = _ends(made, x)
    share = (maker.number(former, "tab") + fit) / math.dist((y0, z0), (y1, z1))
    seen = (z0, z1) if sheet.kind.name == "side" else (y0, y1)
    middle, half = (seen[0] + seen[1]) / 2, abs(seen[1] - seen[0]) * share / 2
    wide = (aft - fore + fit) / 2
    return canonical(
        closed(
            [
                (x - wide, middle - half),
                (x + wide, middle - half),
                (x + wide, middle + half),
                (x - wide, middle + half),
            ]
        )
    )
