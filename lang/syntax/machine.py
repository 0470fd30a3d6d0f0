"""The parser's machine: a lexer that knows the parser's state, and LALR stacks, over one stretch of text.

`grammar_table.py` makes the table that drives it; only that file knows lark.
"""

import json
import re
from collections.abc import Callable, Iterator, Sequence
from functools import cached_property, lru_cache
from pathlib import Path
from typing import Any, NamedTuple, TypeAlias

from ringwright.lang.syntax.tokens import Token, UnexpectedCharacter, UnexpectedToken, make_token

TABLE = Path(__file__).parent / "grammar.table"

Methods: TypeAlias = Sequence[Callable[[list[Any]], Any]]
"""What makes each rule's value of the values of its symbols, by the rule's number."""

_WIDE = frozenset(("CODE", "INTEGER", "UNIT"))
"""Terminals that only a few states take, of words and numbers that are something else in all others."""
_ALWAYS = "_NL"
"""Ends of lines are read everywhere: inside brackets they are blanks."""


class Lexer:
    """What reads a token where the parser takes only some terminals.

    A small spec passes through some thirty states, and compiling a pattern for each takes longer than to read
    it; in a large one the state's own, which has less to try, soon makes up for that. So a pattern that the
    states share is asked at first. All patterns try their terminals in one order; so where the state takes what
    the shared one finds, its own would find the same.
    """

    patience = 500

    def __init__(
        self, terminals: list[tuple[str, str]], taken: frozenset[str], shared: "Lexer | None"
    ) -> None:
        """terminals: name and pattern of all, in the order in which they are tried. taken: those of this state."""
        self._terminals, self._taken, self.shared = terminals, taken, shared

    @cached_property
    def own(self) -> re.Pattern[str]:
        """The pattern of what the state takes."""
        return re.compile(
            "|".join(f"(?P<{name}>{word})" for name, word in self._terminals if name in self._taken)
        )

    def match(self, text: str, start: int, end: int) -> re.Match[str] | None:
        """Return what begins at `start`, its terminal the match's last group; None where the state takes nothing."""
        if self.shared and self.patience:
            self.patience -= 1
            found = self.shared.own.match(text, start, end)
            if found and found.lastgroup in self._taken:
                return found
        return self.own.match(text, start, end)


class Rule(NamedTuple):
    """A rule of the grammar: the symbol that it makes, of how many, and the builder's method; '' passes the only
    one on."""

    name: str
    length: int
    method: str


class Tables(NamedTuple):
    """All that a parse needs and none changes.

    states: by symbol the state to go to, from 0 up, or -1 - n for the rule n to apply. lexers: of each state.
    everything: the lexer of all terminals. starts, ends: the first and last state by rule.
    """

    states: list[dict[str, int]]
    rules: list[Rule]
    lexers: list[Lexer]
    everything: Lexer
    ignored: frozenset[str]
    starts: dict[str, int]
    ends: dict[str, int]


@lru_cache(maxsize=1)
def load() -> Tables:
    """Return the shipped table, ready to parse with; read once."""
    content = json.loads(TABLE.read_text("utf-8"))
    terminals = content["terminals"]
    names = frozenset(name for name, _ in terminals)
    shared = Lexer(terminals, names - _WIDE, None)
    always = frozenset((*content["ignore"], _ALWAYS))
    lexers: dict[frozenset[str], Lexer] = {}
    of_states = []
    for actions in content["states"]:
        taken = names.intersection(actions) | always
        if taken not in lexers:
            lexers[taken] = Lexer(terminals, taken, None if taken & _WIDE else shared)
        of_states.append(lexers[taken])
    return Tables(
        content["states"],
        [Rule(*rule) for rule in content["rules"]],
        of_states,
        Lexer(terminals, names, None),
        frozenset(content["ignore"]),
        content["starts"],
        content["ends"],
    )


def methods(builder: object) -> Methods:
    """Return what to call for each rule of the grammar: the builder's method of the rule's name."""
    return [getattr(builder, rule.method) if rule.method else _only for rule in load().rules]


class Stacks(NamedTuple):
    """Copies of the parser's two stacks."""

    states: list[int]
    values: list[Any]


class Machine:
    """A parse of the text between two offsets, from the rule `start` ('start' or 'cell')."""

    def __init__(self, methods: Methods, rule: str, text: str, start: int, end: int) -> None:
        self._tables = load()
        self._methods = methods
        self._text, self._at, self._end = text, start, end
        self._last = self._tables.ends[rule]
        self._states = [self._tables.starts[rule]]
        self._values: list[Any] = []

    def tokens(self) -> Iterator[Token]:
        """Yield the tokens from the place reached; each must be fed before the next is read.

        Raises UnexpectedToken (its token could not stand here) and UnexpectedCharacter (no token begins there).
        """
        tables, states, text, end = self._tables, self._states, self._text, self._end
        lexers, ignored = tables.lexers, tables.ignored
        while self._at < end:
            start = self._at
            found = lexers[states[-1]].match(text, start, end)
            if found is None:
                found = tables.everything.match(text, start, end)
                if found is None:
                    raise UnexpectedCharacter(start)
                self._at = found.end()
                raise UnexpectedToken(make_token(str(found.lastgroup), found[0], start, self._at))
            self._at = stop = found.end()
            kind = found.lastgroup or ""
            if kind not in ignored:
                yield make_token(kind, found[0], start, stop)

    def feed(self, token: Token, is_end: bool = False) -> Any:
        """Shift a token after the reductions that it allows; with is_end return the value of the start rule.

        Raises UnexpectedToken.
        """
        states, values, table, rules = self._states, self._values, self._tables.states, self._tables.rules
        kind = token.type
        while True:
            action = table[states[-1]].get(kind)
            if action is None:
                raise UnexpectedToken(token)
            if action >= 0:
                states.append(action)
                values.append(token)
                return None
            name, length, _ = rules[-1 - action]
            children: list[Any] = []
            if length:
                children = values[-length:]
                del states[-length:], values[-length:]
            values.append(self._methods[-1 - action](children))
            states.append(table[states[-1]][name])
            if is_end and states[-1] == self._last:
                return values[-1]

    def expected(self) -> frozenset[str]:
        """Return the terminals that the parser can go on with."""
        return frozenset(symbol for symbol in self._tables.states[self._states[-1]] if symbol.isupper())

    def seek(self, offset: int) -> None:
        """Go on reading at an offset."""
        self._at = offset

    def save(self) -> Stacks:
        """Return the stacks as they are."""
        return Stacks(self._states[:], self._values[:])

    def restore(self, stacks: Stacks) -> None:
        """Set the stacks back."""
        self._states[:] = stacks.states
        self._values[:] = stacks.values


def _only(children: list[Any]) -> Any:
    return children[0]
