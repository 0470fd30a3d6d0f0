"""Layouts of random parts keep what they promise, measured with shapely on the parts as they lie."""

import math
import os
import random
import subprocess
import sys

import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from ringwright.geometry.errors import GeometryError
from ringwright.geometry.nest.nest import nest
from ringwright.geometry.part import Cutting, MassProperties, Part, Sheet, Stock
from ringwright.geometry.path import (
    Path,
    as_hole,
    bounds,
    canonical,
    closed,
    flattened,
    moved,
    signed_area,
    turned,
)

EXACT = 1e-6
CHORD = 0.002


def stock(width: float = 300.0, height: float = 200.0, grain: str = "none", name: str = "board") -> Stock:
    return Stock(name, name, "foamboard", 5.0, width, height, grain, None, 0.0, None, "plain", 0.5, 0.0)


def part(
    name: str,
    outline: Path,
    holes: tuple[Path, ...] = (),
    quantity: int = 1,
    grain: str = "free",
    of: Stock | None = None,
) -> Part:
    mass = MassProperties(0.0, None, 0.0, None)
    return Part(
        name, name, "cowl", "", of or stock(), quantity, outline, holes,
        (), (), (), (), (), (), (), grain, None, mass,
    )  # fmt: skip


def plate(width: float, height: float) -> Path:
    return closed([(0.0, 0.0), (width, 0.0), (width, height), (0.0, height)])


def disc(radius: float) -> Path:
    return Path(((-radius, 0.0), (radius, 0.0)), (1.0, 1.0), True)


lengths = st.floats(4.0, 90.0).map(lambda value: round(value, 3)) | st.integers(2, 45).map(
    lambda value: 2.0 * value
)


@st.composite
def outlines(draw: st.DrawFn) -> tuple[Path, tuple[Path, ...]]:
    """A plate, wedge, angle, disc, ring, half disc, star or frame."""
    kind = draw(st.sampled_from(("plate", "wedge", "angle", "disc", "ring", "half", "star", "frame")))
    a, b = draw(lengths), draw(lengths)
    if kind == "plate":
        return plate(a, b), ()
    if kind == "wedge":
        return canonical(closed([(0.0, 0.0), (a, 0.0), (draw(st.floats(-20.0, 60.0)), b)])), ()
    if kind == "angle":
        return closed([(0.0, 0.0), (a, 0.0), (a, b / 4), (a / 3, b / 4), (a / 3, b), (0.0, b)]), ()
    if kind == "disc":
        return disc(a / 2), ()
    if kind == "ring":
        return disc(a / 2), (as_hole(disc(a / 2 * draw(st.floats(0.3, 0.9)))),)
    if kind == "half":
        return canonical(Path(((0.0, 0.0), (a, 0.0)), (0.0, draw(st.floats(0.2, 1.0))), True)), ()
    if kind == "frame":
        hole = closed([(a / 4, b / 4), (3 * a / 4, b / 4), (3 * a / 4, 3 * b / 4), (a / 4, 3 * b / 4)])
        return plate(a, b), (as_hole(hole),)
    spikes = draw(st.integers(3, 9))
    points = [
        (
            (a / 2 if tip % 2 else a / 5) * math.cos(math.pi * tip / spikes),
            (a / 2 if tip % 2 else a / 5) * math.sin(math.pi * tip / spikes),
        )
        for tip in range(2 * spikes)
    ]
    return canonical(closed(points)), ()


@st.composite
def sets(draw: st.DrawFn) -> list[Part]:
    """Up to nine parts of one stock or two, some in copies, all small enough for any turn."""
    stocks = [
        stock(
            draw(lengths) + 110.0,
            draw(lengths) + 110.0,
            draw(st.sampled_from(("none", "along_width", "along_height"))),
        )
    ]
    stocks.append(stock(200.0, 150.0, "along_width", "ply"))
    parts = []
    for index in range(draw(st.integers(1, 9))):
        outline, holes = draw(outlines())
        parts.append(
            part(
                f"p{index}",
                outline,
                holes,
                draw(st.integers(1, 3)),
                draw(st.sampled_from(("free", "along", "across"))),
                draw(st.sampled_from(stocks)),
            )
        )
    return parts


cuttings = st.builds(
    Cutting,
    st.sampled_from((0.0, 5.0, 8.0, 3.3)),
    st.sampled_from((0.0, 2.0, 4.0, 0.7, 10.0)),
    st.just(0.0),
)


def check(sheets: tuple[Sheet, ...], parts: list[Part], cutting: Cutting) -> None:
    """Assert everything that a layout promises, to 1e-6 mm."""
    known = {part.id: part for part in parts}
    laid = sorted((placed.part, placed.copy) for sheet in sheets for placed in sheet.placements)
    assert laid == sorted((part.id, copy) for part in parts for copy in range(1, part.quantity + 1))
    for sheet in sheets:
        shapes = []
        for placed in sheet.placements:
            part = known[placed.part]
            assert part.stock == sheet.stock
            level = {0.0, 180.0} if sheet.stock.grain == "along_width" else {90.0, 270.0}
            if sheet.stock.grain != "none" and part.grain != "free":
                assert placed.rotation in (
                    level if part.grain == "along" else {0.0, 90.0, 180.0, 270.0} - level
                )
            angle = math.radians(placed.rotation)
            rings = [moved(turned(ring, angle), (placed.x, placed.y)) for ring in (part.outline, *part.holes)]
            x0, y0, x1, y1 = bounds(rings[0])
            assert min(x0, y0) >= cutting.margin - EXACT
            assert x1 <= sheet.stock.width - cutting.margin + EXACT
            assert y1 <= sheet.stock.height - cutting.margin + EXACT
            shapes.append(
                shapely.Polygon(flattened(rings[0], CHORD), [flattened(ring, CHORD) for ring in rings[1:]])
            )
        for index, shape in enumerate(shapes):
            for other in shapes[:index]:
                if cutting.gap > 0.0:
                    # Two arcs may each come nearer than their chords; straight edges are what they are.
                    curved = (
                        2.0 * CHORD if len(shape.exterior.coords) + len(other.exterior.coords) > 40 else 0.0
                    )
                    assert shape.distance(other) >= cutting.gap + curved - EXACT
                else:
                    assert shape.intersection(other).area <= EXACT * (shape.length + other.length)
        cut = sum(shape.area for shape in shapes) / (sheet.stock.width * sheet.stock.height)
        assert sheet.used == pytest.approx(cut, abs=0.01)
    for name in {sheet.stock.name for sheet in sheets}:
        indices = [sheet.index for sheet in sheets if sheet.stock.name == name]
        assert indices == list(range(1, len(indices) + 1))


@given(sets(), cuttings)
def test_layouts_keep_gap_margin_grain_and_count(parts: list[Part], cutting: Cutting) -> None:
    check(nest(parts, cutting), parts, cutting)


@given(sets(), cuttings, st.randoms(use_true_random=False))
def test_the_order_of_the_parts_changes_nothing(
    parts: list[Part], cutting: Cutting, dice: random.Random
) -> None:
    mixed = list(parts)
    dice.shuffle(mixed)
    assert nest(mixed, cutting) == nest(parts, cutting)


def test_the_hash_seed_changes_nothing() -> None:
    script = (
        "from ringwright.geometry.nest.nest import nest\n"
        "from ringwright.geometry.part import *\n"
        "from ringwright.geometry.path import closed\n"
        "s = Stock('b', 'b', 'card', 1.0, 90.0, 70.0, 'none', None, 0.0, None, 'plain', 0.5, 0.0)\n"
        "m = MassProperties(0.0, None, 0.0, None)\n"
        "o = [closed([(0, 0), (20 + i, 0), (9, 20 - i), (-i, 5)]) for i in range(9)]\n"
        "p = [Part(f'p{i}', '', '', '', s, 2, o[i], *[()] * 8, 'free', None, m) for i in range(9)]\n"
        "print(nest(p, Cutting(3.0, 2.0, 0.0)))\n"
    )
    said = {
        subprocess.run(
            [sys.executable, "-c", script],
            env={**os.environ, "PYTHONHASHSEED": seed},
            capture_output=True,
            text=True,
            check=True,
        ).stdout
        for seed in ("1", "2")
    }
    assert len(said) == 1
    assert said.pop().count("Placed(") == 18


def test_nothing_needs_no_sheet() -> None:
    assert nest([], Cutting(5.0, 2.0, 0.0)) == ()


def test_one_part_lies_in_the_lower_left_corner() -> None:
    (sheet,) = nest([part("fin", moved(plate(50.0, 40.0), (7.0, -3.0)))], Cutting(5.0, 2.0, 0.0))
    (placed,) = sheet.placements
    assert (placed.x, placed.y, placed.copy) == (-2.0, 8.0, 1)
    assert sheet.used == pytest.approx(50.0 * 40.0 / (300.0 * 200.0), abs=1e-12)
    assert sheet.index == 1


def test_used_counts_holes_and_true_arcs() -> None:
    ring = part("ring", disc(50.0), (as_hole(disc(40.0)),))
    (sheet,) = nest([ring], Cutting(5.0, 2.0, 0.0))
    assert sheet.used == pytest.approx(math.pi * (50.0**2 - 40.0**2) / (300.0 * 200.0), rel=1e-12)


def test_a_part_lies_in_the_hole_of_another() -> None:
    # The ring fills the sheet: only its hole is left, and the corners, which are too small for the plug.
    small = stock(110.0, 110.0)
    ring = part("ring", disc(50.0), (as_hole(disc(40.0)),), of=small)
    plug = part("plug", disc(30.0), of=small)
    cutting = Cutting(5.0, 2.0, 0.0)
    (sheet,) = nest([plug, ring], cutting)
    check((sheet,), [ring, plug], cutting)
    assert [placed.part for placed in sheet.placements] == ["plug", "ring"]


def test_what_just_fills_the_sheet_takes_one_each() -> None:
    cutting = Cutting(5.0, 2.0, 0.0)
    parts = [part("deck", plate(290.0, 190.0), quantity=2), part("disc", disc(95.0))]
    sheets = nest(parts, cutting)
    check(sheets, parts, cutting)
    assert len(sheets) == 3
    assert [sheet.index for sheet in sheets] == [1, 2, 3]


def test_pieces_slide_off_the_grid_until_they_meet() -> None:
    # No multiple of a cell; at rest the two stand the gap apart, and its allowance of 1.5 %, no more.
    cutting = Cutting(5.0, 2.0, 0.0)
    (sheet,) = nest([part("rib", plate(180.0, 37.3), quantity=2)], cutting)
    first, second = sorted(placed.y for placed in sheet.placements)
    assert {placed.rotation for placed in sheet.placements} == {0.0}
    assert first == 5.0
    assert 2.0 - EXACT <= second - (first + 37.3) <= 2.0 * 1.015 + EXACT


def test_two_gussets_share_a_rectangle() -> None:
    # Side by side as drawn they are 200 mm long; one turned round, they lie along each other's slant.
    cutting = Cutting(0.0, 1.0, 0.0)
    wedge = canonical(closed([(0.0, 0.0), (100.0, 0.0), (0.0, 60.0)]))
    parts = [part("gusset", wedge, quantity=2, of=stock(112.0, 64.0))]
    sheets = nest(parts, cutting)
    check(sheets, parts, cutting)
    assert len(sheets) == 1


def test_each_stock_has_its_own_sheets() -> None:
    parts = [part("a", plate(50.0, 50.0)), part("b", plate(50.0, 50.0), of=stock(name="ply"))]
    sheets = nest(parts, Cutting(5.0, 2.0, 0.0))
    assert [(sheet.stock.name, sheet.index, sheet.placements[0].part) for sheet in sheets] == [
        ("board", 1, "a"),
        ("ply", 1, "b"),
    ]


def test_the_first_part_too_big_is_named_before_any_is_placed() -> None:
    parts = [part("z", plate(900.0, 10.0)), part("b", plate(950.0, 10.0)), part("a", plate(10.0, 10.0))]
    with pytest.raises(GeometryError, match=r"^b is 950\.0 x 10\.0 mm") as caught:
        nest(parts, Cutting(5.0, 2.0, 0.0))
    assert caught.value.code == "part-too-big"


def test_many_small_formers() -> None:
    parts = [
        part(f"f{index}", closed([(0.0, 0.0), (40.0 + index, 0.0), (30.0, 50.0), (-8.0, 25.0)]), quantity=20)
        for index in range(6)
    ]
    cutting = Cutting(8.0, 4.0, 0.0)
    sheets = nest(parts, cutting)
    check(sheets, parts, cutting)
    area = sum(part.quantity * signed_area(part.outline) for part in parts)
    assert len(sheets) <= math.ceil(area / (284.0 * 184.0) / 0.6)


def test_what_passes_the_room_by_a_rounding_is_laid() -> None:
    parts = [part("deck", plate(290.0 + 9e-7, 190.0))]
    cutting = Cutting(5.0, 2.0, 0.0)
    (sheet,) = nest(parts, cutting)
    check((sheet,), parts, cutting)
