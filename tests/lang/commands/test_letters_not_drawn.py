"""Letters that no sheet can show: said with the text that holds them, and kept wherever they can be."""

import json

import pytest
from ringwright.lang.commands.main import main

SPEC = """\
model t {{ title = "{title}"
{more} }}
stock card {{ kind = card, thickness = 0.4 mm, sheet = 297 mm by 210 mm, mass = 300 g/m2 }}
panel hatch {{ outline = rect(60 mm, 40 mm), stock = card }}
"""


@pytest.fixture
def checked(tmp_path, capsys):
    def check(title, more=""):
        file = tmp_path / "t.wright"
        file.write_text(SPEC.format(title=title, more=more), encoding="utf-8")
        main(["check", "--format", "json", str(file)])
        return json.loads(capsys.readouterr().out)["diagnostics"]

    return check


def test_they_are_named_where_they_stand(checked):
    (found,) = checked("Reiher \u9dfa \u0446")
    assert (found["code"], found["severity"], found["line"]) == ("letter-not-drawn", "warning", 1)
    assert "'\u9dfa' (U+9DFA), '\u0446' (U+0446)" in found["message"]


def test_letters_with_accents_are_drawn(checked):
    assert checked("M\u00e4rz-H\u00e9ron \u00f8 \u00b5") == []


def test_one_may_know_it(checked):
    found = checked("\u9dfa", 'accept letter-not-drawn because "it is its name"')
    assert [each["severity"] for each in found if each["code"] == "letter-not-drawn"] in ([], ["accepted"])
    assert not [each for each in found if each["severity"] in ("warning", "error")]


def test_the_page_of_the_book_keeps_them(tmp_path, capsys):
    file = tmp_path / "t.wright"
    file.write_text(SPEC.format(title="\u9dfa", more=""), encoding="utf-8")
    assert main(["build", str(file), "--formats", "book", "-o", str(tmp_path / "out")]) == 0
    assert "letter-not-drawn" in capsys.readouterr().err
    (page,) = (tmp_path / "out").glob("*-book.html")
    assert "<h1>\u9dfa</h1>" in page.read_text("utf-8")
    assert json.loads((tmp_path / "out" / "manifest.json").read_text("utf-8"))["model"]["title"] == "\u9dfa"
