import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from ringwright.geometry import path
from ringwright.geometry.errors import GeometryError
from ringwright.geometry.meet import distance_to
from ringwright.geometry.path import Path

coordinate = st.floats(min_value=-200, max_value=200)
bulge = st.floats(min_value=-2, max_value=2) | st.just(0.0)


@st.composite
def stars(draw: st.DrawFn) -> Path:
    """Closed outlines round the origin, of straight pieces and arcs that bulge outwards."""
    count = draw(st.integers(min_value=3, max_value=9))
    reach = draw(st.lists(st.floats(min_value=20, max_value=100), min_size=count, max_size=count))
    bulges = draw(st.lists(st.floats(min_value=0, max_value=0.4), min_size=count, max_size=count))
    points = [
        (r * math.cos(2 * math.pi * i / count), r * math.sin(2 * math.pi * i / count))
        for i, r in enumerate(reach)
    ]
    return Path(tuple(points), tuple(bulges), True)


@given(stars())
def test_flattening_keeps_length_area_and_centre(outline: Path) -> None:
    chords = path.closed(path.flattened(outline, 0.001))
    turning = sum(abs(path.sweep_of(b)) for b in outline.bulges)
    assert 0 <= path.length(outline) - path.length(chords) + 1e-9 <= turning * 0.001 / 2 + 1e-6
    assert path.signed_area(outline) == pytest.approx(
        path.signed_area(chords), abs=0.001 * path.length(outline) + 1e-6
    )
    assert path.centroid(outline) == pytest.approx(path.centroid(chords), abs=0.01)


@given(stars(), st.floats(min_value=0.001, max_value=0.5))
def test_flattening_stays_within_its_tolerance(outline: Path, tolerance: float) -> None:
    for piece in path.pieces(outline):
        if not piece[2]:
            continue
        count = path.chords(path.piece_radius(piece), path.sweep_of(piece[2]), tolerance)
        first, second = (path.piece_point(piece, k / count)[0] for k in (0, 1))
        middle = path.piece_point(piece, 0.5 / count)[0]
        off = math.dist(middle, ((first[0] + second[0]) / 2, (first[1] + second[1]) / 2))
        assert off <= tolerance * (1 + 1e-6)
        if count > 1:
            wider = path.piece_radius(piece) * (1 - math.cos(path.sweep_of(piece[2]) / (count - 1) / 2))
            assert wider > tolerance * (1 - 1e-6)


@given(stars(), st.floats(min_value=-7, max_value=7), coordinate, coordinate)
def test_moving_changes_no_measure(outline: Path, angle: float, x: float, y: float) -> None:
    there = path.moved(path.turned(outline, angle), (x, y))
    assert path.length(there) == pytest.approx(path.length(outline), rel=1e-12)
    assert path.signed_area(there) == pytest.approx(path.signed_area(outline), rel=1e-9)
    cx, cy = path.centroid(outline)
    expected = (
        math.cos(angle) * cx - math.sin(angle) * cy + x,
        math.sin(angle) * cx + math.cos(angle) * cy + y,
    )
    assert path.centroid(there) == pytest.approx(expected, abs=1e-9)
    assert path.signed_area(path.mirrored(outline)) == pytest.approx(-path.signed_area(outline), rel=1e-12)


@given(stars(), st.floats(min_value=0.1, max_value=10))
def test_scaling(outline: Path, factor: float) -> None:
    bigger = path.scaled(outline, factor)
    assert path.length(bigger) == pytest.approx(factor * path.length(outline), rel=1e-12)
    assert path.signed_area(bigger) == pytest.approx(factor**2 * path.signed_area(outline), rel=1e-12)


@given(stars())
def test_bounds_hold_every_point_and_touch(outline: Path) -> None:
    left, low, right, top = path.bounds(outline)
    points = path.flattened(outline, 0.0005)
    assert left - 1e-9 <= min(x for x, _ in points) <= left + 0.001
    assert right - 0.001 <= max(x for x, _ in points) <= right + 1e-9
    assert low - 1e-9 <= min(y for _, y in points) <= low + 0.001
    assert top - 0.001 <= max(y for _, y in points) <= top + 1e-9


@given(stars(), st.integers(min_value=0, max_value=8))
def test_canonical_forgets_start_and_direction(outline: Path, shift: int) -> None:
    shift %= len(outline.points)
    other = Path(
        outline.points[shift:] + outline.points[:shift], outline.bulges[shift:] + outline.bulges[:shift], True
    )
    home = path.canonical(outline)
    assert home == path.canonical(other) == path.canonical(path.reversed_path(other))
    assert home.points[0] == min(home.points)
    assert path.signed_area(home) > 0
    hole = path.as_hole(outline)
    assert path.signed_area(hole) == pytest.approx(-path.signed_area(home), rel=1e-12)
    assert hole.points[0] == home.points[0]


@given(stars(), st.floats(min_value=0, max_value=1))
def test_points_along_a_path(outline: Path, share: float) -> None:
    full = path.length(outline)
    at, tangent = path.point_at(outline, share * full)
    assert math.hypot(*tangent) == pytest.approx(1, rel=1e-9)
    ahead, _ = path.point_at(outline, min(share * full + 1e-4, full))
    assert math.dist(at, ahead) <= 1e-4 + 1e-9
    assert min(distance_to(piece, at) for piece in path.pieces(outline)) < 1e-9


def test_a_full_circle_of_two_arcs() -> None:
    circle = Path(((-50.0, 0.0), (50.0, 0.0)), (1.0, 1.0), True)
    assert path.signed_area(circle) == pytest.approx(2500 * math.pi, abs=1e-9)
    assert path.length(circle) == pytest.approx(100 * math.pi, abs=1e-9)
    assert path.centroid(circle) == pytest.approx((0, 0), abs=1e-12)
    assert path.bounds(circle) == pytest.approx((-50, -50, 50, 50), abs=1e-12)


def test_quarter_turns_are_exact() -> None:
    assert path.turned(path.line([(1.1, 2.3)]), math.pi / 2).points == ((-2.3, 1.1),)


def test_an_arc_is_where_it_should_be() -> None:
    quarter = path.arc((10, 20), 5, 0, math.pi / 2)
    assert quarter.points[1] == pytest.approx((10, 25))
    assert path.piece_centre(next(path.pieces(quarter))) == pytest.approx((10, 20))
    assert path.sagitta(next(path.pieces(quarter))) == pytest.approx(5 * (1 - math.cos(math.pi / 4)))


def test_almost_straight_arcs_lose_nothing() -> None:
    # sagitta of 1e-6 mm on 100: the circle's radius is 1.25e9 mm
    piece = ((0.0, 0.0), (100.0, 0.0), 2e-8)
    assert path.piece_point(piece, 0.5)[0] == pytest.approx((50, -1e-6), abs=1e-15)
    thin = Path((piece[0], piece[1]), (2e-8, 0.0), True)
    assert path.signed_area(thin) == pytest.approx(2 / 3 * 100 * 1e-6, rel=1e-9)
    assert path.bounds(thin)[1] == pytest.approx(-1e-6, rel=1e-9)


def test_repeated_points_are_dropped() -> None:
    assert path.closed([(0, 0), (1, 0), (1, 1e-9), (1, 1), (0, 0)]).points == ((0, 0), (1, 0), (1, 1))


@pytest.mark.parametrize("bad", [math.nan, math.inf])
def test_points_that_are_no_numbers(bad: float) -> None:
    with pytest.raises(GeometryError):
        path.line([(0, bad)])


@given(stars(), st.integers(min_value=1, max_value=50))
def test_a_divided_piece_has_the_points_that_its_shares_name(outline: Path, count: int) -> None:
    for piece in path.pieces(outline):
        shares = [path.piece_point(piece, step / count)[0] for step in range(1, count)]
        assert path.divided(piece, count) == shares


near = st.integers(-3, 3).map(lambda n: n * 0.4e-6)


@given(st.lists(st.tuples(near, near | coordinate), min_size=3, max_size=8))
def test_an_outline_begins_at_the_smallest_corner_as_rounded(points: list[tuple[float, float]]) -> None:
    around = path.canonical(Path(tuple(points), (0.0,) * len(points), True))
    corners = [(path.rounded(x, 6), path.rounded(y, 6)) for x, y in around.points]
    assert corners[0] == min(corners)


def test_an_outline_is_finite() -> None:
    with pytest.raises(GeometryError, match="nan"):
        path.canonical(Path(((0.0, 0.0), (1.0, math.nan), (1.0, 1.0)), (0.0,) * 3, True))
