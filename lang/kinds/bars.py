"""No kind: spars, edge stock and joiners of built-up surfaces: where they run, their slots, their pieces."""

import math
from collections.abc import Iterator, Sequence
from itertools import pairwise
from typing import TYPE_CHECKING, NamedTuple

from ringwright.geometry.numbers import short
from ringwright.geometry.part import Bevel, Edge, Mark, Part, Stock
from ringwright.geometry.path import Path, bounds, length, line, signed_area
from ringwright.geometry.wing.planform import Panel, between, mounted, station_at
from ringwright.geometry.wing.rib import Body, Notch
from ringwright.geometry.wing.spar import Bar, Standing, lying, slot_width, standing
from ringwright.geometry.within import level_crossings
from ringwright.lang.design.making import Refusal, blaming
from ringwright.lang.kinds import joiners
from ringwright.lang.kinds.rib_places import is_twisted
from ringwright.lang.kinds.surface import Piece, behind_edge, fit_of, flat_part

if TYPE_CHECKING:
    from ringwright.lang.components.tree import Component
    from ringwright.lang.design.making import Maker
    from ringwright.lang.kinds.rib_places import Rib
    from ringwright.lang.kinds.ribbed import Frame

FAR = 1e3
BETWEEN = (0.2, 0.4, 0.6, 0.8)
LEAST_WEB = 2.0
LEAST_NOSE = 0.6
NEAR = 1e-3
RIM = 2.0
"""The least depth of a web that is half through a rib, mm; the thickness of a shaped edge; what is left of a rib above and
below a joiner. Our choices."""


class Laid(NamedTuple):
    """A spar. width, depth: mm; depth None for all that there is. bars: one for each panel, root first."""

    component: "Component"
    seat: str
    stock: Stock
    width: float
    depth: float | None
    fit: float
    bars: tuple[Bar, ...]


def edge_width(maker: "Maker", component: "Component", seat: str) -> float:
    """Return how much of the section edge stock takes, at the front or at the rear; 0 where there is none."""
    for child in maker.children(component, "spar"):
        if maker.word(child, "seat") == seat:
            if maker.has(child, "width"):
                return maker.number(child, "width")
            if seat == "rear":
                raise Refusal(
                    "missing-property",
                    f"'{child.name}' at the rear needs its width: width = 20 mm",
                    child.span,
                )
            return maker.stock(child).thickness
    return 0.0


def laid(frame: "Frame", child: "Component") -> Laid:
    """Return where a spar runs. Raises GeometryError."""
    maker = frame.maker
    seat = maker.word(child, "seat")
    stock = maker.stock(child)
    width = maker.number(child, "width") if maker.has(child, "width") else stock.thickness
    depth = maker.number(child, "depth") if maker.has(child, "depth") else None
    if depth is None and seat in ("upper", "lower", "middle"):
        depth = stock.thickness
    if seat not in ("front", "rear") and not maker.has(child, "at"):
        message = f"nothing says where spar '{child.name}' is: at = 30 %, or a length behind the leading edge"
        raise Refusal("missing-property", message, child.span)
    if (
        seat not in ("web", "front", "rear")
        and min(abs(width - stock.thickness), abs((depth or 0.0) - stock.thickness)) > 0.01
    ):
        raise Refusal(
            "bar-not-of-stock",
            f"a bar {short(width, 2)} by {short(depth or 0.0, 2)} mm cannot be cut from a sheet of"
            f" {short(stock.thickness, 2)} mm: its width or its depth is that",
            child.span,
        )
    one = Laid(child, seat, stock, width, depth, fit_of(maker, child, stock), ())
    made = []
    for panel in frame.of.panels:
        with blaming(child.span):
            ends = [_at_end(frame, one, panel, along) for along in (0.0, panel.long)]
        made.append(_within(frame, one, Bar(panel, ends[0], ends[1])))
    return one._replace(bars=tuple(made))


def _within(frame: "Frame", one: Laid, bar: Bar) -> Bar:
    """Return a bar that is as deep as its sections, less deep where a twisted skin passes those between nearer to it."""
    if one.depth is not None or one.seat == "rear" or not is_twisted(bar.panel):
        return bar
    above = below = 0.0
    for share in BETWEEN:
        x, low, high = bar.along(share * bar.panel.long)
        inside = frame.body_at(bar.panel, share * bar.panel.long, whole=True)
        at = x + one.width / 2 if one.seat == "front" else x
        found = (
            inside.heights(at, at)
            if one.seat == "front"
            else inside.heights(x - one.width / 2, x + one.width / 2)
        )
        if found is not None:
            below, above = max(below, found[0] - low), max(above, high - found[1])
    (x0, low0, high0), (x1, low1, high1) = bar.start, bar.end
    return bar._replace(start=(x0, low0 + below, high0 - above), end=(x1, low1 + below, high1 - above))


def _at_end(frame: "Frame", one: Laid, panel: Panel, along: float) -> tuple[float, float, float]:
    """Return (along the chord, lowest, highest) of a bar's middle in the section at an end of a panel."""
    here = station_at(panel, along)
    assert here.profile is not None
    whole = frame.body_at(panel, along, whole=True)
    if one.seat == "front":
        begin = whole.ends[0]
        x = begin + one.width / 2
        rear = whole.heights(begin + one.width, begin + one.width)
        low, high = rear if rear is not None else (0.0, 0.0)
    elif one.seat == "rear":
        # It is a wedge: it lies on the section's lower side, and its upper face runs down to the trailing edge.
        last = whole.ends[1]
        x = last - one.width / 2
        lows = [whole.heights(at, at) for at in (last - one.width, last - NEAR)]
        low, high = (0.0 if pair is None else pair[0] for pair in lows)
    else:
        x = behind_edge(frame.maker, one.component, "at", here.chord)
        at = "the root" if along == 0.0 and panel.inner.y == 0.0 else f"{short(here.y, 1)} mm out"
        low, high = _seated(one, x, whole, f"the section {at}")
    return x, low, high


def _seated(one: Laid, x: float, inside: Body, where: str) -> tuple[float, float]:
    """Return the lowest and the highest of a bar in a section. Raises Refusal where it stands out of it."""
    found = inside.heights(x - one.width / 2, x + one.width / 2)
    if found is None:
        first, last = inside.ends
        over = max(first - (x - one.width / 2), x + one.width / 2 - last)
        raise Refusal(
            "spar-outside-rib",
            f"'{one.component.name}' stands {short(max(over, 0.01), 2)} mm outside {where}, which reaches from"
            f" {short(first, 2)} to {short(last, 2)} mm behind the leading edge",
            one.component.span,
        )
    low, high = found
    wanted = LEAST_WEB if one.depth is None else one.depth
    if high - low < wanted - 1e-9:
        raise Refusal(
            "spar-outside-rib",
            f"'{one.component.name}' is {short(wanted, 2)} mm deep, and {where} has {short(max(high - low, 0.0), 2)} mm"
            f" for it, {short(wanted - max(high - low, 0.0), 2)} mm too little",
            one.component.span,
        )
    middle = (low + high) / 2
    if one.seat == "upper" and one.depth is not None:
        return high - one.depth, high
    if one.seat == "lower" and one.depth is not None:
        return low, low + one.depth
    if one.depth is not None:
        return middle - one.depth / 2, middle + one.depth / 2
    return low, high


def notch(frame: "Frame", one: Laid, bar: Bar, along: float, inside: Body, name: str) -> Notch:
    """Return the slot of a bar in a rib. Raises Refusal where the rib has no room for it."""
    x, low, high = bar.along(along)
    _seated(one, x, inside, f"{name.replace('.', ' ')} of '{frame.of.component.id}'")
    wide = slot_width(one.width, bar.slant, frame.stock.thickness, one.fit) / 2
    if one.seat == "upper":
        return Notch(x - wide, x + wide, low, FAR)
    if one.seat == "lower":
        return Notch(x - wide, x + wide, -FAR, high)
    if one.seat == "web":
        # The lower half of the rib is open for it; the upper half sits in the web's slot.
        return Notch(x - wide, x + wide, -FAR, (low + high) / 2)
    return Notch(x - wide, x + wide, low - one.fit / 2, high + one.fit / 2)


def parts(frame: "Frame", one: Laid, ribs: "Sequence[Rib]") -> Iterator[Part]:
    """Yield the pieces of a spar, one for each panel."""
    many = len(one.bars) > 1
    for number, bar in enumerate(one.bars):
        name = one.component.name + (f".{number + 1}" if many else "")
        if one.seat == "rear":
            yield from _rear(frame, one, bar, name)
            continue
        if one.seat == "front":
            yield _front(frame, one, bar, name)
            continue
        if abs(one.width - one.stock.thickness) > 0.01:
            placed = lying(bar.panel, *(_flat_ends(one, at) for at in (bar.start, bar.end)))
            yield _piece(frame, one, name, placed, ("top face up",))
            continue
        slots = []
        if one.seat == "web":
            wide = slot_width(frame.stock.thickness, bar.slant, one.stock.thickness, one.fit)
            for rib in ribs:
                along = _place_in(frame, number, rib)
                if along is not None:
                    _, low, high = bar.along(along)
                    deep = (high - low) / 2
                    lean = 0.0 if rib.lean is None else abs(math.tan(bar.panel.rise - rib.lean))
                    slots.append((along, wide + 2 * deep * lean, deep + one.fit / 2))
        yield _piece(frame, one, name, standing(bar, slots), ("aft face up",))


def _place_in(frame: "Frame", number: int, rib: "Rib") -> float | None:
    """Return how far along a panel a rib stands, mm; None where it stands in another, unless that is at their common end."""
    if rib.number == number:
        return rib.along
    if rib.lean is None and rib.number == number + 1 and rib.along < NEAR:
        return frame.of.panels[number].long
    if rib.lean is None and rib.number == number - 1 and rib.along > frame.of.panels[rib.number].long - NEAR:
        return 0.0
    return None


def _front(frame: "Frame", one: Laid, bar: Bar, name: str) -> Part:
    """Return leading-edge stock: as deep as the section behind it, its front to be shaped; roughly, bevelled to an edge."""
    placed = standing(bar)
    deep = [high - low for _, low, high in (bar.start, bar.end)]
    back = max(0.0, min(sum(deep) / 4, min(deep) / 2) - LEAST_NOSE / 2)
    bevels = tuple(Bevel(each, 0.0, back) for each in _long_edges(placed))
    return _piece(
        frame, one, name, placed, ("aft face up", "leading edge, its front shaped to the section"), bevels
    )


def _long_edges(placed: Standing) -> list[Path]:
    """Return the two edges of a bar's drawing that run along it."""
    points = placed.outline.points
    edges = [(a, b) for a, b in pairwise((*points, points[0]))]
    edges.sort(key=lambda edge: -math.dist(*edge))
    return [line(edge) for edge in edges[:2]]


def _rear(frame: "Frame", one: Laid, bar: Bar, name: str) -> Iterator[Part]:
    """Yield trailing-edge stock, where no control surface is."""
    panel = bar.panel
    steps = panel.long / (panel.outer.y - panel.inner.y)
    free = [(0.0, panel.long)]
    for moving in frame.moving:
        low, high = ((y - panel.inner.y) * steps for y in (moving.low, moving.high))
        free = [
            (a, b)
            for start, end in free
            for a, b in ((start, min(end, low)), (max(start, high), end))
            if b - a > 1.0
        ]
    for count, (low, high) in enumerate(free, 1):
        half = one.stock.thickness / 2
        ends = [_wedge(one, bar.along(along), half) for along in (low, high)]
        placed = lying(between(panel, low, high), *ends)
        edge = line([placed.outline.points[k] for k in _rear_edge(placed)])
        bevels = (Bevel(edge, one.width - LEAST_NOSE, 0.0),)
        own = name if len(free) == 1 else f"{name}.{count}"
        yield _piece(
            frame, one, own, placed, ("top face up", "trailing edge, planed to a wedge above"), bevels
        )


def _wedge(
    one: Laid, at: tuple[float, float, float], half: float
) -> tuple[tuple[float, float], tuple[float, float]]:
    """Return the front and the rear of a wedge's middle layer in a section: its lower face lies on the lower side."""
    x, front, rear = at
    return (x - one.width / 2, front + half), (x + one.width / 2, rear + half)


def _rear_edge(placed: Standing) -> tuple[int, int]:
    """Return the two corners of a strip's drawing between which it ends aft: of the edge that faces aft most.

    Where it is much swept, the root end reaches further aft than the middle of that edge.
    """
    points = placed.outline.points
    turn = math.copysign(1.0, signed_area(placed.outline))
    pairs = [(k, (k + 1) % len(points)) for k in range(len(points))]

    def aft(pair: tuple[int, int]) -> float:
        a, b = (points[k] for k in pair)
        return turn * (b[1] - a[1]) / math.dist(a, b)

    return max(pairs, key=aft)


def _piece(
    frame: "Frame",
    one: Laid,
    name: str,
    placed: Standing,
    notes: tuple[str, ...],
    bevels: tuple[Bevel, ...] = (),
) -> Part:
    edges = (Edge("rim", frame.of.component.id, 0.0, length(placed.outline)),)
    marks = _inner_end(placed, 0 if notes[0] == "aft face up" else 1)
    piece = Piece(name, placed.outline, (), (), marks, (), notes, edges, bevels)
    return flat_part(
        frame.of, piece, one.stock, mounted(frame.of.mount, placed.flat, one.stock.thickness / 2)
    )


def _inner_end(placed: Standing, axis: int) -> tuple[Mark, ...]:
    """Return a tick at the end of a bar that is nearer the root. axis: of its drawing, 0 or 1, that runs out along it."""
    box = bounds(placed.outline)
    low, long, middle = box[axis], box[axis + 2] - box[axis], (box[1 - axis] + box[3 - axis]) / 2
    if axis == 0:
        low = min(level_crossings(placed.outline, middle), default=low)
    ends = [(low, middle), (low + min(6.0, long / 4), middle)]
    return (Mark(line([(y, x) for x, y in ends] if axis else ends), "datum", "inner end"),)


def _flat_ends(one: Laid, at: tuple[float, float, float]) -> tuple[tuple[float, float], tuple[float, float]]:
    x, low, high = at
    middle = (low + high) / 2
    return (x - one.width / 2, middle), (x + one.width / 2, middle)


# -- joiners --------------------------------------------------------------------------------------


def brace(frame: "Frame", child: "Component") -> joiners.InRibs:
    """Return where a joiner runs in a built-up surface. Raises GeometryError."""
    maker, of = frame.maker, frame.of
    joint = joiners.joint_of(maker, of, child)
    stock = maker.stock(child)
    into = maker.number(child, "reach")
    wide = stock.thickness + fit_of(maker, child, stock)
    x = joint.outer.inner.back + behind_edge(maker, child, "at", joint.outer.inner.chord)
    lows, highs = [], []
    for panel, along in _reaches(joint, into):
        if not -1e-6 <= along <= panel.long + 1e-6:
            over = max(-along, along - panel.long)
            message = f"joiner '{child.name}' reaches {short(over, 2)} mm past the end of its panel"
            raise Refusal("beyond-span", message, child.span)
        here = station_at(panel, along)
        with blaming(child.span):
            inside = frame.body_at(panel, along)
        found = inside.heights(x - here.back - wide / 2, x - here.back + wide / 2)
        if found is None:
            first, last = inside.ends
            over = max(first - (x - here.back - wide / 2), x - here.back + wide / 2 - last)
            message = f"joiner '{child.name}' stands {short(max(over, 0.01), 2)} mm outside the section {short(here.y, 1)} mm out"
            raise Refusal("spar-outside-rib", message, child.span)
        tilt = (x - here.back) * math.sin(here.twist)
        lows.append(found[0] - tilt)
        highs.append(found[1] - tilt)
    low, high = max(lows), min(highs)
    deep = high - low
    if maker.has(child, "depth"):
        depth = maker.number(child, "depth")
        if depth > deep + 1e-9:
            message = (
                f"joiner '{child.name}' is {short(depth, 2)} mm deep, and the sections it goes through have"
                f" {short(max(deep, 0.0), 2)} mm for it, {short(depth - max(deep, 0.0), 2)} mm too little"
            )
            raise Refusal("spar-outside-rib", message, child.span)
        low, high = (low + high - depth) / 2, (low + high + depth) / 2
    else:
        # Ribs stay whole above and below it.
        low, high = low + RIM, high - RIM
    if high - low < LEAST_WEB:
        message = (
            f"the sections that joiner '{child.name}' goes through have {short(max(deep, 0.0), 2)} mm for it"
        )
        raise Refusal("spar-outside-rib", message, child.span)
    return joiners.InRibs(child, joint, stock, x, wide, low, high, into)


def _reaches(joint: joiners.Joint, into: float) -> list[tuple[Panel, float]]:
    """Return the places that a joiner passes: at its joint, and at its ends."""
    found = [(joint.outer, 0.0), (joint.outer, into)]
    if joint.inner is not None:
        found += [(joint.inner, joint.inner.long), (joint.inner, joint.inner.long - into)]
    return found


def brace_notch(frame: "Frame", one: joiners.InRibs, number: int, along: float) -> Notch | None:
    """Return the slot of a joiner in a rib; None where it does not reach that."""
    panel = frame.of.panels[number]
    outer, inner = panel is one.joint.outer, panel is one.joint.inner
    half = frame.stock.thickness / 2
    if not (outer and along - half < one.into) and not (inner and panel.long - along - half < one.into):
        return None
    here = station_at(panel, along)
    x = one.x - here.back
    tilt = x * math.sin(here.twist)
    room = (one.wide - one.stock.thickness) / 2
    return Notch(x - one.wide / 2, x + one.wide / 2, one.low + tilt - room, one.high + tilt + room)
