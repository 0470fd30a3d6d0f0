import math
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st
from ringwright.geometry import path
from ringwright.geometry.curve import (
    TOLERANCE,
    curve_area,
    curve_at,
    fair_line,
    line_at,
    spline,
    thinned,
    through,
)
from ringwright.geometry.errors import GeometryError
from ringwright.geometry.meet import distance_to

HALF = [(0, 60), (30, 48), (44, 10), (36, -35), (0, -52), (-36, -35), (-44, 10), (-30, 48)]


@st.composite
def rings(draw: st.DrawFn) -> list[tuple[float, float]]:
    count = draw(st.integers(min_value=4, max_value=12))
    reach = draw(st.lists(st.floats(min_value=40, max_value=70), min_size=count, max_size=count))
    return [
        (r * math.cos(2 * math.pi * i / count), r * math.sin(2 * math.pi * i / count))
        for i, r in enumerate(reach)
    ]


@given(rings(), st.booleans())
def test_a_spline_passes_its_points_smoothly(points: list[tuple[float, float]], closed: bool) -> None:
    curve = spline(points, closed)
    for knot, point in zip(curve.knots, curve.points, strict=True):
        assert curve_at(curve, knot)[0] == pytest.approx(point, abs=1e-9)
    for knot in curve.knots[1:-1]:
        before, after = curve_at(curve, knot - 1e-7)[1], curve_at(curve, knot + 1e-7)[1]
        assert before == pytest.approx(after, abs=1e-6)
    if closed:
        assert curve_at(curve, 0)[1] == pytest.approx(curve_at(curve, curve.knots[-1])[1], abs=1e-9)


@given(rings())
def test_the_drawn_arcs_keep_to_the_spline(points: list[tuple[float, float]]) -> None:
    curve = spline(points, True)
    drawn = through(points, True)
    pieces = list(path.pieces(drawn))
    for k in range(100):
        at, _ = curve_at(curve, curve.knots[-1] * k / 100)
        assert min(distance_to(piece, at) for piece in pieces) <= 2 * TOLERANCE
    assert path.signed_area(drawn) == pytest.approx(curve_area(curve), abs=TOLERANCE * path.length(drawn))
    for before, after in zip(pieces, pieces[1:] + pieces[:1], strict=True):
        assert path.piece_point(before, 1)[1] == pytest.approx(path.piece_point(after, 0)[1], abs=1e-9)


@given(rings(), st.floats(min_value=-3, max_value=3), st.floats(min_value=-100, max_value=100))
def test_turning_the_points_turns_the_curve(
    points: list[tuple[float, float]], angle: float, shift: float
) -> None:
    there = path.moved(path.turned(path.line(points), angle), (shift, 2 * shift)).points
    assert curve_area(spline(there, True)) == pytest.approx(curve_area(spline(points, True)), rel=1e-9)


def test_mirrored_points_give_a_mirrored_curve() -> None:
    drawn = through(HALF, True)
    other = path.mirrored(drawn)
    pieces = list(path.pieces(other))
    assert max(min(distance_to(piece, point) for piece in pieces) for point in drawn.points) < 1e-9


def test_a_corner_breaks_the_curve_and_two_make_a_straight_piece() -> None:
    drawn = through([(-20, -30), (20, -30), (30, 10), (0, 40), (-30, 10)], True, [0, 1])
    first, second = list(path.pieces(drawn))[:2]
    assert first[2] == 0
    assert path.piece_point(second, 0)[1][1] > 0.1
    assert drawn.closed


def test_three_open_points_make_a_parabola_and_two_a_line() -> None:
    bow = spline([(0, 0), (3, 4), (6, 0)], False)
    assert curve_at(bow, 5.0)[0] == pytest.approx((3, 4))
    assert curve_at(bow, 2.5)[0] == pytest.approx((1.5, 3))
    assert curve_at(spline([(0, 0), (3, 4)], False), 2.5)[0] == pytest.approx((1.5, 2))


@pytest.mark.parametrize(
    ("points", "closed"), [([(0, 0), (1, 1)], True), ([(0, 0)], False), ([(0, 0)] * 4, True)]
)
def test_too_few_points(points: list[tuple[float, float]], closed: bool) -> None:
    with pytest.raises(GeometryError) as caught:
        spline(points, closed)
    assert caught.value.code == "too-few-points"


def test_repeated_points_do_no_harm() -> None:
    doubled = [p for p in HALF for _ in range(2)]
    assert curve_area(spline(doubled, True)) == curve_area(spline(HALF, True))


def test_a_parallel_body_stays_straight() -> None:
    line = fair_line([0, 60, 120, 180, 240, 300, 400, 500], [30, 48, 55, 55, 55, 55, 47, 30])
    for x in range(125, 300, 5):
        assert line_at(line, x) == pytest.approx((55, 0), abs=1e-12)


@given(
    st.lists(st.floats(min_value=10, max_value=60), min_size=2, max_size=9),
    st.floats(min_value=0, max_value=1),
)
def test_lines_pass_their_stations_and_know_their_slope(values: list[float], share: float) -> None:
    places = [50.0 * i + 3 * (i % 3) for i in range(len(values))]
    line = fair_line(places, values)
    for place, value in zip(places, values, strict=True):
        assert line_at(line, place)[0] == pytest.approx(value, abs=1e-9)
    x = min(max(share * places[-1], 1e-3), places[-1] - 1e-3)
    rise = (line_at(line, x + 1e-4)[0] - line_at(line, x - 1e-4)[0]) / 2e-4
    assert line_at(line, x)[1] == pytest.approx(rise, abs=1e-3)


def test_lines_end_where_nothing_was_measured() -> None:
    line = fair_line([0, 100], [40, 50])
    with pytest.raises(GeometryError) as caught:
        line_at(line, 101)
    assert caught.value.code == "beyond-line"
    with pytest.raises(GeometryError) as caught:
        fair_line([0, 0], [1, 2])
    assert caught.value.code == "places-not-in-order"


@given(st.floats(min_value=0.005, max_value=0.5))
def test_thinning_keeps_within_its_tolerance_and_what_is_pinned(tolerance: float) -> None:
    points = [(50 * math.cos(i / 40), 50 * math.sin(i / 40)) for i in range(120)]
    kept = thinned(points, tolerance, keep=[37])
    assert {0, 37, 119} <= set(kept)
    for a, b in pairwise(kept):
        for point in points[a : b + 1]:
            assert distance_to((points[a], points[b], 0.0), point) <= tolerance + 1e-12
    free = 2 * math.sqrt(2 * 50 * tolerance)  # longest chord of that sagitta, steps are 1.25 mm
    assert len(kept) <= 3 + 119 / max(1, math.floor(free / 1.25))
