"""Widths and heights of lettering, from the metrics of the font that is drawn.

One font everywhere: its advance widths, and how far each character reaches below and above the baseline, lie
in `lettering.json` (2048 units to the em), so that a layout needs no font file. Heights are those of ISO
3098: of a capital letter, in mm.
"""

import json
import os
import unicodedata
from functools import cache, lru_cache
from typing import NamedTuple

HEIGHTS = (2.5, 3.5, 5.0, 7.0, 10.0)
"""The part of the ISO 3098-1 series that sheets use, mm."""

FAMILIES = "Bitstream Vera Sans, DejaVu Sans, Verdana, sans-serif"
"""The font and those that are drawn alike, for formats that name a font instead of carrying it."""

_STAND_INS = {"′": "'", "″": '"', "∅": "ø", "⌀": "ø", "\u2011": "-", "\u2009": " ", "\u202f": " "}


class Metrics(NamedTuple):
    """Of the font, as fractions of its size. characters: advance, lowest ink, highest ink."""

    cap_height: float
    ascent: float
    descent: float
    characters: dict[str, tuple[float, float, float]]


@cache
def metrics() -> Metrics:
    """The metrics, read once."""
    with open(os.path.join(os.path.dirname(__file__), "lettering.json"), encoding="utf-8") as file:
        data = json.load(file)
    em = data["units_per_em"]
    characters = {
        character: (advance / em, low / em, high / em)
        for character, (advance, low, high) in data["characters"].items()
    }
    return Metrics(data["cap_height"] / em, data["ascent"] / em, data["descent"] / em, characters)


def font_size(height: float) -> float:
    """Size of the font, mm, whose capitals are `height` mm high."""
    return height / metrics().cap_height


def text_width(text: str, height: float) -> float:
    """Length of a row of text, mm, as drawn (see `drawable`)."""
    return font_size(height) * _measured(text)[0]


def text_extents(text: str, height: float) -> tuple[float, float]:
    """Lowest and highest ink of a row above its baseline, mm; (0, 0) when there is none."""
    _, low, high = _measured(text)
    size = font_size(height)
    return size * low, size * high


@lru_cache(maxsize=1024)
def _measured(text: str) -> tuple[float, float, float]:
    """Length, lowest and highest ink of a row, as fractions of the font's size."""
    characters = metrics().characters
    if not text:
        return 0.0, 0.0, 0.0
    advances, lows, highs = zip(*(characters[c] for c in drawable(text)), strict=True)
    return sum(advances), min(lows), max(highs)


def unknown_characters(text: str) -> tuple[str, ...]:
    """The characters of a text that the font lacks, each once, in the order of the text."""
    known = metrics().characters
    return tuple(dict.fromkeys(c for c in text if c not in known))


def drawable(text: str) -> str:
    """The text as it can be drawn: a character that the font lacks gives way to a like one, or to '?'.

    Spaces that follow each other become one, as XML readers would have it.
    """
    known = metrics().characters
    if "  " in text:
        text = " ".join(text.split())
    if known.keys() >= set(text):
        return text
    return "".join(c if c in known else _stand_in(c) for c in unicodedata.normalize("NFC", text))


def plain(text: str) -> str:
    """The text itself; ValueError where it holds a control character, which no format carries unharmed."""
    if text.isprintable():
        return text
    for character in text:
        code = ord(character)
        if code < 0x20 or 0x7F <= code < 0xA0 or 0xD800 <= code <= 0xDFFF or code in (0xFFFE, 0xFFFF):
            raise ValueError(f"a text for the drawing holds the control character U+{code:04X}: {text!r}")
    return text


def shortened(text: str, height: float, room: float) -> str:
    """The text, cut off with '…' where it is longer than `room` mm; '' where not even one letter fits."""
    if text_width(text, height) <= room:
        return text
    for end in range(len(text) - 1, 0, -1):
        cut = text[:end].rstrip() + "…"
        if text_width(cut, height) <= room:
            return cut
    return ""


def broken(text: str, height: float, room: float) -> list[str]:
    """A text in rows of at most `room` mm, broken at blanks; a word too long for a row is broken where the row ends."""
    rows: list[str] = []
    for word in text.split():
        if rows and text_width(f"{rows[-1]} {word}", height) <= room:
            rows[-1] += f" {word}"
            continue
        while text_width(word, height) > room and len(word) > 1:
            count = max(n for n in range(1, len(word)) if n == 1 or text_width(word[:n], height) <= room)
            rows.append(word[:count])
            word = word[count:]
        rows.append(word)
    return rows


def _stand_in(character: str) -> str:
    if character in _STAND_INS:
        return _STAND_INS[character]
    base = unicodedata.normalize("NFD", character)[0]
    if base in metrics().characters:
        return base
    return "" if unicodedata.combining(character) else "?"
