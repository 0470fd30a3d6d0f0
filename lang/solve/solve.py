"""The solver: structure first, then numbers block by block, then every surplus statement checked.

Hard equations are heard in order of rank: what is stated, what is given, shares that were typed, the rules of
the kinds. Defaults, then shares that nobody typed, fill what these leave open, and give way where they do not
fit.
"""

from collections.abc import Sequence

from ringwright.lang.solve.block import solve_block
from ringwright.lang.solve.faults import Fault
from ringwright.lang.solve.layout import blocks, lay_out
from ringwright.lang.solve.outcome import Outcome, within
from ringwright.lang.solve.rows import DEFAULT, Problem, Row, prepare
from ringwright.lang.solve.shortage import shortages
from ringwright.lang.solve.solution import Because, Derivatives, Solution, Step
from ringwright.lang.solve.surplus import check
from ringwright.lang.solve.terms import Quantity, System
from ringwright.lang.solve.work import Work, drivers, is_plain


def solve(system: System) -> Solution:
    """Solve a system. All independent faults are reported; what hangs on one is left without a value."""
    problem = prepare(system)
    spare: frozenset[int] = frozenset()
    work = _attempt(problem, spare)
    while work.redundant:  # ends: every round takes an equation out
        spare = spare.union(work.redundant)
        work = _attempt(problem, spare)
    return _hand_over(work)


def _attempt(problem: Problem, spare: frozenset[int]) -> Work:
    """Lay out and solve, with the rows of `spare` not finding anything (hard ones are still checked)."""
    layout = lay_out(problem, spare)
    work = Work(problem, layout)
    order = blocks(problem, layout)
    place = {unknown: number for number, block in enumerate(order) for unknown in block}
    checks: dict[int, list[int]] = {}
    for row in layout.surplus:
        unknowns = problem.rows[row].unknowns
        if all(unknown in place for unknown in unknowns):
            checks.setdefault(max((place[unknown] for unknown in unknowns), default=-1), []).append(row)
    for row in checks.get(-1, ()):
        check(work, row)
    for number, block in enumerate(order):
        _solve_one(work, block)
        for row in checks.get(number, ()):
            check(work, row)
    work.faults.extend(shortages(problem, layout))
    return work


def _solve_one(work: Work, block: list[int]) -> None:
    problem, values = work.problem, work.values
    finder = work.layout.matching.equation_of
    rows = sorted(finder[unknown] for unknown in block)
    inside = set(block)
    for row in rows:
        for unknown in problem.rows[row].unknowns:
            if unknown not in inside and problem.names[unknown] not in values:
                return
    outcome = solve_block(problem, block, rows, values)
    if outcome.redundant:
        work.redundant.extend(outcome.redundant)
    elif outcome.values is None:
        work.accuse(_fault(work, block, outcome), rows)
    else:
        _accept(work, block, rows, outcome.values)


def _accept(work: Work, block: list[int], rows: list[int], numbers: Sequence[float]) -> None:
    quantities = [work.problem.quantities[unknown] for unknown in block]
    checked = [within(quantity, number) for quantity, number in zip(quantities, numbers, strict=True)]
    if None in checked:
        index = checked.index(None)
        _impossible(work, quantities[index], numbers[index], rows)
        return
    number = len(work.steps)
    names = tuple(quantity.name for quantity in quantities)
    work.steps.append(Step(names, tuple(work.problem.rows[row] for row in rows)))
    for name, value in zip(names, checked, strict=True):
        assert value is not None
        work.values[name] = value + 0.0  # no minus nought
        work.step_numbers[name] = number


def _impossible(work: Work, quantity: Quantity, number: float, rows: list[int]) -> None:
    """Report an impossible value; of those that follow from others, one for each component."""
    owner = quantity.name.rpartition(".")[0]
    plain = all(is_plain(work.problem.rows[row]) for row in rows)
    if plain or owner not in work.accused:
        work.accuse(
            Fault("impossible-dimension", (quantity,), (number,), 0, drivers(work, rows)),
            () if plain else rows,
        )
    if not plain:
        work.accused.add(owner)


def _fault(work: Work, block: list[int], outcome: Outcome) -> Fault:
    problem = work.problem
    quantities = [problem.quantities[unknown] for unknown in block if unknown not in problem.pools]
    if outcome.detail:
        quantities.sort(key=lambda quantity: quantity.name != outcome.detail)
    if outcome.code == "one-way":
        quantities = quantities[:1]
    elif outcome.code == "over-determined":
        quantities = []
    equations = drivers(work, outcome.rows)
    return Fault(outcome.code, tuple(quantities), outcome.numbers, 0, equations, outcome.detail)


def _hand_over(work: Work) -> Solution:
    problem, finder, values = work.problem, work.layout.matching.equation_of, work.values
    steps = tuple(step for step in work.steps if step.names[0] in values)
    numbers = {name: number for number, step in enumerate(steps) for name in step.names}
    because: dict[str, Because] = {}
    for step in steps:
        for name in step.names:
            row = problem.rows[finder[problem.number_of[name]]]
            others = tuple(other for other in step.names if other != name) if len(step.names) > 1 else ()
            because[name] = Because(name, row.cause, others, _provenance(row))
    return Solution(
        values,
        because,
        tuple(sorted(work.faults, key=_fault_key)),
        steps,
        numbers,
        Derivatives(values, steps, numbers, uncertain_only=False),
        Derivatives(values, steps, numbers, uncertain_only=True),
    )


def _provenance(row: Row) -> str:
    if len(row.unknowns) > 1 or row.rank not in (0, 1, DEFAULT):
        return "derived"
    return "default" if row.rank == DEFAULT else "measured"


def _fault_key(fault: Fault) -> tuple[str, str, int]:
    span = next((e.origin.span for e in fault.equations if e.origin.span is not None), None)
    name = fault.quantities[0].name if fault.quantities else ""
    return (name, "" if span is None else span.source, 0 if span is None else span.start)
