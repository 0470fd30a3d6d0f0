"""How forms meet, against shapely laying one over the other at every displacement."""

import math
from itertools import pairwise

import numpy as np
import shapely
import shapely.affinity
from hypothesis import assume, given
from hypothesis import strategies as st
from ringwright.geometry.nest.lattice import STEPS, area, form
from ringwright.geometry.nest.meeting import UNIT, meeting, turned_about
from scipy.ndimage import distance_transform_edt

LARGER = 0.25
"""Nodes by which a shape of many corners may be enlarged, at corners, too."""


def many(shape: shapely.Polygon) -> bool:
    return bool(shapely.get_num_coordinates(shape) >= 24)


# Corners on nodes, where edges run through nodes and along each other, and anywhere.
radii = st.lists(st.floats(1.0, 4.0), min_size=3, max_size=9)


@st.composite
def shapes(draw: st.DrawFn) -> shapely.Polygon:
    """A star-shaped polygon, its corners on nodes or not, or a frame."""
    lengths = draw(radii)
    turn = 2.0 * math.pi / len(lengths)
    points = [(4.0 + r * math.cos(turn * i), 4.0 + r * math.sin(turn * i)) for i, r in enumerate(lengths)]
    if draw(st.booleans()):
        points = [(round(x), round(y)) for x, y in points]
    shape = shapely.Polygon(points)
    assume(shape.is_valid and shape.area > 0.5)
    if draw(st.integers(0, 3)) == 0:
        shape = shape.buffer(2.0).difference(shape.buffer(0.5 + draw(st.floats(0.0, 0.5))))
    return shape


@given(shapes(), shapes())
def test_forms_meet_where_their_insides_do(fixed: shapely.Polygon, moving: shapely.Polygon) -> None:
    found = meeting(form(moving, 1.0), form(fixed, 1.0))
    for row, line in enumerate(found.depth):
        for column, depth in enumerate(line):
            laid = shapely.affinity.translate(moving, column + found.x, row + found.y)
            if shapely.intersection(fixed, laid).area > 1e-4:
                assert depth >= UNIT
            elif fixed.distance(laid) > (LARGER if many(fixed) or many(moving) else 0.0):
                assert depth == 0
    rim = np.concatenate((found.depth[[0, -1]].ravel(), found.depth[:, [0, -1]].ravel()))
    assert not rim.any()


@given(shapes(), shapes())
def test_depth_is_the_way_out(fixed: shapely.Polygon, moving: shapely.Polygon) -> None:
    found = meeting(form(moving, 1.0), form(fixed, 1.0))
    nearest = distance_transform_edt(found.depth > 0)
    assert np.abs(found.depth / UNIT - nearest).max() <= 0.5 / UNIT + 1e-9


@given(shapes(), shapes())
def test_turned_about_is_the_same_the_other_way(one: shapely.Polygon, other: shapely.Polygon) -> None:
    there, back = meeting(form(one, 1.0), form(other, 1.0)), meeting(form(other, 1.0), form(one, 1.0))
    mirrored = turned_about(there)
    assert (mirrored.y, mirrored.x) == (back.y, back.x)
    assert (mirrored.depth == back.depth).all()


@given(shapes(), shapes())
def test_coarse_is_every_second_node(one: shapely.Polygon, other: shapely.Polygon) -> None:
    found = meeting(form(one, 1.0), form(other, 1.0))
    for row in (0, 1):
        for column in (0, 1):
            assert (found.coarse[row][column] == found.depth[row::2, column::2]).all()


def test_what_just_fits_a_notch_or_touches_does_not_overlap() -> None:
    angle = shapely.Polygon([(0, 0), (6, 0), (6, 2), (2, 2), (2, 6), (0, 6)])
    plate = shapely.box(0, 0, 3, 3)
    found = meeting(form(plate, 1.0), form(angle, 1.0))
    free = {(2, 2), (6, 0), (0, 6), (-3, 0), (3, 2)}
    taken = {(1, 2), (2, 1), (0, 0), (5, 1)}
    assert {at for at in free | taken if found.depth[at[1] - found.y, at[0] - found.x] == 0} == free


@given(shapes())
def test_area_is_that_of_the_shape(shape: shapely.Polygon) -> None:
    found = area(form(shape, 1.0)) / STEPS**2
    assert found >= shape.area - 1e-4
    assert found <= shape.buffer(LARGER if many(shape) else 0.0).area + 1e-4


def test_rings_have_no_idle_corners() -> None:
    ring = [(0, 0), (2, 0), (2, 0), (4, 0), (6, 0), (4, 0), (4, 4), (0, 4), (0, 2)]
    (corners,) = form(shapely.Polygon(ring), 1.0).rings
    points = [tuple(point) for point in (corners / STEPS).tolist()]
    assert sorted(points) == [(0, 0), (0, 4), (4, 0), (4, 4)]
    assert all(one != other for one, other in pairwise(points))
    assert form(shapely.Polygon([(0, 0), (1e-9, 0), (0, 1e-9)]), 1.0).rings == ()
