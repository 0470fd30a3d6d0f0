"""Chance that falls alike on every machine and at every run."""

from collections.abc import Iterable
from typing import TypeVar

T = TypeVar("T")

_MASK = (1 << 64) - 1


class Dice:
    """Numbers that look random: a linear congruential generator of 64 bits.

    Multiplier and increment: Knuth, MMIX (from memory).
    """

    def __init__(self, seed: int = 1) -> None:
        self._state = (seed * 6364136223846793005 + 1442695040888963407) & _MASK

    def below(self, count: int) -> int:
        """A whole number from 0 to count - 1."""
        self._state = (self._state * 6364136223846793005 + 1442695040888963407) & _MASK
        return (self._state >> 33) * count >> 31

    def shuffled(self, things: Iterable[T]) -> list[T]:
        """The same things in another order."""
        mixed = list(things)
        for last in range(len(mixed) - 1, 0, -1):
            other = self.below(last + 1)
            mixed[last], mixed[other] = mixed[other], mixed[last]
        return mixed
