"""Sheet material as bought."""

import math
from collections.abc import Mapping
from typing import TYPE_CHECKING

from ringwright.geometry.errors import GeometryError
from ringwright.geometry.numbers import short
from ringwright.geometry.part import Stock
from ringwright.lang.kinds.kind import Kind, Property
from ringwright.lang.units import AREAL_MASS, DENSITY, LENGTH, MASS, NUMBER

if TYPE_CHECKING:
    from ringwright.lang.components.tree import Component
    from ringwright.lang.design.elaborate import Elaboration
    from ringwright.lang.design.making import Maker

# Common practice, no published source.
PEELED = {"foamboard": "peeled"}
NEUTRAL = {"peeled": 1.0, "scored": 1.0, "plain": 0.5}
MIN_RADIUS = {("foamboard", "plain"): 150.0, ("foamboard", "scored"): 25.0, ("foamboard", "peeled"): 25.0}
GRAINED = ("balsa", "ply")


def equations(elaboration: "Elaboration", component: "Component") -> None:
    """Settle what follows from the kind of stock where the text does not say: the neutral layer, the least radius."""
    for name, value in (
        ("neutral", NEUTRAL[_bend(elaboration.word(component, "kind"), elaboration.word(component, "bend"))]),
        ("min_radius", _least_radius(elaboration, component)),
    ):
        if name not in component.properties:
            spec = next(property for property in component.kind.properties if property.name == name)
            elaboration.default(component, spec._replace(shown=short(value, 2)), value)


def _bend(kind: str, bend: str) -> str:
    return bend or PEELED.get(kind, "plain")


def _least_radius(elaboration: "Elaboration", component: "Component") -> float:
    kind = elaboration.word(component, "kind")
    return MIN_RADIUS.get((kind, _bend(kind, elaboration.word(component, "bend"))), 0.0)


def measures(maker: "Maker", component: "Component") -> Mapping[str, float]:
    """Judge a stock, whether anything is cut from it or not; it has no measures. Raises GeometryError."""
    maker.of_stock(component)
    return {}


def make_stock(maker: "Maker", component: "Component") -> Stock:
    """Return the stock with everything that follows from what is given. Raises GeometryError."""
    kind = maker.word(component, "kind")
    width, height = maker.size(component, "sheet")
    thickness = maker.number(component, "thickness")
    if width <= 0 or height <= 0:
        raise GeometryError("no-size", f"a sheet of {short(width, 2)} by {short(height, 2)} mm has no area")
    grain = maker.word(component, "grain")
    if not grain:
        grain = "none" if kind not in GRAINED else "along_width" if width >= height else "along_height"
        maker.default(component, "grain", grain)
    bend = _bend(kind, maker.word(component, "bend"))
    if not maker.word(component, "bend"):
        maker.default(component, "bend", bend)

    def optional(name: str) -> float | None:
        return maker.number(component, name) if maker.has(component, name) else None

    return Stock(
        component.id,
        maker.text(component, "title") or component.name,
        kind,
        thickness,
        width,
        height,
        grain,
        _areal_mass(optional("mass"), optional("density"), optional("sheet_mass"), thickness, width * height),
        optional("facing") or 0.0,
        optional("facing_mass"),
        bend,
        maker.number(component, "neutral"),
        maker.number(component, "min_radius"),
        _plain_radius(optional("plain_radius"), kind, bend),
    )


def _plain_radius(given: float | None, kind: str, bend: str) -> float:
    """Return the radius below which a stock that is peeled to bend loses its inner paper; 0 where it keeps it."""
    if bend != "peeled":
        return 0.0
    return given if given is not None else MIN_RADIUS.get((kind, "plain"), math.inf)


def _areal_mass(
    mass: float | None, density: float | None, sheet_mass: float | None, thickness: float, area: float
) -> float | None:
    found = [
        value
        for value in (
            mass,
            None if density is None else density * thickness,
            None if sheet_mass is None else sheet_mass / area,
        )
        if value is not None
    ]
    if found and max(found) - min(found) > 1e-6 * max(found):
        raise GeometryError(
            "masses-differ",
            "mass, density and sheet_mass say different things: "
            + " and ".join(f"{short(value * 1e6, 1)} g/m2" for value in found)
            + "; keep the one that was weighed",
        )
    return found[0] if found else None


KIND = Kind(
    "stock",
    "sheet material as bought",
    (
        Property(
            "kind",
            "word",
            "what it is",
            "kind = foamboard",
            required=True,
            choices=("foamboard", "foam", "card", "paper", "balsa", "ply", "film"),
        ),
        Property("title", "text", "what it is called on the sheets", 'title = "board 4.8 white"'),
        Property(
            "thickness",
            "amount",
            "how thick it is: measure yours",
            "thickness = 4.8 mm",
            required=True,
            low=0.01,
            high=100.0,
        ),
        Property("sheet", "size", "one sheet, width by height", "sheet = 762 mm by 508 mm", required=True),
        Property("mass", "amount", "mass per area", "mass = 410 g/m2", AREAL_MASS, optional=True, low=0.0),
        Property(
            "density", "amount", "mass per volume", "density = 160 kg/m3", DENSITY, optional=True, low=0.0
        ),
        Property(
            "sheet_mass",
            "amount",
            "what one whole sheet weighs",
            "sheet_mass = 158 g",
            MASS,
            optional=True,
            low=0.0,
        ),
        Property(
            "grain",
            "word",
            "which way its grain runs",
            "grain = along_width",
            choices=("along_width", "along_height", "none"),
        ),
        Property(
            "bend",
            "word",
            "how it is bent: with the inner paper off, scored, or as it is",
            "bend = peeled",
            choices=("peeled", "scored", "plain"),
        ),
        Property(
            "neutral",
            "amount",
            "the layer that keeps its length in a bend: 0 the inner face, 1 the outer",
            "neutral = 1",
            NUMBER,
            low=0.0,
            high=1.0,
        ),
        Property(
            "min_radius", "amount", "tightest bend that it takes", "min_radius = 25 mm", LENGTH, low=0.0
        ),
        Property(
            "plain_radius",
            "amount",
            "tightest bend that it takes with both its papers on, where it is peeled to bend: skins that are bent tighter"
            " have their inner paper taken off there; of foam board 150 mm, of all else any bend",
            "plain_radius = 120 mm",
            optional=True,
            low=0.0,
        ),
        Property(
            "facing", "amount", "thickness of its paper face", "facing = 0.3 mm", optional=True, low=0.0
        ),
        Property(
            "facing_mass",
            "amount",
            "mass per area of one paper face",
            "facing_mass = 130 g/m2",
            AREAL_MASS,
            optional=True,
            low=0.0,
        ),
        Property("price", "money", "what one sheet costs", "price = 2.40 EUR"),
        Property(
            "on_hand",
            "count",
            "whole sheets that are there already, and need not be bought",
            "on_hand = 2",
            low=0.0,
            high=10_000,
        ),
    ),
    children=("offcut",),
    equations=equations,
    measures=measures,
    example="stock board {\n    kind = foamboard\n    thickness = 4.8 mm\n    sheet = 762 mm by 508 mm\n}\n",
)
