"""A finished layout looked at once more, by other means than made it: true outlines, exact distances."""

import math
from collections import Counter
from collections.abc import Sequence
from typing import TYPE_CHECKING

from ringwright.geometry.nest.turns import by_grain
from ringwright.geometry.numbers import short
from ringwright.geometry.part import Cutting, Part, Placed, Sheet
from ringwright.geometry.path import bounds, flattened, moved, turned

if TYPE_CHECKING:
    from shapely import Polygon

_FLATTEN = 0.002
"""mm by which the outlines compared may leave their arcs."""

_SHORT = 0.01
"""mm by which a gap or margin may fall short."""


def verify(sheets: Sequence[Sheet], parts: Sequence[Part], cutting: Cutting) -> tuple[str, ...]:
    """What is wrong with a layout, one sentence for each fault; empty where it can be cut.

    Looked for: a part on the wrong stock or unknown, a copy too many or missing, a part that passes the
    margin, two that overlap or stand too close, a part across its grain.
    """
    known = {part.id: part for part in parts}
    faults = _counts(sheets, parts)
    for sheet in sheets:
        there = [placed for placed in sheet.placements if placed.part in known]
        where = f"sheet {sheet.index} of {sheet.stock.name}"
        for placed in there:
            faults += [
                f"{_name(placed)} {fault} on {where}"
                for fault in _alone(placed, known[placed.part], sheet, cutting)
            ]
        faults += [f"{fault} on {where}" for fault in _pairs(there, known, cutting.gap)]
    return tuple(faults)


def _counts(sheets: Sequence[Sheet], parts: Sequence[Part]) -> list[str]:
    """Copies that are missing, or that nobody asked for."""
    asked = Counter({(part.id, copy): 1 for part in parts for copy in range(1, part.quantity + 1)})
    laid = Counter((placed.part, placed.copy) for sheet in sheets for placed in sheet.placements)
    return [f"{name} copy {copy} is on no sheet" for name, copy in sorted(asked - laid)] + [
        f"{name} copy {copy} is laid, but not asked for"
        if (name, copy) not in asked
        else f"{name} copy {copy} is laid twice"
        for name, copy in sorted(laid - asked)
    ]


def _alone(placed: Placed, part: Part, sheet: Sheet, cutting: Cutting) -> list[str]:
    """What is wrong with one part on its sheet, whatever lies beside it."""
    faults = []
    if part.stock != sheet.stock:
        faults.append(f"is to be cut from {part.stock.name}, but lies")
    turns = by_grain(part)
    if len(turns) < 4 and placed.rotation % 360.0 not in turns:
        faults.append(f"is turned by {short(placed.rotation, 3)}° against its grain")
    x0, y0, x1, y1 = bounds(moved(turned(part.outline, math.radians(placed.rotation)), (placed.x, placed.y)))
    clear = min(x0, y0, sheet.stock.width - x1, sheet.stock.height - y1)
    if not clear >= cutting.margin - _SHORT:
        asked = f"{short(cutting.margin, 2)} mm are asked"
        faults.append(
            f"passes the edge by {short(-clear, 2)} mm where {asked}"
            if clear < 0.0
            else f"is {short(clear, 2)} mm from the edge where {asked}"
        )
    return faults


def _pairs(placements: Sequence[Placed], known: dict[str, Part], gap: float) -> list[str]:
    """Parts that overlap or stand closer than the gap."""
    import shapely
    import shapely.affinity

    if not placements:
        return []
    turned_parts = {(placed.part, placed.rotation): None for placed in placements}
    polygons = {turn: _polygon(known[turn[0]], turn[1]) for turn in turned_parts}
    shapes = [
        shapely.affinity.translate(polygons[placed.part, placed.rotation], placed.x, placed.y)
        for placed in placements
    ]
    near = shapely.STRtree(shapes).query(shapes, predicate="dwithin", distance=max(gap, _SHORT)).T
    faults = []
    for one, other in sorted((int(one), int(other)) for one, other in near if one < other):
        apart = shapely.distance(shapes[one], shapes[other])
        names = f"{_name(placements[one])} and {_name(placements[other])}"
        if (
            apart == 0.0
            and not shapely.intersection(shapes[one], shapes[other]).buffer(-_SHORT / 2.0).is_empty
        ):
            faults.append(f"{names} overlap")
        elif apart < gap - _SHORT:
            faults.append(f"{names} are {short(apart, 2)} mm apart where {short(gap, 2)} mm are asked")
    return faults


def _polygon(part: Part, turn: float) -> "Polygon":
    """The part turned by so many degrees about its own origin, as shapely sees it."""
    import shapely

    rings = [flattened(turned(ring, math.radians(turn)), _FLATTEN) for ring in (part.outline, *part.holes)]
    return shapely.make_valid(shapely.Polygon(rings[0], rings[1:]))


def _name(placed: Placed) -> str:
    return f"{placed.part} copy {placed.copy}" if placed.copy > 1 else placed.part
