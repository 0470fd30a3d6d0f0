"""Dimensions on request, and offcuts: true figures where there is room, on nothing else."""

import math

import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from ringwright.backends.drawing import Stroke, Text, collisions
from ringwright.backends.offcuts import LEAST_AREA, LEAST_SIDE, offcuts
from ringwright.backends.sheet import for_eyes, for_machines, sheet_content
from ringwright.geometry.part import Placed
from ringwright.geometry.path import Path, as_hole, closed, flattened


def drawn(make_record, part, placed, dimensions=True):
    record = make_record([part], placed)
    content = sheet_content(record, record.sheets[0], dimensions)
    return for_machines(record, record.sheets[0], content)


def added(make_record, part, placed):
    """What dimensions add to a sheet."""
    before = drawn(make_record, part, placed, False).groups[0].items
    return [item for item in drawn(make_record, part, placed).groups[0].items if item not in before]


@pytest.fixture
def plate(make_part):
    return make_part("plate", closed([(0, 0), (90, 0), (120, 30), (90, 60), (0, 60)]))


def words(items):
    return sorted(item.text for item in items if isinstance(item, Text))


@pytest.mark.parametrize("rotation", [0.0, 90.0, 180.0, 37.0])
def test_overall_sizes_are_those_of_the_part(make_record, plate, rotation):
    items = added(make_record, plate, [Placed("plate", 1, 300.0, 200.0, rotation)])
    assert words(items) == ["120.0", "60.0"]
    shafts = [i for i in items if isinstance(i, Stroke) and not i.filled and len(i.path.points) == 2]
    heads = [i for i in items if isinstance(i, Stroke) and i.filled]
    # Two arrows and two extension lines each.
    assert (len(shafts), len(heads)) == (8, 4)
    tips = [i.path.points[0] for i in heads]
    assert math.dist(tips[0], tips[1]) == pytest.approx(120.0, abs=1e-6)
    assert math.dist(tips[2], tips[3]) == pytest.approx(60.0, abs=1e-6)
    assert {i.layer for i in items} == {"text"}


def test_the_figures_read_from_below_or_from_the_right(make_record, plate):
    for rotation in (0.0, 90.0, 180.0, 270.0):
        items = added(make_record, plate, [Placed("plate", 1, 300.0, 250.0, rotation)])
        turns = {round(item.rotation) for item in items if isinstance(item, Text)}
        assert turns == {0, 90}


def test_outside_is_better_than_inside(make_record, plate):
    items = added(make_record, plate, [Placed("plate", 1, 300.0, 200.0, 0.0)])
    part = shapely.Polygon([(300, 200), (390, 200), (420, 230), (390, 260), (300, 260)])
    assert not any(part.intersects(shapely.LineString(i.path.points)) for i in items if isinstance(i, Stroke))


def test_where_there_is_no_room_there_is_no_dimension(make_record, plate):
    # Hard in the corner, its lower and left side off the sheet; a part all over the rest would hide the others.
    items = added(make_record, plate, [Placed("plate", 1, 2.0, 2.0, 0.0)])
    for item in items:
        for x, y in item.path.points if isinstance(item, Stroke) else [item.at]:
            assert 1.0 <= x <= 761.0
            assert 1.0 <= y <= 507.0


def test_dimensions_lie_on_nothing(bench):
    content = sheet_content(bench, bench.sheets[0], True)
    plain = sheet_content(bench, bench.sheets[0])
    assert len([i for g in content.groups for i in g.items]) > len([i for g in plain.groups for i in g.items])
    assert collisions(for_eyes(bench, bench.sheets[0], content, "")) == []
    assert collisions(for_machines(bench, bench.sheets[0], content)) == []


def test_without_being_asked_for_there_are_none(bench):
    assert sheet_content(bench, bench.sheets[0]).groups == sheet_content(bench, bench.sheets[0], False).groups


def test_one_of_like_pieces_says_it_for_all(make_record, make_part):
    part = make_part("rib", closed([(0, 0), (90, 0), (90, 40), (0, 40)]), quantity=2)
    placed = [Placed("rib", 1, 100.0, 100.0, 0.0), Placed("rib", 2, 400.0, 300.0, 0.0)]
    groups = drawn(make_record, part, placed).groups
    assert [sum(i.text == "90.0" for i in g.items if isinstance(i, Text)) for g in groups[:2]] == [1, 0]


@pytest.mark.parametrize("rotation", [0.0, 90.0, 37.0])
def test_holes_are_told_from_the_edges(make_record, make_part, rotation):
    square = closed([(0, 0), (200, 0), (200, 120), (0, 120)])
    part = make_part("plate", square, holes=(as_hole(disc(50.0, 40.0, 5.0)), as_hole(disc(150.0, 40.0, 5.0))))
    items = added(make_record, part, [Placed("plate", 1, 300.0, 200.0, rotation)])
    # 50 mm from the left and from the right edge; how high the two stand is said of one, from whichever edge has room.
    found = words(items)
    assert found in (["120.0", "200.0", "40.0", "50.0", "50.0"], ["120.0", "200.0", "50.0", "50.0", "80.0"])
    assert collisions(drawn(make_record, part, [Placed("plate", 1, 300.0, 200.0, rotation)])) == []


def test_a_hole_without_room_for_its_figures_has_none(make_record, make_part):
    square = closed([(0, 0), (200, 0), (200, 120), (0, 120)])
    part = make_part("plate", square, holes=(as_hole(disc(8.0, 60.0, 3.0)),))
    items = added(make_record, part, [Placed("plate", 1, 300.0, 200.0, 0.0)])
    assert "8.0" not in words(items)
    assert collisions(drawn(make_record, part, [Placed("plate", 1, 300.0, 200.0, 0.0)])) == []


def disc(x, y, radius):
    return Path(((x - radius, y), (x + radius, y)), (1.0, 1.0), True)


@given(
    st.lists(st.tuples(st.floats(60, 700), st.floats(60, 440), st.floats(10, 60)), max_size=8),
    st.floats(0.0, 10.0),
)
def test_offcuts_keep_off_the_parts(discs, gap):
    outlines = [disc(*each) for each in discs]
    parts = shapely.union_all([shapely.Polygon(flattened(path, 0.01)) for path in outlines])
    found = [shapely.box(*each) for each in offcuts(762.0, 508.0, outlines, gap)]
    assert all(box.distance(parts) >= gap - 0.11 or parts.is_empty for box in found)
    for i, box in enumerate(found):
        left, low, right, high = box.bounds
        assert 0 <= left < right <= 762.0
        assert 0 <= low < high <= 508.0
        assert min(right - left, high - low) >= LEAST_SIDE
        assert box.area >= LEAST_AREA
        assert all(box.intersection(other).area == 0 for other in found[:i])
    assert [box.area for box in found] == sorted((box.area for box in found), reverse=True)


def test_an_empty_sheet_is_one_offcut():
    assert offcuts(762.0, 508.0, [], 5.0)[0] == (0.0, 0.0, 760.0, 500.0)


def test_the_largest_rectangle_is_found():
    # A bar right across the sheet leaves 300 mm above and 180 below it.
    bar = closed([(0, 188), (762, 188), (762, 200), (0, 200)])
    first, second = offcuts(762.0, 508.0, [bar], 0.0)
    assert first == (0.0, 210.0, 760.0, 500.0)
    assert second == (0.0, 0.0, 760.0, 180.0)


def test_what_falls_out_of_an_opening_is_no_offcut():
    outline = closed([(10, 10), (750, 10), (750, 500), (10, 500)])
    assert offcuts(762.0, 508.0, [outline], 4.0) == []


def test_offcuts_are_named_on_the_sheet(make_record, plate):
    drawing = drawn(make_record, plate, [Placed("plate", 1, 8.0, 8.0, 0.0)], False)
    names = [
        i for g in drawing.groups for i in g.items if isinstance(i, Text) and i.text.startswith("offcut")
    ]
    assert names[0].text == "offcut 760 × 420 mm"
    assert {name.layer for name in names} == {"info"}
    assert collisions(drawing) == []
