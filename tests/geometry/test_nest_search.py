"""What a search gives is a layout as sound as any, never worse than the first, and the same each time."""

import random

import pytest
from hypothesis import given
from hypothesis import strategies as st
from ringwright.geometry.nest import nest as nesting
from ringwright.geometry.nest.bed import FIXED
from ringwright.geometry.nest.dice import Dice
from ringwright.geometry.nest.fill import fill
from ringwright.geometry.nest.nest import Progress, nest
from ringwright.geometry.nest.ready import prepare
from ringwright.geometry.nest.search import improve, score
from ringwright.geometry.nest.verify import verify
from ringwright.geometry.part import Cutting, MassProperties, Offcut, Part, Sheet, Stock
from ringwright.geometry.path import Path, as_hole, canonical, closed

CUTTING = Cutting(margin=5.0, gap=2.0, kerf=0.0)
BOARD = Stock("board", "board", "balsa", 5.0, 200.0, 120.0, "along_width", None, 0.0, None, "plain", 0.5, 0.0)
FEW = 2_000
"""Pairs looked at: a moment."""


def part(
    name: str,
    outline: Path,
    holes: tuple[Path, ...] = (),
    quantity: int = 1,
    grain: str = "free",
    together: str = "",
) -> Part:
    return Part(
        name, name, "cowl", "", BOARD, quantity, outline, holes, (), (), (), (), (), (), (), grain, None,
        MassProperties(0.0, None, 0.0, None), together=together,
    )  # fmt: skip


def plate(width: float, height: float) -> Path:
    return closed([(0.0, 0.0), (width, 0.0), (width, height), (0.0, height)])


def disc(radius: float) -> Path:
    return Path(((-radius, 0.0), (radius, 0.0)), (1.0, 1.0), True)


lengths = st.floats(8.0, 70.0)
grains = st.sampled_from(("free", "along", "across"))


@st.composite
def sets(draw: st.DrawFn, prefix: str = "p") -> list[Part]:
    """Up to seven kinds of parts, some with holes, in up to three copies."""
    parts = []
    for index in range(draw(st.integers(1, 7))):
        a, b, kind = draw(lengths), draw(lengths), draw(st.sampled_from(("plate", "wedge", "angle", "ring")))
        holes: tuple[Path, ...] = ()
        if kind == "plate":
            outline = plate(a, b)
        elif kind == "wedge":
            outline = canonical(closed([(0.0, 0.0), (a, 0.0), (a / 3, b)]))
        elif kind == "angle":
            outline = closed([(0.0, 0.0), (a, 0.0), (a, b / 4), (a / 3, b / 4), (a / 3, b), (0.0, b)])
        else:
            outline, holes = disc(a / 2), (as_hole(disc(a / 3)),)
        parts.append(part(f"{prefix}{index}", outline, holes, draw(st.integers(1, 3)), draw(grains)))
    return parts


def searched(
    parts: list[Part], offcuts: tuple[Offcut, ...] = (), kept: tuple[Sheet, ...] = (), most: int = FEW
) -> tuple[Sheet, ...]:
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(nesting, "EFFORTS", {"normal": most})
        return nest(parts, CUTTING, "normal", {BOARD: offcuts}, kept)


@given(sets())
def test_a_search_keeps_gap_margin_grain_and_count_and_is_never_worse(parts: list[Part]) -> None:
    bench = prepare(BOARD, parts, CUTTING, {})
    first = fill(bench)
    found = improve(bench, first, FEW, lambda *_: None)
    assert score(bench, found) <= score(bench, first)
    assert verify(searched(parts), parts, CUTTING) == ()


@given(sets(), st.randoms(use_true_random=False))
def test_the_order_of_the_parts_changes_nothing_in_a_search(parts: list[Part], dice: random.Random) -> None:
    mixed = list(parts)
    dice.shuffle(mixed)
    assert searched(mixed) == searched(parts)


@given(sets(), sets("q"))
def test_a_search_moves_nothing_that_is_kept(parts: list[Part], more: list[Part]) -> None:
    offcut = Offcut(
        "corner", canonical(closed([(0.0, 0.0), (120.0, 0.0), (0.0, 90.0)])), (as_hole(disc(12.0)),)
    )
    before = searched(parts, (offcut,), most=500)
    after = searched([*parts, *more], (offcut,), before, most=500)
    assert verify(after, [*parts, *more], CUTTING) == ()
    for sheet in before:
        (same,) = (other for other in after if (other.index, other.offcut) == (sheet.index, sheet.offcut))
        assert set(same.placements) >= set(sheet.placements)


def gussets() -> list[Part]:
    """Wedges that greed lays on more sheets, or higher, than they need."""
    return [
        part("gusset", canonical(closed([(0.0, 0.0), (60.0, 0.0), (0.0, 45.0)])), quantity=8),
        part("rib", plate(83.0, 17.0), quantity=5),
        part("deck", plate(61.0, 52.0)),
    ]


def test_a_search_finds_better_layouts() -> None:
    bench = prepare(BOARD, gussets(), CUTTING, {})
    first = fill(bench)
    found = improve(bench, first, 60_000, lambda *_: None)
    assert score(bench, found) < score(bench, first)
    assert verify(searched(gussets(), most=60_000), gussets(), CUTTING) == ()


def test_more_effort_begins_with_what_less_has_done() -> None:
    bench = prepare(BOARD, gussets(), CUTTING, {})
    first = fill(bench)
    scores = [score(bench, improve(bench, first, most, lambda *_: None)) for most in (1_000, 10_000, 60_000)]
    assert scores == sorted(scores, reverse=True)


def test_an_interrupt_ends_the_search_and_keeps_the_best() -> None:
    bench = prepare(BOARD, gussets(), CUTTING, {})
    first = fill(bench)
    said: list[tuple[int, bool]] = []

    def told(work: int, best: object, stopped: bool) -> None:
        said.append((work, stopped))
        if len(said) == 9:
            raise KeyboardInterrupt

    found = improve(bench, first, 10**9, told)
    assert score(bench, found) < score(bench, first)
    assert [stopped for _, stopped in said] == [False] * 9 + [True]


def test_after_an_interrupt_no_other_stock_is_searched() -> None:
    ply = BOARD._replace(name="ply")
    parts = [*gussets(), *(one._replace(id=f"ply.{one.id}", stock=ply) for one in gussets())]
    said: list[Progress] = []

    def told(one: Progress) -> None:
        said.append(one)
        if not one.stopped:
            raise KeyboardInterrupt

    sheets = nest(parts, CUTTING, "thorough", progress=told)
    assert [(one.stock, one.stopped) for one in said] == [("board", False), ("board", True)]
    assert verify(sheets, parts, CUTTING) == ()


def test_progress_counts_up_and_says_how_good_the_best_is() -> None:
    said: list[Progress] = []
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(nesting, "EFFORTS", {"normal": 20_000})
        sheets = nest(gussets(), CUTTING, "normal", progress=said.append)
    assert said
    assert [one.step for one in said] == sorted(one.step for one in said)
    assert all(0 <= one.step <= one.steps == 20_000 for one in said)
    assert (said[-1].stock, said[-1].sheets, said[-1].stopped) == ("board", len(sheets), False)


def test_a_group_stays_together_in_a_search() -> None:
    parts = [one._replace(together="wing" if one.id == "rib" else "") for one in gussets()]
    sheets = searched(parts, most=20_000)
    assert verify(sheets, parts, CUTTING) == ()


def test_fixed_pieces_are_in_every_layout() -> None:
    bench = prepare(
        BOARD,
        gussets(),
        CUTTING,
        {},
        (Offcut("bit", canonical(closed([(0.0, 0.0), (90.0, 0.0), (0.0, 90.0)]))),),
    )
    first = fill(bench)
    found = improve(bench, first, 20_000, lambda *_: None)
    assert [[piece for piece in board.pieces if piece.key == FIXED] for board in found[:1]] == [
        [piece for piece in board.pieces if piece.key == FIXED] for board in first[:1]
    ]


def test_dice_fall_alike_and_evenly() -> None:
    one, other = Dice(), Dice()
    falls = [one.below(6) for _ in range(6_000)]
    assert falls == [other.below(6) for _ in range(6_000)]
    assert all(850 < falls.count(face) < 1_150 for face in range(6))
    assert sorted(one.shuffled("ringwright")) == sorted("ringwright")
