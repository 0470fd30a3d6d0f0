"""A thing that is not cut and weighs something: motor, battery, servo."""

from typing import TYPE_CHECKING

from ringwright.lang.kinds.kind import Kind, Property, Solved
from ringwright.lang.solve.terms import Constant, Term, Unknown
from ringwright.lang.units import LENGTH, MASS
from ringwright.lang.values.value import Amount, Items, Pair, Value

if TYPE_CHECKING:
    from ringwright.lang.components.tree import Component
    from ringwright.lang.design.elaborate import Elaboration

PLACES = (
    Solved("x", "where its middle lies along x"),
    Solved("y", "where its middle lies across: to starboard"),
    Solved("z", "how high its middle lies above the datum line"),
)


def equations(elaboration: "Elaboration", component: "Component") -> None:
    """Say where it lies; what slides finds its place with the balance, and has no x before."""
    if elaboration.states(component, "weighed") and not elaboration.states(component, "mass"):
        mass, weighed = (elaboration.unknown(component, name) for name in ("mass", "weighed"))
        elaboration.rule(component, mass, weighed, "its mass is what the scale says", MASS)
    elif not elaboration.states(component, "mass") and component.kind.name == "load":
        if f"{component.id}.mass" not in elaboration.broken and "mass" not in component.properties:
            elaboration.say(
                "missing-property",
                f"'{component.name}' has no mass",
                component.span,
                "write, for example: mass = 180 g",
            )
        elaboration.breaks(component, "mass")
    at = elaboration.value(component, "at")
    if at is None:
        return
    terms = along_across_up(at)
    rest: tuple[Term | None, ...] = (None, Constant(0.0), Constant(0.0))
    if isinstance(at, Pair):
        elaboration.later(component, "x")
        if isinstance(at.first, Items):
            rest = (None, None, None)
            elaboration.later(component, "y")
            elaboration.later(component, "z")
    for solved, term in zip(PLACES, terms or rest, strict=True):
        if term is not None:
            unknown = elaboration.unknown(component, solved.name)
            elaboration.rule(component, unknown, term, f"{solved.name} of where {component.id} is", LENGTH)


def along_across_up(at: Value) -> tuple[Term, Term, Term] | None:
    """Return x, y and z of a place or a point; None of a range."""
    if isinstance(at, Pair):
        return None
    if isinstance(at, Items):
        x, y, z = (item.term for item in at.items if isinstance(item, Amount))
        return x, y, z
    assert isinstance(at, Amount)
    return at.term, Constant(0.0), Constant(0.0)


def mass_of(component: "Component") -> Unknown:
    """Return the mass of one of them as a term: what the scale says, else what is written."""
    return Unknown(f"{component.id}.{'weighed' if 'weighed' in component.properties else 'mass'}")


KIND = Kind(
    "load",
    "a thing that is not cut and weighs something: motor, battery, servo",
    (
        Property("title", "text", "what it is", 'title = "battery, 3 cells"'),
        Property("mass", "amount", "what one weighs", "mass = 180 ± 5 g", MASS, optional=True, low=0.0),
        Property(
            "at",
            "where",
            "where its middle is: a place along x, a point in the aircraft, or a range of either in which it slides",
            "at = 10 mm to 85 mm",
            axis="along",
            required=True,
            choices=("place", "point", "range"),
        ),
        Property(
            "size", "point3", "how long, wide and high it is", "size = (75 mm, 34 mm, 24 mm)", axis="across"
        ),
        Property(
            "quantity",
            "count",
            "how many of them lie there",
            "quantity = 2",
            default=1.0,
            shown="1",
            high=1000,
        ),
    ),
    solved=PLACES,
    equations=equations,
    example="load battery { mass = 180 g, at = 10 mm to 85 mm }\n",
)
