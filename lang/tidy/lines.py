"""The lines of a spec laid out anew, without its end-of-line comments brought into line yet."""

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from ringwright.lang.tidy.scan import Word, width
from ringwright.lang.tidy.spacing import gap, is_idle, spaced
from ringwright.lang.tidy.tables import aligned
from ringwright.lang.tidy.tree import Block, Item, Remark, Statement

INDENT = 4
LONGEST = 110
# Lines are brought into line only where none is pushed further than this.
PUSH = 20


class Line:
    """A line laid out.

    blank: a blank line stands before it. comment: what stands behind its code, None for nothing. follows:
    the comment goes on with that of the line above, and there is no code.
    """

    __slots__ = ("blank", "code", "comment", "follows")

    def __init__(self, code: str, blank: bool) -> None:
        self.code = code
        self.blank = blank
        self.comment: Word | None = None
        self.follows = False


class _Entry(NamedTuple):
    """What gets lines of its own: a comment, a statement, or several statements that share a line.

    run: what neighbours it may be brought into line with ('' for none). left: how its line begins, up to
    where they are brought into line. words: the rest of its head. right: all that stands behind the head,
    where that is on the same line.
    """

    item: Item
    run: str = ""
    left: str = ""
    words: tuple[Word, ...] = ()
    right: str = ""


def lines_of(block: Block) -> list[Line]:
    """Return the lines of a whole file."""
    layout = _Layout()
    layout.block(block.items, 0, apart=False)
    return layout.lines


class _Layout:
    """Lines as they are made. last: the line behind which a comment stands that shares it."""

    def __init__(self) -> None:
        self.lines: list[Line] = []
        self.last = Line("", False)

    def add(self, code: str, blank: bool = False) -> Line:
        """Add a line."""
        self.last = Line(code, blank)
        self.lines.append(self.last)
        return self.last

    def comment(self, word: Word, beside: bool, indent: int, blank: bool) -> None:
        """Add a comment: behind the last line, or on one of its own."""
        if not beside:
            above = self.lines[-1] if self.lines and not blank else None
            if above is None or above.comment is None or above.comment.column != word.column:
                self.add(" " * indent + word.text, blank)
                return
            # It stands right below another one at the end of a line, and goes on with that.
            self.add("").follows = True
        self.last.comment = word

    def block(self, items: Sequence[Item], indent: int, apart: bool) -> None:
        """Add the lines of a block. apart: each statement begins a line, wherever it was written."""
        entries = _brought_into_line(_entries(items, indent, apart), indent)
        for number, entry in enumerate(entries):
            item, blank = entry.item, entry.item.blank and number > 0
            if isinstance(item, Remark):
                self.comment(item.word, item.beside, indent, blank)
                continue
            line = self.head(entry, indent, blank)
            if entry.right:
                line.code += entry.right
            elif item.body is not None:
                line.code += " {"
                self.block(item.body.items, indent + INDENT, apart=item.body.on_one_line)
                self.add(" " * indent + "}")
                if item.body.on_one_line:
                    # What was said behind the whole of it belongs to its head now.
                    self.last = line

    def head(self, entry: _Entry, indent: int, blank: bool) -> Line:
        """Add the lines of a statement up to its block, broken where they were; return the last."""
        line: Line | None = self.add(" " * indent + entry.left, blank)
        opened: list[_Bracket] = []
        before: Word | None = None
        start, breaks = indent, 0
        for word, after in zip(entry.words, [*entry.words[1:], None], strict=False):
            if word.kind == "break":
                line = None
                breaks += 1
                continue
            if is_idle(word, after):
                continue
            inner = opened[-1].inside if opened else indent + INDENT
            spread = breaks > 1 and bool(opened) and before is not None and before.kind not in ("(", "[")
            breaks = 0
            if word.kind == "remark":
                self.comment(word, line is not None, inner, spread)
                continue
            closing = word.kind in (")", "]")
            if line is None:
                start = opened[-1].end if closing and opened else inner
                line = self.add(" " * start, spread and not closing)
            elif before is not None:
                line.code += gap(before, word)
            elif entry.left:
                line.code += " "
            line.code += word.text
            if word.kind in ("(", "["):
                opened.append(_bracket(line, after, start))
            elif closing and opened:
                opened.pop()
            before = word
        return self.last


class _Bracket(NamedTuple):
    """Where lines begin inside an open bracket, and where one that closes it does."""

    inside: int
    end: int


def _bracket(line: Line, after: Word | None, start: int) -> _Bracket:
    """Return the bracket that has just been opened on a line which begins at `start`.

    What is broken right behind it is indented; what begins beside it goes on below that.
    """
    if after is not None and after.kind in ("break", "remark"):
        return _Bracket(start + INDENT, start)
    end = width(line.code)
    return _Bracket(end, end - 1)


# -- what stands on a line --------------------------------------------------------------------------


def _entries(items: Sequence[Item], indent: int, apart: bool) -> list[_Entry]:
    """Return what gets lines of its own, in order."""
    entries: list[_Entry] = []
    for group in _groups(items, apart):
        first = group[0]
        if isinstance(first, Remark):
            entries.append(_Entry(first))
            continue
        statements = [item for item in group if isinstance(item, Statement)]
        if len(statements) > 1 and all(item.on_one_line for item in statements):
            text = ", ".join(map(_text, statements))
            if indent + width(text) <= LONGEST:
                entries.append(_Entry(first, right=text))
                continue
        entries += [_entry(item, indent) for item in statements]
    return entries


def _groups(items: Sequence[Item], apart: bool) -> Iterator[list[Item]]:
    """Yield each comment, and the statements of each line."""
    group: list[Item] = []
    for item in items:
        alone = isinstance(item, Remark) or item.kind == "row" or not item.beside or apart
        if group and (alone or isinstance(group[0], Remark)):
            yield group
            group = []
        group.append(item)
    if group:
        yield group


def _entry(item: Statement, indent: int) -> _Entry:
    """Return the lines of one statement, as far as its neighbours do not matter."""
    kind, head = item.kind, item.head
    if kind == "row":
        return _Entry(item, "row", head[0].text)
    if kind in ("property", "let"):
        split = 1 if kind == "property" else 2
        return _Entry(item, kind, spaced(head[:split]), head[split:])
    if item.body is not None and item.on_one_line:
        right = f" {_braces(item.body)}"
        if not item.body.items or indent + width(spaced(head) + right) <= LONGEST:
            return _Entry(
                item, head[0].text if head[0].kind == "keyword" else "block", spaced(head), (), right
            )
    return _Entry(item, words=head)


def _text(item: Item) -> str:
    """A statement on one line."""
    if isinstance(item, Remark):
        return item.word.text
    head = spaced(item.head)
    return head if item.body is None else f"{head} {_braces(item.body)}"


def _braces(body: Block) -> str:
    return f"{{ {', '.join(map(_text, body.items))} }}" if body.items else "{ }"


# -- neighbours -------------------------------------------------------------------------------------


def _brought_into_line(entries: list[_Entry], indent: int) -> list[_Entry]:
    """Bring the equals signs, braces and bars of neighbours into line."""
    for run in _runs(entries):
        chosen = [entries[number] for number in run]
        if chosen[0].run == "row":
            lefts = aligned([entry.left for entry in chosen])
        elif chosen[0].right:
            lefts = _heads(chosen, indent)
        else:
            lefts = _filled([entry.left for entry in chosen])
        for number, left in zip(run, lefts, strict=True):
            entries[number] = entries[number]._replace(left=left)
    return entries


def _runs(entries: Sequence[_Entry]) -> Iterator[list[int]]:
    """Yield the numbers of entries that are brought into line together.

    Comments between them do not part them. Blank lines part all but the rows of a table.
    """
    run: list[int] = []
    for number, entry in enumerate(entries):
        kind = entries[run[0]].run if run else ""
        if run and (
            (entry.run != kind and not isinstance(entry.item, Remark)) or (entry.item.blank and kind != "row")
        ):
            yield run
            run = []
        if entry.run:
            run.append(number)
    if run:
        yield run


def _filled(texts: list[str]) -> list[str]:
    """Fill texts up to one width, unless that pushes one too far."""
    longest = max(map(len, texts))
    if longest - min(map(len, texts)) > PUSH:
        return texts
    return [text.ljust(longest) for text in texts]


def _heads(entries: list[_Entry], indent: int) -> list[str]:
    """Fill the heads of blocks on one line up to one width, unless that makes a line too long.

    Where a builder set the names of different kinds below one another, they stay so.
    """
    plain = [entry.left for entry in entries]
    longest = max(width(entry.right) for entry in entries)
    for heads in (_with_names_below(entries), plain):
        lefts = _filled(heads)
        if indent + max(map(len, lefts)) + longest <= LONGEST:
            return lefts
    return plain


def _with_names_below(entries: Sequence[_Entry]) -> list[str]:
    """Return heads with their names below one another, where any name stands further off than a blank."""
    heads = [entry.item.head if isinstance(entry.item, Statement) else () for entry in entries]
    pairs = [head if len(head) == 2 and head[1].kind == "name" else None for head in heads]
    room = 0
    if any(pair and pair[1].blanks > 1 for pair in pairs):
        room = max(len(pair[0].text) for pair in pairs if pair)
    return [
        f"{pair[0].text.ljust(room)} {pair[1].text}" if pair else entry.left
        for pair, entry in zip(pairs, entries, strict=True)
    ]
