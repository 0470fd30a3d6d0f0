"""The manifest's schema and the cut list, held against what others say of their formats."""

import csv
import io
import json
from pathlib import Path as File

import jsonschema
from hypothesis import given
from hypothesis import strategies as st
from ringwright.backends import manifest as module
from ringwright.backends.cut_list import COLUMNS, cut_list_csv
from ringwright.backends.manifest import part_label
from ringwright.backends.record import BuildRecord, Model
from ringwright.geometry.part import Cutting, MassProperties, Part, Stock
from ringwright.geometry.path import closed

BOARD = Stock("board", "", "foamboard", 4.8, 762.0, 508.0, "none", 6e-4, 0.2, 1e-4, "peeled", 1.0, 25.0)
SQUARE = closed([(0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.0, 1.0)])


def test_schema_is_json_schema_2020_12() -> None:
    """Source: the metaschema of JSON Schema, draft 2020-12, as the jsonschema library carries it."""
    schema = json.loads(File(module.__file__).with_name("manifest.schema.json").read_text("utf-8"))
    assert schema["$schema"] == jsonschema.Draft202012Validator.META_SCHEMA["$id"]
    jsonschema.Draft202012Validator.check_schema(schema)


def test_every_object_of_the_schema_is_closed_or_says_what_else_may_stand_there() -> None:
    """Source: JSON Schema core, draft 2020-12, 10.3.2: what names no additionalProperties takes anything."""
    schema = json.loads(File(module.__file__).with_name("manifest.schema.json").read_text("utf-8"))
    waiting = [schema]
    objects = 0
    while waiting:
        inner = waiting.pop()
        if isinstance(inner, list):
            waiting += inner
        elif isinstance(inner, dict):
            waiting += inner.values()
            if inner.get("type") in ("object", ["object", "null"]):
                objects += 1
                assert "additionalProperties" in inner
                if inner["additionalProperties"] is False:
                    assert sorted(inner["required"]) == sorted(inner["properties"])
    assert objects > 10


@given(st.lists(st.text(st.characters(exclude_categories=["Cs"]), min_size=1), max_size=5, unique=True))
def test_python_reads_the_cells_that_were_meant(names: list[str]) -> None:
    """Source: RFC 4180 as Python's csv module reads it; CWE-1236 for what stands before a formula."""
    parts = tuple(
        Part(
            name, name, "cowl", "", BOARD, 1, SQUARE, (), (), (), (), (), (), ("a, b", 'c "d"'), (), "free",
            None, MassProperties(1.0, None, 4.0, None),
        )
        for name in names
    )  # fmt: skip
    record = BuildRecord(
        "0.1.0", Model("heron", "", "", 1.0, "mm"), (), (), (), parts, (), Cutting(8.0, 4.0, 0.0), ()
    )
    head, *rows = csv.reader(io.StringIO(cut_list_csv(record), newline=""), strict=True)
    assert tuple(head) == COLUMNS
    assert len(rows) == len(parts)
    for row, part in zip(rows, sorted(parts), strict=True):
        for cell, meant in zip(row, (part.id, part_label(part)), strict=False):
            assert cell.removeprefix("'") == meant.removeprefix("'")
            assert not cell.startswith(("=", "+", "-", "@", "\t", "\r"))
        assert row[4:9] == ["1", "1.00", "1.00", "0.01", "4.0"]
