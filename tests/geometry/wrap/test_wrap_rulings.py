"""Rulings: merging and dynamic programming agree; mirror images; seams; twist; what is refused."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from ringwright.geometry import outline
from ringwright.geometry.errors import GeometryError
from ringwright.geometry.wrap import section as sections
from ringwright.geometry.wrap.lattice import cheapest, twists
from ringwright.geometry.wrap.merge import merged
from ringwright.geometry.wrap.rulings import Rulings, aligned, rulings
from ringwright.geometry.wrap.section import Section, across, along, closed_through
from ringwright.geometry.wrap.surface import area, threads_of, unrolled

sizes = st.floats(30, 150)
powers = st.floats(1.6, 5)
turns = st.floats(-math.pi, math.pi)


@st.composite
def ovals(draw: st.DrawFn, x: float, even: bool = False) -> Section:
    shape = outline.superellipse(draw(sizes), draw(sizes), draw(powers))
    if not even:
        shape = outline.turned(shape, draw(turns))
    shape = outline.moved(shape, (0.0 if even else draw(st.floats(-20, 20)), draw(st.floats(-20, 20))))
    return across(shape, x, math.pi, tolerance=0.05)


def area_of(made: Rulings) -> float:
    return area(unrolled(threads_of(made)))


@given(ovals(0.0), ovals(90.0))
def test_merging_and_the_lattice_find_the_same_surface(first: Section, second: Section) -> None:
    second = aligned(first, second)
    ways = merged(first, second)
    assert ways is not None
    # Flat runs of a drawn oval bulge by a micrometre; that is all the twist there is.
    assert math.degrees(max(twists(first, second, ways))) < 0.05
    _, others = cheapest(first, second)
    flat = Rulings(first, second, others, 0.0, False)
    assert area_of(flat) == pytest.approx(area_of(rulings(first, second)), rel=1e-6)


def test_arcs_of_unlike_turning_do_not_twist_in_the_lattice() -> None:
    limits = [(-math.radians(a), math.radians(a)) for a in (90, 70)]
    first = across(outline.circle(120), 0, arc=limits[0], about=(0, 0), tolerance=0.05)
    second = across(outline.circle(80), 100, arc=limits[1], about=(0, 0), tolerance=0.05)
    _, ways = cheapest(first, second)
    # Flat runs of a drawn oval bulge by a micrometre; that is all the twist there is.
    assert math.degrees(max(twists(first, second, ways))) < 0.05
    assert area_of(Rulings(first, second, ways, 0.0, False)) == pytest.approx(14598.56, rel=1e-3)


@given(ovals(0.0), ovals(90.0))
def test_the_other_hand_is_the_mirror_image(first: Section, second: Section) -> None:
    here = unrolled(threads_of(rulings(first, aligned(first, second))))
    mirrors = sections.mirrored(first), sections.mirrored(second)
    there = unrolled(threads_of(rulings(mirrors[0], aligned(*mirrors))))
    assert area(there) == pytest.approx(area(here), rel=1e-6)
    for row in (0, 1):
        lengths = [math.dist(s.flat[0][row], s.flat[-1][row]) for s in (here, there)]
        assert lengths[0] == pytest.approx(lengths[1], abs=1e-3)


@given(ovals(0.0, even=True), ovals(80.0, even=True))
def test_what_is_symmetric_stays_so_exactly(first: Section, second: Section) -> None:
    surface = unrolled(threads_of(rulings(first, second)))
    assert len(surface.flat) % 2 == 1
    for left, right in zip(surface.flat, reversed(surface.flat), strict=True):
        assert [(0.0 - x, y) for x, y in left] == list(right)


def pinched(x: float, radius: float, pinch: float, count: int = 240) -> Section:
    points = []
    for k in range(count):
        t = 2 * math.pi * k / count
        r = radius * (1 - pinch * math.cos(2 * t))
        points.append((x, r * math.sin(t), r * math.cos(t)))
    return closed_through(points, (1.0, 0.0, 0.0))


def test_pinched_outlines_of_one_shape_are_a_cone_wherever_the_seam_is() -> None:
    first, second = pinched(0, 50, 0.3), pinched(100, 40, 0.3)
    assert merged(first, second) is None
    made = rulings(first, second)
    assert math.degrees(made.twist) < 0.02
    moved = sections.started_at(first, 17, 0.5)
    there = rulings(moved, aligned(moved, sections.started_at(second, 5, 0.3)))
    assert math.degrees(there.twist) < 0.02
    assert area_of(there) == pytest.approx(area_of(made), rel=1e-9)
    # The seam of the second section lies within half a chord of the cone's ruling through that of the first.
    (_, y0, z0), (_, y1, z1) = moved.points[0], there.second.points[0]
    assert abs(y0 * z1 - z0 * y1) < 1.02 * math.pi / 240 * math.hypot(y0, z0) * math.hypot(y1, z1)


@given(st.floats(-0.02, 0.02), st.integers(0, 7))
def test_noise_of_rounding_does_not_choose_the_rulings(lift: float, digits: int) -> None:
    """A cone with equal counts is all ties: the same path, whatever noise of 1e-12 mm is on it."""
    count = 60

    def ring(radius: float, x: float, noise: float) -> Section:
        points = []
        for k in range(count):
            t = 2 * math.pi * k / count
            wave = noise * math.sin(k * k + digits)
            points.append((x, (radius + wave) * math.sin(t), (radius + wave) * math.cos(t) + lift))
        return closed_through(points, (1.0, 0.0, 0.0))

    clean = cheapest(ring(60, 0, 0), ring(40, 80, 0))
    assert cheapest(ring(60, 0, 1e-13), ring(40, 80, 1e-13)) == clean


def test_straight_sections_turned_against_each_other_are_spread_evenly() -> None:
    turn = math.radians(15)
    first = along([(0, -50, 0), (0, 50, 0)])
    second = along(
        [(100, -50 * math.cos(turn), -50 * math.sin(turn)), (100, 50 * math.cos(turn), 50 * math.sin(turn))]
    )
    made = rulings(first, second)
    assert made.spread
    assert math.degrees(made.twist) == pytest.approx(15, abs=0.5)
    assert all(abs(i - j) <= 1 for i, j in made.ways)


def test_refinement_converges_with_the_square_of_the_step() -> None:
    """Inscribed polygons: the error falls as the tolerance does."""

    def found(tolerance: float) -> float:
        shapes = outline.circle(120), outline.moved(outline.circle(80), (0, 15))
        pair = [across(shape, x, 0.3, tolerance=tolerance) for shape, x in zip(shapes, (0, 100), strict=True)]
        return area_of(rulings(pair[0], aligned(*pair)))

    true = found(0.0002)
    errors = [true - found(tolerance) for tolerance in (0.2, 0.05, 0.0125)]
    assert errors[0] > errors[1] > errors[2] > 0
    assert errors[0] / errors[1] == pytest.approx(4, rel=0.35)


@pytest.mark.parametrize(
    ("first", "second", "code"),
    [
        (across(outline.circle(80), 0), across(outline.circle(60), 0), "same-plane"),
        (across(outline.circle(80), 0), across(outline.circle(60), 50, arc=(0.0, 1.0)), "open-and-closed"),
        (sections.point((0, 0, 0)), sections.point((10, 0, 0)), "sections-touch"),
    ],
)
def test_refused(first: Section, second: Section, code: str) -> None:
    with pytest.raises(GeometryError) as caught:
        rulings(first, second)
    assert caught.value.code == code
    assert str(caught.value)[0].islower()
