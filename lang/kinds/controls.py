"""No kind: control surfaces as pieces: where they are cut off, their hinge bevel, the place of the horn."""

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING, NamedTuple

from ringwright.geometry.errors import GeometryError
from ringwright.geometry.numbers import short
from ringwright.geometry.part import Bevel, Centre, Edge, Flat, Mark, Part
from ringwright.geometry.path import Point, length, line
from ringwright.geometry.wing.planform import mounted
from ringwright.geometry.wing.plate import Plate, Strip, behind, x_at
from ringwright.geometry.wing.rib import outline_of
from ringwright.lang.kinds.surface import Lifted, Piece, behind_edge, beyond, degrees, flat_part, stock_named

if TYPE_CHECKING:
    from ringwright.lang.components.tree import Component
    from ringwright.lang.design.making import Maker
    from ringwright.lang.kinds.plates import Sheet

PAST = 10.0
HORN_BACK = 6.0
"""How far behind the hinge line a horn's cross is drawn, mm: common practice, no published source."""
LEAST = 4.0
BENT = 1e-3


class Hinged(NamedTuple):
    """A control surface of one half.

    sheet: which sheet it is cut off. corners: of the piece, inner front first, the way round, in that sheet's drawing.
    taken: what is cut off the sheet. joined: both halves are one piece. start: how far along the sheet it begins, before
    its gap, mm; stretch: length along the sheet over that out as it flies.
    """

    component: "Component"
    sheet: int
    corners: tuple[Point, ...]
    taken: tuple[Strip, ...]
    joined: bool
    hinge: tuple[Point, Point]
    start: float
    stretch: float


def reach(maker: "Maker", of: Lifted, child: "Component") -> Point:
    """Return from where to where a control surface runs, mm out from the root as it flies. Raises GeometryError."""
    low = maker.number(child, "from") if maker.has(child, "from") else 0.0
    high = maker.number(child, "to") if maker.has(child, "to") else of.half
    if high > of.half + 1e-6:
        raise beyond(f"the end of '{child.name}'", high, of.half, child.properties["to"].value.span)
    if high - low < LEAST:
        raise GeometryError(
            "no-size",
            f"control '{child.name}' runs from {short(low, 2)} to {short(high, 2)} mm: nothing is left of it",
        )
    return low, high


def unjoined(maker: "Maker", child: "Component") -> None:
    """Warn where both halves of a control surface were to be one piece, and can't be."""
    if maker.flag(child, "joined"):
        maker.warn(
            "without-effect",
            f"control '{child.name}' is in two pieces: they are joined where it begins at the root of one sheet across",
            child.properties["joined"].name_span,
            "leave 'joined' out",
        )


def over_joint(child: "Component", by: float) -> GeometryError:
    """Return what is said of a control surface that runs on past the joint of two panels. by: how far, mm."""
    return GeometryError(
        "over-joint",
        f"control '{child.name}' reaches {short(by, 2)} mm past the joint of two panels:"
        " let it end there, and write another beyond",
    )


def of_plate(maker: "Maker", of: Lifted, child: "Component", made: "Sequence[Sheet]") -> Hinged:
    """Return a control surface that is cut off a plate. Raises GeometryError."""
    low, high = reach(maker, of, child)
    sheet = max((one for one in made if one.start <= low + 1e-6), key=lambda one: one.start)
    lengthen = 1 / math.cos(sheet.rise)
    start, end = ((y - sheet.start) * lengthen for y in (low, high))
    if end > sheet.plate.long + 1e-6:
        raise over_joint(child, end - sheet.plate.long)
    end = min(end, sheet.plate.long)
    depths = []
    for along in (start, end):
        leading, trailing = sheet.plate.chord_at(along)
        depth = behind_edge(maker, child, "chord", trailing - leading)
        if depth > trailing - leading - LEAST:
            raise GeometryError(
                "no-size",
                f"control '{child.name}' is {short(depth, 2)} mm deep where the chord is {short(trailing - leading, 2)} mm:"
                " nothing is left to hinge it to",
            )
        depths.append(depth)
    deep = (depths[0], depths[1])
    gap = maker.number(child, "gap")
    joined = maker.flag(child, "joined") and sheet.across and start < 1e-6
    if not joined:
        unjoined(maker, child)
    at_root, at_tip = start < 1e-6, end > sheet.plate.long - 1e-6
    # What is cut off runs on past the edges it ends at; the piece keeps a gap to what stays.
    edge = rear(sheet.plate, start, end)
    bulge = max(x - x_at((edge[0], edge[-1]), y) for x, y in edge)
    taken = behind(sheet.plate, start, end, deep, PAST + bulge)
    a, _, _, d = taken.corners
    # At a root that is bevelled the sheet is cut square first, a little past where its halves meet.
    out = _past(taken, PAST if at_root and of.twofold and not sheet.across else 0.0, PAST if at_tip else 0.0)
    first = start + (0.0 if joined or (at_root and not of.twofold) else gap)
    last = end - (0.0 if at_tip and sheet.number == made[-1].number else gap)
    hinge = front(a, d, (first, last), gap)
    behind_it = rear(sheet.plate, first, last)
    corners = [hinge[0], *behind_it, hinge[1]]
    strips = [out]
    if sheet.across:
        strips.append(Strip(tuple((x, -y) for x, y in reversed(out.corners))))  # type: ignore[arg-type]
        if joined:
            slope = (d[0] - a[0]) / (d[1] - a[1])
            if abs(slope) > BENT:
                raise GeometryError(
                    "bent-hinge",
                    f"both halves of '{child.name}' are to be one piece, and its hinge line bends by"
                    f" {degrees(2 * math.atan(slope))} in the middle",
                )
            corners = [
                *hinge,
                *behind_it[::-1],
                *((x, -y) for x, y in behind_it[1:]),
                (hinge[1][0], -hinge[1][1]),
            ]
    return Hinged(child, sheet.number, tuple(corners), tuple(strips), joined, hinge, start, lengthen)


def _past(strip: Strip, inner: float, outer: float) -> Strip:
    """A strip run on beyond its two ends, mm."""
    a, b, c, d = strip.corners
    along = d[1] - a[1]

    def at(near: Point, far: Point, y: float) -> Point:
        return near[0] + (far[0] - near[0]) * (y - a[1]) / along, y

    low, high = a[1] - inner, d[1] + outer
    return Strip((at(a, d, low), at(b, c, low), at(b, c, high), at(a, d, high)))


def front(a: Point, d: Point, ends: Point, gap: float) -> tuple[Point, Point]:
    """Return the front edge of a piece from one place out to another: so far behind the hinge line from `a` to `d`, mm."""
    slope = (d[0] - a[0]) / (d[1] - a[1])
    first, last = ((a[0] + slope * (y - a[1]) + gap * math.hypot(1.0, slope), y) for y in ends)
    return first, last


def rear(of: Plate, first: float, last: float) -> list[Point]:
    """Return the trailing edge between two places out, with its corners."""
    between = [at for at in of.trailing if first + 1e-6 < at[1] < last - 1e-6]
    return [(of.chord_at(first)[1], first), *between, (of.chord_at(last)[1], last)]


def part(maker: "Maker", of: Lifted, middle: Flat, hinged: Hinged) -> Part:
    """Return a control surface as a part. middle: of its sheet, in the surface's frame."""
    child = hinged.component
    stock = stock_named(maker, child, "stock") or maker.stock(of.component)
    drawn = outline_of(hinged.corners)
    bevel = maker.number(child, "bevel")
    wide = stock.thickness * math.tan(bevel)
    hinge = line(hinged.hinge)
    upper = maker.word(child, "hinge") == "upper"
    marks: list[Mark] = []
    a, d = hinged.hinge
    long = math.dist(a, d)
    into = ((d[1] - a[1]) / long, (a[0] - d[0]) / long)
    lines = [(a, d)]
    if hinged.joined:
        lines.append(((a[0], -a[1]), (d[0], -d[1])))
    if wide >= 0.1:
        for number, (p, q) in enumerate(lines):
            way = into if number == 0 else (into[0], -into[1])
            shifted = [(x + wide * way[0], y + wide * way[1]) for x, y in (p, q)]
            marks.append(
                Mark(
                    line(shifted), "bevel", f"{maker.length(wide)} ({degrees(bevel)})" if number == 0 else ""
                )
            )
    face = "below" if upper else "above"
    notes = ["port face up" if of.component.kind.name == "fin" else "top face up"]
    if of.component.kind.name == "fin":
        face = "starboard" if upper else "port"
    notes.append(f"hinge edge bevelled {maker.length(wide)} ({degrees(bevel)}) {face}")
    centres: list[Centre] = []
    if maker.has(child, "horn"):
        centres.append(_horn(maker, of, child, hinged, into))
        notes.append("horn at the cross")
    edges = (
        Edge("hinge", of.component.id, bevel, length(hinge) * (2 if hinged.joined else 1)),
        Edge("rim", "", 0.0, max(0.0, length(drawn) - length(hinge) * (2 if hinged.joined else 1))),
    )
    bevels = tuple(
        Bevel(line(each), 0.0 if upper else wide, wide if upper else 0.0) for each in lines if wide > 0
    )
    piece = Piece(child.name, drawn, (), (), tuple(marks), tuple(centres), tuple(notes), edges, bevels)
    return flat_part(of, piece, stock, mounted(of.mount, middle, stock.thickness / 2))


def _horn(maker: "Maker", of: Lifted, child: "Component", hinged: Hinged, into: Point) -> Centre:
    (x0, y0), (x1, y1) = hinged.hinge
    low, _ = reach(maker, of, child)
    y = hinged.start + (maker.number(child, "horn") - low) * hinged.stretch
    if not y0 - 1e-6 <= y <= y1 + 1e-6:
        over = max(y0 - y, y - y1)
        raise GeometryError(
            "beyond-span",
            f"the horn of '{child.name}' is {short(maker.number(child, 'horn'), 2)} mm out, {short(over, 2)} mm beside the surface",
        )
    x = x0 + (x1 - x0) * (y - y0) / (y1 - y0)
    return Centre((x + HORN_BACK * into[0], y + HORN_BACK * into[1]), 4.0)
