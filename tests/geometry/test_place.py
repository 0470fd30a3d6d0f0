import math
from itertools import pairwise

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from ringwright.geometry import path, place
from ringwright.geometry.blank import Blank, Seam, blank
from ringwright.geometry.errors import GeometryError
from ringwright.geometry.mark import (
    TICK,
    match_turns,
    rim_marks,
    rim_point,
    seam_turns,
    tick_length,
    top_marks,
)
from ringwright.geometry.part import Rolled, Vector
from ringwright.geometry.ring import ring

FRAMES = [
    (place.FORWARD, place.UP, place.STARBOARD),
    (place.AFT, place.UP, place.STARBOARD),
    (place.STARBOARD, place.UP, place.AFT),
    (place.UP, place.FORWARD, place.STARBOARD),
]


@st.composite
def bent(draw: st.DrawFn) -> tuple[Blank, tuple[Rolled, ...]]:
    start = draw(st.floats(min_value=60, max_value=200))
    end = draw(st.floats(min_value=60, max_value=200) | st.just(start) | st.just(start + 1e-3))
    high = draw(st.floats(min_value=20, max_value=120))
    try:
        sheet = blank(ring(start, end, high, 4, draw(st.floats(min_value=0, max_value=1))), Seam("flap", 10),
                      draw(st.integers(min_value=1, max_value=4)))  # fmt: skip
    except GeometryError:
        assume(False)
    axis, top, right = draw(st.sampled_from(FRAMES))
    seam = draw(st.floats(min_value=-7, max_value=7))
    return sheet, place.rolled(sheet, (10, 2, -3), axis, top, right, seam)


def cross(a: Vector, b: Vector) -> Vector:
    return a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]


def dot(a: Vector, b: Vector) -> float:
    return math.fsum(x * y for x, y in zip(a, b, strict=True))


def less(a: Vector, b: Vector) -> Vector:
    return a[0] - b[0], a[1] - b[1], a[2] - b[2]


@given(bent(), st.sampled_from(["start", "end"]), st.floats(min_value=-10, max_value=10))
def test_bending_the_blank_back_puts_a_mark_at_its_turn(made: tuple, rim: str, turn: float) -> None:
    sheet, placed = made
    point = rim_point(sheet, placed, rim, turn)
    piece = placed[point.piece]
    found = place.in_space(piece, point.at)
    radius = piece.start_radius if rim == "start" else piece.end_radius
    along = 0.0 if rim == "start" else piece.length
    assert found == pytest.approx(place.about_axis(piece, along, radius, turn), abs=1e-6)


@given(bent(), st.floats(min_value=-3, max_value=3), st.floats(min_value=0.1, max_value=0.9))
def test_the_drawn_face_is_the_inside_and_keeps_its_lengths(made: tuple, turn: float, share: float) -> None:
    sheet, placed = made
    start = rim_point(sheet, placed, "start", turn)
    depth = share * sheet.ring.slant
    at = (start.at[0] + depth * start.inward[0], start.at[1] + depth * start.inward[1])
    piece, step = placed[start.piece], 1e-3
    here, right, up = (place.in_space(piece, p) for p in (at, (at[0] + step, at[1]), (at[0], at[1] + step)))
    x, y = (tuple(v / step for v in less(there, here)) for there in (right, up))
    assert math.hypot(*x) == pytest.approx(1, abs=1e-3)
    assert math.hypot(*y) == pytest.approx(1, abs=1e-3)
    assert dot(x, y) == pytest.approx(0, abs=1e-3)
    arm = less(here, piece.origin)
    along = dot(arm, piece.axis)
    outwards = less(arm, tuple(along * a for a in piece.axis))
    outwards = tuple(v / math.hypot(*outwards) for v in outwards)
    facing = cross(x, y)
    # towards the axis, leaning by the half angle
    assert dot(facing, outwards) == pytest.approx(-math.cos(sheet.ring.half_angle), abs=2e-3)


@given(bent())
def test_pieces_close_the_ring(made: tuple) -> None:
    sheet, placed = made
    for piece, after in zip(placed, placed[1:] + placed[:1], strict=True):
        for last, first in zip(sheet.last_edge, sheet.first_edge, strict=True):
            assert place.in_space(piece, last) == pytest.approx(place.in_space(after, first), abs=1e-6)
    # the strip goes over the next piece, at the same turn
    _, seam = place.unrolled(placed[0], sheet.last_edge[0])
    mid = [sum(c) / len(sheet.peels[0].points) for c in zip(*sheet.peels[0].points, strict=True)]
    _, beyond = place.unrolled(placed[0], (mid[0], mid[1]))
    assert (beyond - seam) * placed[0].sweep > 0


@given(bent(), st.integers(min_value=3, max_value=60))
def test_bending_keeps_the_length_of_a_rim(made: tuple, count: int) -> None:
    sheet, placed = made
    turns = [2 * math.pi * k / 400 for k in range(401)]
    for rim, radius in (("start", placed[0].start_radius), ("end", placed[0].end_radius)):
        points = [
            place.in_space(placed[p.piece], p.at) for p in (rim_point(sheet, placed, rim, t) for t in turns)
        ]
        around = sum(math.dist(a, b) for a, b in pairwise(points))
        assert around == pytest.approx(2 * math.pi * radius, rel=2e-5)
        edge = sheet.start_edge if rim == "start" else sheet.end_edge
        assert edge * sheet.pieces == pytest.approx(2 * math.pi * radius, rel=1e-6)


def test_which_way_a_drum_runs() -> None:
    # who sits inside a drum that runs forward and looks down at the seam at its bottom, head to the
    # nose, has starboard at the right hand; in one that runs aft, head towards the tail, port
    sheet = blank(ring(132, 132, 38, 5, 1), Seam("flap", 15))
    forward = place.rolled(sheet, (0, 0, 0), place.FORWARD, place.UP, place.STARBOARD, math.pi)[0]
    quarter = sheet.ring.blank_length / 4
    assert place.in_space(forward, (quarter, 0)) == pytest.approx((0, 66, 0), abs=1e-9)
    assert place.in_space(forward, (quarter, 38)) == pytest.approx((-38, 66, 0), abs=1e-9)
    aft = place.rolled(sheet, (0, 0, 0), place.AFT, place.UP, place.STARBOARD, math.pi)[0]
    assert place.in_space(aft, (quarter, 38)) == pytest.approx((38, -66, 0), abs=1e-9)


def test_flat_frames_face_the_way_they_are_drawn() -> None:
    former = place.section_frame(118)
    assert place.in_space(former, (10, 20)) == (118, 10, 20)
    assert cross(former.u, former.v) == place.AFT
    side = place.side_frame(-40)
    assert place.in_space(side, (10, 20)) == (10, -40, 20)
    assert cross(side.u, side.v) == (0, -1, 0)
    top = place.top_frame(5)
    assert place.in_space(top, (10, 20)) == (10, 20, 5)
    assert cross(top.u, top.v) == place.UP


@given(bent(), bent())
def test_ticks_of_a_joint_meet(first: tuple, second: tuple) -> None:
    (one, one_placed), (two, two_placed) = first, second
    seams = (*seam_turns(one_placed), *seam_turns(two_placed))
    groups = match_turns(one.ring.end, seams)
    for sheet, placed, rim in ((one, one_placed, "end"), (two, two_placed, "start")):
        marks = [mark for piece in rim_marks(sheet, placed, rim, groups, "to mid") for mark in piece]
        assert len(marks) == sum(len(group) for group in groups)
        assert {mark.text for mark in marks} <= {"", "to mid"}
        for mark in marks:
            assert path.length(mark.path) == pytest.approx(min(TICK, 0.3 * sheet.ring.slant), abs=1e-6)
        found = sorted(
            math.remainder(place.unrolled(placed[i], mark.path.points[0])[1], 2 * math.pi)
            for i, piece in enumerate(rim_marks(sheet, placed, rim, groups, ""))
            for mark in piece
        )
        wanted = sorted(math.remainder(turn, 2 * math.pi) for group in groups for turn in group)
        assert found == pytest.approx(wanted, abs=1e-6)
    for turn in (turn for group in groups for turn in group):
        for seam in seams if len(seams) <= 2 else ():
            assert abs(math.remainder(turn - seam, 2 * math.pi)) * one.ring.end / 2 >= 8 - 1e-6


def test_groups_of_one_two_three() -> None:
    groups = match_turns(132, [math.pi])
    assert [len(group) for group in groups] == [1, 2, 3]
    assert [sum(group) / len(group) for group in groups] == pytest.approx([0, math.pi / 2, 3 * math.pi / 2])
    moved = match_turns(132, [0.0])
    assert moved[0][0] == pytest.approx(math.radians(10))


@given(
    st.floats(min_value=8, max_value=400),
    st.lists(st.floats(min_value=-7, max_value=7), max_size=12),
)
def test_groups_are_told_apart_on_rims_of_any_size(diameter: float, seams: list[float]) -> None:
    groups = match_turns(diameter, seams)
    assert [len(group) for group in groups] == [1, 2, 3]
    pitches = [b - a for group in groups for a, b in pairwise(group)]
    between = [
        abs(math.remainder(a - b, 2 * math.pi))
        for i, group in enumerate(groups)
        for other in groups[:i]
        for a in group
        for b in other
    ]
    assert max(pitches) == pytest.approx(min(pitches))
    assert min(between) >= 2.9 * max(pitches)
    assert min(pitches) * diameter / 2 >= min(3, 0.13 * diameter) - 1e-9
    for group, side in zip(groups, (0, math.pi / 2, 3 * math.pi / 2), strict=True):
        middle = math.remainder(sum(group) / len(group) - side, 2 * math.pi)
        assert abs(middle) <= math.radians(70) + 1e-9, "a group stays on its own side"


def test_twelve_millimetres_are_enough_for_six_ticks() -> None:
    """A cone of 12 mm at its end whose stack has seams below and at the left: two right, three left, one at the top."""
    groups = match_turns(12, [math.pi, math.pi + 0.5, math.pi])
    assert [round(math.degrees(sum(group) / len(group))) for group in groups] == [0, 90, 270]
    pitch = (groups[2][1] - groups[2][0]) * 6
    assert 1.4 < pitch < 3


def test_ticks_leave_the_middle_of_a_narrow_ring_free() -> None:
    assert tick_length(40) == TICK
    for room in (2.0, 6.5, 8.0):
        assert 2 * tick_length(room) < 0.65 * room


def test_the_top_line_is_at_the_top() -> None:
    sheet = blank(ring(132, 116, 25.75, 5, 1), Seam("flap", 15))
    placed = place.rolled(sheet, (0, 0, 0), place.FORWARD, place.UP, place.STARBOARD, math.pi)
    ((mark,),) = top_marks(sheet, placed)
    assert mark.kind == "top"
    assert [x for x, _ in mark.path.points] == pytest.approx([0, 0], abs=1e-9)
    assert path.length(mark.path) == pytest.approx(sheet.ring.slant / 3)
    on_top = place.rolled(sheet, (0, 0, 0), place.FORWARD, place.UP, place.STARBOARD, 0.0)
    assert top_marks(sheet, on_top) == ((),)
