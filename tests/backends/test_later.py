"""Modules put off while a library is imported: they are real as soon as anyone asks."""

import subprocess
import sys

import pytest
from ringwright.backends.later import put_off

SVG = """
from ringwright.backends.drawing import Drawing
from ringwright.backends.svg import svg_text
svg_text(Drawing(10.0, 10.0, "a", "b", ()))
import sys
"""
PDF = """
from ringwright.backends.drawing import Drawing
from ringwright.backends.pdf import pdf_bytes
pdf_bytes((Drawing(10.0, 10.0, "a", "b", ()),), "a", "")
import sys
"""


def run(code: str) -> str:
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    return done.stdout.strip()


def test_svg_leaves_the_network_alone():
    assert (
        run(SVG + "print([m for m in ('ssl', 'http.client', 'urllib.request') if m in sys.modules])") == "[]"
    )


def test_pdf_leaves_pictures_alone():
    assert run(PDF + "print([m for m in ('PIL.Image', 'PIL.ExifTags') if m in sys.modules])") == "[]"


def test_svgwrite_still_opens_what_it_is_asked_to_and_checks_where_checks_are_on():
    said = run(
        SVG
        + "import svgwrite, svgwrite.container, urllib.request\n"
        + "print(svgwrite.container.urlopen('data:text/plain,heron').read().decode(), end=' ')\n"
        + "print(svgwrite.container.urlopen is not urllib.request.urlopen, end=' ')\n"
        + "svgwrite.Drawing(debug=True).g(transform='rotate(1)')\n"
        + "try:\n    svgwrite.Drawing(debug=True).g(transform='no(1)')\n"
        + "except TypeError:\n    print('checked', end=' ')\n"
        + "print(urllib.request.Request('https://localhost').type)"
    )
    assert said == "heron True checked https"


def test_reportlab_still_has_its_pictures():
    said = run(
        PDF
        + "import reportlab.lib.utils as u, PIL.Image\n"
        + "picture = PIL.Image.new('RGB', (2, 3))\n"
        + "print(u._isPILImage(picture), u.ImageReader(picture).getSize())"
    )
    assert said == "True (2, 3)"


@pytest.fixture
def absent(monkeypatch):
    for name in ("colorsys", "this_is_no_module"):
        monkeypatch.delitem(sys.modules, name, raising=False)


@pytest.mark.usefixtures("absent")
def test_only_what_is_asked_for_loads():
    with put_off({"colorsys": ("rgb_to_hls",)}):
        import colorsys as stand_in
        from colorsys import rgb_to_hls

        stand_in_is_there = sys.modules["colorsys"] is stand_in
    assert stand_in_is_there
    assert "colorsys" not in sys.modules
    assert rgb_to_hls(1.0, 1.0, 1.0) == (0.0, 1.0, 0.0)
    real = sys.modules["colorsys"]
    assert real is not stand_in
    assert stand_in.rgb_to_yiq is real.rgb_to_yiq
    with pytest.raises(AttributeError):
        _ = stand_in.no_such_thing


@pytest.mark.usefixtures("absent")
def test_asking_for_more_loads_at_once():
    with put_off({"colorsys": ()}):
        from colorsys import rgb_to_hsv
    assert rgb_to_hsv is sys.modules["colorsys"].rgb_to_hsv


@pytest.mark.usefixtures("absent")
def test_a_module_that_is_there_is_left_alone_and_one_that_is_not_is_missed():
    with put_off({"json": ()}):
        import json
    assert json is sys.modules["json"]
    assert json.dumps(1) == "1"
    with put_off({"this_is_no_module": ("call",)}):
        call = sys.modules["this_is_no_module"].call
    with pytest.raises(ModuleNotFoundError):
        call()
