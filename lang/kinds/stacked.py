"""Where the elements of a stack stand in the aircraft, where their seams are, and which marks match at their joints."""

import math
from typing import TYPE_CHECKING, NamedTuple

from ringwright.geometry.mark import match_turns
from ringwright.geometry.part import Flat, Vector
from ringwright.geometry.place import AFT, FORWARD, STARBOARD, UP

if TYPE_CHECKING:
    from ringwright.lang.components.tree import Component
    from ringwright.lang.design.making import Maker

TURNS = {"top": 0.0, "right": math.pi / 2, "bottom": math.pi, "left": -math.pi / 2}
# For each axis: its direction, the top and the right of a section seen against it, and the name of the face drawn.
AXES = {
    "along": (AFT, UP, STARBOARD, "aft face up"),
    "across": (STARBOARD, UP, FORWARD, "starboard face up"),
    "up": (UP, FORWARD, STARBOARD, "top face up"),
}
ZIGZAG = (0, 1, 0, -1)


class Stand(NamedTuple):
    """How a stack stands: the way it runs (+1 with its axis, -1 against it), and whether it has a place at all.

    axis: along which it runs, from its start; top and right: of a section; centre: of the axis at place 0.
    face: which face of a plate is drawn.
    """

    run: float
    placed: bool
    axis: Vector
    top: Vector
    right: Vector
    centre: Vector
    face: str

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
    axis, top, right, face = AXES[maker.word(stack, "axis")]
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
    return Stand(run, placed, forward, top, right, (centre[0], centre[1], centre[2]), face)


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


def seam_turn(maker: "Maker", element: "Component") -> float:
    """Return the turn of an element's seam about the axis, rad: its own, or the stack's, turned from its neighbours'."""
    own = maker.bearing(element, "seam_at", TURNS)
    if own is not None:
        return own
    stack = maker.parent(element)
    base = maker.bearing(stack, "seam_at", TURNS)
    rings = [child.id for child in maker.children(stack, "barrel", "cone")]
    step = ZIGZAG[rings.index(element.id) % len(ZIGZAG)]
    return (math.pi if base is None else base) + step * maker.number(stack, "stagger")


def joint_turns(maker: "Maker", stack: "Component", diameter: float) -> tuple[tuple[float, ...], ...]:
    """Return the turns of the match marks of a joint: the same for all that meet there, clear of every seam."""
    from ringwright.lang.kinds.rolled import made_blank

    seams = []
    for child in maker.children(stack, "barrel", "cone"):
        pieces = made_blank(maker, child)[0].pieces
        first = seam_turn(maker, child)
        seams += [first + 2 * math.pi * piece / pieces for piece in range(pieces)]
    return match_turns(diameter, seams)


def mates(maker: "Maker", element: "Component") -> tuple[str, str]:
    """Return the names of what an element meets at its start and at its end, '' where that is nothing."""
    chain = [
        child
        for child in maker.children(maker.parent(element))
        if child.kind.name != "plate" or maker.word(child, "seat") == "cap"
    ]
    ids = [child.id for child in chain]
    index = ids.index(element.id)
    before = chain[index - 1].name if index > 0 else ""
    after = chain[index + 1].name if index + 1 < len(chain) else ""
    return before, after
