"""The manifest: its layout to the byte, its schema, its sums, and numbers that come back as they went in."""

import json
import math
from pathlib import Path as File
from typing import Any

import jsonschema
import pytest
from hypothesis import given
from hypothesis import strategies as st
from ringwright.backends import manifest as module
from ringwright.backends.manifest import listed_files, manifest, part_label, part_size, read_manifest
from ringwright.backends.record import (
    BuildRecord,
    Dimension,
    Finding,
    Load,
    Model,
    SourceFile,
)
from ringwright.geometry.errors import GeometryError
from ringwright.geometry.part import (
    Cutting,
    Edge,
    Flat,
    Groove,
    Mark,
    MassProperties,
    Part,
    Placed,
    Score,
    Sheet,
    Stock,
)
from ringwright.geometry.path import Path, closed, line

BOARD = Stock("board", "", "foamboard", 4.8, 762.0, 508.0, "none", 6e-4, 0.2, 1e-4, "peeled", 1.0, 25.0)
SQUARE = closed([(0.0, 0.0), (40.0, 0.0), (40.0, 30.0), (0.0, 30.0)])
SCHEMA = json.loads(File(module.__file__).with_name("manifest.schema.json").read_text("utf-8"))


def a_part(id: str = "plate", **changes: Any) -> Part:
    part = Part(
        id=id, name=id, component=id.split(".")[0], hand="", stock=BOARD, quantity=1,
        outline=SQUARE, holes=(), far=(), scores=(), peels=(), marks=(), centres=(), notes=(), edges=(),
        grain="free", placement=Flat((0, 0, 0), (1, 0, 0), (0, 1, 0)),
        properties=MassProperties(1200.0, 0.72, 140.0, (20.0, 15.0, 0.0)),
    )  # fmt: skip
    return part._replace(**changes)


def a_record(**changes: Any) -> BuildRecord:
    record = BuildRecord(
        version="0.1.0",
        model=Model("heron", "Marsh Heron", "B", 1.0, "mm"),
        sources=(SourceFile("heron.wright", "0" * 64),),
        dimensions=(
            Dimension("plate.area", 1200.0, "mm2", "derived", "width × height", "heron.wright:3:1", None),
        ),
        defaults=(("cutting.gap", "4 mm"),),
        parts=(a_part(),),
        sheets=(Sheet(BOARD, 1, (Placed("plate", 1, 8.0, 8.0, 90.0),), 0.0031),),
        cutting=Cutting(8.0, 4.0, 0.0),
        findings=(),
    )  # fmt: skip
    return record._replace(**changes)


def loaded(record: BuildRecord, **files: str) -> Any:
    """The manifest read back; NaN and the like are no JSON."""

    def refuse(word: str) -> None:
        raise AssertionError(word)

    return json.loads(manifest(record, files or {"cut_list": "cut-list.csv"}), parse_constant=refuse)


def check(found: Any) -> None:
    jsonschema.Draft202012Validator(SCHEMA).validate(found)


def test_layout_to_the_byte() -> None:
    text = manifest(
        a_record(),
        {"pdf": "heron-B.pdf", "cut_list": "cut-list.csv"},
        {("board", 1, ""): {"svg": "sheets/a.svg"}},
    )
    assert text == (
        """{
  "schema": "ringwright.build/1",
  "ringwright": "0.1.0",
  "model": {"name": "heron", "title": "Marsh Heron", "revision": "B", "unit": "mm", "plan_scale": 1},
  "sources": [
    {"path": "heron.wright", "sha256": "0000000000000000000000000000000000000000000000000000000000000000"}
  ],
  "dimensions": {
    "plate.area": {"value": 1200, "unit": "mm2", "plus_minus": null, "from": "derived", """
        """"because": "width × height", "at": "heron.wright:3:1"}
  },
  "parts": [
    {
      "id": "plate",
      "label": "plate",
      "stock": "board",
      "quantity": 1,
      "area_mm2": 1200,
      "cut_length_mm": 140,
      "width_mm": 40,
      "height_mm": 30,
      "outline": [[0, 0], [40, 0], [40, 30], [0, 30]],
      "holes": [],
      "scores": [],
      "far": [],
      "peels": [],
      "bared": [],
      "grooves": [],
      "marks": [],
      "edges": [],
      "mass_g": 0.72,
      "centroid_mm": [20, 15, 0]
    }
  ],
  "sheets": [
    {
      "stock": "board",
      "index": 1,
      "offcut": null,
      "width_mm": 762,
      "height_mm": 508,
      "files": {"svg": "sheets/a.svg"},
      "placements": [
        {"part": "plate", "copy": 1, "x_mm": 8, "y_mm": 8, "rotation_deg": 90}
      ],
      "used": 0.0031,
      "left_over": [
        {"x_mm": 20, "y_mm": 0, "width_mm": 740, "height_mm": 500}
      ]
    }
  ],
  "files": {"cut_list": "cut-list.csv", "pdf": "heron-B.pdf"},
  "defaults": {
    "cutting.gap": "4 mm"
  },
  "mass": {
    "total_g": 0.72,
    "cg_mm": [20, 15, 0],
    "by": [
      {"name": "plate", "mass_g": 0.72, "cg_mm": [20, 15, 0]}
    ]
  },
  "diagnostics": []
}
"""
    )


def full_record() -> BuildRecord:
    """One that uses everything that the format has."""
    hole = closed([(10.0, 10.0), (10.0, 20.0), (20.0, 20.0)])
    part = a_part(
        "cowl.mid",
        hand="left",
        notes=("inside up", "bevel 2.2 mm (24.4°) both rims"),
        quantity=2,
        holes=(hole, closed([(5.0, 5.0), (5.0, 6.0), (6.0, 5.0)])),
        scores=(Score(line([(30.0, 0.0), (30.0, 30.0)]), math.pi / 2, "inside"),),
        far=(line([(1.0, 0.0), (1.0, 30.0)]),),
        peels=(closed([(0.0, 0.0), (1.0, 0.0), (1.0, 30.0)]),),
        grooves=(Groove(closed([(3.0, 3.0), (4.0, 3.0), (4.0, 9.0)]), 4.5, 1.0, "F2"),),
        marks=(Mark(line([(9.0, 0.0), (9.0, 3.0)]), "notch", "to drum"), Mark(SQUARE, "bevel", "")),
        edges=(Edge("start rim", "drum", math.radians(24.4), 40.0), Edge("end rim", "", 0.0, 40.0)),
    )
    return a_record(
        parts=(part, a_part(properties=MassProperties(1200.0, None, 140.0, None), placement=None)),
        dimensions=(
            Dimension("b.angle", math.pi / 7, "rad", "measured", "", "", (0.01, 0.02)),
            Dimension("a.length", 30.1234567, "mm", "default", "", "", None),
        ),
        findings=(Finding("too-thin", "warning", 'a "thin" rim', "heron.wright", 1, 2, 1, 9, ""),),
        loads=(Load("battery", 100.0, (-50.0, 0.0, 0.0)), Load("glue", 3.0, None)),
    )


def test_everything_is_in_the_schema() -> None:
    found = loaded(full_record())
    check(found)
    assert list(found["dimensions"]) == ["a.length", "b.angle"]
    assert found["dimensions"]["a.length"]["value"] == 30.123457
    assert found["dimensions"]["b.angle"]["value"] == round(math.pi / 7, 9)
    assert found["dimensions"]["b.angle"]["plus_minus"] == {"rss": 0.01, "worst": 0.02}
    part = found["parts"][0]
    assert part["label"] == "cowl.mid LEFT · inside up · bevel 2.2 mm (24.4°) both rims"
    assert [hole[0] for hole in part["holes"]] == [[5, 5], [10, 10]]
    assert part["scores"] == [{"line": [[30, 0], [30, 30]], "angle_deg": 90, "side": "inside"}]
    assert part["far"] == [[[1, 0], [1, 30]]]
    assert part["peels"] == [[[0, 0], [1, 0], [1, 30]]]
    assert part["grooves"] == [
        {"line": [[3, 3], [4, 3], [4, 9]], "depth_mm": 4.5, "width_mm": 1, "text": "F2"}
    ]
    assert [(mark["kind"], mark["text"]) for mark in part["marks"]] == [("bevel", ""), ("notch", "to drum")]
    assert part["marks"][1]["line"] == [[9, 0], [9, 3]]
    assert [edge["name"] for edge in part["edges"]] == ["end rim", "start rim"]
    assert part["edges"][1]["bevel_deg"] == 24.4
    assert found["parts"][1]["mass_g"] is None
    assert found["diagnostics"][0]["message"] == 'a "thin" rim'


@pytest.mark.parametrize(
    ("where", "what"),
    [
        (("schema",), "ringwright.build/2"),
        (("parts", 0, "colour"), "red"),
        (("parts", 0, "quantity"), 0),
        (("parts", 0, "outline"), [[0, 0], [1, 1]]),
        (("parts", 0, "centroid_mm"), [0, 0]),
        (("sheets", 0, "used"), 1.5),
        (("files", "pdf"), "/etc/heron.pdf"),
        (("files", "pdf"), "sheets/../../heron.pdf"),
        (("files", "pdf"), "sheets//heron.pdf"),
        (("files", "pdf"), ""),
        (("dimensions", "a.length", "from"), "guessed"),
        (("diagnostics", 0, "severity"), "fatal"),
    ],
)
def test_schema_is_strict(where: tuple[Any, ...], what: Any) -> None:
    found = loaded(full_record())
    inner = found
    for step in where[:-1]:
        inner = inner[step]
    inner[where[-1]] = what
    with pytest.raises(jsonschema.ValidationError):
        check(found)


def test_every_key_is_required() -> None:
    found = loaded(full_record())
    for key in found:
        with pytest.raises(jsonschema.ValidationError):
            check({name: value for name, value in found.items() if name != key})


def test_mass_and_balance_by_hand() -> None:
    # Two copies of 0.72 g at x 20 and 100 g at x -50: (1.44 · 20 - 100 · 50) / 101.44; the glue has no place.
    found = loaded(full_record())["mass"]
    assert found["total_g"] == pytest.approx(104.44, abs=1e-6)
    assert found["cg_mm"][0] == pytest.approx((1.44 * 20 - 5000) / 101.44, abs=1e-6)
    assert found["cg_mm"][1] == pytest.approx(1.44 * 15 / 101.44, abs=1e-6)
    assert [(item["name"], item["mass_g"]) for item in found["by"]] == [
        ("battery", 100),
        ("cowl", 1.44),
        ("glue", 3),
        ("plate", None),
    ]
    assert found["by"][2]["cg_mm"] is None


def test_nothing_known_of_mass_is_null() -> None:
    found = loaded(a_record(parts=(a_part(properties=MassProperties(1.0, None, 1.0, (0.0, 0.0, 0.0))),)))
    assert found["mass"] == {
        "total_g": None,
        "cg_mm": None,
        "by": [{"name": "plate", "mass_g": None, "cg_mm": None}],
    }


def test_order_of_the_text_does_not_show() -> None:
    record = full_record()
    parts = tuple(
        part._replace(
            holes=part.holes[::-1], scores=part.scores[::-1], edges=part.edges[::-1], marks=part.marks[::-1]
        )
        for part in record.parts[::-1]
    )
    turned = record._replace(
        parts=parts,
        dimensions=record.dimensions[::-1],
        loads=record.loads[::-1],
        sheets=record.sheets[::-1],
        defaults=record.defaults[::-1],
    )
    assert manifest(turned, {}) == manifest(record, {})


def test_arcs_become_chords_within_the_flatness() -> None:
    disc = Path(((-50.0, 0.0), (50.0, 0.0)), (1.0, 1.0), True)  # two half circles
    found = loaded(a_record(parts=(a_part(outline=disc),)))["parts"][0]
    assert (found["width_mm"], found["height_mm"]) == (100, 100)
    corners = found["outline"]
    assert all(abs(math.hypot(x, y) - 50) < 1e-3 for x, y in corners)
    for (x, y), (u, v) in zip(corners, corners[1:] + corners[:1], strict=True):
        assert 50 - math.hypot((x + u) / 2, (y + v) / 2) <= 0.02 + 1e-3


@given(st.floats(-1e6, 1e6), st.sampled_from(["mm", "rad", "g", "mm2", ""]))
def test_numbers_come_back(value: float, unit: str) -> None:
    text = manifest(a_record(dimensions=(Dimension("a", value, unit, "derived", "", "", None),)), {})
    written = text.split('"value": ')[1].split(",")[0]
    decimals = {"mm": 6, "rad": 9, "g": 6, "mm2": 3, "": 9}[unit]
    assert set(written) <= set("-.0123456789")
    assert written != "-0"
    assert len(written.partition(".")[2]) <= decimals
    assert json.loads(written) == pytest.approx(value, abs=0.5 * 10**-decimals + 1e-9, rel=1e-15)


@given(st.lists(st.tuples(st.floats(-2000, 2000), st.floats(-2000, 2000)), min_size=3, max_size=6))
def test_outlines_come_back(points: list[tuple[float, float]]) -> None:
    outline = Path(tuple(points), (0.0,) * len(points), True)
    found = loaded(a_record(parts=(a_part(outline=outline),)))["parts"][0]["outline"]
    assert len(found) == len(points)
    for read, meant in zip(found, points, strict=True):
        assert read == pytest.approx(meant, abs=0.0005 + 1e-9)


@given(st.text(st.characters(exclude_categories=["Cs"])))
def test_any_text_comes_back(title: str) -> None:
    text = manifest(a_record(model=Model("heron", title, "", 1.0, "mm")), {})
    assert json.loads(text)["model"]["title"] == title
    assert len(text.split("\n")) == len(manifest(a_record(), {}).split("\n"))


@pytest.mark.parametrize("bad", [math.nan, math.inf, -math.inf])
def test_what_is_no_number_is_refused(bad: float) -> None:
    with pytest.raises(GeometryError):
        manifest(a_record(dimensions=(Dimension("a", bad, "mm", "derived", "", "", None),)), {})


def test_label_and_size() -> None:
    assert part_label(a_part(hand="right", notes=("aft face up",))) == "plate RIGHT · aft face up"
    assert part_size(a_part()) == (40.0, 30.0)


def test_read_manifest_knows_ours_only(tmp_path: File) -> None:
    place = tmp_path / "manifest.json"
    assert read_manifest(tmp_path) is None
    place.write_text(manifest(full_record(), {}), "utf-8")
    found = read_manifest(tmp_path)
    assert found is not None
    assert found["model"]["name"] == "heron"
    for strange in ("", "{", "[]", '{"schema": "other/1"}', "[" * 100_000, '"ringwright.build/1"'):
        place.write_text(strange)
        assert read_manifest(tmp_path) is None
    place.write_bytes(b'{"schema": "\xff"}')
    assert read_manifest(tmp_path) is None
    assert read_manifest(tmp_path / "nowhere") is None


def test_listed_files() -> None:
    text = manifest(
        a_record(),
        {"pdf": "a.pdf", "cut_list": "cut-list.csv"},
        {("board", 1, ""): {"svg": "sheets/b.svg", "dxf": "sheets/b.dxf"}},
    )
    assert listed_files(json.loads(text)) == {"a.pdf", "cut-list.csv", "sheets/b.svg", "sheets/b.dxf"}
    for odd in ({}, {"files": 3, "sheets": 4}, {"files": {"a": 1}, "sheets": [1, {"files": []}]}):
        assert listed_files(odd) == frozenset()
