"""A frustum of a cone bent from sheet."""

from typing import TYPE_CHECKING

from ringwright.lang.kinds import element, rolled
from ringwright.lang.kinds.kind import Kind, Measure, Property
from ringwright.lang.solve.algebra import apply, divide, multiply, subtract
from ringwright.lang.solve.terms import Constant
from ringwright.lang.units import ANGLE

if TYPE_CHECKING:
    from ringwright.lang.components.tree import Component
    from ringwright.lang.design.elaborate import Elaboration


def equations(elaboration: "Elaboration", component: "Component") -> None:
    """Tie length, diameters and half angle: any sufficient set of them may be given."""
    start, end, length, half_angle, slant = (
        elaboration.unknown(component, name) for name in ("start", "end", "length", "half_angle", "slant")
    )
    difference = subtract(start, end)
    taper = elaboration.word(component, "taper")
    if taper:
        narrower = difference if taper == "narrows" else subtract(end, start)
        said = "start - end" if taper == "narrows" else "end - start"
        text = f"a cone that {taper}: tan(half_angle) = ({said}) / 2 / length"
    else:
        narrower = apply("abs", difference)
        text = "tan(half_angle) = |start - end| / 2 / length"
    elaboration.rule(
        component, multiply(length, apply("tan", half_angle)), divide(narrower, Constant(2.0)), text
    )
    elaboration.rule(
        component, multiply(slant, apply("cos", half_angle)), length, "cos(half_angle) = length / slant"
    )
    element.wall_equations(elaboration, component, half_angle)
    elaboration.rule(
        component,
        elaboration.unknown(component, "bevel"),
        half_angle,
        "rims lie in planes across the axis",
        ANGLE,
    )


KIND = Kind(
    "cone",
    "a frustum of a cone bent from sheet, in a stack",
    (
        *element.ENDS,
        element.LENGTH_ALONG,
        Property(
            "half_angle",
            "amount",
            "of the wall against the axis",
            "half_angle = 15 deg",
            ANGLE,
            low=0.0,
            high=1.5533,
        ),
        Property(
            "slant",
            "amount",
            "length of the wall along its slope",
            "slant = @32 mm",
            low=element.LEAST,
            high=element.WIDEST,
            rather="length",
        ),
        *element.INSIDE,
        Property(
            "taper",
            "word",
            "which way it goes, where its diameters leave that open",
            "taper = narrows",
            choices=("narrows", "widens"),
        ),
        *element.RING,
    ),
    inside=("stack",),
    children=("hole",),
    solved=(*element.PLACES, *element.WALL),
    forward=(
        *element.MEASURES,
        Measure("blank_inner_radius", "inner radius of the flat blank", needs=element.OF_BLANK),
        Measure("blank_outer_radius", "outer radius of the flat blank", needs=element.OF_BLANK),
        Measure("blank_angle", "angle of the flat blank, without its seam", ANGLE, element.OF_BLANK),
    ),
    equations=equations,
    parts=rolled.parts,
    measures=rolled.measures,
    example="stack s {\n    stock = board\n    cone lip { start = @116 mm, end = @92 mm, length = @30 mm }\n}\n",
)
