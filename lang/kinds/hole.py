"""One opening: round by its diameter, of any outline, or one that leaves a rim."""

from typing import TYPE_CHECKING

from ringwright.lang.kinds.kind import Kind, Property

if TYPE_CHECKING:
    from ringwright.lang.components.tree import Component
    from ringwright.lang.design.elaborate import Elaboration

FLAT = (
    "plate", "ring", "former", "formers", "thrust", "panel", "side", "floor", "deck", "wing", "tail", "fin",
)  # fmt: skip

# Where a hole's `at` is measured, for the reference.
AT = (
    "its middle, right and up as the part is drawn: (y, z) in formers and plates, forward and up in a stack across,"
    " starboard and forward in one that stands up"
)


def equations(elaboration: "Elaboration", component: "Component") -> None:
    """A hole follows from one of diameter, outline and rim; what that leaves nothing to do is said."""
    if "rim" in component.properties:
        elaboration.idle(component, "at", "a hole that leaves a rim lies where its part does")
        elaboration.idle(component, "fit", "a hole that leaves a rim is as wide as that leaves it")
    elif "outline" in component.properties:
        elaboration.idle(component, "fit", "a fit adds to a diameter, and this hole has an outline")


KIND = Kind(
    "hole",
    "an opening: a diameter, an outline, or what is left within a rim",
    (
        Property(
            "diameter", "amount", "of a round hole", "diameter = 6 mm", optional=True, low=0.1, high=1e5
        ),
        Property(
            "outline",
            "shape",
            "of a hole of any form, about its `at`",
            "outline = rect(20 mm, 12 mm)",
            axis="across",
        ),
        Property(
            "rim",
            "amount",
            "width of the rim that it leaves",
            "rim = 14 mm",
            optional=True,
            low=0.1,
            high=1e5,
        ),
        Property(
            "at",
            "spot",
            f"{AT}; in a bent wall a place on the axis, such as drum.x_start + 20 mm, and an angle",
            "at = (0 mm, -20 mm)",
            axis="across",
        ),
        Property(
            "fit",
            "word",
            "what goes through, to add 0.2, 0.3 or 0.5 mm",
            "fit = tube",
            choices=("rod", "tube", "sleeve"),
        ),
    ),
    inside=(*FLAT, "barrel", "cone", "cones", "wrap", "offcut"),
    equations=equations,
    example="panel p {\n    outline = rect(60 mm, 40 mm)\n    stock = board\n    hole h { diameter = 6 mm }\n}\n",
)
