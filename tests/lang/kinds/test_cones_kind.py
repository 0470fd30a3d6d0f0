"""Stacks with a profile: what their elements take from it, and the cones that come near to it."""

import math
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st
from ringwright.geometry.bow.profile import radius_at, smooth
from ringwright.geometry.part import Rolled
from ringwright.geometry.place import in_space

POINTS = [(0, 66), (40, 64), (80, 55), (104.8, 46)]
PROFILE = "profile = curve[(0, 66), (40, 64), (80, 55), (104.8, 46)] mm"
COWL = f"""
stack cowl {{
    from = 0 mm
    to = -104.8 mm
    stock = board
    {PROFILE}
    plate back {{ }}
    barrel drum {{ length = 30 mm }}
    cones bow {{ count = 3 }}
    plate front {{ seat = inside }}
}}
"""


def diameter(place):
    return 2 * radius_at(smooth(POINTS), place)


def names(outcome, id, count, *dimensions):
    return [[outcome.value(f"{id}.{n}.{name}") for name in dimensions] for n in range(1, count + 1)]


def test_diameters_left_out_are_the_profiles(built):
    outcome = built(COWL)
    # A bow is on the profile at both ends; the barrel beside it takes its diameter.
    assert outcome.value("cowl.drum.diameter") == pytest.approx(diameter(34.8), abs=1e-9)
    alone = built(
        f"stack s {{ stock = board\n{PROFILE}\nplate back {{ }}\nbarrel drum {{ length = 30 mm }} }}"
    )
    assert alone.value("s.drum.diameter") == pytest.approx(diameter(4.8), abs=1e-9)
    assert outcome.value("cowl.bow.end") == pytest.approx(92.0, abs=1e-9)


def test_cones_between_elements(built):
    outcome = built(
        f"stack s {{ stock = board, overall = 104.8 mm\n{PROFILE}\ncone a {{ length = 30 mm }}\ncones b {{ count = 2, length = 40 mm }}\n"
        "cone c { } }"
    )
    assert outcome.value("s.a.start") == pytest.approx(132.0, abs=1e-9)
    assert outcome.value("s.a.end") == outcome.value("s.b.start") == pytest.approx(diameter(30), abs=1e-9)
    assert outcome.value("s.b.end") == outcome.value("s.c.start") == pytest.approx(diameter(70), abs=1e-9)
    assert outcome.value("s.c.end") == pytest.approx(92.0, abs=1e-9)
    assert outcome.value("s.c.length") == pytest.approx(34.8, abs=1e-9)


def test_auto_asks_the_solver_in_place_of_the_profile(built):
    outcome = built(
        f"stack s {{ stock = board\n{PROFILE}\ncone a {{ half_angle = 20 deg, length = 30 mm, end = auto, taper = narrows }} }}"
    )
    assert outcome.value("s.a.end") == pytest.approx(132 - 60 * math.tan(math.radians(20)), abs=1e-9)


def test_joints_lie_on_the_profile_and_the_deviation_is_told(built):
    outcome = built(COWL)
    sizes = names(outcome, "cowl.bow", 3, "start", "end", "length", "x_start", "x_end")
    at = 34.8
    for start, end, length, x_start, x_end in sizes:
        assert (x_start, x_end) == pytest.approx((-at, -at - length), abs=1e-9)
        assert start == pytest.approx(diameter(at), abs=1e-5)
        at += length
        assert end == pytest.approx(diameter(min(at, 104.8)), abs=1e-5)
    worst = outcome.value("cowl.bow.worst_deviation")
    assert 0.1 < worst < 0.5
    assert outcome.the("how-near").severity == "note"
    assert (
        outcome.the("how-near").message
        == f"the 3 cones of 'cowl.bow' lie up to {worst:.2f} mm inside the profile"
    )
    assert outcome.underlined("how-near") == "bow"


def test_joints_may_leave_the_profile(built):
    on = built(COWL)
    off = built(COWL.replace("count = 3", "count = 3, nearest = yes"))
    assert off.value("cowl.bow.worst_deviation") < 0.8 * on.value("cowl.bow.worst_deviation")
    assert "inside and up to" in off.the("how-near").message
    kept = on.value("cowl.bow.worst_deviation")
    assert off.the("how-near").message.endswith(f"; with their joints on it up to {kept:.2f} mm")
    assert off.value("cowl.bow.1.start") == on.value("cowl.bow.1.start")


def test_a_profile_on_the_plan_follows_its_scale():
    from ringwright.lang.pipeline import compile_spec

    text = (
        'model bird {{ title = "M", plan_scale = 150 % by 120 % }}\n'
        "stock board {{ kind = foamboard, thickness = 4.8 mm, sheet = 762 mm by 508 mm }}\n"
        "stack s {{ stock = board, profile = {}, cones b {{ count = 2, length = @60 mm }} }}\n"
    )
    for profile in ("@curve[(0, 66), (30, 60), (60, 50)] mm", "@quarter_ellipse(60 mm, 66 mm, 50 mm)"):
        found = compile_spec("main.wright", lambda _path, profile=profile: text.format(profile).encode())
        assert found.design is not None
        values = found.design.values
        assert values["s.b.length"] == pytest.approx(90.0)
        assert (values["s.b.start"], values["s.b.end"]) == pytest.approx((132 * 1.2, 100 * 1.2))


def test_a_profile_among_lengths_off_the_plan_wants_its_mark(built):
    text = "stack s {{ stock = board, profile = {}[(0, 66), (30, 60), (60, 50)] mm\nbarrel b {{ length = @20 mm }} }}"
    forgotten = built(text.format("curve"))
    assert forgotten.warnings == ["mixed-marks"]
    assert forgotten.underlined("mixed-marks").startswith("curve[")
    assert built(text.format("@curve")).warnings == []


def test_each_cone_is_a_part_with_its_mates(built):
    outcome = built(COWL)
    mates = {
        id: [edge.mate for edge in outcome.part(id).edges[:2]]
        for id in ("cowl.drum", "cowl.bow.1", "cowl.bow.2", "cowl.bow.3")
    }
    assert mates == {
        "cowl.drum": ["back", "bow.1"],
        "cowl.bow.1": ["drum", "bow.2"],
        "cowl.bow.2": ["bow.1", "bow.3"],
        "cowl.bow.3": ["bow.2", ""],
    }
    assert "cone 2 of 3" in outcome.part("cowl.bow.2").notes


def test_rims_that_meet_are_as_long_and_their_ticks_fall_on_each_other(built):
    outcome = built(COWL)
    row = [outcome.part(id) for id in ("cowl.drum", "cowl.bow.1", "cowl.bow.2", "cowl.bow.3")]
    for before, after in pairwise(row):
        assert before.edges[1].length == pytest.approx(after.edges[0].length, abs=1e-9)
        assert ticks(before, 1) == pytest.approx(ticks(after, 0), abs=1e-6)
        assert len(ticks(before, 1)) == 18


def ticks(part, end):
    """Where the ticks of a rim begin, in the aircraft, x first; sorted."""
    placement = part.placement
    assert isinstance(placement, Rolled)
    at = placement.origin[0] + (placement.axis[0] * placement.length if end else 0.0)
    places = [in_space(placement, mark.path.points[0]) for mark in part.marks if mark.kind == "notch"]
    found = [tuple(round(value, 6) for value in place) for place in places]
    return [value for point in sorted(found) if abs(point[0] - at) < 1e-3 for value in point]


def test_seams_are_staggered_all_along(built):
    outcome = built(COWL)
    turns = [
        round(math.degrees(outcome.part(id).placement.turn_at_seam))
        for id in ("cowl.drum", "cowl.bow.1", "cowl.bow.2", "cowl.bow.3")
    ]
    assert turns == [180, 195, 180, 165]


def test_blanks_that_fit_no_sheet_whole_come_in_pieces(built):
    outcome = built(
        "stack s { stock = card, profile = curve[(0, 60), (100, 90), (200, 80)] mm\ncones b { count = 2, length = 200 mm } }"
    )
    ids = [part.id for part in outcome.design.parts]
    assert {"s.b.1.1", "s.b.1.2", "s.b.2.1", "s.b.2.2"} <= set(ids)
    assert outcome.value("s.b.area") == pytest.approx(
        sum(part.properties.area for part in outcome.design.parts)
    )


def test_a_plate_sits_within_the_last_cone(built):
    outcome = built(COWL)
    end, slant, length, half_angle = names(outcome, "cowl.bow", 3, "end", "slant", "length", "half_angle")[2]
    inside = end - 2 * 4.8 * slant / length
    assert outcome.value("cowl.front.diameter_outer_face") == pytest.approx(inside, abs=1e-9)
    wider = inside + 2 * 4.8 * math.tan(half_angle)
    assert outcome.value("cowl.front.diameter_inner_face") == pytest.approx(wider, abs=1e-9)
    assert outcome.value("cowl.front.bevel") == pytest.approx(half_angle, abs=1e-12)
    assert "in bow.3" in outcome.part("cowl.front").notes


def test_a_plate_half_in_a_bow_and_half_in_a_barrel(built):
    outcome = built(
        f"stack s {{ stock = board, overall = 104.8 mm\n{PROFILE}\ncones b {{ count = 2 }}\nplate p {{ seat = straddle }}\nbarrel d {{ length = 24 mm }} }}"
    )
    assert "half in b.2, half in d" in outcome.part("s.p").notes


def test_a_plate_too_thick_for_its_cone(judged):
    outcome = judged(COWL.replace("count = 3", "count = 20"))
    assert outcome.errors == ["plate-too-thick"]
    assert "into 'cowl.bow.20'" in outcome.the("plate-too-thick").message


def test_a_hole_lies_in_the_cone_at_its_place(built):
    outcome = built(COWL.replace("count = 3", "count = 3, hole h { diameter = 6 mm, at = (-70 mm, 90 deg) }"))
    holes = {n: len(outcome.part(f"cowl.bow.{n}").holes) for n in (1, 2, 3)}
    assert holes == {1: 0, 2: 1, 3: 0}


def test_a_hole_beyond_the_bow_is_said_once(judged):
    outcome = judged(
        COWL.replace("count = 3", "count = 3, hole h { diameter = 6 mm, at = (-20 mm, 90 deg) }")
    )
    assert outcome.errors == ["hole-outside"]


def test_names_of_a_bow_may_be_used(built):
    outcome = built(
        COWL.replace("count = 3", "tolerance = 0.5 mm")
        + "require cowl.bow.worst_deviation < 0.5 mm\nrequire cowl.bow.count == 3\nlet bow_mass = cowl.bow.mass\n"
    )
    assert outcome.value("bow_mass") == outcome.value("cowl.bow.mass")


@pytest.mark.parametrize(
    ("element", "code"),
    [
        ("cones b { }", "under-determined"),
        ("cones b { count = 2 }", "under-determined"),
        ("cones b { count = 2, length = 120 mm }", "beyond-line"),
        ("cones b { count = 2.5, length = 60 mm }", "not-whole"),
        ("cone b { half_angle = 5 deg }", "one-way"),
        (
            "barrel a { diameter = 120 mm, length = 20 mm }\ncones b { count = 2, length = 40 mm }",
            "over-determined",
        ),
    ],
)
def test_what_is_wrong_is_said_once(judged, element, code):
    outcome = judged(f"stack s {{ stock = board\n{PROFILE}\n{element} }}")
    assert set(outcome.errors) == {code}, outcome.said


@pytest.mark.parametrize(
    ("profile", "code"),
    [
        ("circle(60 mm)", "closed-profile"),
        ("polygon[(0, 60), (40, 50), (30, 40)] mm", "profile-turns-back"),
        ("polygon[(0, 60), (40, 50), (60, -5)] mm", "profile-below-axis"),
        ("polygon[(0, 60), (40, 50), (60, 30)]", "missing-unit"),
        ("joined(polygon[(0, 60), (20, 60)] mm, quarter_ellipse(40 mm, 50 mm, 20 mm))", "diameters-differ"),
    ],
)
def test_a_profile_that_is_none(judged, profile, code):
    outcome = judged(
        f"stack s {{ stock = board, profile = {profile}\ncones b {{ count = 2, length = 40 mm }}\nplate p {{ }} }}"
    )
    assert outcome.errors == [code], outcome.said


def test_profiles_one_behind_another(built):
    outcome = built(
        "stack s { stock = card, profile = joined(polygon[(0, 30), (20, 30)] mm, quarter_ellipse(40 mm, 30 mm, 15 mm))\n"
        "cones b { count = 4, length = 60 mm } }"
    )
    assert outcome.value("s.b.end") == pytest.approx(30.0)
    assert outcome.value("s.b.1.start") == 60.0


@given(
    st.lists(st.integers(-6, 12), min_size=3, max_size=5),
    st.integers(1, 5),
    st.integers(10, 40),
)
def test_lengths_add_up_and_rims_meet_whatever_the_profile(built, steps, count, drum):
    radius, points = 90, [(0, 90)]
    for number, step in enumerate(steps, 1):
        radius -= step
        points.append((30 * number, radius))
    overall = 30 * len(steps)
    outcome = built(
        f"stack s {{ stock = board, overall = {overall} mm, profile = polygon{points} mm\n"
        f"cone c {{ length = {drum} mm }}\ncones b {{ count = {count} }} }}"
    )
    sizes = names(outcome, "s.b", count, "start", "end", "length")
    assert math.fsum(length for _, _, length in sizes) == pytest.approx(overall - drum, abs=1e-9)
    assert sizes[0][0] == outcome.value("s.c.end")
    assert sizes[-1][1] == outcome.value("s.b.end") == pytest.approx(2 * radius, abs=1e-9)
    for (_, end, _), (start, _, _) in pairwise(sizes):
        assert end == start
    firsts = [
        id if f"s.{id}" in {part.id for part in outcome.design.parts} else f"{id}.1" for id in rings(count)
    ]
    edges = [outcome.part(f"s.{id}").edges for id in firsts]
    around = [
        [edge.length * pieces(outcome, id) for edge in found[:2]]
        for id, found in zip(rings(count), edges, strict=True)
    ]
    for (_, end), (start, _) in pairwise(around):
        assert end == pytest.approx(start, abs=1e-6)


def rings(count):
    return ["c", *(f"b.{number}" for number in range(1, count + 1))]


def pieces(outcome, id):
    return sum(
        part.id == f"s.{id}" or part.id.rpartition(".")[0] == f"s.{id}" for part in outcome.design.parts
    )


@given(st.integers(15, 45), st.floats(0.2, 2.0))
def test_a_tolerance_takes_the_fewest_cones_that_keep_it(built, lean, tolerance):
    spec = f"stack s {{ stock = board, profile = curve[(0, 80), (50, {80 - lean // 3}), (100, {80 - lean})] mm\ncones b {{ length = 100 mm, {{}} }} }}"
    found = built(spec.replace("{}", f"tolerance = {tolerance!r} mm"))
    count = round(found.value("s.b.count"))
    assert found.value("s.b.worst_deviation") <= tolerance + 1e-9
    if count > 1:
        fewer = built(spec.replace("{}", f"count = {count - 1}"))
        assert fewer.value("s.b.worst_deviation") > tolerance
