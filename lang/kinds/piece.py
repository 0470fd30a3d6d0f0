"""A piece of strip: of a length, from one point to another, or along a line of the offsets."""

from collections.abc import Mapping
from typing import TYPE_CHECKING

from ringwright.lang.kinds.kind import Kind, Measure, Property

if TYPE_CHECKING:
    from ringwright.lang.components.tree import Component
    from ringwright.lang.design.making import Maker


def measures(maker: "Maker", component: "Component") -> Mapping[str, float]:
    """Return how long it is. Raises GeometryError, Unsettled."""
    from ringwright.lang.kinds.strips import course_of

    return {"run": course_of(maker, component).long}


def _end(name: str, doc: str, example: str) -> Property:
    return Property(name, "where", doc, example, axis="along", choices=("place", "point"))


KIND = Kind(
    "piece",
    "a piece of strip",
    (
        Property("length", "amount", "how long it is", "length = 240 mm", optional=True, low=1.0, high=1e5),
        _end(
            "from",
            "instead, where it begins: a point, or a place on the line that it lies along",
            "from = (40 mm, 48 mm, 20 mm)",
        ),
        _end("to", "where it ends", "to = (70 mm, 60 mm, 90 mm)"),
        Property(
            "along",
            "line",
            "the line of the offsets that it lies along, in its true length",
            "along = fuselage.longeron",
        ),
        Property(
            "hand",
            "word",
            "left, right or both; along a line that is not in the middle both",
            "hand = both",
            choices=("left", "right", "both"),
        ),
        Property(
            "quantity", "count", "how many of each hand", "quantity = 2", default=1.0, shown="1", high=1000.0
        ),
    ),
    inside=("strip",),
    forward=(Measure("run", "how long it is, whichever way that is said"),),
    measures=measures,
    example=(
        "strip spruce {\n    section = 6 mm by 6 mm\n    length = 1 m\n"
        "    piece brace { length = 240 mm, quantity = 2 }\n}\n"
    ),
)
