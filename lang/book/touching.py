"""Which parts meet where they sit in the aircraft: what the steps join."""

from collections.abc import Iterable, Sequence
from typing import NamedTuple

from ringwright.geometry.part import Part
from ringwright.lang.book.units import TOUCH


class Touching(NamedTuple):
    """The pairs of parts whose solids meet, by id, and the ids of all that have a place."""

    pairs: frozenset[tuple[str, str]]
    placed: frozenset[str]

    def met(self, part: Part, others: Iterable[Part]) -> tuple[Part, ...]:
        """Return those of others that a part meets; of what has no place nobody knows, and it may."""
        return tuple(
            other
            for other in others
            if part.id not in self.placed or other.id not in self.placed or (part.id, other.id) in self.pairs
        )

    def of(self, parts: Sequence[Part], others: Iterable[Part]) -> tuple[Part, ...]:
        """Return those of others that any of some parts meets."""
        return tuple(other for other in others if any(self.met(part, (other,)) for part in parts))


def touching(parts: Sequence[Part]) -> Touching:
    """Return how parts meet; those that lie as near as the gap of a hinge do."""
    from ringwright.geometry.solid.contact import contacts

    placed = frozenset(part.id for part in parts if part.placement is not None)
    return Touching(contacts(parts, TOUCH), placed)
