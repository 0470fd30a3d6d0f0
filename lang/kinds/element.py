"""What the elements of a stack share: their properties, their solved names and their equations."""

from typing import TYPE_CHECKING, NamedTuple

from ringwright.lang.kinds.kind import Measure, Property, Solved
from ringwright.lang.solve.algebra import apply, divide, multiply, subtract
from ringwright.lang.solve.terms import Constant, Term
from ringwright.lang.units import ANGLE, AREA, MASS, NUMBER

if TYPE_CHECKING:
    from ringwright.lang.components.tree import Component, Tree
    from ringwright.lang.design.elaborate import Elaboration

SIDES = ("top", "bottom", "left", "right")
PASSING = ("barrel", "cone", "cones", "ring", "dome")
LEAST = 1e-3
WIDEST = 1e5

STOCK = Property("stock", "stock", "what it is cut from", "stock = board")
SHARE = Property(
    "share",
    "amount",
    "how many parts of the length left over it takes",
    "share = 2",
    NUMBER,
    optional=True,
    low=1e-6,
)
SEAM = Property(
    "seam", "seam", "how the edges meet: butt, lap, flap or strap, with the width", "seam = flap(15 mm)"
)
SEAM_AT = Property(
    "seam_at",
    "bearing",
    "where the seam is: a side, or an angle from the top to the right",
    "seam_at = bottom",
    choices=SIDES,
)
PIECES = Property(
    "pieces",
    "count",
    "in how many pieces the ring is cut; the fewest that fit the sheet unless given",
    "pieces = 2",
    high=36.0,
)

# What every ring that is bent from sheet takes, last of all.
RING = (SHARE, STOCK, SEAM, SEAM_AT, PIECES)

ENDS = (
    Property(
        "start",
        "amount",
        "outside diameter where it starts",
        "start = @132 mm",
        axis="across",
        low=LEAST,
        high=WIDEST,
    ),
    Property(
        "end",
        "amount",
        "outside diameter where it ends",
        "end = @116 mm",
        axis="across",
        low=LEAST,
        high=WIDEST,
    ),
)
LENGTH_ALONG = Property(
    "length", "amount", "length along the axis", "length = @38 mm", axis="along", low=LEAST, high=WIDEST
)
DIAMETER = Property(
    "diameter", "amount", "outside diameter", "diameter = @132 mm", axis="across", low=LEAST, high=WIDEST
)

PLACES = (
    Solved("x_start", "where it starts along the axis"),
    Solved("x_end", "where it ends along the axis"),
)
# Without bounds: where the wall leaves nothing inside, the making says it once, and better.
INSIDE = (
    Property(
        "start_inside",
        "amount",
        "inside diameter where it starts",
        "start_inside = @122 mm",
        axis="across",
        rather="start",
    ),
    Property(
        "end_inside",
        "amount",
        "inside diameter where it ends",
        "end_inside = @106 mm",
        axis="across",
        rather="end",
    ),
)
WALL = (
    Solved("wall", "thickness of its wall", low=0.0),
    Solved("bevel", "of its rims, against square", ANGLE, low=0.0, high=1.5707),
)
# What the flat blank of a ring follows from.
OF_BLANK = ("start", "end", "length", "stock")
MEASURES = (
    Measure("area", "area of sheet", AREA),
    Measure("mass", "mass", MASS),
    Measure("cut_length", "length of all its cuts"),
)


def before(elaboration: "Elaboration", stack: "Component", component: "Component") -> tuple["Component", ...]:
    """Return the elements before one in its stack, but for plates that add no length."""
    names = stack.children[: stack.children.index(component.name)]
    elements = (elaboration.tree.components[f"{stack.id}.{name}"] for name in names)
    return tuple(e for e in elements if e.kind.name != "plate" or elaboration.word(e, "seat") == "cap")


def on_profile(elaboration: "Elaboration", stack: "Component", component: "Component") -> None:
    """Add that an element starts and ends at the diameters of its stack's profile."""
    from ringwright.lang.kinds import profile

    earlier = before(elaboration, stack, component)
    for name, passed in (("start", earlier), ("end", (*earlier, component))):
        place = f"where {component.name} {name}s"
        elaboration.rule(
            component,
            elaboration.unknown(component, name),
            profile.diameter(elaboration, stack, passed, place),
            "diameters left out are the profile's at that place",
        )


def is_carved(tree: "Tree", component: "Component") -> bool:
    """Return whether a ring takes the sizes of its layers from the profile of its stack."""
    from ringwright.lang.kinds import profile

    if component.kind.name != "ring" or "diameter" in component.properties:
        return False
    return profile.given(tree.components[component.parent]) and not {"inside", "rim"} <= set(
        component.properties
    )


class Neighbours(NamedTuple):
    """Elements before and after one in its stack, that pass diameters on (all but plates); None at an end."""

    before: "Component | None"
    after: "Component | None"


def neighbours(tree: "Tree", component: "Component") -> Neighbours:
    """Return the nearest elements on either side that are no plates."""
    stack = tree.components[component.parent]
    names = stack.children
    index = names.index(component.name)
    elements = [tree.components[f"{stack.id}.{name}"] for name in names]
    before = next((e for e in reversed(elements[:index]) if e.kind.name in PASSING), None)
    after = next((e for e in elements[index + 1 :] if e.kind.name in PASSING), None)
    return Neighbours(before, after)


def seat_of(tree: "Tree", component: "Component", named: str) -> tuple["Component | None", bool]:
    """Return the element that an inside plate sits in, and whether it sits at that element's end (else its start)."""
    near = neighbours(tree, component)
    if named:
        stack = tree.components[component.parent]
        host = tree.components[named]
        return host, stack.children.index(host.name) < stack.children.index(component.name)
    if near.before is not None:
        return near.before, True
    return near.after, False


def wall_equations(elaboration: "Elaboration", component: "Component", half_angle: Term) -> None:
    """Add what ties a bent wall's outside and inside: in a rim's plane it is thickness / cos(half angle) thick."""
    wall = elaboration.unknown(component, "wall")
    elaboration.rule(component, wall, elaboration.thickness(component), "the wall is as thick as the stock")
    across: Term = wall if half_angle == Constant(0.0) else divide(wall, apply("cos", half_angle))
    for outside, inside in (("start", "start_inside"), ("end", "end_inside")):
        elaboration.rule(
            component,
            elaboration.unknown(component, inside),
            subtract(elaboration.unknown(component, outside), multiply(Constant(2.0), across)),
            "inside is outside less the wall on both sides",
        )
