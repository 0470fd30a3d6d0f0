"""What the tests of hostile input share: a guard against hanging, and what must hold of whatever is said."""

import json
import signal
from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import contextmanager
from typing import Any

import pytest
from ringwright.lang.diagnostics.as_github import render_github
from ringwright.lang.diagnostics.as_json import render_json
from ringwright.lang.diagnostics.as_sarif import render_sarif
from ringwright.lang.diagnostics.catalogue import CATALOGUE
from ringwright.lang.diagnostics.diagnostic import Diagnostic
from ringwright.lang.diagnostics.facts import facts_of
from ringwright.lang.diagnostics.text import CAP, escape, render_text
from ringwright.lang.source import Source, Span

SECONDS = 2.0
LONGEST_MESSAGE = 2500


class Hung(Exception):
    """An input took longer than any may."""


@contextmanager
def watched(seconds: float = SECONDS) -> Iterator[None]:
    """Break off what takes more than so many seconds of the processor: a guard against hanging, not a measure."""

    def break_off(*_: object) -> None:
        raise Hung(f"still busy after {seconds:g} s")

    before = signal.signal(signal.SIGPROF, break_off)
    signal.setitimer(signal.ITIMER_PROF, seconds)
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_PROF, 0)
        signal.signal(signal.SIGPROF, before)


def check_findings(findings: Iterable[Diagnostic], sources: Mapping[str, Source]) -> None:
    """Try what must hold of all findings, whatever the text: one by one, and as they are written out."""
    findings = tuple(findings)
    for finding in findings:
        assert finding.code in CATALOGUE
        assert finding.severity in ("error", "warning", "note", "accepted")
        for words in (finding.message, finding.help, *(label.text for label in finding.labels)):
            assert escape(words) == words, repr(words[:200])
            assert len(words) <= LONGEST_MESSAGE
            assert "Traceback" not in words
        assert finding.message
        for span in (finding.span, *(label.span for label in finding.labels)):
            check_span(span, sources)
    text = render_text(findings, sources)
    assert all(escape(line) == line for line in text.split("\n"))
    assert text.count("\n") <= 60 * CAP
    facts = facts_of(findings, sources)
    assert len(json.loads(render_json(facts))["diagnostics"]) == len(findings)
    assert len(json.loads(render_sarif(facts))["runs"][0]["results"]) == min(len(findings), 25_000)
    lines = render_github(facts).splitlines()
    assert len(lines) == sum(finding.severity != "accepted" for finding in findings)
    assert all(escape(line) == line and line.startswith("::") for line in lines)


def check_span(span: Span | None, sources: Mapping[str, Source]) -> None:
    """A place lies within its text."""
    if span is not None and span.source in sources:
        assert 0 <= span.start <= span.end <= len(sources[span.source].text)


@pytest.fixture(scope="session")
def guard() -> Any:
    """The guard, for what is no compile: `with guard(): …`."""
    return watched


@pytest.fixture(scope="session")
def checked() -> Callable[[Iterable[Diagnostic], Mapping[str, Source]], None]:
    """Try what must hold of all findings."""
    return check_findings


def _standing(compiled: Callable[..., Any], seconds: float = SECONDS) -> Callable[..., Any]:
    def run(text: str, **files: str) -> Any:
        with watched(seconds):
            outcome = compiled(text, **files)
        with watched():
            check_findings(outcome.findings, outcome.compiled.project.sources)
        return outcome

    return run


@pytest.fixture(scope="session")
def stood(judged: Callable[..., Any]) -> Callable[..., Any]:
    """Compile a text that follows a model and three stocks, under guard, and try what must hold of whatever is said."""
    return _standing(judged)


@pytest.fixture(scope="session")
def stood_alone(compiled: Callable[..., Any]) -> Callable[..., Any]:
    """The same for a whole spec that stands by itself, which may take its time: skins are bent and laid flat in it."""
    return _standing(compiled, 5 * SECONDS)
