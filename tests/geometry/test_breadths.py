"""Sections from half breadths and heights."""

import math

import pytest
from ringwright.geometry.breadths import Sizes, section_outline
from ringwright.geometry.errors import GeometryError
from ringwright.geometry.path import bounds, signed_area


def test_a_box_is_as_wide_at_its_bottom_as_is_said():
    straight = section_outline("box", Sizes(40, 50, -30))
    assert signed_area(straight) == pytest.approx(80 * 80)
    leaning = section_outline("box", Sizes(40, 50, -30, 20))
    assert signed_area(leaning) == pytest.approx((80 + 40) / 2 * 80)
    assert bounds(leaning) == pytest.approx((-40, -30, 40, 50))


@pytest.mark.parametrize(
    ("sizes", "width", "height", "middle"),
    [
        (Sizes(30), 60, 60, 0),
        (Sizes(None, 50, -10), 60, 60, 20),
        (Sizes(25, 50, -10), 50, 60, 20),
    ],
)
def test_round_is_an_ellipse_or_a_circle(sizes, width, height, middle):
    drawn = section_outline("round", sizes)
    assert signed_area(drawn) == pytest.approx(math.pi / 4 * width * height, rel=1e-4)
    assert bounds(drawn) == pytest.approx((-width / 2, middle - height / 2, width / 2, middle + height / 2))


def test_an_oval_is_fuller_than_an_ellipse_and_less_so_than_its_box():
    def area(power):
        # Area of a superellipse of half axes 30 and 40, in closed form.
        gamma = math.gamma
        return 4 * 30 * 40 * gamma(1 + 1 / power) ** 2 / gamma(1 + 2 / power)

    sizes = Sizes(30, 45, -35)
    assert signed_area(section_outline("oval", sizes)) == pytest.approx(area(2.5), rel=1e-4)
    assert signed_area(section_outline("oval", sizes, 4)) == pytest.approx(area(4), rel=1e-4)


def test_a_curve_passes_its_points_from_the_top_down_whatever_their_order():
    points = ((45.0, -10.0), (38.0, 40.0))
    drawn = section_outline("curve", Sizes(None, 60, -50, None, points))
    assert drawn == section_outline("curve", Sizes(None, 60, -50, None, points[::-1]))
    for y, z in points:
        assert min(math.dist((y, z), at) for at in drawn.points) < 1e-6


def test_a_curve_with_a_half_bottom_is_flat_below():
    drawn = section_outline("curve", Sizes(40, 60, -50, 25))
    assert {(-25.0, -50.0), (25.0, -50.0)} <= {(round(x, 6), round(y, 6)) for x, y in drawn.points}
    assert bounds(drawn)[1] == pytest.approx(-50)


@pytest.mark.parametrize(
    ("shape", "sizes", "code"),
    [
        ("box", Sizes(40, 50), "missing-size"),
        ("round", Sizes(None, None, 3), "missing-size"),
        ("curve", Sizes(40, 50), "missing-size"),
        ("box", Sizes(40, -50, 50), "no-size"),
        ("box", Sizes(0, 50, -50), "no-size"),
        ("oval", Sizes(0, 50, -50), "no-size"),
        ("curve", Sizes(0, 5, 5), "no-size"),
    ],
)
def test_what_cannot_be_drawn_is_refused(shape, sizes, code):
    with pytest.raises(GeometryError) as refused:
        section_outline(shape, sizes)
    assert refused.value.code == code
