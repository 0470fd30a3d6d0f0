"""Which parts meet: two plates on parallel planes, whose distance is known, and plates that cross."""

import math

from hypothesis import given
from hypothesis import strategies as st
from ringwright.geometry import path, place
from ringwright.geometry.mass import measure
from ringwright.geometry.part import Part, Placement, Stock
from ringwright.geometry.solid import contact
from ringwright.geometry.solid.mesh import solids_of

BOARD = Stock("board", "", "foamboard", 5.0, 762, 508, "none", 450e-6, 0.3, None, "peeled", 0.5, 25)
GAP = 1.5


def part(id: str, shape: path.Path, placement: Placement | None) -> Part:
    found = measure(shape, (), (), (), BOARD, placement)
    return Part(
        id, id, id, "", BOARD, 1, shape, (), (), (), (), (), (), (), (), "free", placement, found
    )  # fmt: skip


def contacts(parts: list[Part], gap: float) -> frozenset[tuple[str, str]]:
    return contact.contacts([solid for part in parts for solid in solids_of(part)], gap)


def rect(left: float, low: float, right: float, high: float) -> path.Path:
    return path.canonical(path.closed([(left, low), (right, low), (right, high), (left, high)]))


@given(st.floats(0.0, 40.0), st.floats(-200.0, 200.0), st.floats(-200.0, 200.0))
def test_plates_on_parallel_planes(apart: float, y: float, z: float) -> None:
    """What is between two faces is what their planes are apart, less the sheet; beside them what is missing in y and z."""
    one = part("one", rect(-40, -30, 40, 30), place.section_frame(0.0))
    other = part("other", rect(-40 + y, -30 + z, 40 + y, 30 + z), place.section_frame(apart))
    away = math.hypot(max(apart - 5.0, 0.0), max(abs(y) - 80.0, 0.0), max(abs(z) - 60.0, 0.0))
    met = contacts([one, other], GAP)
    if away < GAP - 0.4:
        assert met == {("one", "other"), ("other", "one")}
    elif away > GAP:
        assert met == frozenset()


def test_an_edge_against_the_middle_of_a_face() -> None:
    """Neither has a corner near the other's: spots along an edge tell. The sheet reaches from x = -5 to 0."""
    face = part("face", rect(-300, -300, 300, 300), place.section_frame(0.0))
    fore = part("fore", rect(-90, -200, -6, 200), place.side_frame(0.0))
    aft = part("aft", rect(1, -200, 90, 200), place.side_frame(0.0))
    far = part("far", rect(8, -200, 90, 200), place.side_frame(0.0))
    met = {other for one, other in contacts([face, fore, aft, far], GAP) if one == "face"}
    assert met == {"fore", "aft"}


def test_one_that_lies_in_the_box_of_another_and_does_not_touch() -> None:
    """A plate within a ring of twice its size: its box lies in the ring's, and it is 25 mm from the wall."""
    plate = part("plate", rect(-20, -20, 20, 20), place.section_frame(20.0))
    frame = path.as_hole(rect(-50, -50, 50, 50))
    around = part("around", rect(-60, -60, 60, 60), place.section_frame(20.0))._replace(holes=(frame,))
    assert contacts([plate, around], GAP) == frozenset()
    wider = part("wider", rect(-49, -20, 49, 20), place.section_frame(20.0))
    assert contacts([wider, around], GAP) == {("wider", "around"), ("around", "wider")}


def test_what_has_no_place_meets_nothing() -> None:
    one = part("one", rect(-40, -30, 40, 30), place.section_frame(0.0))
    assert contacts([one, part("other", rect(-40, -30, 40, 30), None)], GAP) == frozenset()
