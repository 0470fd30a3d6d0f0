"""Sides, floors and decks between two lines."""

import math
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st
from ringwright.geometry import curve, path
from ringwright.geometry.errors import GeometryError
from ringwright.geometry.wrap import side
from ringwright.geometry.wrap.former import former_lines, grooves, plane_at
from ringwright.geometry.wrap.sheet import sheet
from ringwright.geometry.wrap.strip import Strip
from ringwright.geometry.wrap.surface import area, outward

STATIONS = (0.0, 60.0, 150.0, 240.0, 330.0, 420.0)
HALF = curve.fair_line(STATIONS, (30.0, 45.0, 50.0, 50.0, 40.0, 20.0))
WIDE = curve.fair_line(STATIONS, (34.0, 51.0, 56.0, 55.0, 43.0, 21.0))
LOW = curve.fair_line(STATIONS, (-20.0, -35.0, -40.0, -40.0, -25.0, -10.0))
HIGH = curve.fair_line(STATIONS, (30.0, 50.0, 60.0, 55.0, 40.0, 30.0))


def upright(hand: int = 1, **more: float) -> Strip:
    return side.side(side.of_lines(HALF, LOW, hand), side.of_lines(HALF, HIGH, hand), 0, 420, **more)


def flared() -> Strip:
    return side.side(side.of_lines(HALF, LOW), side.of_lines(WIDE, HIGH), 0, 420)


def along_plan(line: curve.Line, start: float, end: float, count: int = 20000) -> float:
    points = [
        (x, curve.line_at(line, x)[0]) for x in (start + (end - start) * k / count for k in range(count + 1))
    ]
    return math.fsum(math.dist(a, b) for a, b in pairwise(points))


def test_an_upright_side_has_the_length_of_its_plan() -> None:
    made = upright()
    assert made.exact
    (base,) = side.station_marks(made, [420])
    xs = [(thread[0][0], thread[1][0]) for thread in made.surface.flat]
    assert all(foot == pytest.approx(head, abs=1e-9) for foot, head in xs)
    assert xs[-1][0] - xs[0][0] == pytest.approx(along_plan(HALF, 0, 420), abs=0.03)
    assert base[0] == 420


def test_its_height_at_each_station_is_the_side_view_s() -> None:
    for x, drawn in side.station_marks(upright(), [60.0, 200.0, 400.0]):
        assert path.length(drawn) == pytest.approx(
            curve.line_at(HIGH, x)[0] - curve.line_at(LOW, x)[0], abs=0.02
        )


@given(st.floats(0.5, 6), st.floats(0, 1))
def test_the_neutral_layer_is_shorter_by_the_turn(thickness: float, neutral: float) -> None:
    found = upright(thickness=thickness, neutral=neutral).surface.flat
    turned = math.atan(curve.line_at(HALF, 0)[1]) - math.atan(curve.line_at(HALF, 420)[1])
    shorter = (1 - neutral) * thickness * turned
    assert found[-1][0][0] - found[0][0][0] == pytest.approx(along_plan(HALF, 0, 420) - shorter, abs=0.05)


def test_port_is_the_mirror_image_of_starboard() -> None:
    here, there = upright().surface.flat, upright(hand=-1).surface.flat
    middle_shift = here[len(here) // 2][0][0] + there[len(there) // 2][0][0]
    assert middle_shift == 0
    for a, b in zip(here, reversed(there), strict=True):
        for (x, y), (u, v) in zip(a, b, strict=True):
            # The middle threads differ where the number of threads is even: compare about the ends.
            assert (x - here[0][0][0], y - here[0][0][1]) == pytest.approx(
                (there[-1][0][0] - u, v - there[-1][0][1]), abs=1e-6
            )


def test_outside_is_outside() -> None:
    for made, way in ((upright(), 1), (upright(hand=-1), -1)):
        normals = [outward(a, b) for a, b in zip(made.surface.space, made.surface.space[1:], strict=False)]
        assert all(way * normal[1] > 0 for normal in normals)


def test_a_flared_side_twists_little_and_keeps_its_edges() -> None:
    made = flared()
    assert math.degrees(made.twist) < 5
    for row, (half, height) in ((0, (HALF, LOW)), (1, (WIDE, HIGH))):
        line = side.of_lines(half, height)
        points = [(x, line.y(x), line.z(x)) for x in (420 * k / 20000 for k in range(20001))]
        true = math.fsum(math.dist(a, b) for a, b in pairwise(points))
        flat = [thread[row] for thread in made.surface.flat]
        assert math.fsum(math.dist(a, b) for a, b in pairwise(flat)) == pytest.approx(true, abs=0.05)


def test_its_stations_are_lines_across_all_of_it() -> None:
    marks = side.station_marks(flared(), STATIONS)
    assert [x for x, _ in marks] == list(STATIONS)
    for x, drawn in marks:
        ends = [curve.line_at(of, x)[0] for of in (HALF, WIDE, LOW, HIGH)]
        assert path.length(drawn) >= math.hypot(ends[1] - ends[0], ends[3] - ends[2]) - 0.05


def test_deck_and_floor_lie_between_port_and_starboard() -> None:
    right, left = side.of_lines(HALF, HIGH), side.of_lines(HALF, HIGH, -1)
    deck = side.deck(left, right, 0, 420)
    assert deck.exact
    lengths = sheet(deck.surface).lengths
    assert lengths.start == pytest.approx(lengths.end, rel=1e-6)
    assert (lengths.first, lengths.last) == pytest.approx((60, 40), abs=1e-3)
    for made, way in ((deck, 1), (side.floor(left, right, 0, 420), -1)):
        normals = [outward(a, b) for a, b in zip(made.surface.space, made.surface.space[1:], strict=False)]
        assert all(way * normal[2] > 0 for normal in normals)
    flat_line = curve.fair_line(STATIONS, (10.0,) * 6)
    flat = side.deck(side.of_lines(HALF, flat_line, -1), side.of_lines(HALF, flat_line), 0, 420)
    assert area(flat.surface) == pytest.approx(
        2 * math.fsum(curve.line_at(HALF, 420 * (k + 0.5) / 5000)[0] for k in range(5000)) * 420 / 5000,
        rel=1e-4,
    )


def test_a_former_between_the_sides_has_its_grooves() -> None:
    """In the parallel body a plain rectangle, as high as the side; where the side tapers, wider."""
    surface = upright(thickness=5, neutral=1).surface
    (parallel,) = grooves(surface, plane_at(195), 4.8, 5, 1, facing=0.3, fit=0.2)
    assert parallel.width == pytest.approx(5.0, abs=0.05)
    height = curve.line_at(HIGH, 195)[0] - curve.line_at(LOW, 195)[0]
    assert path.signed_area(parallel.path) == pytest.approx(5 * height, rel=0.02)
    (leaning,) = grooves(surface, plane_at(380), 4.8, 5, 1, facing=0.3, fit=0.2)
    slope = abs(curve.line_at(HALF, 380)[1])
    assert leaning.width == pytest.approx(5 * math.hypot(1, slope) + 4.7 * slope, rel=0.03)
    (near, far) = former_lines(surface, plane_at(195), 4.8, depth=5)
    for (drawn,) in (near, far):
        assert path.length(drawn) == pytest.approx(height, abs=0.5)


@pytest.mark.parametrize(
    ("make", "code"),
    [
        (lambda: side.side(side.of_lines(HALF, LOW), side.of_lines(HALF, HIGH), 50, 50), "no-length"),
        (lambda: side.side(side.of_lines(HALF, LOW), side.of_lines(HALF, LOW), 0, 420), "lines-cross"),
        (lambda: side.side(side.of_lines(HALF, LOW), side.of_lines(HALF, HIGH), 0, 500), "beyond-line"),
    ],
)
def test_refused(make, code: str) -> None:
    with pytest.raises(GeometryError) as caught:
        make()
    assert caught.value.code == code
