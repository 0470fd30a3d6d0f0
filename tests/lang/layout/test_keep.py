"""What a layout file keeps: a part that comes, goes or changes moves no other, and what lies wrong is told."""

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from ringwright.geometry.nest.nest import nest
from ringwright.geometry.nest.verify import verify
from ringwright.geometry.part import Cutting, MassProperties, Offcut, Part, Sheet, Stock
from ringwright.geometry.path import Path, as_hole, closed
from ringwright.lang.layout.keep import Kept, keep, lays_of
from ringwright.lang.layout.layout_file import Lay, Layout, On, layout_text, read_layout, shape_mark

BOARD = Stock("board", "board", "foamboard", 5.0, 200.0, 150.0, "none", None, 0.0, None, "plain", 0.5, 0.0)
PLY = BOARD._replace(name="ply", width=120.0, height=120.0, grain="along_width")
CUTTING = Cutting(5.0, 2.0, 0.0)


def plate(width: float, height: float) -> Path:
    return closed([(0.0, 0.0), (width, 0.0), (width, height), (0.0, height)])


def disc(radius: float) -> Path:
    return Path(((-radius, 0.0), (radius, 0.0)), (1.0, 1.0), True)


def part(
    name: str, outline: Path, quantity: int = 1, of: Stock = BOARD, holes: tuple[Path, ...] = ()
) -> Part:
    return Part(
        name, name, name, "", of, quantity, outline, holes, (), (), (), (), (), (), (), "free", None,
        MassProperties(0.0, None, 0.0, None),
    )  # fmt: skip


sizes = st.integers(8, 90).map(float)
outlines = st.one_of(st.builds(plate, sizes, sizes), st.builds(disc, sizes.map(lambda size: size / 2)))
sets = st.lists(
    st.tuples(outlines, st.integers(1, 3), st.sampled_from((BOARD, PLY))), min_size=2, max_size=8
).map(
    lambda found: [
        part(f"p{number}", outline, quantity, stock)
        for number, (outline, quantity, stock) in enumerate(found)
    ]
)
cuttings = st.builds(Cutting, st.sampled_from((0.0, 5.0)), st.sampled_from((0.0, 2.0)), st.just(0.0))


def locked(parts: list[Part], cutting: Cutting = CUTTING) -> tuple[Lay, ...]:
    """What a layout file has after a build, read back from its text."""
    text = layout_text(Layout(lays=lays_of(nest(parts, cutting), parts)))
    return read_layout(text.encode())[0].lays


def built(
    lays: tuple[Lay, ...], parts: list[Part], cutting: Cutting = CUTTING
) -> tuple[Kept, tuple[Sheet, ...]]:
    """The next build under a layout file: what was kept, and all sheets, which are sound."""
    kept = keep(lays, parts, cutting, {})
    sheets = nest(parts, cutting, kept=kept.sheets)
    assert verify(sheets, parts, cutting) == ()
    return kept, sheets


def places(lays: tuple[Lay, ...], *without: str) -> set[tuple[object, ...]]:
    return {lay[:-1] for lay in lays if lay.part not in without}


@given(sets, cuttings)
def test_the_same_parts_stay_to_the_bit(parts: list[Part], cutting: Cutting) -> None:
    lays = locked(parts, cutting)
    kept, sheets = built(lays, parts, cutting)
    assert kept.lost == ()
    assert kept.missing(parts) == ()
    assert sheets == nest(parts, cutting)
    assert lays_of(sheets, parts) == lays


@given(sets, cuttings)
def test_a_part_that_comes_moves_no_other(parts: list[Part], cutting: Cutting) -> None:
    lays = locked(parts[1:], cutting)
    kept, sheets = built(lays, parts, cutting)
    assert kept.lost == ()
    assert places(lays_of(sheets, parts), "p0") == places(lays)


@given(sets, cuttings, st.data())
def test_a_part_that_goes_moves_no_other(parts: list[Part], cutting: Cutting, data: st.DataObject) -> None:
    gone = data.draw(st.sampled_from(parts))
    lays = locked(parts, cutting)
    kept, sheets = built(lays, [part for part in parts if part is not gone], cutting)
    assert {one.lay.part for one in kept.lost} == {gone.id}
    assert all(one.gone for one in kept.lost)
    assert places(lays_of(sheets, parts)) == places(lays, gone.id)


@given(sets, outlines, st.data())
def test_a_part_that_changes_moves_no_other(parts: list[Part], outline: Path, data: st.DataObject) -> None:
    number = data.draw(st.integers(0, len(parts) - 1))
    lays = locked(parts)
    changed = parts[number]._replace(outline=outline)
    kept, sheets = built(lays, [*parts[:number], changed, *parts[number + 1 :]])
    assert {one.lay.part for one in kept.lost} <= {changed.id}
    assert places(lays_of(sheets, [*parts, changed]), changed.id) == places(lays, changed.id)


@given(sets)
def test_a_part_that_shrinks_stays_too(parts: list[Part]) -> None:
    assume(parts[0].outline.bulges[0] == 0.0)
    width, height = parts[0].outline.points[2]
    less = parts[0]._replace(outline=plate(width * 0.9, height * 0.9))
    kept, _ = built(locked(parts), [less, *parts[1:]])
    assert kept.lost == ()


@pytest.mark.parametrize(("changed", "goes"), [("a", "a"), ("b", "b"), ("", "a"), ("ab", "a")])
def test_what_changed_gives_way_to_what_did_not(changed: str, goes: str) -> None:
    parts = [part("a", plate(60.0, 20.0)), part("b", plate(60.0, 60.0))]
    lays = tuple(
        Lay(one.id, 1, On("board", 1), x, 5.0, 0.0, "other" if one.id in changed else shape_mark(one))
        for one, x in zip(parts, (5.0, 27.0), strict=True)
    )
    kept, _ = built(lays, parts)
    assert [(one.lay.part, one.why) for one in kept.lost] == [(goes, "a and b overlap on sheet 1 of board")]


def test_a_wider_gap_moves_as_few_as_it_can() -> None:
    parts = [part(name, plate(30.0, 30.0)) for name in "abc"]
    kept, _ = built(locked(parts), parts, CUTTING._replace(gap=20.0))
    assert len(kept.lost) == 1
    assert "mm apart where 20 mm are asked on sheet 1 of board" in kept.lost[0].why


@pytest.mark.parametrize(
    ("lay", "why"),
    [
        (Lay("gone", 1, On("board", 1), 100.0, 100.0, 0.0, "aa"), "the model has it no more"),
        (Lay("a", 2, On("board", 1), 100.0, 100.0, 0.0, "aa"), "copy 2 is not asked for any more"),
        (Lay("a", 1, On("ply", 1), 20.0, 20.0, 0.0, "aa"), "it is cut from board now, and lay on ply 1"),
        (Lay("a", 1, On("board", 0, "rest"), 9.0, 9.0, 0.0, "aa"), "there is no board offcut rest any more"),
        (Lay("a", 1, On("board", 1), -30.0, 9.0, 0.0, "aa"), "a passes the edge by 30 mm where 5 mm"),
    ],
)
def test_a_place_that_is_none_is_told_and_the_rest_stays(lay: Lay, why: str) -> None:
    parts = [part("a", plate(20.0, 20.0)), part("b", plate(60.0, 60.0))]
    lays = tuple(one for one in locked(parts) if (one.part, one.copy) != (lay.part, lay.copy))
    kept, sheets = built((*lays, lay), parts)
    assert [one.lay for one in kept.lost] == [lay]
    assert why in kept.lost[0].why
    assert places(lays) <= places(lays_of(sheets, parts))


def test_what_lies_on_an_offcut_stays_there() -> None:
    parts = [part("a", plate(20.0, 20.0)), part("b", plate(60.0, 60.0), 2)]
    offcuts = {BOARD: (Offcut("rest", plate(90.0, 80.0), (as_hole(disc(5.0)),)),)}
    sheets = nest(parts, CUTTING, offcuts=offcuts)
    lays = lays_of(sheets, parts)
    assert {lay.on for lay in lays} == {On("board", 0, "rest"), On("board", 1)}
    kept = keep(lays, parts, CUTTING, offcuts)
    assert kept.lost == ()
    assert kept.sheets == sheets
    without = keep(lays, parts, CUTTING, {})
    assert {one.lay.on.offcut for one in without.lost} == {"rest"}
