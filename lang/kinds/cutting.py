"""How parts are laid out and cut: margins, gaps, kerf."""

from typing import TYPE_CHECKING

from ringwright.geometry.numbers import short
from ringwright.geometry.part import Cutting
from ringwright.lang.kinds.kind import Kind, Property

if TYPE_CHECKING:
    from collections.abc import Mapping

    from ringwright.lang.components.tree import Component
    from ringwright.lang.design.elaborate import Elaboration
    from ringwright.lang.design.making import Maker

# Common practice, no published source: margin, gap, kerf in mm.
HABITS = {"knife": Cutting(8.0, 4.0, 0.0), "laser": Cutting(5.0, 2.0, 0.0)}


LAYERS = {
    "cut": "cut through",
    "far": "cut to the far paper",
    "score": "scored and bent",
    "groove": "cut part deep",
    "bare": "bared of its inner paper",
    "peel": "peeled",
    "mark": "marked",
    "text": "lettered",
    "info": "beside the parts",
}
"""What may have a colour of its own, and what lies on it."""
COLOURS = ("black", "red", "green", "blue", "cyan", "magenta", "yellow")


def equations(elaboration: "Elaboration", component: "Component") -> None:
    """Settle what follows from the tool where the text does not say."""
    habits = HABITS[elaboration.word(component, "tool") or "knife"]
    for name, value in zip(("margin", "gap", "kerf"), habits, strict=True):
        if name not in component.properties:
            spec = next(property for property in component.kind.properties if property.name == name)
            elaboration.default(component, spec._replace(shown=f"{short(value, 2)} mm"), value)


def cutting_of(component: "Component | None", values: "Mapping[str, float]") -> Cutting:
    """Return the cutting of a design; a knife's where nothing is said. No two cuts come nearer than one is wide."""
    if component is None:
        return HABITS["knife"]
    found = [values.get(f"{component.id}.{name}") for name in ("margin", "gap", "kerf")]
    margin, gap, kerf = (h if f is None else f for f, h in zip(found, HABITS["knife"], strict=True))
    return Cutting(max(margin, kerf), max(gap, kerf), kerf)


def colours_of(maker: "Maker", component: "Component | None") -> tuple[tuple[str, str], ...]:
    """Return the layers that are not black, each with its colour. Raises Unsettled."""
    if component is None:
        return ()
    found = ((layer, maker.word(component, layer)) for layer in LAYERS)
    return tuple((layer, colour) for layer, colour in found if colour not in ("", "black"))


KIND = Kind(
    "cutting",
    "how parts are laid out and cut",
    (
        Property(
            "tool",
            "word",
            "what cuts",
            "tool = laser",
            default="knife",
            shown="knife",
            choices=("knife", "laser"),
        ),
        Property(
            "margin", "amount", "edge of each sheet that is left free", "margin = 8 mm", low=0.0, high=1000.0
        ),
        Property(
            "gap",
            "amount",
            "least distance between two parts, no less than the kerf",
            "gap = 4 mm",
            low=0.0,
            high=1000.0,
        ),
        Property("kerf", "amount", "width that the cutter takes away", "kerf = 0.2 mm", low=0.0, high=10.0),
        Property(
            "fit",
            "amount",
            "clearance of slots for the stock that they take, and for tabs; by the kind of stock unless given",
            "fit = 0.15 mm",
            optional=True,
            low=-5.0,
            high=5.0,
        ),
        *(
            Property(
                layer,
                "word",
                f"colour, in files for a cutter, of what is {done}; black unless given",
                f"{layer} = {colour}",
                choices=COLOURS,
            )
            for (layer, done), colour in zip(LAYERS.items(), (*COLOURS[1:], *COLOURS), strict=False)
        ),
    ),
    alone=True,
    equations=equations,
    example="cutting { tool = laser, kerf = 0.2 mm }\n",
)
