"""Sections: where they start and end, arcs, what is refused."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from ringwright.geometry import outline, path
from ringwright.geometry.errors import GeometryError
from ringwright.geometry.wrap import section as sections
from ringwright.geometry.wrap.section import across, along, closed_through, turn_of


@given(st.floats(-math.pi, math.pi), st.floats(30, 120), st.floats(30, 120))
def test_a_whole_section_starts_at_its_seam_and_grows_in_turn(
    seam: float, width: float, height: float
) -> None:
    found = across(outline.ellipse(width, height), 40, seam)
    assert found.points[0] == found.points[-1]
    assert math.remainder(turn_of(found, found.points[0]) - seam, 2 * math.pi) == pytest.approx(0, abs=1e-6)
    steps = [
        math.remainder(turn_of(found, b) - turn_of(found, a), 2 * math.pi)
        for a, b in zip(found.points, found.points[1:], strict=False)
    ]
    assert min(steps) > 0
    assert sum(steps) == pytest.approx(2 * math.pi)
    assert sections.length(found) == pytest.approx(path.length(outline.ellipse(width, height)), abs=0.02)


@given(st.floats(-3, 0), st.floats(0.1, 3))
def test_an_arc_has_the_length_of_its_turn(start: float, end: float) -> None:
    found = across(outline.circle(100), 0, arc=(start, end), tolerance=0.001)
    assert sections.length(found) == pytest.approx(50 * (end - start), rel=1e-4)
    assert not found.closed


def test_an_arc_between_two_lines_ends_at_their_nearest_places() -> None:
    found = across(outline.rect(80, 60), 0, arc=((-40.0, 10.0), (40.0, 10.0)))
    assert [p[1:] for p in found.points] == [(-40, 10), (-40, 30), (40, 30), (40, 10)]


def test_an_arc_may_pass_the_bottom() -> None:
    found = across(outline.rect(80, 60), 0, arc=(math.pi / 2, -math.pi / 2))
    assert [c for p in found.points for c in p[1:]] == pytest.approx([40, 0, 40, -30, -40, -30, -40, 0])


def test_a_ray_that_meets_a_hollow_outline_often_takes_the_outermost() -> None:
    notch = outline.polygon(
        [(-50, -20), (50, -20), (50, 40), (5, 40), (5, 10), (-5, 10), (-5, 40), (-50, 40)]
    )
    assert across(notch, 0, 0.0, about=(0.0, 0.0)).points[0][1:] == (0, 10)
    assert across(notch, 0, 1.0, about=(0.0, 0.0)).points[0][1] == pytest.approx(50)


def test_symmetric_sections_have_a_corner_on_the_middle_plane() -> None:
    found = sections.symmetric(across(outline.rect(80, 60), 0, math.pi))
    assert found.points[len(found.points) // 2] == (0, 0, 30)
    assert sections.is_symmetric(found)
    assert not sections.is_symmetric(across(outline.rect(80, 60), 0, 0.3))


def test_mirrored_twice_is_the_same() -> None:
    found = across(outline.moved(outline.circle(40), (30, 5)), 10, 0.4, about=(30, 5))
    assert sections.mirrored(sections.mirrored(found)) == found
    assert turn_of(sections.mirrored(found), sections.mirrored(found).points[0]) == pytest.approx(-0.4)


@pytest.mark.parametrize(
    ("make", "code"),
    [
        (lambda: across(outline.circle(40), 0, 0.0, about=(100.0, 0.0)), "off-outline"),
        (lambda: across(outline.circle(40), math.nan), "not-finite"),
        (lambda: along([(0, 0, 0), (0, 0, 1e-9)]), "no-arc"),
        (lambda: closed_through([(0, 0, 0), (0, 1, 0), (0, 0, 0)]), "no-arc"),
    ],
)
def test_refused(make, code: str) -> None:
    with pytest.raises(GeometryError) as caught:
        make()
    assert caught.value.code == code
