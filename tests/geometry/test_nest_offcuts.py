"""Offcuts and what lies already: parts keep off edges, holes and damage, and off pieces that do not move."""

import math
import random

import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from ringwright.geometry.errors import GeometryError
from ringwright.geometry.nest.nest import nest
from ringwright.geometry.nest.verify import faults, verify
from ringwright.geometry.part import Cutting, MassProperties, Offcut, Part, Placed, Sheet, Stock
from ringwright.geometry.path import Path, as_hole, canonical, closed, flattened, moved

CUTTING = Cutting(margin=5.0, gap=2.0, kerf=0.0)
BOARD = Stock("board", "board", "foamboard", 5.0, 300.0, 200.0, "none", None, 0.0, None, "plain", 0.5, 0.0)


def part(name: str, outline: Path, quantity: int = 1, together: str = "") -> Part:
    return Part(
        name, name, "cowl", "", BOARD, quantity, outline, (), (), (), (), (), (), (), (), "free", None,
        MassProperties(0.0, None, 0.0, None), together=together,
    )  # fmt: skip


def plate(width: float, height: float) -> Path:
    return closed([(0.0, 0.0), (width, 0.0), (width, height), (0.0, height)])


def disc(radius: float, x: float = 0.0, y: float = 0.0) -> Path:
    return Path(((x - radius, y), (x + radius, y)), (1.0, 1.0), True)


def placed_by_name(sheets: tuple[Sheet, ...]) -> dict[tuple[str, int], tuple[str | int, Placed]]:
    return {
        (placed.part, placed.copy): (sheet.offcut.name if sheet.offcut else sheet.index, placed)
        for sheet in sheets
        for placed in sheet.placements
    }


corners = st.integers(3, 9).flatmap(
    lambda count: st.lists(st.floats(30.0, 120.0), min_size=count, max_size=count)
)


@st.composite
def offcuts(draw: st.DrawFn) -> Offcut:
    """A star-shaped piece, or a plate, with up to two round holes in it."""
    radii = draw(corners)
    turn = 2.0 * math.pi / len(radii)
    points = [(r * math.cos(turn * i), r * math.sin(turn * i)) for i, r in enumerate(radii)]
    outline = canonical(closed(points)) if draw(st.booleans()) else plate(150.0, 100.0)
    places = draw(st.lists(st.tuples(st.floats(0.0, 80.0), st.floats(0.0, 60.0)), max_size=2))
    return Offcut("piece", outline, tuple(as_hole(disc(9.0, x, y)) for x, y in places))


shapes = st.one_of(
    st.builds(plate, st.floats(5.0, 60.0), st.floats(5.0, 60.0)),
    st.builds(disc, st.floats(4.0, 30.0)),
    st.builds(
        lambda a, b: canonical(closed([(0.0, 0.0), (a, 3.0), (a / 2, b)])),
        st.floats(9.0, 80.0),
        st.floats(9.0, 80.0),
    ),
)
sets = st.lists(shapes, min_size=1, max_size=8).map(
    lambda outlines: [part(f"p{index}", outline) for index, outline in enumerate(outlines)]
)


@given(sets, offcuts())
def test_on_an_offcut_parts_keep_margin_and_gap(parts: list[Part], offcut: Offcut) -> None:
    sheets = nest(parts, CUTTING, offcuts={BOARD: [offcut]})
    assert verify(sheets, parts, CUTTING) == ()
    board = shapely.Polygon(flattened(offcut.outline, 0.002))
    for sheet in sheets:
        if sheet.offcut is None:
            assert sheet.index >= 1
            continue
        assert (sheet.offcut, sheet.index) == (offcut, 0)
        for placed in sheet.placements:
            (outline,) = (part.outline for part in parts if part.id == placed.part)
            shape = shapely.affinity.translate(
                shapely.affinity.rotate(shapely.Polygon(flattened(outline, 0.002)), placed.rotation, (0, 0)),
                placed.x,
                placed.y,
            )
            assert shape.within(board)
            assert shape.distance(board.exterior) >= CUTTING.margin - 0.005
            for hole in offcut.holes:
                assert shape.distance(shapely.Polygon(flattened(hole, 0.002))) >= CUTTING.margin - 0.005


def test_what_just_fills_an_offcut_lies_on_it() -> None:
    offcut = Offcut("strip", moved(plate(120.0, 60.0), (7.0, -9.0)))
    sheets = nest([part("rib", plate(110.0, 50.0), 2)], CUTTING, offcuts={BOARD: [offcut]})
    assert placed_by_name(sheets) == {
        ("rib", 1): ("strip", Placed("rib", 1, 12.0, -4.0, 0.0)),
        ("rib", 2): (1, Placed("rib", 2, 5.0, 5.0, 0.0)),
    }
    assert [sheet.used for sheet in sheets] == pytest.approx([5500.0 / 7200.0, 5500.0 / 60000.0])


def test_offcuts_are_filled_in_the_order_given() -> None:
    small, large = Offcut("small", plate(60.0, 60.0)), Offcut("large", plate(100.0, 80.0))
    parts = [part("fin", plate(40.0, 40.0), 2)]
    for order in ((small, large), (large, small)):
        first, *_ = nest(parts, CUTTING, offcuts={BOARD: order})
        assert first.offcut == order[0]


def test_an_offcut_that_its_margin_leaves_nothing_of_is_passed_over() -> None:
    (sheet,) = nest(
        [part("fin", plate(1.0, 1.0))], CUTTING, offcuts={BOARD: [Offcut("thin", plate(9.0, 90.0))]}
    )
    assert sheet.offcut is None


def test_an_offcut_that_crosses_itself_is_refused_by_name() -> None:
    bow = closed([(0.0, 0.0), (100.0, 100.0), (100.0, 0.0), (0.0, 100.0)])
    with pytest.raises(GeometryError, match=r"^offcut bow: the outline crosses itself near") as caught:
        nest([part("fin", plate(9.0, 9.0))], CUTTING, offcuts={BOARD: [Offcut("bow", bow)]})
    assert caught.value.code == "crosses-itself"


@given(sets, sets, st.randoms(use_true_random=False))
def test_adding_parts_and_taking_them_away_moves_no_other(
    parts: list[Part], more: list[Part], dice: random.Random
) -> None:
    more = [one._replace(id=f"q{one.id}") for one in more]
    before = nest(parts, CUTTING)
    both = [*parts, *more]
    dice.shuffle(both)
    after = nest(both, CUTTING, kept=before)
    assert verify(after, both, CUTTING) == ()
    old, new = placed_by_name(before), placed_by_name(after)
    assert {name: new[name] for name in old} == old
    again = nest(more, CUTTING, kept=after)
    assert placed_by_name(again) == {name: place for name, place in new.items() if name not in old}


def test_a_changed_part_alone_moves() -> None:
    parts = [part(f"rib{number}", plate(80.0 + number, 50.0)) for number in range(4)]
    before = nest(parts, CUTTING)
    parts[2] = part("rib2", plate(120.0, 60.0))
    stale = faults(before, parts, CUTTING)
    assert {placed.part for fault in stale for placed in fault.placed} >= {"rib2"}
    kept = [
        sheet._replace(placements=tuple(placed for placed in sheet.placements if placed.part != "rib2"))
        for sheet in before
    ]
    after = nest(parts, CUTTING, kept=kept)
    assert verify(after, parts, CUTTING) == ()
    old, new = placed_by_name(before), placed_by_name(after)
    assert {name for name in old if old[name] != new[name]} == {("rib2", 1)}


def test_an_emptied_sheet_leaves_its_number_to_the_next() -> None:
    parts = [part(name, plate(290.0, 190.0)) for name in "abc"]
    before = nest(parts, CUTTING)
    assert [sheet.index for sheet in before] == [1, 2, 3]
    parts[1] = part("d", plate(280.0, 150.0))
    after = nest(parts, CUTTING, kept=before)
    assert [(sheet.index, sheet.placements[0].part) for sheet in after] == [(1, "a"), (2, "d"), (3, "c")]


def test_what_is_kept_is_kept_where_new_parts_would_not_be_laid() -> None:
    # Askew, over the margin: no concern of the nester, which keeps clear of it.
    kept = Sheet(BOARD, 1, (Placed("fin", 1, -3.0, 1.0, 7.0),), 0.0)
    parts = [part("fin", plate(40.0, 20.0)), part("rib", plate(280.0, 30.0), 4)]
    sheets = nest(parts, CUTTING, kept=[kept])
    assert sheets[0].placements[0] == kept.placements[0]
    assert [fault.placed[0].part for fault in faults(sheets, parts, CUTTING)] == ["fin"]


def test_parts_that_stay_together_share_a_sheet() -> None:
    parts = [
        part("deck", plate(290.0, 100.0), 2),
        part("cheek.left", plate(200.0, 90.0), together="cheeks"),
        part("cheek.right", plate(200.0, 70.0), together="cheeks"),
    ]
    apart = nest([one._replace(together="") for one in parts], CUTTING)
    assert len({placed_by_name(apart)[name, 1][0] for name in ("cheek.left", "cheek.right")}) == 2
    assert [fault.text for fault in faults(apart, parts, CUTTING)] == [
        "cheek.left is to stay together with cheek.right, and does not"
    ]
    sheets = nest(parts, CUTTING)
    assert verify(sheets, parts, CUTTING) == ()


def test_a_new_part_goes_to_those_it_stays_with_or_takes_them_along() -> None:
    left = part("left", plate(200.0, 90.0), together="cheeks")
    before = nest([left], CUTTING)
    right = part("right", plate(200.0, 70.0), together="cheeks")
    after = nest([left, right], CUTTING, kept=before)
    assert placed_by_name(after)["left", 1] == placed_by_name(before)["left", 1]
    # No room for it where the other lies: both move.
    deck = part("deck", plate(290.0, 70.0))
    full = nest([left, deck], CUTTING)
    assert len(full) == 1
    after = nest([left, deck, right], CUTTING, kept=full)
    assert verify(after, [left, deck, right], CUTTING) == ()
    assert placed_by_name(after)["deck", 1] == placed_by_name(full)["deck", 1]


def test_parts_that_no_sheet_takes_together_are_named() -> None:
    parts = [part(name, plate(290.0, 120.0), together="decks") for name in ("lower", "upper")]
    with pytest.raises(GeometryError, match=r"^lower, upper are to stay together") as caught:
        nest(parts, CUTTING)
    assert caught.value.code == "together-too-big"


@pytest.mark.parametrize("cutting", [Cutting(-1.0, 2.0, 0.0), Cutting(5.0, -0.1, 0.0)])
def test_a_gap_or_margin_below_zero_is_refused(cutting: Cutting) -> None:
    with pytest.raises(GeometryError, match="neither may be below zero") as caught:
        nest([part("fin", plate(9.0, 9.0))], cutting)
    assert caught.value.code == "no-size"
