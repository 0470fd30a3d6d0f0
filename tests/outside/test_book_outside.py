"""The build book read by others: its PDF by poppler and by pypdf, its page by a browser.

ISO 32000-1 for the PDF's fonts and outlines; a book that a builder keeps must be readable by any reader, and its page
must work from a file, without network.
"""

import io
import shutil
import subprocess
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pypdf
import pytest
from ringwright.backends.files import build_files
from ringwright.backends.record import BuildRecord
from ringwright.geometry.nest.nest import nest
from ringwright.lang.commands.book_notes import notes_of
from ringwright.lang.commands.record import record_of
from ringwright.lang.components.project import reader
from ringwright.lang.pipeline import compile_spec

HERON = Path(__file__).parents[2] / "specs" / "marsh-heron"
POPPLER = shutil.which("pdftotext")


@pytest.fixture(scope="module")
def record() -> BuildRecord:
    compiled = compile_spec("marsh-heron.wright", reader(HERON))
    design = compiled.design
    assert design is not None
    sheets = nest(design.parts, design.cutting)
    return record_of(compiled, design, sheets)._replace(notes=notes_of(compiled, design, sheets))


@pytest.fixture(scope="module")
def folder(record: BuildRecord, tmp_path_factory: pytest.TempPathFactory) -> Path:
    home = tmp_path_factory.mktemp("book")
    for name, data in build_files(record, ("book",), "").items():
        (home / name).write_bytes(data)
    return home


def said(record: BuildRecord) -> list[str]:
    """Words that must be found, whoever reads."""
    steps = [step.title for step in record.notes.steps]
    sums = ["(103.75 - 4.8 - 40) / 2 mm", "29.475 mm ± 0.313 mm"]
    cares = [
        "Blades",
        "Hot glue",
        "Fumes",
        "Lasers",
        "Lead",
        "Batteries",
        "Propellers",
        "Local rules come first",
    ]
    return [*(part.id for part in record.parts if part.hand == ""), *steps, *sums, *cares]


@pytest.mark.skipif(POPPLER is None, reason="poppler is not installed")
def test_poppler_reads_all_of_it(record: BuildRecord, folder: Path) -> None:
    done = subprocess.run(
        ["pdftotext", "-layout", folder / "heron-A-book.pdf", "-"], capture_output=True, text=True, check=True
    )
    assert done.stderr == ""
    text = " ".join(done.stdout.split())
    assert [words for words in said(record) if words not in text] == []


def test_pypdf_reads_all_of_it_and_finds_its_way(record: BuildRecord, folder: Path) -> None:
    read = pypdf.PdfReader(io.BytesIO((folder / "heron-A-book.pdf").read_bytes()), strict=True)
    text = " ".join(" ".join(page.extract_text() for page in read.pages).split())
    assert [words for words in said(record) if words not in text] == []
    top = [entry for entry in read.outline if not isinstance(entry, list)]
    assert [entry.title for entry in top][1:] == [
        "Take care", "What to buy", "Cut list", "Building it", "Mass and balance", "Dimensions and their sums",
    ]  # fmt: skip
    for entry in top:
        page = read.pages[read.get_destination_page_number(entry)]
        assert entry.title in " ".join(page.extract_text().split())
    fonts = [font for page in read.pages for font in page["/Resources"]["/Font"].values()]
    drawn = [font.get_object() for font in fonts if "+" in str(font.get_object()["/BaseFont"])]
    assert drawn
    assert all("/FontFile2" in font["/FontDescriptor"] for font in drawn)


@pytest.fixture
def page(folder: Path, browser: Any) -> Iterator[Any]:
    browser.said.clear()
    browser.asked.clear()
    browser.open(folder / "heron-A-book.html")
    browser.settle()
    yield browser
    assert browser.said == []
    assert all(address.startswith(("file:", "data:")) for address in browser.asked), browser.asked


def state(page: Any) -> dict[str, Any]:
    return dict(page.value("document.querySelector('.viewer').viewer.state()"))


def test_the_page_shows_the_model_and_turns_it(page: Any) -> None:
    before = state(page)
    assert before["gl"]
    page.value("document.querySelector('.viewer canvas').focus()")
    page.press("ArrowLeft")
    assert state(page)["yaw"] != before["yaw"]
    page.press("Escape")
    page.press("n")
    assert state(page)["picked"] is not None


def test_a_part_of_the_cut_list_is_picked_by_key(page: Any) -> None:
    page.value("document.querySelector('[data-pick=\"cowl.mid\"]').focus()")
    page.press(" ")
    page.wait_for("document.querySelector('.viewer').viewer.state().picked === 'cowl.mid'")
    assert page.value("document.querySelector('.viewer h3').textContent").startswith("cowl.mid")
    assert page.value("Boolean(document.querySelector('.viewer .sheet path'))")


def test_ticks_and_weights_are_kept(page: Any, folder: Path) -> None:
    page.value("document.querySelector('[data-keep=\"done F2\"]').click()")
    weighed = "document.querySelector('[data-keep=\"weighed F2\"]')"
    page.value(f"{weighed}.value = '5.4'; {weighed}.dispatchEvent(new Event('change'))")
    page.open(folder / "heron-A-book.html")
    assert page.value("document.querySelector('[data-keep=\"done F2\"]').checked")
    assert page.value(f"{weighed}.value") == "5.4"


def test_nothing_is_wider_than_a_telephone(page: Any) -> None:
    page.tell("Emulation.setDeviceMetricsOverride", width=390, height=800, deviceScaleFactor=2, mobile=True)
    page.settle()
    try:
        assert page.value("document.documentElement.scrollWidth") <= 390
    finally:
        page.tell("Emulation.clearDeviceMetricsOverride")


def test_every_field_and_picture_has_a_name(page: Any) -> None:
    nameless = (
        "[...document.querySelectorAll('main input, main svg.drawn, main button, main canvas')].filter("
        "e => !(e.getAttribute('aria-label') || e.labels?.length || e.textContent.trim())).map(e => e.outerHTML)"
    )
    assert page.value(nameless) == []
    assert page.value("document.querySelectorAll('[id]').length") == page.value(
        "new Set([...document.querySelectorAll('[id]')].map(e => e.id)).size"
    )
