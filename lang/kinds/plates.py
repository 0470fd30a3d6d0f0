"""No kind: surfaces that are flat plates, with their control surfaces, tabs and joiners."""

import math
from collections.abc import Iterator
from typing import TYPE_CHECKING, NamedTuple

from ringwright.geometry import outline as shapes
from ringwright.geometry.numbers import short
from ringwright.geometry.part import Bevel, Edge, Mark, Part, Stock
from ringwright.geometry.path import Path, Point, canonical, closed, length, line
from ringwright.geometry.wing.planform import mounted, straight
from ringwright.geometry.wing.plate import Plate, outline, plate, run_on
from ringwright.geometry.within import level_crossings
from ringwright.lang.design.making import Refusal, blaming
from ringwright.lang.kinds import controls, joiners, openings
from ringwright.lang.kinds.surface import Lifted, Piece, degrees, flat_part, handed

if TYPE_CHECKING:
    from ringwright.lang.components.tree import Component
    from ringwright.lang.design.making import Maker

LEAST_BEVEL = 0.1
"""Least width of a bevelled edge that is worth a word, mm."""


class Sheet(NamedTuple):
    """One sheet of a surface. number: of its run, from 0. start: how far out along all runs it begins, mm, as it flies.

    across: it reaches from tip to tip.
    """

    plate: Plate
    number: int
    start: float
    rise: float
    ends: Point
    across: bool


def sheets(maker: "Maker", of: Lifted) -> list[Sheet]:
    """Return the sheets of one half, root first; the first goes across where it is level and both halves are wanted."""
    found = []
    for number, run in enumerate(straight(of.panels)):
        rise = run[0].rise
        ends = (rise - run[0].lean_in, rise - run[-1].lean_out)
        both = of.twofold and number == 0 and abs(rise) < 1e-6 and maker.word(of.component, "hand") == "both"
        found.append(Sheet(plate(run), number, run[0].inner.y, rise, ends, both))
    return found


def parts(maker: "Maker", of: Lifted) -> Iterator[Part]:
    """Yield the sheets, the control surfaces cut off them, and the joiners. Raises GeometryError."""
    component = of.component
    stock = maker.stock(component)
    for child in maker.children(component, "spar"):
        raise Refusal(
            "without-section",
            f"spar '{child.name}' has nothing to sit in: '{component.id}' is a flat plate",
            child.span,
        )
    made = sheets(maker, of)
    cut: dict[int, list[controls.Hinged]] = {}
    for child in maker.children(component, "control"):
        with blaming(child.span):
            hinged = controls.of_plate(maker, of, child, made)
        cut.setdefault(hinged.sheet, []).append(hinged)
    braces = [joiners.of_plate(maker, of, child, made) for child in maker.children(component, "joiner")]
    for sheet in made:
        slots = [
            (brace.component, slot)
            for brace in braces
            for number, slot in brace.slots
            if number == sheet.number
        ]
        own = _sheet(maker, of, sheet, stock, cut.get(sheet.number, []), slots, len(made) > 1)
        yield from (own,) if sheet.across else handed(maker, of, own)
        for hinged in cut.get(sheet.number, []):
            part = controls.part(maker, of, sheet.plate.flat, hinged)
            yield from (part,) if hinged.joined else handed(maker, of, part)
    for brace in braces:
        yield from (brace.part,) if brace.in_middle else handed(maker, of, brace.part)


def _sheet(
    maker: "Maker",
    of: Lifted,
    sheet: Sheet,
    stock: Stock,
    cut: "list[controls.Hinged]",
    slots: "list[tuple[Component, Path]]",
    numbered: bool,
) -> Part:
    component = of.component
    # What is cut square first reaches to the face that is longer at a bevelled end.
    more = [stock.thickness * math.tan(abs(end)) / 2 for end in sheet.ends]
    whole = run_on(sheet.plate, *more)
    drawn = outline(whole, sheet.across, _corner(maker, of, sheet))
    if component.kind.name == "fin":
        drawn = _with_tab(maker, component, sheet.plate, drawn)
    for hinged in cut:
        for strip in hinged.taken:
            drawn = shapes.minus(drawn, canonical(closed(strip.corners)))
    for child, slot in slots:
        with blaming(child.span):
            drawn = shapes.minus(drawn, slot)
    opened = openings.opened(maker, component, drawn) if sheet.number == 0 else openings.Opened(drawn, (), ())
    edges = [Edge("rim", "", 0.0, length(drawn))]
    notes = ["port face up" if component.kind.name == "fin" else "top face up"]
    bevels = []
    for end, which, by in zip(sheet.ends, ("inner", "outer"), more, strict=True):
        if 2 * by >= LEAST_BEVEL:
            at = 0 if which == "inner" else -1
            line_along = line([whole.leading[at], whole.trailing[at]])
            upper = (end > 0) == (which == "inner")
            notes.append(
                f"{which} edge bevelled {maker.length(2 * by)} ({degrees(end)}) {'above' if upper else 'below'}"
            )
            sides = [line_along]
            if sheet.across:
                sides.append(line([(x, -y) for x, y in line_along.points]))
            for side in sides:
                edges.append(Edge(f"{which} edge", component.id, abs(end), length(side)))
                bevels.append(Bevel(side, 2 * by if upper else 0.0, 0.0 if upper else 2 * by))
    piece = Piece(
        str(sheet.number + 1) if numbered else "", opened.outline, opened.holes, (),
        _marks(sheet, drawn), opened.centres, tuple(notes), tuple(edges), tuple(bevels),
    )  # fmt: skip
    return flat_part(of, piece, stock, mounted(of.mount, sheet.plate.flat, stock.thickness / 2))


def _corner(maker: "Maker", of: Lifted, sheet: Sheet) -> float:
    if sheet.number + 1 < len(straight(of.panels)):
        return 0.0
    corner = maker.number(of.component, "corner")
    tip, long = of.stations[-1].chord, sheet.plate.long
    most = min(tip / 2, long)
    if corner > most + 1e-9:
        raise Refusal(
            "corner-too-round",
            f"corners of radius {short(corner, 2)} mm do not fit a tip of {short(tip, 2)} mm on a sheet that reaches"
            f" {short(long, 2)} mm out: {short(most, 2)} mm at most",
            of.component.properties["corner"].value.span
            if "corner" in of.component.properties
            else of.component.span,
        )
    return corner


def _marks(sheet: Sheet, drawn: Path) -> tuple[Mark, ...]:
    """Return the middle line of a sheet that goes across: a tick at either edge."""
    if not sheet.across:
        return ()
    leading, trailing = sheet.plate.chord_at(0.0)
    tick = min(8.0, (trailing - leading) / 4)
    crossings = sorted(level_crossings(drawn, 0.0))
    if len(crossings) < 2:
        return ()
    front, rear = crossings[0], crossings[-1]
    return (
        Mark(line([(front, 0.0), (front + tick, 0.0)]), "datum", "middle"),
        Mark(line([(rear, 0.0), (rear - tick, 0.0)]), "datum"),
    )


def _with_tab(maker: "Maker", component: "Component", of: Plate, drawn: Path) -> Path:
    if "tab" not in component.properties:
        return drawn
    long, deep = maker.size(component, "tab")
    leading, trailing = of.chord_at(0.0)
    middle = maker.number(component, "tab_at") if maker.has(component, "tab_at") else (leading + trailing) / 2
    if middle - long / 2 < leading - 1e-6 or middle + long / 2 > trailing + 1e-6:
        over = max(leading - (middle - long / 2), middle + long / 2 - trailing)
        raise Refusal(
            "tab-off-root",
            f"the tab reaches {short(over, 2)} mm past the root, which is {short(trailing - leading, 2)} mm long",
            component.properties["tab"].value.span,
        )
    corners = [
        (middle - long / 2, -deep),
        (middle + long / 2, -deep),
        (middle + long / 2, 1.0),
        (middle - long / 2, 1.0),
    ]
    return shapes.joined(drawn, canonical(closed(corners)))
