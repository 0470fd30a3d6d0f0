import math

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from ringwright.geometry import path
from ringwright.geometry.blank import FLAP_TRIM, Blank, Room, Seam, blank, fits
from ringwright.geometry.errors import GeometryError
from ringwright.geometry.outline import rect, turned
from ringwright.geometry.ring import Ring, inside_plate, ring, straddle_plate, wall_volume

diameter = st.floats(min_value=40, max_value=300)
height = st.floats(min_value=10, max_value=200)
neutral = st.floats(min_value=0, max_value=1)


@st.composite
def rings(draw: st.DrawFn) -> Ring:
    start, end, high = draw(diameter), draw(diameter | st.just(100.0)), draw(height)
    wall = draw(st.floats(min_value=0.1, max_value=6))
    assume(min(start, end) / 2 > 1.2 * wall * math.hypot(1, (start - end) / 2 / high))
    return ring(start, end, high, wall, draw(neutral))


seams = st.sampled_from([Seam("butt"), Seam("strap", 20), Seam("lap", 6), Seam("flap", 10), Seam("flap", 15)])


def sheet_of(made: Ring, seam: Seam, pieces: int | None = None) -> Blank:
    try:
        return blank(made, seam, pieces)
    except GeometryError as error:
        assume(error.code not in ("seam-too-wide", "too-few-pieces"))
        raise


@given(rings())
def test_the_blank_has_the_rings_area_and_rims(made: Ring) -> None:
    sheet = sheet_of(made, Seam("butt"))
    assert path.signed_area(sheet.outline) == pytest.approx(made.area / sheet.pieces, rel=1e-8)
    around = 2 * math.pi * (made.start_neutral + made.end_neutral)
    assert path.length(sheet.outline) * sheet.pieces == pytest.approx(
        around + 2 * made.slant * sheet.pieces, rel=1e-8
    )
    assert sheet.start_edge + sheet.end_edge == pytest.approx(around / sheet.pieces, rel=1e-12)
    for edge in (sheet.first_edge, sheet.last_edge):
        assert math.dist(*edge) == pytest.approx(made.slant, rel=1e-8)


@given(rings())
def test_swapping_start_and_end_turns_the_ring_about(made: Ring) -> None:
    other = ring(made.end, made.start, made.length, made.wall, made.neutral)
    assert other.area == made.area
    assert other.start_inside == made.end_inside
    assert sheet_of(other, Seam("butt")).outline == sheet_of(made, Seam("butt")).outline


@given(rings(), st.floats(min_value=0.2, max_value=5))
def test_scaling_a_ring_scales_its_lengths(made: Ring, q: float) -> None:
    big = ring(q * made.start, q * made.end, q * made.length, q * made.wall, made.neutral)
    assert big.half_angle == pytest.approx(made.half_angle, rel=1e-9, abs=1e-12)
    assert big.area == pytest.approx(q * q * made.area, rel=1e-9)
    assert big.slant == pytest.approx(q * made.slant, rel=1e-12)


@given(rings(), diameter, height)
def test_mating_rims_are_equal_for_equal_slopes_and_differ_by_the_step_else(
    made: Ring, end: float, high: float
) -> None:
    assume(end / 2 > 1.2 * made.wall * math.hypot(1, (made.end - end) / 2 / high))
    assume(made.end / 2 > 1.2 * made.wall * math.hypot(1, (made.end - end) / 2 / high))
    next_one = ring(made.end, end, high, made.wall, 1.0)
    peeled = ring(made.start, made.end, made.length, made.wall, 1.0)
    # peeled board: the neutral layer is the outer one, so mating rims are equal whatever the slopes
    assert blank(peeled, Seam("butt"), 24).end_edge == pytest.approx(
        blank(next_one, Seam("butt"), 24).start_edge, rel=1e-12
    )


@given(rings())
def test_the_neutral_layer_lies_in_the_wall(made: Ring) -> None:
    assert made.start_inside / 2 - 1e-9 <= made.start_neutral <= made.start / 2 + 1e-9
    assert wall_volume(made) == pytest.approx(
        math.pi * made.length / 12 * ((made.start**2 + made.start * made.end + made.end**2)
        - (made.start_inside**2 + made.start_inside * made.end_inside + made.end_inside**2)), rel=1e-6,
    )  # fmt: skip


@given(rings(), st.sampled_from([6.0, 10.0, 15.0]), st.integers(min_value=2, max_value=5))
def test_a_flap_adds_its_strip_to_every_piece(made: Ring, width: float, pieces: int) -> None:
    plain, flap = sheet_of(made, Seam("butt"), pieces), sheet_of(made, Seam("flap", width), pieces)
    strip = path.signed_area(flap.outline) - path.signed_area(plain.outline)
    assert strip == pytest.approx(path.signed_area(flap.peels[0]), rel=1e-5, abs=1e-3)
    assert width * (made.slant - 2 * FLAP_TRIM) < strip + 1e-3 + width**3 or made.is_cone
    assert strip <= width * (made.slant - FLAP_TRIM) + 1e-3
    (far,) = flap.far
    assert path.length(far) == pytest.approx(made.slant, rel=1e-8)
    assert {tuple(far.points)} <= {flap.last_edge, flap.last_edge[::-1]}


@given(rings(), st.integers(min_value=1, max_value=3))
def test_a_flap_does_not_show_at_the_rims(made: Ring, pieces: int) -> None:
    """Its points lie between the rims, 1 mm within them at its free end."""
    sheet = sheet_of(made, Seam("flap", 10), pieces)
    assume(made.is_cone)
    for x, y in path.flattened(sheet.peels[0], 0.01):
        rho = math.hypot(x, y)
        assert made.blank_inner_radius - 1e-6 <= rho <= made.blank_outer_radius + 1e-6


@given(rings(), st.integers(min_value=1, max_value=3))
def test_a_laps_rims_lie_on_the_next_pieces(made: Ring, pieces: int) -> None:
    sheet = sheet_of(made, Seam("lap", 6), pieces)
    assume(made.is_cone and made.blank_inner_radius > 6)
    for piece in path.pieces(sheet.outline):
        if piece[2]:
            assert path.piece_centre(piece) == pytest.approx((0, 0), abs=1e-6 * made.blank_outer_radius)
    (ax, ay), (bx, by) = sheet.last_edge
    beyond = [abs((bx - ax) * (y - ay) - (by - ay) * (x - ax)) / made.slant for x, y in sheet.outline.points]
    assert sum(abs(far - 6) < 1e-5 for far in beyond) >= 2


def test_strips_stand_at_the_end_of_angle_and_length() -> None:
    cone = blank(ring(132, 116, 25.75, 5, 1), Seam("flap", 15))
    assert all(x < 0 for x, _ in cone.peels[0].points)
    assert path.bounds(cone.outline)[0] < -path.bounds(cone.outline)[2]
    barrel = blank(ring(132, 132, 38, 5, 1), Seam("flap", 15))
    assert path.bounds(barrel.outline)[:2] == (0, 0)
    assert path.bounds(barrel.outline)[2] == pytest.approx(132 * math.pi + 15)


def test_a_strap_is_a_part_of_its_own() -> None:
    made = ring(132, 116, 25.75, 5, 1)
    sheet = blank(made, Seam("strap", 20))
    assert sheet.outline == blank(made, Seam("butt")).outline
    assert sheet.strap is not None
    assert path.signed_area(sheet.strap) == pytest.approx(20 * made.slant)


def test_pieces_that_fit() -> None:
    made = ring(400, 300, 300, 5, 1)
    assert blank(made, Seam("flap", 15), room=Room(762, 508)).pieces == 2
    assert blank(made, Seam("flap", 15), 3, Room(762, 508)).pieces == 3
    with pytest.raises(GeometryError) as caught:
        blank(made, Seam("flap", 15), room=Room(200, 150))
    assert caught.value.code == "sheet-too-small"


@given(st.floats(min_value=0, max_value=90), st.floats(min_value=-0.1, max_value=0.1))
def test_a_rectangle_fits_its_own_size(angle: float, more: float) -> None:
    assume(abs(more) > 0.01)
    card = turned(rect(100, 40), math.radians(round(angle * 4) / 4))
    assert fits(card, Room(100 + more, 40 + more)) == (more > 0)


def test_blanks_that_would_overlap_are_split() -> None:
    flat = ring(200, 60, 4, 0.3, 0.5)
    assert blank(flat, Seam("butt")).pieces == 1
    assert blank(flat, Seam("lap", 10)).pieces == 2
    with pytest.raises(GeometryError) as caught:
        blank(flat, Seam("lap", 10), 1)
    assert caught.value.code == "too-few-pieces"


@pytest.mark.parametrize(
    ("sizes", "code"),
    [
        ((132, 8, 25, 5, 1), "wall-too-thick"),
        ((132, 116, 0, 5, 1), "impossible-cone"),
        ((132, -1, 20, 5, 1), "impossible-cone"),
        ((132, 116, 20, 5, 1.5), "impossible-cone"),
        ((math.nan, 116, 20, 5, 1), "not-finite"),
    ],
)
def test_rings_that_cannot_be(sizes: tuple[float, float, float, float, float], code: str) -> None:
    with pytest.raises(GeometryError) as caught:
        ring(*sizes)
    assert caught.value.code == code


def test_almost_cylinders_are_whole() -> None:
    barrel = ring(100, 100, 50, 1, 1)
    for lean in (1e-9, 1e-7, 1e-5, 1e-4, 1e-3):
        made = ring(100, 100 - lean, 50, 1, 1)
        assert made.area == pytest.approx(barrel.area, rel=1e-4)
        sheet = blank(made, Seam("butt"))
        assert path.signed_area(sheet.outline) == pytest.approx(made.area, rel=1e-8)


@given(rings(), st.floats(min_value=0.5, max_value=5), st.booleans())
def test_inside_plates_touch_the_inner_wall(made: Ring, thick: float, at_start: bool) -> None:
    assume(thick < made.length)
    d, widens = (made.start, made.end > made.start) if at_start else (made.end, made.start > made.end)
    plate = inside_plate(d, made.half_angle, widens, made.wall, thick, made.length)
    near, far = (made.start_inside, made.end_inside) if at_start else (made.end_inside, made.start_inside)
    assert plate.diameter_outer_face == pytest.approx(near, abs=1e-9)
    assert plate.diameter_inner_face == pytest.approx(near + (far - near) * thick / made.length, abs=1e-9)
    deeper = inside_plate(d, made.half_angle, widens, made.wall, thick / 2, made.length, set_back=thick / 2)
    assert deeper.diameter_inner_face == pytest.approx(plate.diameter_inner_face, abs=1e-9)


def test_plates_that_cannot_be() -> None:
    with pytest.raises(GeometryError) as caught:
        inside_plate(92, 0.4, True, 5, 30, 25)
    assert caught.value.code == "plate-too-thick"
    assert "5 mm too far" in str(caught.value)
    with pytest.raises(GeometryError) as caught:
        inside_plate(12, 0.4, False, 5, 5, 25)
    assert caught.value.code == "wall-too-thick"


def test_straddle_plate_follows_both_walls() -> None:
    before, after = ring(132, 116, 25.75, 5, 1), ring(116, 92, 25.75, 5, 1)
    plate = straddle_plate(before, after, 5)
    assert plate.diameter_joint == after.start_inside < before.end_inside
    assert plate.gap == pytest.approx(before.end_inside - after.start_inside)
    assert plate.diameter_before_face == pytest.approx(
        plate.diameter_joint + 2 * 2.5 * math.tan(before.half_angle)
    )
    assert plate.diameter_after_face == pytest.approx(
        plate.diameter_joint - 2 * 2.5 * math.tan(after.half_angle)
    )
    assert plate.diameter == plate.diameter_before_face
    assert (plate.bevel_before, plate.bevel_after) == (before.half_angle, after.half_angle)
    with pytest.raises(GeometryError) as caught:
        straddle_plate(before, ring(120, 92, 25, 5, 1), 5)
    assert caught.value.code == "diameters-differ"


@given(rings())
def test_a_square_cut_blank_reaches_the_longest_face(made: Ring) -> None:
    """Faces of the mitred wall, flat: each rim of a layer at depth w from the outer face lies w tan a nearer
    the apex.
    """
    assume(made.is_cone)
    sine = math.sin(made.half_angle)
    outer_more, inner_more = made.square_cut_allowance
    # the wall's rim points, measured along the slant from the apex of the neutral layer's cone
    shift = made.wall / math.tan(made.half_angle) if made.half_angle else 0.0
    large, small = max(made.start, made.end) / 2, min(made.start_inside, made.end_inside) / 2
    outer_face = large / sine - (1 - made.neutral) * shift
    inner_face = small / sine + made.neutral * shift
    assert outer_face == pytest.approx((made.blank_outer_radius or 0) + outer_more, rel=1e-9)
    assert inner_face == pytest.approx((made.blank_inner_radius or 0) - inner_more, rel=1e-9)
