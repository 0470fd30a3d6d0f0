"""Leaders from the edge that they speak of, keys that stand on the sheet itself, sizes and arrows beside them."""

import math

import pytest
import shapely
from ringwright.backends.drawing import Stroke, Text, collisions
from ringwright.backends.on_waste import key_line
from ringwright.backends.page import sheet_fields
from ringwright.backends.part_lines import hole_notes, part_notes
from ringwright.backends.record import Model
from ringwright.backends.sheet import sheet_content, sheet_drawing
from ringwright.backends.waste import Waste
from ringwright.geometry.part import Mark, Placed, Score
from ringwright.geometry.path import Path, as_hole, closed, flattened, line, moved

INNER, OUTER, HALF = 30.0, 36.5, 2.6


def circle(radius, at=(0.0, 0.0)):
    return moved(Path(((-radius, 0.0), (radius, 0.0)), (1.0, 1.0), True), at)


def blank():
    """The blank of a steep cone, 6.5 mm wide, open below."""
    corners = [
        (r * math.sin(a), r * math.cos(a))
        for r, a in ((INNER, HALF), (OUTER, HALF), (OUTER, -HALF), (INNER, -HALF))
    ]
    bulge = math.tan(HALF / 2)
    return Path(tuple(corners), (0.0, bulge, 0.0, -bulge), True)


def tick(start, end, kind, text):
    return Mark(line([(0.0, start), (0.0, end)]), kind, text)


MARKS = (
    tick(OUTER, OUTER - 1.9, "notch", "to the tread"),
    tick(INNER, INNER + 1.9, "notch", "to the inner"),
    tick(INNER + 2.2, OUTER - 2.2, "top", "top"),
)


@pytest.mark.parametrize("rotation", [0.0, 90.0, 180.0, 225.0])
def test_the_mate_of_a_rim_stands_on_the_side_of_that_rim(make_part, make_record, rotation):
    part = make_part("spare.hub.out", blank(), marks=MARKS)
    record = make_record([part], [Placed(part.id, 1, 300.0, 250.0, rotation)])
    drawing = sheet_drawing(record, record.sheets[0], False, "")
    assert collisions(drawing) == []
    items = drawing.groups[0].items
    c, s = math.cos(math.radians(rotation)), math.sin(math.radians(rotation))
    body = shapely.Polygon(
        [(c * x - s * y + 300, s * x + c * y + 250) for x, y in flattened(part.outline, 0.01)]
    )
    for text, radius in (("to the tread", OUTER), ("to the inner", INNER)):
        rim = (300 - s * radius, 250 + c * radius)
        index = next(i for i, item in enumerate(items) if isinstance(item, Text) and item.text == text)
        leader = next(
            item.path for item in reversed(items[:index]) if isinstance(item, Stroke) and not item.filled
        )
        assert math.dist(leader.points[1], rim) < 1.2
        assert shapely.LineString(leader.points).intersection(body).length < 2.5, "it comes from outside"


def test_a_leader_goes_round_marks_where_it_can(make_part, make_record):
    """A score runs all along a strip that is too narrow for its label: the leader ends short of it."""
    strip = closed([(0, 0), (60, 0), (60, 5), (0, 5)])
    fold = Score(line([(0.0, 2.5), (60.0, 2.5)]), 0.5, "face")
    part = make_part("strip", strip, scores=(fold,), notes=("fold it",))
    record = make_record([part], [Placed("strip", 1, 300.0, 250.0, 0.0)])
    items = sheet_drawing(record, record.sheets[0], False, "").groups[0].items
    folded = shapely.LineString([(300, 252.5), (360, 252.5)])
    leaders = [i.path.points for i in items if isinstance(i, Stroke) and i.layer == "text" and not i.filled]
    assert leaders
    own = [i for i in items if isinstance(i, Text) and i.text == "28.6° face"]
    assert own
    assert sum(folded.crosses(shapely.LineString(points)) for points in leaders) == 0


def test_what_stands_in_the_key_says_at_which_edge(make_part):
    part = make_part(
        "ring", blank(), marks=(*MARKS, Mark(line([(-1.0, 34.0), (1.0, 34.0)]), "bevel", "0.4 mm (41.6°)"))
    )
    assert [note.key for note in part_notes(part, {})] == [
        "to the tread at the upper edge",
        "to the inner at the lower edge",
        "top line",
        "bevel 0.4 mm (41.6°) as its arrow shows",
    ]


def test_a_bevel_that_the_label_tells_is_not_told_again_off_the_part(make_part, make_record):
    bevel = Mark(circle(5.5), "bevel", "0.7 mm (61.6°)")
    part = make_part("tiny", circle(6.0), marks=(bevel,), notes=("bevel 0.7 mm (61.6°)",))
    record = make_record([part], [Placed("tiny", 1, 300.0, 250.0, 0.0)])
    content = sheet_content(record, record.sheets[0])
    words = [item.text for group in content.groups for item in group.items if isinstance(item, Text)]
    assert "0.7 mm (61.6°)" not in words
    assert sum("0.7 mm (61.6°)" in word for word in words) == 1


def crowd(make_part):
    """Discs too small for a name, close together on a sheet of which they leave little free."""
    parts, places = [], []
    for i in range(14):
        parts.append(
            make_part(f"drop.back{i}", circle(5.6), notes=("aft face up", "flush with its small rim"))
        )
        places.append(Placed(parts[-1].id, 1, 12.0 + 14.0 * (i % 7), 12.0 + 14.0 * (i // 7), 0.0))
    wide = closed([(0, 0), (740, 0), (740, 440), (0, 440)])
    parts.append(make_part("cover", wide))
    places.append(Placed("cover", 1, 10.0, 42.0, 0.0))
    return parts, places


def test_every_key_line_is_drawn_on_the_sheet_itself(make_part, make_record):
    parts, places = crowd(make_part)
    record = make_record(parts, places)
    drawing = sheet_drawing(record, record.sheets[0], False, "")
    key = sheet_content(record, record.sheets[0]).key
    assert key
    assert collisions(drawing) == []
    drawn = " ".join(
        i.text for g in drawing.groups for i in g.items if isinstance(i, Text) and i.layer == "info"
    )
    for letter, words in key:
        assert f"{letter} = {words.split(' · ')[0]}" in drawn, words


def test_a_key_line_takes_as_many_rows_as_its_place_wants(make_part):
    """60 mm of waste, between a part and the edge of the sheet."""
    part = make_part("p", closed([(70, 0), (200, 0), (200, 100), (70, 100)]))
    words = "drop.back · rev 1 · card 0.4 · aft face up · in n3 · flush with its small rim · ø 11.3"
    rows = key_line("C", words, Waste(200.0, 100.0, [(part.outline,)], ()))
    assert len(rows) > 1
    assert " ".join(row.text for row in rows) == f"C = {words}"
    assert all(row.height == 2.5 for row in rows)
    assert all(row.at[0] + row.width / 2 < 70 for row in rows)
    # Where there is not even room for that, the name alone is better than nothing; and no room is no room.
    slit = make_part("q", closed([(0, 8.5), (200, 8.5), (200, 100), (0, 100)]))
    assert [row.text for row in key_line("C", words * 3, Waste(200.0, 100.0, [(slit.outline,)], ()))] == [
        "C = drop.back"
    ]
    full = closed([(0, 0), (200, 0), (200, 100), (0, 100)])
    assert key_line("C", words, Waste(200.0, 100.0, [(full,)], ())) == []


def test_round_holes_say_how_large_they_are_cut(make_part, make_record):
    holes = tuple(
        as_hole(circle(r, at))
        for r, at in ((1.15, (20, 20)), (2.0, (60, 20)), (2.0, (60, 60)), (2.0, (20, 60)))
    )
    square = as_hole(closed([(70, 70), (80, 70), (80, 80), (70, 80)]))
    part = make_part("F1", closed([(0, 0), (120, 0), (120, 90), (0, 90)]), holes=(*holes, square))
    assert [ways[0].text for ways in hole_notes(part, "mm")] == ["ø 2.3", "3 × ø 4"]
    assert hole_notes(part, "in")[0][0].text == "ø 0.091 in"
    record = make_record([part], [Placed("F1", 1, 100.0, 100.0, 30.0)])
    drawing = sheet_drawing(record, record.sheets[0], False, "")
    words = [item.text for item in drawing.groups[0].items if isinstance(item, Text)]
    assert words.count("ø 2.3") == words.count("3 × ø 4") == 1
    assert collisions(drawing) == []


@pytest.mark.parametrize(
    "outline", [[(0, 0), (70, 0), (60, 22), (5, 25)], [(0, 0), (90, 0), (90, 14), (0, 14)]]
)
def test_the_run_of_the_grain_finds_a_place_on_small_parts(make_part, make_record, balsa, outline):
    part = make_part(
        "doubler",
        closed(outline),
        stock=balsa,
        grain="along",
        hand="left",
        notes=("port face up",),
        quantity=2,
    )
    record = make_record([part], [Placed("doubler", 1, 60.0, 60.0, 90.0)], stock=balsa)
    drawing = sheet_drawing(record, record.sheets[0], False, "")
    words = [item.text for item in drawing.groups[0].items if isinstance(item, Text)]
    assert "grain" in words
    assert any("doubler LEFT" in word for word in words)
    assert collisions(drawing) == []


def test_a_model_in_inches_has_them_on_sheet_and_page(make_part, make_record):
    part = make_part("p", closed([(0, 0), (127, 0), (127, 80), (0, 80)]))
    record = make_record([part], [Placed("p", 1, 100.0, 100.0, 0.0)])
    record = record._replace(model=record.model._replace(unit="in"))
    drawing = sheet_drawing(record, record.sheets[0], True, "")
    words = [item.text for group in drawing.groups for item in group.items if isinstance(item, Text)]
    assert {"board 0.189 in", "5.00 × 3.15 in"} <= set(words)
    assert [word for word in words if word.startswith("offcut")]
    assert not any(" mm" in word for word in words if word.startswith("offcut"))
    assert "Measure this bar before you cut: 100 mm, below it 4 in" in words
    page = next(group for group in drawing.groups if group.id == "page")
    ticks = [i.path.points for i in page.items if isinstance(i, Stroke) and len(i.path.points) == 2]
    below = [foot for foot, end in ticks if foot[0] == end[0] and -1.5 < end[1] - foot[1] < 0]
    inches = sorted(x - below[0][0] for x, _ in below)
    assert inches == pytest.approx([12.7 * i for i in range(9)])


def test_a_stock_is_called_by_its_title(make_part, make_record):
    record = make_record([make_part("p", circle(20.0))], [Placed("p", 1, 100.0, 100.0, 0.0)])
    sheet = record.sheets[0]
    for title, said in (
        ("white board", "white board (board), 4.8 mm: measure yours"),
        ("board", "board, 4.8 mm: measure yours"),
        (
            "white board of the shop",
            "white board of the shop, 4.8 mm: measure yours",
        ),
        ("white board " * 9, "board, 4.8 mm: measure yours"),
    ):
        titled = sheet._replace(stock=sheet.stock._replace(title=title))
        ((_, found, _), *_) = sheet_fields(record.model, titled, 1, "2026-01-01").below
        assert found == said
    inches = Model("m", "M", "A", 1.0, "in")
    assert sheet_fields(inches, sheet, 1, "").below[0][1].endswith("0.189 in: measure yours")
