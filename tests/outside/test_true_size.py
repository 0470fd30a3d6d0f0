"""True size: millimetres in the files, read back by software that is not ours.

Sources: CSS Values 4, 5.2 and SVG 2 (an inch is 96 px); ISO 32000-1, 8.3.2.3 (a PDF unit is 1/72 inch); the
readers are svgelements, pypdf, pdfplumber and poppler's pdftocairo and pdftotext. The allowance of 0.005 mm
in a metre is ours.
"""

import io
import re
import shutil
import subprocess

import pdfplumber
import pypdf
import pytest
import svgelements
from ringwright.backends.drawing import Drawing, Group, Stroke
from ringwright.backends.pdf import pdf_bytes
from ringwright.backends.record import BuildRecord, Model
from ringwright.backends.sheet import sheet_drawing
from ringwright.backends.svg import svg_text
from ringwright.geometry.part import Cutting, MassProperties, Part, Placed, Sheet, Stock
from ringwright.geometry.path import Path, closed, line

MM_PER_PX = 25.4 / 96
MM_PER_POINT = 25.4 / 72
PER_METRE = 0.005

STOCK = Stock("board", "", "foamboard", 4.8, 1200.0, 600.0, "none", None, 0.3, None, "plain", 0.5, 30.0)
PLATE = Part(
    "plate", "plate", "plate", "", STOCK, 1, closed([(0, 0), (200, 0), (200, 80), (0, 80)]),
    (), (), (), (), (), (), (), (), "free", None, MassProperties(16000.0, None, 560.0, None),
)  # fmt: skip


def has(program):
    return pytest.mark.skipif(shutil.which(program) is None, reason=f"{program} of poppler is not installed")


@pytest.fixture(scope="module")
def record():
    model = Model("heron", "Marsh Heron", "A", 1.0, "mm")
    sheet = Sheet(STOCK, 1, (Placed("plate", 1, 40.0, 50.0, 0.0),), 0.1)
    return BuildRecord("0", model, (), (), (), (PLATE,), (sheet,), Cutting(5.0, 2.0, 0.0), ())


@pytest.fixture(scope="module")
def pdf(record):
    return pdf_bytes((sheet_drawing(record, record.sheets[0], True, ""),), "Marsh Heron", "")


@pytest.fixture(scope="module")
def ruler():
    """A drawing with a line of a metre and one of 100.123 mm, and a disc of 50 mm radius."""
    disc = Path(((200.0, 300.0), (300.0, 300.0)), (1.0, 1.0), True)
    paths = (line([(100, 100), (1100, 100)]), line([(100, 200), (200.123, 200)]), disc)
    strokes = tuple(Stroke("cut", path, 0.35) for path in paths)
    return Drawing(1200.0, 600.0, "Ruler", "", (Group("part-ruler-1", "ruler", "", strokes),))


def test_svg_lengths(ruler):
    read = svgelements.SVG.parse(io.StringIO(svg_text(ruler)), ppi=96)
    assert read.width * MM_PER_PX == pytest.approx(1200.0, rel=1e-6)
    # svgelements takes 3.7795296 px for a millimetre, 5.4e-7 too much: hence the relative allowance.
    metre, short, disc = (path.bbox() for path in read.elements() if isinstance(path, svgelements.Path))
    assert (metre[2] - metre[0]) * MM_PER_PX == pytest.approx(1000.0, abs=PER_METRE)
    assert (short[2] - short[0]) * MM_PER_PX == pytest.approx(100.123, abs=PER_METRE / 10 + 1e-4)
    assert (disc[2] - disc[0]) * MM_PER_PX == pytest.approx(100.0, abs=PER_METRE / 10 + 1e-4)
    # y runs down: 100 mm from the bottom of 600 is 500 from the top.
    assert metre[1] * MM_PER_PX == pytest.approx(500.0, abs=PER_METRE)


def test_pdf_page_box(pdf, record):
    box = pypdf.PdfReader(io.BytesIO(pdf)).pages[0].mediabox
    assert float(box.width) * MM_PER_POINT == pytest.approx(1200.0 + 15.0, abs=PER_METRE / 5)
    assert float(box.height) * MM_PER_POINT == pytest.approx(600.0 + 24.0, abs=PER_METRE / 5)


def test_pdf_check_bars_by_pdfplumber(pdf):
    with pdfplumber.open(io.BytesIO(pdf)) as file:
        page = file.pages[0]
        lines = [(edge["x1"] - edge["x0"], edge["bottom"] - edge["top"]) for edge in page.lines]
    level = [w * MM_PER_POINT for w, h in lines if h < 0.01 and abs(w * MM_PER_POINT - 100.0) < 1.0]
    upright = [h * MM_PER_POINT for w, h in lines if w < 0.01 and abs(h * MM_PER_POINT - 100.0) < 1.0]
    assert level == pytest.approx([100.0], abs=PER_METRE / 10)
    assert upright == pytest.approx([100.0], abs=PER_METRE / 10)


def test_pdf_part_by_pdfplumber(pdf):
    with pdfplumber.open(io.BytesIO(pdf)) as file:
        page = file.pages[0]
        shapes = [*page.rects, *page.curves]
        sizes = {
            (round((s["x1"] - s["x0"]) * MM_PER_POINT, 3), round((s["bottom"] - s["top"]) * MM_PER_POINT, 3))
            for s in shapes
        }
    assert (200.0, 80.0) in sizes


def test_pdf_text_by_pypdf(pdf):
    text = pypdf.PdfReader(io.BytesIO(pdf)).pages[0].extract_text()
    for words in ("plate · rev A", "board 4.8", "200.0 × 80.0", "Measure this bar before you cut"):
        assert words in text


@pytest.mark.poppler
@has("pdftocairo")
def test_pdf_lengths_by_poppler(ruler, tmp_path):
    source, target = tmp_path / "ruler.pdf", tmp_path / "ruler.svg"
    source.write_bytes(pdf_bytes((ruler,), "Ruler", ""))
    # Without these two switches the page is shrunk to whole points and 1000 mm reads as 999.87.
    subprocess.run(["pdftocairo", "-svg", "-noshrink", "-nocenter", source, target], check=True)
    read = svgelements.SVG.parse(str(target), ppi=96)
    boxes = [path.bbox() for path in read.elements() if isinstance(path, svgelements.Path) and len(path)]
    widths = sorted((box[2] - box[0]) * MM_PER_PX for box in boxes)
    assert widths[-3:] == pytest.approx([100.0, 100.123, 1000.0], abs=PER_METRE)


@pytest.mark.poppler
@has("pdftotext")
def test_pdf_text_by_poppler(pdf, tmp_path):
    source = tmp_path / "sheet.pdf"
    source.write_bytes(pdf)
    run = subprocess.run(["pdftotext", "-layout", source, "-"], capture_output=True, check=True)
    text = re.sub(r"\s+", " ", run.stdout.decode("utf-8"))
    for words in ("plate · rev A", "200.0 × 80.0", "board, 4.8 mm: measure yours"):
        assert words in text


@pytest.mark.poppler
@has("pdffonts")
def test_lettering_is_embedded_says_poppler(pdf, tmp_path):
    source = tmp_path / "sheet.pdf"
    source.write_bytes(pdf)
    run = subprocess.run(["pdffonts", source], capture_output=True, check=True, text=True)
    rows = [row for row in run.stdout.splitlines() if "BitstreamVera" in row]
    assert rows
    assert all(re.search(r"TrueType\s+\S+\s+yes yes yes", row) for row in rows)
