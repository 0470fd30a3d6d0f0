"""A bow: cones in place of a part of a stack's profile, as near to it as so many can come."""

from typing import TYPE_CHECKING

from ringwright.geometry.bow.cones import MOST
from ringwright.lang.kinds import bows, element, profile, rolled
from ringwright.lang.kinds.kind import Kind, Measure, Solved
from ringwright.lang.units import NUMBER

if TYPE_CHECKING:
    from ringwright.lang.components.tree import Component
    from ringwright.lang.design.elaborate import Elaboration


def equations(elaboration: "Elaboration", component: "Component") -> None:
    """Both ends are the profile's; with a tolerance the count follows from it."""
    stack = elaboration.tree.components[component.parent]
    if not profile.given(stack):
        elaboration.say(
            "no-profile",
            f"'{component.name}' splits a profile into cones, and '{stack.name}' has none",
            component.span,
            f"give the stack one, for example: {profile.PROFILE.example}",
        )
        elaboration.breaks(component, "start", "end", "length", "count")
        return
    element.on_profile(elaboration, stack, component)
    if elaboration.states(component, "tolerance"):
        count = profile.forward(
            elaboration,
            f"the cones of {component.id} within their tolerance",
            bows.own_inputs(elaboration, component),
            lambda maker: float(bows.bow(maker, component).number),
        )
        elaboration.rule(
            component,
            elaboration.unknown(component, "count"),
            count,
            "as many cones as the tolerance takes",
            NUMBER,
        )
    else:
        elaboration.unknown(component, "count")


KIND = Kind(
    "cones",
    "a bow: the cones that come nearest to a part of the stack's profile",
    (
        element.LENGTH_ALONG,
        bows.count_of("how many cones", MOST),
        bows.TOLERANCE,
        bows.NEAREST,
        *element.RING,
    ),
    inside=("stack",),
    children=("hole",),
    solved=(
        Solved("start", "the profile's diameter where they start", low=0.0, high=element.WIDEST),
        Solved("end", "the profile's diameter where they end", low=0.0, high=element.WIDEST),
        *element.PLACES,
    ),
    forward=(
        *element.MEASURES,
        Measure("worst_deviation", "greatest distance between the cones and the profile"),
    ),
    numbered=rolled.OF_EACH,
    equations=equations,
    parts=rolled.parts,
    measures=rolled.measures,
    article="a group of cones",
    example=(
        "stack s {\n    stock = board\n    profile = curve[(0, 66), (40, 62), (104, 40)] mm\n"
        "    cones bow { length = 104 mm, count = 4 }\n}\n"
    ),
)
