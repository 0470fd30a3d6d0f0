"""Faults planted in a sound layout are found, and nothing else is."""

import math

import pytest
from ringwright.geometry.nest.nest import nest
from ringwright.geometry.nest.verify import verify
from ringwright.geometry.part import Cutting, MassProperties, Part, Placed, Sheet, Stock
from ringwright.geometry.path import Path, as_hole, closed

CUTTING = Cutting(margin=8.0, gap=4.0, kerf=0.0)
BOARD = Stock("board", "board", "balsa", 5.0, 300.0, 200.0, "along_width", None, 0.0, None, "plain", 0.5, 0.0)


def part(
    name: str, outline: Path, holes: tuple[Path, ...] = (), quantity: int = 1, grain: str = "free"
) -> Part:
    return Part(
        name, name, "cowl", "", BOARD, quantity, outline, holes, (), (), (), (), (), (), (), grain, None,
        MassProperties(0.0, None, 0.0, None),
    )  # fmt: skip


def plate(width: float, height: float) -> Path:
    return closed([(0.0, 0.0), (width, 0.0), (width, height), (0.0, height)])


def disc(radius: float) -> Path:
    return Path(((-radius, 0.0), (radius, 0.0)), (1.0, 1.0), True)


PARTS = (
    part("ring", disc(50.0), (as_hole(disc(40.0)),)),
    part("plug", disc(30.0)),
    part("rib", plate(100.0, 20.0), quantity=2, grain="along"),
)


def sheet(*placed: Placed) -> tuple[Sheet, ...]:
    return (Sheet(BOARD, 1, placed, 0.5),)


RING = Placed("ring", 1, 60.0, 60.0, 0.0)
PLUG = Placed("plug", 1, 60.0, 60.0, 90.0)
RIB = Placed("rib", 1, 120.0, 10.0, 0.0)
RIB2 = Placed("rib", 2, 220.0, 60.0, 180.0)
SOUND = (RING, PLUG, RIB, RIB2)


def found(*placed: Placed) -> tuple[str, ...]:
    return verify(sheet(*placed), PARTS, CUTTING)


def test_sound_layouts_have_no_fault() -> None:
    assert found(*SOUND) == ()
    assert verify(nest(PARTS, CUTTING), PARTS, CUTTING) == ()


def test_a_missing_copy() -> None:
    assert found(RING, PLUG, RIB) == ("rib copy 2 is on no sheet",)


def test_a_copy_laid_twice_or_not_asked_for() -> None:
    faults = found(
        *SOUND, RIB2._replace(y=100.0), Placed("rib", 3, 120.0, 120.0, 0.0), Placed("keel", 1, 0.0, 0.0, 0.0)
    )
    assert faults == (
        "keel copy 1 is laid, but not asked for",
        "rib copy 2 is laid twice",
        "rib copy 3 is laid, but not asked for",
    )


def test_an_overlap() -> None:
    assert found(RING, PLUG, RIB._replace(x=105.0, y=50.0), RIB2._replace(y=120.0)) == (
        "ring and rib overlap on sheet 1 of board",
    )


def test_one_part_wholly_on_another() -> None:
    assert found(RING, PLUG, RIB, RIB2._replace(x=220.0, y=30.0)) == (
        "rib and rib copy 2 overlap on sheet 1 of board",
    )


def test_a_short_gap() -> None:
    # The ring's right is at 110, the rib's left so at 113.98: 0.02 mm short.
    assert found(RING, PLUG, RIB._replace(x=113.98, y=50.0), RIB2._replace(y=120.0)) == (
        "ring and rib are 3.98 mm apart where 4 mm are asked on sheet 1 of board",
    )
    assert found(RING, PLUG, RIB._replace(x=113.995, y=50.0), RIB2._replace(y=120.0)) == ()


def test_a_short_gap_in_a_hole() -> None:
    # Hole 40, plug 30: 10 mm all round, 3.9 mm once it is moved by 6.1.
    assert found(RING, PLUG._replace(x=66.1), RIB, RIB2) == (
        "ring and plug are 3.9 mm apart where 4 mm are asked on sheet 1 of board",
    )


@pytest.mark.parametrize(
    ("rib", "words"),
    [
        (RIB._replace(y=7.9), "rib is 7.9 mm from the edge where 8 mm are asked on sheet 1 of board"),
        (RIB._replace(x=192.5), "rib is 7.5 mm from the edge where 8 mm are asked on sheet 1 of board"),
        (RIB._replace(x=203.0), "rib passes the edge by 3 mm where 8 mm are asked on sheet 1 of board"),
    ],
)
def test_out_of_the_margin(rib: Placed, words: str) -> None:
    assert found(RING, PLUG, rib, RIB2._replace(y=120.0)) == (words,)


def test_out_of_the_margin_by_an_arc() -> None:
    assert found(RING._replace(x=57.9), PLUG, RIB, RIB2) == (
        "ring is 7.9 mm from the edge where 8 mm are asked on sheet 1 of board",
    )


@pytest.mark.parametrize(("turn", "y"), [(90.0, 70.0), (45.0, 70.0), (270.0, 180.0)])
def test_against_the_grain(turn: float, y: float) -> None:
    faults = found(RING, PLUG, RIB, Placed("rib", 2, 220.0, y, turn))
    assert faults == (f"rib copy 2 is turned by {turn:g}° against its grain on sheet 1 of board",)


def test_the_wrong_stock() -> None:
    other = Sheet(BOARD._replace(name="ply"), 1, SOUND[:1], 0.5)
    faults = verify((other, *sheet(*SOUND[1:])), PARTS, CUTTING)
    assert faults == ("ring is to be cut from board, but lies on sheet 1 of ply",)


def test_parts_that_touch_are_sound_where_no_gap_is_asked() -> None:
    close = sheet(RING, PLUG, RIB._replace(x=110.0, y=50.0), RIB2._replace(y=120.0))
    assert verify(close, PARTS, Cutting(8.0, 0.0, 0.0)) == ()
    over = sheet(RING, PLUG, RIB._replace(x=109.9, y=50.0), RIB2._replace(y=120.0))
    assert verify(over, PARTS, Cutting(8.0, 0.0, 0.0)) == ("ring and rib overlap on sheet 1 of board",)


def test_a_slanted_part_is_measured_as_it_lies() -> None:
    # A 100 x 20 rib at 30° about its corner is 100 cos 30° + 0 wide to the right and 20 sin 30° to the left.
    slanted = (part("rib", plate(100.0, 20.0)),)
    left = 8.0 + 20.0 * math.sin(math.radians(30.0))
    assert verify(sheet(Placed("rib", 1, left, 8.0, 30.0)), slanted, CUTTING) == ()
    assert len(verify(sheet(Placed("rib", 1, left - 0.02, 8.0, 30.0)), slanted, CUTTING)) == 1
