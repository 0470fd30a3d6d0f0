"""Flat sheets bend back onto their sections, by a way of their own: hinged facet by facet into the sections'
planes.
"""

import math
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from ringwright.geometry import outline, path
from ringwright.geometry.wrap.section import Section, across, closed_through, point
from ringwright.geometry.wrap.strip import skin
from ringwright.geometry.wrap.surface import Surface, area, facets, part, rim, rim_in_space, skirted, widths
from scipy.optimize import brentq


def bent_back(surface: Surface, levels: tuple) -> list:
    """Feet and heads in space of a sheet that starts at the top and whose rims lie on two upright cylinders.

    levels: for each rim a function that is 1 on its cylinder. Only the drawing and its first ruling in space are
    used: each next corner lies on a circle about the last ruling, of the size the drawing says, where that goes
    through the cylinder. That it then lies in the section's plane too is for the caller to see.
    """
    found = [tuple(np.array(p) for p in surface.space[0])]
    for k, (a, b) in enumerate(pairwise(surface.flat)):
        foot, head = found[-1]
        axis = (head - foot) / np.linalg.norm(head - foot)
        drawn = np.subtract(a[1], a[0]) / math.dist(*a)
        new = []
        for row, level in enumerate(levels):
            if math.dist(a[row], b[row]) < 1e-9:
                new.append((foot, head)[row])
                continue
            out = np.subtract(b[row], a[0])
            centre = foot + float(np.dot(out, drawn)) * axis
            radius = abs(float(drawn[0] * out[1] - drawn[1] * out[0]))
            last = found[-1][row] - found[-2][row] if k else np.array([0.0, 1.0, 0.0])
            if np.linalg.norm(last) < 1e-9:
                last = found[-1][1 - row] - found[-2][1 - row]
            e = last - np.dot(last, axis) * axis
            e /= np.linalg.norm(e)
            f = np.cross(axis, e)

            def off(t: float, centre=centre, radius=radius, e=e, f=f, level=level) -> float:
                return level(centre + radius * (math.cos(t) * e + math.sin(t) * f)) - 1

            t = brentq(off, -1.2, 1.2, xtol=1e-14)
            new.append(centre + radius * (math.cos(t) * e + math.sin(t) * f))
        found.append(tuple(new))
    return found


def oval(values: tuple, x: float) -> Section:
    width, height, lift = values
    count = 160
    points = []
    for k in range(count):
        t = 2 * math.pi * k / count
        points.append((x, width / 2 * math.sin(t), lift + height / 2 * math.cos(t)))
    return closed_through(points, (1.0, 0.0, 0.0))


def level_of(values: tuple):
    width, height, lift = values
    return lambda p: math.hypot(p[1] / (width / 2), (p[2] - lift) / (height / 2))


ovals = st.tuples(st.floats(50, 120), st.floats(50, 120), st.floats(-15, 15))


@given(ovals, ovals, st.floats(60, 150))
def test_a_flat_skin_bends_back_onto_its_sections(near: tuple, far: tuple, length: float) -> None:
    surface = skin([oval(near, 0), oval(far, length)]).strips[0].surface
    found = bent_back(surface, (level_of(near), level_of(far)))
    for foot, head in found:
        assert abs(foot[0]) < 1e-5
        assert abs(head[0] - length) < 1e-5
    # All the way round it comes back to where it started.
    for row in (0, 1):
        assert np.allclose(found[0][row], found[-1][row], atol=1e-4)


@given(ovals, ovals)
def test_edges_and_areas_are_kept(near: tuple, far: tuple) -> None:
    surface = skin([oval(near, 0), oval(far, 90)]).strips[0].surface
    for facet in facets(surface):
        for k in range(3):
            flat, space = (math.dist(c[k], c[k - 1]) for c in facet)
            assert flat == pytest.approx(space, abs=1e-9)
    for row in (0, 1):
        lengths = [
            math.fsum(math.dist(a, b) for a, b in pairwise(line))
            for line in (rim(surface, row), rim_in_space(surface, row))
        ]
        assert lengths[0] == pytest.approx(lengths[1], abs=1e-9)


def test_a_strip_of_4000_triangles_ends_where_it_should() -> None:
    sections = [across(outline.circle(100), x, tolerance=0.00006) for x in (0.0, 100.0)]
    surface = skin(sections).strips[0].surface
    assert len(surface.flat) > 2000
    assert {round(y, 10) for thread in surface.flat for _, y in thread} == {0.0, 100.0}


def test_a_cone_to_its_point() -> None:
    made = skin([point((0, 0, 0)), across(outline.circle(80), 100, tolerance=0.0005)])
    surface = made.strips[0].surface
    assert area(surface) == pytest.approx(math.pi * 40 * math.hypot(100, 40), rel=1e-4)
    angle = math.dist(surface.flat[0][1], surface.flat[-1][1]) / 2 / math.hypot(100, 40)
    assert 2 * math.asin(angle) == pytest.approx(2 * math.pi * 40 / math.hypot(100, 40), rel=1e-4)


@given(st.floats(0.1, 0.4), st.floats(0.5, 0.9))
def test_a_part_is_as_wide_as_asked_and_fits_its_neighbours(low: float, high: float) -> None:
    assume(high - low > 0.05)
    sections: list[Section] = [across(outline.ellipse(100, 70), 0), across(outline.circle(60), 80)]
    surface = skin(sections).strips[0].surface
    whole = widths(surface)[-1]
    pieces = [part(surface, a * whole, b * whole) for a, b in ((0, low), (low, high), (high, 1))]
    assert math.fsum(area(piece) for piece in pieces) == pytest.approx(area(surface), rel=1e-9)
    for before, after in pairwise(pieces):
        for p, q in zip(before.space[-1], after.space[0], strict=True):
            assert p == pytest.approx(q)


def test_a_skirt_runs_on_straight() -> None:
    sections = [across(outline.rect(80, 60), x, arc=(-0.2, 0.2), about=(0, 0)) for x in (0.0, 50.0)]
    surface = skin(sections).strips[0].surface
    more = skirted(surface, 5)
    wide = 2 * 30 * math.tan(0.2)
    assert area(surface) == pytest.approx(50 * wide)
    assert area(more) == pytest.approx(60 * (wide + 10))
    assert path.length(path.line(rim(more, 0))) == pytest.approx(wide + 10)
