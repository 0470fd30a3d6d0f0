"""What comes of solving a block, and when two numbers agree."""

import math
from collections.abc import Container, Mapping, Sequence
from typing import NamedTuple

from ringwright.lang.solve.rows import Problem
from ringwright.lang.solve.terms import Quantity

AGREEMENT = {"length": 0.01, "angle": math.radians(0.001), "mass": 1e-4}
"""How nearly two sides must agree, in mm, rad, g; other dimensions agree to one part in a million."""

MOST_ZEROS = 12
"""A scan that finds more zeros than this has an equation before it that holds everywhere."""


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


def apart(values: list[float]) -> list[float]:
    """Return values ascending, those that are one but for rounding once."""
    kept: list[float] = []
    for value in sorted(values):
        if not kept or value - kept[-1] > 1e-7 * max(1.0, abs(value)):
            kept.append(value)
    return kept


def outside_values(
    problem: Problem, rows: Sequence[int], inside: Container[str], values: Mapping[str, float]
) -> dict[str, float]:
    """Return the values that the rows need from outside their block."""
    names = (problem.names[unknown] for number in rows for unknown in problem.rows[number].unknowns)
    return {name: values[name] for name in names if name not in inside}
