"""Lettering of parts that are hard to letter: rings, rims, slivers and tiny pieces, laid on a sheet in rows.

Whatever the parts, by computation: nothing lies on anything else, nothing that is said of a part is lost, and what
stands off a part has a leader to it.
"""

import math

import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from ringwright.backends.drawing import Stroke, Text, collisions, text_box
from ringwright.backends.label import label_rows
from ringwright.backends.sheet import sheet_content, sheet_drawing
from ringwright.geometry.part import Centre, Mark, Placed, Score
from ringwright.geometry.path import Path, as_hole, bounds, closed, flattened, line, turned

NOTES = ("aft face up", "in lip", "flush with its small rim", "bevel 1.9 mm (21.4°)", "smaller face down")
GAP = 4.0


def disc(radius):
    return Path(((-radius, 0.0), (radius, 0.0)), (1.0, 1.0), True)


def band(radius, width, half):
    """The blank of a cone, symmetric about +y."""

    def at(r, angle):
        return r * math.sin(angle), r * math.cos(angle)

    bulge = math.tan(half / 2)
    points = (at(radius, -half), at(radius, half), at(radius + width, half), at(radius + width, -half))
    return Path(points, (-bulge, 0.0, bulge, 0.0), True)


def rect(width, height):
    return closed([(0, 0), (width, 0), (width, height), (0, height)])


@pytest.fixture(scope="module")
def a_part(make_part):
    """A maker of parts from what Hypothesis drew."""

    def make(i, drawn):
        kind, size, rim, notes, quantity, marked = drawn
        more = {"notes": NOTES[:notes], "quantity": quantity}
        name = f"cowl.{kind}.{i}"
        if kind == "ring":
            more["holes"] = (as_hole(disc(max(size - rim, 0.3 * size))),)
            if marked:
                more["marks"] = (
                    Mark(line([(0.0, size), (0.0, size - min(5.0, rim / 2))]), "notch", "to drum"),
                )
            return make_part(name, disc(size), **more)
        if kind == "disc":
            return make_part(name, disc(size), centres=(Centre((0.0, 0.0), 5.0),) if marked else (), **more)
        if kind == "band":
            outline = band(2.0 * size, rim, 0.6)
            marks = (
                (Mark(line([(0.0, 2 * size), (0.0, 2 * size + rim / 3)]), "top", "top"),) if marked else ()
            )
            return make_part(name, outline, marks=marks, **more)
        if kind == "strip":
            side = "back" if notes % 2 else "face"
            scores = (Score(line([(size, 0), (size, rim)]), 0.4, side),) if marked else ()
            return make_part(name, rect(3.0 * size, rim), scores=scores, **more)
        return make_part(name, closed([(0, 0), (2 * size, 0), (2 * size, 0.3 * rim)]), **more)

    return make


drawn_part = st.tuples(
    st.sampled_from(("ring", "disc", "band", "strip", "sliver")),
    st.sampled_from((4.0, 8.0, 20.0, 40.0, 60.0)),
    st.sampled_from((3.0, 6.0, 9.0, 14.0, 25.0)),
    st.integers(0, 5),
    st.integers(1, 4),
    st.booleans(),
)


def laid(parts, rotations):
    """Placements in rows, turned, clear of each other; those that the sheet has no room for are left out."""
    x = y = 10.0
    deepest = 0.0
    for part, rotation in zip(parts, rotations, strict=True):
        left, low, right, high = bounds(turned(part.outline, math.radians(rotation)))
        for copy in range(1, part.quantity + 1):
            if x + right - left > 750.0:
                x, y, deepest = 10.0, y + deepest + GAP, 0.0
            if y + high - low > 500.0:
                return
            yield Placed(part.id, copy, x - left, y - low, rotation)
            x, deepest = x + right - left + GAP, max(deepest, high - low)


@given(
    st.lists(drawn_part, min_size=1, max_size=6),
    st.lists(st.sampled_from((0.0, 30.0, 90.0, 180.0, 255.0)), min_size=6, max_size=6),
)
def test_whatever_the_parts_all_is_said_and_nothing_collides(a_part, make_record, drawn, rotations):
    parts = [a_part(i, each) for i, each in enumerate(drawn)]
    placed = list(laid(parts, rotations[: len(parts)]))
    record = make_record(parts, placed)
    machines = sheet_drawing(record, record.sheets[0], False, "")
    eyes = sheet_drawing(record, record.sheets[0], True, "")
    assert collisions(machines) == []
    assert collisions(eyes) == []
    content = sheet_content(record, record.sheets[0])
    by_id = {part.id: part for part in parts}
    bodies = [material(by_id[place.part], place) for place in placed]
    tree = shapely.STRtree(bodies)
    for group, place, body in zip(content.groups, placed, bodies, strict=True):
        said_of(group, by_id[place.part], place, content.key)
        off_or_on(group, body, tree, bodies)


def material(part, place):
    def at(path):
        path = turned(path, math.radians(place.rotation))
        return [(x + place.x, y + place.y) for x, y in flattened(path, 0.02)]

    return shapely.Polygon(at(part.outline), [at(hole) for hole in part.holes])


def said_of(group, part, place, key):
    """Every word of the label stands on the part, beside it, or in the key under its letter or name."""
    texts = [item.text for item in group.items if isinstance(item, Text)]
    said = set(" · ".join(texts).split(" · "))
    for letter, words in key:
        if letter in said:
            said |= set(words.split(" · "))
            if letter.isupper():
                said.add(f"{place.copy} of {part.quantity}")
    wanted = {word for row in label_rows(part, place.copy, "B", "mm") for word in row.split(" · ")}
    assert wanted <= said


def off_or_on(group, body, tree, bodies):
    """Each text lies wholly on its part, or on none with a leader that ends on its part and crosses no text."""
    texts = [item for item in group.items if isinstance(item, Text)]
    leaders = [i.path for i in group.items if isinstance(i, Stroke) and i.layer == "text" and not i.filled]
    assert {text.height for text in texts} <= {5.0, 3.5, 2.5, 1.8}
    assert all(text.height >= 2.5 or text.text.isupper() for text in texts)
    boxes = [shapely.Polygon(text_box(text)) for text in texts]
    for text, box in zip(texts, boxes, strict=True):
        assert -90.0 < text.rotation <= 90.0
        if not body.contains(box):
            assert not any(bodies[i].intersects(box) for i in tree.query(box))
            assert leaders or text.layer == "info"
    for leader in leaders:
        stretch = shapely.LineString(leader.points)
        assert body.buffer(0.05).covers(shapely.Point(leader.points[1]))
        assert not any(box.intersects(stretch) for box in boxes)


def test_a_narrow_ring_keeps_its_bevel_on_the_ring(make_part, make_record):
    ring = make_part("cowl.front", disc(43.0), holes=(as_hole(disc(20.0)),), notes=NOTES)
    record = make_record([ring], [Placed("cowl.front", 1, 100, 100, 0)])
    group = sheet_drawing(record, record.sheets[0], False, "").groups[0]
    body = material(ring, record.sheets[0].placements[0])
    on_it = [
        item.text
        for item in group.items
        if isinstance(item, Text) and body.contains(shapely.Polygon(text_box(item)))
    ]
    assert set(NOTES) <= set(" · ".join(on_it).split(" · "))


def test_the_blocks_of_a_label_hang_together(make_part, make_record):
    """On a long band the second block stands as near the first as it can: not at the other end."""
    part = make_part("cowl.mid", band(250.0, 16.0, 0.7), notes=("inside up", *NOTES[2:]))
    record = make_record([part], [Placed("cowl.mid", 1, 300, 0, 0)])
    group = sheet_drawing(record, record.sheets[0], False, "").groups[0]
    places = [item.at for item in group.items if isinstance(item, Text)]
    assert len(places) >= 3
    assert max(math.dist(a, b) for a in places for b in places) < 150.0


@pytest.mark.parametrize("rotation", [0.0, 45.0, 90.0, 200.0])
def test_a_tiny_part_has_its_whole_label_beside_it(make_part, make_record, rotation):
    part = make_part("dot", disc(4.0), notes=("top face up",))
    record = make_record([part], [Placed("dot", 1, 100, 100, rotation)])
    group = sheet_drawing(record, record.sheets[0], False, "").groups[0]
    texts = [item.text for item in group.items if isinstance(item, Text)]
    assert texts == ["dot · rev B", "board 4.8", "top face up", "ø 8.0"]


def test_copies_of_a_tiny_part_bear_one_letter_and_the_sheet_says_what_it_is(make_part, make_record):
    part = make_part("dot", disc(4.0), quantity=3, notes=("top face up",))
    record = make_record([part], [Placed("dot", i, 100 + 30 * i, 100, 0) for i in (1, 2, 3)])
    drawing = sheet_drawing(record, record.sheets[0], False, "")
    texts = [[i.text for i in group.items if isinstance(i, Text)] for group in drawing.groups]
    assert texts[:3] == [["A"]] * 3
    assert "A = dot · rev B · board 4.8 · top face up · ø 8.0" in texts[3]


def test_a_disc_is_measured_by_its_diameter(make_part):
    assert label_rows(make_part("d", disc(20.0)), 1, "", "mm")[-1] == "ø 40.0"
    assert label_rows(make_part("d", disc(25.4)), 1, "", "in")[-1] == "ø 2.00 in"
    square = closed([(0, 0), (40, 0), (40, 40), (0, 40)])
    assert label_rows(make_part("s", square), 1, "", "mm")[-1] == "40.0 × 40.0"
