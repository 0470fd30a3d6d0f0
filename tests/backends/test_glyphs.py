"""Lettering as outlines: where the letters stand, as large as they were measured, and still there to be read."""

import xml.etree.ElementTree as ElementTree

import pytest
import svgelements
from ringwright.backends.drawing import Drawing, Group, Text, lettering, text_box
from ringwright.backends.glyphs import text_outline
from ringwright.backends.lettering import metrics
from ringwright.backends.sheet import sheet_drawing
from ringwright.backends.svg import svg_text

SVG = "{http://www.w3.org/2000/svg}"


def written(*texts):
    return svg_text(Drawing(200.0, 100.0, "Sheet", "", (Group("part-a-1", "a", "", texts),)), True)


@pytest.mark.parametrize("rotation", [0.0, 90.0, -37.5])
@pytest.mark.parametrize("anchor", ["start", "middle", "end"])
@pytest.mark.parametrize("words", ["Hull", "ø 12 ± é", "gj"])
def test_outlines_stand_where_the_text_does(words, anchor, rotation):
    text = lettering("text", (100.0, 50.0), words, 5.0, rotation, anchor)
    read = svgelements.Path(
        ElementTree.fromstring(written(text).partition("?>")[2]).find(f".//{SVG}path").get("d")
    )
    # In the text's own frame: turned back about its place.
    read *= svgelements.Matrix(f"rotate({rotation} 100 50)")
    left, top, right, bottom = read.bbox()
    flat = text_box(text._replace(rotation=0.0))
    assert (100 - bottom, 100 - top) == pytest.approx((flat[0][1], flat[2][1]), abs=0.01)
    # The box has the letters' own space beside them in it.
    assert flat[0][0] - 0.01 <= left < flat[0][0] + 1.0
    assert flat[1][0] - 1.0 < right <= flat[1][0] + 0.01


def test_every_letter_that_can_be_measured_can_be_drawn():
    for character in metrics().characters:
        steps = list(text_outline(lettering("text", (0.0, 0.0), character, 5.0)))
        assert bool(steps) == (not character.isspace()), character
        assert [s.way for s in steps].count("M") == [s.way for s in steps].count("Z")


def test_no_text_is_left_and_all_words_are_labels(bench):
    drawing = sheet_drawing(bench, bench.sheets[0], False, "")
    root = ElementTree.fromstring(svg_text(drawing, True).partition("?>")[2])
    assert root.find(f".//{SVG}text") is None
    labels = [path.get("aria-label") for path in root.iter(f"{SVG}path") if path.get("aria-label")]
    words = [item.text for group in drawing.groups for item in group.items if isinstance(item, Text)]
    assert sorted(labels) == sorted(words)


def test_hostile_words_are_escaped():
    name = 'a<b> & "c" ]]>'
    root = ElementTree.fromstring(written(lettering("text", (9.0, 9.0), name, 5.0)).partition("?>")[2])
    assert root.find(f".//{SVG}path").get("aria-label") == name
    with pytest.raises(ValueError, match=r"U\+001B"):
        written(lettering("text", (9.0, 9.0), "a", 5.0)._replace(text="\x1b"))
