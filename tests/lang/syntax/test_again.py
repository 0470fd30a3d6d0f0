"""A text read again after an edit is read as if for the first time."""

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from ringwright.lang.source import source_of
from ringwright.lang.syntax import again
from ringwright.lang.syntax.again import parse_again
from ringwright.lang.syntax.parse import parse

SPEC = (Path(__file__).parents[3] / "specs" / "marsh-heron" / "marsh-heron.wright").read_text("utf-8")
SMALL = 'use "a.wright"\nlet a = 3 mm\n\nstation F1 { x = a }  # one\nstack s {\n    from = F1\n    cone c { end = 4 mm }\n}\n'
TABLES = "| a | b |\n| 1 | 2 |\nlet q = 1 mm\n| c | d |\n| 3 | 4 |\n"
PIECES = [
    "",
    "\n",
    " ",
    "}",
    "{",
    '"',
    "#",
    "(",
    ")",
    ",",
    "mm",
    "= 4 mm",
    "let b = 1\n",
    "| 5 |\n",
    "x",
    "=",
    "1",
    "é𝄞",
    "\r\n",
]


@st.composite
def edits(draw: st.DrawFn) -> tuple[str, list[str]]:
    text = draw(st.sampled_from((SMALL, TABLES, SMALL + TABLES, SPEC[:1200])))
    texts = [text]
    for _ in range(draw(st.integers(1, 8))):
        start = draw(st.integers(0, len(texts[-1])))
        end = min(len(texts[-1]), start + draw(st.integers(0, 12)))
        piece = draw(st.sampled_from([*PIECES, text[start : start + 9], text[:30]]))
        texts.append(texts[-1][:start] + piece + texts[-1][end:])
        if draw(st.booleans()):
            texts.append(texts[-2])  # taken back
    return texts[0], texts[1:]


@given(edits())
def test_reading_again_is_reading_afresh(case: tuple[str, list[str]]) -> None:
    first, later = case
    read = parse_again(None, source_of("a.wright", first))
    for text in later:
        source = source_of("a.wright", text)
        read = parse_again(read, source)
        assert (read.file, read.findings) == parse(source)


def test_an_edit_parses_no_more_than_its_neighbours(monkeypatch: pytest.MonkeyPatch) -> None:
    read = parse_again(None, source_of("a.wright", SPEC))
    stretches: list[int] = []
    whole = again._stretch
    monkeypatch.setattr(again, "_stretch", lambda s, a, b: (stretches.append(b - a), whole(s, a, b))[1])
    monkeypatch.setattr(again, "parse", lambda source: pytest.fail("all of it was parsed"))
    at = SPEC.index("end = @93")
    source = source_of("a.wright", SPEC[: at + 7] + "5" + SPEC[at + 8 :] + "\n")
    changed = source_of("a.wright", SPEC.replace("end = @93", "end = @193"))
    again_read = parse_again(read, changed)
    assert stretches
    assert stretches[0] < len(SPEC) / 5
    assert again_read.file == parse(changed)[0]
    assert source.text != SPEC


def test_a_very_long_sum_is_read_again_all_the_same() -> None:
    text = "let a = " + " + ".join(["1 mm"] * 5000) + "\nlet b = 2 mm\nlet c = 3 mm\n"
    read = parse_again(None, source_of("a.wright", text))
    changed = source_of("a.wright", "let z = 1\n" + text)
    assert parse_again(read, changed).file == parse(changed)[0]
