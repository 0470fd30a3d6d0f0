"""Texts of a spec and places in them."""

from bisect import bisect_right
from typing import NamedTuple


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
