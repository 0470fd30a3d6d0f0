"""Bows and domes the whole way: from the text to sheets, cut list and manifest."""

import csv
import json
import math

from ringwright.lang.commands.main import main

SPEC = """
model heron { title = "Marsh Heron", revision = "A" }
stock board { kind = foamboard, thickness = 4.8 mm, sheet = 762 mm by 508 mm, mass = 410 g/m2 }
stock card { kind = card, thickness = 0.4 mm, sheet = 297 mm by 210 mm, mass = 300 g/m2 }
station firewall { x = 0 mm }
stack cowl {
    from = firewall
    to = -118.4 mm
    stock = board
    profile = curve[(0, 66), (38, 65), (75, 57), (104, 46), (118.4, 38)] mm
    barrel drum { length = 38 mm }
    cones bow { tolerance = 0.4 mm }
    ring nose { layers = 3, rim = 14 mm, carve = 1 mm }
}
stack spinner {
    from = -130 mm
    runs = fore
    stock = card
    barrel drum { diameter = 60 mm, length = 20 mm }
    dome nose { depth = 35 mm, tolerance = 0.6 mm }
}
"""


def test_a_cowl_and_its_spinner(tmp_path, monkeypatch, capsys):
    monkeypatch.chdir(tmp_path)
    (tmp_path / "heron.wright").write_text(SPEC, "utf-8")
    assert main(["build", "heron.wright", "-o", "out"]) == 0
    said = capsys.readouterr()
    manifest = json.loads((tmp_path / "out" / "manifest.json").read_text("utf-8"))
    sizes = {name: entry["value"] for name, entry in manifest["dimensions"].items()}
    count = round(sizes["cowl.bow.count"])
    assert count >= 2
    assert sizes["cowl.bow.worst_deviation"] <= 0.4
    assert math.fsum(sizes[f"cowl.bow.{n}.length"] for n in range(1, count + 1)) == sizes["cowl.bow.length"]
    notes = [found for found in manifest["diagnostics"] if found["code"] == "how-near"]
    assert [note["severity"] for note in notes] == ["note", "note"]
    assert all(note["message"] in said.err for note in notes)
    quantities = {part["id"]: part["quantity"] for part in manifest["parts"]}
    assert quantities == {
        "cowl.drum": 1,
        **{f"cowl.bow.{n}": 1 for n in range(1, count + 1)},
        **{f"cowl.nose.{n}": 1 for n in (1, 2, 3)},
        "spinner.drum": 1,
        "spinner.nose.gore": round(sizes["spinner.nose.count"]),
    }
    # A gore's middle lies on the axis, the whole dome's does.
    (gore,) = [part for part in manifest["parts"] if part["id"] == "spinner.nose.gore"]
    x, *across = gore["centroid_mm"]
    assert -150 - 35 / 2 - 1 < x < -150
    assert across == [0, 0]
    with (tmp_path / "out" / "cut-list.csv").open(encoding="utf-8", newline="") as table:
        rows = {row["part"]: row for row in csv.DictReader(table)}
    assert set(rows) == set(quantities)
    assert any(f"cone 1 of {count}" in cell for cell in rows["cowl.bow.1"].values())
    drawn = "".join(path.read_text("utf-8") for path in sorted((tmp_path / "out" / "sheets").glob("*.svg")))
    assert "to bow.1" in drawn
    assert "to nose.1" in drawn


def test_one_cone_of_a_bow_alone(tmp_path, monkeypatch, capsys):
    monkeypatch.chdir(tmp_path)
    (tmp_path / "heron.wright").write_text(SPEC, "utf-8")
    assert main(["build", "heron.wright", "-o", "out", "--only", "cowl.bow.1"]) == 0
    capsys.readouterr()
    manifest = json.loads((tmp_path / "out" / "manifest.json").read_text("utf-8"))
    assert [part["id"] for part in manifest["parts"]] == ["cowl.bow.1"]


def test_why_a_bow_ends_so(tmp_path, monkeypatch, capsys):
    monkeypatch.chdir(tmp_path)
    (tmp_path / "heron.wright").write_text(SPEC, "utf-8")
    assert main(["why", "heron.wright", "cowl.bow.end"]) == 0
    said = capsys.readouterr().out
    assert "the profile of cowl, where bow ends" in said
    assert "cowl.drum.length" in said
    assert main(["why", "heron.wright", "cowl.bow.1.slant"]) == 0
    assert "found on the finished part" in capsys.readouterr().out
