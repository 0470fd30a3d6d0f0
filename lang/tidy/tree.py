"""Statements, blocks and comments of a sound spec, as far as laying them out needs it."""

from collections.abc import Iterator
from typing import NamedTuple, TypeAlias

from ringwright.lang.tidy.scan import Word


class Remark(NamedTuple):
    """A comment between statements, or behind one.

    beside: it stands behind something on its line. blank: a blank line stands before it.
    """

    word: Word
    beside: bool
    blank: bool


class Statement(NamedTuple):
    """A statement, or one row of a table.

    head: its words up to the opening brace, with the lines' ends and comments that stand among them.
    beside: it shares the line of what stands before it. blank: a blank line stands before it.
    """

    head: tuple[Word, ...]
    body: "Block | None"
    beside: bool
    blank: bool

    @property
    def kind(self) -> str:
        """What it is to those who lay it out: 'row', 'property', 'let', 'block' or 'other'."""
        if self.body is not None:
            return "block"
        first = self.head[0]
        if first.kind == "row":
            return "row"
        if first.kind == "keyword":
            return "let" if first.text == "let" else "other"
        return "property" if len(self.head) > 1 and self.head[1].text == "=" else "other"

    @property
    def on_one_line(self) -> bool:
        """Whether it stands on one line as written."""
        if self.body is not None and not self.body.on_one_line:
            return False
        return all(word.kind != "break" for word in self.head)


Item: TypeAlias = Statement | Remark


class Block(NamedTuple):
    """What stands between two braces. on_one_line: as written."""

    items: tuple[Item, ...]
    on_one_line: bool


def read(words: list[Word]) -> Block:
    """Return the whole text as a block without braces."""
    return Block(tuple(_items(iter(words))[0]), False)


def _items(words: Iterator[Word], lines: int = 1) -> tuple[list[Item], int]:
    """Read up to the end of a block.

    lines: how many lines' ends stand before its first item: 0 behind a brace, 1 where a file begins.
    Returns the items and how many lines' ends there were in all, inner blocks included.
    """
    items: list[Item] = []
    head: list[Word] = []
    seen = 0
    for word in words:
        kind = word.kind
        if kind in ("newline", ";", "}") or (kind == "comment" and head):
            if head:
                items.append(Statement(tuple(head), None, lines == 0, lines > 1))
                head, lines = [], 0
            if kind == "newline":
                lines, seen = lines + 1, seen + 1
            elif kind == "comment":
                items.append(Remark(word, True, False))
            elif kind == "}":
                break
        elif kind == "comment":
            items.append(Remark(word, lines == 0, lines > 1))
            lines = 0
        elif kind == "{":
            inner, count = _items(words, 0)
            items.append(Statement(tuple(head), Block(tuple(inner), count == 0), lines == 0, lines > 1))
            head, lines, seen = [], 0, seen + count
        else:
            seen += kind == "break"
            head.append(word)
    if head:
        items.append(Statement(tuple(head), None, lines == 0, lines > 1))
    return items, seen
