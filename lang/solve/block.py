"""One block solved: a single unknown, a linear block by elimination, or one tied in other ways."""

from collections.abc import Mapping, Sequence

from ringwright.geometry.errors import GeometryError
from ringwright.lang.solve.algebra import affine
from ringwright.lang.solve.linear import eliminate
from ringwright.lang.solve.outcome import Outcome, agreement
from ringwright.lang.solve.rows import DEFAULT, Problem
from ringwright.lang.solve.single import solve_single

LARGEST_BLOCK = 1000
"""Unknowns that may be tied to each other in one block."""


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
            return solve_single(problem, unknowns[0], rows[0], values)
        found = _linear(problem, unknowns, rows, values)
        if found is None:
            from ringwright.lang.solve.tied import solve_tied  # few specs need it

            found = solve_tied(problem, unknowns, rows, values)
        return found
    except GeometryError as error:
        return Outcome(None, error.code, (), tuple(rows), (), str(error))


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
