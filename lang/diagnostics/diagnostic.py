"""A diagnostic is a value: what is wrong, where, and what to write instead."""

from typing import NamedTuple

from ringwright.lang.source import Span


class Label(NamedTuple):
    """Another place that matters, with what it has to say ('first given here')."""

    span: Span
    text: str


class Diagnostic(NamedTuple):
    """One finding.

    code: stable, lower-case words with dashes, names the fault.
    severity: 'error', 'warning', 'note', or 'accepted' (a warning that the text accepts: listed, not shown).
    message: one sentence that a builder understands, without a full stop.
    span: the place underlined; None only where there is no text at all (an unreadable file).
    labels: further places. help: what to write instead, or ''.
    """

    code: str
    severity: str
    message: str
    span: Span | None
    labels: tuple[Label, ...] = ()
    help: str = ""
