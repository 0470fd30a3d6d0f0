"""Elimination in one block: rows in order of rank, the largest coefficient of a row as its pivot."""

from collections.abc import Sequence
from typing import NamedTuple

RANK_TOLERANCE = 1e-10
"""What is left of a row counts as nothing below this part of its largest coefficient."""


class Dependent(NamedTuple):
    """A row that says nothing of its own.

    row: its number. residual: by how much it disagrees, in its own unit. others: the rows that it follows
    from.
    """

    row: int
    residual: float
    others: tuple[int, ...]


class Elimination(NamedTuple):
    """values: one for each column, or None where rows were dependent."""

    values: list[float] | None
    dependent: tuple[Dependent, ...]


def eliminate(rows: Sequence[tuple[dict[int, float], float]], column_count: int) -> Elimination:
    """Solve sum(coefficient * column) + constant = 0 for all rows.

    A row found dependent is always one that rows before it imply, so put what may give way last.
    """
    pivots: list[tuple[int, int, dict[int, float], float]] = []
    multipliers: list[list[tuple[int, float]]] = []
    dependent: list[Dependent] = []
    for index, (coefficients, constant) in enumerate(rows):
        scale = max(map(abs, coefficients.values()), default=0.0) or 1.0
        row = {column: value / scale for column, value in coefficients.items() if value}
        rest = constant / scale
        used: list[tuple[int, float]] = []
        for place, (column, _, pivot_row, pivot_rest) in enumerate(pivots):
            factor = row.pop(column, 0.0)
            if factor:
                for other, value in pivot_row.items():
                    row[other] = row.get(other, 0.0) - factor * value
                rest -= factor * pivot_rest
                used.append((place, factor))
        pivot = max(row, key=lambda c: (abs(row[c]), -c), default=-1)
        if pivot < 0 or abs(row[pivot]) <= RANK_TOLERANCE:
            dependent.append(Dependent(index, rest * scale, _sources(used, multipliers, pivots)))
            continue
        value = row.pop(pivot)
        pivots.append((pivot, index, {c: v / value for c, v in row.items() if v}, rest / value))
        multipliers.append([(place, factor / value) for place, factor in used])
    if dependent or len(pivots) < column_count:
        return Elimination(None, tuple(dependent))
    values = [0.0] * column_count
    for column, _, pivot_row, pivot_rest in reversed(pivots):
        values[column] = -pivot_rest - sum(value * values[other] for other, value in pivot_row.items())
    return Elimination(values, ())


def _sources(
    used: list[tuple[int, float]],
    multipliers: list[list[tuple[int, float]]],
    pivots: list[tuple[int, int, dict[int, float], float]],
) -> tuple[int, ...]:
    """Return the rows whose sum a dependent row is: the multipliers traced back from the last pivot to the
    first."""
    weights = dict(used)
    for place in range(len(pivots) - 1, -1, -1):
        weight = weights.get(place, 0.0)
        if weight:
            for earlier, factor in multipliers[place]:
                weights[earlier] = weights.get(earlier, 0.0) - weight * factor
    return tuple(
        sorted(pivots[place][1] for place, weight in weights.items() if abs(weight) > RANK_TOLERANCE)
    )
