"""A spec laid out anew: blanks, indentation and lines' ends as a careful builder sets them, nothing else.

Words are kept as written, numbers above all. The order of statements, every comment and the lines into which
a builder broke a list stay; a block on one line stays on one line if there is room for it.
"""

from ringwright.lang.source import Source, Span, source_of
from ringwright.lang.syntax import nodes
from ringwright.lang.syntax.parse import parse
from ringwright.lang.tidy.comments import text_of
from ringwright.lang.tidy.lines import lines_of
from ringwright.lang.tidy.scan import scan
from ringwright.lang.tidy.tree import read


def tidy(source: Source) -> str | None:
    """Return the text laid out anew; None where it cannot be read."""
    found = parse(source)[1]
    return None if found else laid_out(source.text)


def laid_out(text: str) -> str:
    """Return a sound text laid out anew."""
    return text_of(lines_of(read(scan(text.removeprefix("\ufeff").replace("\r\n", "\n")))))


def says_the_same(source: Source, file: nodes.File, text: str) -> bool:
    """Say whether a text has the statements and the comments of a source that has been read as `file`."""
    if text == source.text:
        return True
    after, found = parse(source_of(source.path, text))
    return not found and same(file, after) and comments(source.text) == comments(text)


def comments(text: str) -> list[str]:
    """Return the comments of a sound text in order, without blanks at their ends."""
    return [word.text for word in scan(text) if word.kind in ("comment", "remark")]


def same(first: object, second: object) -> bool:
    """Say whether two nodes are equal but for their places."""
    waiting: list[tuple[object, object]] = [(first, second)]
    while waiting:
        one, other = waiting.pop()
        if type(one) is not type(other):
            return False
        if isinstance(one, Span):
            continue
        if isinstance(one, tuple) and isinstance(other, tuple):
            if len(one) != len(other):
                return False
            waiting.extend(zip(one, other, strict=True))
        elif one != other:
            return False
    return True
