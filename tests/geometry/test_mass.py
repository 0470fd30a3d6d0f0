import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from ringwright.geometry import outline, path, place
from ringwright.geometry.blank import Seam, blank
from ringwright.geometry.errors import GeometryError
from ringwright.geometry.holes import RIM, hole_clearance, on_circle, on_rect, rim_hole
from ringwright.geometry.mass import balance_point, ballast, bent_moments, measure
from ringwright.geometry.part import Stock
from ringwright.geometry.ring import ring

BOARD = Stock("board", "", "foamboard", 5, 762, 508, "none", 450e-6, 0.3, 120e-6, "peeled", 1.0, 25)
ORIGIN = (0.0, 0.0, 0.0)


def test_a_plate_with_holes() -> None:
    disc = outline.circle(100)
    hole = path.as_hole(outline.moved(outline.circle(20), (30, 0)))
    found = measure(
        disc, (hole,), (path.line([(0, -10), (0, 10)]),), (), BOARD, place.section_frame(118, 0, 7)
    )
    area = math.pi * (2500 - 100)
    assert found.area == pytest.approx(area, rel=1e-12)
    assert found.mass == pytest.approx(area * 450e-6, rel=1e-12)
    assert found.cut_length == pytest.approx(math.pi * 120 + 20, rel=1e-12)
    # drawn face at 118, the sheet lies 5 mm forward of it
    assert found.centroid == pytest.approx((115.5, -30 * 100 / 2400, 7), rel=1e-12)


def test_without_mass_or_place() -> None:
    found = measure(outline.circle(10), (), (), (), BOARD._replace(areal_mass=None), None)
    assert found.mass is None
    assert found.centroid is None
    placed = measure(outline.circle(10), (), (), (), BOARD._replace(areal_mass=None), place.section_frame(0))
    assert placed.centroid == pytest.approx((-2.5, 0, 0), abs=1e-12)


@pytest.mark.parametrize(("facing", "share"), [(120e-6, 120 / 450), (None, 1.0)])
def test_a_flap_weighs_its_paper_where_that_is_known(facing: float | None, share: float) -> None:
    sheet = blank(ring(132, 116, 25.75, 5, 1), Seam("flap", 15))
    found = measure(sheet.outline, (), sheet.far, sheet.peels, BOARD._replace(facing_mass=facing))
    strip = path.signed_area(sheet.peels[0])
    assert found.mass == pytest.approx((sheet.ring.area + strip * share) * 450e-6, rel=1e-9)
    assert found.area == pytest.approx(sheet.ring.area + strip, rel=1e-9)
    assert found.cut_length == pytest.approx(path.length(sheet.outline) + sheet.ring.slant, rel=1e-12)


diameters = st.floats(min_value=60, max_value=200)


@given(diameters, diameters, st.floats(min_value=40, max_value=120), st.integers(min_value=1, max_value=4))
def test_pieces_of_a_ring_balance_like_the_whole(start: float, end: float, high: float, pieces: int) -> None:
    made = ring(start, end, high, 5, 1)
    sheet = blank(made, Seam("butt"), pieces)
    placed = place.rolled(sheet, (10, 0, 3), place.FORWARD, place.UP, place.STARBOARD, 1.0)
    found = [measure(sheet.outline, (), (), (), BOARD, piece) for piece in placed]
    across = 2.5 / math.cos(made.half_angle)
    r1, r2 = start / 2 - across, end / 2 - across
    centre = balance_point([(one.mass or 0.0, one.centroid or ORIGIN) for one in found])
    assert centre == pytest.approx((10 - high * (r1 + 2 * r2) / 3 / (r1 + r2), 0, 3), abs=1e-9)


@given(diameters, diameters, st.floats(min_value=40, max_value=120), st.floats(min_value=-1.2, max_value=1.2))
def test_holes_in_bent_walls_against_a_fine_grid(start: float, end: float, high: float, turn: float) -> None:
    """Moments of a window between two turns and two shares of the slant, by the midpoint rule on a grid."""
    made = ring(start, end, high, 4, 0.5)
    sheet = blank(made, Seam("butt"))
    (placed,) = place.rolled(sheet, ORIGIN, place.AFT, place.UP, place.STARBOARD, math.pi)
    # a rectangular window in the drawing, sampled there: each cell lands at its place in space
    left, _, right, _ = path.bounds(sheet.outline)
    x0, y0 = (
        (left + right) / 2 + turn * 8,
        (made.blank_inner_radius or 0) + made.slant / 2 if made.is_cone else high / 2,
    )
    window = outline.moved(outline.rect(12, 8), (x0, y0))
    weight, along, up, side = bent_moments(window, placed, 0.0)
    count = 24
    cells = [
        place.in_space(placed, (x0 - 6 + 12 * (i + 0.5) / count, y0 - 4 + 8 * (j + 0.5) / count))
        for i in range(count)
        for j in range(count)
    ]
    assert weight == pytest.approx(96, rel=1e-9)
    middle = [sum(cell[axis] for cell in cells) / len(cells) for axis in range(3)]
    assert (along / weight, side / weight, up / weight) == pytest.approx(middle, abs=0.01)


def test_ballast() -> None:
    masses = [(310.0, 140.0), (95.0, 620.0), (150.0, -60.0), (120.0, 90.0)]
    needed = ballast(masses, 118, -80)
    after = balance_point([(m, (x, 0.0, 0.0)) for m, x in [*masses, (needed, -80.0)]])
    assert after[0] == pytest.approx(118, abs=1e-9)
    with pytest.raises(GeometryError) as caught:
        ballast(masses, 118, 117.5)
    assert caught.value.code == "ballast-at-target"
    with pytest.raises(GeometryError):
        balance_point([])


def test_hole_patterns() -> None:
    assert on_circle(4, 20, math.radians(90))[0] == pytest.approx((10, 0), abs=1e-12)
    first, second, *_ = on_circle(4, 20)
    assert first == pytest.approx((0, 10), abs=1e-12)
    assert second == pytest.approx((10, 0), abs=1e-12)
    assert on_rect(40, 30) == ((20, 15), (20, -15), (-20, -15), (-20, 15))
    with pytest.raises(GeometryError):
        on_circle(0, 20)


def test_what_is_left_round_a_hole() -> None:
    plate = outline.circle(100)
    holes = [
        outline.circle(20),
        outline.moved(outline.circle(6), (44, 0)),
        outline.moved(outline.circle(6), (16, 0)),
    ]
    found = hole_clearance(plate, holes)
    assert [round(one.distance, 2) for one in found] == [3, 3, 3]
    assert [one.to for one in found] == [2, RIM, 0]
    (over,) = hole_clearance(plate, [outline.moved(outline.circle(6), (49, 0))])
    assert over.distance == pytest.approx(-2, abs=0.01)
    nested = hole_clearance(plate, [outline.circle(20), outline.circle(4)])
    assert nested[0].distance < 0


def test_a_rim_hole_leaves_its_rim() -> None:
    assert rim_hole(outline.circle(100), 14) == outline.circle(72)
