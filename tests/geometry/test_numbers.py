import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from ringwright.geometry.errors import GeometryError
from ringwright.geometry.numbers import ceil_safe, finite, fixed, rounded, same, short, snap, total

values = st.floats(min_value=-1e6, max_value=1e6, allow_nan=False)
places = st.integers(min_value=0, max_value=9)


@pytest.mark.parametrize(
    ("value", "decimals", "text"),
    [
        (2.0005, 3, "2.001"),
        (2.0004999999999997, 3, "2.001"),
        (-2.0005, 3, "-2.001"),
        (-0.0004, 3, "0.000"),
        (0.5, 0, "1"),
        (-0.5, 0, "-1"),
        (12.0, 2, "12.00"),
        (1e-12, 9, "0.000000000"),
        (1234567.25, 1, "1234567.3"),
    ],
)
def test_fixed(value: float, decimals: int, text: str) -> None:
    assert fixed(value, decimals) == text


@pytest.mark.parametrize(
    ("value", "text"),
    [(12.0, "12"), (12.5, "12.5"), (12.345, "12.35"), (-0.001, "0"), (100.0, "100"), (0.1, "0.1")],
)
def test_short_drops_zeros(value: float, text: str) -> None:
    assert short(value, 2) == text


@given(values, places)
def test_what_is_printed_reads_back_as_itself(value: float, decimals: int) -> None:
    for printed in (fixed(value, decimals), short(value, decimals)):
        assert float(printed) == rounded(value, decimals)
        assert "e" not in printed
        assert printed not in ("-0", "-0.0")
    assert fixed(float(fixed(value, decimals)), decimals) == fixed(value, decimals)


@given(values, places)
def test_mirrored_values_print_mirrored(value: float, decimals: int) -> None:
    assert rounded(-value, decimals) == -rounded(value, decimals)


@given(st.integers(min_value=1, max_value=640))
def test_inch_fractions_by_four_routes_print_alike(n: int) -> None:
    routes = [n * 25.4 / 64, n / 64 * 25.4, n * 0.396875, math.fsum([25.4 / 64] * n)]
    assert len({fixed(value, 3) for value in routes}) == 1


def test_noise_does_not_tip_a_count() -> None:
    assert ceil_safe(3 + 1e-12) == 3
    assert ceil_safe(3 + 1e-6) == 4
    assert snap(0.1 + 0.2) == 0.3
    assert same(0.1 + 0.2, 0.3, 0.0)
    assert not same(1.0, 1.1, 0.01)


def test_sums_do_not_depend_on_order() -> None:
    terms = [0.1] * 10 + [1e9, -1e9]
    assert total(terms) == total(reversed(terms)) == 1.0


@pytest.mark.parametrize("bad", [math.nan, math.inf, -math.inf])
def test_what_is_no_number_is_an_error(bad: float) -> None:
    with pytest.raises(GeometryError) as caught:
        finite(bad, "the slant")
    assert caught.value.code == "not-finite"
    assert "the slant" in str(caught.value)
    with pytest.raises(GeometryError):
        fixed(bad, 3)
