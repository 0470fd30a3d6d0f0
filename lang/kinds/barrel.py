"""A cylinder bent from sheet."""

from typing import TYPE_CHECKING

from ringwright.lang.kinds import element, rolled
from ringwright.lang.kinds.kind import Kind, Measure, Solved
from ringwright.lang.solve.terms import Constant
from ringwright.lang.units import ANGLE

if TYPE_CHECKING:
    from ringwright.lang.components.tree import Component
    from ringwright.lang.design.elaborate import Elaboration


def equations(elaboration: "Elaboration", component: "Component") -> None:
    """One diameter all along, and a wall of the stock's thickness."""
    diameter = elaboration.unknown(component, "diameter")
    for end in ("start", "end"):
        elaboration.rule(
            component, elaboration.unknown(component, end), diameter, "a barrel has one diameter"
        )
    element.wall_equations(elaboration, component, Constant(0.0))
    elaboration.rule(
        component,
        elaboration.unknown(component, "slant"),
        elaboration.unknown(component, "length"),
        "a barrel's wall runs along its axis",
    )
    for name in ("half_angle", "bevel"):
        elaboration.rule(
            component,
            elaboration.unknown(component, name),
            Constant(0.0),
            "a barrel's wall runs along its axis",
            ANGLE,
        )


KIND = Kind(
    "barrel",
    "a cylinder bent from sheet, in a stack",
    (
        element.DIAMETER,
        element.LENGTH_ALONG,
        *(inside._replace(rather="diameter") for inside in element.INSIDE),
        *element.RING,
    ),
    inside=("stack",),
    children=("hole",),
    solved=(
        Solved("start", "outside diameter where it starts", low=element.LEAST, high=element.WIDEST),
        Solved("end", "outside diameter where it ends", low=element.LEAST, high=element.WIDEST),
        *element.PLACES,
        *element.WALL,
        Solved("slant", "length of the wall", low=0.0),
        Solved("half_angle", "of the wall against the axis: none", ANGLE),
    ),
    forward=(
        *element.MEASURES,
        Measure(
            "blank_length",
            "length of the flat blank round the ring, without its seam",
            needs=element.OF_BLANK,
        ),
        Measure("blank_width", "width of the flat blank along the axis", needs=element.OF_BLANK),
    ),
    equations=equations,
    parts=rolled.parts,
    measures=rolled.measures,
    example="stack s {\n    stock = board\n    barrel drum { diameter = @132 mm, length = @38 mm }\n}\n",
)
