"""A slot for another sheet; one that crosses the edge becomes a notch."""

from typing import TYPE_CHECKING

from ringwright.geometry.numbers import short
from ringwright.lang.components.tree import property_of
from ringwright.lang.kinds.hole import FLAT
from ringwright.lang.kinds.kind import Kind, Property
from ringwright.lang.solve.algebra import add
from ringwright.lang.units import ANGLE
from ringwright.lang.values.value import Reference

if TYPE_CHECKING:
    from ringwright.lang.components.tree import Component
    from ringwright.lang.design.elaborate import Elaboration
    from ringwright.lang.design.making import Maker

# Common practice, no published source: mm.
FIT = {"foamboard": 0.1, "foam": 0.1, "card": 0.1, "paper": 0.1, "balsa": 0.2, "ply": 0.2, "film": 0.1}


def fit_of(maker: "Maker", stock: "Component | None") -> float:
    """Return the clearance of a slot that takes a stock, mm: what `cutting` asks for, else what is usual for that stock."""
    cutting = next((c for c in maker.tree.components.values() if c.kind.name == "cutting"), None)
    if cutting is not None and maker.has(cutting, "fit"):
        return maker.number(cutting, "fit")
    return 0.0 if stock is None else FIT.get(maker.word(stock, "kind"), 0.0)


def equations(elaboration: "Elaboration", component: "Component") -> None:
    """A slot that takes a stock is as wide as that is thick, and its fit."""
    if "takes" not in component.properties:
        elaboration.idle(component, "fit", "a fit adds to what a slot takes, and this one has a width")
    taken = elaboration.value(component, "takes")
    if not isinstance(taken, Reference) or "width" in component.properties:
        return
    stock = elaboration.tree.components[taken.id]
    if not elaboration.states(component, "fit"):
        cutting = next((c for c in elaboration.tree.components.values() if c.kind.name == "cutting"), None)
        if cutting is not None and elaboration.states(cutting, "fit"):
            asked = elaboration.unknown(cutting, "fit")
            elaboration.rule(
                component, elaboration.unknown(component, "fit"), asked, "the fit that `cutting` asks for"
            )
        else:
            fit = FIT.get(elaboration.word(stock, "kind"), 0.0)
            spec = property_of(component.kind, "fit")
            elaboration.default(component, spec._replace(shown=f"{short(fit, 2)} mm"), fit)
    elaboration.rule(
        component,
        elaboration.unknown(component, "width"),
        add(elaboration.unknown(stock, "thickness"), elaboration.unknown(component, "fit")),
        "a slot is as wide as what it takes is thick, and its fit",
    )


KIND = Kind(
    "slot",
    "a straight slot; where it crosses the edge, a notch",
    (
        Property("length", "amount", "along the slot", "length = 20 mm", required=True, low=0.1, high=1e5),
        Property(
            "width", "amount", "across the slot, as cut", "width = 5 mm", optional=True, low=0.1, high=1e5
        ),
        Property(
            "takes",
            "stock",
            "the stock that goes in: its thickness and the fit make the width",
            "takes = ply",
        ),
        Property(
            "fit",
            "amount",
            "clearance of a slot that takes a stock",
            "fit = 0.1 mm",
            optional=True,
            low=-5.0,
            high=5.0,
        ),
        Property("at", "spot", "its middle", "at = (0 mm, 30 mm)", axis="across"),
        Property(
            "turned",
            "amount",
            "anticlockwise from lying flat",
            "turned = 90 deg",
            ANGLE,
            default=0.0,
            shown="0 deg",
            low=-10.0,
            high=10.0,
        ),
    ),
    inside=FLAT,
    equations=equations,
    example=(
        "panel p {\n    outline = rect(60 mm, 60 mm)\n    stock = board\n"
        "    slot s { length = 20 mm, width = 5 mm }\n}\n"
    ),
)
