"""Straight runs that a smooth line cannot keep."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from ringwright.geometry import curve, path
from ringwright.geometry.takeoff.straight import IN_LINE, LEAST, bulges


def racetrack(radius: float, half: float, steps: int) -> list[tuple[float, float]]:
    """Two half circles of so many steps, a straight run with a point in its middle on either side."""
    right = [math.pi * k / steps - math.pi / 2 for k in range(steps + 1)]
    left = [angle + math.pi for angle in right]
    return [
        *((half + radius * math.cos(a), radius * math.sin(a)) for a in right),
        (0.0, radius),
        *((radius * math.cos(a) - half, radius * math.sin(a)) for a in left),
        (0.0, -radius),
    ]


@given(st.floats(25, 80), st.floats(20, 60), st.integers(3, 9))
def test_what_is_said_is_how_far_the_drawn_line_leaves_the_straight(
    radius: float, half: float, steps: int
) -> None:
    points = racetrack(radius, half, steps)
    flat = path.flattened(curve.through(points), 0.001)
    out = max(abs(y) for x, y in flat if abs(x) <= half)
    low = min((abs(y) for x, y in flat if abs(x) <= half), default=radius)
    by = max(out - radius, radius - low)
    found = bulges(points)
    if by >= LEAST + 0.01:
        assert len(found) == 2
        assert found[0].by == pytest.approx(by, rel=0.01)
        ends = {found[0].first, found[0].last, found[1].first, found[1].last}
        assert {(round(abs(x), 9), round(abs(y), 9)) for x, y in ends} == {(round(half, 9), round(radius, 9))}
    if by < LEAST - 0.01:
        assert not found


@given(st.floats(25, 80), st.floats(20, 60), st.integers(3, 9))
def test_corners_at_its_ends_make_it_straight(radius: float, half: float, steps: int) -> None:
    points = racetrack(radius, half, steps)
    ends = [i for i, (x, y) in enumerate(points) if math.dist((abs(x), abs(y)), (half, radius)) < 1e-9]
    assert len(ends) == 4
    assert bulges(points, True, ends) == ()


@given(st.floats(5, 200), st.integers(8, 60))
def test_circles_have_no_straight_runs(radius: float, count: int) -> None:
    angles = [2 * math.pi * k / count for k in range(count)]
    assert bulges([(radius * math.cos(a), radius * math.sin(a)) for a in angles]) == ()


def test_the_middle_of_an_s_is_no_straight_run() -> None:
    wave = [(30 * k, 12 * math.sin(k * math.pi / 2)) for k in range(9)]
    assert bulges(wave, closed=False) == ()


def test_what_is_not_quite_in_line_is_left_alone() -> None:
    points = [(0, 60), (40, 45), (50, 20), (50 + 3 * IN_LINE, 0), (50, -30), (0, -50), (-40, -30), (-45, 20)]
    assert bulges(points) == ()
    points[3] = (50, 0)
    (found,) = bulges(points)
    assert (found.first, found.last) == ((50, 20), (50, -30))


def test_a_run_may_pass_the_first_point_of_the_list() -> None:
    points = racetrack(40, 30, 4)
    for turn in range(len(points)):
        assert len(bulges(points[turn:] + points[:turn])) == 2
