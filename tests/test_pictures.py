"""The README's pictures are what their script draws now, and can be read."""

import importlib.util
from pathlib import Path
from types import ModuleType

import pytest
from ringwright.backends.drawing import Stroke, collisions
from ringwright.lang.components.project import reader
from ringwright.lang.pipeline import compile_spec

SPECS = Path(__file__).parents[1] / "specs"


@pytest.fixture(scope="module")
def script() -> ModuleType:
    spec = importlib.util.spec_from_file_location("pictures", SPECS / "pictures.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@pytest.fixture(scope="module")
def section(script: ModuleType):
    design = compile_spec(script.SPEC, reader(SPECS / "marsh-heron")).design
    assert design is not None
    return design, script.cowl_section(design)


def words(drawing) -> set[str]:
    return {item.text for group in drawing.groups for item in group.items if not isinstance(item, Stroke)}


def test_pictures_are_those_of_now(script: ModuleType) -> None:
    drawn = script.pictures()
    assert {path.name for path in (SPECS / "pictures").glob("*.svg")} == set(drawn)
    stale = [name for name, svg in drawn.items() if (SPECS / "pictures" / name).read_text("utf-8") != svg]
    assert stale == [], "run python specs/pictures.py"


def test_pictures_stand_on_white(script: ModuleType) -> None:
    for svg in script.pictures().values():
        assert svg.index('<rect width="100%" height="100%" fill="white" />') < svg.index("<path")


def test_no_text_of_the_section_lies_on_a_line(section) -> None:
    _, drawing = section

    def counted(item):
        return item._replace(layer="mark") if isinstance(item, Stroke) else item

    groups = tuple(g._replace(items=tuple(map(counted, g.items))) for g in drawing.groups)
    assert collisions(drawing._replace(groups=groups)) == []


def test_brackets_tell_found_from_given(section) -> None:
    design, drawing = section
    drum, mid = (design.values[f"cowl.{name}"] for name in ("drum.length", "mid.length"))
    assert f"{drum:g}" in words(drawing)
    assert f"({round(mid, 3):g})" in words(drawing)
    assert f"{round(mid, 3):g}" not in words(drawing)


def test_walls_are_as_thick_as_the_board(script: ModuleType, section) -> None:
    """Across a wall, square to its slope, the section measures the thickness of the stock."""
    design, _ = section
    for _, ((ax, ay), (bx, by), (cx, cy), (dx, dy)) in list(script._Section(design).areas())[:3]:
        slant = ((bx - ax) ** 2 + (by - ay) ** 2) ** 0.5
        for px, py in ((cx, cy), (dx, dy)):
            across = abs((bx - ax) * (py - ay) - (by - ay) * (px - ax)) / slant
            assert across == pytest.approx(design.values["board.thickness"], abs=1e-9)
