"""Findings as plain facts: what every renderer for machines shows, with places as lines and columns."""

from collections.abc import Iterable, Mapping
from typing import NamedTuple

from ringwright.lang.diagnostics.diagnostic import Diagnostic
from ringwright.lang.source import Source, Span

MOST_SHOWN = 1000
"""Characters of a line that go into a fact."""


class Place(NamedTuple):
    """A stretch of a file, lines and columns from 1, columns in characters, the end exclusive.

    line and the rest are None where the file's text is not at hand.
    """

    file: str
    line: int | None = None
    column: int | None = None
    end_line: int | None = None
    end_column: int | None = None


class Note(NamedTuple):
    """Another place that matters, and what it has to say."""

    place: Place
    text: str


class Fact(NamedTuple):
    """One finding.

    place: None where there is no text at all. line_text: the line of the place, without blanks around it, at most
    its first thousand characters.
    """

    code: str
    severity: str
    message: str
    place: Place | None
    labels: tuple[Note, ...]
    help: str
    line_text: str


def in_order(findings: Iterable[Diagnostic]) -> list[Diagnostic]:
    """Return findings by file and place, then by code and message."""
    return sorted(findings, key=_key)


def _key(finding: Diagnostic) -> tuple[str, int, int, str, str]:
    span = finding.span or Span("", -1, -1)
    return span.source, span.start, span.end, finding.code, finding.message


def facts_of(findings: Iterable[Diagnostic], sources: Mapping[str, Source]) -> tuple[Fact, ...]:
    """Return findings as facts, in order. sources: by path as in the spans."""
    return tuple(_fact(finding, sources) for finding in in_order(findings))


def _fact(finding: Diagnostic, sources: Mapping[str, Source]) -> Fact:
    place = None if finding.span is None else _place(finding.span, sources)
    line = ""
    if finding.span is not None and place is not None and place.line is not None:
        line = _start_of(sources[finding.span.source], place.line)
    labels = tuple(Note(_place(label.span, sources), label.text) for label in finding.labels)
    return Fact(finding.code, finding.severity, finding.message, place, labels, finding.help, line)


def _start_of(source: Source, number: int) -> str:
    """Return a line without blanks around it; of a very long one its beginning, as each finding in it has its own."""
    start = source.line_starts[number - 1]
    return source.text[start : start + MOST_SHOWN].split("\n", 1)[0].strip()


def _place(span: Span, sources: Mapping[str, Source]) -> Place:
    if span.source not in sources:
        return Place(span.source)
    source = sources[span.source]
    return Place(span.source, *source.position(span.start), *source.position(max(span.start, span.end)))


def said(fact: Fact) -> str:
    """Return what a format with one text for all says: the message and, on a line of its own, the help."""
    return f"{fact.message}\nhelp: {fact.help}" if fact.help else fact.message
