"""Whatever is written: no crash, nothing beyond its bounds, and what is found without a fault holds."""

import math
from typing import Any

from hypothesis import given
from hypothesis import strategies as st
from ringwright.geometry.errors import GeometryError
from ringwright.lang.design.why import why
from ringwright.lang.solve.algebra import apply, evaluate
from ringwright.lang.solve.faults import diagnose
from ringwright.lang.solve.outcome import agreement
from ringwright.lang.solve.solve import solve
from ringwright.lang.solve.terms import Constant, Forward, Stated, System, Term, Unknown

NAMES = [f"c.{letter}.length" for letter in "abcdef"]
ONE, TWO = ("neg", "sqrt", "abs", "sin", "cos", "tan", "asin", "acos", "atan"), (
    "+", "-", "*", "/", "^", "min", "max", "atan2", "hypot", "round_to",
)  # fmt: skip


def refuse_below_three(values: Any) -> float:
    if values["c.a.length"] < 3:
        raise GeometryError("too-small", "this is too small")
    return float(values["c.a.length"]) * 2


numbers = st.sampled_from([0.0, 1.0, 2.0, -1.0, 0.5, 3.0, 10.0, 116.0])


def terms(plus_minus: float | None) -> st.SearchStrategy[Term]:
    leaves = st.one_of(
        st.sampled_from(NAMES).map(Unknown),
        st.sampled_from(NAMES).map(Unknown),
        numbers.map(Constant),
        numbers.map(lambda value: Stated(value, plus_minus, None, True)),
        st.just(Forward("width of it", ("c.a.length",), refuse_below_three)),
    )
    return st.recursive(
        leaves,
        lambda inner: st.one_of(
            st.builds(apply, st.sampled_from(ONE), inner),
            st.builds(apply, st.sampled_from(TWO), inner, inner),
        ),
        max_leaves=6,
    )


kinds = st.sampled_from(["stated", "given", "rule", "default"])
bounds = st.sampled_from([(0.0, math.inf), (-math.inf, math.inf), (0.001, 1e5), (0.0, 1.55)])


@st.composite
def systems(draw: st.DrawFn, draft: Any, plus_minus: float | None) -> System:
    side = terms(plus_minus)
    for name in NAMES:
        low, high = draw(bounds)
        draft.unknown(name, low=low, high=high, start=draw(st.sampled_from([0.3, 50.0])))
    for kind, left, right in draw(st.lists(st.tuples(kinds, side, side), max_size=9)):
        draft.equate(left, right, kind)
    for name in draw(st.lists(st.sampled_from(NAMES), unique=True, max_size=4)):
        draft.share(Unknown(name), "c.share", draw(st.sampled_from([1.0, 2.0])), draw(st.booleans()))
    system: System = draft.system()
    return system


@given(st.data())
def test_any_system(new_draft: Any, data: st.DataObject) -> None:
    plus_minus = data.draw(st.sampled_from([None, 0.5]))
    system = data.draw(systems(new_draft(), plus_minus))
    solution = solve(system)
    for fault in solution.faults:
        finding = diagnose(fault)
        assert finding.message
        assert "nan" not in finding.message
    limits = {quantity.name: (quantity.low, quantity.high) for quantity in system.unknowns}
    for name, value in solution.values.items():
        low, high = limits.get(name, (-math.inf, math.inf))
        assert math.isfinite(value)
        assert low <= value <= high
        solution.plus_minus(name)
        assert why(solution, name, {}, lambda of, number: f"{number:.4g} mm", tree=True)
    assert set(solution.because) == set(solution.values)
    if not solution.faults:
        assert set(solution.values) >= set(NAMES)
    if not solution.faults and plus_minus is None:
        for equation in system.equations:
            if equation.origin.kind != "default":
                left, right = (evaluate(side, solution.values) for side in (equation.left, equation.right))
                assert abs(left - right) <= agreement("length", left, right)
