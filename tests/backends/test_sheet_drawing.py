"""A sheet as a drawing: what is on it, on which layer, in which order."""

import math

import pytest
import shapely
from ringwright.backends.drawing import (
    LAYERS,
    NARROW,
    WIDE,
    Stroke,
    Text,
    collisions,
    dashed,
    dashed_spaced,
    lettering,
    long_dash_dot,
    short_pieces,
    text_box,
)
from ringwright.backends.page import BAR, CAUTION, LEAST_WIDTH, MEASURE, SIDE, STRIP
from ringwright.backends.part_lines import (
    PRICK_INSET,
    bevel_arrows,
    cross,
    hatching,
    part_notes,
    part_strokes,
)
from ringwright.backends.sheet import sheet_drawing, sheet_drawings, sheet_words
from ringwright.geometry.outline import circle
from ringwright.geometry.part import Centre, Flat, Groove, Mark, Placed, Score
from ringwright.geometry.path import (
    Path,
    as_hole,
    bounds,
    closed,
    flattened,
    length,
    line,
    moved,
    piece_length,
)


def items(drawing, kind, layer=None):
    return [
        item
        for group in drawing.groups
        for item in group.items
        if isinstance(item, kind) and layer in (None, item.layer)
    ]


def words(drawing, layer=None):
    return [text.text for text in items(drawing, Text, layer)]


@pytest.fixture(scope="module")
def machines(bench):
    return sheet_drawing(bench, bench.sheets[0], False, "")


@pytest.fixture(scope="module")
def eyes(bench):
    return sheet_drawing(bench, bench.sheets[0], True, "")


def test_nothing_collides(machines, eyes):
    assert collisions(machines) == []
    assert collisions(eyes) == []


def test_collisions_are_found(machines):
    crowd = machines.groups[0].items + (
        lettering("text", (60.0, 10.0), "across the edge", 5.0, 50.0),
        lettering("text", (-3.0, 400.0), "off the page", 5.0),
        lettering("text", (300.0, 430.0), "one", 5.0),
        lettering("text", (301.0, 431.0), "two", 5.0),
    )
    found = collisions(machines._replace(groups=(machines.groups[0]._replace(items=crowd),)))
    assert any("'across the edge'" in line and "layer cut" in line for line in found)
    assert "text 'off the page' leaves the page" in found
    assert "texts 'one' and 'two' lie on each other" in found


def test_for_machines_the_page_is_the_stock(machines, bench):
    stock = bench.sheets[0].stock
    assert (machines.width, machines.height) == (stock.width, stock.height)
    for stroke in items(machines, Stroke):
        left, low, right, high = bounds(stroke.path)
        assert left >= 0
        assert low >= 0
        assert right <= stock.width
        assert high <= stock.height


def test_for_machines_one_line_stands_on_the_waste_beside_the_word_waste(machines, bench):
    info = words(machines, "info")
    assert info.count("Marsh Heron rev B · board 4.8 · sheet 1 of 3") == 1
    rest = {word for word in info if not word.startswith("offcut ")}
    assert rest == {"waste", sheet_words(bench, bench.sheets[0])}


def test_for_eyes_the_stock_stands_over_a_strip(eyes, machines):
    assert eyes.width == max(LEAST_WIDTH, machines.width + SIDE)
    assert eyes.height == machines.height + STRIP
    edge = [
        s for s in items(eyes, Stroke, "info") if bounds(s.path) == (SIDE, STRIP, eyes.width, eyes.height)
    ]
    assert [stroke.width for stroke in edge] == [NARROW]


def test_both_drawings_bear_the_same_parts(bench, machines, eyes):
    pair = sheet_drawings(bench, bench.sheets[0], "")
    assert pair == (machines, eyes)
    for below, above in zip(machines.groups, eyes.groups, strict=False):
        if below.id.startswith("part-"):
            assert (below.id, len(below.items)) == (above.id, len(above.items))


def test_holes_are_cut_before_the_outline(machines, bench):
    parts = {part.id: part for part in bench.parts}
    for group, placed in zip(machines.groups, bench.sheets[0].placements, strict=False):
        cuts = [item for item in group.items if isinstance(item, Stroke) and item.layer == "cut"]
        part = parts[placed.part]
        assert len(cuts) == len(part.holes) + 1
        areas = [shapely.Polygon(flattened(cut.path, 0.05)).area for cut in cuts]
        assert areas[-1] == max(areas)
        assert {cut.width for cut in cuts} == {WIDE}


def test_layers_are_known(machines, eyes):
    assert {item.layer for item in items(eyes, (Stroke, Text))} <= set(LAYERS)
    assert {item.layer for item in items(machines, (Stroke, Text))} == {
        "cut",
        "far",
        "score",
        "peel",
        "mark",
        "text",
        "info",
    }


def test_copies_say_which_they_are(machines):
    both = [text for text in words(machines, "text") if text.startswith("board 4.8 · ")]
    assert "board 4.8 · 1 of 2" in both
    assert "board 4.8 · 2 of 2" in both
    assert [group.title for group in machines.groups if "F4" in group.title] == ["F4, 1 of 2", "F4, 2 of 2"]


def test_ids_are_unique(machines, eyes):
    for drawing in (machines, eyes):
        ids = [group.id for group in drawing.groups]
        assert len(set(ids)) == len(ids)


def test_far_lines_bear_ticks_each_10_mm(make_part):
    flap = line([(0, 0), (0, 80)])
    part = make_part("flap", closed([(-10, 0), (10, 0), (10, 80), (-10, 80)]), far=(flap,))
    strokes = part_strokes(part, {})
    assert [s.width for s in strokes if s.layer == "far"] == [WIDE]
    ticks = sorted(s.path.points[0][1] for s in strokes if s.layer == "mark")
    assert ticks == pytest.approx([5, 15, 25, 35, 45, 55, 65, 75])


def test_scores_are_dashed_and_lettered_once(machines):
    scores = items(machines, Stroke, "score")
    assert {(s.width, s.dashes) for s in scores} == {(NARROW, dashed(NARROW))}
    assert words(machines, "text").count("3 × 6° inside") == 1


def test_scores_on_the_back_are_not_cut_from_the_face(make_part, make_record):
    scores = tuple(Score(line([(x, 0), (x, 60)]), 0.5, side) for x, side in ((30, "face"), (60, "back")))
    part = make_part("p", closed([(0, 0), (90, 0), (90, 60), (0, 60)]), scores=scores)
    record = make_record([part], [Placed("p", 1, 50, 50, 0)])
    drawing = sheet_drawing(record, record.sheets[0], True, "")
    face, back = (
        [s for s in items(drawing, Stroke, layer) if s.dashes and s.path.points[0][0] == x + 50 + SIDE]
        for layer, x in (("score", 30), ("mark", 60))
    )
    assert [s.dashes for s in face] == [dashed(NARROW)]
    assert [s.dashes for s in back] == [dashed_spaced(NARROW)]
    assert len(items(drawing, Stroke, "score")) == 1
    pricks = [bounds(s.path) for s in items(drawing, Stroke, "mark") if s.filled]
    middles = [((a + c) / 2 - 50 - SIDE, (b + d) / 2 - 50 - STRIP) for a, b, c, d in pricks]
    assert middles == [pytest.approx((60, PRICK_INSET)), pytest.approx((60, 60 - PRICK_INSET))]
    assert {"28.6° face", "28.6° back"} <= set(words(drawing, "text"))
    legend = {"score on this face and bend", "prick the dots through, score on the back"}
    assert legend <= set(words(drawing, "info"))
    only_face = record._replace(parts=(part._replace(scores=scores[:1]),))
    assert legend & set(words(sheet_drawing(only_face, record.sheets[0], True, ""), "info")) == {
        "score on this face and bend"
    }


def test_a_score_without_an_angle_says_only_its_side(make_part):
    scores = (Score(line([(0, 0), (9, 9)]), 0.0, "back"),)
    part = make_part("p", closed([(0, 0), (9, 0), (9, 9)]), scores=scores)
    assert [note.text for note in part_notes(part, {})] == ["score back"]


def test_one_score_has_no_number(make_part):
    part = make_part(
        "p", closed([(0, 0), (9, 0), (9, 9)]), scores=(Score(line([(0, 0), (9, 9)]), 0.5, "face"),)
    )
    assert [note.text for note in part_notes(part, {})] == ["28.6° face"]


def test_hatching_is_3_mm_apart_at_45_degrees_within_its_area():
    ring = closed([(0, 0), (60, 0), (60, 20), (30, 8), (0, 20)])
    stripes = hatching(ring, 3.0)
    assert len(stripes) > 15
    area = shapely.Polygon(ring.points).buffer(1e-6)
    offsets = set()
    for stripe in stripes:
        (x0, y0), (x1, y1) = stripe.points
        assert (y1 - y0) == pytest.approx(x1 - x0)
        assert area.covers(shapely.LineString(stripe.points))
        offsets.add(round((y0 - x0) / math.sqrt(2) / 3.0, 6))
    assert all(offset == round(offset) for offset in offsets)
    # The sum of stripe lengths times their distance comes near the area: none is missing.
    assert sum(map(length, stripes)) * 3.0 == pytest.approx(area.area, rel=0.03)


@pytest.mark.parametrize("layer", ["bare", "peel", "groove"])
def test_hatching_and_borders_keep_out_of_holes(make_part, layer):
    area = closed([(0, 0), (60, 0), (60, 20), (0, 20)])
    # One hole within the area, one across its border.
    holes = tuple(as_hole(moved(circle(10), at)) for at in ((20, 10), (40, 20)))
    given = {
        "bare": {"bared": (area,)},
        "peel": {"peels": (area,)},
        "groove": {"grooves": (Groove(area, 2.0, 3.0),)},
    }[layer]
    part = make_part("p", closed([(-5, -5), (65, -5), (65, 45), (-5, 45)]), holes=holes, **given)
    strokes = [stroke for stroke in part_strokes(part, {}) if stroke.layer == layer]
    cut = shapely.union_all([shapely.Point(at).buffer(5) for at in ((20, 10), (40, 20))])
    drawn = [
        shapely.LineString([*stroke.path.points, *stroke.path.points[: stroke.path.closed]])
        for stroke in strokes
    ]
    assert all(one.intersection(cut.buffer(-0.3)).length == 0 for one in drawn)
    whole = 160 - 10
    borders = [one for one in drawn if one.length > 40 or len(one.coords) > 2]
    assert sum(one.length for one in borders) == pytest.approx(whole, abs=0.1)
    step = {"bare": 6.0, "peel": 3.0, "groove": 1.5}[layer]
    stripes = sum(one.length for one in drawn if one not in borders)
    assert stripes * step == pytest.approx(1200 - 1.5 * math.pi * 25, rel=0.06)


def test_bevels_have_an_arrow_to_the_sharp_edge(bench):
    skin = next(part for part in bench.parts if part.id == "cowl.bow")
    shafts = bevel_arrows(skin)
    assert list(shafts) == [0]
    tail, tip = shafts[0].points
    assert math.hypot(*tip) == pytest.approx(260.0, abs=0.1)
    assert math.hypot(*tail) == pytest.approx(257.8 - 5.0, abs=0.1)


def test_words_beside_lines(machines):
    found = words(machines, "text")
    for word in ("to drum", "top", "datum", "2.2 mm (24.4°)", "up"):
        assert word in found


def test_centre_crosses_meet_in_dashes():
    for arm in (5.0, 6.0, 20.0):
        for stroke in cross((3.0, 4.0), arm):
            assert stroke.dashes == long_dash_dot(NARROW)
            into = (stroke.phase + length(stroke.path) / 2) % sum(stroke.dashes)
            assert 0.2 < into < stroke.dashes[0] - 0.2
    assert all(stroke.dashes == () for stroke in cross((0.0, 0.0), 2.0))


def test_grain_is_shown_along_the_sheet(make_part, make_record, balsa):
    part = make_part("rib", closed([(0, 0), (80, 0), (80, 60), (0, 60)]), stock=balsa, grain="along")
    free = part._replace(id="free", name="free", grain="free")
    record = make_record([part, free], [Placed("rib", 1, 90, 30, 90), Placed("free", 1, 100, 150, 0)], balsa)
    grains = [
        text
        for text in items(sheet_drawing(record, record.sheets[0], False, ""), Text)
        if text.text == "grain"
    ]
    assert [text.rotation for text in grains] == [90.0]


def test_up_and_aft_point_where_the_aircraft_says(make_part, make_record):
    side = make_part(
        "side",
        closed([(0, 0), (120, 0), (120, 70), (0, 70)]),
        placement=Flat((0, 0, 0), (-1, 0, 0), (0, 0, 1)),
    )
    plate = side._replace(id="plate", name="plate", placement=Flat((0, 0, 0), (1, 0, 0), (0, 1, 0)))
    record = make_record([side, plate], [Placed("side", 1, 50, 50, 0), Placed("plate", 1, 50, 200, 0)])
    drawing = sheet_drawing(record, record.sheets[0], False, "")
    heads = [item for item in drawing.groups[0].items if isinstance(item, Stroke) and item.filled]
    assert {text.text for text in drawing.groups[0].items if isinstance(text, Text)} >= {"up", "aft"}
    backs = []
    for head in heads:
        (tx, ty), *rest = head.path.points
        mx, my = sum(x for x, _ in rest) / 2, sum(y for _, y in rest) / 2
        backs.append((round(tx - mx, 3), round(ty - my, 3)))
    assert sorted(backs) == [(-2.5, 0.0), (0.0, 2.5)]
    # One that lies level has an arrow to the nose, against its x.
    assert [t.text for t in drawing.groups[1].items if isinstance(t, Text)].count("fore") == 1
    (head,) = [item for item in drawing.groups[1].items if isinstance(item, Stroke) and item.filled]
    (tx, _), *rest = head.path.points
    assert tx - sum(x for x, _ in rest) / 2 == pytest.approx(-2.5)


def test_waste_is_not_written_on_a_part_in_an_opening(make_part, make_record):
    frame = make_part(
        "frame",
        closed([(0, 0), (100, 0), (100, 100), (0, 100)]),
        holes=(as_hole(closed([(20, 20), (80, 20), (80, 80), (20, 80)])),),
    )
    inner = make_part("inner", closed([(0, 0), (56, 0), (56, 56), (0, 56)]))
    alone = make_record([frame], [Placed("frame", 1, 50, 50, 0)])
    filled = make_record([frame, inner], [Placed("frame", 1, 50, 50, 0), Placed("inner", 1, 72, 72, 0)])
    assert "waste" in words(sheet_drawing(alone, alone.sheets[0], False, ""))
    assert "waste" not in words(sheet_drawing(filled, filled.sheets[0], False, ""))
    # Nor twice in an opening of that part, which falls out of both.
    hollow = inner._replace(holes=(as_hole(closed([(10, 10), (46, 10), (46, 46), (10, 46)])),))
    nested = make_record([frame, hollow], filled.sheets[0].placements)
    assert words(sheet_drawing(nested, nested.sheets[0], False, "")).count("waste") == 1


def test_no_centre_cross_is_drawn_over_a_part_that_lies_in_the_opening(make_part, make_record):
    ring = make_part(
        "ring",
        Path(((-60.0, 0.0), (60.0, 0.0)), (1.0, 1.0), True),
        holes=(as_hole(Path(((-45.0, 0.0), (45.0, 0.0)), (1.0, 1.0), True)),),
        centres=(Centre((0.0, 0.0), 5.0), Centre((0.0, 53.0), 5.0)),
    )
    inner = make_part("inner", closed([(-20, -20), (20, -20), (20, 20), (-20, 20)]))
    alone = [Placed("ring", 1, 100, 100, 0)]

    def crosses(placed):
        record = make_record([ring, inner], placed)
        drawing = sheet_drawing(record, record.sheets[0], False, "")
        return sum(1 for s in drawing.groups[0].items if isinstance(s, Stroke) and len(s.dashes) == 4)

    assert crosses(alone) == 4
    assert crosses([*alone, Placed("inner", 1, 100, 100, 0)]) == 2
    # On the ring itself, and where the ring lies in an opening of something else, they stay.
    assert crosses([*alone, Placed("inner", 1, 250, 100, 0)]) == 4


def test_waste_is_lettered_lower_than_the_name_of_the_part(make_part, make_record):
    for rim in (6.0, 9.0, 14.0, 30.0):
        hole = as_hole(closed([(rim, rim), (120 - rim, rim), (120 - rim, 120 - rim), (rim, 120 - rim)]))
        frame = make_part("frame", closed([(0, 0), (120, 0), (120, 120), (0, 120)]), holes=(hole,))
        record = make_record([frame], [Placed("frame", 1, 50, 50, 0)])
        texts = items(sheet_drawing(record, record.sheets[0], False, ""), Text)
        (waste,) = [text for text in texts if text.text == "waste"]
        (name,) = [text for text in texts if text.text.startswith("frame")]
        assert waste.height < name.height or waste.height == name.height == 2.5


def test_the_line_of_the_sheet_stands_in_no_opening(make_part, make_record, balsa):
    frame = make_part(
        "frame",
        closed([(0, 0), (200, 0), (200, 250), (0, 250)]),
        stock=balsa,
        holes=(as_hole(closed([(8, 8), (192, 8), (192, 242), (8, 242)])),),
    )
    record = make_record([frame], [Placed("frame", 1, 5, 5, 0)], balsa)
    drawing = sheet_drawing(record, record.sheets[0], False, "")
    (text,) = [text for text in items(drawing, Text, "info") if "sheet 1 of 1" in text.text]
    assert text.at[1] > 255


def test_the_legend_names_only_what_is_used(make_part, make_record, eyes):
    assert {
        "cut on the middle of the line",
        "cut to the far paper",
        "score on this face and bend",
        "centre",
    } <= set(words(eyes))
    plain = make_record(
        [make_part("p", closed([(0, 0), (90, 0), (90, 90), (0, 90)]))], [Placed("p", 1, 50, 50, 0)]
    )
    found = words(sheet_drawing(plain, plain.sheets[0], True, ""), "info")
    assert "cut on the middle of the line" in found
    assert not {"cut to the far paper", "score on this face and bend", "centre", "peel the foam away"} & set(
        found
    )


def test_the_title_block_has_its_fields(bench):
    found = words(sheet_drawing(bench, bench.sheets[0], True, "2026-03-01"), "info")
    for word in (
        "Marsh Heron",
        "B",
        "1 of 3",
        "Foam board (board), 4.8 mm: measure yours",
        "2026-03-01",
        "heron-B-board-1",
    ):
        assert word in found
    assert "Date" not in words(sheet_drawing(bench, bench.sheets[0], True, ""))
    assert MEASURE in found
    assert any(CAUTION in text for text in found)


def test_a_long_title_is_shortened_in_the_block_and_whole_beside_it(bench):
    title = "A very long title of a flying boat, " * 12 + "鷺"
    record = bench._replace(model=bench.model._replace(title=title))
    drawing = sheet_drawing(record, record.sheets[0], True, "")
    assert collisions(drawing) == []
    assert drawing.title.startswith(title)
    assert any(text.startswith("A very long title") and text.endswith("…") for text in words(drawing, "info"))


def test_bars_are_100_mm(eyes):
    bars = [s for s in items(eyes, Stroke, "info") if s.width == WIDE and length(s.path) == BAR]
    assert len(bars) == 2
    (ax, ay), (bx, by) = bars[0].path.points
    assert ay == by
    ticks = [
        s.path.points[0][0]
        for s in items(eyes, Stroke, "info")
        if s.width == NARROW
        and len(s.path.points) == 2
        and s.path.points[0][1] == ay
        and ax <= s.path.points[0][0] <= bx
    ]
    assert sorted(ticks) == pytest.approx([SIDE + 10 * i for i in range(11)])


def test_a_narrow_sheet_gets_a_deeper_strip_rather_than_losing_its_legend(make_part, make_record, balsa):
    stock = balsa._replace(width=200.0)
    part = make_part(
        "p",
        closed([(0, 0), (90, 0), (90, 90), (0, 90)]),
        stock=stock,
        far=(line([(40, 0), (40, 90)]),),
        scores=(Score(line([(60, 0), (60, 90)]), 0.5, "face"),),
        peels=(closed([(0, 0), (20, 0), (20, 90), (0, 90)]),),
        centres=(Centre((75.0, 70.0), 6.0),),
        marks=(Mark(line([(70, 0), (70, 9)]), "notch", "to F3"),),
    )
    record = make_record([part], [Placed("p", 1, 50, 50, 0)], stock)
    drawing = sheet_drawing(record, record.sheets[0], True, "")
    assert drawing.width == LEAST_WIDTH
    assert collisions(drawing) == []
    assert (
        len(
            set(words(drawing, "info"))
            & {
                "cut on the middle of the line",
                "cut to the far paper",
                "score on this face and bend",
                "peel the foam away",
                "mark, do not cut",
                "centre",
            }
        )
        == 6
    )


def test_text_boxes_are_turned_about_their_anchor():
    text = lettering("text", (10.0, 20.0), "H", 5.0, 90.0, "middle")
    corners = text_box(text)
    assert [x for x, _ in corners] == pytest.approx([10.0, 10.0, 5.0, 5.0])
    assert sum(y for _, y in corners) / 4 == pytest.approx(20.0)


def test_short_pieces_keep_the_path():
    path = Path(((0.0, 0.0), (100.0, 0.0), (100.0, 50.0)), (1.3, 0.0, -0.7), True)
    fine = list(short_pieces(path))
    assert sum(map(piece_length, fine)) == pytest.approx(length(path), rel=1e-12)
    assert all(abs(4 * math.atan(bulge)) <= math.pi / 2 + 1e-9 for _, _, bulge in fine)
    assert [piece[0] for piece in fine[1:]] == [piece[1] for piece in fine[:-1]]
