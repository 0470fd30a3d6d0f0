"""Where a sheet loses its inner paper: bent tighter than it takes as bought."""

import math

import pytest
from ringwright.geometry import outline
from ringwright.geometry.path import signed_area
from ringwright.geometry.wrap.peel import bent_zones, shared, zone_outline
from ringwright.geometry.wrap.section import across
from ringwright.geometry.wrap.strip import skin


def surface(*shapes, arc=None, seam=math.pi):
    sections = [across(shape, 100.0 * k, seam, arc) for k, shape in enumerate(shapes)]
    return skin(sections).strips[0].surface


def test_the_corners_of_a_rounded_box_and_no_more():
    # Four quarter circles of 30 mm between flats of 100 and 60 mm, from the middle of the lower flat.
    box = outline.rect(160.0, 120.0, 30.0)
    zones = bent_zones(surface(box, box), 150.0)
    quarter = 30 * math.pi / 2
    starts = [50.0, 50 + quarter + 60, 150 + 2 * quarter + 60, 150 + 3 * quarter + 120]
    assert len(zones) == 4
    for (low, high), start in zip(zones, starts, strict=True):
        assert low == pytest.approx(start, abs=1.0)
        assert high == pytest.approx(start + quarter, abs=1.0)


def test_all_of_a_cylinder_or_nothing():
    tube = surface(outline.circle(100.0), outline.circle(100.0))
    ((low, high),) = bent_zones(tube, 51.0)
    assert low == pytest.approx(0.0, abs=1e-9)
    assert high == pytest.approx(100 * math.pi, abs=0.05)
    assert bent_zones(tube, 49.0) == ()


def test_a_cone_counts_at_its_tighter_end():
    cone = surface(outline.circle(200.0), outline.circle(120.0))
    assert len(bent_zones(cone, 80.0)) == 1
    assert bent_zones(cone, 55.0) == ()


def test_scored_corners_are_no_bends():
    assert bent_zones(surface(outline.rect(80.0, 60.0), outline.rect(80.0, 60.0)), 150.0) == ()


def test_the_outline_of_a_zone_has_its_area():
    box = outline.rect(160.0, 120.0, 30.0)
    sheet = surface(box, box)
    zone = bent_zones(sheet, 150.0)[1]
    assert signed_area(zone_outline(sheet, zone)) == pytest.approx(100 * (zone[1] - zone[0]), rel=1e-6)


def test_what_two_areas_share():
    (piece,) = shared(outline.rect(40.0, 20.0), (outline.moved(outline.rect(10.0, 10.0), (20.0, 0.0)),))
    assert abs(signed_area(piece)) == pytest.approx(50.0)
    assert shared(outline.rect(4.0, 4.0), (outline.moved(outline.rect(4.0, 4.0), (50.0, 0.0)),)) == ()
