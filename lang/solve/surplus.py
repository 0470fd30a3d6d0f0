"""Rows that find nothing must hold: statements that disagree, and by how much."""

import math
from collections.abc import Iterable

from ringwright.geometry.errors import GeometryError
from ringwright.lang.solve.algebra import affine, apply, evaluate, evaluate_or_nan
from ringwright.lang.solve.derivative import gradient
from ringwright.lang.solve.faults import Fault
from ringwright.lang.solve.matching import over_determined
from ringwright.lang.solve.outcome import agreement
from ringwright.lang.solve.rearrange import isolate
from ringwright.lang.solve.rows import Problem, Row
from ringwright.lang.solve.terms import Unknown
from ringwright.lang.solve.work import Work, drivers, is_plain


def check(work: Work, number: int) -> None:
    """See that a surplus row holds; else report it, and forget what it casts doubt on."""
    problem, values = work.problem, work.values
    row = problem.rows[number]
    if any(problem.names[unknown] not in values for unknown in row.unknowns):
        return
    try:
        left, right = evaluate(row.left, values), evaluate(row.right, values)
    except GeometryError as error:
        quantities = tuple(problem.quantities[unknown] for unknown in row.unknowns)
        work.faults.append(Fault(error.code, quantities, (), 0, drivers(work, (number,)), str(error)))
        return
    if not math.isfinite(left - right):
        quantities = tuple(problem.quantities[unknown] for unknown in row.unknowns)
        work.faults.append(
            Fault("impossible-dimension", quantities, (math.nan,), 0, drivers(work, (number,)))
        )
        return
    if abs(left - right) <= agreement(row.dimension, left, right):
        return
    if abs(left - right) <= _slack(work, row):
        return
    fault = _disagreement(work, number, left, right)
    work.faults.append(fault)
    doubtful = [problem.number_of[quantity.name] for quantity in fault.quantities]
    for unknown in over_determined(work.layout.matching, work.layout.edges, number):
        # What is stated outright, such as the place of a station, stays sound for all that it has to do with.
        if not is_plain(problem.rows[work.layout.matching.equation_of[unknown]]):
            doubtful.append(unknown)
    _forget(work, doubtful)


def _slack(work: Work, row: Row) -> float:
    """Return by how much the two sides may differ for the ± of all that they rest on (worst case)."""
    try:
        _, by_unknown, by_stated = gradient(apply("-", row.left, row.right), work.values)
    except GeometryError:  # right beside the values the shape cannot be made
        return 0.0
    total = {leaf: weight for leaf, weight in by_stated.items() if leaf.plus_minus}
    for name, weight in by_unknown.items():
        for leaf, inner in work.by_uncertain.of(name).items():
            total[leaf] = total.get(leaf, 0.0) + weight * inner
    slack = math.fsum(abs(weight * (leaf.plus_minus or 0.0)) for leaf, weight in total.items())
    return slack if math.isfinite(slack) else 0.0


def _disagreement(work: Work, number: int, left: float, right: float) -> Fault:
    """Name a dimension about which the row says another thing than what found it, and both values."""
    problem, values = work.problem, work.values
    row = problem.rows[number]
    statements = drivers(work, (number,))
    by_telling = sorted(
        row.edges,
        key=lambda u: (not problem.quantities[u].hint, problem.quantities[u].dimension != row.dimension, u),
    )
    for unknown in _bare(row, problem) or by_telling:
        name = problem.names[unknown]
        others = {problem.names[u]: values[problem.names[u]] for u in row.unknowns if u != unknown}
        said = _said(row, name, others, values[name])
        if math.isfinite(said) and said != values[name]:
            quantity = problem.quantities[unknown]
            other = problem.rows[work.layout.matching.equation_of[unknown]].cause
            equations = (row.cause, other, *(cause for cause in statements[1:] if cause is not other))
            return Fault("over-determined", (quantity,), (said, values[name]), 0, equations)
    return Fault("over-determined", (), (left - right,), 0, statements)


def _bare(row: Row, problem: Problem) -> list[int]:
    """Return the unknowns that stand alone on one side: `overall` in overall == …."""
    return [problem.number_of[side.name] for side in (row.left, row.right) if isinstance(side, Unknown)]


def _said(row: Row, name: str, others: dict[str, float], near: float) -> float:
    """Return what a row makes of one unknown; of several values the one nearest to `near`, nan for none."""
    branches = isolate(row.left, row.right, name)
    if branches is not None:
        numbers = [evaluate_or_nan(branch, others) for branch in branches]
        return min((n for n in numbers if math.isfinite(n)), key=lambda n: abs(n - near), default=math.nan)
    form = affine(row.left, row.right, others)
    if form is None or not form[0].get(name):
        return math.nan
    return -form[1] / form[0][name]


def _forget(work: Work, unknowns: Iterable[int]) -> None:
    """Take away the values of unknowns and of all that was found from them."""
    problem, finder, values = work.problem, work.layout.matching.equation_of, work.values
    if not work.found_from:
        for unknown, row in enumerate(finder):
            if row >= 0:
                for other in problem.rows[row].unknowns:
                    work.found_from.setdefault(other, []).append(unknown)
    queue = list(unknowns)
    seen = set(queue)
    for unknown in queue:
        values.pop(problem.names[unknown], None)
        for other in work.found_from.get(unknown, ()):
            if other not in seen and problem.names[other] in values:
                seen.add(other)
                queue.append(other)
    work.acquit(seen)
