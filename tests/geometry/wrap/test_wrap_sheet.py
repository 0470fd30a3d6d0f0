"""Sheets: strips at their edges, pieces, overlap; what formers ask of them; scores."""

import math
from itertools import pairwise

import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from ringwright.geometry import outline, path
from ringwright.geometry.blank import Room, Seam, blank
from ringwright.geometry.errors import GeometryError
from ringwright.geometry.ring import ring
from ringwright.geometry.wrap import former, score
from ringwright.geometry.wrap.section import across, along
from ringwright.geometry.wrap.sheet import Trim, Trims, divided, sheet, sheets
from ringwright.geometry.wrap.strip import skin
from ringwright.geometry.wrap.surface import Surface, area


def cone(tolerance: float = 0.005) -> Surface:
    shapes = (outline.circle(120), 0.0), (outline.circle(80), 80.0)
    return skin([across(o, x, math.pi, tolerance=tolerance) for o, x in shapes], 5, 1).strips[0].surface


def flat_sheet(width: float = 60, height: float = 40) -> Surface:
    low = [(0.0, -width / 2, 0.0), (0.0, width / 2, 0.0)]
    return skin([along(low), along([(height, y, z) for _, y, z in low])]).strips[0].surface


def test_a_flat_sheet_is_itself() -> None:
    found = sheet(flat_sheet())
    assert [c for p in found.outline.points for c in p] == pytest.approx([-30, 0, 30, 0, 30, 40, -30, 40])
    assert found.lengths == pytest.approx((60, 40, 60, 40))


@pytest.mark.parametrize(
    ("kind", "area_more"), [("lap", 40 * 8), ("flap", (40 - 1) * 8), ("tab", (40 - 8) * 8)]
)
def test_strips_along_a_straight_edge(kind: str, area_more: float) -> None:
    found = sheet(flat_sheet(), Trims(last=Trim(kind, 8)))
    assert path.signed_area(found.outline) == pytest.approx(60 * 40 + area_more)
    assert (len(found.peels), len(found.far), len(found.folds)) == {
        "lap": (0, 0, 0), "flap": (1, 1, 0), "tab": (0, 0, 1)
    }[kind]  # fmt: skip
    _, _, right, _ = path.bounds(found.outline)
    assert right == pytest.approx(38)
    for peel in found.peels:
        assert path.signed_area(peel) == pytest.approx(area_more)


@given(st.floats(40, 60), st.floats(40, 60), st.floats(-15, 15), st.floats(2, 8))
def test_laps_meet_in_mitred_corners(below: float, above: float, lean: float, wide: float) -> None:
    """As GEOS, through shapely, widens the same quadrilateral."""
    low, high = (
        along([(x, y - half / 2, 0.0), (x, y + half / 2, 0.0)])
        for x, y, half in ((0.0, 0.0, below), (50.0, lean, above))
    )
    surface = skin([low, high]).strips[0].surface
    lap = Trim("lap", wide)
    bare, made = sheet(surface), sheet(surface, Trims(lap, lap, lap, lap))
    plain = shapely.Polygon(bare.outline.points)
    widened = plain.buffer(wide, join_style="mitre", mitre_limit=1.999)
    assert shapely.Polygon(made.outline.points).symmetric_difference(widened).area < 1e-3


def test_a_sharp_corner_of_laps_is_cut_across_and_a_seam_keeps_square() -> None:
    """Of a corner that would reach far out, two square ends joined; beside a seam, a notch."""
    low, high = along([(0.0, -60.0, 0.0), (0.0, 60.0, 0.0)]), along([(30.0, -2.0, 0.0), (30.0, 2.0, 0.0)])
    surface = skin([low, high]).strips[0].surface
    lap = Trim("lap", 4)
    bare, sharp = sheet(surface), sheet(surface, Trims(start=lap, last=lap))
    strips = 4 * (sharp.lengths.start + sharp.lengths.last) + 4 * 4 / 2 * math.sin(math.atan2(30, 58))
    assert path.signed_area(sharp.outline) == pytest.approx(path.signed_area(bare.outline) + strips)
    seamed = sheet(flat_sheet(), Trims(start=lap, last=Trim("lap", 8, seam=True)))
    assert path.signed_area(seamed.outline) == pytest.approx(60 * 40 + 60 * 4 + 40 * 8)


def test_a_flap_is_that_of_the_same_ring() -> None:
    made = sheet(cone(), Trims(last=Trim("flap", 15)))
    same = blank(ring(120, 80, 80, 5, 1), Seam("flap", 15))
    assert path.signed_area(made.outline) == pytest.approx(path.signed_area(same.outline), rel=2e-3)


def test_notched_tabs_can_be_folded_in() -> None:
    """Folded round the rim, what is left of the outer line fits the smaller circle."""
    plain = sheet(cone(), Trims(start=Trim("tab", 8)))
    teeth = sheet(cone(), Trims(start=Trim("tab", 8, notched=True)))
    lost = path.signed_area(plain.outline) - path.signed_area(teeth.outline)
    # Outer line: 8 mm further in the drawing, 8 mm nearer the axis when folded.
    assert 2 * lost / 8 > 2 * math.pi * 8
    assert len(teeth.outline.points) > len(plain.outline.points)


def test_strips_that_run_into_each_other_are_refused() -> None:
    with pytest.raises(GeometryError) as caught:
        sheet(cone(), Trims(end=Trim("lap", 400)))
    assert caught.value.code == "strip-too-wide"


def test_a_strip_that_would_overlap_itself_is_split_in_the_middle() -> None:
    def spiral(radius: float) -> list:
        turns = [k / 20 for k in range(170)]
        return [(2 * t, radius * math.cos(t), radius * math.sin(t)) for t in turns]

    surface = skin([along(spiral(100)), along(spiral(60))]).strips[0].surface
    with pytest.raises(GeometryError) as caught:
        sheet(surface)
    assert caught.value.code == "overlaps-itself"
    found = sheets(surface)
    assert len(found) == 2
    assert sum(path.signed_area(one.outline) for one in found) == pytest.approx(area(surface), rel=1e-4)


@given(st.integers(1, 6))
def test_pieces_make_the_whole(count: int) -> None:
    surface = cone()
    found = divided(surface, count)
    assert sum(area(one) for one in found) == pytest.approx(area(surface))
    widths = [sheet(one).lengths.start + sheet(one).lengths.end for one in found]
    assert widths == pytest.approx([widths[0]] * count, rel=1e-3)


def test_pieces_follow_from_the_room() -> None:
    found = sheets(cone(), Trims(last=Trim("flap", 15)), room=Room(210, 297, 5))
    assert len(found) == 2
    with pytest.raises(GeometryError) as caught:
        sheets(cone(), room=Room(60, 60))
    assert caught.value.code == "sheet-too-small"
    with pytest.raises(GeometryError) as caught:
        sheets(cone(), pieces=0)
    assert caught.value.code == "too-few-pieces"


# Formers


def test_lines_of_a_former_s_faces_on_the_inner_face() -> None:
    """On a cone: arcs about the apex, as far from it as the inner face is where the former's faces cut it."""
    surface = cone(0.0005)
    slope, slant = 20 / 80, math.hypot(1, 0.25)
    near, far = former.former_lines(surface, former.plane_at(30), 5, depth=5)
    for lines, x in ((near, 27.5), (far, 32.5)):
        (line,) = lines
        # The spot whose inner face lies at x has its outer face further forward by 5 sin a.
        outer = x + 5 * slope / slant
        assert path.length(line) == pytest.approx(2 * math.pi * (60 - outer * slope), abs=0.05)


def test_a_groove_is_wider_where_the_skin_leans() -> None:
    (leaning,) = former.grooves(cone(), former.plane_at(40), 4.8, 5, 1, facing=0.3, fit=0.3)
    assert leaning.depth == pytest.approx(4.7)
    assert leaning.width == pytest.approx(5.1 * math.hypot(1, 0.25) + 4.7 * 0.25, abs=1e-3)
    (straight,) = former.grooves(flat_sheet(), former.plane_at(20), 4.8, 5, 1, facing=0.3, fit=0.3)
    assert straight.width == pytest.approx(5.1)
    assert path.signed_area(straight.path) == pytest.approx(5.1 * 60)


def test_a_groove_at_the_end_is_a_rebate() -> None:
    (found,) = former.grooves(flat_sheet(), former.plane_at(2), 4, 5, 1, fit=0)
    assert path.bounds(found.path) == pytest.approx((-30, 0, 30, 4))
    (found,) = former.grooves(flat_sheet(), former.plane_at(39), 4, 5, 1, fit=0)
    assert path.bounds(found.path) == pytest.approx((-30, 37, 30, 40))
    assert former.grooves(flat_sheet(), former.plane_at(90), 4, 5, 1) == ()
    assert former.lines_on(flat_sheet(), former.plane_at(90)) == ()


def test_a_former_inside_a_barrel_and_a_cone() -> None:
    sections = [across(outline.circle(120), x, tolerance=0.0005) for x in (0.0, 80.0)]
    barrel = skin(sections).strips[0].surface
    for surface, radius in (
        (barrel, 60.0 - 5),
        (cone(0.0005), 60 - 30 * 0.25 - 5 * math.hypot(1, 0.25)),
    ):
        layer = former.inside_outline(surface, former.plane_at(30), 5, True)
        assert path.signed_area(former.outline_of(layer)) == pytest.approx(math.pi * radius**2, rel=1e-4)


def test_a_former_past_the_end_is_refused() -> None:
    with pytest.raises(GeometryError) as caught:
        former.inside_outline(cone(), former.plane_at(200), 5, True)
    assert caught.value.code == "off-skin"


# Scores


def arch(radius: float, turning: float, length: float = 80) -> Surface:
    limits = (-turning / 2, turning / 2)
    return (
        skin([across(outline.circle(2 * radius), x, arc=limits, about=(0, 0)) for x in (0.0, length)])
        .strips[0]
        .surface
    )


@given(st.floats(20, 120), st.floats(0.5, 3), st.floats(0.1, 1))
def test_scores_of_an_arc_are_even_and_enough(radius: float, turning: float, tolerance: float) -> None:
    found = score.scores(arch(radius, turning), tolerance).scores
    assert math.fsum(one.angle for one in found) == pytest.approx(turning, rel=0.05)
    each = turning / len(found)
    assert all(one.angle == pytest.approx(each, rel=0.2) for one in found)
    assert radius * (1 - math.cos(each / 2)) <= tolerance * 1.1
    fewer = turning / max(1, len(found) - 2)
    assert len(found) < 3 or radius * (1 - math.cos(fewer / 2)) > tolerance * 0.9
    places = [one.path.points[0][0] for one in found]
    steps = [b - a for a, b in pairwise(places)]
    assert steps == pytest.approx([radius * each] * len(steps), rel=0.1, abs=0.1)


def test_scores_of_the_case_for_slots() -> None:
    found = score.scores(arch(50, math.pi / 2), 0.24077, 5, 0.3, 1.0)
    assert len(found.scores) == 8
    assert found.closing == 0
    assert score.scores(arch(50, math.pi / 2), 0.5, 5, 0.3, 1.0).closing == len(
        score.scores(arch(50, math.pi / 2), 0.5).scores
    )


def test_a_score_at_every_corner_and_none_on_the_flats() -> None:
    box = [across(outline.rect(80, 60), x, math.pi) for x in (0, 100)]
    found = score.scores(skin(box).strips[0].surface, 0.3).scores
    assert [math.degrees(one.angle) for one in found] == pytest.approx([90] * 4)
    assert {one.side for one in found} == {"inside"}
    assert [one.path.points[0][0] for one in found] == pytest.approx([-100, -40, 40, 100])


def test_hollows_are_scored_from_the_face() -> None:
    shape = outline.polygon([(0, 0), (80, 0), (80, 30), (30, 30), (30, 70), (0, 70)])
    found = score.scores(skin([across(shape, x, 3.0) for x in (0.0, 50.0)]).strips[0].surface, 0.3).scores
    assert [one.side for one in found].count("face") == 1
    assert len(found) == 6


def test_spacing_on_an_arc() -> None:
    assert score.spacing_for(50, 0.240763666) == pytest.approx(9.817477042)


@pytest.mark.parametrize(
    ("make", "code"),
    [
        (lambda: score.slots(50, 1, 5, 5, 1), "no-depth"),
        (lambda: score.slots(50, 1, 5, 0.3, 0), "slot-never-closes"),
        (lambda: score.scores(arch(50, 1), 0), "no-size"),
        (lambda: former.grooves(flat_sheet(), former.plane_at(20), 4, 5, 1, facing=5), "no-depth"),
        (lambda: sheet(flat_sheet(2, 40), Trims(start=Trim("flap", 8))), "strip-too-wide"),
    ],
)
def test_refused(make, code: str) -> None:
    with pytest.raises(GeometryError) as caught:
        make()
    assert caught.value.code == code
