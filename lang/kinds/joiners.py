"""No kind: joiners as pieces, and the slots that they want in plates and ribs."""

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING, NamedTuple

from ringwright.geometry.errors import GeometryError
from ringwright.geometry.numbers import short
from ringwright.geometry.part import Edge, Flat, Mark, Part, Stock
from ringwright.geometry.path import Path, canonical, closed, length, line
from ringwright.geometry.wing.planform import Panel, mounted
from ringwright.geometry.wing.spar import angled
from ringwright.lang.kinds.surface import (
    Lifted,
    Piece,
    behind_edge,
    degrees,
    fit_of,
    flat_part,
)
from ringwright.lang.values.value import Reference

if TYPE_CHECKING:
    from ringwright.lang.components.tree import Component
    from ringwright.lang.design.making import Maker
    from ringwright.lang.kinds.plates import Sheet


class Brace(NamedTuple):
    """A joiner as a part. slots: (number of the sheet, outline in its drawing). in_middle: it joins both halves."""

    component: "Component"
    part: Part
    slots: tuple[tuple[int, Path], ...]
    in_middle: bool


class Joint(NamedTuple):
    """Where panels meet. inner: the panel nearer the root, None at the root. angle: between the two, rad."""

    inner: Panel | None
    outer: Panel
    angle: float
    y: float


def joint_of(maker: "Maker", of: Lifted, child: "Component") -> Joint:
    """Return the joint that a joiner is at: that of a section, or the middle."""
    named = maker.value(child, "joint")
    first = of.panels[0]
    if not isinstance(named, Reference):
        return Joint(None, first, 2 * first.rise, 0.0)
    sections = [section.id for section in maker.children(of.component, "section")]
    number = 1 + sections.index(named.id)
    inner, outer = of.panels[number - 1], of.panels[number]
    return Joint(inner, outer, outer.rise - inner.rise, outer.inner.y)


def of_plate(maker: "Maker", of: Lifted, child: "Component", made: "Sequence[Sheet]") -> Brace:
    """Return a joiner that stands in slots of two plates, flush with their upper faces. Raises GeometryError."""
    joint = joint_of(maker, of, child)
    stock, sheet_stock = maker.stock(child), maker.stock(of.component)
    into = maker.number(child, "reach")
    depth = maker.number(child, "depth") if maker.has(child, "depth") else 3 * sheet_stock.thickness
    place = behind_edge(maker, child, "at", joint.outer.inner.chord)
    wide = stock.thickness + fit_of(maker, child, stock)
    x = joint.outer.inner.back + place
    slots = []
    for sheet in made:
        near = sheet.plate
        begin = near.flat.origin[0]
        ends = [0.0] if abs(sheet.start - joint.y) < 1e-6 else []
        outer_y = sheet.start + near.long * math.cos(sheet.rise)
        ends += [near.long] if abs(outer_y - joint.y) < 1e-6 else []
        for end in ends:
            way = 1.0 if end == 0.0 else -1.0
            if into > near.long:
                raise GeometryError(
                    "beyond-span",
                    f"joiner '{child.name}' reaches {short(into - near.long, 2)} mm past the end of its panel",
                )
            back = -5.0 if not sheet.across else -into
            low, high = end + way * back, end + way * into
            corners = [(x - begin - wide / 2, low), (x - begin + wide / 2, low)]
            corners += [(x - begin + wide / 2, high), (x - begin - wide / 2, high)]
            slots.append((sheet.number, canonical(closed(corners))))
            if sheet.across and end > 0.0:
                slots.append((sheet.number, canonical(closed([(fore, -out) for fore, out in corners]))))
    top = sheet_stock.thickness / 2
    part = _part(maker, of, child, joint, stock, (x, top - depth / 2), into, depth)
    return Brace(child, part, tuple(slots), joint.inner is None)


def _part(
    maker: "Maker",
    of: Lifted,
    child: "Component",
    joint: Joint,
    stock: Stock,
    at: tuple[float, float],
    into: float,
    depth: float,
) -> Part:
    """Return the piece. at: X of its middle in the surface's frame, and its middle's height over the leading edge's line.

    into: how far it goes into either panel, mm.
    """
    drawn = angled((into, into), joint.angle, depth)
    rise = joint.inner.rise if joint.inner is not None else -joint.outer.rise
    u = (0.0, math.cos(rise), math.sin(rise))
    v = (0.0, 0.0 - math.sin(rise), math.cos(rise))
    lean = joint.angle / 2 + rise
    # Heights are square to the panels; in the joint's plane that is longer.
    x, height = at
    high = height / math.cos(joint.angle / 2)
    origin = (x, joint.y - high * math.sin(lean), joint.outer.inner.up + high * math.cos(lean))
    flat = Flat(origin, u, v)
    tick = min(depth / 3, 6.0)
    half = math.hypot(depth / 2, depth / 2 * math.tan(joint.angle / 2))
    up = (-math.sin(joint.angle / 2), math.cos(joint.angle / 2))
    ends = [(half * up[0], half * up[1]), ((half - tick) * up[0], (half - tick) * up[1])]
    notes = ("aft face up", f"joins at {degrees(joint.angle)}")
    piece = Piece(
        child.name, drawn, (), (), (Mark(line(ends), "top", "joint"),), (), notes,
        (Edge("rim", of.component.id, 0.0, length(drawn)),),
    )  # fmt: skip
    return flat_part(of, piece, stock, mounted(of.mount, flat, stock.thickness / 2))


class InRibs(NamedTuple):
    """A joiner in a built-up wing. x: of its middle in the surface's frame; wide: of its slots, mm; low, high: heights over
    the leading edge's line; into: how far it goes into either panel.
    """

    component: "Component"
    joint: Joint
    stock: Stock
    x: float
    wide: float
    low: float
    high: float
    into: float


def part_in_ribs(maker: "Maker", of: Lifted, one: InRibs) -> Brace:
    """Return a joiner of a built-up wing as a part."""
    middle = (one.low + one.high) / 2
    part = _part(
        maker,
        of,
        one.component,
        one.joint,
        one.stock,
        (one.x, middle),
        one.into,
        one.high - one.low,
    )
    return Brace(one.component, part, (), one.joint.inner is None)
