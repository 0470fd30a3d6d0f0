"""Zeros, elimination and terms: the arithmetic under the solver."""

import math

import mpmath
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from ringwright.lang.solve.algebra import (
    OPERATIONS,
    add,
    affine,
    apply,
    evaluate,
    multiply,
    negate,
    subtract,
    unknowns_of,
)
from ringwright.lang.solve.derivative import gradient
from ringwright.lang.solve.linear import eliminate
from ringwright.lang.solve.rearrange import isolate
from ringwright.lang.solve.roots import zeros
from ringwright.lang.solve.terms import Constant, Forward, Stated, Unknown
from ringwright.lang.solve.wording import words


@given(st.lists(st.floats(0.1, 900), min_size=1, max_size=3, unique=True))
def test_all_zeros_of_a_polynomial(places: list[float]) -> None:
    assume(all(abs(a - b) > 0.2 * max(a, b) for a in places for b in places if a != b))
    found = zeros(lambda x: math.prod(x - place for place in places), 0.0, math.inf, 50.0)
    assert found == pytest.approx(sorted(places), rel=1e-9)


def test_a_transcendental_zero() -> None:
    expected = float(mpmath.findroot(lambda x: x + mpmath.sin(x) - 3, 2))
    assert zeros(lambda x: x + math.sin(x) - 3, 0.0, math.inf, 1.0) == [pytest.approx(expected, rel=1e-14)]


def test_a_touching_zero_is_found() -> None:
    assert zeros(lambda x: (x - 41.3) ** 2, 0.0, math.inf, 50.0) == [pytest.approx(41.3, rel=1e-6)]
    assert zeros(lambda x: abs(x - 41.3), 0.0, math.inf, 50.0) == [pytest.approx(41.3, rel=1e-6)]


def test_two_zeros_between_points_of_the_scan_are_found() -> None:
    found = zeros(lambda x: (x - 41.3) * (x - 41.5), 0.0, math.inf, 7.0)
    assert found == pytest.approx([41.3, 41.5], rel=1e-9)


def test_a_pole_is_no_zero() -> None:
    assert zeros(lambda x: 1 / (x - 0.3) if x != 0.3 else math.nan, 0.0, 1.0, 0.5) == []
    assert zeros(math.tan, 0.5, 2.5, 1.0) == []


def test_what_is_undefined_is_passed_over() -> None:
    assert zeros(lambda x: math.sqrt(x - 5) - 2 if x >= 5 else math.nan, 0.0, math.inf, 1.0) == [
        pytest.approx(9.0)
    ]


def test_a_zero_near_the_edge_of_what_is_defined_is_found() -> None:
    found = zeros(lambda x: math.sqrt(21.2 - x) - 0.01 if x <= 21.2 else math.nan, 0.0, math.inf, 50.0)
    assert found == [pytest.approx(21.1999, rel=1e-12)]


def test_elimination_names_what_a_row_follows_from() -> None:
    rows = [
        ({0: 1.0, 1: 1.0}, -3.0),
        ({2: 1.0}, -1.0),
        ({0: 2.0, 1: 2.0}, -6.0),
        ({0: 1.0, 1: 1.0, 2: 1.0}, 0.0),
    ]
    result = eliminate(rows, 3)
    assert result.values is None
    assert [(d.row, d.others) for d in result.dependent] == [(2, (0,)), (3, (0, 1))]
    assert [d.residual for d in result.dependent] == pytest.approx([0.0, 4.0])


X, Y = Unknown("x"), Unknown("y")
SMOOTH = {
    "+": 2, "-": 2, "*": 2, "/": 2, "neg": 1, "sqrt": 1, "sin": 1, "cos": 1, "tan": 1, "asin": 1, "acos": 1,
    "atan": 1, "atan2": 2, "hypot": 2, "abs": 1, "min": 2, "max": 2, "^": 2,
}  # fmt: skip


@pytest.mark.parametrize("op", SMOOTH)
@given(x=st.floats(0.1, 0.9), y=st.floats(0.1, 0.9))
def test_derivatives_against_differences(op: str, x: float, y: float) -> None:
    assume(op not in ("min", "max") or abs(x - y) > 1e-3)
    term = apply(op, *(X, Y)[: SMOOTH[op]])
    value, by_unknown, _ = gradient(term, {"x": x, "y": y})
    assert value == evaluate(term, {"x": x, "y": y})
    for name, point in (("x", x), ("y", y))[: SMOOTH[op]]:
        near = {"x": x, "y": y}
        above = evaluate(term, near | {name: point + 1e-6})
        below = evaluate(term, near | {name: point - 1e-6})
        assert by_unknown[name] == pytest.approx((above - below) / 2e-6, rel=1e-4, abs=1e-6)


def test_every_operation_is_known_to_the_derivatives() -> None:
    assert set(SMOOTH) | {"round_to"} == set(OPERATIONS)


@given(st.sampled_from(sorted(set(SMOOTH) - {"min", "max", "atan2"})), st.floats(0.1, 0.9), st.floats(1.1, 3))
def test_an_operation_turned_round_gives_its_argument_back(op: str, x: float, y: float) -> None:
    term = apply(op, *(X, Constant(y))[: SMOOTH[op]])
    result = Unknown("r")
    branches = isolate(result, term, "x")
    assert branches is not None
    values = {"r": evaluate(term, {"x": x})}
    assert any(abs(evaluate(branch, values) - x) < 1e-9 for branch in branches)


def test_sums_are_read_as_sums() -> None:
    stated = Stated(5.0, None, None, False)
    term = subtract(multiply(Constant(2.0), add(X, stated)), negate(multiply(Y, apply("sin", Unknown("a")))))
    assert affine(term, X, {"a": math.pi / 2}) == ({"x": 1.0, "y": 1.0}, 10.0)
    assert affine(term, X, {}) is None
    assert affine(multiply(X, X), Y, {}) is None
    assert unknowns_of(term, Forward("f", ("z", "x"), lambda _: 0.0)) == ("x", "y", "a", "z")


def test_constants_fold_and_nought_is_left_out() -> None:
    assert add(Constant(2.0), Constant(3.0)) == Constant(5.0)
    assert add(X, Constant(0.0)) == X
    assert multiply(Constant(1.0), X) == X
    assert apply("/", Constant(1.0), Constant(0.0)) == ("/", (Constant(1.0), Constant(0.0)))
    assert math.isnan(evaluate(apply("sqrt", X), {"x": -1.0}))


@pytest.mark.parametrize(
    ("value", "step", "expected"), [(7.4, 5.0, 5.0), (7.5, 5.0, 10.0), (-7.5, 5.0, -10.0), (0.3, 0.1, 0.3)]
)
def test_round_to_takes_ties_away_from_nought(value: float, step: float, expected: float) -> None:
    assert evaluate(apply("round_to", X, Constant(step)), {"x": value}) == pytest.approx(expected)


def test_brackets_only_where_they_are_needed() -> None:
    def named(term: object) -> str:
        return getattr(term, "name", "")

    assert words(subtract(X, subtract(Y, X)), named) == "x - (y - x)"
    assert words(add(X, subtract(Y, X)), named) == "x + y - x"
    assert words(apply("/", add(X, Y), Constant(2.0)), named) == "(x + y) / 2"
    assert words(apply("^", negate(X), Constant(2.0)), named) == "(-x) ^ 2"
    assert words(multiply(X, apply("tan", apply("/", X, multiply(X, Y)))), named) == "x * tan(x / (x * y))"
