"""Findings as workflow commands, which a hosted build shows beside the lines of a change."""

from collections.abc import Iterable

from ringwright.lang.diagnostics.facts import Fact, said
from ringwright.lang.diagnostics.text import escape

_COMMANDS = {"error": "error", "warning": "warning", "note": "notice"}


def render_github(facts: Iterable[Fact]) -> str:
    """Return one line a finding, without those that the text accepts.

    Columns are left out where a place runs over several lines: annotations know them on one line only.
    """
    return "".join(f"{_line(fact)}\n" for fact in facts if fact.severity in _COMMANDS)


def _line(fact: Fact) -> str:
    properties: dict[str, str | int | None] = {}
    place = fact.place
    if place is not None:
        properties = {"file": place.file, "line": place.line, "endLine": place.end_line}
        if place.line == place.end_line:
            properties = {
                "file": place.file,
                "line": place.line,
                "col": place.column,
                "endLine": place.end_line,
                "endColumn": place.end_column,
            }
    properties["title"] = f"ringwright ({fact.code})"
    written = ",".join(
        f"{name}={_property(str(value))}" for name, value in properties.items() if value is not None
    )
    return f"::{_COMMANDS[fact.severity]} {written}::{_data(said(fact))}"


def _data(text: str) -> str:
    # A log is shown in a terminal: nothing else in it may be taken for colours or worse.
    return escape(text.replace("%", "%25").replace("\r", "%0D").replace("\n", "%0A"))


def _property(text: str) -> str:
    return _data(text).replace(":", "%3A").replace(",", "%2C")
