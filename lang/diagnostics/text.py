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
    lines += _excerpts(diagnostic, sources, width, paint)
    lines += [
        f"{' ' * width} {paint('dim', '=')} {escape(label.text)}: {escape(label.span.source)}"
        for label in diagnostic.labels
        if label.span.source not in sources
    ]
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


class _Mark(NamedTuple):
    """What is underlined in a line: columns on the screen, the sign, its colour, and what is said of it."""

    left: int
    right: int
    sign: str
    colour: str
    text: str


class _Line(NamedTuple):
    """A line of a source as it is shown; `before` characters of it are left out. skips: lines are left out above it."""

    source: Source
    number: int
    before: int
    shown: str
    skips: bool
    marks: list[_Mark]
    start: int


def _excerpts(
    diagnostic: Diagnostic, sources: Mapping[str, Source], width: int, paint: _Paint
) -> Sequence[str]:
    """Return the lines that a finding speaks of, each once, with all that is underlined in it."""
    lines: dict[tuple[str, int, int], _Line] = {}
    spans = [] if diagnostic.span is None else [(diagnostic.span, "^", diagnostic.severity, "")]
    spans += [(label.span, "=", "note", label.text) for label in diagnostic.labels]
    for span, sign, colour, text in spans:
        if span.source in sources:
            for line in _underlined(sources[span.source], span, sign, colour, text):
                there = lines.setdefault((span.source, line.number, line.before), line)
                if there is not line:
                    _add(there.marks, line.marks[0])
    written: list[str] = []
    file = "" if diagnostic.span is None else diagnostic.span.source
    for (path, number, _), line in lines.items():
        if path != file:
            line_place, column = line.source.position(line.start)
            written.append(f"{' ' * width} {paint('dim', '::')} {escape(path)}:{line_place}:{column}")
            file = path
        bar = paint("dim", "|")
        if line.skips:
            written.append(f"{'…':>{width}} {bar}")
        written.append(f"{number:>{width}} {bar} {line.shown}".rstrip())
        for mark in line.marks:
            said = f"{mark.sign * (mark.right - mark.left)}{' ' + escape(mark.text) if mark.text else ''}"
            written.append(f"{' ' * width} {bar} {' ' * mark.left}{paint(mark.colour, said)}")
    return written


def _add(marks: list[_Mark], mark: _Mark) -> None:
    """Add a mark to those of a line; what the first one's place has to say is said there."""
    first = marks[0]
    if not first.text and (first.left, first.right) == (mark.left, mark.right):
        marks[0] = first._replace(text=mark.text)
    elif mark not in marks:
        marks.append(mark)


def _underlined(source: Source, span: Span, sign: str, colour: str, text: str) -> Sequence[_Line]:
    """Return the line with its mark; of several lines the first and the last."""
    first, start = source.position(span.start)
    last, end = source.position(max(span.start, span.end))
    if last > first and end == 1:
        last -= 1
        end = len(source.line(last)) + 1
    if first == last:
        return (_marked(source, first, start - 1, end - 1, _Mark(0, 0, sign, colour, text), span.start),)
    whole = len(source.line(first))
    line = source.line(last)
    indent = len(line) - len(line.lstrip())
    return (
        _marked(source, first, start - 1, whole, _Mark(0, 0, sign, colour, ""), span.start),
        _marked(
            source, last, min(indent, end - 1), end - 1, _Mark(0, 0, sign, colour, text), span.start, last > first + 1
        ),
    )  # fmt: skip


def _marked(
    source: Source, number: int, start: int, end: int, mark: _Mark, place: int, skips: bool = False
) -> _Line:
    """Return a line with a mark from one of its characters to another."""
    line = source.line(number)
    before, line, after = _window(line, start, end)
    start, end = start - before, min(end - before, len(line))
    shown, columns = columns_of(line)
    left = columns[min(start, len(line))]
    right = max(columns[end] if end > start else left + 1, left + 1)
    if before:
        shown, left, right = f"…{shown}", left + 1, right + 1
    shown = f"{shown}{'…' if after else ''}"
    return _Line(source, number, before, shown, skips, [mark._replace(left=left, right=right)], place)


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
