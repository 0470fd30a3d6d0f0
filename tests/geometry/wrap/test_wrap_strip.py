"""Skins over many sections: where they are cut, what they stretch, bends, hollows, thickness."""

import math
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st
from ringwright.geometry import outline, path
from ringwright.geometry.errors import GeometryError
from ringwright.geometry.ring import ring
from ringwright.geometry.wrap.bend import bends
from ringwright.geometry.wrap.neutral import moved_in
from ringwright.geometry.wrap.relax import relaxed
from ringwright.geometry.wrap.rulings import rulings
from ringwright.geometry.wrap.section import Section, across, along, length, mirrored, point
from ringwright.geometry.wrap.sheet import sheet, sheets
from ringwright.geometry.wrap.strip import MOST_STRAIN, Strip, skin
from ringwright.geometry.wrap.surface import area, facets, rim_in_space, threads_of

HALF = (-math.pi / 2, math.pi / 2)


def half_circles(*radii: float, tolerance: float = 0.005) -> list[Section]:
    return [
        across(outline.circle(2 * r), 100.0 * k, arc=HALF, about=(0, 0), tolerance=tolerance)
        for k, r in enumerate(radii)
    ]


def stretched(strip: Strip) -> float:
    """Greatest change of any facet's edge between space and drawing."""
    worst = 0.0
    for facet in facets(strip.surface):
        for k in range(3):
            flat, space = (math.dist(corners[k], corners[k - 1]) for corners in facet)
            # Where a section's corner is a fan's, threads meet: glued together, not stretched.
            if space > 1e-3:
                worst = max(worst, abs(flat - space) / space)
    return worst


def test_sections_that_the_rulings_pass_are_passed_over() -> None:
    made = skin(half_circles(60, 50, 40))
    assert [(s.first, s.last, s.exact) for s in made.strips] == [(0, 2, True)]
    assert made.worst_deviation < 0.01
    assert made.worst_strain == 0
    assert made.cuts == ()


def test_a_small_misfit_is_stretched_over() -> None:
    made = skin(half_circles(50, 52.4, 54))
    (strip,) = made.strips
    assert not strip.exact
    assert 0.001 < strip.strain < MOST_STRAIN
    assert stretched(strip) <= strip.strain + 1e-12


def test_a_large_one_is_cut_and_told() -> None:
    made = skin(half_circles(50, 53, 54))
    assert [(s.first, s.last, s.exact) for s in made.strips] == [(0, 1, True), (1, 2, True)]
    (cut,) = made.cuts
    assert cut.section == 1
    assert cut.gap == pytest.approx(1.3068, rel=1e-3)
    assert cut.strain == pytest.approx(0.006, rel=0.1)
    assert "0.5 %" in cut.reason
    forced = skin(half_circles(50, 53, 54), seams="none")
    assert forced.worst_strain == pytest.approx(cut.strain, rel=0.1)
    assert stretched(forced.strips[0]) <= forced.worst_strain + 1e-12
    limits = skin(half_circles(50, 53, 54), most_strain=0.01)
    assert len(limits.strips) == 1


def test_mating_edges_of_strips_are_equal() -> None:
    made = skin(half_circles(50, 60, 54), thickness=5, neutral=1)
    first, second = (sheet(strip.surface) for strip in made.strips)
    assert first.lengths.end == pytest.approx(second.lengths.start, abs=1e-9)


@given(st.floats(40, 60), st.floats(-4, 4), st.floats(-4, 4))
def test_stretch_is_never_more_than_told(radius: float, one: float, two: float) -> None:
    made = skin(half_circles(radius, radius + one, radius + two, tolerance=0.05), seams="none")
    assert stretched(made.strips[0]) <= made.worst_strain + 1e-9


def test_stretched_strips_of_symmetric_sections_are_symmetric() -> None:
    surface = skin(half_circles(50, 52.4, 54)).strips[0].surface
    for left, right in zip(surface.flat, reversed(surface.flat), strict=True):
        assert [(0.0 - x, y) for x, y in left] == list(right)


def test_coaxial_cones_lie_flat_together_without_stretch() -> None:
    threads = []
    for k in range(25):
        t = math.pi * (k / 24 - 0.5)
        threads.append(
            tuple(
                (x, (60 - x / 10) * math.sin(t), (60 - x / 10) * math.cos(t))
                for x in (0.0, 60.0, 120.0, 200.0)
            )
        )
    found = relaxed(threads)
    assert found.strain < 1e-9
    flat = found.surface.flat
    # A cone's rims are arcs about its apex, 600 mm up the axis.
    slant = math.hypot(1, 0.1)
    angle = sum(math.dist(a[0], b[0]) for a, b in pairwise(flat)) / (600 * slant)
    assert sum(math.dist(a[-1], b[-1]) for a, b in pairwise(flat)) == pytest.approx(angle * 400 * slant)


def test_a_relaxed_grid_keeps_its_orientation() -> None:
    for a, b in pairwise(skin(half_circles(50, 53, 54), seams="none").strips[0].surface.flat):
        assert all(q[0] > p[0] for p, q in zip(a, b, strict=True))


# Thickness


@given(
    st.floats(60, 120),
    st.floats(60, 120),
    st.floats(30, 120),
    st.floats(1, 6),
    st.sampled_from([0.0, 0.5, 0.8, 1.0]),
)
def test_a_cone_of_thick_sheet_is_the_ring_s_blank(
    d1: float, d2: float, h: float, t: float, k: float
) -> None:
    made = skin([across(outline.circle(d1), 0), across(outline.circle(d2), h)], t, k).strips[0].surface
    blank = ring(d1, d2, h, t, k)
    assert area(made) == pytest.approx(blank.area, rel=2e-4)
    lengths = sheet(made).lengths
    assert lengths.start == pytest.approx(2 * math.pi * blank.start_neutral, rel=2e-4)
    assert lengths.end == pytest.approx(2 * math.pi * blank.end_neutral, rel=2e-4)
    assert lengths.first == pytest.approx(blank.slant, rel=1e-5)


def test_the_neutral_layer_of_a_box_has_mitred_corners() -> None:
    box = [across(outline.rect(80, 60), x, math.pi) for x in (0, 100)]
    surface = skin(box, 4, 0.5).strips[0].surface
    assert sheet(surface).lengths.start == pytest.approx(2 * (76 + 56))


def test_corners_rounder_than_the_sheet_vanish_into_a_mitre() -> None:
    box = [across(outline.rect(80, 60, 1), x, math.pi) for x in (0, 100)]
    surface = skin(box, 8, 0.5).strips[0].surface
    assert sheet(surface).lengths.start == pytest.approx(2 * (72 + 52), abs=1e-6)


def test_moving_in_and_out_again_gives_the_same_rulings() -> None:
    made = rulings(across(outline.ellipse(120, 80), 0, 0.4), across(outline.circle(70), 90, 0.4))
    back = moved_in(moved_in(made, 5), -5)
    for here, there in ((made.first, back.first), (made.second, back.second)):
        lines = [path.closed([(y, z) for _, y, z in section.points]) for section in (here, there)]
        assert path.signed_area(lines[1]) == pytest.approx(path.signed_area(lines[0]), rel=1e-5)
        assert length(there) == pytest.approx(length(here), rel=1e-5)


# Bends


def test_the_tightest_bend_of_a_cone_is_across_its_rulings() -> None:
    made = rulings(across(outline.circle(120), 0), across(outline.circle(80), 80))
    found = bends(made)
    assert found.tightest is not None
    assert found.tightest.radius == pytest.approx(40 / math.cos(math.atan2(20, 80)), rel=0.02)
    assert found.creases == ()
    assert found.hollow == ()


def test_corners_are_creases_and_turn_a_whole_turn() -> None:
    found = bends(
        rulings(across(outline.rect(80, 60), 0, math.pi), across(outline.rect(60, 60), 0.0001 + 100, math.pi))
    )
    assert len(found.creases) == 8
    assert all(bend.angle > 0 for bend in found.creases)
    assert found.tightest is None


def test_hollows_are_told() -> None:
    waist = [(0, 60), (40, 40), (25, 0), (40, -40), (0, -60), (-40, -40), (-25, 0), (-40, 40)]
    made = rulings(
        *(across(outline.scaled(outline.curve(waist), s), x, math.pi) for s, x in ((1, 0), (0.8, 100)))
    )
    found = bends(made)
    assert len(found.hollow) == 2
    assert abs(found.hollow[0].at[2]) < 30
    assert found.hollow[0].angle < -0.5


def test_an_L_turns_back_at_its_inner_corner() -> None:
    shape = outline.polygon([(0, 0), (80, 0), (80, 30), (30, 30), (30, 70), (0, 70)])
    found = bends(rulings(across(shape, 0, 3.0), across(shape, 50, 3.0)))
    inner = [bend for bend in found.creases if bend.angle < 0]
    assert [bend.at[1:] for bend in inner] == [(30, 30), (30, 30)]
    assert math.degrees(inner[0].angle) == pytest.approx(-90)


# Hands and refusals


def test_the_other_hand_has_the_same_sizes() -> None:
    cheeks = [
        across(outline.superellipse(100, 80 - x / 10, 3), x, arc=(0.3, 2.2), about=(0, 0))
        for x in (0.0, 100.0)
    ]
    here, there = (
        sheet(skin(s, 5, 0.5).strips[0].surface).lengths for s in (cheeks, [mirrored(c) for c in cheeks])
    )
    assert here.start == pytest.approx(there.start)
    assert (here.first, here.last) == pytest.approx((there.last, there.first))


@st.composite
def shapes(draw: st.DrawFn) -> path.Path:
    """Outlines of any kind, hollow and cornered ones among them."""
    if draw(st.booleans()):
        return outline.rect(
            draw(st.floats(30, 100)), draw(st.floats(30, 100)), draw(st.sampled_from([0.0, 8.0]))
        )
    reach = draw(st.lists(st.floats(30, 70), min_size=5, max_size=8))
    turns = [2 * math.pi * k / len(reach) for k in range(len(reach))]
    points = [(r * math.cos(t), r * math.sin(t)) for r, t in zip(reach, turns, strict=True)]
    return outline.curve(points) if draw(st.booleans()) else outline.polygon(points)


@given(
    st.lists(shapes(), min_size=2, max_size=3),
    st.sampled_from([None, (-1.0, 1.2), (-2.5, 2.5)]),
    st.floats(-3, 3),
    st.sampled_from([0.0, 5.0]),
)
def test_any_sections_make_a_skin_that_holds_together(
    outlines: list[path.Path], arc: tuple | None, seam: float, thickness: float
) -> None:
    sections = [across(shape, 70.0 * k, seam, arc, tolerance=0.05) for k, shape in enumerate(outlines)]
    made = skin(sections, thickness, 0.5)
    assert made.strips[0].first == 0
    assert made.strips[-1].last == len(sections) - 1
    for before, after in pairwise(made.strips):
        assert before.last == after.first
    assert len(made.cuts) == len(made.strips) - 1
    for strip in made.strips:
        assert stretched(strip) <= strip.strain + 1e-6 or not strip.exact
        for piece in sheets(strip.surface):
            assert path.signed_area(piece.outline) == pytest.approx(area(piece.surface), rel=1e-3)


@pytest.mark.parametrize(
    ("make", "code"),
    [
        (lambda: skin([across(outline.circle(40), 0)]), "too-few-sections"),
        (lambda: skin([across(outline.circle(40), 50), across(outline.circle(40), 0)]), "sections-not-in-order"),
        (lambda: skin([across(outline.circle(20), 0), across(outline.circle(30), 90)], 30, 0.5), "skin-too-thick"),
        (lambda: skin([point((0, 0, 0)), point((9, 0, 0))]), "sections-touch"),
        (lambda: skin([along([(0, 0, 0), (0, 9, 0)]), along([(0, 0, 0), (5, 9, 0)])]), "sections-touch"),
    ],
)  # fmt: skip
def test_refused(make, code: str) -> None:
    with pytest.raises(GeometryError) as caught:
        make()
    assert caught.value.code == code


def test_rims_lie_on_their_sections() -> None:
    made = skin([across(outline.ellipse(100, 70), 0), across(outline.circle(60), 80)])
    surface = made.strips[0].surface
    assert path.length(path.line([(y, z) for _, y, z in rim_in_space(surface, 0)])) == pytest.approx(
        length(made.sections[0])
    )
    assert len(threads_of(made.strips[0].bays[0])) == len(surface.space)
