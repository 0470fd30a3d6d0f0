"""What the solver hands back: values, how each came about, and how sensitive it is to what was measured."""

import math
from collections.abc import Mapping, Sequence
from typing import NamedTuple

from ringwright.geometry.errors import GeometryError
from ringwright.lang.solve.algebra import apply, unknowns_of
from ringwright.lang.solve.derivative import gradient
from ringwright.lang.solve.faults import Fault
from ringwright.lang.solve.linear import respond
from ringwright.lang.solve.rows import RANKS, Row
from ringwright.lang.solve.terms import Equation, Share, Stated, Unknown


class Because(NamedTuple):
    """How a value came about.

    equation: what found it. others: names solved in the same block with it, ascending.
    provenance: 'measured' (stated in the text, by nothing else), 'default' or 'derived'.
    """

    name: str
    equation: Equation | Share
    others: tuple[str, ...]
    provenance: str


class Step(NamedTuple):
    """One block as it was solved: its names, ascending, and the rows that found them."""

    names: tuple[str, ...]
    rows: tuple[Row, ...]


class Derivatives:
    """Derivatives of solved values by stated quantities, worked out when asked for and then kept."""

    def __init__(
        self,
        values: Mapping[str, float],
        steps: Sequence[Step],
        number_of: Mapping[str, int],
        uncertain_only: bool,
    ) -> None:
        """Work on `steps` in solving order, `number_of` telling each name's.

        With `uncertain_only` by those stated quantities alone that have a ±.
        """
        self._values = values
        self._steps = steps
        self._step_of = number_of
        self._uncertain_only = uncertain_only
        self._known: dict[str, dict[Stated, float]] = {}

    def of(self, name: str) -> Mapping[Stated, float]:
        """Return the derivatives of one value; raises KeyError for a name that was not solved."""
        if name not in self._known:
            for number in self._needed(name):
                self._work_out(self._steps[number])
        return self._known[name]

    def _needed(self, name: str) -> list[int]:
        """Return the steps that `name` rests on and that are not worked out yet, in solving order."""
        found = {self._step_of[name]}
        queue = list(found)
        for number in queue:
            step = self._steps[number]
            for row in step.rows:
                for other in unknowns_of(row.left, row.right):
                    before = self._step_of.get(other)
                    if other not in self._known and before is not None and before not in found:
                        found.add(before)
                        queue.append(before)
        return sorted(found)

    def _work_out(self, step: Step) -> None:
        """Differentiate the block's equations and solve for the derivatives of its unknowns."""
        column_of = {name: column for column, name in enumerate(step.names)}
        lines: list[dict[int, float]] = []
        sides: list[dict[Stated, float]] = []
        for row in step.rows:
            by_unknown, by_stated = self._partials(row)
            if self._uncertain_only:
                by_stated = {leaf: weight for leaf, weight in by_stated.items() if leaf.plus_minus}
            line: dict[int, float] = {}
            for name, weight in by_unknown.items():
                column = column_of.get(name)
                if column is not None:
                    line[column] = weight
                else:
                    for leaf, inner in self._known.get(name, {}).items():
                        by_stated[leaf] = by_stated.get(leaf, 0.0) + weight * inner
            lines.append(line)
            sides.append(by_stated)
        answers = respond(list(zip(lines, sides, strict=True)), len(step.names))
        if answers is None:  # the sum turns round just here: nothing is known of its slope
            unclear = dict.fromkeys((leaf for side in sides for leaf in side), math.nan)
            answers = [unclear for _ in step.names]
        self._known.update(zip(step.names, answers, strict=True))

    def _partials(self, row: Row) -> tuple[dict[str, float], dict[Stated, float]]:
        try:
            _, by_unknown, by_stated = gradient(apply("-", row.left, row.right), self._values)
        except GeometryError:  # beside the solution the shape cannot be made: nothing is known of its slope
            names = unknowns_of(row.left, row.right)
            return dict.fromkeys(names, math.nan), {}
        return by_unknown, by_stated


class Solution(NamedTuple):
    """The solved system. values and because lack what hangs on a fault."""

    values: Mapping[str, float]
    because: Mapping[str, Because]
    faults: tuple[Fault, ...]
    steps: tuple[Step, ...]
    step_numbers: Mapping[str, int]
    by_all: Derivatives
    by_uncertain: Derivatives

    def gradient(self, name: str) -> Mapping[Stated, float]:
        """Return the derivatives of a solved value by all stated quantities that it rests on (mm, rad, g)."""
        return self.by_all.of(name)

    def plus_minus(self, name: str) -> tuple[float, float] | None:
        """Return root sum of squares and worst case of a value's ±; None where there is none."""
        parts = [
            abs(weight * leaf.plus_minus)
            for leaf, weight in self.by_uncertain.of(name).items()
            if leaf.plus_minus and weight
        ]
        if not parts or not all(map(math.isfinite, parts)):
            return None
        return math.sqrt(math.fsum(part * part for part in parts)), math.fsum(parts)

    def extended(self, more: Sequence[tuple[Equation, float]]) -> "Solution":
        """Return the solution with further names, each equal to a sum of those before it: an equation and its value."""
        values, because = dict(self.values), dict(self.because)
        steps, numbers = [*self.steps], dict(self.step_numbers)
        for equation, value in more:
            assert isinstance(equation.left, Unknown)
            name = equation.left.name
            row = Row(equation.left, equation.right, RANKS[equation.origin.kind], (), (), None, equation)
            values[name] = value
            because[name] = Because(name, equation, (), "derived")
            numbers[name] = len(steps)
            steps.append(Step((name,), (row,)))
        return self._replace(
            values=values,
            because=because,
            steps=tuple(steps),
            step_numbers=numbers,
            by_all=Derivatives(values, steps, numbers, uncertain_only=False),
            by_uncertain=Derivatives(values, steps, numbers, uncertain_only=True),
        )

    def step_of(self, name: str) -> Step | None:
        """Return the block that a name was solved in; None for a name without a value."""
        number = self.step_numbers.get(name)
        return None if number is None else self.steps[number]
