"""Every code has its page with examples: the wrong one says its code alone, the right one nothing."""

import ast
import re
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from ringwright.lang.components.project import LARGEST_FILE, MOST_FILES, reader
from ringwright.lang.diagnostics.catalogue import CATALOGUE
from ringwright.lang.diagnostics.pages import SUBJECTS, Example, first_sentence, pages
from ringwright.lang.pipeline import compile_spec

ROOT = Path(__file__).parents[3]
FOLDER = ROOT / "lang" / "diagnostics" / "help"
MODEL = 'model test { title = "Test" }\n'
STOCKS = (
    "stock board { kind = foamboard, thickness = 4.8 mm, sheet = 762 mm by 508 mm, mass = 410 g/m2 }\n"
    "stock card { kind = card, thickness = 0.4 mm, sheet = 297 mm by 210 mm, mass = 300 g/m2 }\n"
    "stock ply { kind = ply, thickness = 3 mm, sheet = 600 mm by 300 mm, density = 680 kg/m3 }\n"
)
# What geometry refuses and no text of this version leads to, or nothing short enough for a page.
NO_EXAMPLE = {
    "does-not-settle",
    "open-and-closed",
    "overlaps-itself",
    "sections-not-in-order",
    "slot-never-closes",
    "diameters-differ",
    "how-near",
    "impossible-cone",
    "no-area",
    "no-length",
    "no-such-fit",
    "places-not-in-order",
    "profile-too-winding",
    "too-many-tied",
    # Only commands know the lettering.
    "letter-not-drawn",
    # Found when parts are laid out, which a check does not do.
    "together-too-big",
    # Said of the layout file, which no text leads to.
    "layout-spoiled",
    "layout-stale",
}


# What is said of sound specs, too.
REPORTS = {"drawing-traced", "how-near", "points-fitted"}


def said(folder: Path) -> list[str]:
    """Compile main.wright of a folder; return all codes."""
    found = compile_spec("main.wright", reader(folder), assembled=True).findings
    return [finding.code for finding in found]


def write(folder: Path, example: Example) -> None:
    (folder / ".git").mkdir()
    for path, text in {**example.files, "main.wright": example.spec}.items():
        target = folder / path
        target.parent.mkdir(parents=True, exist_ok=True)
        whole = path != "main.wright" or example.alone
        target.write_text(text if whole else MODEL + STOCKS + text, "utf-8")


@pytest.mark.parametrize("code", sorted({*CATALOGUE, *pages()}))
def test_page(code: str, tmp_path: Path) -> None:
    assert code in pages(), f"write a section '## {code}' in a file of {FOLDER.relative_to(ROOT)}"
    page = pages()[code]
    assert len(page.says) > 40
    assert page.says.endswith(".")
    if page.wrong is None or page.right is None:
        assert (page.wrong, page.right) == (None, None)
        assert code in NO_EXAMPLE or code in MADE or page.subject == "writing"
        return
    for name, example, wanted in (("wrong", page.wrong, [code]), ("right", page.right, [])):
        (tmp_path / name).mkdir()
        write(tmp_path / name, example)
        assert [each for each in said(tmp_path / name) if each not in REPORTS] == wanted


def test_a_code_without_a_page_would_be_found(tmp_path: Path) -> None:
    with pytest.raises(AssertionError, match="write a section"):
        test_page("no-such-code", tmp_path)


# -- faults that a page cannot show --------------------------------------------------------------


def too_large(folder: Path) -> None:
    (folder / "big.wright").write_bytes(b"#" * (LARGEST_FILE + 1))
    (folder / "main.wright").write_text(MODEL + 'use "big.wright"\n')


def forbidden(folder: Path) -> None:
    (folder / "main.wright").write_text(MODEL + "let far = 118\u200b mm\n", "utf-8")


def not_utf8(folder: Path) -> None:
    (folder / "main.wright").write_bytes(MODEL.encode() + b"# \xf8 132\n")


def many_files(folder: Path) -> None:
    names = [f"s{number}.wright" for number in range(MOST_FILES)]
    for name in names:
        (folder / name).write_text("# nothing\n")
    (folder / "main.wright").write_text(MODEL + "".join(f'use "{name}"\n' for name in names))


def unreadable(folder: Path) -> None:
    (folder / "shelf.wright").mkdir()
    (folder / "main.wright").write_text(MODEL + 'use "shelf.wright"\n')


def deep(folder: Path) -> None:
    (folder / "main.wright").write_text(MODEL + f"let far = {'(' * 201}118 mm{')' * 201}\n")


def long_list(folder: Path) -> None:
    (folder / "main.wright").write_text(MODEL + f"let far = [{'1, ' * 10_000}1] mm\n")


def long_text(folder: Path) -> None:
    (folder / "main.wright").write_text(MODEL + f'use "{"a" * 1001}"\n')


def large_table(folder: Path) -> None:
    rows = "".join(f"    | F{number} | {number} |\n" for number in range(201))
    (folder / "main.wright").write_text(MODEL + f"offsets fuselage {{\n    | station | x [mm] |\n{rows}}}\n")


def many_mistakes(folder: Path) -> None:
    (folder / "main.wright").write_text(MODEL + "far = \n" * 1001)


def many_components(folder: Path) -> None:
    made = "".join(f"make {{}} one{number} {{{{ }}}}\n" for number in range(10))
    recipes = ["recipe r0() { panel disc { outline = circle(20 mm), stock = board } }\n"]
    recipes += [f"recipe r{level}() {{\n{made.format(*[f'r{level - 1}'] * 10)}}}\n" for level in range(1, 5)]
    (folder / "main.wright").write_text(MODEL + STOCKS + "".join(recipes) + "make r4 all { }\n")


def many_parts(folder: Path) -> None:
    panels = [
        f"panel p{number} {{ outline = circle(9 mm), stock = board, quantity = 1000 }}\n"
        for number in range(21)
    ]
    (folder / "main.wright").write_text(MODEL + STOCKS + "".join(panels))


def drawn(folder: Path) -> None:
    pod = '<svg xmlns="http://www.w3.org/2000/svg"><path id="pod" d="M 0 40 C 0 10 100 10 100 40 Z"/></svg>'
    (folder / "pod.svg").write_text(pod)
    panel = 'panel pod { outline = traced("pod.svg", id = "pod", width = 90 mm), stock = board }\n'
    (folder / "main.wright").write_text(MODEL + STOCKS + panel)


def fitted(folder: Path) -> None:
    points = "(50, 0), (0, 50.4), (-50, 0), (0, -50)"
    panel = f"panel disc {{ outline = circle_fit[{points}] mm, stock = board }}\n"
    (folder / "main.wright").write_text(MODEL + STOCKS + panel)


def many_points(folder: Path) -> None:
    points = ", ".join(f"({number}, {number % 7})" for number in range(501))
    panel = f"panel disc {{ outline = circle_fit[{points}] mm, stock = board }}\n"
    (folder / "main.wright").write_text(MODEL + STOCKS + panel)


MADE: dict[str, Callable[[Path], None]] = {
    "file-too-large": too_large,
    "forbidden-character": forbidden,
    "not-utf8": not_utf8,
    "too-many-files": many_files,
    "unreadable-file": unreadable,
    "list-too-long": long_list,
    "table-too-large": large_table,
    "text-too-long": long_text,
    "too-deep": deep,
    "too-many-mistakes": many_mistakes,
    "too-many-components": many_components,
    "too-many-parts": many_parts,
    "drawing-traced": drawn,
    "points-fitted": fitted,
    "too-many-points": many_points,
}


@pytest.mark.parametrize("code", sorted(MADE))
def test_faults_that_no_page_can_show(code: str, tmp_path: Path) -> None:
    MADE[code](tmp_path)
    assert code in said(tmp_path)
    assert pages()[code].wrong is None


# -- the pages themselves ------------------------------------------------------------------------


def codes_of_building() -> Iterator[str]:
    """The codes with which a build folder is refused."""
    for path in (ROOT / "backends").rglob("*.py"):
        for call in ast.walk(ast.parse(path.read_text("utf-8"))):
            if isinstance(call, ast.Call) and getattr(call.func, "id", "") == "BuildFolderError":
                code = call.args[0]
                assert isinstance(code, ast.Constant)
                yield str(code.value)


def test_refusals_to_write_have_a_page_each() -> None:
    found = set(codes_of_building())
    assert "foreign-folder" in found
    assert {page.code for page in pages().values() if page.subject == "writing"} == found


def test_no_page_is_of_no_code() -> None:
    assert {code for code, page in pages().items() if page.subject != "writing"} - set(CATALOGUE) == set()
    assert not NO_EXAMPLE - set(CATALOGUE)


def test_all_files_are_read_and_ordered() -> None:
    assert {path.stem for path in FOLDER.glob("*.md")} == {*SUBJECTS, "README"}
    for subject in SUBJECTS:
        text = (FOLDER / f"{subject}.md").read_text("utf-8")
        heads = re.findall(r"^## (.*)$", text, re.MULTILINE)
        assert heads == sorted(heads)
        assert len(heads) == len(set(heads))
        assert max(map(len, text.splitlines())) <= 120


def test_the_first_sentence() -> None:
    assert first_sentence(pages()["decimal-comma"]) == "A number is written with a decimal comma."
    assert first_sentence(pages()["no-model"]) == "The spec has no `model`."
    for page in pages().values():
        assert 10 < len(first_sentence(page)) < 250
