"""Where points and level lines lie against an outline, against shapely's answers."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from ringwright.geometry.outline import circle, curve, ellipse, half, polygon, rect
from ringwright.geometry.path import Path, as_hole, canonical, flattened, moved, turned
from ringwright.geometry.within import circle_of, level_crossings, room_about, within
from shapely import LineString, Point, Polygon

OUTLINES = {
    "circle": canonical(circle(85.0)),
    "former": canonical(half([(0, 61), (38, 52), (51, 20), (51, -30), (33, -58), (0, -58)])),
    "rectangle": canonical(rect(100.0, 90.0, 8.0)),
    "ellipse": canonical(ellipse(100.0, 60.0)),
    "curve": canonical(curve([(40, 0), (0, 50), (-30, 0), (0, -45)], [])),
    "arrow": canonical(polygon([(-50, -50), (0, -20), (50, -50), (0, 50)])),
}
PLACES = st.tuples(st.floats(-60, 60), st.floats(-60, 60))


@given(st.sampled_from(sorted(OUTLINES)), PLACES, st.lists(st.tuples(PLACES, st.floats(2, 30)), max_size=3))
def test_room_about_a_point_is_its_distance_from_all_lines(
    name: str, point: tuple[float, float], holes: list[tuple[tuple[float, float], float]]
) -> None:
    outline, circles = OUTLINES[name], [as_hole(moved(circle(size), place)) for place, size in holes]
    spot, sheet = Point(point), Polygon(flattened(outline, 0.0005))
    flats = [Polygon(flattened(hole, 0.0005)) for hole in circles]
    nearest = min(spot.distance(flat.exterior) for flat in (sheet, *flats))
    on_sheet = sheet.contains(spot) and not any(flat.contains(spot) for flat in flats)
    assert room_about(outline, circles, point) == pytest.approx(nearest if on_sheet else 0.0, abs=0.003)


@given(st.sampled_from(sorted(OUTLINES)), st.floats(-70, 70))
def test_level_crossings_are_where_shapely_cuts(name: str, y: float) -> None:
    outline = OUTLINES[name]
    crossings = level_crossings(outline, y)
    cut = Polygon(flattened(outline, 0.0005)).intersection(LineString([(-100, y), (100, y)]))
    long = sum(b - a for a, b in zip(crossings[::2], crossings[1::2], strict=True))
    # Near a flat summit a thousandth in height is much in width.
    assert long == pytest.approx(cut.length, abs=1.0)
    assert all(
        within(outline, (x, y))
        for x in [(a + b) / 2 for a, b in zip(crossings[::2], crossings[1::2], strict=True) if b - a > 0.1]
    )


def test_level_crossings_through_corners_and_along_edges() -> None:
    assert level_crossings(polygon([(-50, 0), (0, -20), (50, 0), (0, 50)]), 0.0) == (-50.0, 50.0)
    # A corner that only touches the level is not crossed; an edge along it counts on one side only.
    assert level_crossings(polygon([(-10, 0), (0, 10), (10, 0), (0, 30)]), 30.0) == ()
    assert level_crossings(polygon([(0, 0), (10, 0), (10, 5), (0, 5)]), 5.0) == ()
    assert level_crossings(polygon([(0, 0), (10, 0), (10, 5), (0, 5)]), 0.0) == (0.0, 10.0)


def test_an_upright_line_is_a_level_one_of_the_turned_outline() -> None:
    assert level_crossings(turned(OUTLINES["former"], -math.pi / 2), 0.0) == pytest.approx((-58.0, 61.0))


@pytest.mark.parametrize(
    ("path", "found"),
    [
        (moved(circle(30.0), (4.0, -5.0)), ((4.0, -5.0), 15.0)),
        (as_hole(moved(circle(30.0), (4.0, -5.0))), ((4.0, -5.0), 15.0)),
        (rect(30.0, 30.0), None),
        (rect(30.0, 30.0, 15.0), ((0.0, 0.0), 15.0)),
        (ellipse(30.0, 20.0), None),
        (Path(((0.0, 0.0), (10.0, 0.0)), (0.4, 0.4), True), None),
        (Path(((0.0, 0.0), (10.0, 0.0)), (1.0,), False), None),
    ],
)
def test_a_circle_is_known_for_one(path: Path, found: tuple[tuple[float, float], float] | None) -> None:
    circle_found = circle_of(path)
    if found is None:
        assert circle_found is None
    else:
        assert circle_found is not None
        assert circle_found[0] == pytest.approx(found[0])
        assert circle_found[1] == pytest.approx(found[1])
