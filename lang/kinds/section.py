"""A station of a wing between its root and its tip."""

from ringwright.lang.kinds.kind import Kind, Property
from ringwright.lang.kinds.lifting import LARGEST, STEEPEST
from ringwright.lang.units import ANGLE

KIND = Kind(
    "section",
    "a station of a wing, tail or fin between root and tip, in order from the root; what it leaves out lies straight"
    " between its neighbours",
    (
        Property(
            "at",
            "amount",
            "how far out from the root it is",
            "at = @300 mm",
            axis="across",
            required=True,
            low=0.0,
            high=LARGEST,
        ),
        Property("chord", "amount", "its chord", "chord = @160 mm", axis="along", low=0.0, high=LARGEST),
        Property(
            "back",
            "amount",
            "how far its leading edge lies aft of the root's",
            "back = @10 mm",
            axis="along",
        ),
        Property(
            "sweep",
            "amount",
            "of the leading edge of the panel that ends here",
            "sweep = 4 deg",
            ANGLE,
            rather="back",
            optional=True,
            low=-STEEPEST,
            high=STEEPEST,
        ),
        Property(
            "up",
            "amount",
            "how far its leading edge lies over the root's",
            "up = 20 mm",
            axis="across",
        ),
        Property(
            "dihedral",
            "amount",
            "how far the panel that ends here rises, against level",
            "dihedral = 4 deg",
            ANGLE,
            rather="up",
            optional=True,
            low=-STEEPEST,
            high=STEEPEST,
        ),
        Property(
            "washout",
            "amount",
            "how far it is turned nose down against the root",
            "washout = 1 deg",
            ANGLE,
            low=-0.6,
            high=0.6,
        ),
        Property(
            "aerofoil",
            "aerofoil",
            "its section, where it is another than the root's",
            'aerofoil = aerofoil("0010")',
        ),
    ),
    inside=("wing", "tail", "fin"),
    example=(
        "wing main {\n    at = 60 mm, span = 600 mm, root = 120 mm, tip = 70 mm, stock = board\n"
        "    section bend { at = 180 mm, chord = 110 mm, dihedral = 3 deg }\n    dihedral = 9 deg\n}\n"
    ),
)
