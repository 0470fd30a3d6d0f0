"""The same part in SVG, PDF and DXF, each measured by another reader.

Readers: svgelements for SVG, poppler's pdftocairo (and svgelements again for what it gives) for PDF, ezdxf for DXF.
The allowance of 0.01 mm anywhere along a line is ours.
"""

import io
import shutil
import subprocess
from pathlib import Path

import ezdxf
import numpy as np
import pypdf
import pytest
import shapely
import svgelements
from ringwright.backends.files import build_files
from ringwright.geometry.nest.nest import nest
from ringwright.lang.commands.record import record_of
from ringwright.lang.components.project import reader
from ringwright.lang.pipeline import compile_spec

SPECS = Path(__file__).parents[2] / "specs"
ALLOWED = 0.01
MM_PER_PX = 25.4 / 96
MM_PER_POINT = 25.4 / 72
FINE = 64
"""Points along each piece of a curve."""

PLATES = """\
model plates { title = "Plates" }
stock board { kind = foamboard, thickness = 4.8 mm, sheet = 762 mm by 508 mm }
panel wavy { stock = board, outline = curve[(0, 0), (120, 30), (260, 0), (300, 90), (150, 130), (20, 80)] mm }
panel disc { stock = board, outline = circle(181.37 mm), hole h { diameter = 33.3 mm } }
panel oval { stock = board, outline = ellipse(123.4 mm, 61.7 mm) }
panel round { stock = board, outline = rect(80 mm, 50 mm, 7.5 mm) }
"""


def built(text, read):
    compiled = compile_spec(text, read)
    assert not compiled.failed, compiled.findings
    design = compiled.design
    record = record_of(compiled, design, nest(design.parts, design.cutting))
    return record, build_files(record, ("svg", "pdf", "dxf"), "")


@pytest.fixture(scope="module", params=["heron", "plates"])
def build(request):
    if request.param == "plates":
        return built("plates.wright", lambda _: PLATES.encode())
    folder = SPECS / "marsh-heron"
    return built("marsh-heron.wright", reader(folder))


def of_elements(elements):
    """Lines of some SVG paths, mm, y down: many points along each curved piece."""
    found = []
    for path in elements:
        points = []
        for piece in path:
            straight = isinstance(piece, (svgelements.Move, svgelements.Line, svgelements.Close))
            steps = [1.0] if straight else np.linspace(1 / FINE, 1.0, FINE)
            if isinstance(piece, svgelements.Move):
                points.append([[piece.end.x, piece.end.y]])
            elif piece.end is not None:
                points.append(np.asarray(piece.npoint(steps)))
        found.append(np.concatenate(points) * MM_PER_PX)
    return found


def from_svg(data, height):
    """What is cut through, by svgelements; y up as on the sheet."""
    # svgelements takes 3.7795296 px for a millimetre, so the size is read from the view box.
    read = svgelements.SVG.parse(io.StringIO(data.decode()), ppi=25.4)
    (layer,) = [e for e in read.elements() if isinstance(e, svgelements.Group) and e.id == "cut"]
    paths = [e for e in layer.select() if isinstance(e, svgelements.Path)]
    scale = height / read.viewbox.height
    assert scale == pytest.approx(1.0, abs=1e-9)
    return [line / MM_PER_PX * (1, -1) + (0, height) for line in of_elements(paths)]


def from_pdf(data, number, width, height, folder):
    """All wide lines of a page by poppler, on the sheet: that stands at the page's upper right."""
    box = pypdf.PdfReader(io.BytesIO(data)).pages[number].mediabox
    page = float(box.height) * MM_PER_POINT
    (folder / "all.pdf").write_bytes(data)
    command = ["pdftocairo", "-svg", "-noshrink", "-nocenter", "-f", str(number + 1), "-l", str(number + 1)]
    subprocess.run([*command, "all.pdf", "page.svg"], cwd=folder, check=True)
    read = svgelements.SVG.parse(str(folder / "page.svg"), ppi=96)
    paths = [e for e in read.elements() if isinstance(e, svgelements.Path) and is_wide(e)]
    # The strip at the left is 15 mm wide, and the sheet ends at the top of the page where it is no lower than the bars.
    assert height > 102.0
    assert page > height
    return [line * (1, -1) + (-15.0, height) for line in of_elements(paths)]


def is_wide(path):
    """Whether a path is drawn as a wide line; the letters that poppler gives as paths are filled."""
    drawn = path.stroke is not None and path.stroke.value is not None and len(path) > 1
    return drawn and abs(path.stroke_width * MM_PER_PX - 0.35) < 0.001


def from_dxf(data):
    """What is cut through, by ezdxf."""
    document = ezdxf.read(io.StringIO(data.decode()))
    found = []
    for entity in document.modelspace():
        if entity.dxf.layer != "cut":
            continue
        if entity.dxftype() == "CIRCLE":
            points = list(entity.flattening(1e-4))
        else:
            points = []
            for piece in entity.virtual_entities():
                part = (
                    [piece.dxf.start, piece.dxf.end]
                    if piece.dxftype() == "LINE"
                    else list(piece.flattening(1e-4))
                )
                # An arc runs anticlockwise, whichever way the line does.
                if (points and points[-1].distance(part[0]) > points[-1].distance(part[-1])) or (
                    not points and piece.dxftype() == "ARC" and entity.get_points("b")[0][0] < 0
                ):
                    part.reverse()
                points += part
        found.append(np.array([(point.x, point.y) for point in points]))
    return found


def apart(one, two):
    """Hausdorff distance of two lines, mm."""
    a, b = shapely.LinearRing(one), shapely.LinearRing(two)
    return max(
        float(shapely.distance(shapely.points(one), b).max()),
        float(shapely.distance(shapely.points(two), a).max()),
    )


def matched(lines, others):
    """The worst distance of each of some lines from the nearest of others."""
    boxes = np.array([shapely.LineString(line).bounds for line in others])
    worst = 0.0
    for line in lines:
        near = np.abs(boxes - np.array(shapely.LineString(line).bounds)).max(axis=1)
        candidates = [others[i] for i in np.flatnonzero(near < 0.05)]
        assert candidates, "a part is missing"
        worst = max(worst, min(apart(line, other) for other in candidates))
    return worst


@pytest.mark.poppler
@pytest.mark.skipif(shutil.which("pdftocairo") is None, reason="pdftocairo of poppler is not installed")
def test_three_readers_measure_the_same_parts(build, tmp_path):
    record, files = build
    (pdf,) = (data for name, data in files.items() if name.endswith(".pdf"))
    for number, sheet in enumerate(record.sheets):
        width, height = sheet.stock.width, sheet.stock.height
        ending = f"-{sheet.stock.name}-{sheet.index}"
        svg = from_svg(next(d for n, d in files.items() if n.endswith(f"{ending}.svg")), height)
        dxf = from_dxf(next(d for n, d in files.items() if n.endswith(f"{ending}.dxf")))
        parts = {part.id: part for part in record.parts}
        assert len(svg) == len(dxf) == sum(1 + len(parts[placed.part].holes) for placed in sheet.placements)
        assert matched(svg, dxf) < ALLOWED
        assert matched(dxf, svg) < ALLOWED
        assert matched(svg, from_pdf(pdf, number, width, height, tmp_path)) < ALLOWED
