"""The floor of a fuselage: a sheet across below, between the left and the right of one line."""

from ringwright.lang.kinds import element, lengthwise
from ringwright.lang.kinds.kind import Kind, Property
from ringwright.lang.kinds.side import ENDS
from ringwright.lang.kinds.wrap import SIZES

KIND = Kind(
    "floor",
    "a sheet across below between the left and the right of a line, flat or bent along it",
    (
        Property(
            "between",
            "line",
            "the line whose left and right it lies between",
            "between = fuselage.bottom",
            required=True,
        ),
        Property("stock", "stock", "what it is cut from", "stock = board"),
        Property(
            "inset",
            "amount",
            "how far its edges lie inside the line, for sides that cover them",
            "inset = board.thickness",
            axis="across",
            default=0.0,
            shown="0 mm",
            low=-1e3,
            high=1e3,
        ),
        *ENDS,
    ),
    children=("hole", "holes", "slot"),
    forward=(*SIZES, *element.MEASURES),
    parts=lengthwise.parts,
    measures=lengthwise.measures,
    example=(
        "offsets fuselage {\n"
        "    section = box\n"
        "    | station | x [@mm] | half [@mm] | top [@mm] | bottom [@mm] |\n"
        "    | F1      |   0     |   44       |   52      |  -40         |\n"
        "    | F2      | 118     |   51       |   61      |  -50         |\n"
        "    | F3      | 240     |   40       |   50      |  -38         |\n"
        "}\n"
        "floor sheet {\n    between = fuselage.bottom\n    stock = board\n    hole hatch { diameter = 30 mm, at = (70 mm, 0 mm) }\n}\n"
    ),
)
