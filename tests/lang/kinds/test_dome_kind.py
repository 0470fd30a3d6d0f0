"""Domes: rings one behind another, or petals side by side; which end they close, what they are and weigh."""

import math
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st
from ringwright.geometry.path import length

DRUM = "barrel drum { diameter = 60 mm, length = 20 mm }"
FACTOR = 300e-6  # g/mm2 of the card


def stack(inside, head="stock = card"):
    return f"stack s {{ {head}\n{inside}\n}}"


def test_a_closed_dome_of_gores(built):
    outcome = built(stack(f"{DRUM}\ndome d {{ depth = 30 mm, count = 12 }}"))
    gore = outcome.part("s.d.gore")
    assert (gore.quantity, outcome.value("s.d.start"), outcome.value("s.d.end")) == (12, 60.0, 0.0)
    assert outcome.value("s.overall") == pytest.approx(50.0)
    # Middles on the surface, the layer midway in the card: 2 (30 - 0.2) tan(15°) wide at the rim.
    rim, *seams = gore.edges
    assert rim.length == pytest.approx(2 * 29.8 * math.tan(math.pi / 12), abs=1e-6)
    assert [seam.mate for seam in seams] == ["d", "d"]
    assert (rim.mate, seams[0].bevel) == ("drum", pytest.approx(math.pi / 12))
    assert len(gore.scores) == 1
    assert length(gore.scores[0].path) == pytest.approx(seams[0].length, abs=1e-6)
    assert outcome.value("s.d.worst_deviation") == pytest.approx(30 * (1 / math.cos(math.pi / 12) - 1))


def test_what_is_known_of_a_dome_is_of_all_its_gores(built):
    outcome = built(stack(f"{DRUM}\ndome d {{ depth = 30 mm, count = 12, tab = 0 mm }}"))
    gore = outcome.part("s.d.gore")
    assert gore.properties.mass == pytest.approx(gore.properties.area * FACTOR)
    assert outcome.value("s.d.mass") == pytest.approx(12 * gore.properties.area * FACTOR)
    assert outcome.value("s.d.area") == pytest.approx(12 * gore.properties.area)
    # N petals of a hemisphere, on the layer midway: 2 N R² tan(pi / N), and more than the hemisphere itself.
    assert outcome.value("s.d.area") == pytest.approx(24 * 29.8**2 * math.tan(math.pi / 12), rel=1e-3)
    assert outcome.value("s.d.area") > 2 * math.pi * 29.8**2


def test_tabs_are_the_habit_of_card_and_not_of_board(built):
    card = built(stack(f"{DRUM}\ndome d {{ depth = 30 mm, count = 12 }}"))
    assert dict(card.design.defaults)["s.d.tab"] == "5 mm"
    board = built(stack(f"{DRUM}\ndome d {{ depth = 30 mm, count = 12 }}", "stock = board"))
    assert board.part("s.d.gore").scores == ()
    assert "seams bevelled 15°" in board.part("s.d.gore").notes


@pytest.mark.parametrize("runs", ["fore", "aft"])
def test_mass_lies_half_a_radius_above_the_rim_of_a_hemisphere(built, runs):
    outcome = built(
        stack(f"{DRUM}\ndome d {{ depth = 30 mm, count = 24 }}", f"stock = card, from = 0 mm, runs = {runs}")
    )
    x, y, z = outcome.part("s.d.gore").properties.centroid
    assert abs(x) == pytest.approx(20 + 15, abs=0.2)
    assert (x < 0, y, z) == (runs == "fore", 0.0, 0.0)


def test_a_dome_before_its_stack_is_the_same_dome_turned_round(built):
    after = built(stack(f"{DRUM}\ndome d {{ build = cones, depth = 30 mm, opening = 20 mm, count = 3 }}"))
    before = built(stack(f"dome d {{ build = cones, depth = 30 mm, opening = 20 mm, count = 3 }}\n{DRUM}"))
    assert after.value("s.d.start") == before.value("s.d.end") == 60.0
    assert after.value("s.d.length") == before.value("s.d.length") == pytest.approx(30 * math.sqrt(8) / 3)
    for number in (1, 2, 3):
        for name in ("half_angle", "slant", "length"):
            other = before.value(f"s.d.{4 - number}.{name}")
            assert after.value(f"s.d.{number}.{name}") == pytest.approx(other, abs=1e-6)
    assert before.part("s.d.3").edges[1].mate == "drum"
    assert before.part("s.drum").edges[0].mate == "d.3"


def test_a_hemisphere_of_rings_comes_as_near_as_is_known(built):
    """R (1 - cos(turn / 2 n)): a quarter turns 90°, cut off at an opening of a third of the diameter acos(1/3)."""
    outcome = built(
        stack(f"{DRUM}\ndome d {{ build = cones, depth = 30 mm, opening = 20 mm, count = 3 }}\nplate p {{ }}")
    )
    assert outcome.value("s.d.worst_deviation") == pytest.approx(
        30 * (1 - math.cos(math.acos(1 / 3) / 6)), abs=1e-5
    )
    assert "across the wall" in outcome.the("how-near").message
    assert outcome.value("s.p.diameter") == pytest.approx(20.0)


def test_both_ways_are_compared(built):
    rings = built(
        stack(f"{DRUM}\ndome d {{ build = cones, depth = 30 mm, opening = 10 mm, tolerance = 0.5 mm }}")
    )
    gores = built(stack(f"{DRUM}\ndome d {{ depth = 30 mm, tolerance = 0.5 mm }}"))
    near = rings.value("s.d.worst_deviation")
    needed = math.ceil(math.pi / math.acos(30 / (30 + near)))
    assert f"as gores it would take {needed} within that" in rings.the("how-near").message
    rings_needed = math.ceil(math.pi / 4 / math.acos(1 - gores.value("s.d.worst_deviation") / 30))
    assert f"as rings it would take {rings_needed} within that" in gores.the("how-near").message
    assert gores.value("s.d.count") == math.ceil(math.pi / math.acos(30 / 30.5))


@pytest.mark.parametrize(("fit", "where"), [("corners", "middles"), ("balanced", "middles and corners")])
def test_gores_fit_in_three_ways(built, fit, where):
    outcome = built(stack(f"{DRUM}\ndome d {{ depth = 30 mm, count = 12, fit = {fit} }}"))
    corner = math.cos(math.pi / 12)
    off = 30 * (1 - corner) if fit == "corners" else 30 * (1 - corner) / (1 + corner)
    assert outcome.value("s.d.worst_deviation") == pytest.approx(off)
    assert (
        f"at their {where}" in outcome.the("how-near").message
        or f"at {where}" in outcome.the("how-near").message
    )


def test_a_dome_by_its_own_profile(built):
    outcome = built(
        stack(
            "barrel drum { length = 20 mm }\ndome d { profile = curve[(0, 30), (20, 24), (30, 0)] mm, count = 12 }"
        )
    )
    assert outcome.value("s.drum.diameter") == pytest.approx(60.0)
    assert outcome.value("s.d.length") == pytest.approx(30.0)


def test_a_dome_by_the_profile_of_its_stack(built):
    text = "overall = 60 mm\nprofile = joined(polygon[(0, 30), (20, 30)] mm, quarter_ellipse(40 mm, 30 mm, 0 mm))\n"
    outcome = built(stack(text + "barrel drum { length = 20 mm }\ndome d { count = 12 }"))
    assert [outcome.value(f"s.d.{name}") for name in ("start", "end", "length")] == pytest.approx(
        [60.0, 0.0, 40.0]
    )


def test_depth_and_length_follow_from_one_another(built):
    outcome = built(stack(f"{DRUM}\ndome d {{ length = 24 mm, opening = 36 mm, count = 12 }}"))
    assert outcome.value("s.d.depth") == pytest.approx(30.0)


@pytest.mark.parametrize(
    ("inside", "code"),
    [
        (f"{DRUM}\ndome d {{ depth = 30 mm }}", "under-determined"),
        (f"{DRUM}\ndome d {{ build = cones, depth = 30 mm, count = 3 }}", "closed-bow"),
        (f"{DRUM}\ndome d {{ depth = 30 mm, count = 12 }}\nplate p {{ seat = inside }}", "no-neighbour"),
        (
            "barrel a { diameter = 60 mm, length = 20 mm }\ndome d { depth = 9 mm, count = 9 }\nbarrel b { length = 9 mm }",
            "dome-between",
        ),
        (f"{DRUM}\ndome d {{ depth = 30 mm, count = 2 }}", "no-size"),
        (f"{DRUM}\ndome d {{ depth = 30 mm, tolerance = 0.005 mm }}", "too-many"),
    ],
)
def test_what_is_wrong_with_a_dome_is_said_once(judged, inside, code):
    outcome = judged(stack(inside))
    assert outcome.errors == [code], outcome.said


def test_hands_and_quantities_of_gores(built):
    outcome = built(
        stack(
            f"{DRUM}\ndome d {{ depth = 30 mm, count = 12 }}",
            "stock = card, hand = both, quantity = 2, from = 0 mm, runs = fore, centre = (40 mm, 0 mm)",
        )
    )
    assert outcome.part("s.d.gore.left").quantity == 24
    assert outcome.part("s.d.gore.left").properties.centroid[1] == -40.0


@given(st.integers(20, 90), st.floats(0.4, 1.6), st.integers(6, 30))
def test_seams_of_gores_are_alike_and_as_long_as_they_are_on_the_dome(built, radius, flat, count):
    spec = stack(
        f"barrel drum {{ diameter = {2 * radius} mm, length = 20 mm }}\ndome d {{ depth = {flat * radius!r} mm, count = {count}, tab = 0 mm }}"
    )
    gore = built(spec).part("s.d.gore")
    _, one, other = gore.edges
    assert one.length == other.length
    # An ellipse of the corners: wider than the dome by sec(pi / N), longer than the dome's own meridian.
    across = radius / math.cos(math.pi / count)
    steps = 2000
    points = [
        (flat * radius * math.sin(math.pi / 2 * i / steps), across * math.cos(math.pi / 2 * i / steps))
        for i in range(steps + 1)
    ]
    around = math.fsum(math.dist(a, b) for a, b in pairwise(points))
    assert one.length == pytest.approx(around, abs=0.5)


def test_the_drum_is_marked_where_the_gores_middles_come(built):
    outcome = built(stack(f"{DRUM}\ndome d {{ depth = 30 mm, count = 9 }}"))
    drum, gore = outcome.part("s.drum"), outcome.part("s.d.gore")
    high = drum.edges[2].length
    ticks = sorted(
        mark.path.points[0][0]
        for mark in drum.marks
        if mark.kind == "notch" and mark.path.points[0][1] == high
    )
    assert len(ticks) == 9
    around = math.pi * 2 * 29.8
    assert [b - a for a, b in pairwise(ticks)] == pytest.approx([around / 9] * 8, abs=1e-6)
    # Clear of the seam by a quarter of that at least.
    assert min(ticks[0], around - ticks[-1]) > around / 9 / 4 - 1e-6
    (rim,) = [mark for mark in gore.marks if mark.text == "to drum"]
    assert rim.path.points[0] == (0.0, 0.0)


def test_both_seams_of_a_gore_have_the_same_ticks(built):
    gore = built(
        stack("barrel drum { diameter = 200 mm, length = 20 mm }\ndome d { depth = 80 mm, count = 8 }")
    ).part("s.d.gore")
    ends = [mark.path.points for mark in gore.marks if mark.kind == "notch" and not mark.text]
    assert len(ends) == 12
    mirrored = {tuple((round(-x, 9) + 0.0, round(y, 9)) for x, y in points) for points in ends}
    assert mirrored == {tuple((round(x, 9) + 0.0, round(y, 9)) for x, y in points) for points in ends}
