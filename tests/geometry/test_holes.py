"""How much is left around holes: the plain way for circles agrees with the way for any hole."""

from hypothesis import given
from hypothesis import strategies as st
from ringwright.geometry.holes import RIM, _around_any, _around_circles, hole_clearance
from ringwright.geometry.outline import circle, ellipse, half, rect
from ringwright.geometry.path import canonical, moved

OUTLINES = {
    "circle": canonical(circle(85.0)),
    "former": canonical(half([(0, 61), (38, 52), (51, 20), (51, -30), (33, -58), (0, -58)])),
    "rectangle": canonical(rect(100.0, 90.0, 8.0)),
    "ellipse": canonical(ellipse(100.0, 60.0)),
}
HOLES = st.lists(
    st.tuples(st.tuples(st.floats(-40, 40), st.floats(-40, 40)), st.floats(2, 40)), min_size=1, max_size=3
)


@given(st.sampled_from(sorted(OUTLINES)), HOLES)
def test_circles_are_judged_the_same_both_ways(
    name: str, wanted: list[tuple[tuple[float, float], float]]
) -> None:
    outline, holes = OUTLINES[name], [moved(circle(size), place) for place, size in wanted]
    plain, any_way = _around_circles(outline, holes), _around_any(outline, holes)
    if plain is None:
        assert min(clearance.distance for clearance in any_way) < 0.01
        assert hole_clearance(outline, holes) == any_way
    else:
        assert hole_clearance(outline, holes) == plain
        for one, other in zip(plain, any_way, strict=True):
            assert abs(one.distance - other.distance) < 0.005


def test_a_hole_off_the_sheet_and_a_hole_that_is_no_circle_go_the_general_way() -> None:
    outline = OUTLINES["rectangle"]
    assert _around_circles(outline, [moved(circle(6.0), (80.0, 0.0))]) is None
    assert _around_circles(outline, [circle(6.0), moved(rect(6.0, 6.0), (20.0, 0.0))]) is None
    assert _around_circles(outline, [circle(6.0)]) is not None


def test_what_reaches_over_the_rim_is_told_so_whatever_else_it_covers() -> None:
    """A hole of 120 mm in a plate of 60 mm, over a small one in its middle: 30 mm over the edge, up to its chords."""
    found = _around_any(circle(60), [circle(120), circle(3)])
    assert found[0].to == RIM
    assert abs(found[0].distance + 30) < 0.01
