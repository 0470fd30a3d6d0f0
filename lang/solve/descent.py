"""Nonlinear blocks that cannot be torn open: damped Newton steps from a few starts inside the bounds."""

import math
from collections.abc import Mapping, Sequence

from ringwright.lang.solve.algebra import apply, evaluate_or_nan
from ringwright.lang.solve.derivative import gradient
from ringwright.lang.solve.linear import eliminate
from ringwright.lang.solve.outcome import outside_values
from ringwright.lang.solve.rows import Problem
from ringwright.lang.solve.terms import Quantity, Term

MOST_UNKNOWNS = 100
"""Unknowns of a block, at most, for which this is in good time."""

STARTS = (1.0, 3.0, 1 / 3, 10.0)
"""What the starting values of a block are multiplied by, one attempt each."""


def descend_all(
    problem: Problem, quantities: Sequence[Quantity], rows: Sequence[int], values: Mapping[str, float]
) -> list[tuple[float, ...]]:
    """Return the distinct solutions that damped Newton steps reach from a few starts inside the bounds."""
    differences = [apply("-", problem.rows[number].left, problem.rows[number].right) for number in rows]
    outside = outside_values(problem, rows, {quantity.name for quantity in quantities}, values)
    found: list[tuple[float, ...]] = []
    for factor in STARTS:
        solution = _descend(differences, quantities, dict(outside), factor)
        if solution is not None and not any(same(solution, other) for other in found):
            found.append(solution)
    return sorted(found)


def same(one: Sequence[float], other: Sequence[float]) -> bool:
    """Say whether two solutions are one but for rounding."""
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
        parts = [abs(w * evaluate_or_nan(d, trial)) for w, d in zip(weights, differences, strict=True)]
        return math.hypot(*parts)

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
