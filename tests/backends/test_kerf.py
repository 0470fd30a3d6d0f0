"""Kerf: what is left when the cutter has taken its width is as large as the part was drawn."""

import math

import pytest
import shapely
from hypothesis import assume, given
from hypothesis import strategies as st
from ringwright.backends.drawing import Group, Stroke
from ringwright.backends.kerf import compensated
from ringwright.backends.sheet import for_eyes, for_machines, sheet_content
from ringwright.geometry.errors import GeometryError
from ringwright.geometry.part import Cutting
from ringwright.geometry.path import Path, as_hole, bounds, closed, flattened, length, line, signed_area


def group(*items):
    return Group("part-a-1", "a", "", items)


def cut(path):
    return Stroke("cut", path, 0.35)


def disc(radius):
    return Path(((-radius, 0.0), (radius, 0.0)), (1.0, 1.0), True)


def test_outlines_grow_and_openings_shrink():
    hole = as_hole(closed([(10, 10), (30, 10), (30, 20), (10, 20)]))
    outline = closed([(0, 0), (100, 0), (100, 40), (0, 40)])
    inner, outer = (item.path for item in compensated(group(cut(hole), cut(outline)), 0.2).items)
    assert bounds(outer) == pytest.approx((-0.1, -0.1, 100.1, 40.1))
    assert bounds(inner) == pytest.approx((10.1, 10.1, 29.9, 19.9))
    assert signed_area(inner) < 0 < signed_area(outer)


def test_circles_stay_circles():
    inner, outer = compensated(group(cut(as_hole(disc(20.0))), cut(disc(50.0))), 0.3).items
    assert bounds(outer.path) == pytest.approx((-50.15, -50.15, 50.15, 50.15))
    assert bounds(inner.path) == pytest.approx((-19.85, -19.85, 19.85, 19.85))
    assert {abs(bulge) for bulge in (*inner.path.bulges, *outer.path.bulges)} == {1.0}


@given(st.floats(0.05, 1.0), st.floats(20.0, 80.0), st.floats(-0.9, 0.9))
def test_the_cutter_leaves_the_part(kerf, size, bulge):
    """Shapely's tool, half a kerf to either side of the line, takes all that is not the part and nothing of it."""
    outline = Path(((0.0, 0.0), (size, 0.0), (size, size), (0.0, size)), (0.0, bulge, 0.0, 0.3), True)
    part = shapely.Polygon(flattened(outline, 1e-4))
    assume(part.is_valid)
    path = compensated(group(cut(outline)), kerf).items[0].path
    way = shapely.Polygon(flattened(path, 1e-4))
    left = way.difference(way.exterior.buffer(kerf / 2, quad_segs=64))
    # The tool is round: it leaves corners that point inwards round, and no others.
    assert left.difference(part.buffer(0.002)).area < 1e-6
    assert part.difference(left.buffer(0.002)).area < kerf * kerf


def test_a_far_line_moves_into_what_is_peeled():
    far = line([(80.0, 0.0), (80.0, 40.0)])
    peel = closed([(80, 0), (100, 0), (100, 40), (80, 40)])
    items = group(Stroke("far", far, 0.35), Stroke("peel", peel, 0.18)), 0.2
    moved = compensated(*items).items[0].path
    assert bounds(moved) == pytest.approx((80.1, -0.1, 80.1, 40.1))
    assert compensated(*items).items[1].path == peel


def test_a_bent_far_line_keeps_its_bend():
    bulge = math.tan(math.pi / 8)
    far = Path(((50.0, 0.0), (0.0, 50.0)), (bulge,), False)
    peel = Path(((50.0, 0.0), (70.0, 0.0), (0.0, 70.0), (0.0, 50.0)), (0.0, bulge, 0.0, -bulge), True)
    moved = compensated(group(Stroke("far", far, 0.35), Stroke("peel", peel, 0.18)), 0.4).items[0].path
    assert all(math.hypot(*point) == pytest.approx(50.2) for point in flattened(moved, 0.01))
    assert length(moved) == pytest.approx(50.2 * math.pi / 2 + 0.4, abs=1e-6)


def test_a_far_line_without_a_peel_area_stays():
    far = line([(80.0, 0.0), (80.0, 40.0)])
    assert compensated(group(Stroke("far", far, 0.35)), 0.2).items[0].path == far


def test_what_is_not_cut_stays(bench):
    whole = sheet_content(bench, bench.sheets[0]).groups
    moved = [compensated(one, 0.3) for one in whole]
    for before, after in zip(whole, moved, strict=True):
        for old, new in zip(before.items, after.items, strict=True):
            assert (old == new) == (old.layer not in ("cut", "far"))


def test_an_opening_smaller_than_the_kerf_is_refused():
    with pytest.raises(GeometryError, match=r"kerf of 3 mm does not go into a"):
        compensated(group(cut(as_hole(disc(1.0))), cut(disc(50.0))), 3.0)


def test_kerf_is_for_machines_only(bench):
    wide = bench._replace(cutting=Cutting(5.0, 2.0, 0.4))
    sheet, content = bench.sheets[0], sheet_content(bench, bench.sheets[0])
    assert for_eyes(wide, sheet, content, "") == for_eyes(bench, sheet, content, "")
    before, after = (for_machines(record, sheet, content) for record in (bench, wide))
    assert before != after
    assert before == for_machines(bench, sheet, content)
