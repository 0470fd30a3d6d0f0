"""From the drawing to space and back; openings; mass and its centre."""

import math
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st
from ringwright.geometry import mass, outline, path, place
from ringwright.geometry.blank import Seam, blank
from ringwright.geometry.errors import GeometryError
from ringwright.geometry.part import Flat, Stock
from ringwright.geometry.ring import ring
from ringwright.geometry.wrap import carry
from ringwright.geometry.wrap.section import across, along
from ringwright.geometry.wrap.sheet import Trim, Trims, sheet
from ringwright.geometry.wrap.strip import skin
from ringwright.geometry.wrap.surface import Surface, facets
from ringwright.geometry.wrap.weigh import weighed

BOARD = Stock("b", "", "foamboard", 5, 762, 508, "none", 1e-3, 0.3, 1e-4, "peeled", 1.0, 0)


def cone(thickness: float = 0.0, neutral: float = 1.0, tolerance: float = 0.005) -> Surface:
    shapes = (outline.circle(120), 0.0), (outline.circle(80), 80.0)
    sections = [across(o, x, math.pi, tolerance=tolerance) for o, x in shapes]
    return skin(sections, thickness, neutral).strips[0].surface


CONE = facets(cone())


@given(st.floats(1, 79), st.floats(-3.1, 3.1))
def test_a_place_in_space_goes_to_the_drawing_and_back(x: float, turn: float) -> None:
    at = carry.flat_at(CONE, x, turn)
    px, py, pz = carry.in_space(CONE, at)
    assert px == pytest.approx(x, abs=1e-6)
    assert math.atan2(py, pz) == pytest.approx(turn, abs=1e-6)
    assert math.hypot(py, pz) == pytest.approx(60 - x / 4, abs=0.01)


@given(st.floats(5, 75), st.floats(-2.9, 2.9), st.floats(1, 8), st.floats(0, 6.28))
def test_distances_along_the_sheet_are_those_of_the_drawing(
    x: float, turn: float, reach: float, way: float
) -> None:
    at = carry.flat_at(CONE, x, turn)
    there = at[0] + reach * math.cos(way), at[1] + reach * math.sin(way)
    steps = [(at[0] + (there[0] - at[0]) * k / 40, at[1] + (there[1] - at[1]) * k / 40) for k in range(41)]
    bent = [carry.in_space(CONE, step) for step in steps]
    walked = math.fsum(math.dist(a, b) for a, b in pairwise(bent))
    assert walked == pytest.approx(reach, rel=2e-3)


def test_an_opening_keeps_its_size_and_points_aft() -> None:
    at = carry.flat_at(CONE, 40, 0.5)
    hole = carry.opening(CONE, outline.circle(12), at)
    assert path.signed_area(hole) == pytest.approx(-math.pi * 36)
    arrow = carry.opening(CONE, outline.polygon([(-2, -5), (2, -5), (0, 10)]), at)
    tip = max(arrow.points, key=lambda p: math.dist(p, at))
    assert carry.in_space(CONE, tip)[0] > 49
    assert math.atan2(*carry.in_space(CONE, tip)[1:]) == pytest.approx(0.5, abs=1e-3)


def test_an_opening_seen_from_above_is_carried_down() -> None:
    hole = carry.opening_through(CONE, outline.moved(outline.rect(20, 10), (40, 0)), place.top_frame(100))
    corners = sorted((round(x, 3), round(y, 3)) for x, y, _ in (carry.in_space(CONE, p) for p in hole.points))
    assert {(30, -5), (30, 5), (50, -5), (50, 5)} <= set(corners)
    assert abs(path.signed_area(hole)) > 200


def test_an_opening_from_the_side_takes_the_near_wall() -> None:
    shape = outline.moved(outline.circle(10), (40, 0))
    near = carry.opening_through(CONE, shape, place.side_frame(-100))
    far = carry.opening_through(CONE, shape, place.side_frame(100), seen_from_front=False)
    assert (
        max(carry.in_space(CONE, p)[1] for p in near.points) < 0
        or min(carry.in_space(CONE, p)[1] for p in near.points) > 0
    )
    assert abs(path.signed_area(near)) == pytest.approx(abs(path.signed_area(far)), rel=1e-3)


def test_openings_past_the_edge_are_refused() -> None:
    with pytest.raises(GeometryError) as caught:
        carry.opening_through(CONE, outline.moved(outline.circle(10), (78, 0)), place.top_frame(100))
    assert caught.value.code == "off-skin"
    with pytest.raises(GeometryError) as caught:
        carry.flat_at(CONE, 90, 0)
    assert caught.value.code == "off-skin"


def test_outward_is_outward() -> None:
    for facet in CONE:
        _, y, z = carry.spot(facet, facet.flat[0])
        _, ny, nz = carry.outward_of(facet)
        assert y * ny + z * nz > 0


# Mass


@given(st.sampled_from([0.5, 1.0]), st.floats(0, 6))
def test_a_cone_weighs_what_the_ring_does(neutral: float, thickness: float) -> None:
    stock = BOARD._replace(thickness=thickness, neutral=neutral)
    surface = cone(thickness, neutral, 0.02)
    found = weighed(surface, sheet(surface).outline, (), (), (), stock)
    made = blank(ring(120, 80, 80, thickness, neutral), Seam("butt"))
    placed = place.rolled(made, (0, 0, 0), place.AFT, place.UP, place.STARBOARD, math.pi)[0]
    same = mass.measure(made.outline, (), (), (), stock, placed)
    assert found.area == pytest.approx(same.area, rel=1e-3)
    assert found.mass == pytest.approx(same.mass, rel=1e-3)
    # The drawing's areas here, those of the middle layer there: a few per cent of what the wall narrows by.
    assert found.centroid == pytest.approx(same.centroid, abs=0.01 + 0.03 * thickness)


def test_an_arch_lies_as_high_as_its_middle_layer() -> None:
    limits = (-math.pi / 2, math.pi / 2)
    sections = [across(outline.circle(120), x, arc=limits, about=(0, 0)) for x in (0.0, 100.0)]
    surface = skin(sections, 5, 0.5).strips[0].surface
    found = weighed(surface, sheet(surface).outline, (), (), (), BOARD._replace(neutral=0.5))
    assert found.centroid is not None
    assert found.centroid == pytest.approx((50, 0, 57.5 * 2 / math.pi), abs=0.01)


def test_openings_and_peels_take_their_weight_from_where_they_are() -> None:
    surface = cone()
    plain = sheet(surface)
    hole = carry.opening(CONE, outline.circle(30), carry.flat_at(CONE, 40, math.pi / 2))
    stock = BOARD._replace(thickness=0.0)
    found = weighed(surface, plain.outline, (hole,), (), (), stock)
    assert found.area == pytest.approx(abs(path.signed_area(plain.outline)) - math.pi * 225)
    assert found.centroid is not None
    whole = abs(path.signed_area(plain.outline))
    # A circle of radius a on a cylinder of radius R lies a²/8R deeper than its middle.
    shift = -math.pi * 225 * (50 - 225 / 400) / (whole - math.pi * 225)
    assert found.centroid[1] == pytest.approx(shift, abs=0.02)
    peeled = weighed(surface, plain.outline, (), (), (path.canonical(hole),), stock)
    assert peeled.mass == pytest.approx(whole * 1e-3 - math.pi * 225 * 9e-4, rel=1e-4)


def test_strips_round_a_rim_weigh_where_they_are() -> None:
    """A lap all round the end of a barrel: its mass lies on the axis, half its width past the end."""
    sections = [across(outline.circle(120), x, math.pi) for x in (0.0, 80.0)]
    surface = skin(sections).strips[0].surface
    stock = BOARD._replace(thickness=0.0)
    made = sheet(surface, Trims(end=Trim("lap", 10)))
    found = weighed(surface, made.outline, (), (), (), stock, strips=10)
    assert found.mass == pytest.approx(2 * math.pi * 60 * 90 * 1e-3, rel=1e-3)
    assert found.centroid == pytest.approx((45, 0, 0), abs=0.02)


def test_a_flat_panel_agrees_with_a_flat_part() -> None:
    low = [(10.0, -30.0, 5.0), (10.0, 30.0, 5.0)]
    surface = skin([along(low), along([(50.0, y, z) for _, y, z in low])]).strips[0].surface
    made = sheet(surface)
    found = weighed(surface, made.outline, (), (), (), BOARD)
    frame = Flat((10.0, 0.0, 5.0), (0.0, 1.0, 0.0), (1.0, 0.0, 0.0))
    same = mass.measure(made.outline, (), (), (), BOARD._replace(thickness=-5.0), frame)
    assert found.mass == pytest.approx(same.mass)
    # Drawn inside up, on the outer face: the sheet's thickness lies on the side that is drawn.
    assert found.centroid == pytest.approx(same.centroid)
