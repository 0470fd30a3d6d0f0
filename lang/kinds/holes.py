"""Round holes in a pattern, such as a motor's bolts."""

from typing import TYPE_CHECKING

from ringwright.lang.kinds.hole import FLAT
from ringwright.lang.kinds.kind import Kind, Property
from ringwright.lang.units import ANGLE
from ringwright.lang.values.value import ShapeOf

if TYPE_CHECKING:
    from ringwright.lang.components.tree import Component
    from ringwright.lang.design.elaborate import Elaboration


def equations(elaboration: "Elaboration", component: "Component") -> None:
    """The corners of a rect are where they are."""
    on = elaboration.value(component, "on")
    if isinstance(on, ShapeOf) and on.function == "rect":
        elaboration.idle(component, "first", "holes on a rect stand at its corners")


KIND = Kind(
    "holes",
    "round holes in a pattern",
    (
        Property("diameter", "amount", "of each hole", "diameter = 3.2 mm", required=True, low=0.1, high=1e5),
        Property("count", "count", "how many; 4 on a rect", "count = 4", default=4.0, shown="4", high=200.0),
        Property(
            "on",
            "shape",
            "what their middles lie on: circle(d) or rect(w, h)",
            "on = circle(44 mm)",
            required=True,
        ),
        Property(
            "first",
            "amount",
            "where the first stands on a circle, from the top to the right",
            "first = 45 deg",
            ANGLE,
            default=0.0,
            shown="0 deg",
            low=-10.0,
            high=10.0,
        ),
        Property("at", "spot", "the middle of the pattern", "at = (0 mm, -12 mm)", axis="across"),
        Property(
            "fit",
            "word",
            "what goes through, to add 0.2, 0.3 or 0.5 mm",
            "fit = rod",
            choices=("rod", "tube", "sleeve"),
        ),
    ),
    inside=FLAT,
    equations=equations,
    example=(
        "panel p {\n    outline = rect(60 mm, 60 mm)\n    stock = board\n"
        "    holes bolts { diameter = 3.2 mm, on = circle(30 mm) }\n}\n"
    ),
)
