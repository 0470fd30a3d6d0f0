"""Developments of cones and frusta against old textbooks, and against other programs' integrals.

Sources stand beside each check; LONGFIELD is E. M. Longfield, Sheet Metal Drafting, McGraw-Hill, 1921 (public
domain), as on wikisource.org. Inches are kept where the book has them: the formulas do not mind the unit.
"""

import math

import numpy as np
import pytest
import trimesh
from hypothesis import assume, given
from hypothesis import strategies as st
from ringwright.geometry import path
from ringwright.geometry.blank import Seam, blank
from ringwright.geometry.ring import ring, wall_volume
from scipy import integrate


def test_frustum_of_the_funnel_problem() -> None:
    """LONGFIELD p. 128, problem 30B sample: diameters 6 and 3 in, altitude 3 in. Its slant rule is printed;
    numbers from it.
    """
    made = ring(6, 3, 3, 0, 1)
    assert made.slant == pytest.approx(3.354102, abs=1e-6)
    assert made.area == pytest.approx(47.4174994, abs=1e-6)
    assert made.blank_outer_radius == pytest.approx(6.7082039, abs=1e-6)
    assert made.blank_inner_radius == pytest.approx(3.354102, abs=1e-6)
    assert math.degrees(made.blank_angle or 0) == pytest.approx(160.9968944, abs=1e-6)


def test_frustum_of_the_pump_spout() -> None:
    """LONGFIELD p. 128, problem 30C: diameters 3 1/8 and 2 1/2 in, slant height 7 1/2 in; area computed from
    them.
    """
    made = ring(3.125, 2.5, math.sqrt(7.5**2 - 0.3125**2), 0, 1)
    assert made.slant == pytest.approx(7.5, abs=1e-12)
    assert made.area == pytest.approx(66.2679, abs=1e-3)


def test_whole_cone() -> None:
    """LONGFIELD p. 82, sec. 38: base diameter 5 in, slant 12 in: circumference 15.708 in printed (pi =
    3.1416), area 6 times.

    A ring keeps a hole at its point: 0.001 in here.
    """
    point = 1e-3
    made = ring(5, point, math.sqrt(12**2 - (2.5 - point / 2) ** 2), 0, 1)
    assert blank(made, Seam("butt")).start_edge == pytest.approx(15.708, abs=1e-4)
    assert made.area == pytest.approx(94.248, abs=0.02)


def test_area_of_a_sector() -> None:
    """LONGFIELD p. 82, sec. 38: a sector of radius 7 in with an arc of 14 in has 49 in²."""
    bulge = path.bulge_of(2)
    sector = path.Path(((0.0, 0.0), (7.0, 0.0), (7 * math.cos(2), 7 * math.sin(2))), (0.0, bulge, 0.0), True)
    assert path.signed_area(sector) == pytest.approx(49, abs=1e-9)
    assert path.length(sector) == pytest.approx(28, abs=1e-9)


def test_the_old_handbooks_rules() -> None:
    """https://chestofbooks.com/crafts/metal/Builder-Mechanic/Rule-For-Striking-Out-A-Cone-Or-Frustum.html:
    slant six times the base radius opens at 60°; http://www.anvilfire.com/21centbs/math/cones1.htm: a cone
    with a 90° point opens at 254.6°.
    """
    sixth = ring(2, 1, 0.5 * math.sqrt(35), 0, 1)
    assert math.degrees(sixth.blank_angle or 0) == pytest.approx(60, abs=1e-9)
    square = ring(2, 1, 0.5, 0, 1)
    assert math.degrees(square.blank_angle or 0) == pytest.approx(254.6, abs=0.05)


def test_a_school_exercise() -> None:
    """https://www.esaral.com/q/the-radii-of-the-ends-of-a-frustum-of-a-right-circular-17813: radii 5 and 8 m,
    slant 5 m.

    Area 204.2035 m² by pi (r1 + r2) l; the page's 204.28 uses 22/7.
    """
    made = ring(16, 10, 4, 0, 1)
    assert made.slant == 5
    assert made.area == pytest.approx(204.2035, abs=1e-4)
    assert made.area / math.pi * 22 / 7 == pytest.approx(204.28, abs=0.02)


sizes = st.floats(min_value=50, max_value=300)


@given(sizes, sizes, st.floats(min_value=10, max_value=200), st.floats(min_value=0, max_value=4))
def test_area_by_numeric_integration(start: float, end: float, high: float, wall: float) -> None:
    """scipy.integrate.quad over the surface of revolution of the neutral line (k = 1/2), and trimesh's volume
    of the wall.
    """
    assume(min(start, end) > 3 * wall * math.hypot(1, (start - end) / 2 / high))
    made = ring(start, end, high, wall, 0.5)
    r1, r2 = made.start_neutral, made.end_neutral
    slope = (r2 - r1) / high
    area, _ = integrate.quad(lambda x: 2 * math.pi * (r1 + slope * x) * math.sqrt(1 + slope**2), 0, high)
    assert made.area == pytest.approx(area, rel=1e-9)
    assert path.signed_area(blank(made, Seam("butt")).outline) == pytest.approx(area, rel=1e-8)
    assert wall_volume(made) == pytest.approx(made.area * wall, rel=1e-12)


@pytest.mark.parametrize(
    ("start", "end", "high"), [(132, 116, 25.75), (92, 116, 30), (180, 40, 30), (132, 131.99, 38)]
)
def test_area_and_volume_of_a_mesh(start: float, end: float, high: float) -> None:
    """trimesh: the wall's section revolved in 2048 steps; area of its middle layer and volume of the wall."""
    made = ring(start, end, high, 5, 0.5)
    middle = trimesh.creation.revolve(
        np.array([[made.start_neutral, 0], [made.end_neutral, high]]), sections=2048, process=False
    )
    assert made.area == pytest.approx(middle.area, rel=1e-5)
    section = [
        [start / 2, 0],
        [end / 2, high],
        [made.end_inside / 2, high],
        [made.start_inside / 2, 0],
        [start / 2, 0],
    ]
    wall = trimesh.creation.revolve(np.array(section), sections=2048)
    assert wall_volume(made) == pytest.approx(abs(wall.volume), rel=1e-5)


def test_lengths_and_areas_of_arcs_by_quadrature() -> None:
    """scipy.integrate.quad along a path's pieces: length, area and first moments by Green's theorem."""
    blob = path.Path(((0.0, 0.0), (40.0, 5.0), (30.0, 35.0), (-5.0, 20.0)), (0.3, -0.2, 0.9, 0.0), True)
    length = area = moment_x = moment_y = 0.0
    for piece in path.pieces(blob):
        size = path.piece_length(piece)

        def along(u: float, which: int, piece: path.Piece = piece, size: float = size) -> float:
            (x, y), (dx, dy) = path.piece_point(piece, u)
            return size * (math.hypot(dx, dy), x * dy, x * x / 2 * dy, -y * y / 2 * dx)[which]

        parts = [integrate.quad(along, 0, 1, args=(which,), epsabs=1e-11)[0] for which in range(4)]
        length, area, moment_x, moment_y = (
            a + b for a, b in zip((length, area, moment_x, moment_y), parts, strict=True)
        )
    assert path.length(blob) == pytest.approx(length, rel=1e-10)
    assert path.signed_area(blob) == pytest.approx(area, rel=1e-10)
    assert path.centroid(blob) == pytest.approx((moment_x / area, moment_y / area), rel=1e-9)
