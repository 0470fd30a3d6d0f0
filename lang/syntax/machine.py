"""The parser's machine: lark's contextual lexer and LALR stacks over one stretch of text.

This file and `grammar_table.py` are the only ones that know lark.
"""

from collections.abc import Callable, Iterator, Mapping
from typing import Any, NamedTuple, TypeAlias

from lark import lexer as lexing
from lark.exceptions import UnexpectedCharacters, UnexpectedToken
from lark.parsers.lalr_parser_state import ParseConf, ParserState
from ringwright.lang.syntax import grammar_table
from ringwright.lang.syntax.tokens import Token

__all__ = ["Machine", "Stacks", "UnexpectedCharacters", "UnexpectedToken", "make_token", "methods"]

Methods: TypeAlias = Mapping[Any, Callable[[list[Any]], Any]]
_lexing: Any = lexing


class Stacks(NamedTuple):
    """Copies of the parser's two stacks."""

    states: list[int]
    values: list[Any]


def methods(builder: object) -> Methods:
    """Return what to call for each rule of the grammar: the builder's method of the rule's name."""
    return {
        rule: getattr(builder, rule.method) if rule.method else _only for rule in grammar_table.load().rules
    }


def make_token(kind: str, text: str, start: int, end: int) -> Token:
    """Return a token that does not stand in the text so."""
    token: Token = _lexing.Token(kind, text, start, 1, 1, 1, 1, end)
    return token


class Machine:
    """A parse of the text between two offsets, from the rule `start` ('start' or 'cell').

    feed(token, is_end=False): shift a token after the reductions that it allows; raises UnexpectedToken.
    With is_end it returns the value of the start rule. Offsets are those of the whole text.
    """

    def __init__(self, rules: Methods, rule: str, text: str, start: int, end: int) -> None:
        tables = grammar_table.load()
        # lark counts the lines up to `start` unless it is given a counter; nobody here asks it for lines.
        self._counter = _lexing.LineCounter("\n")
        self._counter.char_pos = start
        position = _lexing.LexerState(_lexing.TextSlice(text, start, end), self._counter)
        self._thread = _lexing.LexerThread(tables.lexer, position)
        make_conf: Any = ParseConf
        self._state: Any = ParserState(make_conf(tables.table, rules, rule), self._thread)
        self.feed: Callable[..., Any] = self._state.feed_token

    def tokens(self) -> Iterator[Token]:
        """Yield the tokens from the place reached; each must be fed before the next is read.

        Raises UnexpectedToken (its token could not stand here) and UnexpectedCharacters (no token begins
        at its pos_in_stream).
        """
        tokens: Iterator[Token] = self._thread.lex(self._state)
        return tokens

    def expected(self) -> frozenset[str]:
        """Return the terminals that the parser can go on with."""
        actions = self._state.parse_conf.states[self._state.position]
        return frozenset(symbol for symbol in actions if symbol.isupper())

    def seek(self, offset: int) -> None:
        """Go on reading at an offset."""
        self._counter.char_pos = offset

    def save(self) -> Stacks:
        """Return the stacks as they are."""
        return Stacks(self._state.state_stack[:], self._state.value_stack[:])

    def restore(self, stacks: Stacks) -> None:
        """Set the stacks back."""
        self._state.state_stack[:] = stacks.states
        self._state.value_stack[:] = stacks.values


def _only(children: list[Any]) -> Any:
    return children[0]
