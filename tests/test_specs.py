"""The gallery: every spec compiles without a warning, and is listed."""

import re
import shutil
import subprocess
from pathlib import Path

import pytest
from ringwright.lang.commands.main import main
from ringwright.lang.components.project import reader
from ringwright.lang.pipeline import compile_spec

SPECS = Path(__file__).parents[1] / "specs"
SHELF = "workshop-stock.wright"
GALLERY = sorted(path for path in SPECS.rglob("*.wright") if path.name != SHELF)


@pytest.mark.parametrize("path", GALLERY, ids=lambda path: path.stem)
def test_specs_compile_without_a_warning(path: Path) -> None:
    compiled = compile_spec(path.name, reader(path.parent), assembled=True)
    said = [finding for finding in compiled.findings if finding.severity in ("error", "warning")]
    assert [f"{finding.code}: {finding.message}" for finding in said] == []
    assert compiled.design is not None
    assert compiled.design.parts


def test_every_spec_is_in_the_gallery() -> None:
    text = (SPECS / "README.md").read_text("utf-8")
    listed = set(re.findall(r"^\| \[[^]]+\]\(([^)]+)\)", text, re.MULTILINE))
    assert listed == {path.relative_to(SPECS).as_posix() for path in GALLERY}


def git(folder: Path, *arguments: str) -> str:
    own = ("-c", "user.name=a", "-c", "user.email=a@b", "-c", "safe.directory=*")
    return subprocess.run(
        ["git", *own, *arguments], cwd=folder, check=True, capture_output=True, text=True
    ).stdout


def test_git_keeps_nothing_that_it_is_told_to_leave_out() -> None:
    if (SPECS.parent / ".git").exists():
        assert git(SPECS.parent, "ls-files", "--cached", "--ignored", "--exclude-standard") == ""


def test_an_example_that_is_built_from_a_fresh_clone_leaves_git_clean(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    shutil.copy(SPECS.parent / ".gitignore", tmp_path)
    shutil.copytree(
        SPECS / "sedge-wren",
        tmp_path / "specs" / "sedge-wren",
        ignore=shutil.ignore_patterns("build", "*.layout"),
    )
    git(tmp_path, "init", "-q")
    git(tmp_path, "add", "-A")
    git(tmp_path, "commit", "-qm", "as it came")
    monkeypatch.chdir(tmp_path)
    spec = "specs/sedge-wren/sedge-wren.wright"
    assert main(["check", spec]) == 0
    assert "layout" not in "".join(capsys.readouterr())
    assert main(["build", spec, "--formats", "svg"]) == 0
    assert git(tmp_path, "status", "--porcelain") == ""
    assert (tmp_path / spec).with_suffix(".layout").exists()
    assert main(["check", spec]) == 0
    assert "layout" not in "".join(capsys.readouterr()).replace("layout  ", "")
