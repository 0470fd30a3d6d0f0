"""Diagnostics as text: the GNU form, what is underlined, what never reaches a terminal."""

import re
import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st
from ringwright.lang.diagnostics.diagnostic import Diagnostic, Label
from ringwright.lang.diagnostics.text import CAP, render_text
from ringwright.lang.source import Source, Span, source_of

SPEC = """\
cowl {
    length = 30 mm
    lenght = 31 mm
}
"""


def shown(text: str, start: int, end: int, *labels: Label, help: str = "", colour: bool = False) -> str:
    found = Diagnostic("a-fault", "error", "something is wrong", Span("a.wright", start, end), labels, help)
    return render_text([found], {"a.wright": source_of("a.wright", text)}, colour)


def test_one_diagnostic_with_all_that_it_may_have() -> None:
    at = SPEC.index("lenght")
    label = Label(Span("a.wright", 11, 17), "first given here")
    assert shown(SPEC, at, at + 6, label, help="did you mean 'length'?") == (
        "a.wright:3:5: error: something is wrong [a-fault]\n"
        " 3 |     lenght = 31 mm\n"
        "   |     ^^^^^^\n"
        " 2 |     length = 30 mm\n"
        "   |     ====== first given here\n"
        "   = help: did you mean 'length'?\n"
    )


def test_a_label_in_another_file_names_it() -> None:
    sources = {"a": source_of("a", "x = 1\n"), "b": source_of("b", "\ny = 2\n")}
    found = Diagnostic("a-fault", "warning", "m", Span("a", 0, 1), (Label(Span("b", 1, 2), "there"),))
    assert render_text([found], sources) == (
        "a:1:1: warning: m [a-fault]\n 1 | x = 1\n   | ^\n   :: b:2:1\n 2 | y = 2\n   | = there\n"
    )


def test_a_line_is_shown_once_with_all_that_is_marked_in_it() -> None:
    line = "barrel b { start = 90 mm, length = 5 mm }\n"
    labels = [Label(Span("a.wright", 11, 24), "90 mm here"), Label(Span("a.wright", 26, 39), "5 mm here")]
    assert shown(line, 7, 8, Label(Span("a.wright", 7, 8), "-3 mm: too little"), *labels, labels[0]) == (
        "a.wright:1:8: error: something is wrong [a-fault]\n"
        " 1 | barrel b { start = 90 mm, length = 5 mm }\n"
        "   |        ^ -3 mm: too little\n"
        "   |            ============= 90 mm here\n"
        "   |                           ============= 5 mm here\n"
    )
    two = "x = 1\ny = 2\n"
    marks = (Label(Span("a.wright", 6, 7), "there"), Label(Span("a.wright", 4, 5), "and here"))
    assert shown(two, 0, 1, *marks).splitlines()[1:] == [
        *(" 1 | x = 1", "   | ^", "   |     = and here", " 2 | y = 2", "   | = there")
    ]


def test_each_change_of_file_is_said() -> None:
    sources = {"a": source_of("a", "x = 1\nz = 3\n"), "b": source_of("b", "y = 2\n")}
    labels = (Label(Span("b", 0, 1), "there"), Label(Span("a", 6, 7), "here"))
    written = render_text([Diagnostic("a-fault", "error", "m", Span("a", 0, 1), labels)], sources)
    assert [line for line in written.splitlines() if "::" in line] == ["   :: b:1:1", "   :: a:2:1"]


def test_without_a_place_or_its_text() -> None:
    assert render_text([Diagnostic("a-fault", "error", "m", None)], {}) == "ringwright: error: m [a-fault]\n"
    lost = Diagnostic("a-fault", "note", "m", Span("b", 3, 4), (Label(Span("b", 3, 4), "there"),))
    assert render_text([lost], {}) == "b: note: m [a-fault]\n   = there: b\n"


def test_several_lines_are_shortened() -> None:
    assert shown(SPEC, 0, len(SPEC)) == (
        "a.wright:1:1: error: something is wrong [a-fault]\n 1 | cowl {\n   | ^^^^^^\n … |\n 4 | }\n   | ^\n"
    )
    assert shown(SPEC, 5, 25).splitlines()[1:] == [
        *(" 1 | cowl {", "   |      ^", " 2 |     length = 30 mm", "   |     ^^^^^^^^^^^^^^"),
    ]


def test_a_place_without_width_gets_one_mark() -> None:
    assert shown("x =\n", 3, 3).splitlines()[1:] == [" 1 | x =", "   |    ^"]
    assert shown("", 0, 0).splitlines()[1:] == [" 1 |", "   | ^"]


@pytest.mark.parametrize(
    ("line", "under", "left", "width"),
    [
        ("\tx = y", "y", 12, 1),
        ("ab\tx", "x", 8, 1),
        ("日本 x", "x", 5, 1),
        ("x 日本", "日本", 2, 4),
        ("e\u0301e\u0301 x", "x", 3, 1),
        ("x e\u0301 y", "e\u0301", 2, 1),
        ("a\x1bb x", "x", 7, 1),
        ("a \x1b", "\x1b", 2, 4),
    ],
)
def test_the_mark_stands_under_its_text(line: str, under: str, left: int, width: int) -> None:
    start = line.index(under)
    lines = shown(line, start, start + len(under)).splitlines()
    marks = lines[2].partition("| ")[2]
    assert marks == " " * left + "^" * width


def test_windows_lines_are_shown_without_their_end() -> None:
    assert shown("x = 1\r\ny = 2\r\n", 7, 8).splitlines()[1:] == [" 2 | y = 2", "   | ^"]


def test_a_very_long_line_is_cut_around_its_place() -> None:
    lines = shown("a" * 5000 + "X" + "b" * 5000, 5000, 5001).splitlines()
    assert len(lines[1]) < 200
    assert lines[1][lines[2].index("^")] == "X"
    assert lines[1].count("…") == 2


def test_colour_only_when_asked_for() -> None:
    plain = shown(SPEC, 0, 4, help="so")
    coloured = shown(SPEC, 0, 4, help="so", colour=True)
    assert "\x1b" not in plain
    assert re.sub(r"\x1b\[\d+m", "", coloured) == plain
    assert "\x1b[31m" in coloured


def test_sorted_by_file_and_place_and_capped() -> None:
    source = source_of("b", "x\n" * 300)
    found = [Diagnostic("a-fault", "error", f"m{at}", Span("b", at, at + 1)) for at in range(500, 0, -2)]
    found.append(Diagnostic("a-fault", "error", "first", Span("a", 9, 9)))
    text = render_text(found, {"b": source, "a": source_of("a", "")})
    heads = [line for line in text.splitlines() if "[a-fault]" in line]
    assert len(heads) == CAP
    assert heads[0].endswith("first [a-fault]")
    assert heads[1].startswith("b:2:1: error: m2 ")
    assert text.endswith("\n… and 151 more\n")


def test_nothing_is_no_text() -> None:
    assert render_text([], {}) == ""


def test_a_path_with_blanks_and_controls() -> None:
    found = Diagnostic("a-fault", "error", "m", Span("a b\x1b\n.w", 0, 1))
    text = render_text([found], {"a b\x1b\n.w": source_of("a b\x1b\n.w", "x")})
    assert text.startswith("a b\\x1b\\x0a.w:1:1: error: m [a-fault]\n")


@given(st.text(max_size=40), st.data())
def test_no_control_reaches_the_terminal(text: str, data: st.DataObject) -> None:
    start = data.draw(st.integers(0, len(text)))
    end = data.draw(st.integers(start, len(text)))
    source: Source = source_of("a", text)
    label = Label(Span("a", end, end), text)
    found = Diagnostic("a-fault", "error", text, Span("a", start, end), (label,), text)
    written = render_text([found], {"a": source})
    kinds = {unicodedata.category(character) for character in written.replace("\n", "")}
    assert not kinds & {"Cc", "Cf", "Cs", "Zl", "Zp"}
    assert "^" in written
