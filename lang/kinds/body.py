"""The body of an aircraft: sides, top, bottom and formers along a table of offsets, in one go.

It cuts nothing itself: `components/bodies.py` says what it stands for.
"""

from ringwright.lang.kinds.kind import Kind, Property
from ringwright.lang.kinds.side import LINES

KIND = Kind(
    "body",
    "the body of an aircraft along its offsets: `sides`, `top`, `bottom` and a former at each station, or a `skin` where the"
    " sections are no boxes; what is said in its braces of one of them stands",
    (
        Property(
            "offsets",
            "component",
            "the table that its lines and sections are in",
            "offsets = fuselage",
            required=True,
            choices=("offsets",),
        ),
        Property("stock", "stock", "what all of it is cut from, unless a part of it says", "stock = board"),
        Property(
            "at",
            "stations",
            "the stations along which it runs; all of its table unless given",
            "at = F1 to F3",
        ),
        Property(
            "open",
            "word",
            "what is left open: its top, its bottom or both",
            "open = top",
            choices=("top", "bottom", "both"),
        ),
        Property(
            "tab",
            "amount",
            "width of the tabs of its formers, 0 mm for none; where an edge is short half of that",
            "tab = 15 mm",
            default=20.0,
            shown="20 mm",
            low=0.0,
            high=1e4,
        ),
    ),
    children=("side", "deck", "floor", "wrap", "formers"),
    example=(
        f"{LINES}"
        "body hull {\n    offsets = fuselage\n    stock = board\n"
        "    deck { to = F2 }\n    side { hole window { outline = rect(40 mm, 24 mm), at = (60 mm, 20 mm) } }\n}\n"
    ),
)
