"""Lengths on sheets in the model's unit, and as fractions of an inch where those say what they are."""

import pytest
from ringwright.backends.drawing import Stroke, Text
from ringwright.backends.label import label_rows
from ringwright.backends.page import INCHES
from ringwright.backends.paper import paper_of
from ringwright.backends.part_lines import hole_notes
from ringwright.backends.sheet import for_eyes, sheet_content, template_of
from ringwright.backends.sizes import length_words, thickness_words
from ringwright.backends.tiles import tiled
from ringwright.geometry.numbers import fraction_words
from ringwright.geometry.outline import circle
from ringwright.geometry.part import Placed
from ringwright.geometry.path import as_hole, closed

SQUARE = closed([(0, 0), (80, 0), (80, 80), (0, 80)])


@pytest.mark.parametrize(
    ("value", "parts", "words"),
    [
        (1.1875, 16, "1 3/16"),
        (0.5, 16, "1/2"),
        (2.0, 16, "2"),
        (-0.25, 8, "-1/4"),
        (0.0, 8, "0"),
        (0.01, 16, ""),
    ],
)
def test_fractions(value, parts, words):
    assert fraction_words(value, parts, 0.02) == words


def test_what_is_no_fraction_stays_a_decimal():
    assert length_words(25.4 * 3 / 16, "in", 32) == "3/16 in"
    assert length_words(25.4 * 0.21, "in", 32) == "0.21 in"
    assert length_words(4.8, "mm", 32) == "4.8 mm"


def test_a_measured_thickness_is_not_rounded(board):
    for inches, words in ((3 / 16, "3/16 in"), (0.189, "0.189 in")):
        assert thickness_words(board._replace(thickness=25.4 * inches), "in", 32) == words


def test_labels_and_holes_have_them(make_part, board):
    part = make_part("F1", SQUARE, holes=(as_hole(circle(25.4 * 3 / 8)),))
    part = part._replace(stock=board._replace(thickness=25.4 / 8))
    assert label_rows(part, 1, "", "in", 16)[1] == "board 1/8 in"
    assert hole_notes(part, "in", 16)[0][0].text == "ø 3/8 in"


@pytest.mark.parametrize("unit", ["mm", "in"])
def test_the_map_of_the_templates_has_the_bars_that_the_sheet_has(make_part, make_record, unit):
    record = make_record([make_part("plate", SQUARE)], [Placed("plate", 1, 20.0, 20.0, 0.0)])
    record = record._replace(model=record.model._replace(unit=unit))
    (sheet,) = record.sheets
    content = sheet_content(record, sheet)
    pages = (
        for_eyes(record, sheet, content, ""),
        tiled(template_of(record, sheet, content, ""), paper_of("a4"))[0],
    )
    for page in pages:
        items = [item for group in page.groups if group.id == "page" for item in group.items]
        said = [
            item.text for item in items if isinstance(item, Text) and item.text.startswith("Measure this bar")
        ]
        assert any(text.endswith(f"{INCHES} in") for text in said) == (unit == "in")
        inches = [stroke for stroke in items if isinstance(stroke, Stroke) and _past_the_bar(stroke)]
        assert len(inches) == (2 if unit == "in" else 0)


def _past_the_bar(stroke):
    """Whether a line runs on from the end of a bar of 100 mm to four inches."""
    (x0, y0), (x1, y1) = stroke.path.points[:2]
    return abs(abs(x1 - x0) + abs(y1 - y0) - (INCHES * 25.4 - 100.0)) < 1e-9
