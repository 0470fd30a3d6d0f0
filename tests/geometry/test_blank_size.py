"""The smallest rectangle round an outline, against a general library and by what must not change it."""

import math

import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from ringwright.geometry.blank_size import blank_size
from ringwright.geometry.outline import circle
from ringwright.geometry.path import closed, turned

POINTS = st.lists(
    st.tuples(st.integers(-300, 300), st.integers(-300, 300)), min_size=3, max_size=12, unique=True
).filter(lambda points: shapely.MultiPoint(points).convex_hull.area > 50)


@given(POINTS)
def test_it_is_as_small_as_that_of_shapely(points) -> None:
    width, height = blank_size(closed(points), turns=True)
    assert width >= height > 0
    other = shapely.MultiPoint(points).minimum_rotated_rectangle.area
    assert width * height == pytest.approx(other, rel=1e-6)


@given(POINTS, st.floats(0, 2 * math.pi))
def test_turning_the_part_changes_nothing(points, angle) -> None:
    path = closed(points)
    one, other = (blank_size(each, turns=True) for each in (path, turned(path, angle)))
    assert one[0] * one[1] == pytest.approx(other[0] * other[1], rel=1e-5)


def test_a_disc_needs_a_square() -> None:
    assert blank_size(circle(100.0), turns=True) == pytest.approx((100.0, 100.0), abs=0.05)


def test_grain_keeps_it_as_drawn() -> None:
    askew = turned(closed([(0, 0), (100, 0), (100, 10), (0, 10)]), math.radians(45))
    assert blank_size(askew, turns=True) == pytest.approx((100, 10))
    assert blank_size(askew, turns=False) == pytest.approx((110 / math.sqrt(2),) * 2)
