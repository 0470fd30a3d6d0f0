"""The least number of sheets: never more than a layout takes, and as many as simple cases are known to need."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from ringwright.geometry.nest.bound import Bound, least_sheets
from ringwright.geometry.nest.nest import nest
from ringwright.geometry.part import Cutting, MassProperties, Offcut, Part, Stock
from ringwright.geometry.path import Path, as_hole, closed

BOARD = Stock("board", "board", "foamboard", 5.0, 200.0, 150.0, "none", None, 0.0, None, "plain", 0.5, 0.0)
CUTTING = Cutting(5.0, 2.0, 0.0)


def plate(width: float, height: float) -> Path:
    return closed([(0.0, 0.0), (width, 0.0), (width, height), (0.0, height)])


def disc(radius: float) -> Path:
    return Path(((-radius, 0.0), (radius, 0.0)), (1.0, 1.0), True)


def part(
    name: str, outline: Path, quantity: int = 1, holes: tuple[Path, ...] = (), of: Stock = BOARD
) -> Part:
    return Part(
        name, name, name, "", of, quantity, outline, holes, (), (), (), (), (), (), (), "along", None,
        MassProperties(0.0, None, 0.0, None),
    )  # fmt: skip


sizes = st.integers(8, 138).map(float)
shapes = st.one_of(
    st.builds(plate, sizes, sizes).map(lambda outline: (outline, ())),
    sizes.map(lambda size: (disc(size / 2), (as_hole(disc(size / 3)),))),
)
grains = st.sampled_from(("none", "along_width"))


@given(
    st.lists(st.tuples(shapes, st.integers(1, 3)), min_size=1, max_size=7),
    grains,
    st.sampled_from((0.0, 2.0)),
    st.booleans(),
)
def test_no_layout_takes_fewer(shaped, grain, gap, with_offcut):
    stock = BOARD._replace(grain=grain)
    parts = [
        part(f"p{number}", outline, quantity, holes, stock)
        for number, ((outline, holes), quantity) in enumerate(shaped)
    ]
    cutting = Cutting(5.0, gap, 0.0)
    offcuts = (Offcut("rest", plate(120.0, 100.0)),) if with_offcut else ()
    sheets = nest(parts, cutting, offcuts={stock: offcuts})
    whole = sum(1 for sheet in sheets if sheet.offcut is None)
    assert least_sheets(stock, parts, cutting, offcuts).sheets <= whole


@pytest.mark.parametrize(
    ("parts", "bound"),
    [
        ([], Bound(0, "area")),
        ([part("a", plate(10.0, 10.0))], Bound(1, "area")),
        # 190 x 140 mm are left within the margins: half of it and a gap more fits once.
        ([part("a", plate(110.0, 98.0), 3)], Bound(3, "large parts")),
        ([part("a", plate(90.0, 60.0), 4)], Bound(1, "area")),
        ([part("a", plate(189.0, 139.0), 2)], Bound(2, "area")),
        # Two of these lie one above the other.
        ([part("a", plate(180.0, 68.0), 2)], Bound(1, "area")),
        # A frame is no obstacle to what lies in it.
        (
            [part("a", plate(180.0, 130.0), 1, (as_hole(plate(100.0, 90.0)),)), part("b", plate(20.0, 20.0))],
            Bound(1, "area"),
        ),
    ],
)
def test_what_is_plain_to_see(parts, bound):
    assert least_sheets(BOARD, parts, CUTTING) == bound


def test_grain_keeps_parts_apart_that_could_be_turned_otherwise():
    # One above the other, 69 mm high each, they fit; with both upright they do not.
    upright = [part("a", plate(69.0, 138.0), 2)._replace(grain="across")]
    assert least_sheets(BOARD, upright, CUTTING).sheets == 1
    grained = BOARD._replace(grain="along_width", width=300.0, height=170.0)
    parts = [part("a", plate(150.0, 100.0), 2, of=grained)]
    assert least_sheets(grained, parts, CUTTING).sheets == 2
    assert (
        least_sheets(
            grained._replace(grain="none"), [parts[0]._replace(stock=grained._replace(grain="none"))], CUTTING
        ).sheets
        == 1
    )
