"""Nonlinear blocks that cannot be torn open: damped Newton steps from a few starts inside the bounds."""

import math
from collections.abc import Iterator, Mapping, Sequence

from ringwright.lang.solve.algebra import apply, evaluate_or_nan
from ringwright.lang.solve.derivative import gradient
from ringwright.lang.solve.linear import eliminate
from ringwright.lang.solve.outcome import outside_values
from ringwright.lang.solve.rows import Problem
from ringwright.lang.solve.terms import Quantity, Term

MOST_UNKNOWNS = 100
"""Unknowns of a block, at most, for which this is in good time."""

FACTORS = (1.0, 3.0, 1 / 3, 10.0)
"""What the starting values of a block are multiplied by, one attempt each."""

MORE_STARTS, SMALL = 12, 24
"""Further attempts, spread over the bounds, for blocks of no more than so many unknowns."""

GOLDEN = (math.sqrt(5) - 1) / 2
"""Its multiples, less their whole parts, spread evenly over 0 to 1 however many are taken (Weyl 1916)."""


def descend_all(
    problem: Problem, quantities: Sequence[Quantity], rows: Sequence[int], values: Mapping[str, float]
) -> list[tuple[float, ...]]:
    """Return the distinct solutions that damped Newton steps reach from a few starts inside the bounds."""
    differences = [apply("-", problem.rows[number].left, problem.rows[number].right) for number in rows]
    outside = outside_values(problem, rows, {quantity.name for quantity in quantities}, values)
    found: list[tuple[float, ...]] = []
    for start in _starts(quantities, outside):
        solution = _descend(differences, quantities, {**outside, **start})
        if solution is not None and not any(same(solution, other) for other in found):
            found.append(solution)
    return sorted(found)


def _starts(quantities: Sequence[Quantity], outside: Mapping[str, float]) -> Iterator[dict[str, float]]:
    """Yield starting values inside the bounds: those of the block, then some as large as what is known."""
    for factor in FACTORS:
        yield {q.name: min(max(q.start * factor, q.low), q.high) for q in quantities}
    if len(quantities) > SMALL:
        return
    size = max(map(abs, outside.values()), default=100.0) or 100.0
    for attempt in range(1, MORE_STARTS + 1):
        start = {}
        for place, quantity in enumerate(quantities, 1):
            part = (attempt * GOLDEN * (place + 0.5)) % 1.0
            reach = min(quantity.high - max(quantity.low, -size), 2 * size)
            start[quantity.name] = min(max(quantity.low, -size) + part * reach, quantity.high)
        yield start


def same(one: Sequence[float], other: Sequence[float]) -> bool:
    """Say whether two solutions are one but for rounding."""
    return all(abs(a - b) <= 1e-6 * max(1.0, abs(a)) for a, b in zip(one, other, strict=True))


def _descend(
    differences: Sequence[Term], quantities: Sequence[Quantity], trial: dict[str, float]
) -> tuple[float, ...] | None:
    names = [quantity.name for quantity in quantities]
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
