"""One opening: round by its diameter, of any outline, or one that leaves a rim."""

from ringwright.lang.kinds.kind import Kind, Property

FLAT = ("plate", "ring", "former", "formers", "panel", "side", "floor", "deck")

KIND = Kind(
    "hole",
    "an opening: a diameter, an outline, or what is left within a rim",
    (
        Property(
            "diameter", "amount", "of a round hole", "diameter = 6 mm", optional=True, low=0.1, high=1e5
        ),
        Property(
            "outline",
            "shape",
            "of a hole of any form, about its `at`",
            "outline = rect(20 mm, 12 mm)",
            axis="across",
        ),
        Property(
            "rim",
            "amount",
            "width of the rim that it leaves",
            "rim = 14 mm",
            optional=True,
            low=0.1,
            high=1e5,
        ),
        Property(
            "at",
            "spot",
            "its middle; in a bent wall a place along the axis and an angle",
            "at = (0 mm, -20 mm)",
            axis="across",
        ),
        Property(
            "fit",
            "word",
            "what goes through, to add 0.2, 0.3 or 0.5 mm",
            "fit = tube",
            choices=("rod", "tube", "sleeve"),
        ),
    ),
    inside=(*FLAT, "barrel", "cone", "cones", "wrap"),
    example="panel p {\n    outline = rect(60 mm, 40 mm)\n    stock = board\n    hole h { diameter = 6 mm }\n}\n",
)
