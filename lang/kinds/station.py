"""A place along the x axis, by a name of its own."""

from ringwright.lang.kinds.kind import Kind, Property

KIND = Kind(
    "station",
    "a place along the x axis, which runs aft along the datum line",
    (Property("x", "place", "where it is", "x = @118 mm", axis="along", required=True),),
    example="station F2 { x = @118 mm }\n",
)
