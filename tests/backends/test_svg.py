"""SVG files: valid, true arcs, readable by other software, the same bytes each time."""

import math
import re

import pytest
import svgelements
import svgwrite
from hypothesis import given
from hypothesis import strategies as st
from lxml import etree
from ringwright.backends.drawing import Drawing, Group, Stroke, lettering
from ringwright.backends.sheet import sheet_drawing
from ringwright.backends.svg import path_data, svg_text
from ringwright.geometry.path import Path, bounds, length, line

SVG = "{http://www.w3.org/2000/svg}"


def one(*items):
    return Drawing(200.0, 100.0, "A sheet", "", (Group("part-a-1", "a, 1 of 1", "rows", items),))


def tree(text):
    return etree.fromstring(text.encode())


@pytest.fixture(scope="module")
def sheet(bench):
    return svg_text(sheet_drawing(bench, bench.sheets[0], False, ""))


def test_svgwrite_finds_it_valid(bench, sheet, monkeypatch):
    plain = svgwrite.Drawing
    monkeypatch.setattr(svgwrite, "Drawing", lambda **given: plain(**{**given, "debug": True}))
    assert svg_text(sheet_drawing(bench, bench.sheets[0], False, "")) == sheet


def test_the_page_is_in_millimetres(sheet):
    root = tree(sheet)
    assert (root.get("width"), root.get("height")) == ("762mm", "508mm")
    assert root.get("viewBox") == "0 0 762 508"
    assert root.find(f"{SVG}title").text == "Marsh Heron rev B · board 4.8 · sheet 1 of 3"


def test_layers_are_groups_in_the_order_of_work(sheet):
    root = tree(sheet)
    layers = [group.get("id") for group in root.findall(f"{SVG}g")]
    assert layers == ["info", "text", "mark", "peel", "score", "far", "cut"]
    for layer in root.findall(f"{SVG}g"):
        for part in layer.findall(f"{SVG}g"):
            assert part.get("id").startswith(layer.get("id") + "-")
            assert part.find(f"{SVG}title").text


def test_ids_are_unique_xml_names(sheet, make_part, make_record):
    ids = [element.get("id") for element in tree(sheet).iter() if element.get("id")]
    assert len(ids) == len(set(ids))
    assert all(re.fullmatch(r"[A-Za-z_][A-Za-z0-9._-]*", name) for name in ids)


def test_an_outline_is_one_path(sheet, bench):
    cut = next(group for group in tree(sheet).findall(f"{SVG}g") if group.get("id") == "cut")
    parts = {part.id: part for part in bench.parts}
    wanted = sum(1 + len(parts[placed.part].holes) for placed in bench.sheets[0].placements)
    paths = list(cut.iter(f"{SVG}path"))
    assert len(paths) == wanted
    assert all(path.get("d").count("M") == 1 and path.get("d").endswith("Z") for path in paths)


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
    points = tuple(point for point, _ in corners)
    bulges = tuple(bulge for _, bulge in corners)
    path = Path(points, bulges if shut else bulges[:-1], shut)
    read = svgelements.Path(path_data(path, 508.0))
    left, low, right, high = bounds(path)
    x0, y0, x1, y1 = read.bbox()
    assert (x0, 508.0 - y1, x1, 508.0 - y0) == pytest.approx((left, low, right, high), abs=0.01)
    reach = sum(segment.length(error=1e-6) for segment in read)
    assert reach == pytest.approx(length(path), abs=0.05)


def test_circles_lie_where_they_should():
    for x in (100.0004, 100.0005, 333.3333):
        path = Path(((x - 99.9996, 50.0), (x + 99.9996, 50.0)), (1.0, 1.0), True)
        read = svgelements.Path(path_data(path, 200.0))
        assert read.bbox() == pytest.approx(
            (x - 99.9996, 150.0 - 99.9996, x + 99.9996, 150.0 + 99.9996), abs=0.003
        )


def test_text_is_as_high_and_long_as_measured():
    text = lettering("text", (20.0, 30.0), "Hull", 5.0, 90.0, "middle")
    element = next(tree(svg_text(one(text))).iter(f"{SVG}text"))
    assert float(element.get("font-size")) * 1493 / 2048 == pytest.approx(5.0, abs=0.001)
    assert float(element.get("textLength")) == pytest.approx(text.width, abs=0.001)
    assert element.get("transform") == "rotate(-90 20 70)"
    assert (element.get("x"), element.get("y"), element.get("text-anchor")) == ("20", "70", "middle")
    assert "Bitstream Vera Sans" in element.get("font-family")


def test_texts_are_escaped():
    name = 'a<b> & "c" ]]> \''
    drawing = one(lettering("text", (20.0, 30.0), name, 5.0))
    drawing = drawing._replace(title=name, groups=(drawing.groups[0]._replace(title=name),))
    root = tree(svg_text(drawing))
    assert next(root.iter(f"{SVG}text")).text == name
    assert [title.text for title in root.iter(f"{SVG}title")] == [name, name]


@pytest.mark.parametrize("character", ["\x00", "\n", "\x1b", "\x7f", "\x85", "\ud800", "\uffff"])
def test_control_characters_are_refused(character):
    drawing = one(Stroke("cut", line([(0.0, 0.0), (1.0, 1.0)]), 0.35))
    with pytest.raises(ValueError, match=f"U\\+{ord(character):04X}"):
        svg_text(drawing._replace(title=f"a{character}b"))


def test_other_scripts_stay_whole_in_titles():
    drawing = one(lettering("text", (20.0, 30.0), "鷺", 5.0))._replace(title="鷺")
    root = tree(svg_text(drawing))
    assert root.find(f"{SVG}title").text == "鷺"
    assert next(root.iter(f"{SVG}text")).text == "?"


def test_dashes_and_their_start():
    stroke = Stroke("mark", line([(0.0, 0.0), (50.0, 0.0)]), 0.18, (4.32, 0.54), 1.5)
    path = next(tree(svg_text(one(stroke))).iter(f"{SVG}path"))
    assert (path.get("stroke-dasharray"), path.get("stroke-dashoffset")) == ("4.32 0.54", "1.5")
    assert path.get("stroke-width") == "0.18"


def test_a_filled_stroke_is_filled():
    head = Path(((0.0, 0.0), (3.0, 1.0), (3.0, -1.0)), (0.0,) * 3, True)
    path = next(tree(svg_text(one(Stroke("mark", head, 0.18, filled=True)))).iter(f"{SVG}path"))
    assert path.get("fill") == "black"


def test_arcs_turn_the_right_way():
    arc = Path(((10.0, 10.0), (30.0, 10.0)), (math.tan(math.pi / 8),), False)  # a quarter, sagging below
    assert path_data(arc, 100.0) == "M10 90A14.142 14.142 0 0 0 30 90"
    assert svgelements.Path(path_data(arc, 100.0)).bbox()[3] > 90.0
