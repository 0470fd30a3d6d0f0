"""Down and right thrust on a firewall: its bolts lie where the shaft, leaning, comes out in the middle of the cowl."""

import math
from typing import TYPE_CHECKING

from ringwright.geometry.numbers import short, total
from ringwright.lang.kinds.kind import Kind, Property, Solved, tilt
from ringwright.lang.solve.algebra import add, apply, multiply, subtract
from ringwright.lang.solve.terms import Constant, Term
from ringwright.lang.values.value import Amount, Items

if TYPE_CHECKING:
    from collections.abc import Sequence

    from ringwright.geometry.path import Point
    from ringwright.lang.components.tree import Component
    from ringwright.lang.design.elaborate import Elaboration
    from ringwright.lang.design.making import Maker

LEAST_SPACER = 0.05
ALIKE = 0.01
"""Spacers that differ by less are one thickness, mm."""
STEEPEST = 0.35
"""More thrust than that either way is a slip of the pen, rad. Our choice."""


def equations(elaboration: "Elaboration", component: "Component") -> None:
    """The shaft is a straight line through the middle of where it comes out, leaning down and to the right."""
    if "through" not in component.properties:
        elaboration.breaks(component, "through")  # its lack has been reported
    former = elaboration.tree.components[component.parent]
    middle = elaboration.value(component, "middle")
    y0: Term = Constant(0.0)
    z0: Term = Constant(0.0)
    if isinstance(middle, Items):
        y0, z0 = (item.term for item in middle.items if isinstance(item, Amount))
    arm, y, z, down, right = (
        elaboration.unknown(component, name) for name in ("arm", "y", "z", "down", "right")
    )
    fore, through = elaboration.unknown(former, "x_fore"), elaboration.unknown(component, "through")
    elaboration.rule(
        component, arm, subtract(fore, through), "from where the shaft comes out to the firewall"
    )
    leans = "the shaft leans by its thrust"
    elaboration.rule(component, y, subtract(y0, multiply(arm, apply("tan", right))), leans)
    elaboration.rule(component, z, add(z0, multiply(arm, apply("tan", down))), leans)


def shift(maker: "Maker", component: "Component") -> "Point":
    """Return where the shaft passes the fore face of the firewall, (y, z). Raises Unsettled."""
    return maker.number(component, "y"), maker.number(component, "z")


def notes(maker: "Maker", component: "Component", bolts: "Sequence[Point]") -> tuple[str, ...]:
    """Return what a firewall's label says: the angles, and the spacers with which the mount leans. bolts: (y, z)."""
    down, right = maker.number(component, "down"), maker.number(component, "right")
    said = [
        f"{short(abs(math.degrees(angle)), 1)}° {words[angle < 0]}"
        for angle, words in ((down, ("down", "up")), (right, ("right", "left")))
        if abs(angle) > 1e-6
    ]
    if not said:
        return ()
    found = [f"thrust {', '.join(said)}"]
    # The mount stands square to the shaft: so far it lies ahead of the firewall at a bolt.
    ahead = [(z * math.tan(down) - y * math.tan(right), y, z) for y, z in bolts]
    if ahead and max(ahead)[0] - min(ahead)[0] >= LEAST_SPACER:
        most = max(ahead)[0]
        furthest = [(y, z) for off, y, z in ahead if most - off < ALIKE]
        y, z = (total(at[axis] for at in furthest) / len(furthest) for axis in (0, 1))
        y0, z0 = shift(maker, component)
        where = " ".join(
            word
            for word, off in (
                ("top" if z > z0 else "bottom", abs(z - z0)),
                ("right" if y > y0 else "left", abs(y - y0)),
            )
            if off > 0.1
        )
        found.append(f"spacers to {maker.length(most - min(ahead)[0])}, most at {where}")
    return tuple(found)


KIND = Kind(
    "thrust",
    "down and right thrust of the motor on a firewall: the openings in its braces lie about where the shaft passes it",
    (
        tilt("down", "how far the shaft leans down, going forward", "down = 2 deg", STEEPEST),
        tilt("right", "how far it leans to the right, going forward", "right = 2 deg", STEEPEST),
        Property(
            "through",
            "place",
            "where along x it comes out in the middle: the front of the cowl",
            "through = -98 mm",
            axis="along",
            required=True,
        ),
        Property(
            "middle",
            "point",
            "where that middle is, (y, z); on the datum line unless given",
            "middle = (0 mm, 4 mm)",
            axis="across",
        ),
    ),
    inside=("former",),
    children=("hole", "holes", "slot"),
    alone=True,
    solved=(
        Solved("arm", "how far it is from the firewall's fore face to where the shaft comes out"),
        Solved("y", "where the shaft passes that face: to starboard"),
        Solved("z", "where it passes that face: above the datum line"),
    ),
    equations=equations,
    example=(
        "former F1 {\n    at = 0 mm\n    stock = ply\n    outline = circle(100 mm)\n"
        "    thrust {\n        down = 2 deg\n        right = 2 deg\n        through = -98 mm\n"
        "        holes bolts { diameter = 3 mm, fit = rod, on = circle(44 mm), first = 45 deg }\n"
        "        hole shaft { diameter = 14 mm }\n    }\n}\n"
    ),
)
