"""Bars of strip: a straight one is a prism, whose volume, middle and box are those of its section times its length."""

import math

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from ringwright.geometry.solid.bar import bar
from ringwright.geometry.solid.measure import box_of, centre, volume

places = st.tuples(*(st.floats(-500.0, 500.0),) * 3)


@given(places, places, st.floats(1.0, 12.0), st.floats(1.0, 12.0))
def test_a_straight_bar_is_a_prism(a, b, width: float, height: float) -> None:
    long = math.dist(a, b)
    assume(long > 20.0)
    made = bar("leg", 1, [a, b], (width, height))
    assert volume(made) == pytest.approx(width * height * long, rel=1e-6)
    assert centre(made) == pytest.approx([(p + q) / 2 for p, q in zip(a, b, strict=True)], abs=1e-3)


def test_its_width_lies_level() -> None:
    made = bar("spar", 1, [(0.0, -100.0, 10.0), (0.0, 100.0, 10.0)], (8.0, 3.0))
    assert box_of(made) == ((-4.0, -100.0, 8.5), (4.0, 100.0, 11.5))


def test_every_edge_has_two_triangles_that_run_against_each_other() -> None:
    arc = [(100 * math.sin(k / 50), 100 * math.cos(k / 50), 0.0) for k in range(60)]
    made = bar("hoop", 1, arc, (3.0, 3.0))
    edges = [edge for a, b, c in made.triangles for edge in ((a, b), (b, c), (c, a))]
    assert len(edges) == len(set(edges))
    assert all((b, a) in edges for a, b in edges)
    # Pappus: the section times the way of its middle, 100 mm times 59/50 rad
    assert volume(made) == pytest.approx(9.0 * 118.0, rel=0.002)


def test_places_on_a_straight_stretch_are_left_out() -> None:
    line = [(float(x), 0.0, 0.0) for x in range(101)]
    assert len(bar("a", 1, line, (3.0, 3.0)).vertices) == 8
