"""Where the elements of a stack stand in the aircraft, where their seams are, and which marks match at their joints."""

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING, NamedTuple

from ringwright.geometry.errors import GeometryError
from ringwright.geometry.mark import match_turns, spread_turns
from ringwright.geometry.part import Flat, Vector
from ringwright.geometry.place import AFT, FORWARD, STARBOARD, UP
from ringwright.geometry.within import within
from ringwright.lang.design.making import Unsettled
from ringwright.lang.kinds import bows, hoops, openings
from ringwright.lang.kinds.element import is_carved
from ringwright.lang.kinds.hoops import Hoop

if TYPE_CHECKING:
    from ringwright.lang.components.tree import Component
    from ringwright.lang.design.making import Maker

TURNS = {"top": 0.0, "right": math.pi / 2, "bottom": math.pi, "left": -math.pi / 2}
# For each axis: its direction, the top and the right of a section seen against it, the name of the face drawn, and
# what lies at the top of the section.
AXES = {
    "along": (AFT, UP, STARBOARD, "aft face up", "top"),
    "across": (STARBOARD, UP, FORWARD, "starboard face up", "top"),
    "up": (UP, FORWARD, STARBOARD, "top face up", "fore"),
}
ZIGZAG = (0, 1, 0, -1)


class Stand(NamedTuple):
    """How a stack stands: the way it runs (+1 with its axis, -1 against it), and whether it has a place at all.

    axis: along which it runs, from its start; top and right: of a section; centre: of the axis at place 0.
    face: which face of a plate is drawn. side: what lies at the top of a section: 'top' or 'fore'.
    """

    run: float
    placed: bool
    axis: Vector
    top: Vector
    right: Vector
    centre: Vector
    face: str
    side: str

    def at(self, place: float) -> Vector:
        """Return the point of the axis at a place along it."""
        along = tuple(a * self.run for a in self.axis)
        x, y, z = (c + place * a for c, a in zip(self.centre, along, strict=True))
        return x, y, z

    def plate(self, place: float) -> Flat:
        """Return the frame of a plate whose drawn face (the one that looks along the axis) is at a place."""
        return Flat(self.at(place), self.right, self.top)


def stand(maker: "Maker", stack: "Component") -> Stand:
    """Return how a stack stands."""
    axis, top, right, face, side = AXES[maker.word(stack, "axis")]
    given = maker.point(stack, "centre") or (0.0, 0.0)
    centre = tuple(0.0 for _ in range(3))
    match maker.word(stack, "axis"):
        case "along":
            centre = (0.0, given[0], given[1])
        case "across":
            centre = (given[0], 0.0, given[1])
        case _:
            centre = (given[0], given[1], 0.0)
    placed = f"{stack.id}.from" in maker.values and f"{stack.id}.to" in maker.values
    run = -1.0 if not placed and maker.word(stack, "runs") == "fore" else 1.0
    if placed and maker.number(stack, "to") < maker.number(stack, "from"):
        run = -1.0
    forward = (axis[0] * run, axis[1] * run, axis[2] * run)
    return Stand(run, placed, forward, top, right, (centre[0], centre[1], centre[2]), face, side)


def places(maker: "Maker", element: "Component") -> tuple[float, float]:
    """Return where an element starts and ends along the axis; an unplaced stack starts at 0."""
    if f"{element.id}.x_start" in maker.values:
        return maker.number(element, "x_start"), maker.number(element, "x_end")
    at = 0.0
    for other in maker.children(maker.parent(element)):
        end = at + maker.number(other, "length")
        if other.id == element.id:
            return at, end
        at = end
    return at, at


def places_of(maker: "Maker", made: Hoop) -> tuple[float, float]:
    """Return where one of the rings that an element is made as starts and ends along the axis."""
    start, end = places(maker, made.component)
    if made.of == 1:
        return start, end
    way = math.copysign(1.0, end - start)
    return start + way * made.offset, start + way * (made.offset + made.length)


def seam_turn(maker: "Maker", made: Hoop) -> float:
    """Return the turn of a ring's seam about the axis, rad: its own, or the stack's, turned from its neighbours'."""
    rings = [ring.id for ring in hoops.of_stack(maker, maker.parent(made.component))]
    return _turn(maker, made, rings.index(made.id))


def _turn(maker: "Maker", made: Hoop, index: int) -> float:
    own = maker.bearing(made.component, "seam_at", TURNS)
    if own is not None and made.of == 1:
        return own
    stack = maker.parent(made.component)
    base = maker.bearing(stack, "seam_at", TURNS) if own is None else own
    step = ZIGZAG[index % len(ZIGZAG)]
    return (math.pi if base is None else base) + step * maker.number(stack, "stagger")


def joint_turns(
    maker: "Maker", stack: "Component", diameter: float, meeting: "Component | None" = None
) -> tuple[tuple[float, ...], ...]:
    """Return the turns of the match marks of a joint: the same for all that meet there, clear of every seam and slot.

    Where a dome of gores is what is `meeting` there, they are those of the gores' middles.
    """
    seams = maker.avoided.get(stack.id)
    if seams is None:  # the same for every joint of the stack
        seams = maker.avoided[stack.id] = (*_seam_turns(maker, stack), *_notch_turns(maker, stack))
    if meeting is not None and meeting.kind.name == "dome" and not bows.bends(meeting):
        return spread_turns(round(maker.number(meeting, "count")), seams)
    return match_turns(diameter, seams)


def _seam_turns(maker: "Maker", stack: "Component") -> list[float]:
    """Return the turns at which the pieces of all rings of a stack start."""
    from ringwright.lang.kinds.rolled import made_blank

    seams = []
    for index, made in enumerate(hoops.of_stack(maker, stack)):
        pieces = made_blank(maker, made)[0].pieces
        first = _turn(maker, made, index)
        seams += [first + 2 * math.pi * piece / pieces for piece in range(pieces)]
    return seams


def _notch_turns(maker: "Maker", stack: "Component") -> list[float]:
    """Return turns about 2 mm apart at which a slot cuts the rim of a plate or flat ring away."""
    found = []
    for disc in maker.children(stack, "plate", "ring"):
        slots = maker.children(disc, "slot")
        rim = next((n for n in ("diameter", "diameter_outer_face") if f"{disc.id}.{n}" in maker.values), "")
        if not slots or not rim:
            continue
        radius = maker.number(disc, rim) / 2
        count = max(12, round(math.pi * radius))
        turns = [2 * math.pi * i / count for i in range(count)]
        for slot in slots:
            try:
                cut = openings.openings(maker, slot, None)[0].outline
            except (GeometryError, Unsettled):
                continue  # reported with its own part
            at = radius - 0.5
            found += [turn for turn in turns if within(cut, (at * math.sin(turn), at * math.cos(turn)))]
    return found


def mates(maker: "Maker", element: "Component") -> tuple[str, str]:
    """Return the names of what an element meets at its start and at its end, '' where that is nothing."""
    before, after = meets(maker, element)
    return names(maker, before)[-1] if before else "", names(maker, after)[0] if after else ""


def meets(maker: "Maker", element: "Component") -> tuple["Component | None", "Component | None"]:
    """Return what an element meets at its start and at its end, None where that is nothing."""
    chain = [
        child
        for child in maker.children(maker.parent(element))
        if child.kind.name != "plate" or maker.word(child, "seat") == "cap"
    ]
    ids = [child.id for child in chain]
    index = ids.index(element.id)
    return chain[index - 1] if index else None, chain[index + 1] if index + 1 < len(chain) else None


def mates_of(maker: "Maker", made: Hoop) -> tuple[str, str]:
    """Return the names of what one of the rings that an element is made as meets at its start and at its end."""
    return between(mates(maker, made.component), names(maker, made.component), made.number)


def between(ends: tuple[str, str], own: Sequence[str], number: int) -> tuple[str, str]:
    """Return what the how-manieth of several pieces in a row meets; ends: what their row meets."""
    before = ends[0] if number == 1 else own[number - 2]
    return before, ends[1] if number == len(own) else own[number]


def names(maker: "Maker", element: "Component") -> tuple[str, ...]:
    """Return the names of the pieces that stand one behind another in an element, in the order of the stack."""
    if is_carved(maker.tree, element):
        return tuple(f"{element.name}.{layer + 1}" for layer in range(maker.count(element, "layers") or 1))
    return tuple(made.name for made in hoops.of_element(maker, element)) or (element.name,)
