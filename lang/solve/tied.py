"""Nonlinear blocks torn open: one unknown is guessed, the others follow, a scan finds what fits."""

import math
from collections.abc import Iterable, Mapping, Sequence
from functools import partial
from itertools import product
from typing import NamedTuple

from ringwright.lang.solve.algebra import affine, evaluate_or_nan, unknowns_of
from ringwright.lang.solve.descent import MOST_UNKNOWNS, descend_all, same
from ringwright.lang.solve.outcome import MOST_ZEROS, Outcome, agreement, outside_values, within
from ringwright.lang.solve.rearrange import isolate
from ringwright.lang.solve.roots import scan_points, zeros
from ringwright.lang.solve.rows import Problem, Row
from ringwright.lang.solve.terms import Quantity, Term

BEYOND = 1e7
"""A number that no model has, in mm, rad, g: where nothing smaller fits, nothing does."""

MOST_WAYS = 64
"""Choices of a sign or a turn, in all steps of a torn block together, that are looked into."""


def solve_tied(
    problem: Problem, unknowns: Sequence[int], rows: Sequence[int], values: Mapping[str, float]
) -> Outcome:
    """Solve a block of as many rows (ascending) as unknowns, looking for all solutions in bounds."""
    inside = set(unknowns)
    for number in rows:
        row = problem.rows[number]
        if len(row.edges) < len(row.unknowns):
            hidden = sorted(inside.intersection(row.unknowns).difference(row.edges))
            if hidden:
                return Outcome(None, "one-way", (), (number,), (), problem.names[hidden[0]])
    # Angles first: their bounds are near, so the scan is short and sees everything.
    quantities = [problem.quantities[unknown] for unknown in unknowns]
    by_reach = sorted(quantities, key=lambda q: (q.high - q.low, q.name))
    solutions: list[tuple[float, ...]] = []
    for tear in by_reach[:30]:
        plan = _tear(problem, [q.name for q in quantities], rows, tear.name)
        if plan is not None:
            solutions = _scan(Chain(problem, quantities, rows, plan, tear, values), quantities)
            if len(solutions) > MOST_ZEROS:
                return Outcome(None, redundant=(plan.last,))
            break
    else:
        if len(unknowns) > MOST_UNKNOWNS:
            return Outcome(None, "too-many-tied", (), tuple(rows))
    physical = _physical(quantities, solutions)
    if not physical:  # a scan steps over what is possible in a narrow gap only
        solutions = descend_all(problem, quantities, rows, values) or solutions
        physical = _physical(quantities, solutions)
    if len(physical) == 1:
        return Outcome(physical[0])
    if physical:
        telling = next(
            i
            for i in range(len(unknowns))
            if abs(physical[0][i] - physical[1][i]) > 1e-7 * abs(physical[0][i])
        )
        numbers = tuple(found[telling] for found in physical)
        return Outcome(None, "two-solutions", numbers, tuple(rows), (), quantities[telling].name)
    solutions = [solution for solution in solutions if all(abs(value) < BEYOND for value in solution)]
    if solutions:
        index = next(i for i, q in enumerate(quantities) if within(q, solutions[0][i]) is None)
        return Outcome(
            None, "impossible-dimension", (solutions[0][index],), tuple(rows), (), quantities[index].name
        )
    return Outcome(None, "no-solution", (), tuple(rows))


def _physical(
    quantities: Sequence[Quantity], solutions: Iterable[Sequence[float]]
) -> list[tuple[float, ...]]:
    """Return the solutions of which every value is inside its bounds."""
    kept: list[tuple[float, ...]] = []
    for solution in solutions:
        checked = [within(quantity, value) for quantity, value in zip(quantities, solution, strict=True)]
        inside = tuple(value for value in checked if value is not None)
        if len(inside) == len(checked):
            kept.append(inside)
    return kept


class Follow(NamedTuple):
    """One unknown from one row, all others being known. branches: as `isolate` gives them, None: linear."""

    row: int
    name: str
    branches: tuple[Term, ...] | None


class Plan(NamedTuple):
    """One unknown guessed, the others follow step by step; the last row says how wrong the guess was."""

    steps: tuple[Follow, ...]
    last: int


def _tear(problem: Problem, names: Sequence[str], rows: Sequence[int], tear: str) -> Plan | None:
    open_names = set(names) - {tear}
    waiting = {
        number: [problem.names[u] for u in problem.rows[number].unknowns if problem.names[u] in open_names]
        for number in rows
    }
    steps: list[Follow] = []
    while open_names:
        ready = [number for number, left in waiting.items() if len(left) == 1]
        progress = False
        for number in ready:
            left = waiting[number]
            if len(left) != 1:
                continue
            name, row = left[0], problem.rows[number]
            branches = isolate(row.left, row.right, name)
            if branches is None and not _linear_in(row, name):
                continue
            steps.append(Follow(number, name, branches))
            open_names.discard(name)
            del waiting[number]
            for others in waiting.values():
                if name in others:
                    others.remove(name)
            progress = True
        if not progress:
            return None
    (last,) = waiting
    return Plan(tuple(steps), last)


def _linear_in(row: Row, name: str) -> bool:
    """Say whether a row is a plain sum in one unknown, whatever the others are."""
    values = {other: 1.0 for other in unknowns_of(row.left, row.right) if other != name}
    return affine(row.left, row.right, values) is not None


class Chain:
    """A plan being followed from a guess, its steps done in one way where there are several."""

    def __init__(
        self,
        problem: Problem,
        quantities: Sequence[Quantity],
        rows: Sequence[int],
        plan: Plan,
        tear: Quantity,
        values: Mapping[str, float],
    ) -> None:
        """Follow `plan` of a block of `quantities` and `rows`; `values` holds what stands outside it."""
        self.plan = plan
        self.tear = tear
        self.rows = [problem.rows[step.row] for step in plan.steps]
        self.last = problem.rows[plan.last]
        self.quantity_of = {quantity.name: quantity for quantity in quantities}
        self.trial = outside_values(problem, rows, self.quantity_of, values)

    def misses(self, ways: Sequence[int], guess: float) -> float:
        """Return by how much the last row does not hold; nan where a step has no physical value."""
        self.trial[self.tear.name] = guess
        for place, way in enumerate(ways):
            if not self.do(place, way):
                return math.nan
        return evaluate_or_nan(self.last.left, self.trial) - evaluate_or_nan(self.last.right, self.trial)

    def do(self, place: int, way: int) -> bool:
        """Do one step in one of its ways; say whether it has a value there."""
        step = self.plan.steps[place]
        value: float | None = _step_value(self.rows[place], step, way, self.trial)
        if step.branches is not None and len(step.branches) > 1:
            assert value is not None
            value = within(self.quantity_of[step.name], value)
        if value is None or not math.isfinite(value):
            return False
        self.trial[step.name] = value
        return True

    def ways(self) -> list[tuple[int, ...]]:
        """Return all choices of one way for each step; of too many those that a scan can go somewhere."""
        counts = [len(step.branches or (None,)) for step in self.plan.steps]
        if math.prod(counts) <= MOST_WAYS:
            return list(product(*map(range, counts)))
        found: dict[tuple[int, ...], None] = {}
        for guess in scan_points(self.tear.low, self.tear.high, self.tear.start):
            self.trial[self.tear.name] = guess
            waiting: list[tuple[int, ...]] = [()]
            while waiting and len(found) < MOST_WAYS:
                done = waiting.pop()
                # Depth first: what the steps before have found still stands.
                if done and not self.do(len(done) - 1, done[-1]):
                    continue
                if len(done) == len(counts):
                    found[done] = None
                else:
                    waiting.extend((*done, way) for way in reversed(range(counts[len(done)])))
        return sorted(found)

    def holds(self) -> bool:
        """Say whether every step's row holds: a way back may leave the range of the way there."""
        return all(_holds(row, self.trial) for row in self.rows)


def _scan(chain: Chain, quantities: Sequence[Quantity]) -> list[tuple[float, ...]]:
    """Return the solutions that a scan of the torn unknown finds, in any way that its steps can be done."""
    tear = chain.tear
    solutions: list[tuple[float, ...]] = []
    for ways in chain.ways():
        for guess in zeros(partial(chain.misses, ways), tear.low, tear.high, tear.start):
            if not math.isfinite(chain.misses(ways, guess)) or not chain.holds():
                continue
            solution = tuple(chain.trial[quantity.name] for quantity in quantities)
            if not any(same(solution, other) for other in solutions):
                solutions.append(solution)
        if len(solutions) > MOST_ZEROS:
            break
    return sorted(solutions)


def _holds(row: Row, values: Mapping[str, float]) -> bool:
    left, right = evaluate_or_nan(row.left, values), evaluate_or_nan(row.right, values)
    return abs(left - right) <= agreement(row.dimension, left, right)


def _step_value(row: Row, step: Follow, way: int, trial: dict[str, float]) -> float:
    """Return the step's value in one of its ways; nan where there is none."""
    if step.branches is not None:
        return evaluate_or_nan(step.branches[way], trial)
    trial.pop(step.name, None)
    form = affine(row.left, row.right, trial)
    if form is None or not form[0].get(step.name):
        return math.nan
    return -form[1] / form[0][step.name]
