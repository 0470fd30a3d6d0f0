"""DXF files: audited, true arcs, layers in plain words, nothing from the clock or the hash seed."""

import hashlib
import io
import math
import os
import subprocess
import sys

import ezdxf
import pytest
from ezdxf.audit import Auditor
from hypothesis import given
from hypothesis import strategies as st
from ringwright.backends.drawing import (
    LAYERS,
    Drawing,
    Group,
    Stroke,
    circle,
    dashed,
    lettering,
    long_dash_dot,
)
from ringwright.backends.dxf import dxf_bytes
from ringwright.backends.sheet import sheet_drawing
from ringwright.geometry.path import Path, bounds, length, line


def read(data):
    """The document as written, and audited: ezdxf mends what it can, so fixes count as faults, too."""
    document = ezdxf.read(io.StringIO(data.decode("utf-8")))
    auditor = Auditor(document)
    auditor.run()
    assert not auditor.errors
    assert not auditor.fixes
    return document


def one(*items):
    return Drawing(200.0, 100.0, "Sheet", "", (Group("part-a-1", "a", "", items),))


@pytest.fixture(scope="module")
def sheet(bench):
    return sheet_drawing(bench, bench.sheets[0], False, "")


@pytest.fixture(scope="module")
def document(sheet):
    return read(dxf_bytes(sheet))


def test_units_are_millimetres_and_the_page_is_the_stock(document):
    assert document.dxfversion == "AC1024"
    assert document.header["$INSUNITS"] == 4
    assert document.header["$LIMMAX"] == (762.0, 508.0)


def test_layers_are_the_operations(document, sheet):
    used = {item.layer for group in sheet.groups for item in group.items}
    layers = {layer.dxf.name: layer for layer in document.layers}
    assert set(layers) - {"0", "Defpoints"} == used
    assert layers["cut"].dxf.lineweight == 35
    assert layers["score"].dxf.lineweight == 18
    assert {entity.dxf.layer for entity in document.modelspace()} == used


def test_what_sets_a_part_free_comes_last(document):
    order = list(dict.fromkeys(entity.dxf.layer for entity in document.modelspace()))
    assert order == [layer for layer in reversed(LAYERS) if layer in order]
    assert order[-2:] == ["far", "cut"]


def test_text_takes_its_measured_space():
    text = lettering("text", (20.0, 30.0), "Hull", 5.0, 90.0, "middle")
    entity = read(dxf_bytes(one(text))).modelspace().query("TEXT").first
    assert (entity.dxf.text, entity.dxf.height, entity.dxf.halign) == ("Hull", 5.0, 5)
    start, end = entity.dxf.insert, entity.dxf.align_point
    assert (start.x, end.x) == pytest.approx((20.0, 20.0), abs=1e-4)
    assert (start.y, end.y) == pytest.approx((30 - text.width / 2, 30 + text.width / 2), abs=1e-4)


@pytest.mark.parametrize(
    "words",
    ["50%%d", "%%%", "a^Jb", "a ^ b", r"\U+0041\M+1", "0\\nLINE", "a<b> & c", "ø 12 ± 0.5 é"],
)
def test_no_text_is_taken_for_a_code(words):
    entity = (
        read(dxf_bytes(one(lettering("text", (20.0, 30.0), words, 5.0)))).modelspace().query("TEXT").first
    )
    assert ezdxf.decode_dxf_unicode(entity.plain_text()) == words


def test_titles_keep_other_scripts():
    drawing = one(lettering("text", (20.0, 30.0), "鷺", 5.0))._replace(title="鷺 · 1", description="50%%d ^J")
    document = read(dxf_bytes(drawing))
    assert document.header.custom_vars.properties == [("Title", "鷺 · 1"), ("Description", "50%%d ^J")]
    assert document.modelspace().query("TEXT").first.dxf.text == "?"


@pytest.mark.parametrize("character", ["\x00", "\n", "\x1b", "\x85", "\ud800"])
def test_control_characters_are_refused(character):
    with pytest.raises(ValueError, match=f"U\\+{ord(character):04X}"):
        dxf_bytes(one(lettering("text", (1.0, 1.0), "a", 5.0)._replace(text=f"a{character}0")))
    with pytest.raises(ValueError, match=f"U\\+{ord(character):04X}"):
        dxf_bytes(one()._replace(title=f"a{character}0"))


def test_lines_and_circles_are_what_they_are():
    items = (
        Stroke("cut", circle((50.0, 40.0), 12.5), 0.35),
        Stroke("score", line([(0.0, 0.0), (30.0, 40.0)]), 0.18, dashed(0.18)),
        Stroke("mark", line([(0.0, 5.0), (30.0, 5.0)]), 0.18, long_dash_dot(0.18)),
    )
    document = read(dxf_bytes(one(*items)))
    disc = document.modelspace().query("CIRCLE").first
    assert (disc.dxf.radius, tuple(disc.dxf.center)) == (12.5, (50.0, 40.0, 0.0))
    lines = document.modelspace().query("LINE")
    assert {entity.dxf.linetype for entity in lines} == {"dashed", "centre"}
    pattern = [tag.value for tag in document.linetypes.get("centre").pattern_tags.tags if tag.code == 49]
    assert pattern == pytest.approx([4.32, -0.54, 0.09, -0.54])


@given(
    st.lists(
        st.tuples(
            st.tuples(st.floats(5.0, 700.0), st.floats(5.0, 500.0)),
            st.sampled_from((0.0, 1.0, -1.0, 0.4142135623730951, -0.2, 1e-9, 2.0, -0.9999)),
        ),
        min_size=3,
        max_size=8,
        unique_by=lambda pair: (round(pair[0][0]), round(pair[0][1])),
    ),
    st.booleans(),
)
def test_paths_come_back_as_they_were(corners, shut):
    from ezdxf.path import make_path

    points = tuple(point for point, _ in corners)
    bulges = tuple(bulge for _, bulge in corners)
    path = Path(points, bulges if shut else bulges[:-1], shut)
    document = ezdxf.read(io.StringIO(dxf_bytes(one(Stroke("cut", path, 0.35))).decode()))
    entity = document.modelspace().query("LWPOLYLINE").first
    parts = list(entity.virtual_entities())
    assert sum(map(measured, parts)) == pytest.approx(length(path), abs=0.01)
    along = [point for part in parts for point in fine(part)]
    xs, ys = [point.x for point in along], [point.y for point in along]
    assert (min(xs), min(ys), max(xs), max(ys)) == pytest.approx(bounds(path), abs=0.002)
    assert make_path(entity).is_closed == shut


def fine(entity):
    if entity.dxftype() == "LINE":
        return [entity.dxf.start, entity.dxf.end]
    return list(entity.flattening(0.0005))


def measured(entity):
    if entity.dxftype() == "LINE":
        return entity.dxf.start.distance(entity.dxf.end)
    sweep = (entity.dxf.end_angle - entity.dxf.start_angle) % 360.0
    return math.radians(sweep) * entity.dxf.radius


def test_no_date_unless_one_is_given(sheet):
    data = dxf_bytes(sheet)
    assert b"$TD" not in data.replace(b"$TDINDWG", b"").replace(b"$TDUSRTIMER", b"")
    assert b"2000-" not in data
    # Read from the file itself: ezdxf puts the hour of reading into the document.
    from ezdxf.tools.juliandate import calendardate

    rows = dxf_bytes(sheet, "2026-03-01").decode().split("\n")
    for name in ("$TDCREATE", "$TDUPDATE"):
        found = calendardate(float(rows[rows.index(name) + 2]))
        assert found.isoformat() == "2026-03-01T00:00:00"


def test_the_clock_is_left_as_it_was(sheet):
    before = ezdxf.options.write_fixed_meta_data_for_testing
    dxf_bytes(sheet)
    assert ezdxf.options.write_fixed_meta_data_for_testing == before


def test_the_hash_seed_changes_no_byte(tmp_path):
    """A seed may chance upon the same order as another: ten do not."""
    script = tmp_path / "write.py"
    script.write_text(
        "import hashlib\n"
        "from ringwright.backends.drawing import Drawing, Group, Stroke, circle, lettering\n"
        "from ringwright.backends.dxf import dxf_bytes\n"
        "from ringwright.geometry.path import line\n"
        "items = tuple(Stroke(n, line([(i, 2), (50, 60), (9, 9)]), 0.35) for i, n in enumerate(('cut', 'mark')))\n"
        "items += (lettering('text', (5, 5), 'ø 12', 5.0, 30.0), Stroke('mark', circle((9, 9), 1), 0.18, filled=True))\n"
        "drawing = Drawing(100, 80, 'A', 'b', (Group('part-a', 'a', 'b', items),))\n"
        "print(hashlib.sha256(dxf_bytes(drawing)).hexdigest())\n",
        encoding="utf-8",
    )
    found = set()
    for seed in range(10):
        surroundings = {
            **os.environ,
            "PYTHONHASHSEED": str(seed),
            "TZ": ("UTC", "Pacific/Kiritimati")[seed % 2],
        }
        run = subprocess.run(
            [sys.executable, str(script)], env=surroundings, capture_output=True, text=True, check=True
        )
        found.add(run.stdout)
    assert len(found) == 1


def test_the_same_bytes_twice(sheet):
    assert hashlib.sha256(dxf_bytes(sheet)).digest() == hashlib.sha256(dxf_bytes(sheet)).digest()
