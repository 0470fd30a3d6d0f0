"""A bar along a wing: a spar on edge, a strip in the ribs' edges, leading-edge and trailing-edge stock."""

from ringwright.lang.kinds.kind import Kind, Property
from ringwright.lang.kinds.lifting import BEHIND, FIT, LARGEST

SEATS = ("web", "upper", "lower", "middle", "front", "rear")

KIND = Kind(
    "spar",
    "a bar along a wing, tail or fin, and its slots in the ribs",
    (
        BEHIND._replace(
            doc="where its middle is behind the leading edge: a length, or a share of the chord; front and rear need none",
            required=False,
            optional=True,
        ),
        Property(
            "seat",
            "word",
            "how it sits: on edge, as deep as the section and half through each rib; in the ribs' upper or lower edge; in"
            " a hole in their middle; before their fronts, as leading-edge stock, or behind their rears, as trailing-edge stock",
            "seat = upper",
            default="web",
            shown="web",
            choices=SEATS,
        ),
        Property("stock", "stock", "what it is cut from", "stock = ply", required=True),
        Property(
            "width",
            "amount",
            "along the chord; unless given as thick as its stock",
            "width = 6 mm",
            optional=True,
            low=0.1,
            high=LARGEST,
        ),
        Property(
            "depth",
            "amount",
            "square to the chord; unless given as thick as its stock, and of a web all that there is",
            "depth = 5 mm",
            optional=True,
            low=0.1,
            high=LARGEST,
        ),
        FIT,
    ),
    inside=("wing", "tail", "fin"),
    example=(
        "wing main {\n    at = 60 mm, span = 600 mm, root = 160 mm, tip = 120 mm, build = ribs, ribs = 70 mm\n"
        '    aerofoil = aerofoil("2412"), stock = ply\n'
        "    spar web { at = 30 %, stock = ply }\n}\n"
    ),
)
