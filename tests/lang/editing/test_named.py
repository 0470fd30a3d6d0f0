"""Names across recipes, stations, tables and files: found where they are named, and renamed together."""

from pathlib import Path

import pytest
from ringwright.lang.editing.complete import completions
from ringwright.lang.editing.desk import Desk
from ringwright.lang.editing.named import NotRenamed, definition, references, renamed
from ringwright.lang.editing.text import applied, text_of

SHOP = """\
stock board { kind = foamboard, thickness = 4.8 mm, sheet = 762 mm by 508 mm, mass = 410 g/m2 }
recipe rib(chord, depth = 8 mm) {
    panel p { outline = rect(chord, depth), stock = board }
}
"""
SPEC = """\
use "shop.wright" as shop
model named { title = "Named" }
station F1 { x = 0 mm }
station F2 { x = 100 mm }
let wide = 60 mm
former F2 { outline = rect(wide, 40 mm), stock = shop.board }
make shop.rib r1 { chord = wide + 20 mm }
stack cowl {
    from = F1
    to = F2 - 40 mm
    stock = shop.board
    barrel drum { diameter = wide }
}
require cowl.drum.length > 10 mm
require r1.area > 1 mm2
"""


@pytest.fixture
def desk(tmp_path: Path) -> tuple[Desk, Path, Path]:
    spec, shop = (tmp_path.resolve() / name for name in ("t.wright", "shop.wright"))
    shop.write_text(SHOP, "utf-8")
    spec.write_text(SPEC, "utf-8")
    found = Desk()
    found.put(spec, text_of(SPEC))
    analysis = found.analysis(spec)
    assert analysis is not None
    assert not analysis.compiled.failed, analysis.findings
    return found, spec, shop


def word(place: object, texts: dict[Path, str]) -> str:
    path, start, end = place
    return texts[path][start:end]


@pytest.mark.parametrize(
    ("words", "into", "file", "at"),
    [
        ("wide, 40", 1, "t", "wide = 60"),
        ("shop.board", 6, "shop", "board {"),
        ("shop.board", 1, "t", "shop\nmodel"),
        ("shop.rib", 6, "shop", "rib("),
        ("chord = wide", 1, "shop", "chord,"),
        ("to = F2", 5, "t", "F2 { x"),
        ("cowl.drum", 6, "t", "drum {"),
        ("r1.area", 1, "t", "r1 {"),
    ],
)
def test_where_it_is_named(desk: tuple[Desk, Path, Path], words: str, into: int, file: str, at: str) -> None:
    found, spec, shop = desk
    place = definition(found, spec, SPEC.index(words) + into)
    wanted, text = (spec, SPEC) if file == "t" else (shop, SHOP)
    assert place is not None
    assert (place.path, place.start) == (wanted, text.index(at))


@pytest.mark.parametrize(
    ("words", "into", "name", "count"),
    [
        ("wide = 60", 1, "broad", 4),
        ("shop.board", 6, "white", 4),
        ("shop.board", 1, "bench", 4),
        ("shop.rib", 6, "slat", 2),
        ("chord = wide", 1, "span", 3),
        ("station F2", 9, "F3", 3),
        ("former F2", 8, "F3", 3),
        ("drum {", 1, "hoop", 2),
        ("r1 {", 1, "r2", 2),
    ],
)
def test_renamed_everywhere_and_nothing_else_changes(
    desk: tuple[Desk, Path, Path], words: str, into: int, name: str, count: int
) -> None:
    found, spec, shop = desk
    before = found.analysis(spec)
    edits = renamed(found, spec, SPEC.index(words) + into, name)
    assert sum(map(len, edits.values())) == count
    texts = {spec: SPEC, shop: SHOP}
    after = Desk()
    for path, text in texts.items():
        after.put(path, text_of(applied(text, list(edits.get(path, [])))))
    analysis = after.analysis(spec)
    assert analysis is not None
    assert before is not None
    assert analysis.compiled.design is not None
    assert before.compiled.design is not None
    assert not analysis.compiled.failed
    assert sorted(analysis.compiled.design.values.values()) == sorted(before.compiled.design.values.values())


@pytest.mark.parametrize("name", ["F1", "cowl", "mm", "let", "1x", "", "a.b"])
def test_a_name_that_is_taken_or_none_is_refused(desk: tuple[Desk, Path, Path], name: str) -> None:
    found, spec, _ = desk
    with pytest.raises(NotRenamed):
        renamed(found, spec, SPEC.index("former F2") + 8, name)


def test_a_name_that_another_use_would_catch_is_refused(desk: tuple[Desk, Path, Path]) -> None:
    found, spec, _ = desk
    text = SPEC.replace(
        "barrel drum { diameter = wide }", "let inner = 50 mm\n    barrel drum { diameter = wide }"
    )
    found.put(spec, text_of(text))
    with pytest.raises(NotRenamed):
        renamed(found, spec, text.index("wide = 60"), "inner")


def test_mentions_in_a_file_are_found_from_that_file(desk: tuple[Desk, Path, Path]) -> None:
    found, _, shop = desk
    places = references(found, shop, SHOP.index("board {"))
    assert [place.path.name for place in places] == ["shop.wright", "shop.wright", "t.wright", "t.wright"]


@pytest.mark.parametrize(
    ("written", "wanted"),
    [
        ("require shop.|", "board"),
        ("make |", "shop.rib"),
        ("panel x { stock = |", "shop.board"),
        ("make shop.rib r2 { |", "chord"),
        ("former |", "F1"),
        ("panel x { outline = circle(30 |", "mm"),
        ("stack y { from = |", "F1"),
        ("panel x { view = |", "side"),
        ("require wi|", "wide"),
        ("panel x { accept |", "mixed-marks"),
    ],
)
def test_what_fits_is_offered(desk: tuple[Desk, Path, Path], written: str, wanted: str) -> None:
    found, spec, _ = desk
    text = SPEC + written
    found.put(spec, text_of(text.replace("|", "")))
    offers = [offer.label for offer in completions(found, spec, text.index("|"))]
    assert wanted in offers, offers
