"""Pages put back together, as poppler prints them, against the sheet that they show.

Sources: poppler's pdftoppm draws the pages, pdfplumber finds the crosses. The allowance of 0.1 mm is ours; paper sizes
are those of ISO 216 and ASME Y14.1, as reportlab.lib.pagesizes has them.
"""

import shutil
import subprocess

import numpy as np
import pdfplumber
import pytest
from PIL import Image
from reportlab.lib import pagesizes
from ringwright.backends.drawing import NARROW, WIDE, Drawing, Group, Stroke, circle
from ringwright.backends.page import Fields, Template
from ringwright.backends.paper import PAPERS, paper_of
from ringwright.backends.pdf import pdf_bytes
from ringwright.backends.tiles import tiled
from ringwright.geometry.path import Path, line

MM = 25.4 / 72
DPI = 508  # 0.05 mm a pixel
PIXEL = 25.4 / DPI
ALLOWED = 0.1


@pytest.mark.parametrize("name", sorted(PAPERS))
def test_papers_are_as_large_as_their_standards_say(name):
    standard = getattr(pagesizes, name.upper())
    assert [side / MM for side in PAPERS[name]] == pytest.approx(standard, abs=0.01)


@pytest.fixture(scope="module")
def template():
    """Lines in all directions over 250 mm by 190: an arc, a disc, a slanting line, a frame."""
    arc = Path(((15.0, 25.0), (245.0, 35.0)), (-0.5,), False)
    frame = Path(((5.0, 5.0), (255.0, 5.0), (255.0, 195.0), (5.0, 195.0)), (0.0,) * 4, True)
    paths = (frame, arc, circle((130.0, 100.0), 42.0), line([(8.0, 185.0), (252.0, 12.0)]))
    strokes = tuple(Stroke("cut", path, WIDE) for path in paths)
    strokes += (Stroke("mark", line([(8.0, 65.0), (252.0, 71.0)]), NARROW),)
    drawing = Drawing(260.0, 200.0, "Sheet", "", (Group("part-a-1", "a", "", strokes),))
    return Template(drawing, Fields((("Title", "Sheet", 0.0),), (("Stock", "board", 0.0),)))


def pictures(data, folder, name):
    (folder / f"{name}.pdf").write_bytes(data)
    command = ["pdftoppm", "-r", str(DPI), "-gray", "-aa", "no", "-aaVector", "no", f"{name}.pdf", name]
    subprocess.run(command, cwd=folder, check=True)
    return [np.asarray(Image.open(path)) < 128 for path in sorted(folder.glob(f"{name}-*.pgm"))]


def crosses(page):
    """Middles of the crosses of a page in mm from its upper left by their corner, by pdfplumber: lines of 6 mm."""
    level = [
        ((edge["x0"] + edge["x1"]) / 2 * MM, edge["top"] * MM)
        for edge in page.lines
        if abs((edge["x1"] - edge["x0"]) * MM - 6.0) < 0.01 and abs(edge["bottom"] - edge["top"]) < 0.01
    ]
    across, up = float(page.width) * MM / 2, float(page.height) * MM / 2
    return {f"{'upper' if y < up else 'lower'} {'left' if x < across else 'right'}": (x, y) for x, y in level}


@pytest.mark.poppler
@pytest.mark.skipif(shutil.which("pdftoppm") is None, reason="pdftoppm of poppler is not installed")
def test_pages_put_back_together_are_the_sheet(template, tmp_path):
    pages = tiled(template, paper_of("140x160"))
    assert len(pages) == 5
    data = pdf_bytes(pages, "Sheet", "")
    (whole,) = pictures(pdf_bytes((template.drawing,), "Sheet", ""), tmp_path, "whole")
    images = pictures(data, tmp_path, "pages")[1:]
    with pdfplumber.open(tmp_path / "pages.pdf") as file:
        found = {
            drawing.title.rpartition(" ")[2]: crosses(page)
            for drawing, page in zip(pages[1:], file.pages[1:], strict=True)
        }
    # As on a table: the first page lies where it lies, every other is moved until its crosses fall on a neighbour's.
    names = list(found)
    moved = {names[0]: (0.0, 0.0)}
    while len(moved) < len(names):
        for name in [name for name in names if name not in moved]:
            column, row = name[0], int(name[1:])
            left, above = f"{chr(ord(column) - 1)}{row}", f"{column}{row - 1}"
            for other, side, back in ((left, "right", "left"), (above, "lower", "upper")):
                if other in moved and name not in moved:
                    corner = next(
                        c for c in found[other] if side in c and c.replace(side, back) in found[name]
                    )
                    (x, y), (u, v) = found[other][corner], found[name][corner.replace(side, back)]
                    moved[name] = (moved[other][0] + x - u, moved[other][1] + y - v)
    table = np.zeros((int(400 / PIXEL), int(400 / PIXEL)), dtype=bool)
    for name, image in zip(names, images, strict=True):
        # Cut along the crosses where a neighbour is, else along the window; then the page is laid down.
        column, row = name[0], int(name[1:])
        beside = {
            "left": f"{chr(ord(column) - 1)}{row}",
            "right": f"{chr(ord(column) + 1)}{row}",
            "upper": f"{column}{row - 1}",
            "lower": f"{column}{row + 1}",
        }
        edge = round((8 + 6) / PIXEL)
        sides = {"left": edge, "right": image.shape[1] - edge, "upper": edge, "lower": image.shape[0] - edge}
        for side, other in beside.items():
            if other in found:
                x, y = next(at for corner, at in found[name].items() if side in corner)
                sides[side] = round((x if side in ("left", "right") else y) / PIXEL)
        cut = image[sides["upper"] : sides["lower"], sides["left"] : sides["right"]]
        row, column = (
            round(moved[name][1] / PIXEL) + sides["upper"],
            round(moved[name][0] / PIXEL) + sides["left"],
        )
        table[row : row + cut.shape[0], column : column + cut.shape[1]] |= cut
    # Where the sheet lies on the table follows from its frame; a pixel more or less is tried.
    best = min(
        ((offset, missing(whole, table, offset)) for offset in nearby(whole, table)), key=lambda pair: pair[1]
    )
    offset, lost = best
    assert lost == 0
    rows, columns = whole.shape
    part = table[offset[0] : offset[0] + rows, offset[1] : offset[1] + columns].copy()
    for name in names:
        for x, y in found[name].values():
            row = round((y + moved[name][1]) / PIXEL) - offset[0]
            column = round((x + moved[name][0]) / PIXEL) - offset[1]
            reach = round(3.5 / PIXEL)
            part[
                max(0, row - reach) : max(0, row + reach), max(0, column - reach) : max(0, column + reach)
            ] = False
    assert (part & ~grown(whole)).sum() == 0


def grown(image):
    """All pixels within the allowance of a black one."""
    reach = int(ALLOWED / PIXEL)
    result = image.copy()
    for _ in range(reach):
        step = result.copy()
        step[1:] |= result[:-1]
        step[:-1] |= result[1:]
        step[:, 1:] |= result[:, :-1]
        step[:, :-1] |= result[:, 1:]
        result = step
    return result


def nearby(whole, table):
    """Offsets of the whole on the table, by the upper left of what is black on it, and a pixel about it."""
    frame_rows, frame_columns = np.flatnonzero(whole.any(axis=1)), np.flatnonzero(whole.any(axis=0))
    rows, columns = np.flatnonzero(table.sum(axis=1) > 3000), np.flatnonzero(table.sum(axis=0) > 2400)
    row, column = rows[0] - frame_rows[0], columns[0] - frame_columns[0]
    return [(row + i, column + j) for i in range(-2, 3) for j in range(-2, 3)]


def missing(whole, table, offset):
    """Black pixels of the whole farther than the allowance from any on the table."""
    rows, columns = whole.shape
    part = table[offset[0] : offset[0] + rows, offset[1] : offset[1] + columns]
    return int((whole & ~grown(part)).sum())
