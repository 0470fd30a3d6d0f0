"""Every sheet, template, plan, gauge and page of the book of every spec can be read: nothing lies on anything, nothing is too small."""

from pathlib import Path

import pytest
from ringwright.backends.book.content import book_of
from ringwright.backends.book.paper import pages_of
from ringwright.backends.drawing import Drawing, Text, collisions
from ringwright.backends.gauge import gauges
from ringwright.backends.paper import paper_of
from ringwright.backends.plan import plan_of
from ringwright.backends.record import BuildRecord
from ringwright.backends.sheet import for_eyes, for_machines, sheet_content, template_of
from ringwright.backends.tiles import tiled
from ringwright.geometry.nest.nest import nest
from ringwright.lang.commands.book_notes import notes_of
from ringwright.lang.commands.record import record_of
from ringwright.lang.components.project import reader
from ringwright.lang.pipeline import compile_spec

SPECS = Path(__file__).parents[1] / "specs"
LEAST = 2.5
GALLERY = [path for path in sorted(SPECS.rglob("*.wright")) if "\nmodel " in path.read_text("utf-8")]


@pytest.fixture(scope="module", params=GALLERY, ids=lambda path: path.stem)
def record(request: pytest.FixtureRequest) -> BuildRecord:
    compiled = compile_spec(request.param.name, reader(request.param.parent))
    assert not compiled.failed, compiled.findings
    design = compiled.design
    assert design is not None
    sheets = nest(design.parts, design.cutting)
    return record_of(compiled, design, sheets)._replace(notes=notes_of(compiled, design, sheets))


def texts(drawing: Drawing) -> list[Text]:
    return [item for group in drawing.groups for item in group.items if isinstance(item, Text)]


def faults(drawing: Drawing) -> list[str]:
    small = [text.text for text in texts(drawing) if text.height < LEAST - 1e-9]
    return [*collisions(drawing), *(f"{word!r} is too small" for word in small)]


@pytest.mark.parametrize("dimensions", [False, True], ids=["plain", "dimensioned"])
def test_every_sheet_can_be_read(record: BuildRecord, dimensions: bool) -> None:
    for sheet in record.sheets:
        content = sheet_content(record, sheet, dimensions)
        assert faults(for_eyes(record, sheet, content, "2026-03-01")) == []
        assert faults(for_machines(record, sheet, content)) == []


def test_most_labels_are_large(record: BuildRecord) -> None:
    """Names at least 3.5 mm high on parts that have a place for it: a circle of 60 mm."""
    for sheet in record.sheets:
        content = sheet_content(record, sheet)
        for group, placed in zip(content.groups, sheet.placements, strict=False):
            part = next(part for part in record.parts if part.id == placed.part)
            if part.holes or part.marks or part.properties.area < 10_000:
                continue
            assert max(item.height for item in group.items if isinstance(item, Text)) >= 3.5, part.id


def test_every_template_can_be_read(record: BuildRecord) -> None:
    for sheet in record.sheets:
        template = template_of(record, sheet, sheet_content(record, sheet), "")
        for page in tiled(template, paper_of("a4")):
            own = page._replace(groups=tuple(group for group in page.groups if group.id == "page"))
            assert faults(own) == []


def test_the_plan_can_be_read(record: BuildRecord) -> None:
    plan = plan_of(record, "")
    if plan is not None:
        assert faults(plan.drawing) == []


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_the_book_can_be_read(record: BuildRecord, paper: str) -> None:
    pages = pages_of(book_of(record, "2026-03-01"), paper_of(paper))
    assert [fault for page in pages for fault in faults(page)] == []


def test_the_gauges_can_be_read(record: BuildRecord) -> None:
    gauge, contents = gauges(record)
    for sheet, content in zip(gauge.sheets, contents, strict=True):
        assert faults(for_eyes(gauge, sheet, content, "")) == []
