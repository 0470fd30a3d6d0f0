"""A disc in a stack: across its end, within an element, or half in each of two."""

from typing import TYPE_CHECKING

from ringwright.lang.kinds import bows, disc, element, rims
from ringwright.lang.kinds.kind import Kind, Property, Solved
from ringwright.lang.solve.algebra import add, divide, multiply, subtract
from ringwright.lang.solve.terms import Constant, Term
from ringwright.lang.units import ANGLE
from ringwright.lang.values.value import Reference

if TYPE_CHECKING:
    from ringwright.lang.components.tree import Component
    from ringwright.lang.design.elaborate import Elaboration


_NO_RIM = "sits in no one element"
_FITTED = "is as wide as what it sits in is inside"
# What a plate has no use for, by its seat, and why.
IDLE = {
    "cap": {"within": _NO_RIM, "set_back": _NO_RIM},
    "inside": {"diameter": _FITTED},
    "straddle": {"diameter": _FITTED, "within": _NO_RIM, "set_back": _NO_RIM},
}


def equations(elaboration: "Elaboration", component: "Component") -> None:
    """A cap adds its thickness; the others sit inside and add nothing."""
    seat = elaboration.word(component, "seat")
    for name, reason in IDLE[seat].items():
        elaboration.idle(component, name, f"a plate with seat = {seat} {reason}")
    thickness = elaboration.thickness(component)
    length = elaboration.unknown(component, "length")
    if seat == "cap":
        _cap(elaboration, component, length, thickness)
        return
    elaboration.rule(component, length, Constant(0.0), "a plate inside adds no length")
    elaboration.rule(
        component,
        elaboration.unknown(component, "depth"),
        thickness,
        "a plate is as deep as its stock is thick",
    )
    if seat == "inside":
        _inside(elaboration, component)
    else:
        _straddle(elaboration, component)


def _cap(elaboration: "Elaboration", component: "Component", length: Term, thickness: Term) -> None:
    elaboration.rule(component, length, thickness, "a cap plate is as long as its stock is thick")
    diameter = elaboration.unknown(component, "diameter")
    for end in ("start", "end"):
        elaboration.rule(component, elaboration.unknown(component, end), diameter, "a plate has one diameter")
    if elaboration.states(component, "diameter") or "diameter" in component.properties:
        return
    near = element.neighbours(elaboration.tree, component)
    if near.before is None and near.after is not None:
        faced = elaboration.unknown(near.after, "start")
    elif near.before is not None:
        faced = elaboration.unknown(near.before, "end")
    else:
        return
    elaboration.rule(
        component, diameter, faced, "a cap plate takes the diameter of the element that it faces"
    )


def within(elaboration: "Elaboration", component: "Component") -> str:
    """Return the id of the element that an inside plate is said to sit in, or ''."""
    value = elaboration.value(component, "within")
    return value.id if isinstance(value, Reference) else ""


def _inside(elaboration: "Elaboration", component: "Component") -> None:
    host, at_end = element.seat_of(elaboration.tree, component, within(elaboration, component))
    faces = ("diameter_outer_face", "diameter_inner_face")
    if host is None:
        elaboration.say(
            "no-neighbour",
            "this plate has no barrel, cone or ring to sit in",
            component.span,
            "write it beside one, or name it: within = drum",
        )
        elaboration.breaks(component, *faces)
        return
    if _is_of_gores(elaboration, component, host):
        return
    near, far = ("end", "start") if at_end else ("start", "end")
    depth = elaboration.unknown(component, "depth")
    set_back = reach = set_back_of(elaboration, component)
    for face in faces:
        elaboration.rule(
            component,
            elaboration.unknown(component, face),
            add(inside_at(elaboration, host, near), multiply(taper(elaboration, host, near, far), reach)),
            "the plate's face is as wide as the ring is inside at its depth",
        )
        reach = add(set_back, depth)
    elaboration.rule(
        component,
        elaboration.unknown(component, "bevel"),
        _half_angle(elaboration, host, near),
        "its rim follows the wall",
        ANGLE,
    )


def _straddle(elaboration: "Elaboration", component: "Component") -> None:
    near = element.neighbours(elaboration.tree, component)
    if near.before is None or near.after is None:
        elaboration.say(
            "no-neighbour",
            "a plate that straddles a joint stands between two elements",
            component.span,
            "write it between two barrels, cones or rings, or take seat = inside",
        )
        elaboration.breaks(component, "diameter_outer_face", "diameter_inner_face")
        return
    if any(_is_of_gores(elaboration, component, host) for host in (near.before, near.after)):
        return
    half = divide(elaboration.unknown(component, "depth"), Constant(2.0))
    for face, host, here, there in (
        ("diameter_outer_face", near.before, "end", "start"),
        ("diameter_inner_face", near.after, "start", "end"),
    ):
        elaboration.rule(
            component,
            elaboration.unknown(component, face),
            add(inside_at(elaboration, host, here), multiply(taper(elaboration, host, here, there), half)),
            "each face is as wide as its ring is inside, half a thickness from the joint",
        )


def set_back_of(elaboration: "Elaboration", component: "Component") -> Term:
    """Return how far an inside plate lies behind the rim."""
    given = elaboration.states(component, "set_back")
    return elaboration.unknown(component, "set_back") if given else Constant(0.0)


def _is_of_gores(elaboration: "Elaboration", component: "Component", host: "Component") -> bool:
    """Whether a plate would sit in a dome of gores, which is not round inside; that is reported."""
    if host.kind.name != "dome" or bows.bends(host):
        return False
    elaboration.say(
        "no-neighbour",
        f"the gores of '{host.name}' are not round inside: no plate sits in them",
        component.span,
        "name what it sits in: within = drum, let it be a cap, or build the dome of cones",
    )
    elaboration.breaks(component, "diameter_outer_face", "diameter_inner_face")
    return True


def _half_angle(elaboration: "Elaboration", host: "Component", end: str) -> Term:
    """Return the half angle of an element's wall at its 'start' or 'end'."""
    if bows.bends(host):
        return rims.half_angle(elaboration, host, end)
    return Constant(0.0) if host.kind.name == "ring" else elaboration.unknown(host, "half_angle")


def inside_at(elaboration: "Elaboration", host: "Component", end: str) -> Term:
    """Return the inside diameter of an element at its 'start' or 'end'."""
    if bows.bends(host):
        return rims.inside(elaboration, host, end)
    if host.kind.name == "ring":
        return elaboration.unknown(host, "inside")
    return elaboration.unknown(host, f"{end}_inside")


def taper(elaboration: "Elaboration", host: "Component", near: str, far: str) -> Term:
    """Return how much wider an element gets for each mm that one goes in from its `near` end."""
    if bows.bends(host):
        return rims.taper(elaboration, host, near)
    if host.kind.name != "cone":
        return Constant(0.0)
    return divide(
        subtract(elaboration.unknown(host, far), elaboration.unknown(host, near)),
        elaboration.unknown(host, "length"),
    )


KIND = Kind(
    "plate",
    "a disc in a stack: across its end (cap), within an element (inside), or half in each of two (straddle)",
    (
        Property(
            "seat",
            "word",
            "how it sits",
            "seat = inside",
            default="cap",
            shown="cap",
            choices=("cap", "inside", "straddle"),
        ),
        Property(
            "diameter",
            "amount",
            "outside diameter of a cap; that of the element it faces unless given",
            "diameter = @132 mm",
            axis="across",
            optional=True,
            low=element.LEAST,
            high=element.WIDEST,
        ),
        Property("within", "element", "which element an inside plate sits in", "within = drum"),
        Property(
            "set_back",
            "amount",
            "how far an inside plate lies behind the rim, flush unless given",
            "set_back = 3 mm",
            optional=True,
            low=0.0,
            high=element.WIDEST,
        ),
        element.STOCK,
    ),
    inside=("stack",),
    children=("hole", "holes", "slot"),
    solved=(
        Solved("length", "what it adds to the stack", low=0.0, high=element.WIDEST),
        Solved("start", "outside diameter", low=element.LEAST, high=element.WIDEST),
        Solved("end", "outside diameter", low=element.LEAST, high=element.WIDEST),
        *element.PLACES,
        Solved("depth", "its thickness", low=0.0),
        Solved("diameter_outer_face", "of the face nearer the end that it sits at"),
        Solved("diameter_inner_face", "of the other face"),
        Solved("bevel", "of its rim, against square", ANGLE, low=0.0, high=1.5707),
    ),
    forward=element.MEASURES,
    equations=equations,
    parts=disc.plate_parts,
    measures=disc.measures,
    example="stack s {\n    stock = board\n    barrel drum { diameter = @132 mm, length = @38 mm }\n    plate front { seat = inside }\n}\n",
)
