"""The solver against scipy and numpy: values of linear and nonlinear systems, structure of random ones."""

import math
from typing import Any

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from ringwright.lang.pipeline import compile_spec
from ringwright.lang.solve.algebra import add, multiply
from ringwright.lang.solve.blocks import blocks_in_order
from ringwright.lang.solve.linear import eliminate
from ringwright.lang.solve.matching import (
    empty,
    extend,
    over_determined,
    peel,
    under_determined,
)
from ringwright.lang.solve.solve import solve
from ringwright.lang.solve.terms import Constant, Equation, Origin, Quantity, System, Unknown
from scipy import optimize
from scipy.sparse import csr_array
from scipy.sparse.csgraph import connected_components, maximum_bipartite_matching

seeds = st.integers(0, 2**32 - 1)


# -- values ---------------------------------------------------------------------------------------


@given(seed=seeds, size=st.integers(1, 40) | st.integers(64, 80), part=st.sampled_from([0.1, 0.3, 1.0]))
def test_linear_systems_against_lapack(seed: int, size: int, part: float) -> None:
    """numpy.linalg.solve (LAPACK gesv); only systems that are not nearly singular are compared."""
    random = np.random.default_rng(seed)
    matrix = random.normal(size=(size, size)) * (random.random((size, size)) < part) + np.diag(
        random.uniform(1, 2, size)
    )
    right = random.normal(size=size) * 100
    assume(np.linalg.cond(matrix) < 1e6)
    names = [f"u{i:02}" for i in range(size)]
    equations = tuple(
        Equation(
            add(*(multiply(Constant(float(c)), Unknown(n)) for c, n in zip(row, names, strict=True) if c)),
            Constant(float(side)),
            "length",
            Origin("rule", "a sum", None),
        )
        for row, side in zip(matrix, right, strict=True)
    )
    unknowns = tuple(Quantity(name, "length", -math.inf, math.inf, 1.0, None, name) for name in names)
    solution = solve(System(unknowns, equations, ()))
    assert not solution.faults
    theirs = np.linalg.solve(matrix, right)
    size_of = float(np.abs(theirs).max())
    assert [solution.values[name] for name in names] == pytest.approx(list(theirs), abs=1e-7 * size_of)


@given(seed=seeds, size=st.integers(2, 12) | st.just(70), lost=st.integers(1, 3))
def test_dependent_rows_against_the_rank(seed: int, size: int, lost: int) -> None:
    """numpy.linalg.matrix_rank (singular values) of whole-number rows, some of them sums of others."""
    random = np.random.default_rng(seed)
    matrix = random.integers(-3, 4, size=(size, size)).astype(float)
    for _ in range(lost):
        matrix[random.integers(size)] = matrix[random.integers(size)] + matrix[random.integers(size)]
    rows = [({i: float(c) for i, c in enumerate(row) if c}, 0.0) for row in matrix]
    found = eliminate(rows, size)
    assert size - len(found.dependent) == np.linalg.matrix_rank(matrix)


def frustum(numbers: Any, thickness: float) -> dict[str, float]:
    """A cone's dimensions from start, end, length, as a textbook of solid geometry has them."""
    start, end, length = map(float, numbers)
    half = math.atan2(abs(start - end) / 2, length)
    return {
        "start": start,
        "end": end,
        "length": length,
        "half_angle": half,
        "slant": math.hypot(length, (start - end) / 2),
        "start_inside": start - 2 * thickness / math.cos(half),
        "end_inside": end - 2 * thickness / math.cos(half),
    }


SETS = [
    ("start", "end", "half_angle"), ("start", "end", "slant"), ("start", "length", "half_angle"),
    ("end", "length", "half_angle"), ("start", "slant", "half_angle"), ("start", "length", "slant"),
    ("start_inside", "end", "length"), ("start_inside", "end_inside", "length"), ("start", "end_inside", "length"),
    ("start_inside", "half_angle", "length"), ("end_inside", "slant", "length"), ("start_inside", "end", "slant"),
]  # fmt: skip


@pytest.mark.parametrize("chosen", SETS, ids="-".join)
@given(
    end=st.floats(60, 120),
    narrower=st.floats(5, 60),
    length=st.floats(15, 80),
    seed=seeds,
)
def test_cones_from_any_three_against_fsolve(
    chosen: tuple[str, ...], end: float, narrower: float, length: float, seed: int
) -> None:
    """scipy.optimize.fsolve (MINPACK hybrd) from 30 random starts: it finds no design that we do not know."""
    truth = frustum((end + narrower, end, length), 4.8)
    stated = ", ".join(
        f"{name} = {math.degrees(truth[name])!r} deg"
        if name == "half_angle"
        else f"{name} = {truth[name]!r} mm"
        for name in chosen
    )
    text = (
        'model test { title = "Test" }\n'
        "stock board { kind = foamboard, thickness = 4.8 mm, sheet = 762 mm by 508 mm }\n"
        f"stack s {{ stock = board, cone c {{ taper = narrows, {stated} }} }}\n"
    )
    compiled = compile_spec("test.wright", lambda _: text.encode())
    assert compiled.design is not None
    theirs = _all_by_fsolve(truth, chosen, seed)
    ours = [fault for fault in compiled.design.solution.faults if fault.code == "two-solutions"]
    if ours:
        (fault,) = ours
        name = fault.quantities[0].name.removeprefix("s.c.")
        assert any(value == pytest.approx(truth[name], abs=1e-5) for value in fault.values)
        for found in theirs:
            assert any(value == pytest.approx(found[name], abs=1e-4) for value in fault.values)
        return
    assert not compiled.design.solution.faults, [finding.message for finding in compiled.findings]
    for name, value in truth.items():
        assert compiled.design.values[f"s.c.{name}"] == pytest.approx(value, abs=1e-4), name
    for found in theirs:
        assert found["length"] == pytest.approx(truth["length"], abs=1e-3)


def _all_by_fsolve(truth: dict[str, float], chosen: tuple[str, ...], seed: int) -> list[dict[str, float]]:
    """All narrowing cones with the chosen dimensions that fsolve reaches from random starts."""

    def misses(numbers: Any) -> list[float]:
        found = frustum(numbers, 4.8)
        return [found[name] - truth[name] for name in chosen]

    random = np.random.default_rng(seed)
    kept: list[dict[str, float]] = []
    for _ in range(30):
        start = random.uniform([50, 40, 5], [200, 150, 120])
        numbers, _, code, _ = optimize.fsolve(misses, start, full_output=True)
        found = frustum(numbers, 4.8)
        physical = numbers[0] > numbers[1] > 0 and numbers[2] > 0.01 and found["half_angle"] < 1.55
        if code == 1 and max(map(abs, misses(numbers))) < 1e-9 and physical:
            kept.append(found)
    return kept


def test_the_first_spec_against_brentq() -> None:
    """The cowl with one angle twice the other is one equation for mid's angle: scipy.optimize.brentq."""

    def misses(angle: float) -> float:
        return 8 / math.tan(angle) + 12 / math.tan(2 * angle) - (104 - 5 - 38)

    angle = optimize.brentq(misses, 0.05, 0.7, xtol=1e-14)
    text = (
        'model test { title = "Test" }\n'
        "stock board { kind = foamboard, thickness = 5 mm, sheet = 762 mm by 508 mm }\n"
        "stack cowl { overall = 104 mm, stock = board, plate back { }\n"
        "    barrel drum { diameter = 132 mm, length = 38 mm }\n"
        "    cone mid { end = 116 mm }\n    cone lip { end = 92 mm }\n    plate front { seat = inside } }\n"
        "given cowl.lip.half_angle == 2 * cowl.mid.half_angle\n"
    )
    design = compile_spec("test.wright", lambda _: text.encode()).design
    assert design is not None
    assert design.values["cowl.mid.half_angle"] == pytest.approx(angle, abs=1e-12)
    assert design.values["cowl.mid.length"] == pytest.approx(8 / math.tan(angle), abs=1e-9)
    assert design.values["cowl.lip.length"] == pytest.approx(12 / math.tan(2 * angle), abs=1e-9)


# -- structure ------------------------------------------------------------------------------------


def pattern(seed: int, rows: int, columns: int, degree: float) -> Any:
    random = np.random.default_rng(seed)
    return random.random((rows, columns)) < degree / columns


def matched(edges: list[list[int]], columns: int) -> Any:
    matching = empty(len(edges), columns)
    peel(matching, edges, range(len(edges)))
    extend(matching, edges, range(len(edges)))
    return matching


patterns = st.builds(
    pattern, seeds, st.integers(1, 40), st.integers(1, 40), st.sampled_from([0.7, 1.5, 2.5, 5.0])
)


@given(table=patterns)
def test_as_many_are_matched_as_by_hopcroft_and_karp(table: Any) -> None:
    """scipy.sparse.csgraph.maximum_bipartite_matching (Hopcroft and Karp 1973)."""
    edges = [list(map(int, np.flatnonzero(row))) for row in table]
    ours = matched(edges, table.shape[1])
    theirs = maximum_bipartite_matching(csr_array(table.astype(int)), perm_type="column")
    assert sum(u >= 0 for u in ours.unknown_of) == int((theirs >= 0).sum())
    for equation, unknown in enumerate(ours.unknown_of):
        assert unknown < 0 or (table[equation, unknown] and ours.equation_of[unknown] == equation)


@given(table=patterns)
def test_the_parts_of_dulmage_and_mendelsohn(table: Any) -> None:
    """The two parts do not depend on the matching: a column is open if the rest can be matched as well
    without it, over-determined if one of its rows could be spared (Dulmage and Mendelsohn 1958). Both are
    tried with scipy's matching, a column or a row at a time.
    """
    rows, columns = table.shape
    edges = [list(map(int, np.flatnonzero(row))) for row in table]
    ours = matched(edges, columns)

    def size(kept: Any) -> int:
        if 0 in kept.shape:
            return 0
        return int((maximum_bipartite_matching(csr_array(kept.astype(int)), perm_type="column") >= 0).sum())

    full = size(table)
    holders = [list(map(int, np.flatnonzero(column))) for column in table.T]
    free = [unknown for unknown, finder in enumerate(ours.equation_of) if finder < 0]
    open_columns = {c for c in range(columns) if size(np.delete(table, c, axis=1)) == full}
    assert under_determined(ours, holders, free) == open_columns
    spared = [r for r in range(rows) if size(np.delete(table, r, axis=0)) == full]
    over: set[int] = set()
    for row, unknown in enumerate(ours.unknown_of):
        if unknown < 0:
            over.update(over_determined(ours, edges, row))
    assert over == {c for r in spared for c in edges[r]}


@given(seed=seeds, size=st.integers(1, 60), degree=st.sampled_from([0.5, 1.2, 2.0, 4.0]))
def test_blocks_against_strong_components(seed: int, size: int, degree: float) -> None:
    """scipy.sparse.csgraph.connected_components, connection='strong'; each block after all that it needs."""
    table = pattern(seed, size, size, degree)
    needs = {node: list(map(int, np.flatnonzero(row))) for node, row in enumerate(table)}
    found = blocks_in_order(needs, range(size))
    count, labels = connected_components(csr_array(table.astype(int)), connection="strong")
    theirs = {frozenset(map(int, np.flatnonzero(labels == label))) for label in range(count)}
    assert {frozenset(block) for block in found} == theirs
    done: set[int] = set()
    for block in found:
        done.update(block)
        assert all(set(needs[node]) <= done for node in block)
