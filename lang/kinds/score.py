"""A straight bend line across a panel."""

from ringwright.lang.kinds.kind import Kind, Property
from ringwright.lang.units import ANGLE

KIND = Kind(
    "score",
    "a straight bend line across a panel, cut part way",
    (
        Property("from", "point", "one end", "from = (-40 mm, 0 mm)", axis="across", required=True),
        Property("to", "point", "the other end", "to = (40 mm, 0 mm)", axis="across", required=True),
        Property(
            "bend", "amount", "how far it is bent", "bend = 30 deg", ANGLE, optional=True, low=0.0, high=3.15
        ),
        Property(
            "side",
            "word",
            "the side it is cut from: the face drawn, or the back",
            "side = back",
            default="face",
            shown="face",
            choices=("face", "back"),
        ),
    ),
    inside=("panel",),
    example=(
        "panel p {\n    outline = rect(80 mm, 60 mm)\n    stock = board\n"
        "    score s { from = (-40 mm, 0 mm), to = (40 mm, 0 mm), bend = 30 deg }\n}\n"
    ),
)
