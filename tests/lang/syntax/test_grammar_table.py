"""The shipped table is the grammar's, is free of conflicts, holds plain data and loads quickly."""

import json
import os
import re
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from lark import Lark, Token, Tree
from lark.lexer import BasicLexer, _create_unless
from ringwright.lang.syntax import grammar_table, machine
from ringwright.lang.syntax.node_builder import NodeBuilder
from ringwright.lang.syntax.slips import SLIPS
from ringwright.lang.syntax.tokens import make_token

LANG = Path(grammar_table.__file__).parent
SPECS = Path(__file__).parents[3] / "specs"


def test_the_table_is_not_stale() -> None:
    """After a change of the grammar: python -m ringwright.lang.syntax.grammar_table."""
    assert grammar_table.TABLE.read_text("utf-8") == grammar_table.build()


@pytest.mark.parametrize("seed", ["0", "1", "7"])
def test_the_check_says_so_whatever_the_hash_seed(seed: str) -> None:
    done = subprocess.run(
        [sys.executable, "-m", "ringwright.lang.syntax.grammar_table", "--check"],
        env={**os.environ, "PYTHONHASHSEED": seed},
        capture_output=True,
        text=True,
        check=False,
    )
    assert (done.returncode, done.stderr) == (0, "")


def test_the_check_finds_a_stale_table(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    table = tmp_path / "grammar.table"
    table.write_text(grammar_table.TABLE.read_text("utf-8") + "\n", "utf-8")
    monkeypatch.setattr(grammar_table, "TABLE", table)
    assert grammar_table.main(["--check"]) == 1
    assert "stale" in capsys.readouterr().err
    assert grammar_table.main([]) == 0
    assert grammar_table.main(["--check"]) == 0


def test_a_conflict_is_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    grammar = tmp_path / "grammar.lark"
    text = grammar_table.GRAMMAR.read_text("utf-8")
    assert "| sum PLUS product -> operation" in text
    grammar.write_text(
        text.replace("| sum PLUS product -> operation", "| sum PLUS sum -> operation"), "utf-8"
    )
    monkeypatch.setattr(grammar_table, "GRAMMAR", grammar)
    with pytest.raises(ValueError, match="conflict"):
        grammar_table.build()


def test_the_table_is_plain_data() -> None:
    content = json.loads(grammar_table.TABLE.read_text("utf-8"))
    assert {rule[2] for rule in content["rules"]} - {""} <= set(dir(NodeBuilder))
    assert {name for name, _ in content["terminals"]} >= SLIPS


TEXT = """\
use "stock.wright" as shop  # 12 mm
let wide = 40 mm ± 0.5 mm
recipe pair(a, b = @3/16 in) { former F1 { at = a - b, to = by } }
make shop.pair left { a = 1 3/16 in, b = (1, 2.5) mm }
offsets hull
{
| station | "a # b" | 1 3/16 |
}
given cowl.mid.2 >= 1e3 * 2^3/4 g/m2
require a == b else "no"  \r
accept tight-bend because "so it is
    outline = @half[(0, 61), (38, 52), smooth] mm
    curve = [1, 2]
    mm
x = 3,5 mm, y = 2" , z = 5' , d = ø40, m = 1-3/16 in, f = 2½, n = 1.2.3 4_5 .5
auto yes no else by to [1, 2] cm (3) %
"""


def test_the_shared_pattern_finds_what_each_states_own_does(monkeypatch: pytest.MonkeyPatch) -> None:
    shared = found = 0
    for lexer in dict.fromkeys(machine.load().lexers):
        monkeypatch.setattr(lexer, "patience", len(TEXT))
        shared += lexer.shared is not None
        for place in range(len(TEXT)):
            own = lexer.own.match(TEXT, place, len(TEXT))
            either = lexer.match(TEXT, place, len(TEXT))
            assert (either and (either.span(), either.lastgroup)) == (own and (own.span(), own.lastgroup))
            found += own is not None
    assert shared > 30
    assert found > 10_000


@pytest.fixture(scope="module")
def lark_parser() -> Any:
    return Lark(
        grammar_table.GRAMMAR.read_text("utf-8"),
        parser="lalr",
        keep_all_tokens=True,
        maybe_placeholders=False,
    )


def by_lark(node: Tree[Token] | Token) -> Any:
    if isinstance(node, Token):
        return node.type, str(node), node.start_pos, node.end_pos
    return (str(node.data), *map(by_lark, node.children))


def by_machine(text: str) -> Any:
    def method(name: str) -> Any:
        return lambda children: children[0] if not name else (name, *children)

    reading = machine.Machine(
        [method(rule.method) for rule in machine.load().rules], "start", text, 0, len(text)
    )
    for token in reading.tokens():
        reading.feed(token)
    return leaves_told(reading.feed(make_token("$END", "", len(text), len(text)), is_end=True))


def leaves_told(value: Any) -> Any:
    if isinstance(value, tuple):
        return tuple(map(leaves_told, value))
    return (value.type, str(value), value.start_pos, value.end_pos) if hasattr(value, "type") else value


def without_newlines_in_brackets(text: str) -> str:
    """The same text with blanks there: where brackets are open it is the reader who leaves newlines out."""
    depth, found = 0, []
    for word in re.findall(r'"[^"\n]*"|#[^\n]*|\n|.', text):
        depth += {"(": 1, "[": 1, ")": -1, "]": -1}.get(word, 0)
        if depth and (word == "\n" or word[0] == "#"):
            word = " " * len(word)
        found.append(word)
    return "".join(found)


@pytest.mark.parametrize("spec", sorted(SPECS.rglob("*.wright")), ids=lambda path: path.stem)
def test_the_machine_reads_what_lark_reads(spec: Path, lark_parser: Any) -> None:
    """Rules, tokens and their places, against lark's own parser of the same grammar."""
    text = without_newlines_in_brackets(spec.read_text("utf-8"))
    assert by_machine(text) == by_lark(lark_parser.parse(text))


def test_terminals_are_tried_in_larks_order(lark_parser: Any) -> None:
    lexer: Any = BasicLexer(lark_parser.parser.lexer_conf)
    assert [terminal.name for terminal in lexer.terminals] == [
        name for name, _ in json.loads(grammar_table.TABLE.read_text("utf-8"))["terminals"]
    ]


def test_no_word_hides_in_a_wider_pattern_of_its_priority(lark_parser: Any) -> None:
    lexer: Any = BasicLexer(lark_parser.parser.lexer_conf)
    assert _create_unless(lexer.terminals, 0, re, False)[1] == {}


def test_a_parse_needs_no_lark() -> None:
    code = "import sys, ringwright.lang.syntax.parse; print('lark' in sys.modules)"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout == "False\n"
