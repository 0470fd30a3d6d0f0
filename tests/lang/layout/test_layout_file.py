"""The text of a layout file: what was written is read back, one part is one line, and a spoiled line harms no other."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from ringwright.geometry.numbers import rounded
from ringwright.lang.layout.layout_file import (
    EFFORTS,
    Lay,
    Layout,
    NoLayout,
    On,
    layout_text,
    read_layout,
)

names = st.from_regex(r"\A[a-z][A-Za-z0-9_]{0,5}(\.[a-z0-9]{1,3})?\Z")
places = st.floats(-1e4, 1e4).map(lambda value: rounded(value, 6))
sheets = st.one_of(
    st.builds(On, names, st.integers(1, 99), st.just("")), st.builds(On, names, st.just(0), names)
)
lays = st.builds(
    Lay, names, st.integers(1, 20), sheets, places, places, places, st.from_regex(r"\A[0-9a-f]{12}\Z")
)
layouts = st.builds(
    Layout,
    st.sampled_from(EFFORTS),
    st.booleans(),
    st.lists(lays, unique_by=lambda lay: (lay.part, lay.copy)).map(
        lambda found: tuple(sorted(found, key=lambda lay: (lay.part, lay.copy)))
    ),
    st.dictionaries(names, st.just('{"label": "a b", "holes": []}')),
)
ONE = Lay("F2", 1, On("board", 1), 12.5, 8.0, 90.0, "1f3ab2c4d5e6")
TWO = Lay("F3", 1, On("board", 0, "window"), 3.0, 3.0, 0.0, "20c45e07a1bb")


@given(layouts)
def test_what_was_written_is_read_back(layout: Layout) -> None:
    assert read_layout(layout_text(layout).encode()) == (layout, ())


def test_the_text_is_for_people() -> None:
    assert layout_text(Layout("normal", True, (TWO, ONE))).splitlines()[2:] == [
        "layout 1",
        "effort normal stopped",
        "lay F2 1 on board 1 at 12.5 8 turned 90 shape 1f3ab2c4d5e6",
        "lay F3 1 on board offcut window at 3 3 turned 0 shape 20c45e07a1bb",
    ]


def test_one_part_that_moves_is_one_line_that_changes() -> None:
    before = layout_text(Layout(lays=(ONE, TWO))).splitlines()
    after = layout_text(Layout(lays=(ONE._replace(x=99.0), TWO))).splitlines()
    assert sum(a != b for a, b in zip(before, after, strict=True)) == 1


@pytest.mark.parametrize(
    ("line", "why"),
    [
        ("lay F4 1 on board 1 at 12.5 8 turned", "it says nothing that is known"),
        ("lay F4 0 on board 1 at 12.5 8 turned 0 shape aa", "'0' is no number of a copy"),
        ("lay F4 1 on board one at 12.5 8 turned 0 shape aa", "'one' is no number of a sheet"),
        ("lay F4 1 on board at 12.5 8 turned 0 shape aa", "it names no sheet"),
        ("lay F4 1 on board 1 at nan 8 turned 0 shape aa", "'nan' is no place on a sheet"),
        ("lay F4 1 on board 1 at 1e9 8 turned 0 shape aa", "'1e9' is no place on a sheet"),
        ("lay F2 1 on board 2 at 3 8 turned 0 shape aa", "F2 copy 1 is laid by a line above"),
        ("effort heroic", "it says nothing that is known"),
        ("<<<<<<< HEAD", "it says nothing that is known"),
        ("built F2 yes", "what was built of F2 cannot be read"),
    ],
)
def test_a_spoiled_line_is_told_and_harms_no_other(line: str, why: str) -> None:
    whole = layout_text(Layout(lays=(ONE, TWO)))
    found, spoiled = read_layout((whole + line + "\n").encode())
    assert found == Layout(lays=(ONE, TWO))
    assert [(each.line, each.why) for each in spoiled] == [(len(whole.splitlines()) + 1, why)]


@given(st.binary())
def test_whatever_stands_there_is_read_or_refused(data: bytes) -> None:
    try:
        found, _ = read_layout(b"layout 1\n" + data)
    except NoLayout:
        return
    assert read_layout(layout_text(found).encode())[0] == found


@pytest.mark.parametrize(
    ("data", "why"),
    [
        (b"\xff\xfe", "no text"),
        (b"layout 2\n", "version '2'"),
        (b"model heron { }\n", "does not say 'layout 1'"),
    ],
)
def test_what_is_no_layout_file_is_refused(data: bytes, why: str) -> None:
    with pytest.raises(NoLayout, match=why):
        read_layout(data)
