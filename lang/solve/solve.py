"""The solver: structure first, then numbers block by block, then every surplus statement checked.

Hard equations are heard in order of rank: what is stated, what is given, shares that were typed, the rules of
the kinds. Defaults, then shares that nobody typed, fill what these leave open, and give way where they do not
fit.
"""

import math
from collections.abc import Iterable, Sequence
from typing import NamedTuple

from ringwright.geometry.errors import GeometryError
from ringwright.lang.solve.algebra import affine, apply, evaluate, evaluate_or_nan, gradient
from ringwright.lang.solve.block import Outcome, agreement, solve_block, within
from ringwright.lang.solve.blocks import blocks_in_order
from ringwright.lang.solve.faults import Fault
from ringwright.lang.solve.matching import (
    Matching,
    empty,
    extend,
    over_determined,
    peel,
    under_determined,
)
from ringwright.lang.solve.rearrange import isolate
from ringwright.lang.solve.rows import DEFAULT, SOFT_SHARE, Problem, Row, prepare
from ringwright.lang.solve.solution import Because, Derivatives, Solution, Step
from ringwright.lang.solve.terms import Equation, Share, System, Unknown

ROUNDS = 20
"""How often a system is laid out anew because equations were found to repeat others."""

MOST_DRIVERS = 12
"""Statements that a fault is traced back to."""


class Layout(NamedTuple):
    """The structure of a system.

    matching: who finds whom. edges: by row. surplus: hard rows that only check. open_unknowns: what nothing
    settles. active: for each unknown the rows in force that could find it. idle: pools that nothing draws on.
    """

    matching: Matching
    edges: tuple[tuple[int, ...], ...]
    surplus: tuple[int, ...]
    open_unknowns: frozenset[int]
    active: list[list[int]]


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
        self.redundant: list[int] = []
        self.by_uncertain = Derivatives(self.values, self.steps, self.step_numbers, uncertain_only=True)


def solve(system: System) -> Solution:
    """Solve a system. All independent faults are reported; what hangs on one of them is left without a
    value."""
    problem = prepare(system)
    spare: frozenset[int] = frozenset()
    for _ in range(ROUNDS):
        work = _attempt(problem, spare)
        if not work.redundant:
            break
        spare = spare.union(work.redundant)
    return _hand_over(work)


def _attempt(problem: Problem, spare: frozenset[int]) -> Work:
    """Lay out and solve, with the rows of `spare` not finding anything (hard ones are still checked)."""
    layout = _lay_out(problem, spare)
    work = Work(problem, layout)
    order = _blocks(problem, layout)
    place = {unknown: number for number, block in enumerate(order) for unknown in block}
    checks: dict[int, list[int]] = {}
    for row in layout.surplus:
        unknowns = problem.rows[row].unknowns
        if all(unknown in place for unknown in unknowns):
            checks.setdefault(max((place[unknown] for unknown in unknowns), default=-1), []).append(row)
    for row in checks.get(-1, ()):
        _check(work, row)
    for number, block in enumerate(order):
        _solve_one(work, block)
        for row in checks.get(number, ()):
            _check(work, row)
    _forget_what_hangs(work)
    work.faults.extend(_shortages(problem, layout))
    return work


def _lay_out(problem: Problem, spare: frozenset[int]) -> Layout:
    rows = problem.rows
    edges = tuple(row.edges for row in rows)
    hard = [number for number, row in enumerate(rows) if row.rank < DEFAULT and number not in spare]
    defaults = [number for number, row in enumerate(rows) if row.rank == DEFAULT and number not in spare]
    shares = [number for number, row in enumerate(rows) if row.rank == SOFT_SHARE and number not in spare]
    matching = empty(len(rows), len(problem.names))
    peel(matching, edges, hard)
    extend(matching, edges, hard)
    extend(matching, edges, defaults)
    active = _holders(problem, edges, (*hard, *defaults))
    open_unknowns = _open(problem, matching, active)
    wanted = _shares_wanted(problem, shares, open_unknowns)
    if wanted:
        before = matching.copy()
        failed = extend(matching, edges, wanted)
        if failed:
            # More shares than open lengths: which of them should yield is the builder's to say, so all of
            # that pool do.
            full = {_pool_of(problem, number) for number in failed}
            wanted = [number for number in wanted if _pool_of(problem, number) not in full]
            matching = before
            extend(matching, edges, wanted)
        active = _holders(problem, edges, (*hard, *defaults, *wanted))
        open_unknowns = _open(problem, matching, active)
    surplus = [number for number in hard if matching.unknown_of[number] < 0]
    surplus.extend(number for number in sorted(spare) if rows[number].rank < DEFAULT)
    return Layout(matching, edges, tuple(surplus), frozenset(open_unknowns), active)


def _holders(problem: Problem, edges: Sequence[Sequence[int]], rows: Iterable[int]) -> list[list[int]]:
    holders: list[list[int]] = [[] for _ in problem.names]
    for number in rows:
        for unknown in edges[number]:
            holders[unknown].append(number)
    return holders


def _open(problem: Problem, matching: Matching, active: list[list[int]]) -> set[int]:
    free = [
        unknown
        for unknown, finder in enumerate(matching.equation_of)
        if finder < 0 and (active[unknown] or unknown not in problem.pools)
    ]
    return under_determined(matching, active, free) if free else set()


def _shares_wanted(problem: Problem, shares: list[int], open_unknowns: set[int]) -> list[int]:
    """Return the soft shares whose target is open and stands in nothing that the builder wrote."""
    if not shares or not open_unknowns:
        return []
    written = {unknown for row in problem.rows if row.rank <= 1 for unknown in row.unknowns}
    return [
        number
        for number in shares
        if (target := _target_of(problem, number)) in open_unknowns and target not in written
    ]


def _share_of(problem: Problem, number: int) -> Share:
    cause = problem.rows[number].cause
    assert isinstance(cause, Share)
    return cause


def _target_of(problem: Problem, number: int) -> int:
    return problem.number_of[_share_of(problem, number).target]


def _pool_of(problem: Problem, number: int) -> str:
    return _share_of(problem, number).pool


def _blocks(problem: Problem, layout: Layout) -> list[list[int]]:
    finder = layout.matching.equation_of
    needs = {
        unknown: problem.rows[row].unknowns
        for unknown, row in enumerate(finder)
        if row >= 0 and unknown not in layout.open_unknowns
    }
    return blocks_in_order(needs, needs)


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
        work.faults.append(_fault(work, block, outcome))
    else:
        _accept(work, block, rows, outcome.values)


def _accept(work: Work, block: list[int], rows: list[int], numbers: Sequence[float]) -> None:
    quantities = [work.problem.quantities[unknown] for unknown in block]
    checked = [within(quantity, number) for quantity, number in zip(quantities, numbers, strict=True)]
    if None in checked:
        # Pools have no bounds that a builder knows: name one that draws on it where there is one.
        wrong = [i for i, value in enumerate(checked) if value is None]
        index = next((i for i in wrong if block[i] not in work.problem.pools), wrong[0])
        equations = _drivers(work, rows)
        fault = Fault("impossible-dimension", (quantities[index],), (numbers[index],), 0, equations)
        work.faults.append(fault)
        return
    number = len(work.steps)
    names = tuple(quantity.name for quantity in quantities)
    work.steps.append(Step(names, tuple(work.problem.rows[row] for row in rows)))
    for name, value in zip(names, checked, strict=True):
        assert value is not None
        work.values[name] = value + 0.0  # no minus nought
        work.step_numbers[name] = number


def _fault(work: Work, block: list[int], outcome: Outcome) -> Fault:
    problem = work.problem
    quantities = [problem.quantities[unknown] for unknown in block if unknown not in problem.pools]
    if outcome.detail:
        quantities.sort(key=lambda quantity: quantity.name != outcome.detail)
    if outcome.code == "one-way":
        quantities = quantities[:1]
    elif outcome.code == "over-determined":
        quantities = []
    equations = _drivers(work, outcome.rows)
    return Fault(outcome.code, tuple(quantities), outcome.numbers, 0, equations, outcome.detail)


def _drivers(work: Work, rows: Sequence[int]) -> tuple[Equation | Share, ...]:
    """Return the rows' own equations, then the statements of the text that settled what stands in them,
    nearest first."""
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


def _check(work: Work, number: int) -> None:
    """See that a surplus row holds; else report it, and forget what it casts doubt on."""
    problem, values = work.problem, work.values
    row = problem.rows[number]
    if any(problem.names[unknown] not in values for unknown in row.unknowns):
        return
    try:
        left, right = evaluate(row.left, values), evaluate(row.right, values)
    except GeometryError as error:
        quantities = tuple(problem.quantities[unknown] for unknown in row.unknowns)
        work.faults.append(Fault(error.code, quantities, (), 0, _drivers(work, (number,)), str(error)))
        return
    if abs(left - right) <= agreement(row.dimension, left, right):
        return
    if abs(left - right) <= _slack(work, row):
        return
    work.faults.append(_disagreement(work, number, left, right))
    for unknown in over_determined(work.layout.matching, work.layout.edges, number):
        finder = problem.rows[work.layout.matching.equation_of[unknown]]
        if finder.rank > 0 or len(finder.unknowns) > 1:
            values.pop(problem.names[unknown], None)


def _slack(work: Work, row: Row) -> float:
    """Return by how much the two sides may differ for the ± of all that they rest on (worst case)."""
    _, by_unknown, by_stated = gradient(apply("-", row.left, row.right), work.values)
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
    equations = _drivers(work, (number,))
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
            return Fault("over-determined", (quantity,), (said, values[name]), 0, equations)
    return Fault("over-determined", (), (left - right,), 0, equations)


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


def _forget_what_hangs(work: Work) -> None:
    """Take away the values of blocks that rest on something forgotten."""
    names, values = work.problem.names, work.values
    for step in work.steps:
        needed = (names[unknown] for row in step.rows for unknown in row.unknowns)
        if not all(name in values for name in needed):
            for name in step.names:
                values.pop(name, None)


def _shortages(problem: Problem, layout: Layout) -> list[Fault]:
    """Return one fault for each group of open unknowns that hang together, or for each sealed row that hides
    one."""
    faults: list[Fault] = []
    told: set[int] = set()
    for number in layout.surplus:
        row = problem.rows[number]
        hidden = [u for u in row.unknowns if u in layout.open_unknowns and u not in row.edges]
        if hidden and not told.intersection(hidden):
            told.update(hidden)
            quantities = tuple(problem.quantities[unknown] for unknown in hidden)
            faults.append(Fault("one-way", quantities, (), 0, _one_way_causes(problem, layout, number)))
    seen: set[int] = set()
    for root in sorted(layout.open_unknowns):
        if root in seen:
            continue
        group, rows = _group(problem, layout, root)
        seen.update(group)
        if not told.intersection(group):
            members = [problem.quantities[u] for u in sorted(group) if u not in problem.pools]
            members.sort(key=lambda q: (not q.hint, q.dimension != "length", q.name))
            equations = tuple(problem.rows[row].cause for row in sorted(rows))
            missing = len(group) - len(rows)
            faults.append(Fault("under-determined", tuple(members), (), missing, equations))
    return faults


def _one_way_causes(problem: Problem, layout: Layout, number: int) -> tuple[Equation | Share, ...]:
    """Return the sealed row, then what settles the unknowns that it could have found."""
    row = problem.rows[number]
    finders = (layout.matching.equation_of[unknown] for unknown in row.edges)
    return (row.cause, *(problem.rows[finder].cause for finder in finders if finder >= 0))


def _group(problem: Problem, layout: Layout, root: int) -> tuple[set[int], set[int]]:
    """Return the open unknowns that hang together with `root`, and the rows in force between them."""
    group, rows = {root}, set()
    queue = [root]
    for unknown in queue:
        for row in layout.active[unknown]:
            if layout.matching.unknown_of[row] < 0 or row in rows:
                continue
            rows.add(row)
            for other in problem.rows[row].edges:
                if other in layout.open_unknowns and other not in group:
                    group.add(other)
                    queue.append(other)
    return group, rows


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
