"""The shipped table is the grammar's, is free of conflicts, holds plain data and loads quickly."""

import json
import os
import re
import subprocess
import sys
from pathlib import Path

import pytest
from lark.lexer import BasicLexer, TextSlice, _create_unless
from ringwright.lang.syntax import grammar_table
from ringwright.lang.syntax.node_builder import NodeBuilder
from ringwright.lang.syntax.slips import SLIPS

LANG = Path(grammar_table.__file__).parent


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
    assert {terminal["name"] for terminal in content["terminals"]} >= SLIPS


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
    text = TextSlice(TEXT, 0, len(TEXT))
    lexers = set(grammar_table.load().lexer.lexers.values())
    shared = found = 0
    for lexer in lexers:
        assert isinstance(lexer, grammar_table.StateLexer)
        monkeypatch.setattr(lexer, "patience", len(TEXT))
        shared += lexer.shared is not None
        for place in range(len(TEXT)):
            own = BasicLexer.match(lexer, text, place)
            assert lexer.match(text, place) == own
            found += own is not None
    assert shared > 40
    assert found > 10_000


def test_no_word_hides_in_a_wider_pattern_of_its_priority() -> None:
    root = grammar_table.load().lexer.root_lexer
    assert isinstance(root, BasicLexer)
    assert _create_unless(root.terminals, 0, re, False)[1] == {}


def test_lark_is_known_in_two_files_only() -> None:
    knowing = {path.name for path in LANG.rglob("*.py") if "from lark" in path.read_text("utf-8")}
    assert knowing == {"machine.py", "grammar_table.py"}
