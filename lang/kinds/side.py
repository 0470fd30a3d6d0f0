"""The sides of a fuselage: a flat sheet bent along it between two lines of the offsets."""

from ringwright.lang.kinds import element, lengthwise
from ringwright.lang.kinds.kind import Kind, Property
from ringwright.lang.kinds.wrap import SIZES

PIECES_SEAM = Property(
    "seam",
    "seam",
    "how its pieces meet: butt, strap(w), a doubler of that width inside, or scarf(w), both tapered over that width and"
    " laid one over the other; butt unless given",
    "seam = scarf(40 mm)",
    choices=("scarf",),
)

ENDS = (
    Property(
        "from",
        "place",
        "where it begins; as far forward as its lines were measured unless given",
        "from = F1",
        axis="along",
        optional=True,
    ),
    Property(
        "to",
        "place",
        "where it ends; as far aft as its lines were measured unless given",
        "to = F3 + 2 mm",
        axis="along",
        optional=True,
    ),
    Property(
        "pieces",
        "count",
        "in how many pieces it is cut, nose first; the fewest that fit unless given",
        "pieces = 2",
        high=24.0,
    ),
    PIECES_SEAM,
)

# The table that the examples of sides, decks and floors lie along.
LINES = (
    "offsets fuselage {\n"
    "    section = box\n"
    "    | station | x [@mm] | half [@mm] | top [@mm] | bottom [@mm] |\n"
    "    | F1      |   0     |   44       |   52      |  -40         |\n"
    "    | F2      | 118     |   51       |   61      |  -50         |\n"
    "    | F3      | 240     |   40       |   50      |  -38         |\n"
    "}\n"
)

KIND = Kind(
    "side",
    "the side of a fuselage: a flat sheet bent along it between two lines, cut in its true length",
    (
        Property(
            "upper",
            "line",
            "the line of its upper edge; the top of a box is the corner there",
            "upper = fuselage.top",
            required=True,
        ),
        Property("lower", "line", "the line of its lower edge", "lower = fuselage.bottom", required=True),
        Property("stock", "stock", "what it is cut from", "stock = board"),
        *ENDS,
        Property(
            "hand",
            "word",
            "left, right or both",
            "hand = right",
            default="both",
            shown="both",
            choices=("left", "right", "both"),
        ),
    ),
    inside=("", "body"),
    children=("hole", "holes", "slot", "splice"),
    forward=(*SIZES, *element.MEASURES),
    parts=lengthwise.parts,
    measures=lengthwise.measures,
    example=(
        f"{LINES}"
        "side flank {\n    upper = fuselage.top\n    lower = fuselage.bottom\n    stock = board\n"
        "    hole window { outline = rect(40 mm, 24 mm), at = (60 mm, 20 mm) }\n}\n"
    ),
)
