"""The other hand of a part lies where a mirror shows the first one."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from ringwright.geometry.blank import Seam, blank
from ringwright.geometry.mass import measure
from ringwright.geometry.mirror import other_hand
from ringwright.geometry.outline import circle, polygon
from ringwright.geometry.part import Centre, Flat, Part, Stock
from ringwright.geometry.path import as_hole, canonical, signed_area
from ringwright.geometry.place import AFT, STARBOARD, UP, in_space, rolled
from ringwright.geometry.ring import ring

BOARD = Stock("board", "board", "foamboard", 4.8, 762, 508, "none", 4e-4, 0.0, None, "peeled", 1.0, 25.0)


def part_of(outline, holes=(), placement=None, notes=()):
    return Part(
        "p", "p", "p", "left", BOARD, 1, canonical(outline), tuple(as_hole(h) for h in holes), (), (), (), (), (Centre((3.0, 4.0), 2.0),),
        notes, (), "free", placement, measure(outline, holes, (), (), BOARD, placement),
    )  # fmt: skip


def mirror(point):
    return point[0], -point[1], point[2]


@pytest.mark.parametrize(("u", "v"), [(STARBOARD, UP), (AFT, UP), (AFT, STARBOARD)])
def test_a_flat_part_lies_where_the_mirror_shows_it(u, v):
    first = part_of(
        polygon([(0, 0), (30, 0), (22, 17)]), (circle(2.0),), Flat((5.0, 7.0, 9.0), u, v), ("port face up",)
    )
    other = other_hand(first, "q", "right")
    for x, y in first.outline.points:
        assert in_space(other.placement, (-x, y)) == pytest.approx(mirror(in_space(first.placement, (x, y))))
    assert other.properties.centroid == pytest.approx(mirror(first.properties.centroid))
    again = measure(other.outline, other.holes, (), (), BOARD, other.placement)
    # Half a thickness behind the drawn face, on either side of the mirror.
    assert abs(again.centroid[1]) == pytest.approx(
        abs(other.properties.centroid[1]), abs=BOARD.thickness + 1e-9
    )
    assert other.notes == ("starboard face up",)
    assert signed_area(other.outline) > 0
    assert all(signed_area(hole) < 0 for hole in other.holes)


@given(
    start=st.floats(60, 200),
    end=st.floats(60, 200),
    length=st.floats(20, 80),
    seam_at=st.floats(-3, 3),
    y=st.floats(-90, 90),
)
def test_a_ring_is_rolled_where_the_mirror_shows_it(start, end, length, seam_at, y):
    made = blank(ring(start, end, length, 4.8, 1.0), Seam("butt"))
    (placement,) = rolled(made, (0.0, y, 5.0), AFT, UP, STARBOARD, seam_at)
    first = part_of(made.outline, (), placement)
    other = other_hand(first, "q", "right")
    shift = placement.start_radius * 2 * math.pi if placement.to_apex == 0 else 0.0
    for x, v in first.outline.points:
        seen = mirror(in_space(first.placement, (x, v)))
        assert in_space(other.placement, (shift - x, v)) == pytest.approx(seen, abs=1e-6)


def test_the_mirror_image_of_the_mirror_image_is_the_part():
    first = part_of(
        polygon([(0, 0), (30, 0), (22, 17)]),
        (circle(2.0),),
        Flat((5.0, 7.0, 9.0), AFT, UP),
        ("port face up",),
    )
    assert other_hand(other_hand(first, "q", "right"), "p", "left") == first
