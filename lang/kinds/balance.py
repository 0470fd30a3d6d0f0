"""Where the finished model must balance, and where ballast can sit."""

from typing import TYPE_CHECKING

from ringwright.lang.kinds.kind import Kind, Measure, Property
from ringwright.lang.units import DENSITY, MASS, NUMBER

if TYPE_CHECKING:
    from ringwright.lang.components.tree import Component
    from ringwright.lang.design.elaborate import Elaboration

# g/cm3 at room temperature, rounded: common tables.
DENSITIES = {"lead": 11.3, "steel": 7.85, "brass": 8.5, "tungsten": 19.3}


def equations(elaboration: "Elaboration", component: "Component") -> None:
    """Settle the density of the ballast where the text does not say."""
    if "density" not in component.properties:
        density = DENSITIES[elaboration.word(component, "material") or "steel"]
        spec = next(property for property in component.kind.properties if property.name == "density")
        elaboration.default(component, spec._replace(shown=f"{density:g} g/cm3"), density / 1000)


KIND = Kind(
    "balance",
    "where the finished model must balance, and where ballast can sit",
    (
        Property(
            "target",
            "where",
            "the place along x where it must balance, or a range; behind a wing's leading edge: `behind(wing, 30 %)`",
            "target = 95 mm to 105 mm",
            axis="along",
            required=True,
            choices=("place", "range"),
        ),
        Property(
            "ballast_at",
            "where",
            "where ballast can sit: a place along x, or a point in the aircraft",
            "ballast_at = -80 mm",
            axis="along",
            choices=("place", "point"),
        ),
        Property(
            "material",
            "word",
            "what the ballast is",
            "material = brass",
            default="steel",
            shown="steel",
            choices=tuple(DENSITIES),
        ),
        Property(
            "density", "amount", "mass per volume of the ballast", "density = 11.3 g/cm3", DENSITY, low=1e-5
        ),
    ),
    forward=(
        Measure("before", "where the model balances without ballast, along x", late=True),
        Measure("slide", "where the load that slides must sit, along x", late=True),
        Measure("ballast", "what is needed at `ballast_at`", MASS, late=True),
        Measure("after", "where the model balances with its ballast, along x", late=True),
        Measure(
            "static_margin",
            "how far that is ahead of a tail's neutral point, as a share of the wing's mean chord",
            NUMBER,
            late=True,
        ),
    ),
    alone=True,
    equations=equations,
    example=(
        "load motor { mass = 90 g, at = -20 mm }\nload battery { mass = 180 g, at = 10 mm to 85 mm }\n"
        "load receiver { mass = 12 g, at = 160 mm }\nbalance { target = 40 mm, ballast_at = -80 mm }\n"
    ),
)
