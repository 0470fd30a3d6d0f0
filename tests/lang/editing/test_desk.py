"""Texts on the desk: an edit leaves what a fresh start on the same text would find."""

import gc
import os
import tracemalloc
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from ringwright.lang.commands.common import Spec
from ringwright.lang.components.project import reader
from ringwright.lang.editing.colours import colours
from ringwright.lang.editing.complete import completions
from ringwright.lang.editing.desk import Desk
from ringwright.lang.editing.hover import hover
from ringwright.lang.editing.inlays import inlays
from ringwright.lang.editing.text import Position, text_of
from ringwright.lang.pipeline import compile_spec

HERON = Path(__file__).parents[3] / "specs" / "marsh-heron"
STOCK = "stock board { kind = foamboard, thickness = 4.8 mm, sheet = 762 mm by 508 mm, mass = 410 g/m2 }\n"
SPEC = """\
use "stock.wright"
model t { title = "T" }
station F1 { x = 0 mm }
let wide = 2 * 30 mm
stack cowl {
    from = F1
    overall = 60 mm, runs = aft
    stock = board
    barrel drum { diameter = 106 ± 0.5 mm, length = auto }
    cone lip { end = 74 mm, length = 20 mm }
}
panel q { outline = rect(wide, 20 mm), stock = board }
require cowl.drum.length > 10 mm
"""
PIECES = [
    "",
    " ",
    "\n",
    "{",
    "}",
    '"',
    "#",
    "(",
    "]",
    "4",
    "mm",
    " = 3 mm",
    "lenght",
    "𝄞",
    "\t",
    ", ",
    "auto",
    "\r\n",
]


@st.composite
def edit_sequences(draw: st.DrawFn) -> list[tuple[Position, Position, str]]:
    found = []
    for _ in range(draw(st.integers(1, 6))):
        line, column = draw(st.integers(0, 14)), draw(st.integers(0, 40))
        down, across = draw(st.sampled_from(((0, 0), (0, 0), (0, 1), (0, 5), (1, 0)))), 0
        end = Position(line + down[0], (column if not down[0] else across) + down[1])
        found.append((Position(line, column), end, draw(st.sampled_from(PIECES))))
    return found


@given(edit_sequences())
def test_edits_leave_what_a_fresh_start_finds(
    tmp_path_factory: pytest.TempPathFactory, edits: list[tuple[Position, Position, str]]
) -> None:
    folder = tmp_path_factory.getbasetemp() / "desk"
    folder.mkdir(exist_ok=True)
    (folder / "stock.wright").write_text(STOCK, "utf-8")
    path = folder.resolve() / "t.wright"
    path.write_text(SPEC, "utf-8")
    desk = Desk()
    desk.put(path, text_of(SPEC))
    desk.analysis(path)
    for start, end, new in edits:
        desk.put(path, desk.texts[path].edited(start, end, new))
        found = desk.analysis(path)
        assert found is not None
        for offset in (0, len(desk.texts[path].text) // 2):
            hover(desk, path, offset)
            completions(desk, path, offset)
        inlays(found, "t.wright", 0, 10**6)
        colours(found, "t.wright", desk.texts[path].text)
    text = desk.texts[path].text
    fresh = Desk()
    fresh.put(path, text_of(text))
    one, other = desk.analysis(path), fresh.analysis(path)
    assert one is not None
    assert other is not None
    assert one.findings == other.findings
    assert one.compiled.project.files == other.compiled.project.files
    assert (one.compiled.design is None) == (other.compiled.design is None)
    if one.compiled.design is not None and other.compiled.design is not None:
        assert one.compiled.design.values == other.compiled.design.values
        assert one.compiled.design.parts == other.compiled.design.parts
    # What the desk finds is what `check` does.
    path.write_bytes(text.encode("utf-8"))
    spec = Spec(folder, "t.wright")
    assert compile_spec(spec.name, reader(folder)).findings == one.compiled.findings


def test_memory_stays_flat_over_many_edits(tmp_path: Path) -> None:
    (tmp_path / "stock.wright").write_text(STOCK, "utf-8")
    path = tmp_path.resolve() / "t.wright"
    desk = Desk()

    def edits(first: int, count: int) -> None:
        for number in range(first, first + count):
            desk.put(path, text_of(SPEC.replace("74 mm", f"{70 + number % 8}.{number} mm")))
            desk.analysis(path)

    edits(0, 400)
    gc.collect()
    tracemalloc.start()
    edits(400, 30)
    gc.collect()
    before = tracemalloc.get_traced_memory()[0]
    edits(430, 120)
    gc.collect()
    after = tracemalloc.get_traced_memory()[0]
    tracemalloc.stop()
    # What is remembered of geometry grows to its limit; a whole analysis kept for each edit would be many times this.
    assert after - before < 120 * 20_000


def test_a_used_file_is_compiled_with_the_spec_that_uses_it(tmp_path: Path) -> None:
    (tmp_path / "t.wright").write_text(SPEC, "utf-8")
    stock = tmp_path.resolve() / "stock.wright"
    stock.write_text(STOCK, "utf-8")
    desk = Desk()
    desk.put(stock, text_of(STOCK.replace("4.8 mm", "4.8 mm mm")))
    analysis = desk.analysis(stock)
    assert analysis is not None
    assert analysis.main == "t.wright"
    assert {finding.span.source for finding in analysis.findings if finding.span} == {"stock.wright"}
    desk.put(stock, text_of(STOCK.replace("4.8 mm", "6 mm")))
    analysis = desk.analysis(stock)
    assert analysis is not None
    assert analysis.compiled.design is not None
    assert analysis.compiled.design.values["board.thickness"] == 6.0


def test_a_file_of_stocks_alone_is_not_told_that_it_has_no_model(tmp_path: Path) -> None:
    path = tmp_path.resolve() / "stock.wright"
    desk = Desk()
    desk.put(path, text_of(STOCK))
    analysis = desk.analysis(path)
    assert analysis is not None
    assert desk.findings(analysis) == ()


def test_an_edit_of_one_spec_leaves_another_as_it_was(tmp_path: Path) -> None:
    paths = [tmp_path.resolve() / name / "t.wright" for name in ("a", "b")]
    desk = Desk()
    for path in paths:
        path.parent.mkdir()
        (path.parent / "stock.wright").write_text(STOCK, "utf-8")
        desk.put(path, text_of(SPEC))
    first = desk.analyses()
    desk.put(paths[0], text_of(SPEC.replace("74 mm", "73 mm")))
    second = desk.analyses()
    assert second[0] is not first[0]
    assert second[1] is first[1]


@pytest.mark.parametrize("unit", ["utf-8", "utf-16", "utf-32"])
@given(text=st.text(alphabet="ab\n\r𝄞é\t", max_size=30), data=st.data())
def test_places_and_offsets_are_each_others_inverse(unit: str, text: str, data: st.DataObject) -> None:
    lines = text_of(text, unit)
    offset = data.draw(st.integers(0, len(text)))
    inside_a_line_end = text[offset - 1 : offset + 1] == "\r\n"
    if not inside_a_line_end:
        assert lines.offset(lines.position(offset)) == offset
    encoding = {"utf-8": "utf-8", "utf-16": "utf-16-le", "utf-32": "utf-32-le"}[unit]
    size = {"utf-8": 1, "utf-16": 2, "utf-32": 4}[unit]
    place = lines.position(offset)
    assert place.column == len(text[lines.starts[place.line] : offset].encode(encoding)) // size


def test_a_tab_is_one_unit_and_a_place_past_a_lines_end_is_its_end() -> None:
    text = text_of("\ta 𝄞b\r\ncd")
    assert text.position(3) == Position(0, 3)
    assert text.position(4) == Position(0, 5)
    assert text.offset(Position(0, 99)) == 5
    assert text.offset(Position(7, 0)) == len(text.text)


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no pipes here")
def test_a_pipe_in_a_files_place_keeps_nobody_waiting(tmp_path):
    os.mkfifo(tmp_path / "stock.wright")
    (tmp_path / "other.wright").write_text('use "stock.wright"\nmodel t { title = "T" }\n', "utf-8")
    desk = Desk()
    assert desk.text_at(tmp_path / "stock.wright") is None
    desk.put(tmp_path / "parts.wright", text_of(STOCK))
    assert desk.spec_of(tmp_path / "parts.wright") == tmp_path / "parts.wright"
