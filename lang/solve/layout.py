"""The structure of a system: who finds whom, what only checks, what stays open, in which order."""

from collections.abc import Iterable, Sequence
from typing import NamedTuple

from ringwright.lang.solve.blocks import blocks_in_order
from ringwright.lang.solve.matching import Matching, empty, extend, peel, under_determined
from ringwright.lang.solve.rows import DEFAULT, SOFT_SHARE, Problem
from ringwright.lang.solve.terms import Share


class Layout(NamedTuple):
    """The structure of a system.

    matching: who finds whom. edges: by row. surplus: hard rows that only check. open_unknowns: what nothing
    settles. active: for each unknown the rows in force that could find it. idle: pools that nothing draws on.
    """

    matching: Matching
    edges: tuple[tuple[int, ...], ...]
    surplus: tuple[int, ...]
    open_unknowns: frozenset[int]
    active: list[list[int]]


def lay_out(problem: Problem, spare: frozenset[int]) -> Layout:
    """Match rows to unknowns in order of rank; rows of `spare` find nothing (hard ones are still checked)."""
    rows = problem.rows
    edges = tuple(row.edges for row in rows)
    hard = [number for number, row in enumerate(rows) if row.rank < DEFAULT and number not in spare]
    defaults = [number for number, row in enumerate(rows) if row.rank == DEFAULT and number not in spare]
    shares = [number for number, row in enumerate(rows) if row.rank == SOFT_SHARE and number not in spare]
    matching = empty(len(rows), len(problem.names))
    peel(matching, edges, hard)
    extend(matching, edges, hard)
    extend(matching, edges, defaults)
    active = _holders(problem, edges, (*hard, *defaults))
    open_unknowns = _open(problem, matching, active)
    wanted = _shares_wanted(problem, shares, open_unknowns)
    if wanted:
        before = matching.copy()
        failed = extend(matching, edges, wanted)
        if failed:
            # More shares than open lengths: which of them should yield is the builder's to say, so all of
            # that pool do.
            full = {_pool_of(problem, number) for number in failed}
            wanted = [number for number in wanted if _pool_of(problem, number) not in full]
            matching = before
            extend(matching, edges, wanted)
        active = _holders(problem, edges, (*hard, *defaults, *wanted))
        open_unknowns = _open(problem, matching, active)
    surplus = [number for number in hard if matching.unknown_of[number] < 0]
    surplus.extend(number for number in sorted(spare) if rows[number].rank < DEFAULT)
    return Layout(matching, edges, tuple(surplus), frozenset(open_unknowns), active)


def _holders(problem: Problem, edges: Sequence[Sequence[int]], rows: Iterable[int]) -> list[list[int]]:
    holders: list[list[int]] = [[] for _ in problem.names]
    for number in rows:
        for unknown in edges[number]:
            holders[unknown].append(number)
    return holders


def _open(problem: Problem, matching: Matching, active: list[list[int]]) -> set[int]:
    free = [
        unknown
        for unknown, finder in enumerate(matching.equation_of)
        if finder < 0 and (active[unknown] or unknown not in problem.pools)
    ]
    return under_determined(matching, active, free) if free else set()


def _shares_wanted(problem: Problem, shares: list[int], open_unknowns: set[int]) -> list[int]:
    """Return the soft shares whose target is open and stands in nothing that the builder wrote."""
    if not shares or not open_unknowns:
        return []
    written = {unknown for row in problem.rows if row.rank <= 1 for unknown in row.unknowns}
    return [
        number
        for number in shares
        if (target := _target_of(problem, number)) in open_unknowns and target not in written
    ]


def _share_of(problem: Problem, number: int) -> Share:
    cause = problem.rows[number].cause
    assert isinstance(cause, Share)
    return cause


def _target_of(problem: Problem, number: int) -> int:
    return problem.number_of[_share_of(problem, number).target]


def _pool_of(problem: Problem, number: int) -> str:
    return _share_of(problem, number).pool


def blocks(problem: Problem, layout: Layout) -> list[list[int]]:
    """Return the blocks of unknowns that can be solved, in solving order."""
    finder = layout.matching.equation_of
    needs = {
        unknown: problem.rows[row].unknowns
        for unknown, row in enumerate(finder)
        if row >= 0 and unknown not in layout.open_unknowns
    }
    # What surplus rows speak of comes first, so that a contradiction is found before anything is built on it.
    first = (unknown for row in layout.surplus for unknown in problem.rows[row].unknowns if unknown in needs)
    return blocks_in_order(needs, dict.fromkeys((*first, *needs)))
