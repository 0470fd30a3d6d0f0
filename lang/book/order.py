"""An order of things some of which must wait for others, as near as can be to the order that one would like."""

import heapq
from collections.abc import Collection, Iterable, Sequence
from typing import TypeAlias

Pair: TypeAlias = tuple[str, str]
"""(what comes first, what waits for it)."""


def ordered(names: Sequence[str], must: Collection[Pair], should: Collection[Pair]) -> tuple[str, ...]:
    """Return names in an order in which nothing comes before what it waits for.

    names: each once, in the order that one would like. must: pairs without a ring. should: pairs that give way, the
    later ones first, where they would close a ring. Pairs of unknown names are left out. ValueError where `must` has
    a ring.
    """
    number = {name: i for i, name in enumerate(names)}
    after: dict[str, set[str]] = {name: set() for name in names}
    for first, second in must:
        if first in number and second in number:
            after[first].add(second)
    for first, second in _sorted(should, number):
        if first != second and not _reaches(after, second, first):
            after[first].add(second)
    waits = dict.fromkeys(names, 0)
    for later in after.values():
        for name in later:
            waits[name] += 1
    free = [number[name] for name in names if not waits[name]]
    heapq.heapify(free)
    found: list[str] = []
    while free:
        name = names[heapq.heappop(free)]
        found.append(name)
        for later_name in sorted(after[name]):
            waits[later_name] -= 1
            if not waits[later_name]:
                heapq.heappush(free, number[later_name])
    if len(found) < len(names):
        raise ValueError("these wait for one another: " + ", ".join(n for n in names if n not in found))
    return tuple(found)


def _sorted(pairs: Iterable[Pair], number: dict[str, int]) -> list[Pair]:
    known = {pair for pair in pairs if pair[0] in number and pair[1] in number}
    return sorted(known, key=lambda pair: (number[pair[1]], number[pair[0]]))


def _reaches(after: dict[str, set[str]], start: str, goal: str) -> bool:
    waiting, seen = [start], {start}
    while waiting:
        for name in after[waiting.pop()]:
            if name == goal:
                return True
            if name not in seen:
                seen.add(name)
                waiting.append(name)
    return start == goal
