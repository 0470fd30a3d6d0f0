"""A sheet that is an offcut: as large as that, its edge and damage drawn, and nothing lettered where it is not."""

import shapely
from ringwright.backends.drawing import Stroke, Text, text_box
from ringwright.backends.offcuts import edges, left_over
from ringwright.backends.record import BuildRecord, Model
from ringwright.backends.sheet import sheet_content, sheet_drawings
from ringwright.geometry.nest.nest import nest
from ringwright.geometry.part import Cutting, MassProperties, Offcut, Part, Sheet, Stock
from ringwright.geometry.path import Path, as_hole, closed, flattened, moved

BOARD = Stock("board", "", "foamboard", 4.8, 762.0, 508.0, "none", 6e-4, 0.2, 1e-4, "peeled", 1.0, 25.0)
CUTTING = Cutting(5.0, 2.0, 0.0)
CORNER = Offcut(
    "corner",
    closed([(0.0, 0.0), (420.0, 0.0), (420.0, 60.0), (200.0, 300.0), (0.0, 300.0)]),
    (as_hole(moved(Path(((-25.0, 0.0), (25.0, 0.0)), (1.0, 1.0), True), (90.0, 190.0))),),
)


def plate(width: float, height: float) -> Path:
    return closed([(0.0, 0.0), (width, 0.0), (width, height), (0.0, height)])


def a_record(*sizes: tuple[float, float], offcut: Offcut = CORNER) -> tuple[BuildRecord, Sheet]:
    parts = tuple(
        Part(
            f"p{number}", f"p{number}", "p", "", BOARD, 1, plate(*size), (), (), (), (), (), (), (), (), "free",
            None, MassProperties(size[0] * size[1], None, 0.0, None),
        )
        for number, size in enumerate(sizes)
    )  # fmt: skip
    sheets = nest(parts, CUTTING, offcuts={BOARD: (offcut,)})
    model = Model("teal", "Teal", "A", 1.0, "mm")
    return BuildRecord("0", model, (), (), (), parts, sheets, CUTTING, ()), sheets[0]


def board(offcut: Offcut) -> shapely.Polygon:
    return shapely.Polygon(
        flattened(offcut.outline, 0.01), [flattened(hole, 0.01) for hole in offcut.holes]
    ).buffer(0.01)


def test_the_page_is_as_large_as_the_offcut_and_shows_its_edge() -> None:
    record, sheet = a_record((60.0, 40.0))
    machine, eyes = sheet_drawings(record, sheet, "")
    assert (machine.width, machine.height) == (420.0, 300.0)
    for drawing, shift in ((machine, (0.0, 0.0)), (eyes, None)):
        (group,) = (group for group in drawing.groups if group.id == "offcut")
        lines = [item.path for item in group.items if isinstance(item, Stroke)]
        assert len(lines) == 2
        assert {item.layer for item in group.items} == {"info"}
        if shift:
            assert lines == [CORNER.outline, *CORNER.holes]
    words = [item.text for group in eyes.groups for item in group.items if isinstance(item, Text)]
    assert "corner" in words
    assert "edge of the offcut, and damage in it" in words


def test_all_that_is_lettered_stands_on_the_board() -> None:
    record, sheet = a_record(*[(22.0, 14.0)] * 24, (150.0, 60.0))
    content = sheet_content(record, sheet)
    found = [text for group in content.groups for text in group.items if isinstance(text, Text)]
    machine, _ = sheet_drawings(record, sheet, "")
    found += [text for group in machine.groups for text in group.items if isinstance(text, Text)]
    assert len(found) > 50
    outside = [text.text for text in found if not board(CORNER).covers(shapely.Polygon(text_box(text)))]
    assert outside == []


def test_what_is_left_of_an_offcut_lies_within_it_and_clear_of_its_damage() -> None:
    record, sheet = a_record((60.0, 40.0))
    left = left_over(record, sheet)
    assert left
    for box in left:
        assert board(CORNER).covers(shapely.box(*box))
    assert left_over(record._replace(sheets=()), sheet._replace(placements=()))[0] != left[0]


def test_a_plain_rectangle_has_no_edges_of_its_own() -> None:
    plain = Offcut("strip", plate(500.0, 60.0))
    _, sheet = a_record((60.0, 40.0), offcut=plain)
    assert edges(sheet) == ()
    assert sheet.size == (500.0, 60.0)
    dented = sheet._replace(offcut=plain._replace(holes=CORNER.holes))
    assert len(edges(dented)) == 3
