"""Where the mass of a dome of gores lies: against closed forms and against facets in space."""

import math

import pytest
from ringwright.geometry.bow.balance import centre_along
from ringwright.geometry.bow.dome import dome
from ringwright.geometry.bow.profile import straight
from ringwright.geometry.errors import GeometryError


@pytest.mark.parametrize("count", [3, 8, 40])
def test_a_thin_hemisphere_balances_half_its_radius_above_the_rim(count):
    """x = R sin t, w ~ R cos t, ds = R dt: ∫ sin cos / ∫ cos = 1/2."""
    assert centre_along(dome(100, 50), count, "middles", 0.0, 0.5) == pytest.approx(25.0, abs=1e-9)


def test_a_thin_pyramid_balances_a_third_up():
    profile = straight([(0, 40), (90, 0)])
    for fit in ("middles", "corners", "balanced"):
        assert centre_along(profile, 6, fit, 0.0, 1.0) == pytest.approx(30.0, abs=1e-9)


def test_a_thick_pyramid_against_its_facets():
    """Six trapezia moved in by half the thickness, cut where the outer faces end: sheet keeps its drawn widths."""
    high, radius, thick = 90.0, 40.0, 5.0
    slant = math.hypot(high, radius)
    inward = thick / 2 * radius / slant  # towards the rim along the axis, on a face that narrows
    assert centre_along(straight([(0, radius), (high, 0)]), 6, "middles", thick, 1.0) == pytest.approx(
        30.0 - inward, abs=1e-9
    )


def test_an_ellipsoid_against_many_flat_strips():
    profile, count, steps = dome(120, 35), 12, 20_000
    moment = area = 0.0
    for step in range(steps):
        angle = (step + 0.5) * math.pi / 2 / steps
        x, r = 35 * math.sin(angle), 60 * math.cos(angle)
        strip = r * math.hypot(35 * math.cos(angle), 60 * math.sin(angle))
        moment, area = moment + x * strip, area + strip
    assert centre_along(profile, count, "middles", 0.0, 1.0) == pytest.approx(moment / area, abs=1e-3)


def test_a_sheet_thicker_than_its_dome_leaves_nothing():
    with pytest.raises(GeometryError) as refused:
        centre_along(dome(8, 4), 6, "middles", 20.0, 0.0)
    assert refused.value.code == "wall-too-thick"
