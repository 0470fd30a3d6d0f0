"""A tailplane: a wing that balances another."""

from typing import TYPE_CHECKING

from ringwright.lang.kinds import lifting, surface, wing
from ringwright.lang.kinds.kind import Kind, Property, Solved
from ringwright.lang.solve.algebra import add, multiply, subtract
from ringwright.lang.solve.terms import Constant, Unknown
from ringwright.lang.units import NUMBER

if TYPE_CHECKING:
    from ringwright.lang.components.tree import Component
    from ringwright.lang.design.elaborate import Elaboration

QUARTER = 0.25


def equations(elaboration: "Elaboration", component: "Component") -> None:
    """Add its volume, and where the aircraft is neutral, to what every wing is."""
    wing.equations(elaboration, component)
    lifting.tail_volume(elaboration, component, "mean_chord")
    stated = [name for name in ("effect", "downwash") if name in component.properties]
    of = lifting.wing_of(elaboration.tree, component, elaboration.value(component, "wing"))
    if len(stated) == 1 and of is not None:
        missing = "downwash" if stated == ["effect"] else "effect"
        elaboration.idle(
            component,
            stated[0],
            f"the neutral point follows from effect and downwash, and there is no {missing}",
        )
    if len(stated) < 2 or of is None:
        return
    effect, downwash = (elaboration.unknown(component, name) for name in ("effect", "downwash"))
    chord = Unknown(f"{of.id}.mean_chord")
    felt = multiply(effect, subtract(Constant(1.0), downwash))
    back = multiply(chord, add(Constant(QUARTER), multiply(Unknown(f"{component.id}.volume"), felt)))
    elaboration.rule(
        component,
        elaboration.unknown(component, "neutral_point"),
        add(Unknown(f"{of.id}.mean_chord_x"), back),
        "a quarter of the wing's mean chord, and what the tail adds: volume by effect by what downwash leaves",
    )


KIND = Kind(
    "tail",
    "a tailplane, built as a wing is",
    (
        *wing.PROPERTIES,
        lifting.WING,
        Property(
            "effect",
            "amount",
            "how much its lift grows with its angle, against the wing's (their lift slopes divided)",
            "effect = 0.85",
            NUMBER,
            optional=True,
            low=0.0,
            high=3.0,
        ),
        Property(
            "downwash",
            "amount",
            "how much the air behind the wing turns down for each degree that the wing turns up",
            "downwash = 0.4",
            NUMBER,
            optional=True,
            low=0.0,
            high=1.0,
        ),
    ),
    children=lifting.CHILDREN,
    solved=(
        *lifting.SOLVED,
        *lifting.OF_TAIL,
        Solved("neutral_point", "where the aircraft would balance without holding its course, along x"),
    ),
    forward=lifting.MEASURES,
    equations=equations,
    parts=surface.parts,
    measures=surface.measures,
    example="tail plane { at = 480 mm, span = 240 mm, root = 80 mm, tip = 60 mm, stock = board }\n",
)
