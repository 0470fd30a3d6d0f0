"""Elimination in one block: rows in order of rank, the largest coefficient of a row as its pivot."""

import math
from collections.abc import Hashable, Mapping, Sequence
from typing import NamedTuple, TypeVar

Key = TypeVar("Key", bound=Hashable)

RANK_TOLERANCE = 1e-10
"""What is left of a row counts as nothing below this part of its largest coefficient."""


DENSE_FROM, DENSE_PART = 64, 0.3
"""Blocks from this size on, with more than this part of their coefficients there, are done in whole rows."""


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
    if column_count >= DENSE_FROM and sum(len(row) for row, _ in rows) > DENSE_PART * column_count**2:
        values = _eliminate_dense(rows, column_count)
        if values is not None:
            return Elimination(values, ())
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


def _eliminate_dense(rows: Sequence[tuple[dict[int, float], float]], column_count: int) -> list[float] | None:
    """Solve a block in which nearly everything is tied to everything; None where a row is dependent.

    Products and differences are taken element by element, so that every machine rounds them alike.
    """
    import numpy as np

    table = np.zeros((len(rows), column_count))
    rests = np.zeros(len(rows))
    for number, (coefficients, constant) in enumerate(rows):
        scale = max(map(abs, coefficients.values()), default=0.0) or 1.0
        for column, value in coefficients.items():
            table[number, column] = value / scale
        rests[number] = constant / scale
    pivots: list[int] = []
    with np.errstate(all="ignore"):
        for step in range(len(rows)):
            sizes = np.abs(table[step])
            sizes[pivots] = 0.0
            column = int(np.argmax(sizes)) if column_count else -1
            if column < 0 or not sizes[column] > RANK_TOLERANCE:
                return None
            pivot = table[step, column]
            table[step] /= pivot
            rests[step] /= pivot
            pivots.append(column)
            factors = table[step + 1 :, column].copy()
            table[step + 1 :] -= factors[:, None] * table[step]
            rests[step + 1 :] -= factors * rests[step]
    values = [0.0] * column_count
    done: list[int] = []
    for step, column in reversed(list(enumerate(pivots))):
        line = table[step].tolist()
        values[column] = -float(rests[step]) - math.fsum(line[other] * values[other] for other in done)
        done.append(column)
    return values if len(done) == column_count and all(map(math.isfinite, values)) else None


def respond(
    rows: Sequence[tuple[dict[int, float], Mapping[Key, float]]], column_count: int
) -> list[dict[Key, float]] | None:
    """Return how the columns answer to each cause: sum(coefficient * column) + sum(weight * cause) = 0 in all
    rows.

    None where rows are dependent.
    """
    pivots: list[tuple[int, dict[int, float], dict[Key, float]]] = []
    for coefficients, weights in rows:
        scale = max(map(abs, coefficients.values()), default=0.0) or 1.0
        row = {column: value / scale for column, value in coefficients.items() if value}
        rest = {key: weight / scale for key, weight in weights.items()}
        for column, pivot_row, pivot_rest in pivots:
            factor = row.pop(column, 0.0)
            if factor:
                _add_to(row, -factor, pivot_row)
                _add_to(rest, -factor, pivot_rest)
        pivot = max(row, key=lambda c: (abs(row[c]), -c), default=-1)
        if pivot < 0 or abs(row[pivot]) <= RANK_TOLERANCE:
            return None
        value = row.pop(pivot)
        pivots.append(
            (pivot, {c: v / value for c, v in row.items()}, {k: w / value for k, w in rest.items()})
        )
    answers: list[dict[Key, float]] = [{} for _ in range(column_count)]
    for column, pivot_row, pivot_rest in reversed(pivots):
        answer = {key: -weight for key, weight in pivot_rest.items()}
        for other, value in pivot_row.items():
            _add_to(answer, -value, answers[other])
        answers[column] = answer
    return answers


def _add_to(sums: dict[Key, float], factor: float, terms: Mapping[Key, float]) -> None:
    for key, value in terms.items():
        sums[key] = sums.get(key, 0.0) + factor * value


def _sources(
    used: list[tuple[int, float]],
    multipliers: list[list[tuple[int, float]]],
    pivots: list[tuple[int, int, dict[int, float], float]],
) -> tuple[int, ...]:
    """Return the rows whose sum a dependent row is: multipliers traced back from last pivot to first."""
    weights = dict(used)
    for place in range(len(pivots) - 1, -1, -1):
        weight = weights.get(place, 0.0)
        if weight:
            for earlier, factor in multipliers[place]:
                weights[earlier] = weights.get(earlier, 0.0) - weight * factor
    return tuple(
        sorted(pivots[place][1] for place, weight in weights.items() if abs(weight) > RANK_TOLERANCE)
    )
