"""Pages of paper: nothing is lost between them, crosses meet, blank pages are left out and hatched on the map."""

import io
import itertools
import math

import pypdf
import pytest
from hypothesis import given
from hypothesis import strategies as st
from ringwright.backends.drawing import WIDE, Drawing, Group, Stroke, Text, collisions, text_box
from ringwright.backends.page import Fields, Template
from ringwright.backends.paper import PAPERS, Paper, cell_name, grids, paper_of
from ringwright.backends.pdf import pdf_bytes
from ringwright.backends.sheet import sheet_content, template_of
from ringwright.backends.tiles import tiled
from ringwright.geometry.errors import GeometryError
from ringwright.geometry.path import bounds, closed

FIELDS = Fields((("Title", "Plate", 0.0),), (("Stock", "board", 0.0),))


def plate(width, height):
    outline = closed([(0, 0), (width, 0), (width, height), (0, height)])
    group = Group("part-a-1", "a", "", (Stroke("cut", outline, WIDE),))
    return Template(Drawing(width, height, "Plate", "", (group,)), FIELDS)


def cells_of(pages):
    return [page.title.rpartition(" ")[2] for page in pages[1:]]


def crosses_of(page):
    """Middles of the crosses: level lines of 6 mm."""
    found = []
    for group in page.groups:
        for item in group.items:
            if group.id == "page" and isinstance(item, Stroke) and len(item.path.points) == 2:
                (x0, y0), (x1, y1) = item.path.points
                if y0 == y1 and x1 - x0 == pytest.approx(6.0):
                    found.append(((x0 + x1) / 2, y0))
    return found


def shown_from(page):
    """Where a page's window begins on the drawing: (x, y) of the drawing at the page's origin."""
    part = next(group for group in page.groups if group.id == "part-a-1")
    x, y = next(item for item in part.items if isinstance(item, Stroke)).path.points[0]
    return -x, -y


def test_names_are_letters_across_and_numbers_down():
    assert [cell_name(*cell) for cell in ((0, 0), (1, 2), (25, 0), (26, 9))] == ["A1", "B3", "Z1", "AA10"]


def test_a_page_that_holds_nothing_is_left_out():
    pages = tiled(plate(800.0, 900.0), paper_of("a4"))
    grid = min((g for g in grids(paper_of("a4"), (-2, -2, 802, 902))), key=lambda g: g.across * g.down)
    names = set(cells_of(pages))
    every = {cell_name(*cell) for cell in grid.cells()}
    assert names < every
    # What is left out lies within the plate, on no edge of it.
    assert all(name[0] not in "A" and name[1:] not in ("1",) for name in every - names)
    stripes = [
        item
        for item in pages[0].groups[0].items
        if isinstance(item, Stroke)
        and len(item.path.points) == 2
        and slope(item.path) == pytest.approx(45.0, abs=1)
    ]
    assert len(stripes) >= 3 * len(every - names)


def slope(path):
    (x0, y0), (x1, y1) = path.points
    return abs(math.degrees(math.atan2(abs(y1 - y0), abs(x1 - x0))))


@given(st.floats(20.0, 900.0), st.floats(20.0, 900.0), st.sampled_from(sorted(PAPERS)), st.floats(0.0, 30.0))
def test_every_line_lies_within_some_page(width, height, name, overlap):
    paper = paper_of(name, overlap=overlap)
    pages = tiled(plate(width, height), paper)
    windows = []
    for page in pages[1:]:
        x, y = shown_from(page)
        left, low, right, high = page.groups[0].clip
        windows.append((left + x, low + y, right + x, high + y))
    steps = [i / 40 for i in range(41)]
    edge = [(s * width, y) for s in steps for y in (0.0, height)] + [
        (x, s * height) for s in steps for x in (0.0, width)
    ]
    for x, y in edge:
        assert any(w[0] <= x <= w[2] and w[1] <= y <= w[3] for w in windows)


def test_crosses_fall_on_each_other():
    pages = tiled(plate(500.0, 400.0), paper_of("a4", overlap=12.0))
    places = {}
    for page in pages[1:]:
        dx, dy = shown_from(page)
        for x, y in crosses_of(page):
            places.setdefault((round(x + dx, 6), round(y + dy, 6)), []).append(page.title)
    assert len(pages) > 4
    # On the outer edge two pages meet, within four; no cross stands alone.
    assert {len(titles) for titles in places.values()} == {2, 4}


def test_the_way_that_takes_fewer_pages_is_taken():
    wide, tall = tiled(plate(260.0, 170.0), paper_of("a4")), tiled(plate(170.0, 260.0), paper_of("a4"))
    assert (len(wide), wide[1].width, wide[1].height) == (2, 297.0, 210.0)
    assert (len(tall), tall[1].width, tall[1].height) == (2, 210.0, 297.0)


def test_a_roll_is_as_long_as_need_be():
    pages = tiled(plate(900.0, 500.0), paper_of("roll"))
    assert len(pages) == 2
    assert 900.0 < pages[1].width < 900.0 + 2 * 8 + 2 * 6 + 5
    assert pages[1].height == 610.0
    strips = tiled(plate(1500.0, 900.0), paper_of("914xroll"))
    assert cells_of(strips) in (["A1", "A2"], ["A1", "B1"])


def test_a_measured_bar_stretches_the_pages():
    paper = paper_of("a4", measured_bar=98.0)
    pages = tiled(plate(270.0, 150.0), paper)
    read = pypdf.PdfReader(io.BytesIO(pdf_bytes(pages, "A", "")))
    for page in read.pages:
        sides = sorted(float(side) * 25.4 / 72 for side in (page.mediabox.width, page.mediabox.height))
        assert sides == pytest.approx([210.0, 297.0], abs=0.01)
    # The printer makes 98 mm of every 100: what is drawn as 100 mm stands in the file as 100 / 0.98.
    code = read.pages[1].get_contents().get_data().decode("latin-1")
    scale = float(code.split(" cm")[1].rpartition("\n")[2].split()[0])
    assert scale * 25.4 / 72 * 0.98 == pytest.approx(1.0, abs=1e-6)
    words = [item.text for item in pages[0].groups[0].items if isinstance(item, Text)]
    assert any("98 mm" in row for row in words)


def test_bookmarks_and_layers(bench):
    template = template_of(bench, bench.sheets[0], sheet_content(bench, bench.sheets[0]), "")
    pages = tiled(template, paper_of("a4"))
    read = pypdf.PdfReader(io.BytesIO(pdf_bytes(pages, "A", "")))
    sheet, inner = read.outline
    assert sheet.title == template.drawing.title
    assert [entry.title.rpartition(" ")[2] for entry in inner] == cells_of(pages)
    names = {group.get_object()["/Name"] for group in read.trailer["/Root"]["/OCProperties"]["/OCGs"]}
    assert {"cut", "mark", "info"} <= names
    for page in read.pages:
        code = page.get_contents().get_data().decode("latin-1")
        assert code.count("BDC") == code.count("EMC")


@pytest.mark.parametrize("name", ["a4", "letter", "140x160", "roll"])
def test_words_about_pages_lie_on_nothing(bench, name):
    template = template_of(bench, bench.sheets[0], sheet_content(bench, bench.sheets[0]), "2026-03-01")
    for page in tiled(template, paper_of(name)):
        own = page._replace(groups=tuple(group for group in page.groups if group.id == "page"))
        assert collisions(own) == []
        texts = [item for group in own.groups for item in group.items if isinstance(item, Text)]
        assert min(text.height for text in texts) >= 2.5
        if page.level:
            left, low, right, high = page.groups[0].clip
            for text in texts:
                xs, ys = zip(*text_box(text), strict=True)
                assert max(xs) < left or min(xs) > right or max(ys) < low or min(ys) > high
            for item in itertools.chain(*(group.items for group in own.groups)):
                if isinstance(item, Stroke):
                    x0, y0, x1, y1 = bounds(item.path)
                    assert 8.0 <= x0 <= x1 <= page.width - 8.0
                    assert 8.0 <= y0 <= y1 <= page.height - 8.0


def test_papers_by_name_and_size():
    assert paper_of("A4")[1:3] == (210.0, 297.0)
    assert paper_of("330x483")[:3] == ("330x483", 330.0, 483.0)
    assert paper_of("330.2 x 483 mm".replace(" ", ""))[1] == 330.2
    assert paper_of("", (330.0, 483.0)).name == "330x483"
    assert paper_of("914xroll")[1:3] == (914.0, math.inf)
    assert paper_of("roll", roll=420.0).name == "420xroll"


@pytest.mark.parametrize(
    "name", ["", "a5x", "10x10", "nanx300", "1e3x300", "300x", "rollx300", "300x400x2", "-300x400"]
)
def test_papers_that_there_are_not(name):
    with pytest.raises(ValueError, match="there is no paper"):
        paper_of(name)


def test_paper_too_small_is_refused():
    with pytest.raises(GeometryError, match="leaves nothing to print on") as caught:
        tiled(plate(200.0, 200.0), Paper("tiny", 80.0, 80.0, margin=10.0))
    assert caught.value.code == "no-size"
