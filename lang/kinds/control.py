"""A surface that moves: aileron, elevator, rudder, flap."""

import math

from ringwright.lang.kinds.kind import Kind, Property
from ringwright.lang.kinds.lifting import LARGEST
from ringwright.lang.units import ANGLE, NUMBER

# Common practice, no published source: mm, rad.
GAP = 0.5
BEVEL = math.radians(45)

KIND = Kind(
    "control",
    "a surface that moves, cut off along its hinge line: aileron, elevator, rudder",
    (
        Property(
            "chord",
            "amount",
            "from its hinge line to the trailing edge: a length, or a share of the chord there",
            "chord = 25 %",
            axis="along",
            required=True,
            low=1e-3,
            high=LARGEST,
            also=(NUMBER,),
        ),
        Property(
            "from",
            "amount",
            "where it begins, out from the root; at the root unless given",
            "from = @180 mm",
            axis="across",
            optional=True,
            low=0.0,
            high=LARGEST,
        ),
        Property(
            "to",
            "amount",
            "where it ends, out from the root; at the tip unless given",
            "to = @420 mm",
            axis="across",
            optional=True,
            low=0.0,
            high=LARGEST,
        ),
        Property(
            "stock", "stock", "what it is cut from; unless given as what it is cut off", "stock = board"
        ),
        Property(
            "hinge",
            "word",
            "on which face the hinge lies: the edge is bevelled on the other",
            "hinge = lower",
            default="upper",
            shown="upper",
            choices=("upper", "lower"),
        ),
        Property(
            "gap",
            "amount",
            "free room all round it",
            "gap = 1 mm",
            default=GAP,
            shown="0.5 mm",
            low=0.0,
            high=50.0,
        ),
        Property(
            "bevel",
            "amount",
            "of its front edge, so that it can turn",
            "bevel = 45 deg",
            ANGLE,
            default=BEVEL,
            shown="45 deg",
            low=0.0,
            high=1.3,
        ),
        Property(
            "horn",
            "amount",
            "how far out from the root its horn sits",
            "horn = 200 mm",
            axis="across",
            optional=True,
            low=0.0,
            high=LARGEST,
        ),
        Property(
            "joined",
            "flag",
            "both halves are one piece, where the surface is one sheet across",
            "joined = yes",
            default=False,
            shown="no",
        ),
    ),
    inside=("wing", "tail", "fin"),
    example=(
        "tail plane {\n    at = 480 mm, span = 240 mm, root = 80 mm, tip = 60 mm, stock = board\n"
        "    control elevator { chord = 25 %, from = 10 mm, horn = 20 mm }\n}\n"
    ),
)
