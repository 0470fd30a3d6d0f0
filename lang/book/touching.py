"""Which parts meet where they sit in the aircraft: what the steps join."""

from collections.abc import Iterable, Sequence
from typing import NamedTuple

from ringwright.geometry.part import Part
from ringwright.lang.book.units import TOUCH
from ringwright.lang.design.shopping import Piece


class Touching(NamedTuple):
    """The pairs of parts whose solids meet, by id, and the ids of all that have a place."""

    pairs: frozenset[tuple[str, str]]
    placed: frozenset[str]

    def met(self, id: str, others: Iterable[Part]) -> tuple[Part, ...]:
        """Return the parts that a part or a strip meets; of what has no place nobody knows, and it may."""
        return tuple(
            other
            for other in others
            if id not in self.placed or other.id not in self.placed or (id, other.id) in self.pairs
        )

    def of(self, parts: Sequence[Part], others: Iterable[Part]) -> tuple[Part, ...]:
        """Return those of others that any of some parts meets."""
        return tuple(other for other in others if any(self.met(part.id, (other,)) for part in parts))


def touching(parts: Sequence[Part], pieces: Sequence[Piece]) -> Touching:
    """Return how parts and pieces of strip meet; those that lie as near as the gap of a hinge do."""
    from ringwright.geometry.solid.bar import bar
    from ringwright.geometry.solid.contact import contacts
    from ringwright.geometry.solid.mesh import solids_of

    solids = [solid for part in parts for solid in solids_of(part)]
    solids += [
        bar(piece.id, k, run, piece.section) for piece in pieces for k, run in enumerate(piece.runs, 1)
    ]
    return Touching(contacts(solids, TOUCH), frozenset(solid.part for solid in solids))
