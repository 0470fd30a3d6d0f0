"""The state of solving: what is known so far, what was found wrong, and what drove it."""

from collections.abc import Sequence

from ringwright.lang.solve.faults import Fault
from ringwright.lang.solve.layout import Layout
from ringwright.lang.solve.rows import Problem, Row
from ringwright.lang.solve.solution import Derivatives, Step
from ringwright.lang.solve.terms import Equation, Share

MOST_DRIVERS = 12
"""Statements that a fault is traced back to."""


class Work:
    """The state of one attempt: values found so far, and by which row; faults as they turn up."""

    def __init__(self, problem: Problem, layout: Layout) -> None:
        """Start with nothing known."""
        self.problem = problem
        self.layout = layout
        self.values: dict[str, float] = {}
        self.steps: list[Step] = []
        self.step_numbers: dict[str, int] = {}
        self.faults: list[Fault] = []
        self.rests_on: dict[int, set[int]] = {}
        self.redundant: list[int] = []
        self.accused: set[str] = set()
        self.found_from: dict[int, list[int]] = {}
        self.by_uncertain = Derivatives(self.values, self.steps, self.step_numbers, uncertain_only=True)

    def accuse(self, fault: Fault, rows: Sequence[int]) -> None:
        """Report that rows find no value; taken back should what they rest on fall into doubt."""
        self.rests_on[len(self.faults)] = {
            unknown for row in rows for unknown in self.problem.rows[row].unknowns
        }
        self.faults.append(fault)

    def acquit(self, doubtful: set[int]) -> None:
        """Take back what was reported of rows that rest on doubtful unknowns: it may not be so."""
        gone = {number for number, unknowns in self.rests_on.items() if unknowns & doubtful}
        if gone:
            kept = [number for number in range(len(self.faults)) if number not in gone]
            self.rests_on = {new: self.rests_on[old] for new, old in enumerate(kept) if old in self.rests_on}
            self.faults = [self.faults[number] for number in kept]


def is_plain(row: Row) -> bool:
    """Say whether a row states one value outright."""
    return row.rank <= 1 and len(row.unknowns) == 1


def drivers(work: Work, rows: Sequence[int]) -> tuple[Equation | Share, ...]:
    """Return the rows' own equations, then the statements that they rest on, nearest first."""
    problem, finder = work.problem, work.layout.matching.equation_of
    queue = list(rows)
    causes = queue.copy()
    seen_rows = set(queue)
    for number in queue:
        if len(causes) >= MOST_DRIVERS + len(rows):
            break
        row = problem.rows[number]
        if row.rank <= 1 and number not in rows:
            causes.append(number)
        for unknown in row.unknowns:
            before = finder[unknown]
            if before >= 0 and before not in seen_rows:
                seen_rows.add(before)
                queue.append(before)
    return tuple(problem.rows[number].cause for number in causes)
