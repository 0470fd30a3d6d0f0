"""What nothing settles: unknowns that stay open, in groups that hang together."""

from ringwright.lang.solve.faults import YIELDED, Fault
from ringwright.lang.solve.layout import Layout
from ringwright.lang.solve.rows import SOFT_SHARE, Problem
from ringwright.lang.solve.terms import Equation, Share


def shortages(problem: Problem, layout: Layout) -> list[Fault]:
    """Return one fault for each group of open unknowns, or for the one-way row that hides them."""
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
            shared = {
                row.cause.target
                for row in map(problem.rows.__getitem__, rows)
                if row.rank == SOFT_SHARE and isinstance(row.cause, Share)
            }
            # One of several equal shares that is given is no share any more, and leaves the others open.
            last = shared if len(shared) > 1 else set()
            members.sort(
                key=lambda q: (
                    not q.hint, q.name in last or q.hint in last, q.hint != q.name, q.dimension != "length", q.name
                )
            )  # fmt: skip
            equations = tuple(problem.rows[row].cause for row in sorted(rows))
            missing = len(group) - len(rows)
            targets = {
                problem.number_of[row.cause.target]
                for row in problem.rows
                if row.rank == SOFT_SHARE and isinstance(row.cause, Share)
            }
            detail = YIELDED if targets & group else ""
            faults.append(Fault("under-determined", tuple(members), (), missing, equations, detail))
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
