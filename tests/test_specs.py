"""The gallery: every spec compiles without a warning, and is listed."""

import re
from pathlib import Path

import pytest
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
