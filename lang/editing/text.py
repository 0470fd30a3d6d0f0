"""A text as an editor holds it: lines, places in them counted as the editor counts, and edits."""

import re
from bisect import bisect_right
from typing import NamedTuple

_LINE_END = re.compile(r"\r\n|\r|\n")


class Position(NamedTuple):
    """A place in a text: line and column from 0, columns in the units of the editor."""

    line: int
    column: int


class Edit(NamedTuple):
    """New words for the stretch from `start` up to `end`, characters from 0."""

    start: int
    end: int
    text: str


class Text(NamedTuple):
    """A text with the offsets at which its lines start. unit: what columns count: 'utf-8', 'utf-16' or 'utf-32'."""

    text: str
    starts: tuple[int, ...]
    unit: str

    def offset(self, position: Position) -> int:
        """Return the offset of a place; one behind the end of its line, or of the text, is that end."""
        if position.line >= len(self.starts):
            return len(self.text)
        start = self.starts[position.line]
        line = self._line(position.line)
        if self.unit == "utf-32" or line.isascii():
            return start + min(position.column, len(line))
        column = 0
        for index, letter in enumerate(line):
            column += width(letter, self.unit)
            if column > position.column:
                return start + index
        return start + len(line)

    def position(self, offset: int) -> Position:
        """Return the place of an offset."""
        offset = max(0, min(offset, len(self.text)))
        line = bisect_right(self.starts, offset) - 1
        before = self.text[self.starts[line] : offset]
        if self.unit == "utf-32" or before.isascii():
            return Position(line, len(before))
        return Position(line, sum(width(letter, self.unit) for letter in before))

    def edited(self, start: Position, end: Position, new: str) -> "Text":
        """Return the text with new words between two places."""
        first, last = sorted((self.offset(start), self.offset(end)))
        return text_of(self.text[:first] + new + self.text[last:], self.unit)

    def _line(self, number: int) -> str:
        last = self.starts[number + 1] if number + 1 < len(self.starts) else len(self.text)
        return self.text[self.starts[number] : last].rstrip("\r\n")


def text_of(text: str, unit: str = "utf-16") -> Text:
    """Return a text with its lines found."""
    return Text(text, (0, *(end.end() for end in _LINE_END.finditer(text))), unit)


def width(letter: str, unit: str) -> int:
    """Return how many units of its column a character takes."""
    code = ord(letter)
    if unit == "utf-8":
        return 1 + (code > 0x7F) + (code > 0x7FF) + (code > 0xFFFF)
    return 1 + (unit == "utf-16" and code > 0xFFFF)


def applied(text: str, edits: "list[Edit]") -> str:
    """Return a text with edits made, none of which touches another."""
    for edit in sorted(edits, reverse=True):
        text = text[: edit.start] + edit.text + text[edit.end :]
    return text
