"""The words of a sound spec for laying it out anew: as written, with every comment and line's end.

The formatter needs less than the parser: what stands next to what. A test holds these words against the
tokens of the grammar. The text is taken to be sound; where it is not, words may be cut wrongly, but none
is lost.
"""

import re
from collections.abc import Iterator
from typing import NamedTuple

from ringwright.lang.diagnostics.text import columns_of
from ringwright.lang.syntax.node_builder import JOINING_WORDS, STATEMENT_WORDS

_WORD = re.compile(
    r"""
    (?P<blank>[ \t\r]+)
    |(?P<comment>\#[^\n]*)
    |(?P<newline>\n)
    |(?P<row>\|(?:[^"\#\r\n]|"[^"\r\n]*"?)*)
    |(?P<string>"(?:\\[^\r\n]|[^"\\\r\n])*")
    |(?P<name>[A-Za-z][A-Za-z0-9_]*)
    |(?P<number>\d+[ \t]+\d+/\d+(?![\d.])
        |\d+/\d+(?![\d.])(?=[ \t]*(?!(?:by|to|else)(?![A-Za-z0-9_]))(?:[A-Za-z%°±]|\+/-))
        |\d+(?:\.\d+)?(?:[eE][+-]?\d+)?)
    |(?P<operator>±|\+/-|[=!<>]=|[<>*/^])
    |(?P<sign>[+-])
    |(?P<mark>.)
    """,
    re.VERBOSE,
)
# Words that only their place tells from others: a unit, a number in a path, the code of a warning.
_UNIT = re.compile(
    r"(?!(?:by|to|else)(?![A-Za-z0-9_]))(?:(?:kg|g|oz|lb)/[a-z]+[0-9]?(?![A-Za-z0-9_])|[A-Za-z][A-Za-z0-9]*|[%°])"
)
_INTEGER = re.compile(r"\d+")
_CODE = re.compile(r"[a-z][a-z0-9]*(?:-[a-z0-9]+)*")

_OPERANDS = frozenset(("name", "number", "unit", "string", ")", "]"))


class Word(NamedTuple):
    """One word of the text.

    kind: 'name', 'keyword', 'number', 'unit', 'string', 'row', 'operator', 'sign' (+ or - between two
    values), 'prefix' (+ or - before one), 'comment' or the mark itself. ';' stands for a comma that ends a
    statement, 'newline' for a line's end that may end one, 'break' for one inside a statement, 'remark' for
    a comment inside one.
    blanks: how many stand before it. column: of a comment on the screen, from 0. Both as written.
    """

    kind: str
    text: str
    blanks: int = 0
    column: int = 0


def width(text: str) -> int:
    """Return how many columns of the screen a text takes."""
    return len(text) if text.isascii() and "\t" not in text else columns_of(text)[1][-1]


def scan(text: str) -> list[Word]:
    """Return the words of a sound text whose lines end in LF."""
    return list(_words(text))


def _words(text: str) -> Iterator[Word]:
    at, line_start, depth, blanks, end = 0, 0, 0, 0, len(text)
    # Of the word before in the same statement: its kind, and itself.
    before, said = "", ""
    while at < end:
        match = _WORD.match(text, at)
        assert match is not None  # its last alternative takes anything
        kind, word = match.lastgroup or "", match[0]
        if kind == "blank":
            at, blanks = match.end(), len(word)
            continue
        inside = depth > 0 or _goes_on(before, said)
        if kind == "newline":
            at = line_start = match.end()
            yield Word("break" if inside else "newline", word)
            if not inside:
                before, said = "", ""
            continue
        if kind == "comment":
            yield Word("remark" if inside else "comment", word.rstrip(), blanks, width(text[line_start:at]))
            at = match.end()
            continue
        special = _special(text, at, before, said)
        if special is not None:
            kind, word = special
        elif kind == "sign" and before not in _OPERANDS:
            kind = "prefix"
        elif kind == "name" and _is_keyword(word, before):
            kind = "keyword"
        elif kind == "mark":
            kind = word
            depth += (word in "([") - (word in ")]")
            if word == "," and not depth:
                kind = ";"
        at += len(word)
        yield Word(kind, word, blanks)
        blanks = 0
        before, said = ("", "") if kind in ("{", "}", ";") else (kind, word)


def _special(text: str, at: int, before: str, said: str) -> tuple[str, str] | None:
    """Return kind and text of a word that is one only where it stands."""
    if before in ("number", ")", "]"):
        kind, match = "unit", _UNIT.match(text, at)
    elif before == ".":
        kind, match = "name", _INTEGER.match(text, at)
    elif said == "accept":
        kind, match = "name", _CODE.match(text, at)
    else:
        return None
    return (kind, match[0]) if match else None


def _is_keyword(word: str, before: str) -> bool:
    """Say whether a word of letters belongs to the grammar here and names nothing."""
    if word in JOINING_WORDS:
        return before in _OPERANDS
    return word in STATEMENT_WORDS and before == ""


def _goes_on(before: str, said: str) -> bool:
    """Say whether a statement goes on behind the line's end, its line ending in an operator."""
    return before in ("operator", "sign") or (before == "keyword" and said in ("by", "to"))
