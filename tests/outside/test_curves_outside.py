"""Curves through points against scipy's: CubicSpline (periodic and not-a-knot) and Akima1DInterpolator;
lengths by quad.
"""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from ringwright.geometry import outline, path
from ringwright.geometry.curve import curve_area, curve_at, fair_line, line_at, spline, through
from scipy.integrate import quad
from scipy.interpolate import Akima1DInterpolator, CubicSpline
from scipy.special import ellipe


@st.composite
def points(draw: st.DrawFn) -> list[tuple[float, float]]:
    count = draw(st.integers(min_value=4, max_value=14))
    reach = draw(st.lists(st.floats(min_value=30, max_value=90), min_size=count, max_size=count))
    return [
        (r * math.cos(2 * math.pi * i / count), r * math.sin(2 * math.pi * i / count))
        for i, r in enumerate(reach)
    ]


@given(points(), st.sampled_from(["periodic", "not-a-knot"]))
def test_splines(through_points: list[tuple[float, float]], ends: str) -> None:
    """scipy.interpolate.CubicSpline on the same chord lengths."""
    curve = spline(through_points, ends == "periodic")
    oracle = CubicSpline(curve.knots, np.array(curve.points), bc_type=ends)
    for knot in np.linspace(0, curve.knots[-1], 57):
        at, slope = curve_at(curve, float(knot))
        assert at == pytest.approx(tuple(oracle(knot)), abs=1e-9)
        assert slope == pytest.approx(tuple(oracle(knot, 1)), abs=1e-9)
    assert [list(bend) for bend in curve.bends] == pytest.approx(oracle(curve.knots, 2), abs=1e-9)


@given(points())
def test_area_and_length_of_a_closed_spline(through_points: list[tuple[float, float]]) -> None:
    """scipy.integrate.quad over CubicSpline; the drawn arcs lie within 0.002 mm, their length within 1e-4 of
    it.
    """
    curve = spline(through_points, True)
    oracle = CubicSpline(curve.knots, np.array(curve.points), bc_type="periodic")
    area = length = 0.0
    for a, b in zip(curve.knots, curve.knots[1:], strict=False):
        area += quad(lambda t: oracle(t)[0] * oracle(t, 1)[1], a, b)[0]
        length += quad(lambda t: math.hypot(*oracle(t, 1)), a, b)[0]
    assert curve_area(curve) == pytest.approx(area, rel=1e-9)
    assert path.length(through(through_points, True)) == pytest.approx(length, rel=1e-4)


@given(
    st.lists(st.floats(min_value=5, max_value=60), min_size=5, max_size=12),
    st.integers(min_value=0, max_value=5),
)
def test_lines_by_akima(values: list[float], uneven: int) -> None:
    """scipy.interpolate.Akima1DInterpolator; where chords on both sides are equal both take a mean, of
    different pairs.
    """
    places = [40.0 * i + uneven * (i % 3) for i in range(len(values))]
    values = [value + 0.37 * (i % 2) + 0.11 * (i % 5) + 0.013 * i * i for i, value in enumerate(values)]
    line = fair_line(places, values)
    oracle = Akima1DInterpolator(places, values)
    for x in np.linspace(0, places[-1], 41):
        assert line_at(line, float(x))[0] == pytest.approx(float(oracle(x)), abs=1e-6)


@pytest.mark.parametrize("count", [3, 4])
def test_short_lines(count: int) -> None:
    """scipy.interpolate.CubicSpline, not-a-knot."""
    places, values = [0.0, 118.0, 200.0, 310.0][:count], [44.0, 51.0, 50.0, 42.0][:count]
    line, oracle = fair_line(places, values), CubicSpline(places, values)
    for x in np.linspace(0, places[-1], 23):
        assert line_at(line, float(x))[0] == pytest.approx(float(oracle(x)), abs=1e-9)
        assert line_at(line, float(x))[1] == pytest.approx(float(oracle(x, 1)), abs=1e-9)


@given(st.floats(min_value=40, max_value=200), st.floats(min_value=0.4, max_value=0.95))
def test_ellipse_length(wide: float, share: float) -> None:
    """scipy.special.ellipe: perimeter 4 a E(1 - b²/a²)."""
    exact = 2 * wide * ellipe(1 - share**2)
    oval = outline.ellipse(wide, wide * share)
    assert path.length(oval) == pytest.approx(exact, rel=2e-5)
    assert path.signed_area(oval) == pytest.approx(math.pi / 4 * wide * wide * share, rel=2e-4)
