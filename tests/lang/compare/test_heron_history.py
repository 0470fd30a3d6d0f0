"""A history of the Marsh Heron as a builder makes it, in a repository of its own: every step compared with the one before."""

import json
from collections.abc import Mapping
from typing import Any, NamedTuple

import pytest
from ringwright.lang.commands.main import main
from ringwright.lang.commands.sides import read_side
from ringwright.lang.compare.as_json import facts
from ringwright.lang.compare.comparison import Comparison, compare

BOARD_FILE = "workshop-stock.wright"
RINGS = ("cowl.drum", "cowl.mid", "cowl.lip")
TAIL = ("elevator.left", "elevator.right", "fin", "tailplane")
OF_BOARD = ("F2", "F3", "F4", "F5", "F6", "F7", *RINGS, "cowl.back", "cowl.front", *TAIL)
NOW_OF_BOARD = tuple("bulkhead" if id == "F5" else id for id in OF_BOARD)
ALL = (*NOW_OF_BOARD, "F1", "doubler.left", "doubler.right", "hatch")


class Step(NamedTuple):
    """One commit.

    changes: words of the file and what stands in their place. parts: the verdict on each part that is not kept. moved,
    added, removed, renamed: as in the JSON. sizes: some dimensions, old and new, mm, and the name that was edited.
    keeps: dimensions that may not be among those that changed. said: words that a reason or a note must hold.
    """

    message: str
    changes: tuple[tuple[str, str], ...]
    parts: Mapping[str, str] = {}
    moved: tuple[str, ...] = ()
    added: tuple[str, ...] = ()
    removed: tuple[str, ...] = ()
    renamed: tuple[tuple[str, str], ...] = ()
    sizes: Mapping[str, tuple[float | None, float | None, str]] = {}
    keeps: tuple[str, ...] = ()
    said: tuple[str, ...] = ()
    file: str = "heron.wright"


STEPS = (
    Step(
        "Thicker board", (("thickness   = 4.8 mm", "thickness   = 5 mm"),), dict.fromkeys(OF_BOARD, "recut"),
        file=BOARD_FILE,
        # Wall 5: inside 132.5 - 10. The mid cone: (103.75 - 5 - 40) / 2.
        sizes={
            "board.thickness": (4.8, 5.0, "board.thickness"),
            "cowl.drum.end_inside": (122.9, 122.5, "board.thickness"),
            "cowl.mid.length": (29.475, 29.375, "board.thickness"),
        },
        keeps=("cowl.overall", "F1.area", "F2.area", "hatch.mass"),
        said=(
            "these may stay: cowl.back, cowl.drum, F2, F3, F4, F5, F6, F7, elevator.left, elevator.right",
            "board is 5 mm thick, was 4.8 mm; its shape is the same",
            "a hole grew by up to 0.1 mm",
        ),
    ),
    Step(
        "Longer nose", (("nose { x = @-83 mm }", "nose { x = @-85 mm }"),),
        {"cowl.mid": "recut", "cowl.lip": "recut", "cowl.front": "recut"},
        # Two on the plan are 2.5 on the model, shared by both cones.
        sizes={
            "cowl.overall": (103.75, 106.25, "station.nose.x"),
            "cowl.mid.length": (29.375, 30.625, "station.nose.x"),
        },
        keeps=("cowl.drum.length", "cowl.back.length", "board.thickness"),
        said=("bevel of its rim is 21.2°, was 22.0°",),
    ),
    Step(
        "Another motor", (("motor { diameter = 56 mm }", "motor { diameter = 60 mm }"),), {"cowl.back": "open"},
        sizes={"cowl.back.motor.diameter": (56.0, 60.0, "cowl.back.motor.diameter")},
        keeps=("cowl.back.diameter",), said=("a hole grew by up to 2 mm",),
    ),
    Step(
        "A former gets a name", (("former F5 {", "former bulkhead {\n    at      = F5"),), {"bulkhead": "relabel"},
        renamed=(("F5", "bulkhead"),), said=("was called F5",), keeps=("heron.mass",),
    ),
    Step(
        "The shaft is higher", (("shaft  { diameter = 14 mm }", "shaft  { diameter = 14 mm, at = (0 mm, 3 mm) }"),),
        {"F1": "fill"}, keeps=("F1.area", "F1.mass", "heron.mass"), said=("a hole moved or changed by up to 3 mm",),
    ),
    Step(
        "A notch is lower",
        (("width = longeron, at = (@-48 mm, @-20 mm)", "width = longeron, at = (@-48 mm, @-22 mm)"),),
        {"F2": "recut"}, said=("its outline differs by up to 2.5 mm",), keeps=("F2.width", "F2.height"),
    ),
    Step(
        "A smaller mouth", (("end = @74 ± 0.5 mm", "end = @73 ± 0.5 mm"),),
        {"cowl.lip": "recut", "cowl.front": "trim"},
        sizes={"cowl.lip.end": (92.5, 91.25, "cowl.lip.end")}, keeps=("cowl.mid.length", "cowl.lip.start"),
    ),
    Step(
        "Spare hatches", (("panel hatch {", "panel hatch {\n    quantity = 3"),), {"hatch": "more"},
        said=("2 more: 3, were 1",), keeps=("hatch.area", "hatch.mass"),
    ),
    Step(
        "Heavier board", (("sheet_mass  = 158 g", "sheet_mass  = 165 g"),), dict.fromkeys(NOW_OF_BOARD, "weight"),
        file=BOARD_FILE, sizes={"board.sheet_mass": (158.0, 165.0, "board.sheet_mass")},
        keeps=("F1.mass", "F2.area", "board.thickness"),
    ),
    Step("Another remark", (("# The cowl, which the plan carves", "# The nose, which the plan carves"),), keeps=("",)),
    Step(
        "A wider cut", (("# Stations along", "cutting { kerf = 0.2 mm, gap = 6 mm }\n\n# Stations along"),),
        sizes={"cutting.kerf": (None, 0.2, "cutting.kerf")}, keeps=("F1.area", "F1.cut_length"),
    ),
    Step(
        "The doublers further aft", (("place   = (F2 + 20 mm,", "place   = (F2 + 24 mm,"),),
        moved=("doubler.left", "doubler.right"), said=("only its place in the aircraft moved",), keeps=("doubler.area",),
    ),
    Step(
        "The hatch bends twice",
        (("    score ridge", "    score brace { from = (0 mm, @-31 mm), to = (0 mm, @31 mm), bend = 2 deg }\n    score ridge"),),
        {"hatch": "mark"}, said=("score 2° face to be added",),
    ),
    Step(
        "Seams to the side", (("    stock = board\n\n    plate back", "    stock = board\n    seam_at = 10 deg\n\n    plate back"),),
        dict.fromkeys((*RINGS, "cowl.front"), "mark"), said=("marks moved: 12 × notch, top",), keeps=("cowl.drum.area", "heron.mass"),
    ),
    Step(
        "No finger hole", (("    hole finger { diameter = 16 mm, at = (24 mm, 0 mm) }\n", ""),), {"hatch": "fill"},
        said=("a hole fewer",),
    ),
    Step(
        "A tray, and no fin",
        (("\npanel fin {", "\npanel tray { stock = ply, outline = rect(60 mm, 40 mm), place = (F3, 0 mm, 0 mm) }\n\npanel keel {"), ("(58, 92)", "(60, 92)")),
        {"keel": "recut", "tray": "recut"}, added=("tray", "keel"), removed=("fin",), said=("new",),
        sizes={"tray.area": (None, 2400.0, ""), "fin.area": (None, None, "")},
    ),
    Step(
        "A larger Heron", (("plan_scale = 125 %", "plan_scale = 130 %"),),
        dict.fromkeys([*("keel" if id == "fin" else id for id in ALL)], "recut"),
        moved=("tray",),
        sizes={
            "station.nose.x": (-106.25, -110.5, "plan_scale"),
            "cowl.drum.length": (40.0, 41.6, "plan_scale"),
        },
        keeps=("longeron", "board.thickness", "tray.area", "cowl.back.motor.diameter"),
        said=("plan_scale is 130 %, was 125 %",),
    ),
)  # fmt: skip


def compared(capsys: pytest.CaptureFixture[str], *arguments: str) -> Any:
    """What the command prints as JSON."""
    assert main(["compare", *arguments, "--format", "json"]) == 0
    return json.loads(capsys.readouterr().out)


def check(step: Step, found: Any) -> None:
    """Hold a comparison against what a step must be."""
    verdicts = {id: word for id, word in found["verdicts"].items() if word != "keep"}
    assert verdicts == dict(step.parts), step.message
    parts = found["parts"]
    renamed = [{"old": old, "new": new} for old, new in step.renamed]
    assert (parts["moved"], parts["renamed"]) == (list(step.moved), renamed), step.message
    assert (sorted(parts["added"]), parts["removed"]) == (sorted(step.added), list(step.removed)), (
        step.message
    )
    shaped = {id for id, word in step.parts.items() if word in ("recut", "trim", "open", "fill", "mark")}
    assert set(parts["changed"]) == shaped - set(step.added), step.message
    sizes = {size["name"]: size for size in found["dimensions"]}
    for name, (old, new, driver) in step.sizes.items():
        if old is not None or new is not None:
            assert sizes[name]["new"] == pytest.approx(new, abs=1e-3), name
        if old is not None:
            assert sizes[name]["old"] == pytest.approx(old, abs=1e-3), name
        if driver:
            because = sizes[name]["because"]
            assert {(b["name"], b["at"].split(":")[0]) for b in because} == {(driver, step.file)}, name
            assert because[0]["chain"][-1] == name
    assert not set(step.keeps) & set(sizes), step.message
    said = "\n".join((*found["notes"], *found["reasons"].values()))
    assert all(words in said for words in step.said), (step.message, said)
    cut = {id for id, word in found["verdicts"].items() if word in ("recut", "more")}
    assert bool(cut) == bool(found["sheets"]), step.message


def plain(found: Comparison) -> Any:
    """A comparison as scripts get it."""
    return json.loads(json.dumps(facts(found)))


def test_every_step_is_what_the_builder_did(shop, capsys) -> None:
    before = read_side("HEAD:heron.wright", "never")
    for step in STEPS:
        shop.edit(*step.changes, file=step.file)
        edited = read_side("heron.wright", "never")
        found = plain(compare(before, edited))
        check(step, found)
        shop.commit(step.message)
        committed = read_side("HEAD:heron.wright", "never")
        assert compare(edited, committed).same, "what was committed is what was edited"
        again = plain(compare(before, committed))
        for driver in (driver for size in again["dimensions"] for driver in size["because"]):
            driver["at"] = driver["at"].removeprefix("HEAD:")
        assert again == found
        mirrors(plain(compare(committed, before)), found)
        before = committed
    assert len(STEPS) >= 12
    assert compared(capsys, "HEAD~1:heron.wright", "heron.wright") == found
    assert main(["compare", "HEAD:heron.wright", "heron.wright", "--exit-code"]) == 0
    assert capsys.readouterr().out.startswith("nothing changed: ")
    assert main(["compare", "HEAD~1:heron.wright", "HEAD:heron.wright", "--exit-code"]) == 1
    assert capsys.readouterr().out.startswith("19 recut, 1 keep\nnote: plan_scale is 130 %, was 125 %\n")
    # Nothing but the two files has ever been written.
    assert shop.git("status", "--porcelain") == ""
    assert sorted(path.name for path in shop.folder.iterdir()) == [".git", "heron.wright", BOARD_FILE]

    shop.git("tag", "first-flight", "HEAD~3")
    shop.git("tag", "-m", "annotated", "drawn", f"HEAD~{len(STEPS)}")
    shop.edit(("plan_scale = 130 %", "plan_scale = 130 mm"))
    shop.commit("A slip")
    shop.git("tag", "slip")
    shop.edit(("plan_scale = 130 mm", "plan_scale = 130 %"), ("panel tray {", "panel tray { quantity = 2,"))
    history_is_told(capsys)


def mirrors(back: Any, found: Any) -> None:
    """Hold a comparison against the same one the other way round."""
    assert {s["name"]: (s["new"], s["old"]) for s in back["dimensions"]} == {
        s["name"]: (s["old"], s["new"]) for s in found["dimensions"]
    }
    one, two = back["parts"], found["parts"]
    assert (sorted(one["added"]), sorted(one["removed"])) == (sorted(two["removed"]), sorted(two["added"]))
    assert [(r["new"], r["old"]) for r in one["renamed"]] == [(r["old"], r["new"]) for r in two["renamed"]]
    assert (sorted(one["changed"]), sorted(one["moved"])) == (sorted(two["changed"]), sorted(two["moved"]))
    assert set(back["differences_mm"]) == set(found["differences_mm"])
    for what in ("mass", "balance"):
        assert (back[what]["new"], back[what]["old"]) == (found[what]["old"], found[what]["new"])


def history_is_told(capsys: pytest.CaptureFixture[str]) -> None:
    """The table over all of them, the slip among them, and what is not committed yet."""
    table = compared(capsys, "--history", "heron.wright")["history"]
    assert len(table) == 1 + len(STEPS) + 1 + 1
    assert [row["date"] for row in table[:4]] == ["2026-03-02", "2026-03-03", "2026-03-04", "2026-03-05"]
    assert table[0]["parts"] is None
    assert table[0]["revision"] == "drawn"
    for step, row in zip(STEPS, table[1:], strict=False):
        assert set(row["parts"]["changed"]) == {
            id for id, word in step.parts.items() if word in ("recut", "trim", "open", "fill", "mark")
        } - set(step.added)
        assert row["sheets"] >= 3
    assert [row["revision"] for row in table if not row["commit"].startswith(row["revision"])] == [
        "drawn", "first-flight", "slip", "now",
    ]  # fmt: skip
    slip, now = table[-2:]
    assert slip["trouble"].startswith("not built: ")
    assert slip["mass_g"] is None
    assert (now["revision"], now["commit"], now["date"]) == ("now", "", "")
    assert now["parts"]["changed"] == []
    assert now["mass_g"] - table[-3]["mass_g"] == pytest.approx(60 * 40 * 3 * 680e-6, abs=0.2)  # and its glue

    # Tags alone are quicker told: what lies between two of them is compared as one step.
    assert main(["compare", "--history", "--tags", "heron.wright"]) == 0
    rows = capsys.readouterr().out.split("history\n")[1].splitlines()
    assert [row.split()[0] for row in rows] == ["revision", "drawn", "first-flight", "slip", "now"]
    assert rows[0].split() == ["revision", "date", "parts", "mass", "balance", "x", "sheets"]
    for row, words in zip(
        rows[1:],
        ("parts to begin with", "1 fill, 1 mark", "not built: ", "20 recut, 1 removed"),
        strict=False,
    ):
        assert words in row, rows
