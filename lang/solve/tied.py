"""Nonlinear blocks torn open: one unknown is guessed, the others follow, a scan finds what fits."""

import math
from collections.abc import Mapping, Sequence
from typing import NamedTuple

from ringwright.lang.solve.algebra import affine, evaluate_or_nan, unknowns_of
from ringwright.lang.solve.descent import MOST_UNKNOWNS, descend_all
from ringwright.lang.solve.outcome import MOST_ZEROS, Outcome, agreement, apart, outside_values, within
from ringwright.lang.solve.rearrange import isolate
from ringwright.lang.solve.roots import zeros
from ringwright.lang.solve.rows import Problem, Row
from ringwright.lang.solve.terms import Quantity, Term


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
            solutions = _scan(problem, quantities, rows, plan, tear, values)
            if len(solutions) > MOST_ZEROS:
                return Outcome(None, redundant=(plan.last,))
            break
    else:
        if len(unknowns) > MOST_UNKNOWNS:
            return Outcome(None, "too-many-tied", (), tuple(rows))
    if not solutions:
        solutions = descend_all(problem, quantities, rows, values)
    physical = [found for found in (_physical(quantities, s) for s in solutions) if found is not None]
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
    if solutions:
        index = next(i for i, q in enumerate(quantities) if within(q, solutions[0][i]) is None)
        return Outcome(
            None, "impossible-dimension", (solutions[0][index],), tuple(rows), (), quantities[index].name
        )
    return Outcome(None, "no-solution", (), tuple(rows))


def _physical(quantities: Sequence[Quantity], solution: Sequence[float]) -> tuple[float, ...] | None:
    checked = [within(quantity, value) for quantity, value in zip(quantities, solution, strict=True)]
    kept = tuple(value for value in checked if value is not None)
    return kept if len(kept) == len(checked) else None


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


def _scan(
    problem: Problem,
    quantities: Sequence[Quantity],
    rows: Sequence[int],
    plan: Plan,
    tear: Quantity,
    values: Mapping[str, float],
) -> list[tuple[float, ...]]:
    quantity_of = {quantity.name: quantity for quantity in quantities}
    trial = outside_values(problem, rows, quantity_of, values)

    def follow(guess: float) -> float:
        trial[tear.name] = guess
        for step in plan.steps:
            value = _step_value(problem.rows[step.row], step, quantity_of[step.name], trial)
            if not math.isfinite(value):
                return math.nan
            trial[step.name] = value
        row = problem.rows[plan.last]
        return evaluate_or_nan(row.left, trial) - evaluate_or_nan(row.right, trial)

    solutions: list[tuple[float, ...]] = []
    for guess in zeros(follow, tear.low, tear.high, tear.start):
        # A way back may leave the range of the way there: acos gives no more than half a turn.
        if math.isfinite(follow(guess)) and all(_holds(problem.rows[step.row], trial) for step in plan.steps):
            solutions.append(tuple(trial[quantity.name] for quantity in quantities))
    return solutions


def _holds(row: Row, values: Mapping[str, float]) -> bool:
    left, right = evaluate_or_nan(row.left, values), evaluate_or_nan(row.right, values)
    return abs(left - right) <= agreement(row.dimension, left, right)


def _step_value(row: Row, step: Follow, quantity: Quantity, trial: dict[str, float]) -> float:
    """Return the step's value; nan where there is none, or more than one that is physical."""
    if step.branches is None:
        trial.pop(step.name, None)
        form = affine(row.left, row.right, trial)
        if form is None or not form[0].get(step.name):
            return math.nan
        return -form[1] / form[0][step.name]
    if len(step.branches) == 1:
        return evaluate_or_nan(step.branches[0], trial)
    fitting: list[float] = []
    for branch in step.branches:
        value = within(quantity, evaluate_or_nan(branch, trial))
        if value is not None:
            fitting.append(value)
    distinct = apart(fitting)
    return distinct[0] if len(distinct) == 1 else math.nan
