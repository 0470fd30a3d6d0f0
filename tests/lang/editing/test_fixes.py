"""Fixes do what their titles say: the finding is gone, and no other has come."""

from pathlib import Path

import pytest
from ringwright.lang.editing.analysis import Analysis
from ringwright.lang.editing.desk import Desk
from ringwright.lang.editing.fixes import Fix, fixes, solved_here
from ringwright.lang.editing.text import applied, text_of

HEAD = """\
model t { title = "T" }
stock board { kind = foamboard, thickness = 4.8 mm, sheet = 762 mm by 508 mm, mass = 410 g/m2 }
"""
SPECS = {
    "unknown-property": ("panel p { outlin = rect(30 mm, 20 mm), stock = board }", "write 'outline'"),
    "unknown-name": ("panel p { outline = rect(30 mm, 20 mm), stock = bord }", "write 'board'"),
    "unknown-kind": ("pannel p { outline = rect(30 mm, 20 mm), stock = board }", "write 'panel'"),
    "unknown-word": ("panel p { outline = rect(30 mm, 20 mm), stock = board, view = tpo }", "write 'top'"),
    "unknown-function": ("panel p { outline = rectt(30 mm, 20 mm), stock = board }", "write 'rect'"),
    "missing-unit": ("panel p { outline = rect(30, 20 mm), stock = board }", "write 30 mm"),
    "decimal-comma": ("let w = 4,8 mm\npanel p { outline = rect(w, 20 mm), stock = board }", "write 4.8"),
    "inch-mark": ('let w = 3/16"\npanel p { outline = rect(w, 20 mm), stock = board }', "write 3/16 in"),
    "mixed-fraction": (
        "let w = 1-3/16 in\npanel p { outline = rect(w, 20 mm), stock = board }",
        "write 1 3/16",
    ),
    "missing-property": ("panel p { stock = board }", ""),
    "under-determined": (
        "stack s {\n    stock = board\n    barrel b { diameter = 60 mm }\n}",
        "",
    ),
}


def analysed(tmp_path: Path, text: str) -> tuple[Path, Analysis]:
    path = tmp_path.resolve() / "t.wright"
    desk = Desk()
    desk.put(path, text_of(text))
    found = desk.analysis(path)
    assert found is not None
    return path, found


@pytest.mark.parametrize("code", SPECS)
def test_a_fix_mends_what_it_is_offered_for(code: str, tmp_path: Path) -> None:
    body, title = SPECS[code]
    text = f"{HEAD}{body}\n"
    path, found = analysed(tmp_path, text)
    finding = next((each for each in found.findings if each.code == code), None)
    assert finding is not None, found.findings
    offered = fixes(found, finding)
    best = next(fix for fix in offered if fix.sure)
    if title:
        assert best.title == title
    _, after = analysed(tmp_path, applied(text, list(best.edits[path])))
    assert [each.code for each in after.findings if each.severity == "error"] == []


def test_a_dimension_that_was_known_is_given_as_it_was(tmp_path: Path) -> None:
    text = (
        HEAD
        + "stack s {\n    stock = board\n    overall = 52.5 mm\n    barrel b { diameter = 60 mm, length = 30 mm }\n    cone c { end = 20 mm }\n}\n"
    )
    path = tmp_path.resolve() / "t.wright"
    desk = Desk()
    desk.put(path, text_of(text))
    assert desk.analysis(path) is not None
    broken = text.replace("    overall = 52.5 mm\n", "")
    desk.put(path, text_of(broken))
    found = desk.analysis(path)
    assert found is not None
    (finding,) = [each for each in found.findings if each.code == "under-determined"]
    edits = {fix.title: fix for fix in fixes(found, finding)}
    assert "give s.c: length = 22.5 mm" in edits
    fixed: Fix = edits["give s.c: length = 22.5 mm"]
    _, after = analysed(tmp_path, applied(broken, list(fixed.edits[path])))
    assert not after.compiled.failed


def test_a_warning_can_be_accepted_where_it_stands(tmp_path: Path) -> None:
    text = (
        HEAD
        + "panel p {\n    stock = board\n    outline = rect(30 mm, 20 mm)\n    hole h { diameter = 15 mm }\n}\n"
    )
    path, found = analysed(tmp_path, text)
    warning = next((each for each in found.findings if each.severity == "warning"), None)
    assert warning is not None, found.findings
    fix = next(each for each in fixes(found, warning) if each.title.startswith("accept this"))
    _, after = analysed(tmp_path, applied(text, list(fix.edits[path])))
    assert warning.code not in [each.code for each in after.findings]


def test_the_value_that_was_found_can_be_written_in_place_of_auto(tmp_path: Path) -> None:
    text = (
        HEAD
        + "stack s {\n    stock = board\n    overall = 60 mm\n    barrel b { diameter = 60 mm, length = auto }\n}\n"
    )
    path, found = analysed(tmp_path, text)
    fix = solved_here(found, "t.wright", text.index("auto") + 1)
    assert fix is not None
    assert fix.title == "write length = 60 mm in place of auto"
    assert applied(text, list(fix.edits[path])) == text.replace("auto", "60 mm")


@pytest.mark.parametrize("title", ["", "x" * 300])
def test_what_no_help_can_be_carried_out_for_has_no_fix(title: str, tmp_path: Path) -> None:
    _, found = analysed(
        tmp_path,
        HEAD
        + f'panel p {{ outline = rect(30 mm, 20 mm), stock = board }}\nrequire 1 mm > 2 mm else "{title}"\n',
    )
    errors = [each for each in found.findings if each.severity == "error"]
    assert errors
    assert fixes(found, errors[0]) == ()
