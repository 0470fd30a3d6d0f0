"""What each word of a text is, for the colours of an editor that asks: as the compiler understands it."""

import re
from typing import NamedTuple

from ringwright.lang.editing.analysis import Analysis
from ringwright.lang.editing.mentions import mentions
from ringwright.lang.syntax.node_builder import JOINING_WORDS, STATEMENT_WORDS

_WORDS = re.compile(
    r"""
    (?P<comment>\#[^\n\r]*)
    |(?P<string>"(?:\\[^\r\n]|[^"\\\r\n])*"?)
    |(?P<number>[0-9]+(?:[ \t]+[0-9]+/[0-9]+|/[0-9]+(?=[ \t]*[A-Za-z])|\.[0-9]+)?(?:[eE][+-]?[0-9]+)?)
    |(?P<mixed>(?:kg|g|oz|lb)/(?:mm|cm|dm|m|in|ft|yd)[23]?(?![A-Za-z0-9_]))
    |(?P<name>[A-Za-z][A-Za-z0-9_]*)
    |(?P<operator>\+/-|±|@|[=!<>]=|[-+*/^<>=])
    |(?P<degree>[%°])
    |(?P<newline>\n)
    |(?P<close>[)\]])
    |(?P<open>[({\[,|}])
    """,
    re.VERBOSE,
)
_SORT_OF = {
    "component": "component", "recipe": "component", "file": "component", "kind": "kind", "station": "station",
    "let": "value", "parameter": "value", "dimension": "property", "property": "property", "line": "property",
    "function": "function",
}  # fmt: skip


class Colour(NamedTuple):
    """A word and what it is.

    sort: 'kind', 'component', 'station', 'property', 'value', 'function', 'keyword', 'unit', 'number', 'string',
    'comment', 'operator' or 'word'. defines: it is named here.
    """

    start: int
    end: int
    sort: str
    defines: bool = False


def colours(analysis: Analysis, path: str, text: str) -> tuple[Colour, ...]:
    """Return what the words of a text are, in its order; none runs over the end of a line."""
    meant = {mention.span.start: mention for mention in mentions(analysis, path)}
    found: list[Colour] = []
    before, first = "", True
    for match in _WORDS.finditer(text):
        sort, word, start = match.lastgroup or "", match[0], match.start()
        if sort == "newline":
            before, first = "", True
            continue
        if sort in ("close", "open"):
            before, first = sort, word in "{},"
            continue
        end, defines = match.end(), False
        if sort in ("mixed", "degree"):
            sort = "unit"
        elif sort == "name":
            mention = meant.get(start)
            if before in ("number", "close") and mention is None and word not in JOINING_WORDS:
                sort = "unit"
            elif mention is not None:
                sort, defines = _SORT_OF[mention.sort], mention.defines
            elif (first and word in STATEMENT_WORDS) or word in JOINING_WORDS:
                sort = "keyword"
            else:
                sort = "word"
        found.append(Colour(start, end, sort, defines))
        before, first = sort, False
    return tuple(found)
