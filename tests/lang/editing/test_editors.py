"""The files for editors are those that the compiler's words make, and they tell words apart as it does."""

import json
import re
import shutil
import subprocess
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from ringwright.lang.editing import editors
from ringwright.lang.editing.colours import colours
from ringwright.lang.editing.desk import Desk
from ringwright.lang.editing.text import text_of

SPECS = sorted((Path(__file__).parents[3] / "specs").glob("*/*.wright"))
MORE = """\
model more { title = "M" }
stock board { kind = foamboard, thickness = 4.8 mm, sheet = 30 by 20 in, mass = 410 g/m2 }   # a # b
offsets fuselage {
    section = box
    | station | x [@mm] | half [@mm] | top [@mm] | bottom [@mm] |
    | A1      |   0     |  44        |  52       |  -50         |
    | A2      | 118     |  51        |  61       |  -58         |
}
recipe rib(chord, depth = 8 mm) { panel p { outline = rect(chord, depth), stock = board } }
make rib r1 { chord = 1 3/16 in }
panel hatch { stock = board, outline = @half[(0, 61), (38, 52), (0, -20)] mm, view = top
              hole h { diameter = 3/16 in } }
require hatch.area > 2 cm2 else "a \\"small\\" hatch"
"""


def test_the_files_are_fresh() -> None:
    for name, text in editors.files().items():
        path = editors.FOLDER / name
        assert path.read_text("utf-8") == text, f"{name}: run python -m ringwright.lang.reference"
    on_disk = {
        path.relative_to(editors.FOLDER).as_posix() for path in editors.FOLDER.rglob("*") if path.is_file()
    }
    assert on_disk == {*editors.files(), "README.md"}


def test_every_word_of_the_compiler_is_in_every_file() -> None:
    of = editors.words()
    assert {"stack", "former", "balance"} <= {*of.kinds}
    assert {"use", "let", "require", "given", "accept", "recipe", "make"} == {*of.statements}
    for name in ("wright.tmLanguage.json", "vim/syntax/wright.vim", "emacs/wright-mode.el"):
        text = (editors.FOLDER / name).read_text("utf-8")
        known = {*re.findall(r"[A-Za-z_][A-Za-z0-9_]*", text)}
        for sort, listed in of._asdict().items():
            missing = [word for word in listed if word.isidentifier() and word not in known]
            assert not missing, (name, sort)


class TextMate:
    """As much of a TextMate reader as the grammar needs: match, captures, begin and end, include."""

    def __init__(self, grammar: dict[str, Any]) -> None:
        self.grammar = grammar

    def words(self, line: str, start: int = 0) -> Iterator[tuple[int, int, str]]:
        """Yield the scopes of a line: where each begins and ends."""
        yield from self._read(line, start, self.grammar["patterns"])

    def _rules(self, patterns: list[dict[str, Any]]) -> Iterator[dict[str, Any]]:
        for rule in patterns:
            if "include" in rule:
                yield from self._rules(self.grammar["repository"][rule["include"][1:]]["patterns"])
            else:
                yield rule

    def _read(
        self, line: str, at: int, patterns: list[dict[str, Any]], end: str = ""
    ) -> Iterator[tuple[int, int, str]]:
        while at <= len(line):
            closing = re.compile(end).search(line, at) if end else None
            found = []
            for number, rule in enumerate(self._rules(patterns)):
                match = re.compile(rule.get("match") or rule["begin"]).search(line, at)
                if match:
                    found.append((match.start(), number, match, rule))
            first = min(found, key=lambda each: each[:2], default=None)
            if closing and (first is None or closing.start() <= first[0]):
                return
            if first is None:
                return
            _, _, match, rule = first
            if "begin" in rule:
                yield match.start(), len(line), rule.get("name", "")
                if rule.get("name", "").startswith("string"):
                    stop = re.compile(r'(?:\\.|[^"\\])*"').match(line, match.end())
                    at = stop.end() if stop else len(line) + 1
                else:
                    yield from self._read(line, match.end(), rule.get("patterns", []), rule["end"])
                    return
                continue
            if "name" in rule:
                yield match.start(), match.end(), rule["name"]
            for number, capture in rule.get("captures", {}).items():
                if match[int(number)]:
                    yield match.start(int(number)), match.end(int(number)), capture["name"]
            at = max(match.end(), at + (match.end() == at))


SCOPES = {
    "entity.name.type.wright": "kind",
    "variable.other.property.wright": "property",
    "keyword.other.unit.wright": "unit",
    "support.function.wright": "function",
    "comment.line.number-sign.wright": "comment",
    "string.quoted.double.wright": "string",
}


@pytest.mark.parametrize("path", [*SPECS, None], ids=lambda path: path.name if path else "more")
def test_the_grammar_tells_words_apart_as_the_compiler_does(path: Path | None, tmp_path: Path) -> None:
    text = path.read_text("utf-8") if path else MORE
    at = path or tmp_path.resolve() / "more.wright"
    at.write_text(text, "utf-8") if path is None else None
    desk = Desk()
    desk.put(at.resolve(), text_of(text))
    analysis = desk.analysis(at.resolve())
    assert analysis is not None
    assert analysis.compiled.design is not None, analysis.findings
    name = at.resolve().relative_to(analysis.root).as_posix()
    grammar = TextMate(json.loads(editors.files()["wright.tmLanguage.json"]))
    told: dict[int, str] = {}
    start = 0
    for line in text.split("\n"):
        for begin, _, scope in grammar.words(line):
            if scope in SCOPES:
                told[start + begin] = SCOPES[scope]
        start += len(line) + 1
    compared = 0
    for colour in colours(analysis, name, text):
        word = text[colour.start : colour.end]
        if colour.sort in SCOPES.values():
            inside_a_sum = colour.sort == "property" and not colour.defines
            if inside_a_sum:
                continue  # a name in a sum: only the compiler knows what it is
            assert told.get(colour.start) == colour.sort, (word, text[: colour.start].count("\n") + 1)
            compared += 1
        else:
            # What a `make` gives to a recipe, or a call to a function by name, looks like a property.
            may_be = (None, "property") if colour.sort in ("value", "word") else (None,)
            assert told.get(colour.start) in may_be, (word, text[: colour.start].count("\n") + 1)
    assert compared > 20


@pytest.mark.parametrize("editor", ["vim", "nvim"])
def test_the_syntax_file_colours_a_spec(editor: str, tmp_path: Path) -> None:
    program = shutil.which(editor)
    if program is None:
        pytest.skip(f"{editor} is not installed")
    (tmp_path / "t.wright").write_text(MORE, "utf-8")
    wanted = {
        "^stock": "wrightKind", "thickness": "wrightProperty", "mm, sheet": "wrightUnit", "# a": "wrightRemark",
        "^recipe": "wrightStatement", "rect(": "wrightFunction", "else ": "wrightJoining", '"a ': "wrightText",
        "410": "wrightNumber", "g\\/m2": "wrightUnit", "foamboard": "wrightChoice", "@half": "wrightMark",
    }  # fmt: skip
    script = [
        "set nocompatible", "set rtp^=" + str(editors.FOLDER / "vim").replace(" ", "\\ "), "filetype plugin on", "syntax on",
        f"edit {tmp_path / 't.wright'}", "let out = [&filetype]",
    ]  # fmt: skip
    for words in wanted:
        quoted = words.replace("'", "''")
        script += [
            "call cursor(1, 1)", f"call search('{quoted}', 'c')",
            "call add(out, synIDattr(synID(line('.'), col('.'), 1), 'name'))",
        ]  # fmt: skip
    script += [f"call writefile(out, '{tmp_path / 'out'}')", "qa!"]
    (tmp_path / "script.vim").write_text("\n".join(script) + "\n", "utf-8")
    flags = ["--headless", "-u", "NONE"] if editor == "nvim" else ["-Nu", "NONE", "-es"]
    done = subprocess.run(
        [program, *flags, "-S", str(tmp_path / "script.vim")],
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )
    assert (tmp_path / "out").exists(), done.stderr
    found = (tmp_path / "out").read_text("utf-8").split("\n")
    assert found[0] == "wright"
    assert dict(zip(wanted, found[1:], strict=False)) == wanted
    assert "Error" not in done.stderr


def test_the_mode_for_emacs_loads_and_colours_a_spec(tmp_path: Path) -> None:
    program = shutil.which("emacs")
    if program is None:
        pytest.skip("emacs is not installed")
    spec = tmp_path / "t.wright"
    spec.write_text(MORE, "utf-8")
    asked = {
        "^stock": "font-lock-type-face",
        "thickness": "font-lock-variable-name-face",
        "^recipe": "font-lock-keyword-face",
    }
    code = '(progn (find-file {}) (font-lock-ensure) (princ (format "%s\\n" major-mode)) {})'.format(
        json.dumps(str(spec)),
        " ".join(
            f'(goto-char 1) (re-search-forward {json.dumps(words)}) (princ (format "%s\\n" (get-text-property (match-beginning 0) (quote face))))'
            for words in asked
        ),
    )
    done = subprocess.run(
        [program, "-Q", "--batch", "-l", str(editors.FOLDER / "emacs" / "wright-mode.el"), "--eval", code],
        capture_output=True, text=True, timeout=60, check=False,
    )  # fmt: skip
    assert done.stdout.split() == ["wright-mode", *asked.values()], done.stderr
