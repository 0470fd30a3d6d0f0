"""Units, dimensions, and quantities as people read them."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from ringwright.geometry.errors import GeometryError
from ringwright.lang.units import (
    ANGLE,
    AREA,
    AREAL_MASS,
    DENSITY,
    LENGTH,
    LINEAR_MASS,
    MASS,
    NUMBER,
    UNITS,
    VOLUME,
    Dimension,
    Unit,
    display,
    divide,
    find_unit,
    money,
    multiply,
    name,
    on_sheet,
    power,
)

WRITTEN = (
    "mm cm m in ft deg ° rad g kg oz lb mm2 cm2 dm2 m2 in2 ft2 g/m2 g/dm2 kg/m2 oz/in2 oz/ft2 oz/yd2 "
    "g/m g/cm kg/m3 g/cm3 lb/ft3 %"
)


def test_the_table_holds_the_units_of_the_language() -> None:
    assert sorted(UNITS) == sorted(WRITTEN.split())
    assert all(unit.name == key and unit.factor > 0 for key, unit in UNITS.items())


@pytest.mark.parametrize("written", [name for name in WRITTEN.split() if name[-1] in "23"])
def test_powers_and_quotients_follow_from_their_parts(written: str) -> None:
    over, _, under = written.rpartition("/")
    below = UNITS.get(under[:-1]) or Unit(under, LENGTH, {"dm": 100.0, "yd": 914.4}[under[:-1]])
    exponent = int(under[-1])
    factor, dimension = below.factor**exponent, power(below.dimension, exponent)
    if over:
        factor, dimension = UNITS[over].factor / factor, divide(UNITS[over].dimension, dimension)
    assert UNITS[written].factor == pytest.approx(factor, rel=1e-15)
    assert UNITS[written].dimension == dimension


def test_money_is_any_three_capitals() -> None:
    assert find_unit("EUR") == ("EUR", money("EUR"), 1.0)
    assert find_unit("mm") is UNITS["mm"]
    for word in ("eur", "EURO", "EU", "ÄÖÜ", "E1R", "mmm", ""):
        assert find_unit(word) is None


def test_dimensions_have_the_trades_names() -> None:
    named = [NUMBER, LENGTH, AREA, VOLUME, ANGLE, MASS, LINEAR_MASS, AREAL_MASS, DENSITY, money("EUR")]
    assert [name(dimension) for dimension in named] == [
        *("number", "length", "area", "volume", "angle", "mass", "mass per length", "areal mass", "density"),
        "money in EUR",
    ]
    assert name(multiply(VOLUME, MASS)) == "mm^3·g"
    assert name(divide(money("EUR"), AREA)) == "mm^-2·EUR"
    assert name(power(LENGTH, 0.5)) == "mm^0.5"


def test_products_and_quotients() -> None:
    assert multiply(LENGTH, LENGTH) == AREA
    assert divide(MASS, AREA) == AREAL_MASS
    assert multiply(AREAL_MASS, AREA) == MASS
    assert power(VOLUME, 1 / 3) == LENGTH
    assert power(AREA, 0.5) == LENGTH
    assert divide(money("EUR"), money("EUR")) == NUMBER
    assert multiply(money("EUR"), NUMBER) == money("EUR")
    assert multiply(money("EUR"), money("USD")) != multiply(money("EUR"), money("EUR"))
    assert divide(money("EUR"), money("USD")) != NUMBER


DIMENSIONS = st.tuples(*[st.integers(-4, 4)] * 3).map(lambda powers: Dimension(*powers))


@given(DIMENSIONS, DIMENSIONS)
def test_a_quotient_undoes_a_product(one: Dimension, other: Dimension) -> None:
    assert divide(multiply(one, other), other) == one
    assert multiply(one, other) == multiply(other, one)
    assert multiply(one, one) == power(one, 2)
    assert name(one)


@pytest.mark.parametrize(
    ("value", "dimension", "text"),
    [
        (30.6, LENGTH, "30.6 mm"),
        (30.0, LENGTH, "30 mm"),
        (1 / 3, LENGTH, "0.333 mm"),
        (-0.0004, LENGTH, "0 mm"),
        (2.0005, LENGTH, "2.001 mm"),
        (-2.0005, LENGTH, "-2.001 mm"),
        (0.1 + 0.2, LENGTH, "0.3 mm"),
        (math.radians(25.3125), ANGLE, "25.313°"),
        (math.pi / 2, ANGLE, "90°"),
        (34.2, MASS, "34.2 g"),
        (1234.567, MASS, "1234.57 g"),
        (12345.0, AREA, "123.45 cm2"),
        (80e-6, AREAL_MASS, "80 g/m2"),
        (0.16e-3, DENSITY, "160 kg/m3"),
        (0.012, LINEAR_MASS, "12 g/m"),
        (1500.0, VOLUME, "1.5 cm3"),
        (0.305, NUMBER, "0.305"),
        (2.4, money("EUR"), "2.40 EUR"),
        (3.0, Dimension(length=4), "3 mm^4"),
    ],
)
def test_quantities_as_people_read_them(value: float, dimension: Dimension, text: str) -> None:
    assert display(value, dimension) == text


@pytest.mark.parametrize(
    ("value", "fraction", "text"),
    [
        (25.4, 16, "1 in"),
        (30.1625, 16, "1 3/16 in"),
        (4.7625, 16, "3/16 in"),
        (-4.7625, 16, "-3/16 in"),
        (0.0, 16, "0 in"),
        (-1e-12, 16, "0 in"),
        (-0.1, 16, "-0.0039 in"),
        (25.4 / 32, 16, "0.0313 in"),
        (0.015 * 25.4, 32, "0.015 in"),
        (0.02 * 25.4, 32, "0.02 in"),
        (25.4 * 3 / 32, 32, "3/32 in"),
        (25.4 * 31.99, 8, "32 in"),
        (25.4 * 12.5, 64, "12 1/2 in"),
        (30.1625, None, "1.1875 in"),
        (1.0, None, "0.0394 in"),
    ],
)
def test_inches(value: float, fraction: int | None, text: str) -> None:
    assert display(value, LENGTH, "in", fraction) == text


@pytest.mark.parametrize(
    ("value", "system", "fraction", "text"),
    [
        (2.2, "mm", None, "2.2 mm"),
        (2.25, "mm", 32, "2.3 mm"),
        (6.0, "in", None, "0.236 in"),
        (6.0, "in", 32, "0.236 in"),
        (8.0, "in", 32, "5/16 in"),
        (25.4 / 8 + 0.3, "in", 32, "0.137 in"),
        (0.2, "in", 32, "0.008 in"),
        (30.1625, "in", 16, "1 3/16 in"),
    ],
)
def test_lengths_on_parts(value: float, system: str, fraction: int | None, text: str) -> None:
    assert on_sheet(value, system, fraction) == text


@given(st.floats(0.01, 1e4), st.sampled_from([None, 8, 16, 32, 64]))
def test_no_length_is_lettered_as_nothing(value: float, fraction: int | None) -> None:
    said = on_sheet(value, "in", fraction)
    inches = sum(
        float(over) / float(under or 1) for over, _, under in (w.partition("/") for w in said.split()[:-1])
    )
    assert inches * 25.4 == pytest.approx(value, rel=0.1, abs=0.0005 * 25.4)


def test_the_system_changes_lengths_and_areas_only() -> None:
    assert display(25.4**2, AREA, "in") == "1 in2"
    assert display(10.0, MASS, "in", 16) == "10 g"
    assert display(math.pi, ANGLE, "in", 16) == "180°"


def test_what_is_not_finite_is_not_shown() -> None:
    for value in (math.nan, math.inf):
        with pytest.raises(GeometryError):
            display(value, LENGTH)


@given(st.floats(-1e6, 1e6), st.sampled_from([2, 4, 8, 16, 32, 64]))
def test_a_fraction_is_within_half_a_step(value: float, fraction: int) -> None:
    shown = display(value, LENGTH, "in", fraction).removesuffix(" in")
    negative = shown.startswith("-")
    inches = 0.0
    for part in shown.removeprefix("-").split():
        over, _, under = part.partition("/")
        inches += float(over) / int(under or 1)
    assert abs((-inches if negative else inches) * 25.4 - value) <= 25.4 / fraction / 2 + 1e-6
