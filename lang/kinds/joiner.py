"""A brace across the joint of two panels, bent as they meet."""

from ringwright.lang.kinds.kind import Kind, Property
from ringwright.lang.kinds.lifting import BEHIND, FIT, LARGEST

KIND = Kind(
    "joiner",
    "a brace across a joint of a wing or tail, cut to the angle at which its panels meet",
    (
        BEHIND,
        Property("joint", "section", "at which section; in the middle unless given", "joint = bend"),
        Property("stock", "stock", "what it is cut from", "stock = ply", required=True),
        Property(
            "reach",
            "amount",
            "how far it goes into either panel",
            "reach = 60 mm",
            required=True,
            low=1.0,
            high=LARGEST,
        ),
        Property(
            "depth",
            "amount",
            "how deep it is; unless given all that ribs have for it but 2 mm at either edge, and three thicknesses in a plate",
            "depth = 12 mm",
            optional=True,
            low=0.5,
            high=LARGEST,
        ),
        FIT,
    ),
    inside=("wing", "tail"),
    example=(
        "wing main {\n    at = 60 mm, span = 600 mm, root = 120 mm, tip = 90 mm, dihedral = 5 deg, stock = board\n"
        "    joiner brace { at = 30 %, reach = 50 mm, stock = ply }\n}\n"
    ),
)
