"""Differences of cut parts: what is the same, by how much it is not, and what can be cut from what."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from ringwright.geometry.compare import SAME, Cut, changed, distance, same_line, traces, unmatched
from ringwright.geometry.outline import circle, rect
from ringwright.geometry.path import Path, as_hole, bounds, closed, line, moved, turned

PLATE = rect(80.0, 50.0)
HOLE = as_hole(circle(20.0))


def cut(outline: Path = PLATE, *holes: Path) -> Cut:
    return Cut(outline, tuple(as_hole(hole) for hole in holes))


def test_a_part_is_the_same_however_its_line_is_divided() -> None:
    plain = closed([(0.0, 0.0), (40.0, 0.0), (40.0, 30.0), (0.0, 30.0)])
    more = closed([(0.0, 0.0), (17.0, 0.0), (40.0, 0.0), (40.0, 30.0), (0.0, 30.0), (0.0, 1.0)])
    assert same_line(plain, more)
    halves = Path(((-10.0, 0.0), (10.0, 0.0)), (1.0, 1.0), True)
    quarter = math.tan(math.pi / 8)
    quarters = Path(((-10.0, 0.0), (0.0, -10.0), (10.0, 0.0), (0.0, 10.0)), (quarter,) * 4, True)
    assert same_line(halves, quarters)
    assert changed(cut(plain), cut(more)).same


@pytest.mark.parametrize(("by", "same"), [(0.0009, True), (0.0012, False), (-0.0009, True), (-0.0012, False)])
def test_a_thousandth_is_the_limit(by: float, same: bool) -> None:
    assert changed(cut(circle(100.0)), cut(circle(100.0 + 2 * by))).same == same
    assert changed(cut(PLATE, HOLE), cut(PLATE, moved(HOLE, (by, 0.0)))).same == same
    assert changed(cut(rect(80.0, 50.0)), cut(rect(80.0 + 2 * by, 50.0))).same == same


def test_a_part_that_is_drawn_elsewhere_is_the_same_part() -> None:
    whole = changed(cut(PLATE, HOLE), cut(moved(PLATE, (7.0, -3.0)), moved(HOLE, (7.0, -3.0))))
    assert whole.same
    assert whole.shift == pytest.approx((7.0, -3.0))
    # Its outline alone moved: then the hole is elsewhere in it.
    alone = changed(cut(PLATE, HOLE), cut(moved(PLATE, (7.0, 0.0)), HOLE))
    assert not alone.same
    assert alone.outline == 0
    assert alone.holes == pytest.approx((7.0,), abs=1e-3)
    assert not alone.less


@pytest.mark.parametrize(
    ("new", "outline", "holes", "more", "fewer", "less"),
    [
        (cut(PLATE, circle(24.0)), 0.0, (2.0,), 0, 0, True),
        (cut(PLATE, circle(16.0)), 0.0, (2.0,), 0, 0, False),
        (cut(PLATE, HOLE, moved(circle(4.0), (30.0, 0.0))), 0.0, (), 1, 0, True),
        (cut(PLATE), 0.0, (), 0, 1, False),
        (cut(PLATE, moved(HOLE, (3.0, 4.0))), 0.0, (5.0,), 0, 0, False),
        (cut(rect(78.0, 50.0), HOLE), 1.0, (), 0, 0, True),
        (cut(rect(84.0, 50.0), HOLE), 2.0, (), 0, 0, False),
        (cut(rect(78.0, 52.0), HOLE), 1.0, (), 0, 0, False),
        # Cut down to a piece that has no hole where the old one has its own.
        (cut(rect(70.0, 50.0)), 5.0, (), 0, 1, False),
    ],
)  # fmt: skip
def test_what_changed_and_whether_cutting_makes_it(
    new: Cut, outline: float, holes: tuple[float, ...], more: int, fewer: int, less: bool
) -> None:
    found = changed(cut(PLATE, HOLE), new)
    assert found.outline == pytest.approx(outline, abs=2e-3)
    assert found.holes == pytest.approx(holes, abs=2e-3)
    assert (found.more, found.fewer, found.less) == (more, fewer, less)


def test_a_small_part_can_be_cut_from_the_middle_of_a_large_one() -> None:
    found = changed(cut(rect(80.0, 50.0)), cut(moved(rect(60.0, 40.0), (35.0, 0.0))))
    assert found.less


@given(st.floats(5, 200), st.floats(-3, 3), st.floats(-2, 2))
def test_circles_differ_by_their_radii_and_places(radius: float, wider: float, aside: float) -> None:
    a, b = circle(2 * radius), moved(circle(2 * (radius + wider)), (aside, 0.0))
    assert distance(a, b) == pytest.approx(abs(wider) + abs(aside), abs=2e-3)
    assert distance(a, b) == distance(b, a)


@given(st.floats(0.01, 3), st.floats(-math.pi, math.pi))
def test_a_moved_hole_is_as_far_as_it_moved(far: float, angle: float) -> None:
    there = moved(HOLE, (far * math.cos(angle), far * math.sin(angle)))
    found = changed(cut(PLATE, HOLE), cut(PLATE, there))
    back = changed(cut(PLATE, there), cut(PLATE, HOLE))
    assert found.holes == pytest.approx((far,), abs=1e-3)
    assert back.holes == pytest.approx(found.holes)
    assert not found.less
    assert not back.less


def test_lines_are_found_again_by_what_they_say_and_where_they_are() -> None:
    across, along = line([(0.0, 0.0), (0.0, 9.0)]), line([(0.0, 0.0), (9.0, 0.0)])
    turned_round = line([(0.0, 9.0), (0.0, 0.0)])
    old = (("score 8°", across), ("score 8°", across), ("far cut", along))
    assert unmatched(old, (("score 8°", turned_round), ("far cut", along))) == ((("score 8°", across),), ())
    gone, come = unmatched(old[2:], (("score 8°", along),))
    assert (gone, come) == ((("far cut", along),), (("score 8°", along),))
    assert unmatched(old[2:], (("far cut", moved(along, (2.0, 1.0))),), (2.0, 1.0)) == ((), ())
    assert not same_line(across, closed(across.points))


def test_traces_of_an_old_part_run_inside_the_new_one_and_clear_of_its_cuts() -> None:
    old, new = cut(rect(60.0, 60.0), circle(10.0)), cut(rect(80.0, 50.0), moved(circle(10.0), (2.0, 0.0)))
    found = traces(old, new, (0.0, 0.0))
    assert found
    left, low, right, high = bounds(rect(80.0, 50.0))
    for path in found:
        a, b, c, d = bounds(path)
        assert left < a <= c < right
        assert low < b <= d < high
        for x, y in path.points:
            assert math.hypot(x - 2, y) >= 5 + 0.29
            assert min(abs(abs(x) - 30), abs(abs(y) - 30), abs(math.hypot(x, y) - 5)) < 0.03
    # Both upright sides of the old outline are there, its level ones lie outside; so is most of the old hole.
    assert sum(abs(abs(path.points[0][0]) - 30) < 1e-6 for path in found) == 2
    assert traces(new, new, (0.0, 0.0)) == ()


def test_what_is_turned_is_another_part() -> None:
    assert not changed(cut(PLATE), cut(turned(PLATE, math.radians(3)))).same
    assert SAME == 0.001
