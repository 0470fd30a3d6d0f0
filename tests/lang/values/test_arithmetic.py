"""Dimensions in sums, products and functions."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from ringwright.lang.solve.algebra import evaluate
from ringwright.lang.solve.terms import Constant, Stated, Unknown
from ringwright.lang.units import ANGLE, AREA, LENGTH, MASS, NUMBER
from ringwright.lang.values.arithmetic import Mismatch, a, call, negate, operate, with_unit
from ringwright.lang.values.value import Amount

DIMENSIONS = st.sampled_from([LENGTH, ANGLE, MASS, AREA, NUMBER])
VALUES = st.floats(0.01, 100)
AMOUNTS = st.builds(lambda value, dimension: Amount(Constant(value), dimension), VALUES, DIMENSIONS)


def number(amount: Amount) -> float:
    return evaluate(amount.term, {})


@given(AMOUNTS, AMOUNTS)
def test_sums_want_one_dimension_and_keep_it(left, right):
    if left.dimension != right.dimension:
        with pytest.raises(Mismatch):
            operate("+", left, right)
        return
    assert operate("+", left, right).dimension == left.dimension
    assert number(operate("-", operate("+", left, right), right)) == pytest.approx(number(left))


@given(AMOUNTS, AMOUNTS)
def test_products_undo_quotients(left, right):
    product = operate("*", left, right)
    back = operate("/", product, right)
    assert number(back) == pytest.approx(number(left))
    if ANGLE not in (left.dimension, right.dimension):
        assert back.dimension == left.dimension


@given(VALUES, VALUES)
def test_an_angle_is_a_plain_number_in_products_only(radius, angle):
    arc = operate("*", Amount(Constant(radius), LENGTH), Amount(Constant(angle), ANGLE))
    assert arc.dimension == LENGTH
    assert operate("*", Amount(Constant(2.0), NUMBER), Amount(Constant(angle), ANGLE)).dimension == ANGLE
    assert operate("/", Amount(Constant(angle), ANGLE), Amount(Constant(2.0), NUMBER)).dimension == ANGLE
    assert operate("/", Amount(Constant(angle), ANGLE), Amount(Constant(2.0), ANGLE)).dimension == NUMBER


@given(AMOUNTS)
def test_roots_and_powers_of_dimensions(amount):
    squared = operate("*", amount, amount)
    if amount.dimension != ANGLE:
        assert call("sqrt", (squared,)).dimension == amount.dimension
    assert number(call("sqrt", (squared,))) == pytest.approx(number(amount))
    if amount.dimension == LENGTH:
        assert operate("^", amount, Amount(Constant(2.0), NUMBER)).dimension == AREA


def test_a_power_is_a_known_number():
    with pytest.raises(Mismatch):
        operate("^", Amount(Constant(2.0), LENGTH), Amount(Unknown("n"), NUMBER))


def test_a_minus_sign_keeps_how_well_it_was_measured():
    turned = negate(Amount(Stated(3.0, 0.5, None, True), LENGTH))
    assert turned.term == Stated(-3.0, 0.5, None, True)


def test_a_unit_is_given_to_bare_numbers_only():
    assert number(with_unit(Amount(Constant(3.0), NUMBER), 25.4, LENGTH)) == pytest.approx(76.2)
    assert with_unit(Amount(Constant(3.0), MASS), 25.4, LENGTH) == Amount(Constant(3.0), MASS)
    assert with_unit(Amount(Stated(3.0, 0.1, None, False), NUMBER), 10.0, LENGTH).term == Stated(
        30.0, 1.0, None, False
    )


@pytest.mark.parametrize(
    ("dimension", "words"),
    [(LENGTH, "a length"), (ANGLE, "an angle"), (AREA, "an area"), (NUMBER, "a bare number")],
)
def test_dimensions_have_names_with_articles(dimension, words):
    assert a(dimension) == words
