"""Where words and arrows of a part stand: rows in the order in which they are read, notes apart, axes true."""

import math

import pytest
from ringwright.backends.beside import APART, directions
from ringwright.backends.drawing import Stroke, Text, collisions, text_box
from ringwright.backends.label import cone_sizes, label_rows
from ringwright.backends.sheet import sheet_drawing
from ringwright.geometry.part import Flat, Mark, Placed, Rolled
from ringwright.geometry.path import closed, line

AFT, STARBOARD, UP = (1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0)
# A cone of 132.5 and 118 mm over 29.475: its blank's radii and sweep by hand below.
CONE = Rolled((0, 0, 0), AFT, UP, STARBOARD, 66.25, 58.0, 29.475, 30.608, 245.79, 0.0, 2 * math.pi)


def cone_part(make_part, **more):
    half = math.pi * 66.25 / 245.79
    bulge = math.tan(half / 2)
    rims = [
        (r * math.sin(a), r * math.cos(a))
        for r, a in ((215.182, -half), (215.182, half), (245.79, half), (245.79, -half))
    ]
    from ringwright.geometry.path import Path

    return make_part("mid", Path(tuple(rims), (-bulge, 0.0, bulge, 0.0), True), placement=CONE, **more)


def drawn(make_record, part, at=(0.0, 0.0), rotation=0.0):
    record = make_record([part], [Placed(part.id, 1, *at, rotation)])
    return sheet_drawing(record, record.sheets[0], False, "")


def texts(drawing):
    return [item for group in drawing.groups for item in group.items if isinstance(item, Text)]


def test_a_cone_is_checked_by_its_radii_and_its_chord(make_part):
    large, small, chord = cone_sizes(CONE)
    assert (large, small) == pytest.approx((245.79, 215.182))
    # sin of the half angle of the cone is r / R; the blank's angle is 2 pi times that.
    assert chord == pytest.approx(2 * 245.79 * math.sin(math.pi * 66.25 / 245.79))
    assert label_rows(cone_part(make_part), 1, "A", "mm")[-1] == "R 245.8 and 215.2 · chord 368.3"
    assert label_rows(cone_part(make_part), 1, "A", "in")[-1] == "R 9.68 and 8.47 · chord 14.50 in"


def test_a_cone_that_widens_has_its_start_rim_inside():
    other = CONE._replace(start_radius=58.0, end_radius=66.25, to_apex=215.182)
    assert cone_sizes(other)[:2] == pytest.approx((245.79, 215.182))


def test_a_barrel_is_checked_by_width_and_height(make_part):
    barrel = make_part(
        "drum", closed([(0, 0), (200, 0), (200, 40), (0, 40)]), placement=CONE._replace(to_apex=0.0)
    )
    assert label_rows(barrel, 1, "A", "mm")[-1] == "200.0 × 40.0"


def test_the_compass_point_is_drawn_where_it_falls_on_waste(make_part, make_record):
    drawing = drawn(make_record, cone_part(make_part), (380.0, 100.0))
    crosses = [
        item
        for group in drawing.groups
        for item in group.items
        if isinstance(item, Stroke) and item.layer == "info" and len(item.path.points) == 2
    ]
    assert {item.path.points for item in crosses} == {
        ((377.0, 100.0), (383.0, 100.0)),
        ((380.0, 97.0), (380.0, 103.0)),
    }
    assert "centre of mid" in {text.text for text in texts(drawing)}
    assert collisions(drawing) == []
    off = drawn(make_record, cone_part(make_part), (380.0, -20.0))
    assert "centre of mid" not in {text.text for text in texts(off)}


def test_the_axis_of_a_cone_runs_to_its_apex(make_part, make_record):
    drawing = drawn(make_record, cone_part(make_part), (380.0, 100.0), 0.0)
    (word,) = [text for text in texts(drawing) if text.text == "axis"]
    x, y = word.at[0] - 380.0, word.at[1] - 100.0
    # The baseline runs along the radius, a little beside it.
    slope = math.radians(word.rotation)
    assert abs(x * math.sin(slope) - y * math.cos(slope)) < 2.5


def test_the_axis_of_a_barrel_runs_across_its_blank(make_part):
    barrel = make_part(
        "drum", closed([(0, 0), (200, 0), (200, 40), (0, 40)]), placement=CONE._replace(to_apex=0.0)
    )
    assert [(d.word, d.slope, d.both) for d in directions(barrel, 90.0)] == [("axis", 180.0, True)]
    flat = make_part("f", closed([(0, 0), (200, 0), (200, 40)]), placement=Flat((0, 0, 0), STARBOARD, UP))
    assert "axis" not in {d.word for d in directions(flat, 0.0)}


def test_rows_on_a_narrow_ring_are_read_in_order(make_part, make_record):
    """Ticks part the strip into places of which the nearest to the name is too short for the next row."""
    ticks = tuple(Mark(line([(x, 0), (x, 6)]), "notch") for x in (54, 58, 62, 92, 94, 140))
    strip = make_part(
        "s.four", closed([(0, 0), (200, 0), (200, 6), (0, 6)]), marks=ticks, notes=("inside up", "lap 6 mm")
    )
    drawing = drawn(make_record, strip, (20.0, 50.0))
    rows = [text for text in texts(drawing) if text.layer == "text" and 50.0 < text.at[1] < 56.0]
    assert len(rows) >= 3
    order = [text.text for text in sorted(rows, key=lambda text: text.at[0])]
    wanted = " · ".join(label_rows(strip, 1, "B", "mm"))
    places = [wanted.index(row) for row in order]
    assert places == sorted(places)


def test_a_note_is_no_row_of_the_label(make_part, make_record):
    """Between a note and any row of the label there is a row's height."""
    for size in (34, 38, 42, 50, 60):
        datum = Mark(line([(-size / 2, 0), (-size / 4, 0)]), "datum", "datum")
        half = size / 2
        outline = closed([(-half, -half), (half, -half), (half, half), (-half, half)])
        part = make_part("F7", outline, marks=(datum,), notes=("aft face up",))
        words = texts(drawn(make_record, part, (100.0, 100.0)))
        (note,) = [text for text in words if text.text == "datum"]
        label = [text for text in words if text.text != "datum" and text.layer == "text"]
        for text in label:
            assert apart(note, text) > APART


def apart(one, two):
    import shapely

    return shapely.Polygon(text_box(one)).distance(shapely.Polygon(text_box(two)))
