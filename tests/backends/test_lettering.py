"""Widths and heights of lettering against the font itself."""

import os
import struct

import pytest
import reportlab
from hypothesis import given
from hypothesis import strategies as st
from reportlab.pdfbase.ttfonts import TTFont
from ringwright.backends.lettering import (
    HEIGHTS,
    drawable,
    font_size,
    metrics,
    shortened,
    text_extents,
    text_width,
    unknown_characters,
)

FONT_FILE = os.path.join(os.path.dirname(reportlab.__file__), "fonts", "Vera.ttf")
KNOWN = sorted(metrics().characters)


@pytest.fixture(scope="module")
def font():
    return TTFont("LetteringUnderTest", FONT_FILE)


@pytest.fixture(scope="module")
def tables():
    """Offsets of the font file's tables, and its bytes."""
    with open(FONT_FILE, "rb") as file:
        data = file.read()
    count = struct.unpack(">H", data[4:6])[0]
    entries = [struct.unpack(">4sIII", data[12 + 16 * i : 28 + 16 * i]) for i in range(count)]
    return data, {tag.decode(): offset for tag, _, offset, _ in entries}


def ink(tables, glyph):
    """Lowest and highest ordinate of a glyph, read from the file."""
    data, offsets = tables
    long_form = struct.unpack(">h", data[offsets["head"] + 50 : offsets["head"] + 52])[0]
    at = offsets["loca"] + glyph * (4 if long_form else 2)
    start, end = struct.unpack(">II" if long_form else ">HH", data[at : at + (8 if long_form else 4)])
    if start == end:
        return 0, 0
    begin = offsets["glyf"] + start * (1 if long_form else 2)
    _, _, low, _, high = struct.unpack(">hhhhh", data[begin : begin + 10])
    return low, high


def test_every_character_of_the_font_is_known(font):
    drawn = {chr(code) for code, glyph in font.face.charToGlyph.items() if glyph}
    assert set(KNOWN) == drawn


def test_widths_are_those_of_the_font(font):
    for character in KNOWN:
        assert text_width(character, 5.0) == pytest.approx(
            font.stringWidth(character, font_size(5.0)), abs=1e-9
        )


def test_a_capital_is_as_high_as_asked(tables, font):
    low, high = ink(tables, font.face.charToGlyph[ord("H")])
    assert low == 0
    for height in HEIGHTS:
        assert font_size(height) * high / 2048 == pytest.approx(height, abs=1e-12)


def test_ink_reaches_as_far_as_the_glyphs(tables, font):
    for character in KNOWN:
        low, high = ink(tables, font.face.charToGlyph[ord(character)])
        assert text_extents(character, 2.5) == pytest.approx(
            (font_size(2.5) * low / 2048, font_size(2.5) * high / 2048), abs=1e-12
        )


def test_unknown_characters_are_named_once_in_order():
    assert unknown_characters("Ω ж F3 鷺 ж") == ("ж", "鷺")
    assert unknown_characters("spar 4.8 × ø12 · ±0.1°") == ()


@pytest.mark.parametrize(
    ("text", "drawn"),
    [
        ("śruba", "sruba"),
        ("s\u0301ruba", "sruba"),
        ("鷺 1", "? 1"),
        ("∅ 6", "ø 6"),
        ("a   b", "a b"),
        ("é", "é"),
    ],
)
def test_stand_ins(text, drawn):
    assert drawable(text) == drawn


@given(st.text(), st.sampled_from(HEIGHTS))
def test_all_that_is_drawn_has_a_width(text, height):
    drawn = drawable(text)
    assert not unknown_characters(drawn)
    assert text_width(text, height) == text_width(drawn, height) >= 0.0


@given(st.text(KNOWN, min_size=1), st.floats(5.0, 200.0))
def test_shortened_fits_and_keeps_what_fits(text, room):
    cut = shortened(text, 2.5, room)
    assert text_width(cut, 2.5) <= room
    if text_width(text, 2.5) <= room:
        assert cut == text
    else:
        assert cut == "" or cut.endswith("…")
