"""Left and right: parts of what was given a hand where it is made, or in a stack, as drawn and as a mirror shows them."""

import math
from collections.abc import Iterable
from typing import TYPE_CHECKING

from ringwright.geometry.errors import GeometryError
from ringwright.geometry.mirror import other_hand
from ringwright.geometry.part import Part

if TYPE_CHECKING:
    from ringwright.lang.components.tree import Component
    from ringwright.lang.design.making import Maker

OTHER = {"left": "right", "right": "left"}


def handed(maker: "Maker", parts: Iterable[Part]) -> tuple[list[Part], list[tuple[str, GeometryError]]]:
    """Return all parts in the hands that they are wanted in, and what is refused with the id of the component.

    What was given a hand as a whole is taken as the hand of the side on which its mass lies, all its parts alike.
    """
    made = list(parts)
    owners = {part.component: _owners(maker, part.component) for part in made}
    sides = {}
    for owner in sorted({id for found in owners.values() for id, _ in found}):
        sides[owner] = drawn_hand([part for part in made if owner in dict(owners[part.component])])
    found: list[Part] = []
    refused: list[tuple[str, GeometryError]] = []
    for part in made:
        chain = owners[part.component]
        if len(chain) + bool(part.hand) > 1:
            message = f"'{part.id}' is given a hand here, and again where it is made"
            if part.component not in [id for id, _ in refused]:
                refused.append((part.component, GeometryError("hand-twice", message)))
        elif not chain:
            found.append(part)
        else:
            (owner, wanted), *_ = chain
            found += in_hands(part, sides[owner], wanted)
    return found, refused


def in_hands(part: Part, drawn: str, wanted: str) -> list[Part]:
    """Return a part that is drawn for one hand in the one that is wanted, or in both: as drawn, and its mirror image."""
    if wanted == "both":
        first = part._replace(id=f"{part.id}.{drawn}", hand=drawn)
        return [first, other_hand(part, f"{part.id}.{OTHER[drawn]}", OTHER[drawn])]
    return [part._replace(hand=wanted) if wanted == drawn else other_hand(part, part.id, wanted)]


def drawn_hand(parts: Iterable[Part]) -> str:
    """Return which hand some parts are as drawn: y grows to starboard; what has no side is taken as the right."""
    moments = [
        (part.properties.mass or part.properties.area) * part.quantity * part.properties.centroid[1]
        for part in parts
        if part.properties.centroid is not None
    ]
    weight = sum(abs(moment) for moment in moments)
    return "left" if moments and math.fsum(moments) < -1e-3 * weight - 1e-9 else "right"


def hands_of(maker: "Maker", id: str) -> tuple[str, ...]:
    """Return the hands that a component is given by what it was made as, from the nearest outward."""
    return tuple(hand for _, hand in _owners(maker, id))


def _owners(maker: "Maker", id: str) -> list[tuple[str, str]]:
    """Return what gives a component a hand, with that hand, from the nearest outward."""
    found = []
    current: Component | None = maker.tree.components[id]
    while current is not None:
        if current.made is not None and current.made.hand:
            found.append((current.id, current.made.hand))
        elif current.kind.name == "stack" and (hand := maker.word(current, "hand")):
            found.append((current.id, hand))
        current = maker.tree.components.get(current.parent)
    return found
