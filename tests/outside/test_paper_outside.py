"""Sheets of standard paper: sizes of ISO 216 and ASME Y14.1, grammage of ISO 536, through the whole way to the files."""

import io

import pypdf
import pytest
from reportlab.lib import pagesizes
from ringwright.backends.files import build_files
from ringwright.geometry.nest.nest import nest
from ringwright.lang.commands.record import record_of
from ringwright.lang.pipeline import compile_spec

# ISO 216:2007, table 1, and ANSI/ASME Y14.1, mm and in; the values that reportlab.lib.pagesizes holds in points.
PAPERS = [
    ("297 mm by 420 mm", pagesizes.A3),
    ("210 mm by 297 mm", pagesizes.A4),
    ("105 mm by 148 mm", pagesizes.A6),
    ("176 mm by 250 mm", pagesizes.B5),
    ("8.5 in by 11 in", pagesizes.LETTER),
    ("8 1/2 in by 14 in", pagesizes.LEGAL),
]

SPEC = """\
model paper {{ title = "Paper" }}
stock sheet {{ kind = paper, thickness = 0.1 mm, sheet = {size}, mass = 80 g/m2 }}
cutting {{ margin = 0 mm }}
panel p {{ stock = sheet, outline = {outline} }}
"""


def built(size, outline):
    compiled = compile_spec("p.wright", lambda _: SPEC.format(size=size, outline=outline).encode())
    assert not compiled.failed, compiled.findings
    design = compiled.design
    return design, record_of(compiled, design, nest(design.parts, design.cutting))


@pytest.mark.parametrize(("size", "points"), PAPERS)
def test_a_sheet_is_as_large_as_the_standard_says(size, points):
    design, record = built(size, "rect(20 mm, 20 mm)")
    stock = design.parts[0].stock
    assert (stock.width * 72 / 25.4, stock.height * 72 / 25.4) == pytest.approx(points, abs=0.01)
    files = build_files(record, ("svg",), "")
    (svg,) = (data.decode() for name, data in files.items() if name.endswith(".svg"))
    # The SVG document is the sheet: 72 points of the standard's table are 25.4 mm of the file.
    head = svg[: svg.index(">", svg.index("<svg"))]
    width, height = (float(head.split(f'{side}="')[1].split('mm"')[0]) for side in ("width", "height"))
    assert (width * 72 / 25.4, height * 72 / 25.4) == pytest.approx(points, abs=0.01)


def test_a_whole_sheet_of_a4_weighs_what_its_grammage_says():
    # ISO 216 by ISO 536: 0.210 m x 0.297 m x 80 g/m2 = 4.9896 g, by definition.
    design, _ = built("210 mm by 297 mm", "rect(210 mm, 297 mm)")
    assert design.values["p.mass"] == pytest.approx(4.9896, abs=1e-9)


def test_a_page_holds_its_sheet_at_true_size():
    # ISO 32000-1, 8.3.2.3: a unit of a PDF page is 1/72 in; the strips beside and under the sheet come on top.
    _, record = built("297 mm by 420 mm", "rect(20 mm, 20 mm)")
    files = build_files(record, ("pdf",), "")
    page = pypdf.PdfReader(io.BytesIO(files["paper-A.pdf"])).pages[0].mediabox
    width, height = (float(side) * 25.4 / 72 for side in (page.width, page.height))
    assert width == pytest.approx(297 + 15, abs=0.01)
    assert height == pytest.approx(420 + 24, abs=0.01)
