"""No kind: tabs of formers, and the slots for them in the sides, floors and decks that they pass."""

import math
from collections.abc import Iterator
from typing import TYPE_CHECKING, NamedTuple

from ringwright.geometry.path import Path, canonical, closed, mirrored
from ringwright.lang.kinds.lengthwise import Sheeted, lean_at, sheeted, wanted_hand
from ringwright.lang.kinds.slot import fit_of

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
    # On a short edge a tab is no wider than half of it.
    wide = min(maker.number(former, "tab"), math.dist(*_ends(made, x)) / 2)
    if wide <= 0:
        return
    fit = fit_of(maker, maker.evaluator.stock_of(former))
    slot = _slot(_ends(made, x), sheet.kind.name == "side", (fore, aft), wide, fit)
    one = Tab(_tab(made, x, wide), slot)
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
    ends: tuple[tuple[float, float], tuple[float, float]],
    from_side: bool,
    faces: tuple[float, float],
    wide: float,
    fit: float,
) -> Path:
    """The slot as seen from the side or from above: where the tab goes through, with its fit all round."""
    (y0, z0), (y1, z1) = ends
    first, last = (z0, z1) if from_side else (y0, y1)
    # Of a leaning side the tab is seen shorter than it is.
    middle, half = (first + last) / 2, (wide + fit) / 2 * abs(last - first) / math.dist(*ends)
    fore, aft = faces[0] - fit / 2, faces[1] + fit / 2
    return canonical(
        closed([(fore, middle - half), (aft, middle - half), (aft, middle + half), (fore, middle + half)])
    )
