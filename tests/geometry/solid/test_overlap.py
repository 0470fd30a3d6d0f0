"""Where parts lie in one another: boxes that can be worked out, slots that make room, and what touches."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from ringwright.geometry import outline, path, place
from ringwright.geometry.blank import Seam, blank
from ringwright.geometry.mass import measure
from ringwright.geometry.part import Bevel, Edge, Flat, Groove, Part, Placement, Stock
from ringwright.geometry.ring import ring
from ringwright.geometry.solid.near import bodies_of, near_pairs
from ringwright.geometry.solid.overlap import TOLERANCE, filling, overlaps

BOARD = Stock("board", "", "foamboard", 5.0, 762, 508, "none", 450e-6, 0.3, None, "peeled", 0.5, 25)
CARD = BOARD._replace(name="card", thickness=0.4)


def part(id: str, shape: path.Path, placement: Placement | None, stock: Stock = BOARD) -> Part:
    found = measure(shape, (), (), (), stock, placement)
    return Part(
        id, id, id, "", stock, 1, shape, (), (), (), (), (), (), (), (), "free", placement, found
    )  # fmt: skip


def rect(left: float, low: float, right: float, high: float) -> path.Path:
    return path.canonical(path.closed([(left, low), (right, low), (right, high), (left, high)]))


def test_plates_that_cross() -> None:
    """Two plates of 5 mm across one another over 40 mm: 5 · 5 · 40 mm3, 5 mm deep, midway."""
    one = part("one", rect(-40, -20, 40, 20), place.section_frame(2.5))
    other = part("other", rect(-50, -30, 50, 30), place.side_frame(-2.5))
    (found,) = overlaps([one, other])
    assert (found.one, found.other) == ("one", "other")
    assert found.deep == pytest.approx(5, abs=0.1)
    assert found.volume == pytest.approx(5 * 5 * 40, rel=0.01)
    assert found.at[:2] == pytest.approx((0, 0), abs=0.4)
    assert -20 <= found.at[2] <= 20


def test_a_slot_makes_room() -> None:
    one = part("one", rect(-40, -20, 40, 20), place.section_frame(2.5))
    other = part("other", rect(-50, -30, 50, 30), place.side_frame(-2.5))
    slot = path.as_hole(rect(-2.55, -20.1, 2.55, 20.1))
    assert overlaps([one, other._replace(holes=(slot,))]) == ()
    short = path.as_hole(rect(-2.55, -20.1, 2.55, 15))
    (found,) = overlaps([one, other._replace(holes=(short,))])
    assert found.deep == pytest.approx(5, abs=0.1)
    assert found.volume == pytest.approx(5 * 5 * 5, rel=0.02)
    assert found.at[2] > 15


def test_half_slots_of_an_egg_crate() -> None:
    """Each is slotted half way: they meet at the bottom of both slots."""
    up = path.canonical(path.closed([(-40, -20), (40, -20), (40, 20), (2.5, 20), (2.5, 0), (-2.5, 0), (-2.5, 20), (-40, 20)]))  # fmt: skip
    down = path.canonical(path.closed([(-40, 20), (-40, -20), (-2.5, -20), (-2.5, 0), (2.5, 0), (2.5, -20), (40, -20), (40, 20)]))  # fmt: skip
    one, other = part("one", up, place.section_frame(2.5)), part("other", down, place.side_frame(-2.5))
    assert overlaps([one, other]) == ()
    deeper = part("other", down, Flat((0.0, -2.5, -3.0), place.AFT, place.UP))
    (found,) = overlaps([one, deeper])
    assert found.deep == pytest.approx(3, abs=0.2)


def test_what_touches_does_not_overlap() -> None:
    floor = part("floor", rect(0, -30, 100, 30), place.top_frame(0))
    wall = part("wall", rect(0, 0, 100, 40), place.side_frame(0))
    assert overlaps([floor, wall]) == ()
    sunk = part("wall", rect(0, -TOLERANCE + 0.05, 100, 40), place.side_frame(0))
    assert overlaps([floor, sunk]) == ()
    deeper = part("wall", rect(0, -1.5, 100, 40), place.side_frame(0))
    (found,) = overlaps([floor, deeper])
    assert found.deep == pytest.approx(1.5, abs=0.3)
    assert found.volume == pytest.approx(1.5 * 5 * 100, rel=0.15)


def test_thin_sheet_that_goes_right_through_is_found() -> None:
    board = part("board", rect(-40, -20, 40, 20), place.section_frame(2.5))
    card = part("card", rect(-50, -30, 50, 30), place.side_frame(-0.2), CARD)
    (found,) = overlaps([board, card])
    assert found.deep == pytest.approx(0.4, abs=0.05)
    assert overlaps([board, card._replace(placement=place.side_frame(60))]) == ()


def test_a_groove_takes_what_lies_in_it() -> None:
    """A strip of card 0.4 mm sunk into the face of a board."""
    board = part("board", rect(-40, -20, 40, 20), place.top_frame(0))
    strip = part("strip", rect(-40, -3, 40, 3), place.top_frame(-0.02), CARD)
    assert overlaps([board, strip])
    groove = Groove(rect(-40, -3.1, 40, 3.1), 0.5, 6.2)
    assert overlaps([board._replace(grooves=(groove,)), strip]) == ()


def test_a_disc_in_a_cone_fits_once_it_is_bevelled() -> None:
    made = ring(100, 60, 40, 5.0, 0.5)
    flat = blank(made, Seam("butt"))
    (placed,) = place.rolled(flat, (0, 0, 0), place.AFT, place.UP, place.STARBOARD, 0.3)
    cone = part("cone", flat.outline, placed)
    # Its aft face is flush with the small rim: the fore face may be larger by the slope.
    lean = math.tan(made.half_angle)
    small = made.end_inside
    disc = path.canonical(outline.circle(small + 2 * 5 * lean))
    plate = part("plate", disc, place.section_frame(40))
    assert overlaps([cone, plate])
    bevel = Bevel(outline.circle(small + 2 * 5 * lean), 5 * lean, 0.0)
    assert overlaps([cone, plate._replace(bevels=(bevel,))]) == ()
    # The other way round it digs in.
    assert overlaps([cone, plate._replace(bevels=(bevel._replace(drawn=0.0, back=5 * lean),))])


def test_a_bevel_that_is_said_of_an_edge_is_allowed_for() -> None:
    """A former cut square against a skin that leans by 20°: 5 tan 20° is bevelled off where it is glued."""
    former = part("former", rect(-20, -20, 20, 20), place.section_frame(5))
    leaning = Flat((0.0, 20.0, 0.0), (math.cos(0.35), -math.sin(0.35), 0.0), (0.0, 0.0, 1.0))
    skin = part("skin", rect(-30, -30, 60, 30), leaning)
    (found,) = overlaps([former, skin])
    assert found.deep == pytest.approx(5 * math.sin(0.35), abs=0.5)
    bevelled = former._replace(edges=(Edge("rim", "skin", 0.35, 40.0),))
    assert overlaps([bevelled, skin]) == ()


def test_copies_of_one_part_are_left_in_peace_and_pairs_can_be_skipped() -> None:
    frame = place.section_frame(2.5)
    twice = part("twice", rect(-40, -20, 40, 20), frame)._replace(others=(frame,))
    assert overlaps([twice]) == ()
    other = part("other", rect(-50, -30, 50, 30), place.side_frame(-2.5))
    assert len(overlaps([twice, other])) == 1
    assert overlaps([twice, other], skipped=lambda a, b: {a.id, b.id} == {"twice", "other"}) == ()
    assert overlaps([twice, other._replace(placement=None)]) == ()


def test_what_fills_a_slot() -> None:
    host = part("host", rect(-50, -30, 50, 30), place.side_frame(-2.5))
    slot = rect(-2.5, -20, 2.5, 20)
    host = host._replace(holes=(path.as_hole(slot),))
    tab = part("tab", rect(-40, -20, 40, 0), place.section_frame(2.5))
    ((name, share),) = filling(host, slot, [host, tab])
    assert (name, share) == ("tab", pytest.approx(0.5, abs=1e-6))
    assert filling(host, slot, [host]) == ()
    notch = rect(-2.5, 20, 2.5, 40)  # half of it beyond the edge
    ((_, share),) = filling(host, notch, [part("tab", rect(-40, 0, 40, 30), place.section_frame(2.5))])
    assert share == pytest.approx(1.0, abs=1e-6)


numbers = st.integers(-30, 30)
blocks = st.tuples(numbers, numbers, numbers, st.integers(8, 40), st.integers(8, 40))


@given(st.lists(blocks, min_size=2, max_size=5), st.lists(st.sampled_from("xyz"), min_size=5, max_size=5))
def test_level_plates_against_their_intervals(given: list[tuple[int, ...]], axes: list[str]) -> None:
    """Plates along the axes are boxes: how far two lie in one another is read off their ends."""
    parts, boxes = [], []
    for number, ((x, y, z, a, b), axis) in enumerate(zip(given, axes, strict=False)):
        frame = {
            "x": Flat((x + 5.0, y, z), place.STARBOARD, place.UP),
            "y": Flat((x, float(y), z), place.AFT, place.UP),
            "z": Flat((x, y, z + 5.0), place.AFT, place.STARBOARD),
        }[axis]
        parts.append(part(f"p{number}", rect(0, 0, a, b), frame))
        sizes = {"x": (5, a, b), "y": (a, 5, b), "z": (a, b, 5)}[axis]
        boxes.append([(low, low + size) for low, size in zip((x, y, z), sizes, strict=True)])
    wanted = {}
    for i in range(len(parts)):
        for j in range(i + 1, len(parts)):
            shared = [min(p[1], q[1]) - max(p[0], q[0]) for p, q in zip(boxes[i], boxes[j], strict=True)]
            if min(shared) > TOLERANCE:
                wanted[parts[i].id, parts[j].id] = shared
    found = {(each.one, each.other): each for each in overlaps(parts)}
    assert set(found) == set(wanted)
    for pair, shared in wanted.items():
        assert found[pair].volume == pytest.approx(math.prod(shared), rel=0.25)
        assert found[pair].deep <= min(shared) + 0.6
    assert len(list(near_pairs(bodies_of(parts)))) >= len(wanted)
