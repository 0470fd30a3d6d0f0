"""What a plate's label says of its seat: in which element, at which rim, how deep."""

import pytest

STACK = """
stack pot {{
    stock = board
    barrel tub {{ diameter = 120 mm, length = 40 mm }}
    cone mid {{ end = 90 mm, length = 40 mm }}
    plate p {{ {seat} }}
    {after}
}}
"""


@pytest.mark.parametrize(
    ("seat", "after", "notes"),
    [
        ("", "", ()),
        ("seat = inside", "", ("in mid", "flush with its small rim")),
        ("seat = inside, set_back = 12 mm", "", ("in mid", "12 mm behind its small rim")),
        ("seat = inside, within = tub", "", ("in tub", "flush with its rim to mid")),
        (
            "seat = straddle",
            "cone lip { end = 68 mm, length = 30 mm }",
            ("half in mid, half in lip",),
        ),
    ],
)
def test_a_plate_says_where_it_sits(built, seat, after, notes):
    part = built(STACK.format(seat=seat, after=after)).part("pot.p")
    said = [note for note in part.notes if "face" not in note and not note.startswith("bevel")]
    assert tuple(said) == notes


def test_a_bevel_and_its_face_are_rows_of_their_own(built):
    part = built(STACK.format(seat="seat = inside", after="")).part("pot.p")
    assert part.notes[-1] in ("smaller face up", "smaller face down")
    assert part.notes[-2].startswith("bevel ")
