"""One block solved: a single unknown in closed form or by a scan, a linear block by elimination, others by
tearing."""

import math
from collections.abc import Container, Mapping, Sequence
from typing import NamedTuple

from ringwright.geometry.errors import GeometryError
from ringwright.lang.solve.algebra import affine, apply, evaluate, evaluate_or_nan, gradient, unknowns_of
from ringwright.lang.solve.linear import eliminate
from ringwright.lang.solve.rearrange import isolate
from ringwright.lang.solve.roots import zeros
from ringwright.lang.solve.rows import DEFAULT, Problem, Row
from ringwright.lang.solve.terms import Quantity, Term

LARGEST_BLOCK = 1000
"""Unknowns that may be tied to each other in one block."""

AGREEMENT = {"length": 0.01, "angle": math.radians(0.001), "mass": 1e-4}
"""How nearly two sides must agree, in mm, rad, g; other dimensions agree to one part in a million."""

STARTS = (1.0, 3.0, 1 / 3, 10.0)
"""What the starting values of a block are multiplied by, one attempt each."""


class Outcome(NamedTuple):
    """What came of a block.

    values: in the order of its unknowns, or None. code: the fault's, '' for none. numbers, rows: the values
    and rows that the fault is about. redundant: rows that say nothing of their own and may be left out.
    detail: more words.
    """

    values: tuple[float, ...] | None
    code: str = ""
    numbers: tuple[float, ...] = ()
    rows: tuple[int, ...] = ()
    redundant: tuple[int, ...] = ()
    detail: str = ""


def agreement(dimension: str, *numbers: float) -> float:
    """Return by how much two sides of a dimension may differ and still agree."""
    fixed = AGREEMENT.get(dimension)
    return fixed if fixed is not None else 1e-6 * max(1.0, *map(abs, numbers))


def within(quantity: Quantity, value: float) -> float | None:
    """Return the value if it is physical, drawn onto a bound that it misses by rounding only; else None."""
    if not math.isfinite(value):
        return None
    slack = 1e-9 * max(1.0, abs(value))
    if value < quantity.low:
        return quantity.low if value >= quantity.low - slack else None
    if value > quantity.high:
        return quantity.high if value <= quantity.high + slack else None
    return value


def solve_block(
    problem: Problem, unknowns: Sequence[int], rows: Sequence[int], values: Mapping[str, float]
) -> Outcome:
    """Solve a block of as many rows (ascending) as unknowns; `values` holds all others that stand in them.

    Bounds guide the search for nonlinear ones; whether the values of linear ones are physical is the caller's
    to see.
    """
    if len(unknowns) > LARGEST_BLOCK:
        return Outcome(None, "too-many-tied", (), tuple(rows))
    try:
        if len(unknowns) == 1:
            return _single(problem, unknowns[0], rows[0], values)
        return _linear(problem, unknowns, rows, values) or _nonlinear(problem, unknowns, rows, values)
    except GeometryError as error:
        return Outcome(None, error.code, (), tuple(rows), (), str(error))


def _single(problem: Problem, unknown: int, number: int, values: Mapping[str, float]) -> Outcome:
    row, quantity = problem.rows[number], problem.quantities[unknown]
    name = quantity.name
    if row.known_form is not None:
        coefficients, constant = row.known_form
        for other, coefficient in coefficients.items():
            if other != name:
                constant += coefficient * values[other]
        coefficient = coefficients[name]
    else:
        form = affine(row.left, row.right, values)
        if form is None:
            return _curved(problem, quantity, number, values)
        coefficient, constant = form[0].get(name, 0.0), form[1]
    if coefficient:
        return Outcome((-constant / coefficient,))
    if abs(constant) <= agreement(row.dimension, constant) or row.rank >= DEFAULT:
        return Outcome(None, redundant=(number,))
    return Outcome(None, "no-solution", (), (number,))


def _curved(problem: Problem, quantity: Quantity, number: int, values: Mapping[str, float]) -> Outcome:
    row, name = problem.rows[number], quantity.name
    trial = {other: values[other] for other in unknowns_of(row.left, row.right) if other != name}

    def residual(value: float) -> float:
        trial[name] = value
        return evaluate_or_nan(row.left, trial) - evaluate_or_nan(row.right, trial)

    branches = isolate(row.left, row.right, name)
    if branches is None:
        found = zeros(residual, quantity.low, quantity.high, quantity.start)
        return _choose(quantity, number, found)
    candidates = [evaluate_or_nan(branch, trial) for branch in branches]
    fitting = [
        value
        for value in candidates
        if math.isfinite(value)
        and abs(residual(value)) <= agreement(row.dimension, evaluate(row.left, trial))
    ]
    return _choose(quantity, number, sorted(set(fitting)))


def _choose(quantity: Quantity, number: int, candidates: list[float]) -> Outcome:
    """Return the one candidate that is physical, or the fault that there is none or more than one."""
    physical = _apart([value for value in (within(quantity, c) for c in candidates) if value is not None])
    if len(physical) == 1:
        return Outcome((physical[0],))
    if physical:
        return Outcome(None, "two-solutions", tuple(physical), (number,))
    if candidates:
        nearest = min(candidates, key=lambda value: (abs(value - quantity.start), value))
        return Outcome(None, "impossible-dimension", (nearest,), (number,))
    return Outcome(None, "no-solution", (), (number,))


def _apart(values: list[float]) -> list[float]:
    kept: list[float] = []
    for value in sorted(values):
        if not kept or value - kept[-1] > 1e-7 * max(1.0, abs(value)):
            kept.append(value)
    return kept


def _linear(
    problem: Problem, unknowns: Sequence[int], rows: Sequence[int], values: Mapping[str, float]
) -> Outcome | None:
    column_of = {problem.names[unknown]: column for column, unknown in enumerate(unknowns)}
    table: list[tuple[dict[int, float], float]] = []
    for number in rows:
        row = problem.rows[number]
        form = row.known_form or affine(row.left, row.right, values)
        if form is None:
            return None
        line: dict[int, float] = {}
        constant = form[1]
        for name, coefficient in form[0].items():
            column = column_of.get(name)
            if column is None:
                constant += coefficient * values[name]
            else:
                line[column] = coefficient
        table.append((line, constant))
    result = eliminate(table, len(unknowns))
    if result.values is not None:
        return Outcome(tuple(result.values))
    redundant: list[int] = []
    for found in result.dependent:
        row = problem.rows[rows[found.row]]
        if row.rank < DEFAULT and abs(found.residual) > agreement(row.dimension, found.residual):
            sources = (rows[found.row], *(rows[other] for other in found.others))
            return Outcome(None, "over-determined", (found.residual,), sources)
        redundant.append(rows[found.row])
    return Outcome(None, redundant=tuple(redundant))


def _nonlinear(
    problem: Problem, unknowns: Sequence[int], rows: Sequence[int], values: Mapping[str, float]
) -> Outcome:
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
            break
    if not solutions:
        solutions = _newton(problem, quantities, rows, values)
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


class Step(NamedTuple):
    """One unknown from one row, all others in it being known: `branches` as `isolate` gives them, None:
    linear in it."""

    row: int
    name: str
    branches: tuple[Term, ...] | None


class Plan(NamedTuple):
    """With one unknown guessed, the others follow step by step, and the last row says how wrong the guess
    was."""

    steps: tuple[Step, ...]
    last: int


def _tear(problem: Problem, names: Sequence[str], rows: Sequence[int], tear: str) -> Plan | None:
    open_names = set(names) - {tear}
    waiting = {
        number: [problem.names[u] for u in problem.rows[number].unknowns if problem.names[u] in open_names]
        for number in rows
    }
    steps: list[Step] = []
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
            steps.append(Step(number, name, branches))
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


def _outside(
    problem: Problem, rows: Sequence[int], inside: Container[str], values: Mapping[str, float]
) -> dict[str, float]:
    """Return the values that the rows need from outside their block."""
    names = (problem.names[unknown] for number in rows for unknown in problem.rows[number].unknowns)
    return {name: values[name] for name in names if name not in inside}


def _scan(
    problem: Problem,
    quantities: Sequence[Quantity],
    rows: Sequence[int],
    plan: Plan,
    tear: Quantity,
    values: Mapping[str, float],
) -> list[tuple[float, ...]]:
    quantity_of = {quantity.name: quantity for quantity in quantities}
    trial = _outside(problem, rows, quantity_of, values)

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
        if math.isfinite(follow(guess)):
            solutions.append(tuple(trial[quantity.name] for quantity in quantities))
    return solutions


def _step_value(row: Row, step: Step, quantity: Quantity, trial: dict[str, float]) -> float:
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
    apart = _apart(fitting)
    return apart[0] if len(apart) == 1 else math.nan


def _newton(
    problem: Problem, quantities: Sequence[Quantity], rows: Sequence[int], values: Mapping[str, float]
) -> list[tuple[float, ...]]:
    """Return the distinct solutions that damped Newton steps reach from a few starts inside the bounds."""
    differences = [apply("-", problem.rows[number].left, problem.rows[number].right) for number in rows]
    outside = _outside(problem, rows, {quantity.name for quantity in quantities}, values)
    found: list[tuple[float, ...]] = []
    for factor in STARTS:
        solution = _descend(differences, quantities, dict(outside), factor)
        if solution is not None and not any(_same(solution, other) for other in found):
            found.append(solution)
    return sorted(found)


def _same(one: Sequence[float], other: Sequence[float]) -> bool:
    return all(abs(a - b) <= 1e-6 * max(1.0, abs(a)) for a, b in zip(one, other, strict=True))


def _descend(
    differences: Sequence[Term], quantities: Sequence[Quantity], trial: dict[str, float], factor: float
) -> tuple[float, ...] | None:
    names = [quantity.name for quantity in quantities]
    for quantity in quantities:
        trial[quantity.name] = min(max(quantity.start * factor, quantity.low), quantity.high)
    for _ in range(60):
        table: list[tuple[dict[int, float], float]] = []
        weights: list[float] = []
        for difference in differences:
            number, partials, _ = gradient(difference, trial)
            line = {i: partials[name] for i, name in enumerate(names) if partials.get(name)}
            if not all(map(math.isfinite, (number, *line.values()))):
                return None
            table.append((line, number))
            reach = max((abs(v) * max(1.0, abs(trial[names[i]])) for i, v in line.items()), default=0.0)
            weights.append(1.0 / reach if reach else 1.0)
        step = eliminate(table, len(names)).values
        if step is None:
            return None
        moved = max(abs(change) / max(1.0, abs(trial[n])) for change, n in zip(step, names, strict=True))
        if moved <= 1e-13 or not _advance(differences, weights, quantities, trial, step):
            return tuple(trial[name] for name in names) if moved <= 1e-9 else None
    return None


def _advance(
    differences: Sequence[Term],
    weights: Sequence[float],
    quantities: Sequence[Quantity],
    trial: dict[str, float],
    step: Sequence[float],
) -> bool:
    """Move `trial` along the step, halved until the weighted residuals shrink; say whether it moved."""

    def size() -> float:
        return math.fsum(
            (w * evaluate_or_nan(d, trial)) ** 2 for w, d in zip(weights, differences, strict=True)
        )

    before = {quantity.name: trial[quantity.name] for quantity in quantities}
    first = size()
    damping = 1.0
    for _ in range(30):
        for quantity, change in zip(quantities, step, strict=True):
            wanted = before[quantity.name] + damping * change
            trial[quantity.name] = min(max(wanted, quantity.low), quantity.high)
        if size() < first:
            return True
        damping /= 2
    trial.update(before)
    return False
