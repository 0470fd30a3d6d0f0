"""Labels: what they say, and that they find a place without touching anything."""

import math

import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from ringwright.backends.drawing import Stroke, Text, collisions, text_box
from ringwright.backends.label import full_forms, label_rows, outside_forms, set_rows
from ringwright.backends.room import Box, Room, crossed, free_lengths, segments, turn, upright
from ringwright.backends.sheet import sheet_drawing
from ringwright.geometry.part import Mark, Placed
from ringwright.geometry.path import Path, closed, flattened, line, turned


def test_rows_are_most_needed_first(make_part):
    part = make_part(
        "deck",
        closed([(0, 0), (212.4, 0), (212.4, 61), (0, 61)]),
        quantity=2,
        hand="left",
        notes=("face up", "to F3"),
    )
    assert label_rows(part, 1, "B", "mm") == (
        "deck LEFT · rev B",
        "board 4.8 · 1 of 2",
        "face up",
        "to F3",
        "212.4 × 61.0",
    )
    assert label_rows(part, 2, "", "in")[::4] == ("deck LEFT", "8.36 × 2.40 in")


def test_one_piece_has_no_copy(make_part):
    part = make_part("deck", closed([(0, 0), (50, 0), (50, 50), (0, 50)]))
    assert label_rows(part, 1, "B", "mm")[1] == "board 4.8"


def test_forms_get_smaller_and_say_everything():
    rows = ("deck · rev B", "board 4.8", "face up", "50.0 × 50.0")
    heights = [form.rows[0][1] for form in full_forms(rows, "deck")]
    assert heights == sorted(heights, reverse=True)
    assert all(sum(len(text) for text, _, _ in form.rows) >= 31 for form in full_forms(rows, "deck"))
    assert [[text for text, _, _ in form.rows] for form in full_forms(rows, "deck")][:4] == [
        ["deck · rev B", "board 4.8", "face up", "50.0 × 50.0"],
        ["deck", "rev B · board 4.8", "face up", "50.0 × 50.0"],
        ["deck · rev B", "board 4.8 · face up", "50.0 × 50.0"],
        ["deck · rev B · board 4.8 · face up · 50.0 × 50.0"],
    ]
    aside = list(outside_forms(rows, "deck"))
    assert min(height for form in aside for _, height, _ in form.rows) == 2.5
    assert max(height for form in aside for _, height, _ in form.rows) == 3.5
    assert all(form.rows[0][0].startswith("deck") for form in aside)
    assert next(outside_forms(rows[1:], "deck")).rows == set_rows(rows[1:], 2.5, 2.5).rows


@given(st.floats(-720.0, 720.0))
def test_lettering_reads_from_below_or_from_the_right(angle):
    turned_to = upright(angle)
    assert -90.0 < turned_to <= 90.0
    assert math.sin(math.radians(2 * (turned_to - angle))) == pytest.approx(0.0, abs=1e-6)


@given(
    st.tuples(*[st.floats(-50.0, 50.0)] * 4),
    st.tuples(st.floats(-30.0, 30.0), st.floats(-30.0, 30.0)),
    st.floats(1.0, 60.0),
    st.floats(1.0, 30.0),
    st.floats(-90.0, 90.0),
)
def test_crossed_is_what_a_geometry_library_says(ends, centre, width, height, rotation):
    import numpy as np

    x0, y0, x1, y1 = ends
    box = shapely.Polygon(Box(centre, width, height, rotation).corners())
    stretch = shapely.LineString([(x0, y0), (x1, y1)])
    c, s = turn(rotation)
    found = crossed(np.array([ends]), np.array([centre]), width, height, (c, s))[0]
    own = crossed(np.array([ends]), np.array([centre]), width, height, (np.array([[c]]), np.array([[s]])))[0]
    assert own == found
    if box.exterior.distance(stretch) > 1e-9 or box.buffer(-1e-9).intersects(stretch):
        assert found == box.intersects(stretch)


@given(
    st.tuples(*[st.floats(-50.0, 50.0)] * 4),
    st.tuples(st.floats(-30.0, 30.0), st.floats(-30.0, 30.0)),
    st.floats(1.0, 30.0),
    st.floats(-90.0, 90.0),
)
def test_a_strip_is_free_as_far_as_a_geometry_library_says(ends, centre, height, rotation):
    import numpy as np

    x0, y0, x1, y1 = ends
    (found,) = free_lengths(np.array([ends]), np.array([centre]), height, turn(rotation))
    stretch = shapely.LineString([(x0, y0), (x1, y1)])
    for half, touches in ((found - 1e-6, False), (found + 1e-6, True)):
        if 1e-3 < half < 200.0:
            # A segment that runs along the edge of the strip counts either way.
            boxes = [
                shapely.Polygon(Box(centre, 2 * half, high, rotation).corners())
                for high in (height - 1e-6, height + 1e-6)
            ]
            if boxes[0].intersects(stretch) == boxes[1].intersects(stretch):
                assert boxes[0].intersects(stretch) == touches
    if found == np.inf:
        assert not shapely.Polygon(Box(centre, 400.0, height - 1e-6, rotation).corners()).intersects(stretch)


def test_a_room_is_within_its_outline_and_out_of_holes_and_boxes():
    import numpy as np

    outline, hole = closed([(0, 0), (40, 0), (40, 40), (0, 40)]), closed([(5, 5), (5, 15), (15, 15), (15, 5)])
    room = Room((outline, hole), off=[closed([(20, 20), (38, 20), (38, 38), (20, 38)])])
    room.take(Box((30.0, 10.0), 10.0, 6.0, 0.0))
    points = np.array([(2, 2), (10, 10), (30, 30), (30, 10), (-1, 2), (10, 30)], dtype=float)
    assert room.may_bear(points).tolist() == [True, False, False, False, False, True]
    reach, runs = room.nearest(np.array([(2.0, 20.0)]))
    assert reach[0] == pytest.approx(2.0)
    assert runs[0].tolist() == [0.0, -40.0]
    copy = room.copy()
    copy.take(Box((10.0, 30.0), 4.0, 4.0, 0.0))
    assert not copy.may_bear(points)[-1]
    assert room.may_bear(points)[-1]


def within(part_path: Path, place: Placed) -> shapely.Polygon:
    path = turned(part_path, math.radians(place.rotation))
    return shapely.Polygon([(x + place.x, y + place.y) for x, y in flattened(path, 0.01)])


@st.composite
def stars(draw):
    """Outlines without crossings: radii about a centre at even angles, from slivers to plates."""
    count = draw(st.integers(3, 14))
    size = draw(st.sampled_from((4.0, 15.0, 60.0, 150.0)))
    radii = draw(st.lists(st.floats(0.3, 1.0), min_size=count, max_size=count))
    squash = draw(st.sampled_from((1.0, 0.5, 0.1)))
    return closed(
        [
            (size * r * math.cos(math.tau * i / count), squash * size * r * math.sin(math.tau * i / count))
            for i, r in enumerate(radii)
        ]
    )


@given(stars(), st.sampled_from((0.0, 17.0, 90.0, 180.0, 275.0)), st.booleans())
def test_any_part_is_named_without_a_collision(make_part, make_record, outline, rotation, marked):
    reach = max(math.hypot(x, y) for x, y in outline.points)
    marks = (Mark(line([(0.0, 0.0), (reach * 0.25, 0.0)]), "mate", "to F3"),) if marked else ()
    part = make_part("fairing.left.2", outline, notes=("inside up", "to F3"), marks=marks)
    place = Placed(part.id, 1, 300.0, 250.0, rotation)
    record = make_record([part], [place])
    for eyes in (False, True):
        assert collisions(sheet_drawing(record, record.sheets[0], eyes, "")) == []

    group = sheet_drawing(record, record.sheets[0], False, "").groups[0]
    names = [
        item for item in group.items if isinstance(item, Text) and item.text.startswith("fairing.left.2")
    ]
    assert len(names) == 1
    body = within(part.outline, place)
    if not body.contains(shapely.Polygon(text_box(names[0]))):
        leaders = [item for item in group.items if isinstance(item, Stroke) and item.layer == "text"]
        dots = [item for item in leaders if item.filled]
        assert dots
        assert any(body.buffer(0.01).covers(shapely.Point(item.path.points[-1])) for item in leaders)
        assert not body.intersects(shapely.Polygon(text_box(names[0])))
    assert all(-90.0 < item.rotation <= 90.0 for item in group.items if isinstance(item, Text))
    assert all(item.height >= 2.5 for item in group.items if isinstance(item, Text))


def test_a_label_keeps_off_what_is_peeled(make_part, make_record):
    peel = closed([(0, 0), (90, 0), (90, 100), (0, 100)])
    part = make_part("deck", closed([(0, 0), (160, 0), (160, 100), (0, 100)]), peels=(peel,))
    record = make_record([part], [Placed("deck", 1, 100, 100, 0)])
    drawing = sheet_drawing(record, record.sheets[0], False, "")
    texts = [item for item in drawing.groups[0].items if isinstance(item, Text)]
    assert texts
    assert min(x for text in texts for x, _ in text_box(text)) > 190.0


def test_a_long_part_bears_its_label_along(make_part, make_record):
    part = make_part("spar", closed([(0, 0), (200, 0), (200, 9), (0, 9)]))
    record = make_record([part], [Placed("spar", 1, 100, 100, 90)])
    texts = [
        item
        for item in sheet_drawing(record, record.sheets[0], False, "").groups[0].items
        if isinstance(item, Text)
    ]
    assert [text.rotation for text in texts] == [90.0]


def test_crowded_small_parts_bear_letters_with_a_key(make_part, make_record, balsa):
    part = make_part("tooth", closed([(0, 0), (9, 0), (9, 9), (0, 9)]), stock=balsa, quantity=600)
    placed = [
        Placed("tooth", 20 * j + i + 1, 5 + 10 * i, 5 + 9.5 * j, 0) for i in range(20) for j in range(30)
    ]
    record = make_record([part], placed[:560], balsa)
    drawing = sheet_drawing(record, record.sheets[0], False, "")
    letters = [
        item.text
        for group in drawing.groups
        for item in group.items
        if isinstance(item, Text) and item.text.isupper()
    ]
    assert letters == ["A"] * 560
    assert drawing.description == "A = tooth · rev B · balsa 3 · 9.0 × 9.0"
    assert collisions(drawing) == []


def test_segments_close_closed_paths_alone():
    assert len(segments([closed([(0, 0), (1, 0), (0, 1)])])) == 3
    assert len(segments([line([(0, 0), (1, 0), (0, 1)])])) == 2
