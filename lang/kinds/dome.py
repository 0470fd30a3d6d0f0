"""A dome at one end of a stack, from rings (cones) or from petals (gores)."""

from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING

from ringwright.geometry.bow.gore import FITS, MOST, gore_count
from ringwright.geometry.path import bounds
from ringwright.lang.kinds import bows, element, gores, profile, rolled
from ringwright.lang.kinds.kind import Kind, Measure, Property, Solved
from ringwright.lang.solve.algebra import apply, divide, multiply, subtract
from ringwright.lang.solve.terms import Constant
from ringwright.lang.units import NUMBER

if TYPE_CHECKING:
    from ringwright.geometry.part import Part
    from ringwright.lang.components.tree import Component
    from ringwright.lang.design.elaborate import Elaboration
    from ringwright.lang.design.making import Maker


def equations(elaboration: "Elaboration", component: "Component") -> None:
    """Its rim is its diameter, its tip the opening; what lies between is a profile, or half an ellipsoid."""
    stack = elaboration.tree.components[component.parent]
    rim, tip = ("end", "start") if bows.closes_start(elaboration.tree, component) else ("start", "end")
    if not _closes(elaboration, stack, component):
        elaboration.say(
            "dome-between",
            f"'{component.name}' stands between others, and a dome closes the start or the end of its stack",
            component.span,
            "write it first or last in the stack, or take cones { }",
        )
        elaboration.breaks(component, "start", "end", "length", "diameter")
        return
    at_rim, at_tip = (elaboration.unknown(component, name) for name in (rim, tip))
    elaboration.rule(
        component, at_rim, elaboration.unknown(component, "diameter"), "a dome's rim is its diameter"
    )
    if elaboration.states(component, "opening"):
        elaboration.rule(
            component, at_tip, elaboration.unknown(component, "opening"), "a dome ends at its opening"
        )
    if profile.given(component):
        _own(elaboration, component, rim, tip)
    elif profile.given(stack):
        element.on_profile(elaboration, stack, component)
    else:
        _ellipsoid(elaboration, component, rim, tip)
    _count(elaboration, component)


def _closes(elaboration: "Elaboration", stack: "Component", component: "Component") -> bool:
    passing = [child.id for child in elaboration.children(stack) if child.kind.name != "plate"]
    return component.id in (passing[0], passing[-1])


def _own(elaboration: "Elaboration", component: "Component", rim: str, tip: str) -> None:
    profile.look(elaboration, component)
    for name, at_end, text in (
        (rim, False, "a dome's rim is where its profile starts"),
        (tip, True, "a dome ends where its profile does"),
    ):
        term = profile.rim(elaboration, component, at_end, f"where its {name} is")
        elaboration.rule(component, elaboration.unknown(component, name), term, text)
    term = profile.length(elaboration, component)
    elaboration.rule(
        component, elaboration.unknown(component, "length"), term, "a dome is as deep as its profile"
    )


def _ellipsoid(elaboration: "Elaboration", component: "Component", rim: str, tip: str) -> None:
    depth, length = (elaboration.unknown(component, name) for name in ("depth", "length"))
    if elaboration.states(component, "opening"):
        share = divide(elaboration.unknown(component, tip), elaboration.unknown(component, rim))
        left = apply("sqrt", subtract(Constant(1.0), multiply(share, share)))
        text = "length = depth × √(1 - (opening / diameter)²), of half an ellipsoid cut off at its opening"
        elaboration.rule(component, length, multiply(depth, left), text)
        return
    elaboration.rule(
        component, elaboration.unknown(component, tip), Constant(0.0), "a dome without opening is closed"
    )
    elaboration.rule(component, length, depth, "a closed dome is as long as it is deep")


def _count(elaboration: "Elaboration", component: "Component") -> None:
    unknown = elaboration.unknown(component, "count")
    if not elaboration.states(component, "tolerance"):
        return

    def count(maker: "Maker") -> float:
        if bows.bends(component):
            return float(bows.bow(maker, component).number)
        widest = bounds(bows.path_of(maker, component))[3]
        return float(gore_count(widest, maker.number(component, "tolerance"), maker.word(component, "fit")))

    pieces = "cones" if bows.bends(component) else "gores"
    term = profile.forward(
        elaboration,
        f"the {pieces} of {component.id} within their tolerance",
        bows.own_inputs(elaboration, component),
        count,
    )
    elaboration.rule(component, unknown, term, f"as many {pieces} as the tolerance takes", NUMBER)


def parts(maker: "Maker", component: "Component") -> "Iterable[Part]":
    """Yield the cones of a dome, or its gore, of which there are several."""
    return rolled.parts(maker, component) if bows.bends(component) else gores.parts(maker, component)


def measures(maker: "Maker", component: "Component") -> Mapping[str, float]:
    """Return how near it comes, and of a dome of gores what all of them are together."""
    return rolled.measures(maker, component) if bows.bends(component) else gores.measures(maker, component)


KIND = Kind(
    "dome",
    "a dome that closes one end of a stack: of cones, one behind another, or of gores, side by side",
    (
        Property(
            "build",
            "word",
            "what it is made of: rings (cones) or petals (gores)",
            "build = cones",
            default="gores",
            shown="gores",
            choices=("cones", "gores"),
        ),
        element.DIAMETER._replace(
            doc="outside diameter of its rim; that of the element it closes unless given"
        ),
        Property(
            "depth",
            "amount",
            "of the half ellipsoid that it is without a profile: from the rim to where it would close",
            "depth = @40 mm",
            axis="along",
            low=element.LEAST,
            high=element.WIDEST,
            rather="length",
        ),
        element.LENGTH_ALONG,
        Property(
            "opening",
            "amount",
            "diameter of the opening at its tip; closed unless given",
            "opening = @30 mm",
            axis="across",
            optional=True,
            low=element.LEAST,
            high=element.WIDEST,
        ),
        profile.PROFILE._replace(
            doc="its own curve of (along, radius), from its rim; the stack's unless given",
            example="profile = quarter_ellipse(40 mm, 50 mm, 0 mm)",
        ),
        bows.count_of("how many cones or gores", MOST),
        bows.TOLERANCE,
        Property(
            "fit",
            "word",
            "what of the gores lies on the dome: their middles, their corners, or both as nearly",
            "fit = balanced",
            default="middles",
            shown="middles",
            choices=FITS,
        ),
        Property(
            "tab",
            "amount",
            "how deep the glue tabs along one edge of a gore are; 0 mm for none",
            "tab = 5 mm",
            optional=True,
            shown="",
            low=0.0,
            high=1e3,
        ),
        element.SHARE,
        element.STOCK,
        element.SEAM._replace(doc="how its cones close: butt, lap, flap or strap, with the width"),
        element.SEAM_AT,
        element.PIECES,
    ),
    inside=("stack",),
    children=(),
    solved=(
        Solved("start", "outside diameter where it starts", low=0.0, high=element.WIDEST),
        Solved("end", "outside diameter where it ends", low=0.0, high=element.WIDEST),
        *element.PLACES,
    ),
    forward=(
        *element.MEASURES,
        Measure("worst_deviation", "greatest distance between its cones or gores and the dome"),
    ),
    numbered=rolled.OF_EACH,
    equations=equations,
    parts=parts,
    measures=measures,
    example=(
        "stack s {\n    stock = card\n    barrel drum { diameter = 60 mm, length = 20 mm }\n"
        "    dome nose { depth = 30 mm, count = 12 }\n}\n"
    ),
)
