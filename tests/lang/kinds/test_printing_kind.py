"""What a spec says of printing, and what comes of it."""

import pytest

SPEC = "panel P { stock = board, outline = rect(50 mm, 20 mm) }\n"
WHOLE = """\
model flyer { title = "M" }
stock board { kind = foamboard, thickness = 5 mm, sheet = 700 mm by 500 mm }
"""


def test_without_it_nothing_is_said(built):
    assert built(SPEC).design.printing is None


def test_defaults_are_a4_with_ten_millimetres_of_overlap(built):
    compiled = built(SPEC + "printing { }\n")
    assert compiled.design.printing == ("a4", None, 610.0, 10.0, 8.0, 100.0)
    assert ("printing.overlap", "10 mm") in compiled.design.defaults


def test_what_is_said_is_kept(built):
    found = built(SPEC + "printing { paper = roll, roll = 914 mm, margin = 5 mm, measured_bar = 98.5 mm }\n")
    assert found.design.printing == ("roll", None, 914.0, 10.0, 5.0, 98.5)


def test_paper_of_another_size(built):
    found = built(SPEC + "printing { sheet = 330 mm by 483 mm }\n")
    assert found.design.printing[:2] == ("", (330.0, 483.0))


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("printing { sheet = 90 mm by 90 mm }", "no-size"),
        ("printing { sheet = 300 mm by 6000 mm }", "no-size"),
        ("printing { sheet = 150 mm by 200 mm, margin = 40 mm, overlap = 30 mm }", "no-size"),
        ("printing { measured_bar = 50 mm }", "impossible-dimension"),
        ("printing { paper = papyrus }", "unknown-word"),
    ],
)
def test_what_cannot_be(judged, text, code):
    assert judged(SPEC + text + "\n").errors == [code]


def test_there_is_one_only(judged):
    assert judged(SPEC + "printing { }\nprinting { }\n").errors == ["given-twice"]


def test_it_holds_for_what_alone_is_asked_for():
    from ringwright.lang.pipeline import compile_spec

    text = WHOLE + SPEC + "printing { paper = letter }\n"
    assert compile_spec("m.wright", lambda _: text.encode(), ("P",)).design.printing[0] == "letter"
