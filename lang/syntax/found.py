"""What stood where nothing of its kind may stand, and how one speaks of it."""

from typing import NamedTuple

from ringwright.lang.diagnostics.diagnostic import Diagnostic, Label
from ringwright.lang.source import Source, Span
from ringwright.lang.syntax.slips import quote
from ringwright.lang.syntax.tokens import Token

ENDS = ("_NL", "$END", "COMMA", "RBRACE", "RPAR", "RSQB")


class Found(NamedTuple):
    """What stood where nothing of its kind may stand.

    token: the token ('$END' at the end, with no text). expected: the terminals that could have stood there.
    statement: the tokens of the statement so far. brackets: those that are open in it, braces: the blocks
    that are. previous: the last token before it, that of an earlier statement where this one has none.
    cell: it stands in a cell of a table.
    """

    source: Source
    token: Token
    expected: frozenset[str]
    statement: list[Token]
    brackets: list[Token]
    braces: list[Token]
    previous: Token | None
    cell: bool = False

    def error(
        self, code: str, message: str, span: Span, help: str = "", labels: tuple[Label, ...] = ()
    ) -> Diagnostic:
        """Return what is said of it."""
        return Diagnostic(code, "error", message, span, labels, help)

    def over(self, first: Token, last: Token | None = None) -> Span:
        """Return the place from one token to another."""
        return Span(self.source.path, first.start_pos, (last or first).end_pos)

    def here(self) -> Span:
        """Return the token's place; a line's end and the text's end are the place just behind the last token."""
        return self.behind() if self.token.type in ("_NL", "$END") else self.over(self.token)

    def behind(self) -> Span:
        """Return the place just behind the last token."""
        end = self.previous.end_pos if self.previous is not None else 0
        return Span(self.source.path, end, end)


def shown(token: Token) -> str:
    """Return a token as one speaks of it."""
    if token.type == "_NL":
        return "the end of the line"
    if token.type == "$END":
        return "the end of the text"
    return quote(str(token).split("\n", 1)[0].rstrip("\r"))
