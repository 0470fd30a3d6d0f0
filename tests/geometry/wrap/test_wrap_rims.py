"""Rims of bent sheets, what they leave of formers, and how sheets are turned on their drawing."""

import math

import pytest
from ringwright.geometry.outline import circle, rect
from ringwright.geometry.part import Bent
from ringwright.geometry.path import bounds, signed_area
from ringwright.geometry.place import in_space
from ringwright.geometry.wrap import score
from ringwright.geometry.wrap.inside import inside, left_by
from ringwright.geometry.wrap.rims import (
    at_share,
    band,
    bevelled_face,
    greatest_lean,
    highest,
    is_even,
    lies_along,
    spot_on,
    ticks,
)
from ringwright.geometry.wrap.section import across, along
from ringwright.geometry.wrap.sheet import Trim, Trims, sheets
from ringwright.geometry.wrap.strip import skin
from ringwright.geometry.wrap.surface import facets, level, rim

LEAN = math.atan2(10, 80)
ARC = (-math.pi / 3, math.pi / 3)


def cone(arc=ARC):
    return skin([across(circle(100), 0.0, arc=arc), across(circle(80), 80.0, arc=arc)]).strips[0].surface


def test_the_bevel_of_a_cone_is_its_half_angle_all_round():
    assert greatest_lean(cone(), 0) == pytest.approx(LEAN, abs=1e-4)
    assert greatest_lean(cone(), -1) == pytest.approx(LEAN, abs=1e-4)
    assert is_even(cone(), 0)
    oblique = skin([across(circle(100), 0.0), across(rect(20, 20), 80.0)]).strips[0].surface
    assert not is_even(oblique, 0)


def test_the_top_of_a_rim_and_places_along_it():
    assert highest(cone(), 0) == pytest.approx((0, 0, 50), abs=0.01)
    assert highest(cone((math.pi / 6, math.pi / 3)), 0) is None
    quarter = at_share(cone(), 0, 0.25)
    assert quarter == pytest.approx((0, -50 * math.sin(math.pi / 6), 50 * math.cos(math.pi / 6)), abs=0.02)
    spot = spot_on(cone(), 0, quarter)
    assert spot is not None
    assert in_space(Bent(facets(cone())), spot.at) == pytest.approx(quarter, abs=1e-6)
    assert math.hypot(*spot.inward) == pytest.approx(1)
    assert spot_on(cone(), -1, quarter) is None


def test_ticks_stand_on_the_rim_and_go_in():
    spot = spot_on(cone(), 0, at_share(cone(), 0, 0.5))
    assert spot is not None
    one, two = ticks(spot, 2, "to F2")
    assert (one.text, two.text) == ("to F2", "")
    for mark in (one, two):
        (x0, y0), (x1, y1) = mark.path.points
        assert (x1 - x0) * spot.inward[0] + (y1 - y0) * spot.inward[1] > 0


def test_a_line_along_a_rim_is_known():
    from ringwright.geometry.path import line

    edge = line(rim(cone(), 0))
    assert lies_along(edge, cone(), 0)
    assert not lies_along(edge, cone(), -1)


def test_what_a_closed_skin_leaves_is_inset_by_the_thickness_over_the_cosine():
    surface = skin([across(circle(100), 0.0), across(circle(80), 80.0)]).strips[0].surface
    found = inside(surface, 0.0, 5.0, 5.0, True)
    assert (found.least, found.most) == pytest.approx((5 / math.cos(LEAN),) * 2, rel=1e-4)
    left = left_by(circle(100), circle(100), found, ())
    assert signed_area(left) == pytest.approx(math.pi * (50 - 5 / math.cos(LEAN)) ** 2, rel=1e-3)


def test_what_an_open_skin_takes_is_its_band():
    outer = across(circle(100), 0.0, arc=ARC)
    found = inside(cone(), 0.0, 5.0, 5.0, False)
    left = left_by(circle(100), circle(100), found, outer.points)
    deep = 5 / math.cos(LEAN)
    assert signed_area(left) == pytest.approx(math.pi * (2500 - (2500 - (50 - deep) ** 2) / 3), rel=1e-3)
    # Straight: a strip 3 wide off the right-hand edge of a square.
    edge, inner = along([(0, 20, 20), (0, 20, -20)]), along([(0, 17, 20), (0, 17, -20)])
    assert bounds(band(edge.points, inner)) == pytest.approx((17, -20, 20.5, 20))


def test_corners_alone_are_scored():
    box = skin([across(rect(40, 30), 0.0, seam_at=math.pi), across(rect(40, 30), 60.0, seam_at=math.pi)])
    found = score.corners(box.strips[0].surface)
    assert [round(math.degrees(one.angle)) for one in found] == [90] * 4
    assert score.corners(cone()) == ()


def test_outermost_edges_have_trims_of_their_own():
    found = sheets(cone(), Trims(last=Trim("lap", 6)), 3, outermost=(Trim("tab", 4), Trim("lap", 9)))
    wide = [bounds(one.outline)[2] - bounds(one.outline)[0] for one in found]
    plain = [bounds(one.outline)[2] - bounds(one.outline)[0] for one in sheets(cone(), None, 3)]
    assert [len(one.folds) for one in found] == [1, 0, 0]
    assert wide[2] - plain[2] == pytest.approx(9, abs=0.3)
    assert wide[1] - plain[1] == pytest.approx(6, abs=0.3)


def test_a_sheet_is_turned_so_that_up_is_up():
    surface = cone()
    assert surface.flat[0][0] != (0.0, 0.0)
    turned = level(surface, (1.0, 0.0, 0.0))
    assert turned.flat[0][0] == pytest.approx((0, 0))
    for a, b in zip(surface.flat, turned.flat, strict=True):
        assert math.dist(a[0], a[1]) == pytest.approx(math.dist(b[0], b[1]))
    middle = turned.flat[len(turned.flat) // 2]
    assert middle[1][0] == pytest.approx(middle[0][0], abs=0.05)
    sideways = level(surface, (-1.0, 0.0, 0.0))
    middle = sideways.flat[len(sideways.flat) // 2]
    assert middle[1][1] < middle[0][1]


def test_which_face_a_bevel_takes_from() -> None:
    # Narrowing towards the tail the inner face lies further aft: less of it at the nose, more at the tail.
    assert (bevelled_face(cone(), 0), bevelled_face(cone(), -1)) == ("inside", "outside")
