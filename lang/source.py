"""Texts of a spec and places in them."""

from bisect import bisect_right
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from ringwright.lang.diagnostics.diagnostic import Diagnostic


class Span(NamedTuple):
    """A stretch of one source text.

    source: the text's path as shown to the builder (relative to the project's folder, with '/').
    start, end: offsets in characters, end exclusive.
    """

    source: str
    start: int
    end: int

    def to(self, other: "Span") -> "Span":
        """Return the stretch from the start of this one to the end of `other`."""
        return Span(self.source, self.start, other.end)

    def holds(self, other: "Span") -> bool:
        """Say whether another stretch lies within this one."""
        return self.source == other.source and self.start <= other.start and other.end <= self.end


class Source(NamedTuple):
    """One text that was read."""

    path: str
    text: str
    line_starts: tuple[int, ...]

    def position(self, offset: int) -> tuple[int, int]:
        """Return line and column of an offset, both from 1, columns in characters."""
        line = bisect_right(self.line_starts, offset)
        return line, offset - self.line_starts[line - 1] + 1

    def line(self, number: int) -> str:
        """Return the text of a line (from 1) without its line end."""
        start = self.line_starts[number - 1]
        end = self.line_starts[number] if number < len(self.line_starts) else len(self.text)
        return self.text[start:end].rstrip("\r\n")

    def words(self, span: Span) -> str:
        """Return the text of a span on one line, without the comments in it."""
        lines = self.text[span.start : span.end].splitlines()
        return " ".join(" ".join(line.partition("#")[0] for line in lines).split())


LIMIT = 8 * 1024 * 1024

# Characters that change how a text looks but not what it says, or that no writer of files may put out:
# controls, zero-width ones, those that turn the direction of writing (CVE-2021-42574), and what is no
# character.
_FORBIDDEN = (
    (0x00, 0x08),
    (0x0B, 0x0C),
    (0x0E, 0x1F),
    (0x7F, 0x9F),
    (0x00AD, 0x00AD),
    (0x034F, 0x034F),
    (0x061C, 0x061C),
    (0x115F, 0x1160),
    (0x17B4, 0x17B5),
    (0x180B, 0x180F),
    (0x200B, 0x200F),
    (0x2028, 0x2029),
    (0x202A, 0x202E),
    (0x2060, 0x206F),
    (0x3164, 0x3164),
    (0xD800, 0xDFFF),
    (0xFDD0, 0xFDEF),
    (0xFEFF, 0xFEFF),
    (0xFFA0, 0xFFA0),
    (0xFFF0, 0xFFFB),
    (0xFFFE, 0xFFFF),
)


def make_source(path: str, data: bytes) -> "tuple[Source, tuple[Diagnostic, ...]]":
    """Return the text of a file that was read, and what is wrong with its characters.

    path: as shown to the builder. data: UTF-8, with or without a byte-order mark, lines ending in LF or
    CRLF, at most 8 MB. Where there is a diagnostic the text is for showing only: empty for a file too big,
    with U+FFFD for bytes that are no UTF-8 (the first is reported), and with forbidden characters (the
    first 100 are reported) as they stand.
    """
    if len(data) > LIMIT:
        message = f"this file has {len(data)} bytes, more than the {LIMIT} that are read"
        return _empty(path), (_error("file-too-large", message, None),)
    if data.startswith(b"\xef\xbb\xbf"):
        data = data[3:]
    try:
        text = data.decode("utf-8")
    except UnicodeDecodeError as problem:
        return _not_utf8(path, data, problem.start)
    source = source_of(path, text)
    return source, _forbidden(source)


def source_of(path: str, text: str) -> Source:
    """Return a source of a text that is at hand; its characters are not looked at."""
    starts = [0]
    at = text.find("\n")
    while at >= 0:
        starts.append(at + 1)
        at = text.find("\n", at + 1)
    return Source(path, text, tuple(starts))


def _empty(path: str) -> Source:
    return Source(path, "", (0,))


def _error(code: str, message: str, span: Span | None, help: str = "") -> "Diagnostic":
    from ringwright.lang.diagnostics.diagnostic import Diagnostic

    return Diagnostic(code, "error", message, span, help=help)


def _not_utf8(path: str, data: bytes, at: int) -> "tuple[Source, tuple[Diagnostic, ...]]":
    """Blame the first byte that is no UTF-8; the source shows a mark for each such byte."""
    source = source_of(path, data.decode("utf-8", "replace"))
    offset = len(data[:at].decode("utf-8"))
    line, column = source.position(offset)
    message = f"byte {data[at]:#04x} at line {line}, column {column} is no UTF-8"
    help = "save the file as UTF-8"
    return source, (_error("not-utf8", message, Span(path, offset, offset + 1), help),)


def _forbidden(source: Source) -> "tuple[Diagnostic, ...]":
    import re

    ranges = "".join(f"{re.escape(chr(low))}-{re.escape(chr(high))}" for low, high in _FORBIDDEN)
    # A carriage return belongs to a line's end only; the last two code points of every plane are no
    # characters.
    planes = "".join(
        f"{chr(plane + 0xFFFE)}{chr(plane + 0xFFFF)}" for plane in range(0x10000, 0x110000, 0x10000)
    )
    found: list[Diagnostic] = []
    for match in re.finditer(f"[{ranges}{planes}\U000e0000-\U000e0fff]|\r(?!\n)", source.text):
        code = ord(match[0])
        found.append(
            _error(
                "forbidden-character",
                f"the character U+{code:04X} may not stand in a spec",
                Span(source.path, match.start(), match.end()),
                "delete it; it does not show, or changes how the text looks",
            )
        )
        if len(found) == 100:
            break
    return tuple(found)
