"""Plates and flat rings of a stack to parts: discs with their bevels, their marks and their place."""

import math
from collections.abc import Iterable, Iterator, Mapping
from itertools import product
from typing import TYPE_CHECKING, NamedTuple

from ringwright.geometry import outline as shapes
from ringwright.geometry.errors import GeometryError
from ringwright.geometry.mark import tick_length
from ringwright.geometry.mass import measure
from ringwright.geometry.numbers import short
from ringwright.geometry.part import Bevel, Centre, Edge, Mark, Part
from ringwright.geometry.path import Path, canonical, line, turned
from ringwright.geometry.within import level_crossings
from ringwright.lang.design.making import Unsettled
from ringwright.lang.kinds import bows, element, hoops, openings, stacked
from ringwright.lang.kinds.rolled import LEAST_BEVEL

if TYPE_CHECKING:
    from ringwright.lang.components.tree import Component
    from ringwright.lang.design.making import Maker

CROSS = 5.0


class Faces(NamedTuple):
    """A disc as cut: diameter, the diameter of the smaller face (the same where it is square), its bevel in rad,
    whether the smaller face is the one drawn, and the outside diameter of the joint that its marks belong to.
    """

    diameter: float
    smaller: float
    bevel: float
    smaller_up: bool
    joint: float


def plate_parts(maker: "Maker", component: "Component") -> Iterable[Part]:
    """Yield the one disc of a plate."""
    faces = _faces(maker, component)
    outline = canonical(shapes.circle(faces.diameter))
    inner = _second_line(maker, faces)
    bore = _bore(maker, component)
    opened = openings.opened(maker, component, outline, bore)
    yield part(maker, component, opened, faces, inner, maker.count(maker.parent(component), "quantity") or 1)


def _second_line(maker: "Maker", faces: Faces) -> tuple[Mark, ...]:
    """Return the second line of a bevel: the smaller face, seen through the sheet where it lies underneath."""
    width = (faces.diameter - faces.smaller) / 2
    if width < LEAST_BEVEL:
        return ()
    return (Mark(canonical(shapes.circle(faces.smaller)), "bevel", _bevel_text(maker, faces)),)


def _bevel_text(maker: "Maker", faces: Faces) -> str:
    width = maker.length((faces.diameter - faces.smaller) / 2)
    return f"{width} ({short(math.degrees(faces.bevel), 1)}°)"


def _bore(maker: "Maker", component: "Component") -> tuple[openings.Opening, ...]:
    stack = maker.parent(component)
    if "bore" not in stack.properties:
        return ()
    diameter = maker.number(stack, "bore")
    return (openings.Opening(stack, shapes.circle(diameter), ((0.0, 0.0), diameter / 2)),)


def _faces(maker: "Maker", component: "Component") -> Faces:
    seat = maker.word(component, "seat")
    if seat == "cap":
        diameter = maker.number(component, "diameter")
        near = element.neighbours(maker.tree, component)
        # Marks stand at the turns of the element that it faces, whatever its own size.
        joint = diameter
        if near.before is not None:
            joint = maker.number(near.before, "end")
        elif near.after is not None:
            joint = maker.number(near.after, "start")
        return Faces(diameter, diameter, 0.0, False, joint)
    outer, inner = (maker.number(component, f"diameter_{face}_face") for face in ("outer", "inner"))
    run = stacked.stand(maker, maker.parent(component)).run
    near = element.neighbours(maker.tree, component)
    if seat == "straddle":
        assert near.before is not None
        assert near.after is not None
        _check_depth(maker, component, near.before, True, maker.number(component, "depth") / 2)
        _check_depth(maker, component, near.after, False, maker.number(component, "depth") / 2)
        _check_room(maker, component)
        _settled(component, outer, inner)
        # The first face looks against the run of the stack.
        first_up = run < 0
        depth = maker.number(component, "depth")
        angle = math.atan2(abs(outer - inner) / 2, depth)
        joint = min(_inside(maker, near.before, "end"), _inside(maker, near.after, "start"))
        # Its rim runs straight from face to face; board gives by half a millimetre on either side.
        if (outer + inner) / 2 > joint + 1.0:
            raise GeometryError(
                "plate-too-thick",
                f"'{component.id}' straddles a waist of {short(joint, 2)} mm and would be {short((outer + inner) / 2, 2)} mm"
                " wide in it: it cannot be put in; use two plates inside",
            )
        return Faces(
            max(outer, inner),
            min(outer, inner),
            angle,
            (outer < inner) == first_up,
            maker.number(near.before, "end"),
        )
    found = maker.value(component, "within")
    host, at_end = element.seat_of(maker.tree, component, getattr(found, "id", ""))
    assert host is not None
    set_back = maker.number(component, "set_back") if maker.has(component, "set_back") else 0.0
    _check_depth(maker, component, host, at_end, set_back + maker.number(component, "depth"))
    _check_room(maker, component)
    _settled(component, outer, inner)
    outer_up = at_end == (run > 0)
    joint = maker.number(host, "end" if at_end else "start")
    return Faces(
        max(outer, inner),
        min(outer, inner),
        maker.number(component, "bevel"),
        (outer < inner) == outer_up,
        joint,
    )


def _taken(maker: "Maker", plate: "Component") -> Iterator[tuple[str, float, float]]:
    """Yield the room that a plate takes within elements: in which, and from where to where from that one's start."""
    seat = maker.word(plate, "seat")
    if seat == "straddle":
        near = element.neighbours(maker.tree, plate)
        half = maker.number(plate, "depth") / 2
        if near.before is not None and near.after is not None:
            long = maker.number(near.before, "length")
            yield from ((near.before.id, long - half, long), (near.after.id, 0.0, half))
    elif seat == "inside":
        found = maker.value(plate, "within")
        host, at_end = element.seat_of(maker.tree, plate, getattr(found, "id", ""))
        if host is not None:
            back = maker.number(plate, "set_back") if maker.has(plate, "set_back") else 0.0
            far, long = back + maker.number(plate, "depth"), maker.number(host, "length")
            yield (host.id, long - far, long - back) if at_end else (host.id, back, far)


def _check_room(maker: "Maker", plate: "Component") -> None:
    """Refuse a plate that lies where one before it in the text does. Raises GeometryError."""
    own = tuple(_taken(maker, plate))
    for other in maker.children(maker.parent(plate), "plate"):
        if other.id == plate.id:
            return
        for (host, low, high), (their_host, their_low, their_high) in product(own, _taken(maker, other)):
            shared = min(high, their_high) - max(low, their_low)
            if host == their_host and shared > 1e-6:
                raise GeometryError(
                    "plates-meet",
                    f"'{plate.id}' lies where '{other.id}' does, {short(shared, 2)} mm deep, in '{host}':"
                    f" set it back by {short(shared, 2)} mm more, or leave one of them out",
                )


def _inside(maker: "Maker", host: "Component", end: str) -> float:
    """Inside diameter of an element at its 'start' or 'end', mm."""
    if bows.bends(host):
        return hoops.rim_of(maker, host, end == "end", maker.stock(host).thickness).inside
    return maker.number(host, "inside" if host.kind.name == "ring" else f"{end}_inside")


def _settled(component: "Component", *diameters: float) -> None:
    """Leave a plate unmade whose ring has nothing inside, which is reported for the ring."""
    if min(diameters) <= 0.0:
        raise Unsettled(component.id)


def _check_depth(
    maker: "Maker", component: "Component", host: "Component", at_end: bool, reach: float
) -> None:
    rings = hoops.of_element(maker, host)
    at = rings[-1 if at_end else 0] if rings else None
    long, id = (at.length, at.id) if at is not None else (maker.number(host, "length"), host.id)
    if reach > long + 1e-9:
        raise GeometryError(
            "plate-too-thick",
            f"'{component.id}' reaches {short(reach, 2)} mm into '{id}', which is {short(long, 2)} mm long:"
            f" {short(reach - long, 2)} mm too far",
        )


def ring_parts(maker: "Maker", component: "Component") -> Iterable[Part]:
    """Yield the layers of a flat ring: one part, as many copies as it has layers."""
    diameter, inside = maker.number(component, "diameter"), maker.number(component, "inside")
    faces = Faces(diameter, diameter, 0.0, False, diameter)
    opening = openings.Opening(component, shapes.circle(inside), None)
    opened = openings.opened(maker, component, canonical(shapes.circle(diameter)), (opening,))
    low = inside / 2
    high = low + tick_length((diameter - inside) / 2)
    quarter = tuple(
        Mark(line([(x * low, y * low), (x * high, y * high)]), "line")
        for x, y in ((1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0))
    )
    layers = maker.count(component, "layers") or 1
    copies = layers * (maker.count(maker.parent(component), "quantity") or 1)
    made = part(maker, component, opened, faces, quarter, copies)
    # All layers together lie about the middle of the ring.
    whole = made.stock._replace(thickness=layers * made.stock.thickness)
    stand, high = stacked.stand(maker, maker.parent(component)), max(stacked.places(maker, component))
    below = tuple(stand.plate(high - layer * made.stock.thickness) for layer in range(1, layers))
    yield made._replace(
        properties=measure(made.outline, made.holes, (), (), whole, made.placement),
        others=below if stand.placed else (),
    )


class Layer(NamedTuple):
    """One disc of several that an element is made as: its id, where it starts and ends along the axis, what it meets at
    its start and its end, and what its label says first.
    """

    id: str
    ends: tuple[float, float]
    mates: tuple[str, str]
    notes: tuple[str, ...]


def part(
    maker: "Maker",
    component: "Component",
    opened: openings.Opened,
    faces: Faces,
    more: tuple[Mark, ...],
    quantity: int,
    layer: Layer | None = None,
) -> Part:
    """Return a disc of an element: the whole of it, or one layer."""
    stack = maker.parent(component)
    stand = stacked.stand(maker, stack)
    stock = maker.stock(component)
    if layer is None:
        mates = stacked.mates(maker, component) if _is_chained(maker, component) else ("", "")
        layer = Layer(component.id, stacked.places(maker, component), mates, _seat_notes(maker, component))
    placement = stand.plate(max(layer.ends)) if stand.placed else None
    notes = [stand.face, *layer.notes]
    if (faces.diameter - faces.smaller) / 2 >= LEAST_BEVEL:
        notes += [
            f"bevel {_bevel_text(maker, faces)}",
            f"smaller face {'up' if faces.smaller_up else 'down'}",
        ]
    id, (before, after) = layer.id, layer.mates
    notes += openings.fits(maker, component)
    marks = _ticks(maker, stack, faces, opened, (before, after))
    centres = opened.centres
    if component.kind.name != "ring" and all(centre.at != (0.0, 0.0) for centre in centres):
        centres = (Centre((0.0, 0.0), CROSS), *centres)
    return Part(
        id=id, name=id, component=component.id, hand="", stock=stock, quantity=quantity, outline=opened.outline,
        holes=opened.holes, far=(), scores=(), peels=(), marks=(*marks, *more), centres=centres, notes=tuple(notes),
        edges=(Edge("rim", " ".join(m for m in (before, after) if m), faces.bevel, math.pi * faces.diameter),),
        grain="free", placement=placement, properties=measure(opened.outline, opened.holes, (), (), stock, placement),
        bevels=_bevels(faces),
    )  # fmt: skip


def _bevels(faces: Faces) -> tuple[Bevel, ...]:
    """Return the bevel of a disc's rim, on the face that is the smaller."""
    width = (faces.diameter - faces.smaller) / 2
    if width <= 0.0:
        return ()
    drawn, back = (width, 0.0) if faces.smaller_up else (0.0, width)
    return (Bevel(shapes.circle(faces.diameter), drawn, back),)


def _seat_notes(maker: "Maker", component: "Component") -> tuple[str, ...]:
    """Return where a plate sits that is no cap: in which element, at which of its rims, and how deep."""
    seat = maker.word(component, "seat") if component.kind.name == "plate" else "cap"
    if seat == "cap":
        return ()
    if seat == "straddle":
        near = element.neighbours(maker.tree, component)
        assert near.before is not None
        assert near.after is not None
        before, after = stacked.names(maker, near.before)[-1], stacked.names(maker, near.after)[0]
        return (f"half in {before}, half in {after}",)
    found = maker.value(component, "within")
    host, at_end = element.seat_of(maker.tree, component, getattr(found, "id", ""))
    assert host is not None
    set_back = maker.number(component, "set_back") if maker.has(component, "set_back") else 0.0
    depth = f"{maker.length(set_back)} behind" if set_back >= 0.05 else "flush with"
    return (
        f"in {stacked.names(maker, host)[-1 if at_end else 0]}",
        f"{depth} its {_rim_name(maker, host, at_end)}",
    )


def _rim_name(maker: "Maker", host: "Component", at_end: bool) -> str:
    """Return what tells one rim of an element from its other: its size, or what it meets."""
    rings = hoops.of_element(maker, host)
    at = rings[-1 if at_end else 0] if rings else None
    start, end = (at.start, at.end) if at else (maker.number(host, "start"), maker.number(host, "end"))
    if abs(start - end) >= 0.1:
        return "small rim" if (end < start) == at_end else "large rim"
    mate = stacked.mates(maker, host)[at_end]
    return f"rim to {mate}" if mate else "free rim"


def _is_chained(maker: "Maker", component: "Component") -> bool:
    """Whether an element stands in the chain of its stack: an inside plate does not."""
    return component.kind.name != "plate" or maker.word(component, "seat") == "cap"


def _ticks(
    maker: "Maker", stack: "Component", faces: Faces, opened: openings.Opened, mates: tuple[str, str]
) -> tuple[Mark, ...]:
    """Return the match marks on a disc's rim, seen against the axis: top up, right to the right.

    Where a slot has cut the rim away, there is none.
    """
    before, after = mates
    radius = faces.diameter / 2
    text = f"to {after or before}" if after or before else ""
    found = []
    for group in stacked.joint_turns(maker, stack, faces.joint):
        for turn in group:
            room = _room_at(opened, turn, radius)
            if room <= 0.0:
                continue
            x, y, inner = math.sin(turn), math.cos(turn), radius - tick_length(room)
            ends = [(x * radius, y * radius), (x * inner, y * inner)]
            found.append(Mark(line(ends), "notch", text))
            text = ""
    return tuple(found)


def _room_at(opened: openings.Opened, turn: float, radius: float) -> float:
    """How much material there is from a disc's rim inwards at a turn, mm; 0 where the rim is cut away."""
    if _outermost(opened.outline, turn) < radius - 0.05:
        return 0.0
    # To the middle of a whole disc ticks come together.
    return radius - max((_outermost(hole, turn) for hole in opened.holes), default=0.0)


def _outermost(path: Path, turn: float) -> float:
    """How far out from the middle a closed path reaches at a turn, mm; 0 where it is not met."""
    return max((0.0, *level_crossings(turned(path, turn - math.pi / 2), 0.0)))


def measures(_maker: "Maker", _component: "Component") -> Mapping[str, float]:
    """Return nothing: all sizes of a disc are known to the solver."""
    return {}
