"""The seat of a wing: cut in all that it meets, sides, formers, floors, decks and doublers, at its incidence."""

from collections.abc import Mapping
from typing import TYPE_CHECKING

from ringwright.geometry.numbers import short
from ringwright.lang.kinds.kind import Kind, Property, tilt
from ringwright.lang.kinds.side import LINES

if TYPE_CHECKING:
    from ringwright.lang.components.tree import Component
    from ringwright.lang.design.elaborate import Elaboration
    from ringwright.lang.design.making import Maker


def equations(elaboration: "Elaboration", component: "Component") -> None:
    """Where a wing says how it sits, a saddle has nothing to add."""
    if "wing" in component.properties:
        for name in ("place", "incidence", "dihedral"):
            elaboration.idle(component, name, "its wing says that")
            if name not in component.properties:
                elaboration.no_default(component, name)


def measures(maker: "Maker", component: "Component") -> Mapping[str, float]:
    """Warn of a seat that meets nothing; a saddle has no measures. Raises GeometryError."""
    from ringwright.lang.kinds import seats

    seat = seats.seat_of(maker, component)
    missed = seats.missed(maker, component, seat)
    if missed:
        xs, zs = [x for x, _ in seat.inner], [z for _, z in seat.inner]
        maker.warn(
            "saddle-misses",
            f"this seat, {short(min(xs), 1)} to {short(max(xs), 1)} mm along x and {short(min(zs), 1)} to"
            f" {short(max(zs), 1)} mm high, {missed}",
            component.span,
            "look at its place and its incidence; x runs aft, z up",
        )
    return {}


KIND = Kind(
    "saddle",
    "the seat of a wing, cut in all that it meets: sides, decks, floors, formers and panels",
    (
        Property(
            "wing",
            "component",
            "what sits in it",
            "wing = main",
            choices=("wing", "tail"),
        ),
        Property(
            "outline",
            "shape",
            "instead of a wing its section, as seen from port: x aft, z up",
            'outline = aerofoil("2412", chord = 150 mm)',
            axis="across",
        ),
        Property(
            "place",
            "point3",
            "where that outline's origin stands, the leading edge of an aerofoil",
            "place = (60 mm, 0 mm, 30 mm)",
        ),
        tilt("incidence", "how far its nose is turned up", "incidence = 2 deg", 0.6),
        tilt("dihedral", "how far it rises outwards", "dihedral = 3 deg", 0.6),
        Property(
            "open",
            "word",
            "which way it is open for the wing to be put in; through: nowhere. Unless given, where less than 4 mm would"
            " be left over or under the wing",
            "open = above",
            choices=("above", "below", "through"),
        ),
        Property(
            "fit",
            "amount",
            "room all round the wing",
            "fit = 0.5 mm",
            default=0.5,
            shown="0.5 mm",
            low=0.0,
            high=20.0,
        ),
        Property(
            "on",
            "things",
            "components and stocks that it is cut in; all that it meets unless given",
            "on = board",
        ),
    ),
    equations=equations,
    measures=measures,
    example=(
        f"{LINES}side flank {{ upper = fuselage.top, lower = fuselage.bottom, stock = board }}\n"
        'saddle seat {\n    outline = aerofoil("2412", chord = 150 mm)\n    place = (60 mm, 0 mm, -44 mm)\n'
        "    incidence = 2 deg\n}\n"
    ),
)
