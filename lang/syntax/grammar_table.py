"""The grammar as a table: built from `grammar.lark` by lark, kept in `grammar.table`, which `machine.py` runs.

    python -m ringwright.lang.syntax.grammar_table            rewrites the table
    python -m ringwright.lang.syntax.grammar_table --check    says whether it is stale; exit status 1 if so

The table is JSON, plain data that cannot run anything: the terminals with their patterns, in the order in which
they are tried, and the LALR(1) table in which a number from 0 up is the state to go to and a negative one,
-1 - n, the rule n to apply. Lark is needed here and nowhere else: a parse needs the table alone.
"""

import json
import sys
from pathlib import Path
from typing import Any

from ringwright.lang.syntax.machine import TABLE

GRAMMAR = Path(__file__).parent / "grammar.lark"
_STARTS = ("start", "cell")


def build() -> str:
    """Return the table's text, made from the grammar. Raises lark's GrammarError for a conflict."""
    import logging

    from lark import Lark, logger

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
    rules = parser.rules
    table = parser.parser.parser._parse_table
    order = _numbered(table.states, [table.start_states[start] for start in _STARTS])
    rule_number = {rule: i for i, rule in enumerate(rules)}
    content = {
        "terminals": [[one.name, one.pattern.to_regexp()] for one in sorted(parser.terminals, key=_tried)],
        "ignore": sorted(parser.ignore_tokens),
        "rules": [[rule.origin.name, len(rule.expansion), _method(rule)] for rule in rules],
        "starts": {start: order[table.start_states[start]] for start in _STARTS},
        "ends": {start: order[table.end_states[start]] for start in _STARTS},
        "states": [
            {
                symbol: order[target] if target in order else -1 - rule_number[target]
                for symbol, (_, target) in sorted(table.states[state].items())
            }
            for state in order
        ],
    }
    return _lines(content)


def _numbered(states: Any, starts: list[Any]) -> dict[Any, int]:
    """Number the states as they are reached, by name of symbol: lark's own order follows the hash seed."""
    order: dict[Any, int] = {}
    waiting = list(starts)
    for state in waiting:
        if state not in order:
            order[state] = len(order)
            actions = sorted(states[state].items(), key=lambda item: str(item[0]))
            waiting.extend(target for _, (_, target) in actions if target in states)
    return order


def _tried(terminal: Any) -> tuple[int, int, int, str]:
    """The order in which terminals are tried: by priority, then the longest first, as lark does it."""
    # The width of a pattern without an end is another huge number in each version of Python.
    width = min(terminal.pattern.max_width, 10_000)
    return -terminal.priority, -width, -len(terminal.pattern.value), terminal.name


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
