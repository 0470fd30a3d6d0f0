"""Where the cursor stands, told from the signs before it: a text that is being written is seldom sound."""

import re
from typing import NamedTuple

_MARKS = re.compile(r'"(?:\\[^\r\n]|[^"\\\r\n])*"?|#[^\n]*|[{}()\[\],\n]')
_HEAD = re.compile(r"([A-Za-z]\w*)(?:[ \t]+([A-Za-z]\w*))?[ \t\r\n]*$")
_MADE = re.compile(
    r"\bmake[ \t]+([A-Za-z]\w*(?:[ \t]*\.[ \t]*[A-Za-z]\w*)*)(?:[ \t]+([A-Za-z]\w*))?[ \t\r\n]*$"
)
_PARTIAL = re.compile(r"[A-Za-z][A-Za-z0-9_]*$")


class Block(NamedTuple):
    """A block that is open at the cursor: kind and name as written, '' where one is left out; where its brace stands.

    recipe: of a `make`, the recipe that it names, dots and all.
    """

    kind: str
    name: str
    brace: int
    recipe: str = ""


class Cursor(NamedTuple):
    """What stands before the cursor.

    blocks: that are open, outermost first. statement: the text of the statement so far, up to `word`; brackets: how many
    are open in it. word: letters just before the cursor, which start at `start`. asleep: in a comment; quoted: in a text.
    """

    blocks: tuple[Block, ...]
    statement: str
    brackets: int
    word: str
    start: int
    asleep: bool
    quoted: bool


def cursor(text: str, offset: int) -> Cursor:
    """Return where an offset stands."""
    blocks: list[Block] = []
    begin, brackets = 0, 0
    asleep = quoted = False
    for match in _MARKS.finditer(text, 0, offset):
        sign = match[0][0]
        if sign == '"':
            quoted = match.end() == offset and (len(match[0]) == 1 or not match[0].endswith('"'))
        elif sign == "#":
            asleep = match.end() == offset
        elif sign in "([":
            brackets += 1
        elif sign in ")]":
            brackets = max(0, brackets - 1)
        elif sign == "{":
            blocks.append(_block(text[begin : match.start()], match.start()))
            begin, brackets = match.end(), 0
        elif sign == "}":
            if blocks:
                blocks.pop()
            begin, brackets = match.end(), 0
        elif not brackets and (sign == "\n" or blocks):
            begin = match.end()
    partial = None if asleep or quoted else _PARTIAL.search(text, begin, offset)
    start = partial.start() if partial else offset
    statement = text[begin:start].lstrip()
    return Cursor(tuple(blocks), statement, brackets, text[start:offset], start, asleep, quoted)


def _block(head: str, brace: int) -> Block:
    head = head.rpartition("}")[2]
    made = _MADE.search(head)
    if made is not None:
        return Block("make", made[2] or "", brace, made[1])
    match = _HEAD.search(head)
    if match is None:
        return Block("", "", brace)
    # A recipe is written with its parameters: their brackets have hidden its head from here.
    return Block(match[1], match[2] or "", brace)
