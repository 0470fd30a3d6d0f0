"""Findings as SARIF 2.1.0 (OASIS Standard, 2020), the exchange format of static checkers."""

import hashlib
import json
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from typing import Any
from urllib.parse import quote

from ringwright.lang.diagnostics.catalogue import CATALOGUE
from ringwright.lang.diagnostics.facts import Fact, Place, said
from ringwright.lang.diagnostics.pages import first_sentence, pages
from ringwright.lang.version import VERSION

SCHEMA = "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json"
# What services that show such files take in one run (common practice).
MOST_RESULTS = 25_000
_WORST_FIRST = ("error", "warning", "note", "accepted")


def render_sarif(facts: Iterable[Fact], whole: bool = True) -> str:
    """Return one log with one run. Of more than 25 000 findings the lighter ones are left out, and it says so.

    whole: all that was to be checked could be read; else the run did not succeed.

    Columns count characters from 1. Warnings that the text accepts are suppressed results. A fingerprint
    follows from the code, the file and the text of the line, not from its number.
    """
    found = list(facts)
    kept = _kept(found)
    codes = sorted({fact.code for fact in kept})
    index = {code: number for number, code in enumerate(codes)}
    invocation: dict[str, Any] = {"executionSuccessful": whole}
    if len(kept) < len(found):
        left = f"{len(found) - len(kept)} more findings are left out"
        invocation["toolExecutionNotifications"] = [{"level": "warning", "message": {"text": left}}]
    run = {
        "tool": {
            "driver": {
                "name": "ringwright",
                "version": VERSION,
                "semanticVersion": VERSION,
                "rules": [_rule(code) for code in codes],
            }
        },
        "invocations": [invocation],
        "columnKind": "unicodeCodePoints",
        "results": [
            _result(fact, index[fact.code], mark)
            for fact, mark in zip(kept, _fingerprints(kept), strict=True)
        ],
    }
    log = {"$schema": SCHEMA, "version": "2.1.0", "runs": [run]}
    return json.dumps(log, indent=2, ensure_ascii=False) + "\n"


def _kept(facts: list[Fact]) -> list[Fact]:
    if len(facts) <= MOST_RESULTS:
        return facts
    worst = sorted(range(len(facts)), key=lambda i: (_WORST_FIRST.index(facts[i].severity), i))
    return [facts[i] for i in sorted(worst[:MOST_RESULTS])]


def _rule(code: str) -> Mapping[str, Any]:
    page = pages().get(code)
    entry = CATALOGUE.get(code)
    meaning = f"{entry.meaning[0].upper()}{entry.meaning[1:]}." if entry else code
    rule: dict[str, Any] = {"id": code, "shortDescription": {"text": meaning}}
    if page is not None:
        more = f"`ringwright explain {code}` says it with examples."
        text = f"{' '.join(page.says.split())} {more}"
        rule["fullDescription"] = {"text": _plain(first_sentence(page))}
        rule["help"] = {"text": _plain(text), "markdown": _plain(f"{page.says}\n\n{more}")}
    rule["defaultConfiguration"] = {"level": entry.severity if entry else "error"}
    return rule


def _result(fact: Fact, index: int, fingerprint: str) -> Mapping[str, Any]:
    result: dict[str, Any] = {
        "ruleId": fact.code,
        "ruleIndex": index,
        "level": "warning" if fact.severity == "accepted" else fact.severity,
        "message": {"text": _plain(said(fact))},
        "partialFingerprints": {"lineText/v1": fingerprint},
    }
    if fact.place is not None:
        result["locations"] = [{"physicalLocation": _physical(fact.place)}]
    if fact.labels:
        result["relatedLocations"] = [
            {
                "id": number,
                "physicalLocation": _physical(label.place),
                "message": {"text": _plain(label.text)},
            }
            for number, label in enumerate(fact.labels, 1)
        ]
    if fact.severity == "accepted":
        result["suppressions"] = [{"kind": "inSource"}]
    return result


def _plain(text: str) -> str:
    """Return text as a message string: a brace alone would begin a placeholder (3.11.5)."""
    return text.replace("{", "{{").replace("}", "}}")


def _physical(place: Place) -> Mapping[str, Any]:
    # A name need not be UTF-8; what is not goes out byte for byte, as a reference may hold it.
    found: dict[str, Any] = {}
    found["artifactLocation"] = {"uri": quote(place.file.encode("utf-8", "surrogateescape"))}
    if place.line is not None:
        found["region"] = {
            "startLine": place.line,
            "startColumn": place.column,
            "endLine": place.end_line,
            "endColumn": place.end_column,
        }
    return found


def _fingerprints(facts: Sequence[Fact]) -> list[str]:
    """Return a fingerprint for each; of equal lines with equal findings each has its own, by their order."""
    seen: Counter[tuple[str, str, str]] = Counter()
    found = []
    for fact in facts:
        key = (fact.code, fact.place.file if fact.place else "", " ".join(fact.line_text.split()))
        seen[key] += 1
        text = "\0".join((*key, str(seen[key])))
        found.append(hashlib.sha256(text.encode("utf-8", "surrogateescape")).hexdigest()[:32])
    return found
