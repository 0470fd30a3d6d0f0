"""The aircraft itself: its title, its revision, and how large it is against its plan."""

from ringwright.lang.kinds.kind import Kind, Measure, Property
from ringwright.lang.units import MASS

KIND = Kind(
    "model",
    "the aircraft; one in a spec",
    (
        Property(
            "title", "text", "what the model is called on its sheets", 'title = "Marsh Heron"', required=True
        ),
        Property(
            "revision",
            "text",
            "letter or number of this state of the design",
            'revision = "B"',
            default="A",
            shown='"A"',
        ),
        Property(
            "plan_scale",
            "scale",
            "model over plan, by which everything marked @ is multiplied; two with 'by' for a copy stretched one way",
            "plan_scale = 145 %",
        ),
        Property(
            "units",
            "word",
            "how lengths are shown",
            "units = in",
            default="mm",
            shown="mm",
            choices=("mm", "in"),
        ),
        Property(
            "fraction", "count", "inches are shown to the nearest 1/fraction", "fraction = 64", high=1024.0
        ),
        Property(
            "language",
            "count",
            "version of this language that the spec is written in",
            "language = 1",
            default=1.0,
            shown="1",
            high=1.0,
        ),
    ),
    forward=(
        Measure("mass", "what all of it weighs: parts, loads, allowances and ballast", MASS, late=True),
        Measure("balance_x", "where it balances along x, ballast included", late=True),
        Measure("balance_y", "how far to starboard its balance point lies", late=True),
        Measure("balance_z", "how far above the datum line its balance point lies", late=True),
    ),
    example='model heron {\n    title = "Marsh Heron"\n}\n',
)
