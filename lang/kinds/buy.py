"""A bought part, for the list of what to buy; it may weigh something and lie somewhere."""

from ringwright.lang.kinds.kind import Kind, Property
from ringwright.lang.kinds.load import PLACES, equations
from ringwright.lang.units import MASS

KIND = Kind(
    "buy",
    "a bought part for the list",
    (
        Property("title", "text", "what to ask for in the shop", 'title = "wheel, 60 mm"'),
        Property("count", "count", "how many", "count = 2", default=1.0, shown="1", high=10_000),
        Property("price", "money", "what one costs", "price = 2.40 EUR"),
        Property("mass", "amount", "what one weighs", "mass = 18 g", MASS, optional=True, low=0.0),
        Property(
            "at",
            "where",
            "where their middle is: a place along x, or a point in the aircraft",
            "at = (60 mm, 0 mm, -95 mm)",
            axis="along",
            choices=("place", "point"),
        ),
    ),
    solved=PLACES,
    equations=equations,
    example='buy wheels { title = "wheel, 60 mm", count = 2, price = 2.40 EUR }\n',
)
