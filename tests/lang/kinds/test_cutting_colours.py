"""Colours of layers, by which a cutter's software tells operations apart: from the spec into SVG and DXF, not into PDF."""

import io
import re

import ezdxf
import pytest
from ringwright.backends.drawing import LAYERS
from ringwright.backends.files import build_files
from ringwright.geometry.nest.nest import nest
from ringwright.lang.commands.record import record_of
from ringwright.lang.kinds.cutting import LAYERS as SAID
from ringwright.lang.pipeline import compile_spec

WHOLE = """\
model flyer { title = "M" }
stock board { kind = foamboard, thickness = 5 mm, sheet = 700 mm by 500 mm }
"""
SPEC = "panel P { stock = board, outline = rect(90 mm, 40 mm)\nscore s { from = (0 mm, -20 mm), to = (0 mm, 20 mm) } }\n"
COLOURED = SPEC + "cutting { cut = red, score = blue, text = green, info = black }\n"


def files(text):
    compiled = compile_spec("m.wright", lambda _: (WHOLE + text).encode())
    design = compiled.design
    record = record_of(compiled, design, nest(design.parts, design.cutting))
    return build_files(record, ("svg", "dxf", "pdf"), "")


def of(made, ending):
    return next(data.decode("utf-8", "replace") for name, data in made.items() if name.endswith(ending))


def test_every_layer_can_have_one():
    assert set(SAID) == set(LAYERS)


def test_svg_has_them_and_is_else_as_it_was():
    plain, coloured = (of(files(text), ".svg") for text in (SPEC, COLOURED))
    layers = dict(re.findall(r'<g fill="none" id="(\w+)" stroke="([^"]+)"', coloured))
    assert layers["cut"] == "#ff0000"
    assert layers["score"] == "#0000ff"
    assert layers["info"] == "black"
    for colour in ("#ff0000", "#0000ff", "#00ff00"):
        coloured = coloured.replace(colour, "black")
    assert coloured == plain


def test_dxf_has_them():
    document = ezdxf.read(io.StringIO(of(files(COLOURED), ".dxf")))
    found = {layer.dxf.name: layer.dxf.color for layer in document.layers}
    assert (found["cut"], found["score"], found["text"], found["info"]) == (1, 5, 3, 7)


def test_what_is_printed_stays_black():
    assert of(files(SPEC), ".pdf") == of(files(COLOURED), ".pdf")


@pytest.mark.parametrize("colour", ["orange", '"#ff0000"', "3"])
def test_others_are_refused(judged, colour):
    assert judged(SPEC + f"cutting {{ cut = {colour} }}\n").errors == ["unknown-word"]
