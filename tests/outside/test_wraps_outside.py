"""Wraps against other programs and old textbooks: hulls, areas of meshes, oblique cones, transition pieces.

Sources stand beside each check; LONGFIELD is E. M. Longfield, Sheet Metal Drafting, McGraw-Hill, 1921 (public
domain), as on wikisource.org.
"""

import math

import mpmath
import numpy as np
import pytest
import trimesh
from hypothesis import given
from hypothesis import strategies as st
from ringwright.geometry import outline
from ringwright.geometry.wrap import sheet as sheets
from ringwright.geometry.wrap.relax import relaxed
from ringwright.geometry.wrap.rulings import aligned
from ringwright.geometry.wrap.section import Section, across, closed_through, point
from ringwright.geometry.wrap.strip import skin
from ringwright.geometry.wrap.surface import area, facets
from scipy.optimize import least_squares
from scipy.spatial import ConvexHull


@st.composite
def sections(draw: st.DrawFn, x: float) -> Section:
    """A random convex outline: the hull of random points."""
    points = draw(
        st.lists(st.tuples(st.integers(-60, 60), st.integers(-60, 60)), min_size=8, max_size=30, unique=True)
    )
    spread = np.array([*points, (-61, -20), (62, -25), (3, 63)], dtype=float)
    ring = spread[ConvexHull(spread).vertices][::-1]
    return closed_through([(x, float(y), float(z)) for y, z in ring], (1.0, 0.0, 0.0))


def caps(section: Section) -> float:
    return float(ConvexHull(np.array(section.points[:-1])[:, 1:]).volume)


@given(sections(0.0), sections(80.0))
def test_a_skin_of_two_convex_outlines_is_their_hull(first: Section, second: Section) -> None:
    """scipy.spatial.ConvexHull (Qhull): its area less that of both outlines."""
    second = aligned(first, second)
    surface = skin([first, second]).strips[0].surface
    hull = ConvexHull(np.array(first.points + second.points))
    assert area(surface) == pytest.approx(hull.area - caps(first) - caps(second), rel=1e-9)


def test_areas_in_space_and_flat_are_those_of_a_mesh() -> None:
    """trimesh: area of the facets as triangles, in space and in the drawing."""
    surface = (
        skin([across(outline.superellipse(120, 80, 3), 0, 1.0), across(outline.circle(70), 90, 1.0)])
        .strips[0]
        .surface
    )
    found = facets(surface)
    for corners in ([f.space for f in found], [[(*p, 0.0) for p in f.flat] for f in found]):
        vertices = np.array(corners).reshape(-1, 3)
        mesh = trimesh.Trimesh(vertices, np.arange(len(vertices)).reshape(-1, 3), process=False)
        assert mesh.area == pytest.approx(area(surface), rel=1e-12)


def test_a_funnel_as_a_skin() -> None:
    """LONGFIELD p. 128, problem 30B sample: diameters 6 and 3 in, altitude 3 in; slant 3.354102 (rule printed),
    area, radii and angle from it. In tenths of an inch, for the sake of the chords.
    """
    surface = skin([across(outline.circle(60), 0), across(outline.circle(30), 30)]).strips[0].surface
    assert area(surface) == pytest.approx(4741.74994, rel=2e-4)
    assert sheets.sheet(surface).lengths.first == pytest.approx(33.54102, rel=1e-6)
    for row, radius in ((0, 67.082039), (1, 33.54102)):
        chord = math.dist(surface.flat[0][row], surface.flat[-1][row])
        assert chord == pytest.approx(2 * radius * math.sin(math.radians(160.9968944) / 2), rel=2e-4)


def test_an_oblique_cone() -> None:
    """Base circle r 50, apex 100 above it and 40 to one side. Elements by Pythagoras; angle and area by mpmath's
    quadrature of |c x c'| / |c|^2 and |c x c'| / 2 along the base (line integrals, computed here; no printed
    source).
    """
    apex = (100.0, 0.0, 40.0)
    surface = skin([across(outline.circle(100), 0, 0.0, tolerance=0.001), point(apex)]).strips[0].surface
    elements = sorted(math.dist(*thread) for thread in surface.flat)
    assert elements[0] == pytest.approx(100.4987562, abs=1e-3)
    assert elements[-1] == pytest.approx(134.5362405, abs=1e-3)

    def swept(t: mpmath.mpf) -> tuple:
        c = (-100, 50 * mpmath.sin(t), 50 * mpmath.cos(t) - 40)
        d = (0, 50 * mpmath.cos(t), -50 * mpmath.sin(t))
        n = (c[1] * d[2] - c[2] * d[1], c[2] * d[0] - c[0] * d[2], c[0] * d[1] - c[1] * d[0])
        return mpmath.sqrt(sum(v * v for v in n)), sum(v * v for v in c)

    angle = mpmath.quad(lambda t: swept(t)[0] / swept(t)[1], mpmath.linspace(0, 2 * mpmath.pi, 9))
    true = mpmath.quad(lambda t: swept(t)[0] / 2, mpmath.linspace(0, 2 * mpmath.pi, 9))
    assert math.degrees(angle) == pytest.approx(149.4074395, abs=1e-6)
    assert area(surface) == pytest.approx(float(true), rel=1e-4)
    (head, first), last = (surface.flat[0][1], surface.flat[0][0]), surface.flat[-1][0]
    ways = [math.atan2(p[1] - head[1], p[0] - head[0]) for p in (first, last)]
    assert (ways[1] - ways[0]) % (2 * math.pi) == pytest.approx(float(angle), abs=1e-3)


def test_triangulation_converges_from_below_with_the_square_of_the_chords() -> None:
    """Inscribed polygons: errors of angle and area fall by 4 where chords are halved (common practice, no
    published source).
    """
    errors = []
    for count in (24, 48, 96):
        ring = [
            (0.0, 50 * math.sin(t), 50 * math.cos(t)) for t in (2 * math.pi * k / count for k in range(count))
        ]
        made = skin([closed_through(ring, (1.0, 0.0, 0.0)), point((100.0, 0.0, 40.0))])
        errors.append(18011.11649 - area(made.strips[0].surface))
    assert errors[2] > 0
    assert errors[0] / errors[1] == pytest.approx(4, abs=0.1)
    assert errors[1] / errors[2] == pytest.approx(4, abs=0.1)


def test_corners_of_a_transition_piece() -> None:
    """Square 200 x 200 to circle of diameter 100, 100 apart: true length from a corner to the nearest axis point of
    the circle 150, to its 45 degree point 135.4911967 (Pythagoras; computed, no printed source).
    """
    surface = (
        skin([across(outline.rect(200, 200), 0, math.pi), across(outline.circle(100), 100, math.pi)])
        .strips[0]
        .surface
    )
    lengths = [
        math.dist(*flat)
        for flat, (foot, _) in zip(surface.flat, surface.space, strict=True)
        if math.dist(foot, (0, 100, 100)) < 1e-9
    ]
    assert min(lengths) == pytest.approx(135.4911967, abs=2e-2)
    assert max(lengths) == pytest.approx(150, abs=1e-6)


def test_a_line_straight_on_the_drawing_is_a_helix() -> None:
    """Cylinder r 50, rise 100: a turn is 329.6908309 long and straight on the blank (isometry of the cylinder;
    from memory, exact).
    """
    surface = skin([across(outline.circle(100), x, tolerance=0.0005) for x in (0.0, 100.0)]).strips[0].surface
    assert math.dist(surface.flat[0][0], surface.flat[-1][1]) == pytest.approx(329.6908309, abs=2e-3)


def test_stretch_is_that_of_another_optimizer() -> None:
    """scipy.optimize.least_squares on the same springs: the same greatest stretch."""
    turn = math.radians(20)
    threads = []
    for k in range(13):
        u = -50 + 100 * k / 12
        foot, head = np.array((0.0, u, 0.0)), np.array((80.0, u * math.cos(turn), u * math.sin(turn)))
        threads.append(tuple(tuple(float(c) for c in foot + (head - foot) * r / 3) for r in range(4)))
    found = relaxed(threads)
    space = np.array(threads)
    n, rows = space.shape[:2]
    pairs = [
        ((k, r), (k + a, r + b))
        for k in range(n)
        for r in range(rows)
        for a, b in ((1, 0), (0, 1), (1, 1), (1, -1))
        if k + a < n and 0 <= r + b < rows
    ]
    ends = [np.array([k * rows + r for k, r in side]) for side in zip(*pairs, strict=True)]
    flat_space = space.reshape(-1, 3)
    true = np.linalg.norm(flat_space[ends[1]] - flat_space[ends[0]], axis=1)

    def off(at: np.ndarray) -> np.ndarray:
        spots = at.reshape(-1, 2)
        return (np.linalg.norm(spots[ends[1]] - spots[ends[0]], axis=1) - true) / np.sqrt(true)

    start = np.array([[space[k, 0, 1], space[0, r, 0]] for k in range(n) for r in range(rows)]).ravel()
    other = least_squares(off, start, method="trf", x_scale=1.0, ftol=1e-15, xtol=1e-15, gtol=1e-15).x
    assert found.strain == pytest.approx(float(np.max(np.abs(off(other)) / np.sqrt(true))), rel=1e-4)
