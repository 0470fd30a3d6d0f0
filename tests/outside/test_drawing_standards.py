"""Lines, lettering and title block against the drawing standards."""

import pytest
from ringwright.backends.beside import NOTE_HEIGHT
from ringwright.backends.drawing import (
    NARROW,
    WIDE,
    Stroke,
    Text,
    dashed,
    dashed_spaced,
    lettering,
    long_dash_dot,
    text_box,
)
from ringwright.backends.label import full_forms, outside_forms
from ringwright.backends.lettering import HEIGHTS, font_size
from ringwright.backends.page import BLOCK
from ringwright.backends.part_lines import HATCH_STEP
from ringwright.backends.record import BuildRecord, Model
from ringwright.backends.sheet import sheet_drawing
from ringwright.geometry.part import Cutting, Mark, MassProperties, Part, Placed, Score, Sheet, Stock
from ringwright.geometry.path import closed, line

# ISO 128-2:2022 (formerly ISO 128-20:1996), 4.2. 0.18 to 2 as taught in drawing courses; 0.13 from memory.
LINE_WIDTHS = (0.13, 0.18, 0.25, 0.35, 0.5, 0.7, 1.0, 1.4, 2.0)
# ISO 128-2:2022, and C. Simmons & D. Maguire, Manual of Engineering Drawing, chapter on types of line.
WIDE_TO_NARROW = 2.0
# ISO 128-2:2022 (ISO 128-20:1996, table 3), in line widths; from memory.
DASH, LONG_DASH, GAP, DOT, WIDE_GAP = 12.0, 24.0, 3.0, 0.5, 18.0
# ISO 128-2, the rule on parallel lines as taught: least space between hatching lines, mm.
PARALLEL = 0.7
# ISO 3098-1:2015, 5.3; 2.5 from memory and from the ratio of the square root of 2.
LETTERING = (1.8, 2.5, 3.5, 5.0, 7.0, 10.0, 14.0, 20.0)
# ISO 7200:2004: mandatory fields that a model aircraft's sheet has; width of the block (6; from memory).
FIELDS = ("Title", "Sheet", "Number")
BLOCK_WIDTH = 180.0


@pytest.fixture(scope="module")
def sheet():
    stock = Stock("board", "", "foamboard", 4.8, 762.0, 508.0, "none", None, 0.3, None, "peeled", 0.5, 30.0)
    part = Part(
        "deck", "deck", "deck", "left", stock, 2, closed([(0, 0), (200, 0), (200, 80), (0, 80)]), (),
        (line([(185, 0), (185, 80)]),), (Score(line([(30, 0), (30, 80)]), 0.5, "inside"),),
        (closed([(185, 0), (200, 0), (200, 80), (185, 80)]),),
        (Mark(line([(60, 0), (60, 5)]), "notch", "to F3"),), (), ("face up",), (), "free", None,
        MassProperties(16000.0, None, 560.0, None),
    )  # fmt: skip
    model = Model("heron", "Marsh Heron", "A", 1.0, "mm")
    placed = tuple(Placed("deck", i, 40.0, 100.0 * i, 0.0) for i in (1, 2))
    record = BuildRecord(
        "0", model, (), (), (), (part,), (Sheet(stock, 1, placed, 0.1),), Cutting(5.0, 2.0, 0.0), ()
    )
    return sheet_drawing(record, record.sheets[0], True, "")


def drawn(sheet, kind):
    return [item for group in sheet.groups for item in group.items if isinstance(item, kind)]


def test_line_widths_are_of_the_series(sheet):
    widths = {stroke.width for stroke in drawn(sheet, Stroke)}
    assert widths == {NARROW, WIDE}
    assert widths <= set(LINE_WIDTHS)
    # The series is rounded: 0.35 to 0.18 is 1.94.
    assert pytest.approx(WIDE_TO_NARROW, rel=0.03) == WIDE / NARROW


def test_dash_lengths_follow_the_line_width(sheet):
    for width in LINE_WIDTHS:
        assert dashed(width) == pytest.approx((DASH * width, GAP * width))
        assert dashed_spaced(width) == pytest.approx((DASH * width, WIDE_GAP * width))
        assert long_dash_dot(width) == pytest.approx(
            (LONG_DASH * width, GAP * width, DOT * width, GAP * width)
        )
    scores = [stroke for stroke in drawn(sheet, Stroke) if stroke.layer == "score"]
    assert scores
    assert all(s.dashes == pytest.approx((DASH * s.width, GAP * s.width)) for s in scores)


def test_lettering_heights_are_of_the_series(sheet):
    heights = {text.height for text in drawn(sheet, Text)}
    assert heights <= set(LETTERING)
    assert min(heights) == NOTE_HEIGHT == 2.5
    assert set(HEIGHTS) <= set(LETTERING)
    rows = ("deck", "board 4.8", "face up")
    forms = [*full_forms(rows, "deck"), *outside_forms(rows, "deck")]
    assert {height for form in forms for _, height, _ in form.rows} == {2.5, 3.5, 5.0}


def test_the_lettering_height_is_that_of_a_capital():
    for height in LETTERING:
        corners = text_box(lettering("text", (0.0, 0.0), "E", height))
        assert max(y for _, y in corners) == pytest.approx(height)
        assert min(y for _, y in corners) == pytest.approx(0.0)
        assert font_size(height) > height


def test_rows_stand_far_enough_apart():
    # ISO 3098-1, lettering type B: baselines at least 14/10 h apart, capitals without accents (from memory).
    (_, first, low), (_, second, lower), (_, third, lowest) = next(
        full_forms(("deck", "board", "face up"), "deck")
    ).rows
    assert lower - low >= 1.4 * second
    assert lowest - lower >= 1.4 * third
    assert first > second


def test_hatching_is_wider_than_the_least_space():
    assert HATCH_STEP >= PARALLEL


def test_the_title_block_has_the_fields_of_the_standard(sheet):
    words = [text.text for text in drawn(sheet, Text)]
    assert BLOCK == BLOCK_WIDTH
    for field in FIELDS:
        assert field in words
