"""A text read again after an edit: only the statements that the edit touches are parsed, the others are taken over."""

from bisect import bisect_left, bisect_right
from typing import Any, NamedTuple

from ringwright.lang.diagnostics.diagnostic import Diagnostic
from ringwright.lang.source import Source, Span
from ringwright.lang.syntax import nodes
from ringwright.lang.syntax.parse import Reader, TooDeep, TooMany, parse
from ringwright.lang.syntax.tokens import UnexpectedCharacter, UnexpectedToken


class Read(NamedTuple):
    """A source as it was read: its statements, and what is wrong with the others."""

    source: Source
    file: nodes.File
    findings: tuple[Diagnostic, ...]


def parse_again(before: Read | None, source: Source) -> Read:
    """Return what `parse` gives of a source. before: how the text was read before an edit, None where it was not.

    Where the text had a mistake, or has one now, all of it is parsed: a mistake may be blamed on what stands far away.
    """
    if before is not None and before.source == source:
        return before
    if before is not None and not before.findings:
        try:
            statements = _edited(before, source)
        except RecursionError:  # a sum of thousands of terms: too deep to be moved
            statements = None
        if statements is not None:
            whole = Span(source.path, 0, len(source.text))
            return Read(source, nodes.File(statements, whole), ())
    return Read(source, *parse(source))


def _edited(before: Read, source: Source) -> tuple[nodes.Statement, ...] | None:
    """Return the statements of a sound text; None where all of it must be parsed to know."""
    old, new = before.source.text, source.text
    statements = before.file.statements
    first, tail = alike(old, new)
    moved = len(new) - len(old)
    # One statement on either side of the edit is read, too: it shows that the edit leaves what follows alone.
    kept = max(0, bisect_left(statements, first, key=lambda statement: statement.span.end) - 1)
    rest = bisect_right(statements, len(old) - tail, key=lambda statement: statement.span.start) + 1
    while kept and isinstance(statements[kept - 1], nodes.Table):  # its next row may stand behind it
        kept -= 1
    while rest < len(statements) and isinstance(statements[rest], nodes.Table):
        rest += 1
    start = statements[kept - 1].span.end if kept else 0
    end = statements[rest].span.start + moved if rest < len(statements) else len(new)
    read = _stretch(source, start, end)
    if read is None:
        return None
    if rest < len(statements) and (not read or read[-1] != _shifted(statements[rest - 1], moved)):
        return None
    after = statements[rest:] if not moved else tuple(_shifted(each, moved) for each in statements[rest:])
    return (*statements[:kept], *read, *after)


def _stretch(source: Source, start: int, end: int) -> tuple[nodes.Statement, ...] | None:
    """Return the statements between two offsets that lie between statements; None where there is a mistake."""
    reader = Reader(source, start, end)
    try:
        reader.read_tokens()
        reader.machine.feed(reader.end_token(), True)
    except (UnexpectedToken, UnexpectedCharacter, TooDeep, TooMany):
        return None
    return None if reader.builder.diagnostics else reader.builder.close_block()


def _shifted(node: Any, by: int) -> Any:
    """Return a node, or a tuple of nodes, as it stands a number of characters further on."""
    cls = node.__class__
    if cls is Span:
        return Span(node[0], node[1] + by, node[2] + by)
    parts = [_shifted(part, by) if isinstance(part, tuple) else part for part in node]
    return tuple(parts) if cls is tuple else tuple.__new__(cls, parts)


def alike(one: str, other: str) -> tuple[int, int]:
    """Return how many characters two texts have in common at their start, and how many of the others at their end."""
    first = _alike(one, other)
    return first, _alike_at_end(one, other, min(len(one), len(other)) - first)


def _alike(one: str, other: str) -> int:
    """Return how many characters two texts have in common at their start."""
    low, high = 0, min(len(one), len(other))
    while low < high:
        middle = (low + high + 1) // 2
        if one[low:middle] == other[low:middle]:
            low = middle
        else:
            high = middle - 1
    return low


def _alike_at_end(one: str, other: str, most: int) -> int:
    """Return how many characters, `most` of them, two texts have in common at their end."""
    low, high = 0, most
    while low < high:
        middle = (low + high + 1) // 2
        if one[len(one) - middle : len(one) - low] == other[len(other) - middle : len(other) - low]:
            low = middle
        else:
            high = middle - 1
    return low
