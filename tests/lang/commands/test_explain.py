"""`ringwright explain`: every code, kind and function has its page, made from what the program knows."""

import pytest
from ringwright.lang.commands.explain import WIDTH, kind_text, overview, words
from ringwright.lang.commands.main import main
from ringwright.lang.diagnostics.catalogue import CATALOGUE
from ringwright.lang.diagnostics.pages import pages
from ringwright.lang.kinds import NAMES, kind_of
from ringwright.lang.reference import default_of
from ringwright.lang.syntax.statements import STATEMENTS
from ringwright.lang.units import UNITS
from ringwright.lang.values.functions import FUNCTIONS


def explained(word: str, capsys: pytest.CaptureFixture[str]) -> str:
    assert main(["explain", word]) == 0
    out, err = capsys.readouterr()
    assert err == ""
    return out


@pytest.mark.parametrize("word", words())
def test_every_word_is_explained_within_a_terminals_width(
    word: str, capsys: pytest.CaptureFixture[str]
) -> None:
    text = explained(word, capsys)
    assert len(text) > 40
    assert text.endswith("\n")
    for line in text.splitlines():
        assert len(line) <= WIDTH or line.startswith("    "), "only examples are wider"
        assert line == line.rstrip()


def test_all_words_are_known() -> None:
    kinds = [kind for kind in map(kind_of, NAMES) if kind is not None]
    properties = {each.name for kind in kinds for each in (*kind.properties, *kind.solved, *kind.forward)}
    assert {"taper", "hand", "half_angle", "blank_angle"} <= properties
    assert set(words()) == properties | {
        *CATALOGUE,
        *pages(),
        *NAMES,
        *(statement.word for statement in STATEMENTS),
        *FUNCTIONS,
        "functions",
        "units",
    }


def test_a_code(capsys: pytest.CaptureFixture[str]) -> None:
    assert explained("decimal-comma", capsys) == (
        "decimal-comma (error)\n"
        "\n"
        "A number is written with a decimal comma. The comma separates values here, so\n"
        "that `(4,8)` is two numbers; the decimal sign is the point.\n"
        "\n"
        "Wrong:\n"
        "\n"
        "    station F2 { x = 118,5 mm }\n"
        "\n"
        "Right:\n"
        "\n"
        "    station F2 { x = 118.5 mm }\n"
        "\n"
        "The examples follow a model and the stocks board, card and ply.\n"
    )


def test_a_code_as_it_stands_in_a_message(capsys: pytest.CaptureFixture[str]) -> None:
    assert explained("[decimal-comma]", capsys) == explained("decimal-comma", capsys)


def test_a_code_whose_example_has_other_files(capsys: pytest.CaptureFixture[str]) -> None:
    text = explained("use-cycle", capsys)
    assert "and shelf.wright:\n\n    use " in text


def test_a_code_of_the_command_line(capsys: pytest.CaptureFixture[str]) -> None:
    text = explained("foreign-folder", capsys)
    assert text.startswith("foreign-folder (error)\n")
    assert "Wrong:" not in text


@pytest.mark.parametrize("name", NAMES)
def test_a_kind_shows_all_that_it_takes(name: str) -> None:
    kind = kind_of(name)
    assert kind is not None
    text = " ".join(kind_text(kind).split())
    for property in kind.properties:
        assert f"{property.name} {' '.join(property.doc.split())}" in text
        assert f"as in {property.example}" in text
        default = default_of(kind, property).strip("*`")
        assert default == "–" or default in text
    for found in (*kind.solved, *kind.forward):
        assert f"{found.name} {found.doc}" in text
    assert " ".join(kind.example.split()) in text


@pytest.mark.parametrize("name", sorted(FUNCTIONS))
def test_a_function(name: str, capsys: pytest.CaptureFixture[str]) -> None:
    text = explained(name, capsys)
    function = FUNCTIONS[name]
    assert function.doc[1:] in " ".join(text.split())
    for parameter in function.parameters:
        assert function.listed or parameter.name in text


def test_units_and_functions(capsys: pytest.CaptureFixture[str]) -> None:
    units = explained("units", capsys)
    assert all(name in units for name in UNITS)
    functions = explained("functions", capsys)
    assert all(name in functions for name in FUNCTIONS)


def test_alone_it_lists_codes_and_kinds(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["explain"]) == 0
    out = capsys.readouterr().out
    assert out == overview()
    told = {line.split()[0] for line in out.splitlines() if line.startswith("  ")}
    assert {*pages(), *NAMES} <= told


@pytest.mark.parametrize(
    ("word", "near"),
    [("decimal-coma", "decimal-comma"), ("barel", "barrel"), ("rectangle", "rect"), ("bulkhead", "former")],
)
def test_a_near_miss(word: str, near: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["explain", word]) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert f"did you mean '{near}'?" in err


def test_nothing_near(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["explain", "xyzzy\x1b"]) == 2
    err = capsys.readouterr().err
    assert "`ringwright explain` lists" in err
    assert "\x1b" not in err


def test_a_property(capsys: pytest.CaptureFixture[str]) -> None:
    text = explained("taper", capsys)
    assert text.startswith("taper, in the braces of a component:\n\n  cone\n")
    assert "narrows or widens; as in taper = narrows" in " ".join(text.split())
    text = explained("stock", capsys)
    assert text.startswith("stock: Sheet material as bought.")
    assert "what it is cut from; the name of a stock; as in stock = board" in " ".join(text.split())


def test_a_statement(capsys: pytest.CaptureFixture[str]) -> None:
    text = explained("use", capsys)
    assert text.startswith('use "FILE" or use "FILE" as NAME\n')
    assert "and fittings.wright:\n\n    let wall = 3 mm\n" in text


def test_the_columns_of_a_table(capsys: pytest.CaptureFixture[str]) -> None:
    text = explained("offsets", capsys)
    assert "Columns of its table:" in text
    assert "section = box" in text
