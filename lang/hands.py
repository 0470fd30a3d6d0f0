"""Left and right: parts of what was given a hand where it is made, or in a stack, as drawn and as a mirror shows them."""

from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING

from ringwright.geometry.errors import GeometryError
from ringwright.geometry.mirror import other_hand
from ringwright.geometry.part import Part

if TYPE_CHECKING:
    from ringwright.lang.making import Maker
    from ringwright.lang.tree import Component

OTHER = {"left": "right", "right": "left"}


def handed(maker: "Maker", component: "Component", parts: Iterable[Part]) -> Iterator[Part]:
    """Yield the parts of a component in the hands that it is wanted in. Raises GeometryError."""
    hand = _hand_of(maker, component)
    for part in parts:
        if not hand:
            yield part
        elif part.hand:
            raise GeometryError("hand-twice", f"'{part.id}' is given a hand here, and again where it is made")
        elif hand == "both":
            side = drawn_hand(part)
            yield part._replace(id=f"{part.id}.{side}", hand=side)
            yield other_hand(part, f"{part.id}.{OTHER[side]}", OTHER[side])
        else:
            yield part._replace(hand=hand)


def drawn_hand(part: Part) -> str:
    """Return which hand a part is as it is drawn: y grows to starboard; one that has no side is taken as the right."""
    centroid = part.properties.centroid
    return "left" if centroid is not None and centroid[1] < -1e-6 else "right"


def _hand_of(maker: "Maker", component: "Component") -> str:
    current: Component | None = component
    while current is not None:
        if current.made is not None and current.made.hand:
            return current.made.hand
        if current.kind.name == "stack" and (hand := maker.word(current, "hand")):
            return hand
        current = maker.tree.components.get(current.parent)
    return ""
