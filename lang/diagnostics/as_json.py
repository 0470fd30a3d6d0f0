"""Findings as JSON, for scripts."""

import json
from collections.abc import Iterable

from ringwright.lang.diagnostics.facts import Fact, Place


def render_json(facts: Iterable[Fact]) -> str:
    """Return one document with all findings, those that the text accepts as well (severity 'accepted').

    Lines and columns count from 1, columns in characters; the end is exclusive. A place that is not known
    is null.
    """
    found = [
        {
            "code": fact.code,
            "severity": fact.severity,
            "message": fact.message,
            **_place(fact.place),
            "labels": [{"message": label.text, **_place(label.place)} for label in fact.labels],
            "help": fact.help,
        }
        for fact in facts
    ]
    return json.dumps({"diagnostics": found}, indent=2, ensure_ascii=False) + "\n"


def _place(place: Place | None) -> dict[str, str | int | None]:
    if place is None:
        return {"file": None, **dict.fromkeys(Place._fields[1:])}
    return place._asdict()
