"""Glue, paint and covering: what is not cut and weighs something all over other parts."""

from ringwright.lang.kinds.kind import Kind, Property
from ringwright.lang.units import AREAL_MASS, LINEAR_MASS, MASS

KIND = Kind(
    "allowance",
    "glue, paint or covering: a mass by the area of parts, by the length of their seams, or in all",
    (
        Property("title", "text", "what it is", 'title = "varnish, two coats"'),
        Property(
            "mass",
            "amount",
            "by area or by length of seam; a plain mass is spread over the area",
            "mass = 25 g/m2",
            AREAL_MASS,
            required=True,
            low=0.0,
            also=(LINEAR_MASS, MASS),
        ),
        Property(
            "on",
            "things",
            "components or stocks that it goes on; all that is cut, unless given",
            "on = board",
        ),
        Property(
            "faces",
            "count",
            "on how many faces of the sheet",
            "faces = 2",
            default=1.0,
            shown="1",
            high=2,
        ),
        Property(
            "along",
            "word",
            "which edges a mass by length goes on: seams, joints with other parts too, or all edges",
            "along = seams",
            default="joints",
            shown="joints",
            choices=("seams", "joints", "edges"),
        ),
    ),
    example="allowance varnish { mass = 25 g/m2, on = board }\n",
)
