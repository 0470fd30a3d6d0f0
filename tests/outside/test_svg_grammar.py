"""Every SVG that is written, against the grammar of its standard, by a general parser (lark) that knows nothing of ours.

Path data: SVG 1.1 (second edition), 8.3.9, the grammar for path data; transforms: 7.6; lengths and lists: 4.2, 11.4. What
elements and attributes there are is from the same standard's element index, as far as these files use it.
"""

from pathlib import Path

import pytest
from lark import Lark
from lxml import etree
from ringwright.backends.files import build_files
from ringwright.geometry.nest.nest import nest
from ringwright.lang.commands.record import record_of
from ringwright.lang.components.project import reader
from ringwright.lang.pipeline import compile_spec

SPECS = Path(__file__).parents[2] / "specs"
GALLERY = [path for path in sorted(SPECS.rglob("*.wright")) if "\nmodel " in path.read_text("utf-8")]
SVG = "{http://www.w3.org/2000/svg}"

GRAMMAR = r"""
    svg_path: _WSP* moveto (_WSP* drawto)* _WSP*
    moveto: ("M"|"m") _WSP* pairs
    drawto: ("Z"|"z") | ("L"|"l"|"M"|"m"|"T"|"t") _WSP* pairs | ("H"|"h"|"V"|"v") _WSP* numbers
          | ("C"|"c"|"S"|"s"|"Q"|"q") _WSP* pairs | ("A"|"a") _WSP* arc (_CW? arc)*
    pairs: pair (_CW? pair)*
    pair: NUMBER _CW? NUMBER
    numbers: NUMBER (_CW? NUMBER)*
    arc: NUMBER _CW? NUMBER _CW? NUMBER _CW FLAG _CW? FLAG _CW? pair
    transforms: transform (_CW transform)*
    transform: "rotate" _WSP* "(" _WSP* NUMBER (_CW NUMBER _CW NUMBER)? _WSP* ")"
             | "translate" _WSP* "(" _WSP* NUMBER (_CW NUMBER)? _WSP* ")"
    length: NUMBER ("em"|"ex"|"px"|"in"|"cm"|"mm"|"pt"|"pc"|"%")?
    lengths: length (_CW length)*
    paint: "none" | "black" | "currentColor" | /#[0-9a-fA-F]{6}/
    NUMBER: /[+-]?([0-9]*\.[0-9]+|[0-9]+\.?)([eE][+-]?[0-9]+)?/
    FLAG: /[01]/
    _WSP: /[\x20\x09\x0D\x0A]/
    _CW: /[\x20\x09\x0D\x0A]+,?[\x20\x09\x0D\x0A]*|,[\x20\x09\x0D\x0A]*/
"""
STARTS = ("svg_path", "transforms", "length", "lengths", "paint", "numbers")
PARSER = Lark(GRAMMAR, start=list(STARTS), parser="earley", lexer="dynamic")
WRITTEN_AS = {
    "d": "svg_path", "transform": "transforms", "stroke-dasharray": "lengths", "viewBox": "numbers", "fill": "paint",
    "stroke": "paint", "width": "length", "height": "length", "x": "lengths", "y": "lengths", "font-size": "length",
    "stroke-width": "length", "stroke-dashoffset": "length", "textLength": "length",
}  # fmt: skip
WORDS = {
    "text-anchor": {"start", "middle", "end"},
    "lengthAdjust": {"spacing", "spacingAndGlyphs"},
    "baseProfile": {"full"},
    "version": {"1.1"},
}
FREE = {"id", "font-family", "aria-label"}
MAY_HOLD = {
    "svg": {"title", "desc", "defs", "g"},
    "g": {"title", "desc", "g", "path", "text"},
    "path": set(),
    "text": set(),
    "title": set(),
    "desc": set(),
    "defs": set(),
}


@pytest.fixture(scope="module", params=GALLERY, ids=lambda path: path.stem)
def files(request: pytest.FixtureRequest) -> list[bytes]:
    compiled = compile_spec(request.param.name, reader(request.param.parent))
    design = compiled.design
    assert design is not None
    record = record_of(compiled, design, nest(design.parts, design.cutting))
    made = build_files(record, ("svg",), "")
    return [data for name, data in made.items() if name.endswith(".svg")]


def test_every_file_follows_the_grammar(files: list[bytes]) -> None:
    known: set[tuple[str, str]] = set()
    for data in files:
        root = etree.fromstring(data)
        for element in root.iter():
            name = element.tag.removeprefix(SVG)
            assert {child.tag.removeprefix(SVG) for child in element} <= MAY_HOLD[name]
            for attribute, value in element.attrib.items():
                if attribute in WORDS:
                    assert value in WORDS[attribute]
                elif attribute not in FREE:
                    known.add((WRITTEN_AS[attribute], value))
    assert len(known) > 20
    for start, value in _short(known):
        PARSER.parse(value, start=start)


def _short(known: set[tuple[str, str]]) -> list[tuple[str, str]]:
    """All values in full but paths: of two hundred of these, spread over all, the first 200 characters, cut where a
    command begins. The parser is thorough, and slow.
    """
    found = []
    for start, value in sorted(known):
        if start == "svg_path" and len(value) > 200:
            end = max(value.rfind(command, 0, 200) for command in "MLAC")
            found.append((start, value[:end]))
        else:
            found.append((start, value))
    paths = [each for each in found if each[0] == "svg_path"]
    return [each for each in found if each[0] != "svg_path"] + paths[:: max(1, len(paths) // 200)]


@pytest.mark.parametrize(
    ("start", "wrong"),
    [
        ("svg_path", "L1 2"),
        ("svg_path", "M1 2A3 3 0 2 0 4 4"),
        ("svg_path", "M1,,2"),
        ("length", "12 mm"),
        ("paint", "#ff"),
    ],
)
def test_the_parser_refuses_what_the_standard_does(start: str, wrong: str) -> None:
    from lark.exceptions import LarkError

    with pytest.raises(LarkError):
        PARSER.parse(wrong, start=start)
