"""Skins that meet at a section: the same ticks on both, where they lie in space, with the mate's name beside them."""

import math

import pytest
from ringwright.geometry.wrap.carry import in_space

COWL = "wrap cowl { over = [(0 mm, ellipse(50 mm, 54 mm)), (34 mm, ellipse(62 mm, 66 mm))], stock = board SEAM }\n"
CHEEK = (
    "wrap cheek { over = [(34 mm, ellipse(62 mm, 66 mm)), (80 mm, rect(70 mm, 80 mm))], stock = card ARC }\n"
)
ARC = ", arc = 35 deg to 145 deg"


def notches(part, to):
    """Where the ticks to a mate stand in space, those beside one name and those that follow it without one."""
    own = [k for k, mark in enumerate(part.marks) if mark.kind == "notch" and mark.text == to]
    found = []
    for k in own:
        for mark in part.marks[k : k + 3]:
            assert mark.kind == "notch"
            found.append(in_space(part.placement.facets, mark.path.points[0]))
    return found


def apart(some, others):
    return [min(math.dist(a, b) for b in others) for a in some]


def test_a_cheek_and_its_cowl_have_the_same_ticks(built):
    made = built(COWL.replace("SEAM", "") + CHEEK.replace("ARC", ARC))
    cowl = made.part("cowl")
    for hand in ("left", "right"):
        cheek = notches(made.part(f"cheek.{hand}"), "to cowl")
        mate = notches(cowl, f"to cheek.{hand}")
        assert len(cheek) == len(mate) == 3
        # On the board's outer face and in the middle of the card, and 4 mm apart on either.
        assert max(apart(cheek, mate)) < 0.3
        assert all(at[0] == pytest.approx(34, abs=0.1) for at in (*cheek, *mate))
        assert all((at[1] < 0) == (hand == "left") for at in (*cheek, *mate))


def test_one_hand_is_met_by_its_plain_name(built):
    made = built(COWL.replace("SEAM", "") + CHEEK.replace("ARC", f"{ARC}, hand = left"))
    assert max(apart(notches(made.part("cheek"), "to cowl"), notches(made.part("cowl"), "to cheek"))) < 0.3
    assert all(at[1] < 0 for at in notches(made.part("cowl"), "to cheek"))


def test_hands_meet_their_own(built):
    nose = "wrap nose { over = [(0 mm, ellipse(50 mm, 54 mm)), (34 mm, ellipse(62 mm, 66 mm))], stock = card, arc = 20 deg to 170 deg }\n"
    made = built(nose + CHEEK.replace("ARC", ARC))
    for hand in ("left", "right"):
        fore, aft = (
            notches(made.part(f"nose.{hand}"), "to cheek"),
            notches(made.part(f"cheek.{hand}"), "to nose"),
        )
        assert max(apart(fore, aft)) < 0.2


@pytest.mark.parametrize("seam", ["bottom", "30 deg", "200 deg"])
def test_seams_may_be_turned_against_one_another(built, seam):
    made = built(
        COWL.replace("SEAM", f", seam_at = {seam}")
        + CHEEK.replace("ARC", "").replace("rect(70 mm, 80 mm)", "circle(70 mm)")
    )
    fore, aft = notches(made.part("cowl"), "to cheek"), notches(made.part("cheek"), "to cowl")
    assert len(fore) == len(aft) == 3
    assert max(apart(fore, aft)) < 0.3


@pytest.mark.parametrize(
    "other", [CHEEK.replace("(34 mm, ", "(35 mm, "), CHEEK.replace("ellipse(62 mm, 66 mm)", "circle(60 mm)")]
)
def test_what_does_not_meet_has_no_ticks(built, other):
    made = built(COWL.replace("SEAM", "") + other.replace("ARC", ARC))
    assert not [mark for part in made.design.parts for mark in part.marks if mark.text.startswith("to c")]
