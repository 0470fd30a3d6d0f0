"""The fit gauge: slots as wide as they say, strips to bend, one small sheet a stock."""

import pytest
from ringwright.backends.drawing import Stroke, Text, collisions
from ringwright.backends.files import build_files
from ringwright.backends.gauge import FITS, gauges
from ringwright.backends.manifest import listed_files
from ringwright.backends.sheet import for_eyes, for_machines
from ringwright.geometry.part import Cutting, Sheet


@pytest.fixture(scope="module")
def record(bench, balsa):
    return bench._replace(sheets=(*bench.sheets, Sheet(balsa, 1, (), 0.0)))


def test_one_small_sheet_for_each_stock(record):
    gauge, contents = gauges(record)
    assert [sheet.stock.name for sheet in gauge.sheets] == ["balsa", "board"]
    assert len(contents) == 2
    assert all(sheet.stock.height < 160 for sheet in gauge.sheets)


def slots(drawing):
    """Widths of the slots of the comb from the left, from its corners."""
    comb = next(group for group in drawing.groups if group.id == "part-gauge-1")
    points = comb.items[0].path.points
    high = max(y for _, y in points)
    xs = sorted(x for x, y in points if abs(y - high) < 1e-6)[1:-1]
    return [b - a for a, b in zip(xs[::2], xs[1::2], strict=True)]


def test_slots_are_as_wide_as_they_say(record):
    gauge, contents = gauges(record)
    for sheet, content in zip(gauge.sheets, contents, strict=True):
        drawing = for_eyes(gauge, sheet, content, "")
        widths = slots(drawing)
        assert widths == pytest.approx([sheet.stock.thickness + fit for fit in FITS])
        texts = [item.text for item in drawing.groups[0].items if isinstance(item, Text)]
        assert texts[:2] == ["+0.4", f"{sheet.stock.thickness + 0.4:g}"]
        assert "−0.2" in texts


def test_the_kerf_is_in_the_gauge_for_a_cutter(record):
    gauge, contents = gauges(record._replace(cutting=Cutting(5.0, 2.0, 0.2)))
    drawing = for_machines(gauge, gauge.sheets[1], contents[1])
    assert slots(drawing) == pytest.approx([4.8 + fit - 0.2 for fit in FITS])


def test_nothing_lies_on_anything(record):
    gauge, contents = gauges(record)
    for sheet, content in zip(gauge.sheets, contents, strict=True):
        assert collisions(for_eyes(gauge, sheet, content, "2026-03-01")) == []
        machine = for_machines(gauge, sheet, content)
        assert collisions(machine) == []
        cut = [
            item
            for group in machine.groups
            for item in group.items
            if isinstance(item, Stroke) and item.layer == "cut"
        ]
        assert len(cut) == 3


def test_strips_differ_where_the_stock_does(record):
    _, contents = gauges(record)
    titles = [[group.title for group in content.groups[1:]] for content in contents]
    assert [title.rpartition(", ")[2] for title in titles[0]] == ["along the grain", "across the grain"]
    assert [title.rpartition(", ")[2] for title in titles[1]] == ["as bought", "inner paper peeled"]


def test_the_manifest_lists_the_gauges(record):
    import json

    files = build_files(record, ("gauge", "svg"), "")
    names = {name for name in files if "gauge" in name}
    assert names == {"heron-B-gauge.pdf", "sheets/heron-B-gauge-balsa.svg", "sheets/heron-B-gauge-board.svg"}
    assert names <= listed_files(json.loads(files["manifest.json"]))
