"""The grammar as a table: built from `grammar.lark`, kept in `grammar.table`, loaded ready to use.

    python -m ringwright.lang.syntax.grammar_table            rewrites the table
    python -m ringwright.lang.syntax.grammar_table --check    says whether it is stale; exit status 1 if so

The table is JSON, plain data that cannot run anything: the terminals with their patterns, and the LALR(1)
table in which a number from 0 up is the state to go to and a negative one, -1 - n, the rule n to apply.
This file and `machine.py` are the only ones that know lark.
"""

import json
import re
import sys
from functools import lru_cache
from pathlib import Path
from typing import Any, NamedTuple

from lark.common import LexerConf
from lark.lexer import BasicLexer, ContextualLexer, Scanner, TerminalDef
from lark.parsers.lalr_analysis import IntParseTable, Reduce, Shift

_FOLDER = Path(__file__).parent
GRAMMAR = _FOLDER / "grammar.lark"
TABLE = _FOLDER / "grammar.table"
_STARTS = ("start", "cell")
_scanner: Any = Scanner
_WIDE = frozenset(("CODE", "INTEGER", "UNIT"))
"""Terminals that only a few states take, of words and numbers that are something else in all others."""


class Origin(NamedTuple):
    """The symbol that a rule makes."""

    name: str


class Rule:
    """A rule as lark's parser state needs it: what it makes, of how many symbols; method: what to call then.

    method is '' for a rule that passes its only child on. Rules are compared by identity: they are looked
    up once for every reduction.
    """

    __slots__ = ("expansion", "method", "origin")

    def __init__(self, name: str, length: int, method: str) -> None:
        self.origin = Origin(name)
        self.expansion = range(length)
        self.method = method


class StateLexer(BasicLexer):
    """Lark's lexer of a state, with a pattern that the states share, asked at first in place of the state's own.

    A small spec passes through some thirty states, and compiling a pattern for each takes longer than to read
    it; in a large one the state's own, which has less to try, soon makes up for that. All patterns try their
    terminals in one order; so where the state takes what the shared one finds, its own would find the same.
    """

    shared: Any = None
    patience = 500

    def __init__(self, conf: LexerConf, comparator: Any = None) -> None:
        super().__init__(conf, comparator)
        self.taken = frozenset(terminal.name for terminal in self.terminals)
        self.callback = {}

    def match(self, text: Any, pos: int) -> Any:
        """Return what stands at a place and its terminal's name; None where the state takes nothing there."""
        if self.shared and self.patience:
            self.patience -= 1
            found = self.shared.match(text, pos)
            if found and found[1] in self.taken:
                return found
        return self.scanner.match(text, pos)

    def _build_scanner(self) -> Scanner:
        # Lark looks here for words that a wider pattern would swallow; ours have a priority instead.
        made: Scanner = _scanner(self.terminals, self.g_regex_flags, self.re, self.use_bytes)
        return made


class StateLexers(ContextualLexer):
    """Lark's lexer, in which each state takes only its own terminals."""

    BasicLexer = StateLexer


class Tables(NamedTuple):
    """All that a parse needs and none changes."""

    lexer: ContextualLexer
    table: IntParseTable
    rules: tuple[Rule, ...]


def build() -> str:
    """Return the table's text, made from the grammar. Raises lark's GrammarError for a conflict."""
    import logging

    from lark import Lark, logger
    from lark.grammar import Rule as LarkRule

    class Conflicts(logging.Handler):
        def emit(self, record: logging.LogRecord) -> None:
            raise ValueError(f"the grammar has a conflict: {record.getMessage()}")

    watch = Conflicts(logging.WARNING)
    level = logger.level
    logger.addHandler(watch)
    logger.setLevel(logging.WARNING)
    try:
        parser: Any = Lark(
            GRAMMAR.read_text("utf-8"),
            parser="lalr",
            start=list(_STARTS),
            debug=True,
            keep_all_tokens=True,
            maybe_placeholders=False,
        )
    finally:
        logger.setLevel(level)
        logger.removeHandler(watch)
    rules: list[LarkRule] = parser.rules
    table = parser.parser.parser._parse_table
    order = _numbered(table.states, [table.start_states[start] for start in _STARTS])
    rule_number = {rule: i for i, rule in enumerate(rules)}
    content = {
        "terminals": [_terminal(terminal) for terminal in sorted(parser.terminals, key=lambda t: t.name)],
        "ignore": sorted(parser.ignore_tokens),
        "rules": [[rule.origin.name, len(rule.expansion), _method(rule)] for rule in rules],
        "starts": {start: order[table.start_states[start]] for start in _STARTS},
        "ends": {start: order[table.end_states[start]] for start in _STARTS},
        "states": [
            {
                symbol: order[target] if action is Shift else -1 - rule_number[target]
                for symbol, (action, target) in sorted(table.states[state].items())
            }
            for state in order
        ],
    }
    return _lines(content)


@lru_cache(maxsize=1)
def load() -> Tables:
    """Return the shipped table, ready to parse with; read once."""
    content = json.loads(TABLE.read_text("utf-8"))
    rules = tuple(Rule(*rule) for rule in content["rules"])
    reduce = [(Reduce, rule) for rule in rules]
    shift = [(Shift, state) for state in range(len(content["states"]))]
    states = {
        state: {symbol: shift[n] if n >= 0 else reduce[-1 - n] for symbol, n in actions.items()}
        for state, actions in enumerate(content["states"])
    }
    conf = LexerConf(
        [TerminalDef.deserialize(terminal, {}) for terminal in content["terminals"]],
        re,
        ignore=content["ignore"],
        skip_validation=True,
    )
    lexer = StateLexers(
        conf, {state: list(actions) for state, actions in states.items()}, always_accept=("_NL",)
    )
    _share(lexer)
    make_table: Any = IntParseTable
    return Tables(lexer, make_table(states, content["starts"], content["ends"]), rules)


def _share(lexer: StateLexers) -> None:
    """Give the states that take no wide terminal the pattern that they share."""
    everything: Any = lexer.root_lexer
    narrow = [terminal for terminal in everything.terminals if terminal.name not in _WIDE]
    shared = _scanner(narrow, everything.g_regex_flags, everything.re, everything.use_bytes)
    for one in lexer.lexers.values():
        if isinstance(one, StateLexer) and not one.taken & _WIDE:
            one.shared = shared


def _numbered(states: Any, starts: list[Any]) -> dict[Any, int]:
    """Number the states as they are reached, by name of symbol: lark's own order follows the hash seed."""
    order: dict[Any, int] = {}
    waiting = list(starts)
    for state in waiting:
        if state not in order:
            order[state] = len(order)
            actions = sorted(states[state].items(), key=lambda item: str(item[0]))
            waiting.extend(target for _, (action, target) in actions if action is Shift)
    return order


def _terminal(terminal: Any) -> dict[str, Any]:
    data: dict[str, Any] = terminal.serialize()
    # The width of a pattern without an end is another huge number in each version of Python.
    pattern = data["pattern"]
    if "_width" in pattern:
        pattern["_width"] = [min(width, 10_000) for width in pattern["_width"]]
    return data


def _method(rule: Any) -> str:
    if rule.options.expand1 and not rule.alias and len(rule.expansion) == 1:
        return ""
    return str(rule.alias or rule.origin.name)


def _lines(content: dict[str, Any]) -> str:
    """JSON with one entry a line, so that a change of the grammar reads as one."""
    parts = []
    for key, value in content.items():
        if isinstance(value, list):
            entries = ",\n".join(json.dumps(entry, ensure_ascii=False, sort_keys=True) for entry in value)
            parts.append(f'"{key}": [\n{entries}\n]')
        else:
            parts.append(f'"{key}": {json.dumps(value)}')
    return "{\n" + ",\n".join(parts) + "\n}\n"


def main(arguments: list[str]) -> int:
    """Rewrite the table, or check it. Returns the exit status."""
    text = build()
    if arguments == ["--check"]:
        if TABLE.is_file() and TABLE.read_text("utf-8") == text:
            return 0
        print("grammar.table is stale: run python -m ringwright.lang.syntax.grammar_table", file=sys.stderr)
        return 1
    TABLE.write_text(text, "utf-8", newline="\n")
    return 0


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
