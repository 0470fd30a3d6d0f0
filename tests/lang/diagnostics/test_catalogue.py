"""Every code that is used is listed, with its severity; every one that is listed is used."""

import ast
import re
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

import pytest
from ringwright.lang.diagnostics.catalogue import _LINES, CATALOGUE

ROOT = Path(__file__).parents[3]
CODE = re.compile(r"[a-z]+(-[a-z0-9]+)+")
SOURCES = sorted(
    path
    for folder in ("lang", "geometry")
    for path in (ROOT / folder).rglob("*.py")
    if path.name != "catalogue.py"
)


def codes(source: str) -> Iterator[str]:
    """Codes are the first argument of what reports or raises: a word with dashes, or any of Diagnostic.

    What is handed to `_run` is a word of another program.
    """
    for call in ast.walk(ast.parse(source)):
        if isinstance(call, ast.Call) and call.args and isinstance(call.args[0], ast.Constant):
            word = call.args[0].value
            name = getattr(call.func, "attr", getattr(call.func, "id", ""))
            if name == "_run":
                continue
            if isinstance(word, str) and word != "utf-8" and (name == "Diagnostic" or CODE.fullmatch(word)):
                yield word


def test_codes_are_found_where_they_are_used() -> None:
    assert list(codes('Diagnostic("requirement", 1); f.say("a-b", x); f("plain")')) == ["requirement", "a-b"]


@pytest.mark.parametrize("path", SOURCES, ids=lambda path: path.relative_to(ROOT).as_posix())
def test_used_codes_are_listed(path: Path) -> None:
    assert set(codes(path.read_text("utf-8"))) - set(CATALOGUE) == set()


def test_listed_codes_are_used() -> None:
    text = "".join(path.read_text("utf-8") for path in SOURCES)
    assert [code for code in CATALOGUE if f'"{code}"' not in text] == []


def test_codes_are_words_listed_once() -> None:
    assert [code for code, count in Counter(line[0] for line in _LINES).items() if count > 1] == []
    for code, entry in CATALOGUE.items():
        assert re.fullmatch(r"[a-z0-9]+(-[a-z0-9]+)*", code)
        assert entry.severity in ("error", "warning", "note")
        assert entry.meaning
        assert not entry.meaning.endswith(".")
