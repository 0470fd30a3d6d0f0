"""A slot for another sheet; one that crosses the edge becomes a notch."""

from ringwright.lang.kinds.hole import FLAT
from ringwright.lang.kinds.kind import Kind, Property
from ringwright.lang.units import ANGLE

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
    example=(
        "panel p {\n    outline = rect(60 mm, 60 mm)\n    stock = board\n"
        "    slot s { length = 20 mm, width = 5 mm }\n}\n"
    ),
)
