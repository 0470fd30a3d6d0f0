"""The shipped table is the grammar's, is free of conflicts, holds plain data and loads quickly."""

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest
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


def test_lark_is_known_in_two_files_only() -> None:
    knowing = {path.name for path in LANG.rglob("*.py") if "from lark" in path.read_text("utf-8")}
    assert knowing == {"machine.py", "grammar_table.py"}
