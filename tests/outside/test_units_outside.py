"""Unit factors against values from outside the project."""

import pytest
from ringwright.lang.units import UNITS

# NIST SP 811 (2008), appendix B.8; international yard and pound agreement of 1959: one unit in SI units.
NIST = [
    ("in", 25.4, "mm"),
    ("ft", 304.8, "mm"),
    ("oz", 28.349523125, "g"),
    ("lb", 453.59237, "g"),
    ("oz/yd2", 33.9057474748823, "g/m2"),
    ("lb/ft3", 16.01846337396015, "kg/m3"),
    ("ft2", 0.09290304, "m2"),
    ("g/cm3", 1000.0, "kg/m3"),
    ("deg", 0.017453292519943295, "rad"),
]


@pytest.mark.parametrize(("unit", "value", "si"), NIST)
def test_factors_against_nist_sp_811(unit: str, value: float, si: str) -> None:
    assert UNITS[unit].dimension == UNITS[si].dimension
    assert UNITS[unit].factor / UNITS[si].factor == pytest.approx(value, rel=1e-12)


def test_three_sixteenths_of_an_inch() -> None:
    """Arithmetic on the inch of 1959: 3/16 in is 4.7625 mm."""
    assert 3 / 16 * UNITS["in"].factor == pytest.approx(4.7625, rel=1e-15)


@pytest.mark.parametrize("unit", sorted(UNITS))
def test_factors_against_pint(unit: str) -> None:
    """The registry of units of the pint library, which takes its values from CODATA and NIST."""
    pint = pytest.importorskip("pint")
    registry = pint.UnitRegistry()
    words = {"°": "degree", "%": "percent", "deg": "degree", "rad": "radian", "in": "inch", "ft": "foot"}
    over, _, under = unit.partition("/")

    def parsed(text: str) -> str:
        if text in words:
            return words[text]
        base, exponent = (text[:-1], text[-1]) if text[-1:] in "23" else (text, "1")
        return f"{words.get(base, {'yd': 'yard', 'oz': 'ounce', 'lb': 'pound'}.get(base, base))}**{exponent}"

    quantity = registry.Quantity(1.0, parsed(over) + (f"/({parsed(under)})" if under else ""))
    length, mass, angle = UNITS[unit].dimension[:3]
    base = quantity.to(f"mm**{length} * g**{mass} * rad**{angle}")
    assert base.magnitude == pytest.approx(UNITS[unit].factor, rel=1e-12)
