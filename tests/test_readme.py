"""What the README shows is what happens: outputs, numbers, excerpts, links and its first two commands.

Where an output has changed on purpose, `python tests/test_readme.py` writes the new ones into the README.
"""

import contextlib
import io
import os
import re
import shlex
import shutil
import tempfile
from collections.abc import Iterator
from pathlib import Path

import pytest
from ringwright.lang.commands.main import COMMANDS, main
from ringwright.lang.components.project import reader
from ringwright.lang.design.design import Design
from ringwright.lang.pipeline import compile_spec
from ringwright.lang.units import display

ROOT = Path(__file__).parents[1]
README = ROOT / "README.md"
DEMO = Path("specs") / "marsh-heron"
BLOCK = re.compile(
    r"(?:<!-- with: (?P<change>.*?) -->\n\n)?"
    r"```console\n\$ ringwright (?P<command>.*?)\n```\n\n```text\n(?P<output>.*?)```\n",
    re.DOTALL,
)
ROW = re.compile(r"^\| `(?P<name>[\w.]+)` \| (?P<before>.*?)\| (?P<after>.*?)\|$", re.MULTILINE)
INLINE = re.compile(r"(?P<value>[\d.]+(?:\smm|°))(?P<gap>\s)\(`(?P<name>[\w.]+)`\)")
OTHER_BOARD = "thickness = 5 mm"
ARROW = " -> "


@contextlib.contextmanager
def workshop(change: str) -> Iterator[Path]:
    """A copy of the specs to stand in; change: a property of the board as it shall be, '' for none.

    Words of the spec, an arrow and other words are a change after a build: the build folder is that of before.
    """
    before = Path.cwd()
    with tempfile.TemporaryDirectory() as name:
        folder = Path(os.path.realpath(name))
        shutil.copytree(ROOT / "specs", folder / "specs", ignore=shutil.ignore_patterns("build", "*.layout"))
        if ARROW in change:
            with contextlib.redirect_stdout(io.StringIO()):
                assert main(["build", str(folder / DEMO / "marsh-heron.wright"), "--formats", "svg"]) == 0
            spec = folder / DEMO / "marsh-heron.wright"
            old, new = change.split(ARROW)
            assert spec.read_text("utf-8").count(old) == 1
            spec.write_text(spec.read_text("utf-8").replace(old, new), encoding="utf-8")
        elif change:
            stock = folder / DEMO / "workshop-stock.wright"
            property = change.split(" = ")[0]
            text, count = re.subn(rf"{property} +=.*", change, stock.read_text("utf-8"), count=1)
            assert count == 1
            stock.write_text(text, encoding="utf-8")
        os.chdir(folder)
        try:
            yield folder
        finally:
            os.chdir(before)


def output_of(command: str, change: str) -> str:
    """What a command prints, without the path of the copy that it ran in."""
    with workshop(change) as folder, contextlib.redirect_stdout(io.StringIO()) as out:
        assert main(shlex.split(command)) == 0
    return out.getvalue().replace(f"{folder}{os.sep}", "").replace("\\", "/")


def design_of(change: str) -> Design:
    with workshop(change) as folder:
        compiled = compile_spec("marsh-heron.wright", reader(folder / DEMO))
    assert compiled.design is not None
    return compiled.design


def shown(design: Design, name: str) -> str:
    return display(design.values[name], design.dimensions[name])


def renewed(text: str) -> str:
    """The README with every output and every row of the comparison as they are now."""

    def block(found: re.Match[str]) -> str:
        start, end = found.start("output") - found.start(), found.end("output") - found.start()
        output = output_of(found["command"], found["change"] or "")
        return found[0][:start] + output + found[0][end:]

    before, after = design_of(""), design_of(OTHER_BOARD)

    def row(found: re.Match[str]) -> str:
        name = found["name"]
        return f"| `{name}` | {shown(before, name)} | {shown(after, name)} |"

    def inline(found: re.Match[str]) -> str:
        value = shown(before, found["name"])
        if "\n" in found["value"]:
            value = value.replace(" ", "\n")
        return f"{value}{found['gap']}(`{found['name']}`)"

    return INLINE.sub(inline, ROW.sub(row, BLOCK.sub(block, text)))


@pytest.fixture(scope="module")
def text() -> str:
    return README.read_text("utf-8")


def test_outputs_and_numbers_are_those_of_now(text: str) -> None:
    assert len(BLOCK.findall(text)) == 5
    assert len(ROW.findall(text)) >= 5
    assert len(INLINE.findall(text)) == 3
    assert text == renewed(text), "python tests/test_readme.py writes them anew"


def test_the_comparison_would_notice_another_number(text: str) -> None:
    number = INLINE.search(text)
    assert number is not None
    wrong = text.replace(number[0], number[0].replace(number["value"], "81 mm"))
    assert renewed(wrong) == text


def test_the_excerpt_stands_in_the_demo(text: str) -> None:
    (excerpt,) = re.findall(r"```wright\n(.*?)```", text, re.DOTALL)
    assert excerpt in (ROOT / DEMO / "marsh-heron.wright").read_text("utf-8")


def test_what_labels_say_is_on_the_labels(text: str) -> None:
    notes = {note for part in design_of("").parts for note in part.notes}
    said = re.findall(r"`((?:bevel|flap|lap) [^`]+)`", text)
    assert said
    assert set(said) <= notes


def test_plan_scale_and_nose_are_those_of_the_demo(text: str) -> None:
    spec = (ROOT / DEMO / "marsh-heron.wright").read_text("utf-8")
    for here, there in (("125 %", "plan_scale = 125 %"), ("83 mm ahead", "x = @-83 mm")):
        assert here in " ".join(text.split())
        assert there in spec


def test_the_first_two_blocks_are_the_two_commands(text: str) -> None:
    blocks = re.findall(r"^```(\w*)\n(.*?)^```", text, re.DOTALL | re.MULTILINE)
    venv = "python3 -m venv .venv && .venv/bin/pip install "
    assert [language for language, _ in blocks[:2]] == ["sh", "sh"]
    assert (
        blocks[0][1] == f"{venv}. && .venv/bin/ringwright build {(DEMO / 'marsh-heron.wright').as_posix()}\n"
    )
    assert blocks[1][1] == f"{venv}'.[test]' && .venv/bin/pytest\n"
    assert text.index("![") > text.index(blocks[1][1])


def test_every_command_is_in_the_table(text: str) -> None:
    assert set(re.findall(r"^\| `ringwright (\w+)", text, re.MULTILINE)) == set(COMMANDS)


PAGES = [
    page
    for page in sorted(ROOT.rglob("*.md"))
    if not {"build", ".venv"} & set(page.relative_to(ROOT).parts) and not page.parent.name.startswith(".")
]


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.relative_to(ROOT).as_posix())
def test_links_lead_somewhere(page: Path) -> None:
    text = page.read_text("utf-8")
    for target in re.findall(r"\]\(([^)]+)\)", text):
        assert not target.startswith("http"), target
        path, _, anchor = target.partition("#")
        there = page if not path else page.parent / path
        assert there.exists(), target
        if anchor:
            heads = re.findall(r"^#+ (.*)$", there.read_text("utf-8"), re.MULTILINE)
            assert anchor in {
                re.sub(r"[^\w\- ]", "", head).strip().lower().replace(" ", "-") for head in heads
            }


if __name__ == "__main__":
    README.write_text(renewed(README.read_text("utf-8")), encoding="utf-8", newline="\n")
