"""PDF files: layers, embedded lettering, no clock, true curves, the same bytes each time."""

import hashlib
import io
import math
import os
import subprocess
import sys

import pypdf
import pytest
from hypothesis import given
from hypothesis import strategies as st
from ringwright.backends.drawing import Drawing, Group, Stroke, lettering
from ringwright.backends.pdf import CURVE_ERROR, path_operators, pdf_bytes
from ringwright.backends.sheet import sheet_drawing
from ringwright.geometry.path import Path, line


@pytest.fixture(scope="module")
def page(bench):
    return sheet_drawing(bench, bench.sheets[0], True, "")


@pytest.fixture(scope="module")
def data(page):
    return pdf_bytes((page, page), "Marsh Heron rev B", "")


@pytest.fixture(scope="module")
def reader(data):
    return pypdf.PdfReader(io.BytesIO(data))


def test_a_page_a_drawing(reader, page):
    assert len(reader.pages) == 2
    assert float(reader.pages[0].mediabox.width) == pytest.approx(page.width * 72 / 25.4, abs=1e-3)
    assert float(reader.pages[0].mediabox.height) == pytest.approx(page.height * 72 / 25.4, abs=1e-3)


def test_layers_can_be_switched_off(reader):
    groups = reader.trailer["/Root"]["/OCProperties"]["/OCGs"]
    names = [group.get_object()["/Name"] for group in groups]
    assert names == ["cut", "far", "score", "peel", "mark", "text", "info"]
    order = reader.trailer["/Root"]["/OCProperties"]["/D"]["/Order"]
    assert [group.get_object()["/Name"] for group in order] == names
    for sheet in reader.pages:
        properties = sheet["/Resources"]["/Properties"]
        code = sheet.get_contents().get_data().decode("latin-1")
        for name in names:
            assert properties[f"/{name}"].get_object()["/Type"] == "/OCG"
            assert code.count(f"/OC /{name} BDC") == 1
        assert code.count("BDC") == code.count("EMC") == len(names)


def test_lettering_is_embedded_as_a_subset(reader):
    fonts = [font.get_object() for font in reader.pages[0]["/Resources"]["/Font"].get_object().values()]
    embedded = [font for font in fonts if "/FontDescriptor" in font]
    assert embedded
    for font in embedded:
        assert "/FontFile2" in font["/FontDescriptor"]
        assert font["/BaseFont"].split("+")[1].startswith("BitstreamVera")
        assert font["/FontDescriptor"]["/FontFile2"].get_object().get_data()[:4] in (b"\0\1\0\0", b"true")


def test_text_can_be_searched(reader):
    text = reader.pages[0].extract_text()
    for word in ("cowl.bow · rev B", "2.2 mm (24.4°)", "board 4.8 · 2 of 2", "to drum", "300.0 × 8.0"):
        assert word in text


def test_nothing_is_compressed(data):
    assert b"/Filter" not in data


def test_no_date_unless_one_is_given(page, data):
    assert b"Date" not in data.replace(b"(Date)", b"")
    dated = pypdf.PdfReader(io.BytesIO(pdf_bytes((page,), "Marsh Heron", "2026-03-01")))
    assert dated.metadata["/CreationDate"] == "D:20260301000000Z"
    assert "2000" not in str(dated.metadata)


def test_title_and_bookmarks(reader, page):
    assert reader.metadata.title == "Marsh Heron rev B"
    assert [entry.title for entry in reader.outline] == [page.title, page.title]


def test_titles_keep_other_scripts(page):
    read = pypdf.PdfReader(io.BytesIO(pdf_bytes((page._replace(title="鷺 · 1"),), "鷺", "")))
    assert read.metadata.title == "鷺"
    assert read.outline[0].title == "鷺 · 1"


def test_the_same_bytes_whatever_the_surroundings(tmp_path):
    script = tmp_path / "write.py"
    script.write_text(
        "import hashlib\n"
        "from ringwright.backends.drawing import Drawing, Group, Stroke, lettering\n"
        "from ringwright.backends.pdf import pdf_bytes\n"
        "from ringwright.backends.svg import svg_text\n"
        "from ringwright.geometry.path import line\n"
        "layers = ('cut', 'far', 'score', 'mark', 'text')\n"
        "items = tuple(Stroke(n, line([(i, 2), (50, 60)]), 0.35) for i, n in enumerate(layers))\n"
        "items += (lettering('text', (5, 5), 'ø 12 · Ω × é', 5.0, 30.0),)\n"
        "drawing = Drawing(100, 80, 'A', 'b', (Group('part-a', 'a', 'b', items),))\n"
        "data = pdf_bytes((drawing,), 'A', '') + svg_text(drawing).encode()\n"
        "print(hashlib.sha256(data).hexdigest())\n",
        encoding="utf-8",
    )
    found = set()
    for seed, zone, epoch in (
        ("0", "UTC", None),
        ("1", "Pacific/Kiritimati", "1700000000"),
        ("7", "UTC", "0"),
    ):
        surroundings = {**os.environ, "PYTHONHASHSEED": seed, "TZ": zone}
        surroundings.pop("SOURCE_DATE_EPOCH", None)
        if epoch is not None:
            surroundings["SOURCE_DATE_EPOCH"] = epoch
        run = subprocess.run(
            [sys.executable, str(script)], env=surroundings, capture_output=True, text=True, check=True
        )
        found.add(run.stdout)
    assert len(found) == 1


def test_the_same_bytes_twice(page, data):
    again = pdf_bytes((page, page), "Marsh Heron rev B", "")
    assert hashlib.sha256(again).digest() == hashlib.sha256(data).digest()


def bezier(p0, p1, p2, p3, t):
    a, b, c, d = (1 - t) ** 3, 3 * t * (1 - t) ** 2, 3 * t * t * (1 - t), t**3
    return tuple(a * p0[k] + b * p1[k] + c * p2[k] + d * p3[k] for k in (0, 1))


@given(
    st.floats(1.0, 1500.0),
    st.floats(-math.pi, math.pi),
    st.floats(0.02, 5.5),
    st.booleans(),
)
def test_curves_stay_on_their_arcs(radius, start, sweep, clockwise):
    turn = -sweep if clockwise else sweep
    ends = tuple((radius * math.cos(a), radius * math.sin(a)) for a in (start, start + turn))
    path = Path(ends, (math.tan(turn / 4),), False)
    words = path_operators(path).split()
    here = (float(words[0]), float(words[1]))
    numbers = [float(word) for word in words[3:] if word != "c"]
    assert len(numbers) % 6 == 0
    for i in range(0, len(numbers), 6):
        one, two, three = (tuple(numbers[i + 2 * k : i + 2 * k + 2]) for k in range(3))
        for step in range(9):
            # 0.0001 mm for the four decimals of the file
            assert math.hypot(*bezier(here, one, two, three, step / 8)) == pytest.approx(
                radius, abs=CURVE_ERROR + 0.0002
            )
        here = three
    assert here == pytest.approx(ends[1], abs=1e-4)


def test_strokes_become_operators():
    stroke = Stroke("mark", line([(1.0, 2.0), (30.0, 2.0)]), 0.18, (4.32, 0.54), 1.5)
    drawing = Drawing(
        100.0, 50.0, "A", "", (Group("part-a", "a", "", (stroke, lettering("text", (5.0, 5.0), "a", 2.5))),)
    )
    read = pypdf.PdfReader(io.BytesIO(pdf_bytes((drawing,), "A", "")))
    code = read.pages[0].get_contents().get_data().decode("latin-1")
    assert "0.18 w [4.32 0.54] 1.5 d" in code
    assert "1 2 m 30 2 l S" in code
