"""Strip that is bought by the length: longerons, struts, spars. What is cut from it stands in its braces."""

from collections.abc import Mapping
from typing import TYPE_CHECKING

from ringwright.lang.kinds.kind import Kind, Measure, Property
from ringwright.lang.units import DENSITY, MASS, NUMBER

if TYPE_CHECKING:
    from ringwright.lang.components.tree import Component
    from ringwright.lang.design.making import Maker


def measures(maker: "Maker", component: "Component") -> Mapping[str, float]:
    """Return how many lengths are bought, and what is left over of them. Raises GeometryError, Unsettled."""
    from ringwright.geometry.errors import GeometryError
    from ringwright.geometry.numbers import short, total
    from ringwright.lang.kinds.strips import cut_list

    width, height = maker.size(component, "section")
    if min(width, height) <= 0:
        raise GeometryError(
            "no-size", f"a strip of {short(width, 2)} by {short(height, 2)} mm has no section"
        )
    cut = cut_list(maker, component)
    return {"lengths": float(len(cut)), "left": total(bar.left for bar in cut)}


KIND = Kind(
    "strip",
    "strip that is bought by the length; its pieces stand in its braces",
    (
        Property("title", "text", "what to ask for in the shop", 'title = "spruce, 6 by 6"'),
        Property("section", "size", "its section, width by height", "section = 6 mm by 6 mm", required=True),
        Property(
            "length",
            "amount",
            "how long it is as bought",
            "length = 1 m",
            required=True,
            low=1.0,
            high=1e5,
        ),
        Property(
            "density", "amount", "mass per volume", "density = 450 kg/m3", DENSITY, optional=True, low=0.0
        ),
        Property("mass", "amount", "what one length weighs", "mass = 16 g", MASS, optional=True, low=0.0),
        Property("price", "money", "what one length costs", "price = 1.20 EUR"),
    ),
    children=("piece",),
    forward=(
        Measure("lengths", "how many lengths are bought", NUMBER),
        Measure("left", "what is left over of them"),
    ),
    measures=measures,
    example=(
        "strip spruce {\n    section = 6 mm by 6 mm\n    length = 1 m\n    density = 450 kg/m3\n"
        "    piece strut { from = (40 mm, 48 mm, 20 mm), to = (70 mm, 60 mm, 90 mm), hand = both }\n}\n"
    ),
)
