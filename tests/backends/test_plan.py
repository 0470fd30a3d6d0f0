"""The plan: parts where they sit, at true size, named where there is room; and nothing else that could be cut."""

import math

import pytest
import shapely
from ringwright.backends.drawing import WIDE, Stroke, Text, collisions
from ringwright.backends.paper import paper_of
from ringwright.backends.plan import SIDE, TOP, plan_of
from ringwright.backends.record import Load
from ringwright.backends.silhouette import shape_of
from ringwright.backends.tiles import tiled
from ringwright.geometry.part import Bent, Facet, Flat, Rolled
from ringwright.geometry.path import Path, as_hole, bounds, closed

AFT, STARBOARD, UP = (1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0)
SQUARE = closed([(-40, -30), (40, -30), (40, 30), (-40, 30)])


def disc(radius):
    return Path(((-radius, 0.0), (radius, 0.0)), (1.0, 1.0), True)


def barrel(start, end, length, sweep=2 * math.pi):
    return Rolled((10.0, 0.0, 5.0), AFT, UP, STARBOARD, start, end, length, length, 0.0, 0.0, sweep)


@pytest.fixture(scope="module")
def parts(make_part):
    return {
        "former": make_part(
            "F3", SQUARE, holes=(as_hole(disc(10.0)),), placement=Flat((100.0, 0, 0), STARBOARD, UP)
        ),
        "side": make_part(
            "side", SQUARE, holes=(as_hole(disc(10.0)),), placement=Flat((0, -20.0, 0), AFT, UP)
        ),
        "drum": make_part("drum", SQUARE, placement=barrel(50.0, 30.0, 60.0)),
        "loose": make_part("loose", SQUARE),
    }


def test_a_former_is_seen_from_its_edge(parts):
    shape = shape_of(parts["former"], SIDE.seen)
    # It is drawn from aft, so its thickness of 4.8 mm lies before x = 100.
    assert shape.outline.bounds == pytest.approx((95.2, -30.0, 100.0, 30.0), abs=1e-3)
    assert shape.outline.area == pytest.approx(4.8 * 60.0, rel=1e-4)
    assert shape.inner == ()


def test_a_side_is_seen_as_it_is_drawn(parts):
    shape = shape_of(parts["side"], SIDE.seen)
    assert shape.outline.bounds == pytest.approx((-40.0, -30.0, 40.0, 30.0))
    (hole,) = shape.inner
    assert bounds(hole) == pytest.approx((-10.0, -10.0, 10.0, 10.0), abs=0.03)


def test_a_cone_is_seen_as_a_trapezium_with_its_rims(parts):
    shape = shape_of(parts["drum"], SIDE.seen)
    trapezium = shapely.Polygon([(10, -45), (70, -25), (70, 35), (10, 55)])
    assert shape.outline.symmetric_difference(trapezium).area < 2.0
    assert sorted(bounds(path)[0] for path in shape.inner) == pytest.approx([10.0, 70.0])
    # From the front it would be a ring seen whole: the larger rim.
    front = shape_of(parts["drum"], lambda place: (place[1], place[2]))
    assert front.outline.bounds == pytest.approx((-50.0, -45.0, 50.0, 55.0), abs=0.03)


def test_half_a_ring_is_half_as_high(make_part):
    half = make_part("half", SQUARE, placement=barrel(50.0, 50.0, 60.0, math.pi))
    # From the top (turn 0) over starboard to below.
    assert shape_of(half, TOP.seen).outline.bounds == pytest.approx((10.0, 0.0, 70.0, 50.0), abs=0.03)


def test_a_bent_sheet_is_the_union_of_its_facets(make_part):
    flat = ((0.0, 0.0), (1.0, 0.0), (0.0, 1.0))
    facets = (
        Facet(flat, ((0.0, 0.0, 0.0), (50.0, 0.0, 0.0), (50.0, 0.0, 40.0))),
        Facet(flat, ((0.0, 0.0, 0.0), (50.0, 0.0, 40.0), (0.0, 0.0, 40.0))),
    )
    shape = shape_of(make_part("skin", SQUARE, placement=Bent(facets)), SIDE.seen)
    assert shape.outline.equals(shapely.box(0, 0, 50, 40))


def test_a_part_without_a_place_is_not_on_the_plan(parts, make_record):
    assert shape_of(parts["loose"], SIDE.seen) is None
    assert plan_of(make_record([parts["loose"]], []), "") is None


@pytest.fixture(scope="module")
def plan(parts, make_record):
    record = make_record(list(parts.values()), [])
    loads = (
        Load("battery", 100.0, (60.0, 0.0, 0.0)),
        Load("glue", 1.0, (0.0, 0.0, 0.0)),
        Load("glue", 2.0, AFT),
    )
    return plan_of(record._replace(loads=loads), "2026-03-01")


def test_the_plan_is_true_to_size(plan):
    side = next(group for group in plan.drawing.groups if group.id == "view-side")
    boxes = [bounds(item.path) for item in side.items if isinstance(item, Stroke) and item.width == WIDE]
    sizes = sorted((round(x1 - x0, 3), round(y1 - y0, 3)) for x0, y0, x1, y1 in boxes)
    assert sizes[0] == (4.8, 60.0)
    assert (80.0, 60.0) in sizes
    # The former stands 100 mm aft of the middle of the side, in both views.
    for view in plan.drawing.groups:
        lefts = sorted(
            bounds(item.path)[0] for item in view.items if isinstance(item, Stroke) and item.width == WIDE
        )
        assert lefts[-1] - lefts[0] == pytest.approx(95.2 + 40.0, abs=0.001)


def test_names_lie_on_nothing_and_all_is_named(plan):
    assert collisions(plan.drawing) == []
    texts = {item.text for group in plan.drawing.groups for item in group.items if isinstance(item, Text)}
    assert {"F3", "side", "drum", "battery"} <= texts
    assert "glue" not in texts
    assert {item.layer for group in plan.drawing.groups for item in group.items} == {"mark", "text"}


def test_parts_that_look_alike_share_a_name(make_part, make_record):
    placed = {hand: Flat((0, y, 0), AFT, UP) for hand, y in (("left", -20.0), ("right", 15.2))}
    pair = [make_part(f"d.{hand}", SQUARE, placement=place, hand=hand) for hand, place in placed.items()]
    found = plan_of(make_record(pair, []), "")
    texts = [item.text for item in found.drawing.groups[1].items if isinstance(item, Text)]
    assert "d.left LEFT, d.right RIGHT" in texts


def test_the_plan_goes_on_paper(plan):
    pages = tiled(plan, paper_of("a4"))
    assert pages[0].title == "Marsh Heron rev B · plan"
    assert len(pages) >= 2


def test_a_name_without_room_has_a_letter_and_stands_in_the_key(make_part, make_record):
    """Two dozen long names on one spot: some are too long for it."""
    crowd = [
        make_part(
            f"a very long name of a part that hardly finds a place {i:02d}",
            closed([(0, 0), (40, 0), (40, 6), (0, 6)]),
            placement=Flat((10.0 + 2.0 * i, 0.0, 0.0), STARBOARD, UP),
        )
        for i in range(40)
    ]
    plan = plan_of(make_record(crowd, []), "")
    said = [item.text for group in plan.drawing.groups for item in group.items if isinstance(item, Text)]
    letters = dict(plan.key)
    assert letters
    named = {name for name in said if name.startswith("a very")} | {
        name
        for letter, names in letters.items()
        for name in (names.split(", ") if letter == "not named" else [names])
    }
    assert named == {part.name for part in crowd}
    assert all(letter in said for letter in letters if letter != "not named")
    assert collisions(plan.drawing) == []
