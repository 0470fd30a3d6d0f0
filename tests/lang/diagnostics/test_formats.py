"""Findings as JSON, SARIF and annotations: the same facts as the text, in the form of each."""

import json
import re
from collections.abc import Sequence
from pathlib import Path
from typing import Any
from urllib.parse import unquote

import pytest
from ringwright.lang.commands.main import main
from ringwright.lang.diagnostics.as_github import render_github
from ringwright.lang.diagnostics.as_json import render_json
from ringwright.lang.diagnostics.as_sarif import MOST_RESULTS, render_sarif
from ringwright.lang.diagnostics.catalogue import CATALOGUE
from ringwright.lang.diagnostics.diagnostic import Diagnostic, Label
from ringwright.lang.diagnostics.facts import Fact, Place, facts_of
from ringwright.lang.diagnostics.text import render_text
from ringwright.lang.source import Source, Span, source_of

MAIN, SHELF = "my specs/heron: B, new.wright", "shop/日本.wright"
TEXTS = {
    MAIN: "# 𝔐arsh 日本\nlet 𝔐 = 1\nstack cowl {\n    lenght = 30 mm   # é\n}\n",
    SHELF: "stock board {\r\n    thickness = 4,8 mm\r\n}\r\n",
}
SOURCES = {path: source_of(path, text) for path, text in TEXTS.items()}


def span(path: str, under: str) -> Span:
    start = TEXTS[path].index(under)
    return Span(path, start, start + len(under))


FINDINGS = (
    Diagnostic("unknown-property", "error", "no property 'lenght' on a stack: 100 % wrong, {so}",
               span(MAIN, "lenght"),
               (Label(span(SHELF, "thickness"), "like this {one}"), Label(Span("lost.wright", 3, 4), "there")),
               "did you mean 'overall'?"),
    Diagnostic("decimal-comma", "error", "a decimal comma", span(SHELF, "4,8")),
    Diagnostic("tight-bend", "warning", "bent tightly", span(MAIN, "stack cowl {\n    lenght"), (),
               "peel it\nor not"),
    Diagnostic("thin-rim", "accepted", "only 1 mm is left", span(MAIN, "30 mm")),
    Diagnostic("hidden-name", "note", "hides another", span(MAIN, "𝔐 = 1")),
    Diagnostic("unreadable-file", "error", "cannot be read", None),
    Diagnostic("missing-file", "error", "is not there", Span("lost.wright", 0, 0)),
)  # fmt: skip
FACTS = facts_of(FINDINGS, SOURCES)


def by_code(found: Sequence[dict[str, Any]], key: str) -> dict[str, dict[str, Any]]:
    return {one[key]: one for one in found}


# -- facts ---------------------------------------------------------------------------------------


def test_columns_count_characters_whatever_their_width() -> None:
    places = {fact.code: fact.place for fact in FACTS}
    assert places["hidden-name"] == Place(MAIN, 2, 5, 2, 10)
    assert places["unknown-property"] == Place(MAIN, 4, 5, 4, 11)
    assert places["tight-bend"] == Place(MAIN, 3, 1, 4, 11)
    assert places["decimal-comma"] == Place(SHELF, 2, 17, 2, 20)
    assert places["unreadable-file"] is None
    assert places["missing-file"] == Place("lost.wright")


def test_text_and_facts_are_in_one_order() -> None:
    heads = re.findall(r"\[([a-z-]+)\]$", render_text(FINDINGS, SOURCES), re.MULTILINE)
    assert heads == [fact.code for fact in FACTS]


# -- json ----------------------------------------------------------------------------------------


def test_json_has_all_of_the_contract() -> None:
    (found,) = json.loads(render_json([FACTS[0]]))["diagnostics"]
    assert found == {
        "code": "unreadable-file", "severity": "error", "message": "cannot be read", "file": None,
        "line": None, "column": None, "end_line": None, "end_column": None, "labels": [], "help": "",
    }  # fmt: skip
    found = by_code(json.loads(render_json(FACTS))["diagnostics"], "code")
    assert found["unknown-property"] == {
        "code": "unknown-property",
        "severity": "error",
        "message": "no property 'lenght' on a stack: 100 % wrong, {so}",
        "file": MAIN, "line": 4, "column": 5, "end_line": 4, "end_column": 11,
        "labels": [
            {"message": "like this {one}", "file": SHELF,
             "line": 2, "column": 5, "end_line": 2, "end_column": 14},
            {"message": "there", "file": "lost.wright",
             "line": None, "column": None, "end_line": None, "end_column": None},
        ],
        "help": "did you mean 'overall'?",
    }  # fmt: skip
    assert found["thin-rim"]["severity"] == "accepted"


def test_json_says_what_the_text_says() -> None:
    for finding in FINDINGS:
        (found,) = json.loads(render_json(facts_of([finding], SOURCES)))["diagnostics"]
        text = render_text([finding], SOURCES)
        where = "ringwright: "
        if found["file"] is not None:
            where = f"{found['file']}: "
            if found["line"] is not None:
                where = f"{found['file']}:{found['line']}:{found['column']}: "
        assert text.splitlines()[0] == f"{where}{found['severity']}: {found['message']} [{found['code']}]"
        helped = [line.partition("= help: ")[2] for line in text.splitlines() if "= help: " in line]
        assert helped == ([found["help"].replace("\n", "\\x0a")] if found["help"] else [])
        for label in found["labels"]:
            assert label["message"] in text


def test_nothing_to_say_is_an_empty_list() -> None:
    assert json.loads(render_json([])) == {"diagnostics": []}
    assert render_github([]) == ""
    assert json.loads(render_sarif([]))["runs"][0]["results"] == []


# -- annotations ---------------------------------------------------------------------------------


def read_annotation(line: str) -> tuple[str, dict[str, str], str]:
    """Take a workflow command apart as the runner does: properties up to the second '::', then the text."""
    match = re.fullmatch(r"::(\w+) (.*?)::(.*)", line)
    assert match is not None
    pairs = (pair.partition("=") for pair in match[2].split(","))
    return match[1], {name: unquote(value) for name, _, value in pairs}, unquote(match[3])


def test_annotations() -> None:
    lines = {}
    for line in render_github(FACTS).splitlines():
        command, properties, text = read_annotation(line)
        lines[properties["title"]] = (command, properties, text)
    assert len(lines) == len(FINDINGS) - 1, "what is accepted is not shown"
    assert lines["ringwright (unknown-property)"] == (
        "error",
        {
            "file": MAIN,
            "line": "4",
            "col": "5",
            "endLine": "4",
            "endColumn": "11",
            "title": "ringwright (unknown-property)",
        },
        "no property 'lenght' on a stack: 100 % wrong, {so}\nhelp: did you mean 'overall'?",
    )
    assert lines["ringwright (hidden-name)"][0] == "notice"
    assert lines["ringwright (tight-bend)"] == (
        "warning",
        {"file": MAIN, "line": "3", "endLine": "4", "title": "ringwright (tight-bend)"},
        "bent tightly\nhelp: peel it\nor not",
    )
    assert lines["ringwright (unreadable-file)"][1] == {"title": "ringwright (unreadable-file)"}
    title = "ringwright (missing-file)"
    assert lines[title][1] == {"file": "lost.wright", "title": title}


def test_an_annotation_letter_by_letter() -> None:
    fact = Fact("a-fault", "error", "1: 5 %, so\r\nthere", Place("a:b,c %.wright", 1, 2, 1, 3), (), "", "")
    assert render_github([fact]) == (
        "::error file=a%3Ab%2Cc %25.wright,line=1,col=2,endLine=1,endColumn=3,title=ringwright (a-fault)"
        "::1: 5 %25, so%0D%0Athere\n"
    )


# -- sarif ---------------------------------------------------------------------------------------


def sarif(facts: Sequence[Fact]) -> dict[str, Any]:
    log = json.loads(render_sarif(facts))
    assert (log["version"], len(log["runs"])) == ("2.1.0", 1)
    run: dict[str, Any] = log["runs"][0]
    return run


def test_sarif_results_hold_the_facts() -> None:
    run = sarif(FACTS)
    assert run["columnKind"] == "unicodeCodePoints"
    rules = run["tool"]["driver"]["rules"]
    assert [rule["id"] for rule in rules] == sorted(finding.code for finding in FINDINGS)
    for fact, result in zip(FACTS, run["results"], strict=True):
        assert rules[result["ruleIndex"]]["id"] == result["ruleId"] == fact.code
        text = result["message"]["text"].replace("{{", "{").replace("}}", "}")
        assert text == fact.message + (f"\nhelp: {fact.help}" if fact.help else "")
        assert result["level"] == ("warning" if fact.severity == "accepted" else fact.severity)
        assert ("suppressions" in result) == (fact.severity == "accepted")
        assert len(result.get("relatedLocations", [])) == len(fact.labels)
    results = by_code(run["results"], "ruleId")
    assert results["thin-rim"]["suppressions"] == [{"kind": "inSource"}]
    assert results["unknown-property"]["locations"] == [
        {
            "physicalLocation": {
                "artifactLocation": {"uri": "my%20specs/heron%3A%20B%2C%20new.wright"},
                "region": {"startLine": 4, "startColumn": 5, "endLine": 4, "endColumn": 11},
            }
        }
    ]
    first, second = results["unknown-property"]["relatedLocations"]
    assert unquote(first["physicalLocation"]["artifactLocation"]["uri"]) == SHELF
    assert first["message"]["text"] == "like this {{one}}"
    assert "region" not in second["physicalLocation"]
    assert "locations" not in results["unreadable-file"]


def test_sarif_rules_come_from_the_pages() -> None:
    (rule,) = sarif([Fact("thin-rim", "accepted", "m", None, (), "", "")])["tool"]["driver"]["rules"]
    assert rule["defaultConfiguration"] == {"level": CATALOGUE["thin-rim"].severity}
    assert rule["shortDescription"]["text"] == "Little is left between an opening and what it lies beside."
    assert "less than 4 mm" in rule["help"]["text"]
    assert "`ringwright explain thin-rim`" in rule["help"]["markdown"]


@pytest.mark.parametrize("code", sorted(CATALOGUE))
def test_every_code_makes_a_rule(code: str) -> None:
    (rule,) = sarif([Fact(code, "error", "m", None, (), "", "")])["tool"]["driver"]["rules"]
    assert set(rule) == {"id", "shortDescription", "fullDescription", "help", "defaultConfiguration"}


def prints(text: str, codes: Sequence[tuple[str, str]]) -> list[str]:
    source: Source = source_of("a.wright", text)
    found = [
        Diagnostic(code, "error", "m", Span("a.wright", text.index(under), text.index(under) + len(under)))
        for code, under in codes
    ]
    results = sarif(facts_of(found, {"a.wright": source}))["results"]
    return [result["partialFingerprints"]["lineText/v1"] for result in results]


def test_fingerprints_stay_when_lines_move_or_are_indented() -> None:
    codes = [("thin-rim", "hole"), ("tight-bend", "barrel")]
    before = prints("hole a { }\nbarrel b { }\n", codes)
    assert prints("# more\n\n  hole  a { }\n\n    barrel b { }\n", codes) == before
    assert len(set(before)) == 2
    changed = prints("hole c { }\nbarrel b { }\n", codes)
    assert changed[0] != before[0]
    assert changed[1] == before[1]


def test_equal_lines_have_fingerprints_of_their_own() -> None:
    facts = [Fact("thin-rim", "warning", "m", Place("a", n, 1, n, 2), (), "", "hole { }") for n in (1, 2, 3)]
    results = sarif(facts)["results"]
    assert len({json.dumps(result["partialFingerprints"]) for result in results}) == 3


def test_more_than_a_service_takes_leaves_out_the_lightest() -> None:
    notes = [
        Fact("hidden-name", "note", "m", Place("a", 1, n, 1, n), (), "", "") for n in range(MOST_RESULTS)
    ]
    errors = [Fact("thin-rim", "error", "m", Place("b", n, 1, n, 2), (), "", "") for n in (1, 2)]
    run = sarif([*notes, *errors])
    assert len(run["results"]) == MOST_RESULTS
    assert [result["ruleId"] for result in run["results"][-2:]] == ["thin-rim", "thin-rim"]
    (told,) = run["invocations"][0]["toolExecutionNotifications"]
    assert told["message"]["text"] == "2 more findings are left out"


# -- the command ---------------------------------------------------------------------------------

SHELVES = "stock board { kind = foamboard, thickness = 4.8 mm, sheet = 762 mm by 508 mm }\n"


@pytest.fixture
def specs(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    (tmp_path / ".git").mkdir()
    folder = tmp_path / "my specs"
    folder.mkdir()
    (folder / "shelf.wright").write_text(SHELVES + "station F1 { x = 1 }\n", "utf-8")
    model = 'use "shelf.wright"\nmodel one { title = "One" }\n'
    rim = "hole h { diameter = 12 mm, at = (0 mm, 12 mm) }"
    accept = 'accept thin-rim because "it is glued in"'
    for name, more in (("a: 1", ""), ("b, 2", accept)):
        panel = f"panel floor {{\n outline = rect(60 mm, 40 mm), stock = board\n {rim}\n {more}\n}}\n"
        (folder / f"{name}.wright").write_text(model + panel, "utf-8")
    return folder


NAMES = ["my specs/a: 1.wright", "my specs/b, 2.wright"]


def test_several_specs_make_one_document(specs: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["check", "--format", "json", *NAMES]) == 1
    out, err = capsys.readouterr()
    assert err == ""
    found = json.loads(out)["diagnostics"]
    assert [(one["file"], one["code"], one["severity"]) for one in found if one["code"] == "thin-rim"] == [
        (NAMES[0], "thin-rim", "warning"),
        (NAMES[1], "thin-rim", "accepted"),
    ]
    shared = [one for one in found if one["code"] == "missing-unit"]
    assert [(one["file"], one["line"], one["column"]) for one in shared] == [("my specs/shelf.wright", 2, 18)]


def test_sarif_and_annotations_from_the_command(specs: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["check", "--format", "sarif", *NAMES]) == 1
    out, err = capsys.readouterr()
    assert err == ""
    results = json.loads(out)["runs"][0]["results"]
    assert sorted(result["ruleId"] for result in results) == ["missing-unit", "thin-rim", "thin-rim"]
    rims = [result for result in results if result["ruleId"] == "thin-rim"]
    assert ["suppressions" in result for result in rims] == [False, True]
    assert main(["check", "--format", "github", *NAMES]) == 1
    out, err = capsys.readouterr()
    assert err == ""
    assert sorted(line.split(" ")[0] for line in out.splitlines()) == ["::error", "::warning"]


def test_text_and_json_of_the_command_agree(specs: Path, capsys: pytest.CaptureFixture[str]) -> None:
    main(["check", NAMES[0]])
    text = capsys.readouterr().err
    main(["check", "--format", "json", NAMES[0]])
    for one in json.loads(capsys.readouterr().out)["diagnostics"]:
        where = f"{one['file']}:{one['line']}:{one['column']}"
        assert f"{where}: {one['severity']}: {one['message']} [{one['code']}]\n" in text
        assert f"= help: {one['help']}\n" in text


def test_a_spec_that_cannot_be_read(specs: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["check", "--format", "json", "no.wright", NAMES[1]]) == 2
    out, err = capsys.readouterr()
    first, *others = json.loads(out)["diagnostics"]
    assert (first["code"], first["file"], len(others)) == ("missing-file", "no.wright", 2)
    assert "no.wright" in err


def test_an_unknown_format(specs: Path, capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as left:
        main(["check", "--format", "xml", NAMES[0]])
    assert left.value.code == 2
    assert "sarif" in capsys.readouterr().err
