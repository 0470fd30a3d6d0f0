"""Flat rings, one upon another: layers of sheet with a hole in the middle."""

from collections.abc import Iterable
from typing import TYPE_CHECKING

from ringwright.lang.kinds import carved, disc, element
from ringwright.lang.kinds.kind import Kind, Property, Solved
from ringwright.lang.solve.algebra import add, multiply
from ringwright.lang.solve.terms import Constant

if TYPE_CHECKING:
    from ringwright.geometry.part import Part
    from ringwright.lang.components.tree import Component
    from ringwright.lang.design.elaborate import Elaboration
    from ringwright.lang.design.making import Maker


def equations(elaboration: "Elaboration", component: "Component") -> None:
    """So many thicknesses long; outside, inside and rim are tied, unless its layers follow a profile."""
    layers = elaboration.count(component, "layers")
    elaboration.rule(
        component,
        elaboration.unknown(component, "length"),
        multiply(Constant(float(layers)), elaboration.thickness(component)),
        "a ring of layers is as long as its sheets are thick",
    )
    if element.is_carved(elaboration.tree, component):
        element.on_profile(elaboration, elaboration.tree.components[component.parent], component)
        return
    diameter = elaboration.unknown(component, "diameter")
    for end in ("start", "end"):
        elaboration.rule(
            component, elaboration.unknown(component, end), diameter, "a flat ring has one diameter"
        )
    elaboration.rule(
        component,
        diameter,
        add(
            elaboration.unknown(component, "inside"),
            multiply(Constant(2.0), elaboration.unknown(component, "rim")),
        ),
        "outside is inside and the rim on both sides",
    )


def parts(maker: "Maker", component: "Component") -> "Iterable[Part]":
    """Yield its layers: one part in several copies, or one part each where they follow a profile."""
    made = carved.parts if element.is_carved(maker.tree, component) else disc.ring_parts
    return made(maker, component)


KIND = Kind(
    "ring",
    "flat rings of sheet, one upon another, in a stack",
    (
        element.DIAMETER,
        Property(
            "inside",
            "amount",
            "diameter of the opening",
            "inside = @90 mm",
            axis="across",
            low=element.LEAST,
            high=element.WIDEST,
        ),
        Property("rim", "amount", "width of the ring", "rim = 14 mm", low=element.LEAST, high=element.WIDEST),
        Property(
            "layers",
            "count",
            "how many sheets lie upon one another",
            "layers = 3",
            default=1.0,
            shown="1",
            high=1000.0,
        ),
        Property(
            "carve",
            "amount",
            "in a stack with a profile: how much is left to carve away, all round each layer",
            "carve = 2 mm",
            optional=True,
            low=0.0,
            high=1e3,
        ),
        element.STOCK,
    ),
    inside=("stack",),
    children=("hole", "holes", "slot"),
    solved=(
        Solved("start", "outside diameter where it starts", low=element.LEAST, high=element.WIDEST),
        Solved("end", "outside diameter where it ends", low=element.LEAST, high=element.WIDEST),
        Solved("length", "all its layers", low=element.LEAST, high=element.WIDEST),
        *element.PLACES,
    ),
    forward=element.MEASURES,
    equations=equations,
    parts=parts,
    measures=disc.measures,
    example="stack s {\n    stock = board\n    ring lip { diameter = @92 mm, rim = 14 mm, layers = 2 }\n}\n",
)
