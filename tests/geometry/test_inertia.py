"""Moments of inertia by closed forms; against meshes in tests/outside/."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from ringwright.geometry import outline, path, place
from ringwright.geometry.blank import Seam, blank
from ringwright.geometry.inertia import POINT, box, inertia, spread_of
from ringwright.geometry.mass import measure
from ringwright.geometry.part import Part, Placement, Stock
from ringwright.geometry.path import Path
from ringwright.geometry.ring import ring

BOARD = Stock("board", "", "foamboard", 5, 762, 508, "none", 450e-6, 0.3, 120e-6, "peeled", 1.0, 25)


def part(
    shape: Path, placement: Placement | None, stock: Stock = BOARD, holes: tuple[Path, ...] = ()
) -> Part:
    found = measure(shape, holes, (), (), stock, placement)
    return Part(
        "p", "p", "p", "", stock, 1, shape, holes, (), (), (), (), (), (), (), "free", placement, found
    )  # fmt: skip


def test_a_rectangle_a_disc_and_a_hole() -> None:
    plate = spread_of(part(path.canonical(outline.rect(120, 60)), place.section_frame(50, 10, 20)))
    assert plate == pytest.approx((25 / 12, 120**2 / 12, 60**2 / 12, 0, 0, 0), abs=1e-9)
    disc = path.canonical(outline.circle(100))
    washer = spread_of(part(disc, place.top_frame(0), holes=(path.as_hole(outline.circle(40)),)))
    quarter = (50**2 + 20**2) / 4
    assert washer == pytest.approx((quarter, quarter, 25 / 12, 0, 0, 0), abs=1e-9)


def test_a_triangle_has_a_product() -> None:
    """A right triangle of legs a, b about its centroid: a²/18, b²/18, and its product -ab/36."""
    found = spread_of(part(path.closed([(0, 0), (90, 0), (0, 30)]), place.top_frame(0)))
    assert found == pytest.approx((90**2 / 18, 30**2 / 18, 25 / 12, -90 * 30 / 36, 0, 0), abs=1e-9)


@pytest.mark.parametrize("way", [place.FORWARD, place.AFT])
def test_a_thin_tube(way: tuple[float, float, float]) -> None:
    """A thin tube of radius R and length l: R²/2 across, l²/12 along."""
    thin = BOARD._replace(thickness=0.01, neutral=0.5)
    sheet = blank(ring(100, 100, 80, 0.01, 0.5), Seam("butt"))
    (placed,) = place.rolled(sheet, (7, 0, 3), way, place.UP, place.STARBOARD, 1.0)
    found = spread_of(part(sheet.outline, placed, thin))
    radius = 50 - 0.005
    assert found == pytest.approx((80**2 / 12, radius**2 / 2, radius**2 / 2, 0, 0, 0), abs=1e-3)


def test_a_thin_cone() -> None:
    """A thin cone from radius 0 up to R, of height h: its mass lies as r, so that x̄ = 2h/3 and the spread is h²/18."""
    thin = BOARD._replace(thickness=0.01, neutral=0.5)
    sheet = blank(ring(0.1, 100, 60, 0.01, 0.5), Seam("butt"))
    (placed,) = place.rolled(sheet, (0, 0, 0), place.AFT, place.UP, place.STARBOARD, 0.0)
    found = spread_of(part(sheet.outline, placed, thin))
    assert found[0] == pytest.approx(60**2 / 18, rel=2e-3)
    assert found[1] == pytest.approx(found[2]) == pytest.approx(50**2 / 4, rel=2e-3)


def test_without_a_place_there_is_none() -> None:
    assert spread_of(part(path.canonical(outline.circle(50)), None)) == POINT


places = st.tuples(*(st.floats(-500, 500) for _ in range(3)))
masses = st.lists(st.tuples(st.floats(0.1, 300), places), min_size=1, max_size=6)


@given(masses)
def test_points(found: list[tuple[float, tuple[float, float, float]]]) -> None:
    weight = sum(mass for mass, _ in found)
    middle = [sum(mass * at[axis] for mass, at in found) / weight for axis in range(3)]
    roll, pitch, yaw = inertia([(mass, at, POINT) for mass, at in found])
    spread = [sum(mass * (at[axis] - middle[axis]) ** 2 for mass, at in found) for axis in range(3)]
    assert roll == pytest.approx(spread[1] + spread[2], rel=1e-9, abs=1e-6)
    assert pitch == pytest.approx(spread[0] + spread[2], rel=1e-9, abs=1e-6)
    assert yaw == pytest.approx(spread[0] + spread[1], rel=1e-9, abs=1e-6)


@given(st.floats(1, 100), st.floats(1, 100), st.floats(1, 100))
def test_two_halves_of_a_box_are_the_box(x: float, y: float, z: float) -> None:
    whole = inertia([(40.0, (0, 0, 0), box((x, y, z)))])
    half = box((x / 2, y, z))
    assert inertia([(20.0, (x / 4, 0, 0), half), (20.0, (-x / 4, 0, 0), half)]) == pytest.approx(whole)
    assert whole.roll == pytest.approx(40 * (y * y + z * z) / 12)


def test_nothing_has_none() -> None:
    assert inertia([]) == (0, 0, 0)
    assert math.isfinite(sum(inertia([(0.0, (1, 2, 3), POINT)])))
