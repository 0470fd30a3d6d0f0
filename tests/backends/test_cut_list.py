"""The cut list: cells to the byte, none that a spreadsheet would run, a table that fits the terminal."""

import csv
import io
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from ringwright.backends.cut_list import COLUMNS, columns_of, cut_list_csv, cut_list_table
from ringwright.backends.record import BuildRecord, Model
from ringwright.geometry.part import Cutting, MassProperties, Part, Placed, Sheet, Stock
from ringwright.geometry.path import closed

BOARD = Stock("board", "", "foamboard", 4.8, 762.0, 508.0, "none", 6e-4, 0.2, 1e-4, "peeled", 1.0, 25.0)


def a_part(id: str, **changes: Any) -> Part:
    part = Part(
        id=id, name=id, component=id, hand="", stock=BOARD, quantity=1,
        outline=closed([(0.0, 0.0), (212.4, 0.0), (212.4, 61.0), (0.0, 61.0)]), holes=(), far=(), scores=(),
        peels=(), marks=(), centres=(), notes=(), edges=(), grain="free", placement=None,
        properties=MassProperties(12956.4, 7.774, 546.8, None),
    )  # fmt: skip
    return part._replace(**changes)


def a_record(*parts: Part, unit: str = "mm", sheets: tuple[Sheet, ...] = ()) -> BuildRecord:
    return BuildRecord(
        "0.1.0", Model("heron", "", "", 1.0, unit), (), (), (), parts, sheets, Cutting(8.0, 4.0, 0.0), ()
    )


def on_sheets(*indexes: int, part: str) -> tuple[Sheet, ...]:
    return tuple(
        Sheet(BOARD, index, (Placed(part, copy, 0.0, 0.0, 0.0),), 0.1)
        for copy, index in enumerate(indexes, start=1)
    )


def test_csv_to_the_byte() -> None:
    sheets = on_sheets(2, 1, part="lip")
    light = a_part(
        "cap", properties=MassProperties(100.0, None, 40.0, None), hand="left", notes=('say "a", b',)
    )
    assert cut_list_csv(a_record(a_part("lip", quantity=2), light, sheets=sheets)) == (
        "part,label,hand,stock,quantity,width_mm,height_mm,area_cm2,cut_length_mm,mass_g,sheets\n"
        'cap,"cap LEFT · say ""a"", b",left,board,1,212.40,61.00,1.00,40.0,,\n'
        "lip,lip,,board,2,212.40,61.00,129.56,546.8,7.77,board-1 board-2\n"
    )


@pytest.mark.parametrize(
    "name", ["=1+1", "-5 mm", "@x", "+a", "\tx", "\rx", "\nx", " =1+1", "＝1", '=HYPERLINK("x","y")']
)
def test_no_cell_is_a_formula(name: str) -> None:
    _, row = csv.reader(io.StringIO(cut_list_csv(a_record(a_part(name))), newline=""))
    assert row[:2] == ["'" + name, "'" + name]


@pytest.mark.parametrize("name", ["a=1", "a-b", "'x", "plate", "x@y"])
def test_plain_cells_stay_as_they_are(name: str) -> None:
    _, row = csv.reader(io.StringIO(cut_list_csv(a_record(a_part(name))), newline=""))
    assert row[0] == name


@given(st.floats(-1e5, 1e5))
def test_numbers_stay_numbers(area: float) -> None:
    """Even one below 0, which no part has, is written as a number and not as a text."""
    part = a_part("a", properties=MassProperties(area, 1.0, 1.0, None))
    row = dict(zip(COLUMNS, cut_list_csv(a_record(part)).splitlines()[1].split(","), strict=True))
    assert float(row["area_cm2"]) == pytest.approx(area / 100, abs=0.005 + 1e-9)


def test_table() -> None:
    sheets = on_sheets(1, 2, 3, 5, part="cowl.mid")
    table = cut_list_table(a_record(a_part("cowl.mid", quantity=4), a_part("cap"), sheets=sheets), 80)
    assert table == (
        "part      copies  stock  width mm  height mm  sheets  mass g\n"
        "cap            1  board     212.4       61.0             7.8\n"
        "cowl.mid       4  board     212.4       61.0  1–3, 5     7.8\n"
        "5 pieces on 4 sheets, 38.9 g\n"
    )


def test_table_fits_with_a_long_name_of_stock() -> None:
    stock = BOARD._replace(name="shop.board_from_the_end_of_the_roll")
    lines = cut_list_table(a_record(a_part("fuselage.cowl.middle.1", stock=stock)), 50).splitlines()
    assert max(map(columns_of, lines)) <= 50
    assert lines[1].split()[2].endswith("roll")


def test_table_in_inches() -> None:
    lines = cut_list_table(a_record(a_part("cap"), unit="in"), 80).splitlines()
    assert lines[0].split() == [
        "part",
        "copies",
        "stock",
        "width",
        "in",
        "height",
        "in",
        "sheets",
        "mass",
        "g",
    ]
    assert lines[1].split()[3:5] == ["8.36", "2.40"]  # 212.4 / 25.4 and 61 / 25.4


def test_table_without_parts() -> None:
    assert cut_list_table(a_record(), 80).splitlines()[-1] == "0 pieces on 0 sheets"


def test_narrow_table_drops_mass_then_sheets_then_cuts_ids_at_their_beginning() -> None:
    record = a_record(a_part("fuselage.cowl.middle.1"), a_part("fuselage.cowl.middle.2"))
    full, no_mass, no_sheets, short = (
        cut_list_table(record, width).splitlines() for width in (80, 66, 60, 50)
    )
    assert "mass g" in full[0]
    assert "mass g" not in no_mass[0]
    assert "sheets" in no_mass[0]
    assert "sheets" not in no_sheets[0]
    assert [line.split()[0] for line in short[1:3]] == ["…cowl.middle.1", "…cowl.middle.2"]


@given(
    st.lists(st.text("abcø全角é\u0301.", min_size=1, max_size=120), max_size=6),
    st.integers(45, 100),
    st.lists(st.integers(1, 60), max_size=40),
)
def test_table_fits_and_stands_in_columns(names: list[str], width: int, indexes: list[int]) -> None:
    parts = [a_part(name) for name in names]
    sheets = on_sheets(*sorted(set(indexes)), part=names[0]) if names else ()
    *lines, _ = cut_list_table(a_record(*parts, sheets=sheets), width).splitlines()
    assert len(lines) == len(names) + 1
    assert max(map(columns_of, lines)) <= width
    ends = {columns_of(line.partition(" 212.4")[0]) for line in lines[1:]}
    assert len(ends) <= 1


def test_columns_of_a_text() -> None:
    assert columns_of("abc") == 3
    assert columns_of("全角") == 4
    assert columns_of("e\u0301ø") == 2
    assert columns_of("a\u200bb") == 2
