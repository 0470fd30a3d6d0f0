"""One unknown from one equation: in closed form, rearranged, or by a scan inside its bounds."""

import math
from collections.abc import Mapping

from ringwright.lang.solve.algebra import affine, evaluate, evaluate_or_nan, unknowns_of
from ringwright.lang.solve.outcome import MOST_ZEROS, Outcome, agreement, apart, within
from ringwright.lang.solve.rearrange import isolate
from ringwright.lang.solve.roots import zeros
from ringwright.lang.solve.rows import DEFAULT, Problem
from ringwright.lang.solve.terms import Quantity


def solve_single(problem: Problem, unknown: int, number: int, values: Mapping[str, float]) -> Outcome:
    """Solve one row for one unknown; `values` holds all others that stand in it. Raises GeometryError."""
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
        return (
            Outcome(None, redundant=(number,))
            if len(found) > MOST_ZEROS
            else _choose(quantity, number, found)
        )
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
    physical = apart([value for value in (within(quantity, c) for c in candidates) if value is not None])
    if len(physical) == 1:
        return Outcome((physical[0],))
    if physical:
        return Outcome(None, "two-solutions", tuple(physical), (number,))
    if candidates:
        nearest = min(candidates, key=lambda value: (abs(value - quantity.start), value))
        return Outcome(None, "impossible-dimension", (nearest,), (number,))
    return Outcome(None, "no-solution", (), (number,))
