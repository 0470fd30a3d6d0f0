"""Where the parse goes on after a mistake: ends of statements and blocks, found by their signs alone."""

import re

# Strings and comments are stepped over whole.
_MARKS = re.compile(r'"(?:\\[^\r\n]|[^"\\\r\n])*"?|#[^\n]*|[{}()\[\],]|\r?\n')
_NO_HEAD = re.compile(r"\s*(?:(?:let|require|given|accept|use)\b|[A-Za-z]\w*[ \t]*=)")
# How far a bracket's end is looked for; then the statement is taken to end with its line.
_FAR = 2000


def statement_end(text: str, start: int, offset: int, level: int, in_block: bool) -> int:
    """Return where the statement ends that begins at `start` and has a mistake at `offset`.

    That is the end of the line on which its brackets are closed (of its own line where none closes them near
    by), a comma or closing brace of the block around it, or the opening brace of its own block.
    level: how many of its brackets are open at the mistake. in_block: a block is open around it.
    """
    is_head = not _NO_HEAD.match(text, start)
    inner, line_end = 0, -1
    for match in _MARKS.finditer(text, offset):
        sign, place = match[0][0], match.start()
        if 0 <= line_end < place - _FAR:
            break
        if sign in "([":
            level += 1
        elif sign in ")]":
            level = max(0, level - 1)
        elif sign == "{":
            if is_head:
                return place if line_end < 0 else line_end
            inner += 1
        elif sign == "}":
            if not inner:
                return place if line_end < 0 else line_end
            inner -= 1
        elif sign == "," and not level and not inner and in_block:
            return place
        elif sign in "\r\n":
            if not level and not inner:
                return place
            line_end = place if line_end < 0 else line_end
    return line_end if line_end >= 0 else len(text)


def block_end(text: str, offset: int) -> int:
    """Return the offset behind the brace that closes the block opened just before an offset."""
    level = 1
    for match in _MARKS.finditer(text, offset):
        level += {"{": 1, "}": -1}.get(match[0], 0)
        if not level:
            return match.end()
    return len(text)


def at_line_start(text: str, offset: int) -> bool:
    """Say whether nothing but blanks stands before an offset on its line."""
    while offset and text[offset - 1] in " \t\r":
        offset -= 1
    return offset == 0 or text[offset - 1] == "\n"


def indent(text: str, offset: int) -> int:
    """Return how far the line of an offset is indented, in characters."""
    start = text.rfind("\n", 0, offset) + 1
    return len(text[start : offset + 1]) - len(text[start : offset + 1].lstrip(" \t"))
