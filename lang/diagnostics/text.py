"""Diagnostics as text for people: one line in GNU form, the place underlined, and what to write instead."""

import unicodedata
from collections.abc import Iterable, Mapping, Sequence
from typing import NamedTuple

from ringwright.lang.diagnostics.diagnostic import Diagnostic
from ringwright.lang.diagnostics.facts import in_order
from ringwright.lang.source import Source, Span

CAP = 100
_TAB = 8
_WIDEST = 160
_COLOURS = {"error": "31", "warning": "33", "note": "36", "help": "32", "dim": "2", "bold": "1"}


class _Paint(NamedTuple):
    """Colours, where they are asked for."""

    on: bool

    def __call__(self, colour: str, text: str) -> str:
        return f"\x1b[{_COLOURS[colour]}m{text}\x1b[0m" if self.on and text else text


def render_text(
    diagnostics: Iterable[Diagnostic], sources: Mapping[str, Source], colour: bool = False
) -> str:
    """Return all diagnostics as text, by file and place, the first hundred of them and the count of the rest.

    sources: by path as in the spans; a place in a source that is not among them is named without an excerpt.
    colour: with ANSI colours. No control character of a source reaches the text: it is shown escaped.
    """
    ordered = in_order(diagnostics)
    shown = [render_one(diagnostic, sources, colour) for diagnostic in ordered[:CAP]]
    if len(ordered) > CAP:
        shown.append(f"… and {len(ordered) - CAP} more\n")
    return "\n".join(shown)


def render_one(diagnostic: Diagnostic, sources: Mapping[str, Source], colour: bool = False) -> str:
    """Return one diagnostic as lines of text, each with its end."""
    paint = _Paint(colour)
    message = f"{escape(diagnostic.message)} [{diagnostic.code}]"
    severity = paint(diagnostic.severity, f"{diagnostic.severity}:")
    lines = [f"{paint('bold', _where(diagnostic.span, sources))}{severity} {message}"]
    width = _gutter(diagnostic, sources)
    if diagnostic.span is not None and diagnostic.span.source in sources:
        source = sources[diagnostic.span.source]
        lines += _excerpt(source, diagnostic.span, "^", diagnostic.severity, "", width, paint)
    for label in diagnostic.labels:
        if label.span.source in sources:
            if diagnostic.span is None or label.span.source != diagnostic.span.source:
                lines.append(f"{' ' * width} {paint('dim', '::')} {_where(label.span, sources)}")
            source = sources[label.span.source]
            lines += _excerpt(source, label.span, "-", "note", label.text, width, paint)
        else:
            lines.append(
                f"{' ' * width} {paint('dim', '=')} {escape(label.text)}: {escape(label.span.source)}"
            )
    if diagnostic.help:
        lines.append(f"{' ' * width} {paint('dim', '=')} {paint('help', 'help:')} {escape(diagnostic.help)}")
    return "".join(f"{line}\n" for line in lines)


def escape(text: str) -> str:
    r"""Return text with whatever a terminal would obey, or hide, written out, as `\x1b` or `\u202e`."""
    if text.isprintable():
        return text
    return "".join(_escaped(character) for character in text)


def _escaped(character: str) -> str:
    # Blanks other than the space are not printable to Python; none of them does harm but the line breaks.
    if character.isprintable() or unicodedata.category(character) == "Zs":
        return character
    code = ord(character)
    if code < 0x100:
        return f"\\x{code:02x}"
    return f"\\u{code:04x}" if code < 0x10000 else f"\\U{code:08x}"


def _where(span: Span | None, sources: Mapping[str, Source]) -> str:
    """FILE:LINE:COLUMN and a colon, as far as it is known."""
    if span is None:
        return "ringwright: "
    path = escape(span.source)
    if span.source not in sources:
        return f"{path}: "
    line, column = sources[span.source].position(span.start)
    return f"{path}:{line}:{column}: "


def _gutter(diagnostic: Diagnostic, sources: Mapping[str, Source]) -> int:
    """How wide the column of line numbers is."""
    spans = [diagnostic.span, *(label.span for label in diagnostic.labels)]
    numbers = [
        sources[span.source].position(max(span.start, span.end - 1))[0]
        for span in spans
        if span is not None and span.source in sources
    ]
    return max((len(str(number)) for number in numbers), default=1) + 1


def _excerpt(
    source: Source, span: Span, mark: str, colour: str, text: str, width: int, paint: _Paint
) -> Sequence[str]:
    """Return the line, underlined; of several lines the first and the last."""
    first, start = source.position(span.start)
    last, end = source.position(max(span.start, span.end))
    if last > first and end == 1:
        last -= 1
        end = len(source.line(last)) + 1
    if first == last:
        return _underlined(source, first, start - 1, end - 1, mark, colour, text, width, paint)
    whole = len(source.line(first))
    lines = list(_underlined(source, first, start - 1, whole, mark, colour, "", width, paint))
    if last > first + 1:
        lines.append(f"{'…':>{width}} {paint('dim', '|')}")
    line = source.line(last)
    indent = len(line) - len(line.lstrip())
    lines += _underlined(source, last, min(indent, end - 1), end - 1, mark, colour, text, width, paint)
    return lines


def _underlined(
    source: Source,
    number: int,
    start: int,
    end: int,
    mark: str,
    colour: str,
    text: str,
    width: int,
    paint: _Paint,
) -> Sequence[str]:
    line = source.line(number)
    before, line, after = _window(line, start, end)
    start, end = start - before, min(end - before, len(line))
    shown, columns = columns_of(line)
    left = columns[min(start, len(line))]
    right = max(columns[end] if end > start else left + 1, left + 1)
    if before:
        shown, left, right = f"…{shown}", left + 1, right + 1
    bar = paint("dim", "|")
    said = f"{mark * (right - left)}{' ' + escape(text) if text else ''}"
    return (
        f"{number:>{width}} {bar} {shown}{'…' if after else ''}".rstrip(),
        f"{' ' * width} {bar} {' ' * left}{paint(colour, said)}",
    )


def _window(line: str, start: int, end: int) -> tuple[int, str, bool]:
    """Cut a very long line around a place: characters left out before, the rest, whether cut after."""
    if len(line) <= _WIDEST:
        return 0, line, False
    before = max(0, start - _WIDEST // 4)
    return before, line[before : before + _WIDEST], before + _WIDEST < len(line)


def columns_of(line: str) -> tuple[str, list[int]]:
    """Return the line as shown, and the column on the screen at which each character begins (and the end)."""
    pieces: list[str] = []
    columns = []
    column = 0
    for character in line:
        columns.append(column)
        if character == "\t":
            piece = " " * (_TAB - column % _TAB)
            column += len(piece)
        elif unicodedata.combining(character) or unicodedata.category(character) in ("Mn", "Me"):
            piece = character
        else:
            piece = _escaped(character)
            wide = len(piece) == 1 and unicodedata.east_asian_width(piece) in "WF"
            column += 2 if wide else len(piece)
        pieces.append(piece)
    columns.append(column)
    return "".join(pieces), columns
