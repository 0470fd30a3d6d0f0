"""A finished layout looked at once more, by other means than made it: true outlines, exact distances."""

import math
from collections import Counter
from collections.abc import Sequence
from typing import TYPE_CHECKING, NamedTuple

from ringwright.geometry.nest.turns import by_grain
from ringwright.geometry.numbers import short
from ringwright.geometry.part import Cutting, Offcut, Part, Placed, Sheet
from ringwright.geometry.path import bounds, flattened, moved, turned

if TYPE_CHECKING:
    from shapely import Polygon

_FLATTEN = 0.002
"""mm by which the outlines compared may leave their arcs."""

_SHORT = 0.01
"""mm by which a gap or margin may fall short."""


class Fault(NamedTuple):
    """What is wrong with a layout, in one sentence, and the placements that it is about, with their sheet.

    placed: one, or the two that overlap, or none for a copy that is missing. sheet: None for that, too.
    """

    text: str
    placed: tuple[Placed, ...] = ()
    sheet: Sheet | None = None


def verify(sheets: Sequence[Sheet], parts: Sequence[Part], cutting: Cutting) -> tuple[str, ...]:
    """What is wrong with a layout, one sentence for each fault; empty where it can be cut: see `faults`."""
    return tuple(fault.text for fault in faults(sheets, parts, cutting))


def faults(sheets: Sequence[Sheet], parts: Sequence[Part], cutting: Cutting) -> tuple[Fault, ...]:
    """What is wrong with a layout; empty where it can be cut.

    Looked for: a part on the wrong stock or unknown, a copy too many or missing, a part that passes the
    margin of a sheet or of an offcut, its holes and damage included, two that overlap or stand too close, a
    part across its grain, parts that are to stay together and do not.
    """
    known = {part.id: part for part in parts}
    found = [*_counts(sheets, parts), *_apart(sheets, known)]
    for sheet in sheets:
        there = [placed for placed in sheet.placements if placed.part in known]
        where = f"offcut {sheet.offcut.name}" if sheet.offcut is not None else f"sheet {sheet.index}"
        where += f" of {sheet.stock.name}"
        shapes = _shapes(there, known)
        board = None if sheet.offcut is None else _room(sheet.offcut)
        for placed, shape in zip(there, shapes, strict=True):
            found += [
                Fault(f"{_name(placed)} {text} on {where}", (placed,), sheet)
                for text in _alone(placed, known[placed.part], sheet, cutting, shape, board)
            ]
        found += [
            Fault(f"{text} on {where}", pair, sheet) for text, pair in _pairs(there, shapes, cutting.gap)
        ]
    return tuple(found)


def _counts(sheets: Sequence[Sheet], parts: Sequence[Part]) -> list[Fault]:
    """Copies that are missing, or that nobody asked for."""
    asked = Counter({(part.id, copy): 1 for part in parts for copy in range(1, part.quantity + 1)})
    laid = Counter((placed.part, placed.copy) for sheet in sheets for placed in sheet.placements)
    found = [Fault(f"{name} copy {copy} is on no sheet") for name, copy in sorted(asked - laid)]
    seen: set[tuple[str, int]] = set()
    more = []
    for sheet in sheets:
        for placed in sheet.placements:
            case = (placed.part, placed.copy)
            if case not in asked or case in seen:
                fault = "is laid twice" if case in asked else "is laid, but not asked for"
                more.append(Fault(f"{placed.part} copy {placed.copy} {fault}", (placed,), sheet))
            seen.add(case)
    return found + sorted(more, key=lambda fault: fault.text)


def _apart(sheets: Sequence[Sheet], known: dict[str, Part]) -> list[Fault]:
    """Groups of parts that are to lie on one sheet and lie on several."""
    groups: dict[str, list[tuple[Placed, Sheet]]] = {}
    for sheet in sheets:
        for placed in sheet.placements:
            together = known[placed.part].together if placed.part in known else ""
            if together:
                groups.setdefault(together, []).append((placed, sheet))
    return [
        Fault(
            f"{_name(placed)} is to stay together with {_name(members[0][0])}, and does not", (placed,), sheet
        )
        for _, members in sorted(groups.items())
        for placed, sheet in members
        if sheet is not members[0][1]
    ]


def _alone(
    placed: Placed, part: Part, sheet: Sheet, cutting: Cutting, shape: "Polygon", board: "Polygon | None"
) -> list[str]:
    """What is wrong with one part on its sheet, whatever lies beside it. board: of an offcut."""
    found = []
    if part.stock != sheet.stock:
        found.append(f"is to be cut from {part.stock.name}, but lies")
    turns = by_grain(part)
    if len(turns) < 4 and placed.rotation % 360.0 not in turns:
        found.append(f"is turned by {short(placed.rotation, 3)}° against its grain")
    if board is None:
        x0, y0, x1, y1 = bounds(
            moved(turned(part.outline, math.radians(placed.rotation)), (placed.x, placed.y))
        )
        clear = min(x0, y0, sheet.stock.width - x1, sheet.stock.height - y1)
    else:
        import shapely

        beyond = shapely.get_coordinates(shape.difference(board))
        over = float(shapely.distance(board, shapely.points(beyond)).max()) if len(beyond) else 0.0
        clear = -over if over > _SHORT else float(shapely.distance(shape, board.boundary))
    if not clear >= cutting.margin - _SHORT:
        asked = f"{short(cutting.margin, 2)} mm are asked"
        found.append(
            f"passes the edge by {short(-clear, 2)} mm where {asked}"
            if clear < 0.0
            else f"is {short(clear, 2)} mm from the edge where {asked}"
        )
    return found


def _pairs(
    placements: Sequence[Placed], shapes: "Sequence[Polygon]", gap: float
) -> list[tuple[str, tuple[Placed, Placed]]]:
    """Parts that overlap or stand closer than the gap."""
    import shapely

    if not placements:
        return []
    near = shapely.STRtree(shapes).query(shapes, predicate="dwithin", distance=max(gap, _SHORT)).T
    found = []
    for one, other in sorted((int(one), int(other)) for one, other in near if one < other):
        apart = shapely.distance(shapes[one], shapes[other])
        pair = (placements[one], placements[other])
        names = f"{_name(pair[0])} and {_name(pair[1])}"
        if (
            apart == 0.0
            and not shapely.intersection(shapes[one], shapes[other]).buffer(-_SHORT / 2.0).is_empty
        ):
            found.append((f"{names} overlap", pair))
        elif apart < gap - _SHORT:
            found.append((f"{names} are {short(apart, 2)} mm apart where {short(gap, 2)} mm are asked", pair))
    return found


def _shapes(placements: Sequence[Placed], known: dict[str, Part]) -> "list[Polygon]":
    """The parts as shapely sees them where they lie."""
    import shapely.affinity

    turned_parts = dict.fromkeys((placed.part, placed.rotation) for placed in placements)
    polygons = {turn: _polygon(known[turn[0]], turn[1]) for turn in turned_parts}
    return [
        shapely.affinity.translate(polygons[placed.part, placed.rotation], placed.x, placed.y)
        for placed in placements
    ]


def _room(offcut: Offcut) -> "Polygon":
    """The board of an offcut, its holes and damage left out."""
    import shapely

    board = shapely.make_valid(shapely.Polygon(flattened(offcut.outline, _FLATTEN)))
    damage = [shapely.make_valid(shapely.Polygon(flattened(hole, _FLATTEN))) for hole in offcut.holes]
    return board.difference(shapely.union_all(damage))


def _polygon(part: Part, turn: float) -> "Polygon":
    """The part turned by so many degrees about its own origin, as shapely sees it."""
    import shapely

    rings = [flattened(turned(ring, math.radians(turn)), _FLATTEN) for ring in (part.outline, *part.holes)]
    return shapely.make_valid(shapely.Polygon(rings[0], rings[1:]))


def _name(placed: Placed) -> str:
    return f"{placed.part} copy {placed.copy}" if placed.copy > 1 else placed.part
