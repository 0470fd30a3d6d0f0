"""The optional packing library: its layout is kept where it is better and sound, and only then."""

import sys
from types import SimpleNamespace
from typing import Any

import pytest
from ringwright.geometry.nest import nest as nesting
from ringwright.geometry.nest import packed
from ringwright.geometry.nest.bed import FIXED
from ringwright.geometry.nest.board import lay, settled
from ringwright.geometry.nest.fill import fill
from ringwright.geometry.nest.nest import nest
from ringwright.geometry.nest.packed import repacked
from ringwright.geometry.nest.ready import prepare
from ringwright.geometry.nest.search import score
from ringwright.geometry.nest.verify import verify
from ringwright.geometry.part import Cutting, MassProperties, Part, Stock
from ringwright.geometry.path import canonical, closed

CUTTING = Cutting(margin=5.0, gap=2.0, kerf=0.0)
BOARD = Stock("board", "board", "balsa", 5.0, 200.0, 150.0, "along_width", None, 0.0, None, "plain", 0.5, 0.0)
RIB = Part(
    "rib", "rib", "wing", "", BOARD, 4, closed([(0.0, 0.0), (60.0, 0.0), (60.0, 20.0), (0.0, 20.0)]),
    (), (), (), (), (), (), (), (), "along", None, MassProperties(0.0, None, 0.0, None),
)  # fmt: skip
WEDGE = RIB._replace(
    id="wedge", outline=canonical(closed([(3.0, 1.0), (60.0, 1.0), (3.0, 45.0)])), quantity=5
)


def boards_with_room() -> tuple[Any, Any]:
    """Ribs and wedges on one sheet, far up."""
    bench = prepare(BOARD, [RIB, WEDGE], CUTTING, {})
    (board,) = fill(bench)
    high = board._replace(pieces=())
    for piece in board.pieces:
        high = lay(high, piece.key, piece.pose, piece.x, piece.y + 20.0)
    return bench, (high,)


def placed(item: str, x: float, y: float) -> SimpleNamespace:
    return SimpleNamespace(id=item, rotation=-90.0, translation=(x, y))


def library(monkeypatch: pytest.MonkeyPatch, places: list[SimpleNamespace]) -> list[Any]:
    """A stand-in for the library that gives a layout made by hand; what it was asked is in the list."""
    asked: list[Any] = []

    class Instance:
        def __init__(self, name: str, strip_height: float, items: list[Any]) -> None:
            asked.append((strip_height, items))

        def solve(self, config: object) -> SimpleNamespace:
            return SimpleNamespace(placed_items=places)

    module = SimpleNamespace(
        Item=lambda *values: values, StripPackingInstance=Instance, StripPackingConfig=lambda **values: values
    )
    monkeypatch.setitem(sys.modules, "spyrrow", module)
    return asked


def test_without_the_library_nothing_changes(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "spyrrow", None)
    bench, boards = boards_with_room()
    assert repacked(bench, boards) is boards


def test_its_strip_stands_up_on_our_sheet(monkeypatch: pytest.MonkeyPatch) -> None:
    bench = prepare(BOARD, [RIB], CUTTING, {})
    (board,) = fill(bench)
    grown = 1.015
    # Lying: each turned by -90 degrees about its corner, so that it hangs below it; stacked along the strip.
    places = [placed("rib", grown + 23.0 * number, board.grid.width - grown) for number in range(4)]
    asked = library(monkeypatch, places)
    high = settled(
        lay(board._replace(pieces=board.pieces[:3]), 3, board.pieces[3].pose, 50.0, 120.0), 3
    )._replace()
    (found,) = repacked(bench, (high,))
    ((width, (item,)),) = asked
    assert width == board.grid.width
    assert (item[0], item[2], item[3]) == ("rib", 4, [270.0])
    assert score(bench, (found,)) < score(bench, (high,))
    tops = sorted(round(piece.y / 22.03) for piece in found.pieces)
    assert tops == [0, 1, 2, 3]
    assert {piece.x for piece in found.pieces} == {0.0}


def test_what_is_no_better_or_lacks_a_piece_is_not_taken(monkeypatch: pytest.MonkeyPatch) -> None:
    bench = prepare(BOARD, [RIB], CUTTING, {})
    boards = fill(bench)
    library(monkeypatch, [placed("rib", 1.015 + 30.0 * number, 100.0) for number in range(4)])
    assert repacked(bench, boards) is boards
    library(monkeypatch, [placed("rib", 1.015, 100.0)])
    assert repacked(bench, boards) is boards


def test_a_layout_of_it_that_is_not_sound_is_not_taken(monkeypatch: pytest.MonkeyPatch) -> None:
    library(monkeypatch, [placed("rib", 1.015 + 0.001 * number, 190.0) for number in range(4)])
    monkeypatch.setattr(nesting, "EFFORTS", {"thorough": 3_000})
    sheets = nest([RIB], CUTTING, "thorough")
    assert verify(sheets, [RIB], CUTTING) == ()


def test_the_library_itself(monkeypatch: pytest.MonkeyPatch) -> None:
    pytest.importorskip("spyrrow", reason="an extra, `pack`")
    monkeypatch.setattr(packed, "SECONDS", 2)
    bench, boards = boards_with_room()
    found = repacked(bench, boards)
    assert score(bench, found) < score(bench, boards)
    assert sorted(piece.key for piece in found[0].pieces) == list(range(9))
    assert all(piece.key != FIXED for piece in found[0].pieces)
    monkeypatch.setattr(nesting, "EFFORTS", {"thorough": 3_000})
    sheets = nest([RIB, WEDGE], CUTTING, "thorough")
    assert verify(sheets, [RIB, WEDGE], CUTTING) == ()
