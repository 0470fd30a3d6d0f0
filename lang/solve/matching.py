"""Which equation finds which unknown: maximum matching, and what is over- and under-determined.

Equations and unknowns are numbers here. Equations with lower numbers have priority where not all can be
matched; the caller numbers them by rank and name, never by their order in the text.
"""

from collections.abc import Iterable, Sequence
from heapq import heapify, heappop, heappush
from typing import NamedTuple, TypeAlias

Edges: TypeAlias = Sequence[Sequence[int]]
"""For each equation the unknowns that it could find."""


class Matching(NamedTuple):
    """Pairs of equations and unknowns; -1 where there is none. The lists change as it is extended."""

    unknown_of: list[int]
    equation_of: list[int]

    def copy(self) -> "Matching":
        """Return a matching that changes on its own."""
        return Matching(self.unknown_of.copy(), self.equation_of.copy())


def empty(equation_count: int, unknown_count: int) -> Matching:
    """Return a matching without pairs."""
    return Matching([-1] * equation_count, [-1] * unknown_count)


def peel(matching: Matching, edges: Edges, equations: Iterable[int]) -> None:
    """Pair, as long as there is one, the first equation that has one unpaired unknown left with that unknown.

    No pair made so can cost another one (Karp and Sipser 1981), and long chains are done in one pass.
    """
    left: dict[int, int] = {}
    holders: dict[int, list[int]] = {}
    for equation in equations:
        open_unknowns = [u for u in edges[equation] if matching.equation_of[u] < 0]
        left[equation] = len(open_unknowns)
        for unknown in open_unknowns:
            holders.setdefault(unknown, []).append(equation)
    ready = [equation for equation, count in left.items() if count == 1]
    heapify(ready)
    while ready:
        equation = heappop(ready)
        if left[equation] != 1:
            continue
        unknown = next(u for u in edges[equation] if matching.equation_of[u] < 0)
        matching.unknown_of[equation] = unknown
        matching.equation_of[unknown] = equation
        for other in holders[unknown]:
            left[other] -= 1
            if left[other] == 1:
                heappush(ready, other)


def extend(matching: Matching, edges: Edges, equations: Iterable[int]) -> list[int]:
    """Pair each of the equations that can be, by alternating paths; return those that cannot be.

    What is paired stays paired, if with another partner. An unknown that a search in vain has seen is never
    looked at again: no later path leads through it.
    """
    surplus: list[int] = []
    spent: set[int] = set()
    for equation in equations:
        if matching.unknown_of[equation] < 0 and not _augment(matching, edges, equation, spent):
            surplus.append(equation)
    return surplus


def _augment(matching: Matching, edges: Edges, root: int, spent: set[int]) -> bool:
    unknown_of, equation_of = matching
    reached_from: dict[int, int] = {}
    queue = [root]
    for equation in queue:
        for unknown in edges[equation]:
            if unknown in reached_from or unknown in spent:
                continue
            reached_from[unknown] = equation
            holder = equation_of[unknown]
            if holder >= 0:
                queue.append(holder)
                continue
            step = unknown
            while step >= 0:
                finder = reached_from[step]
                before = unknown_of[finder]
                unknown_of[finder] = step
                equation_of[step] = finder
                step = before
            return True
    spent.update(reached_from)
    return False


def over_determined(matching: Matching, edges: Edges, surplus: int) -> list[int]:
    """Return the unknowns about which a surplus equation and others speak (ascending)."""
    seen: set[int] = set()
    queue = [surplus]
    for equation in queue:
        for unknown in edges[equation]:
            if unknown not in seen:
                seen.add(unknown)
                if matching.equation_of[unknown] >= 0:
                    queue.append(matching.equation_of[unknown])
    return sorted(seen)


def under_determined(matching: Matching, holders: Sequence[Sequence[int]], free: Iterable[int]) -> set[int]:
    """Return all unknowns that stay open because the `free` ones have no equation.

    holders: for each unknown the equations (of those in force) that could find it.
    """
    seen = set(free)
    queue = sorted(seen)
    for unknown in queue:
        for equation in holders[unknown]:
            other = matching.unknown_of[equation]
            if other >= 0 and other not in seen:
                seen.add(other)
                queue.append(other)
    return seen
