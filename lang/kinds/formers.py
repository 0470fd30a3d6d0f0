"""One former at each of many stations: each is a former of its own, called by its station."""

from ringwright.lang.kinds.former import KIND as FORMER
from ringwright.lang.kinds.kind import Kind, Property

KIND = Kind(
    "formers",
    "a former at each of many stations of the offsets, called by its station; a `former` of that name stands in its stead",
    (
        Property(
            "at",
            "stations",
            "where they stand: a range of stations, in the order along x, or a list",
            "at = F1 to F8",
            required=True,
        ),
        *(
            property._replace(default=None, shown="", optional=True)
            for property in FORMER.properties
            if property.name != "at"
        ),
    ),
    inside=("", "body"),
    article="a group of formers",
    children=tuple(child for child in FORMER.children if child != "thrust"),
    example=(
        "offsets fuselage {\n"
        "    section = box\n"
        "    | station | x [@mm] | half [@mm] | top [@mm] | bottom [@mm] |\n"
        "    | F1      |   0     |   44       |   52      |  -40         |\n"
        "    | F2      | 118     |   51       |   61      |  -50         |\n"
        "}\n"
        "formers frames {\n    at = F1 to F2\n    stock = board\n    hole lightening { rim = 14 mm }\n}\n"
    ),
)
