"""Where panels meet, or halves do: nothing is left standing, nothing lies in anything else, and places out stay such."""

import math
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st
from ringwright.geometry.path import bounds
from ringwright.geometry.place import in_space
from ringwright.geometry.solid.overlap import overlaps
from ringwright.geometry.takeoff.naca import naca
from ringwright.geometry.wing.cover import cover
from ringwright.geometry.wing.planform import Station, panels
from ringwright.geometry.wing.profile import profile_of
from ringwright.geometry.wrap.vector import dot, minus, plus

BENT = "wing main {{ at = 60 mm, span = 600 mm, root = 120 mm, tip = 90 mm, dihedral = 8 deg, stock = board\n{} }}\n"
BROKEN = (
    "wing main {{ at = 60 mm, span = 800 mm, root = 180 mm, tip = 120 mm, tip_back = 20 mm, stock = ply\n"
    'build = ribs, ribs = {}, aerofoil = aerofoil("2412")\n{} }}\n'
)
MID = "section mid { at = 200 mm, chord = 175 mm }"


def test_nothing_is_left_behind_a_hinge_at_a_bevelled_root(built):
    part = built(BENT.format("control aileron { chord = 25 mm, to = 200 mm }")).part("main.right")
    assert bounds(part.outline)[1] == pytest.approx(-4.8 * math.tan(math.radians(8)) / 2)
    inner = [x for x, y in part.outline.points if y < 1.0]
    assert max(inner) == pytest.approx(120 - 25, abs=0.1)


@pytest.mark.parametrize(("start", "gap"), [(0, 3), (80, 0.5), (80, 3)])
def test_a_horn_is_as_far_out_as_it_says(built, start, gap):
    text = (
        f"control aileron {{ chord = 25 mm, from = {start} mm, to = 280 mm, gap = {gap} mm, horn = 150 mm }}"
    )
    part = built(BENT.format(text)).part("main.aileron.right")
    (centre,) = part.centres
    _, y, _ = in_space(part.placement, centre.at)
    # It stands 6 mm square behind the hinge line, which is swept by this much at most.
    assert abs(y - 150) < 6 * 0.12
    further = (
        built(BENT.format(text.replace("horn = 150", "horn = 250"))).part("main.aileron.right").centres[0].at
    )
    cos = math.cos(math.radians(8))
    assert further[1] - centre.at[1] == pytest.approx(100 / cos)


def test_a_control_surface_of_ribs_runs_past_a_section_and_not_past_a_bend(judged, built):
    def text(section):
        control = "control flap { chord = 25 mm, from = 150 mm, to = 350 mm, horn = 250 mm }"
        return BROKEN.format("50 mm", f"{section}\n{control}")

    assert judged(text("section mid { at = 200 mm, dihedral = 2 deg }\ndihedral = 9 deg")).errors == [
        "over-joint"
    ]
    outcome = built(text(MID))
    flap = outcome.part("main.flap.right").outline
    points, (_, y0, _, y1) = flap.points, bounds(flap)
    assert (y0, y1) == pytest.approx((150.5, 349.5))
    # Straight in front, 25 mm and the gap before the trailing edge at both ends, and a corner behind where the section is.
    rear = {200.0: 175 + 10, 150.5: 180 + 5 * 0.7525, 349.5: 175 - 55 * 0.7475 + 10 + 10 * 0.7475}
    for y, x in rear.items():
        assert any(at == pytest.approx((x, y), abs=0.01) for at in points), (x, y)
    ends = sorted(((x, y) for x, y in points), key=lambda at: at[0])[:2]
    assert {y for _, y in ends} <= {y0, y1}
    # The ribs there end at the hinge line.
    across = {
        part.id: part for part in outcome.design.parts if ".rib." in part.id and part.id.endswith("right")
    }
    (a, b) = ((rear[150.5] - 24.5, 150.5), (rear[349.5] - 24.5, 349.5))
    checked = 0
    for part in across.values():
        far = max((in_space(part.placement, at) for at in part.outline.points), key=lambda at: at[0])
        if 160 < far[1] < 340:
            hinge = a[0] + (b[0] - a[0]) * (far[1] - a[1]) / (b[1] - a[1])
            # Half a millimetre of gap, and what it slopes by over a rib's thickness.
            assert -1.3 < far[0] - 60 - hinge < -0.5
            checked += 1
    assert checked >= 3


def test_nothing_is_left_of_a_plate_behind_a_control_surface_however_its_trailing_edge_bends(built):
    text = (
        "wing main { at = 60 mm, span = 600 mm, root = 120 mm, tip = 60 mm, tip_back = 30 mm, stock = board\n"
        "section one { at = 150 mm, chord = 150 mm, back = 10 mm }\n"
        "control flap { chord = 30 mm, from = 10 mm, to = 290 mm } }\n"
    )
    left = [at for at in built(text).part("main").outline.points if 10.1 < at[1] < 289.9]
    assert left
    assert max(x - 90 + 30 * (y - 10) / 280 for x, y in left) < 6


def test_what_cannot_be_joined_is_said_to_be_in_two_pieces(built):
    control = "control moving {{ chord = 25 mm, {}joined = yes }}"
    assert built(BENT.format(control.format(""))).warnings == ["without-effect"]
    flat = BENT.replace("dihedral = 8 deg, ", "")
    assert built(flat.format(control.format("from = 20 mm, "))).warnings == ["without-effect"]
    straight = flat.replace("tip = 90 mm", "tip = 120 mm")
    assert built(straight.format(control.format(""))).warnings == []
    ribs = BROKEN.format("60 mm", control.format(""))
    assert built(ribs).warnings == ["without-effect"]


@pytest.mark.parametrize("ribs", ["60 mm", "[0, 100, 200, 300, 400] mm"])
def test_webs_of_both_panels_are_slotted_for_the_rib_where_they_meet(built, ribs):
    outcome = built(BROKEN.format(ribs, f"{MID}\nspar web {{ at = 30 %, stock = ply }}"))
    first, second = outcome.part("main.web.1.right"), outcome.part("main.web.2.right")
    # Of a web without a slot at its end the end is as deep as the web is.
    for part, end in ((first, 2), (second, 0)):
        x = bounds(part.outline)[end]
        heights = [at[1] for at in part.outline.points if abs(at[0] - x) < 0.01]
        _, low, _, high = bounds(part.outline)
        assert max(heights) - min(heights) < 0.7 * (high - low)


def test_strips_end_in_the_plane_in_which_their_panels_meet(built):
    text = "section mid { at = 200 mm, dihedral = 3 deg }\ndihedral = 12 deg\n"
    outcome = built(
        BROKEN.format("60 mm", text + "spar cap { seat = upper, at = 45 %, stock = ply, width = 8 mm }")
    )
    rise, lean = 200 * math.tan(math.radians(3)), math.radians((3 + 12) / 2)
    for name, ends in (("1", slice(-2, None)), ("2", slice(2))):
        part = outcome.part(f"main.cap.{name}.right")
        for point in sorted(part.outline.points, key=lambda at: at[1])[ends]:
            _, y, z = in_space(part.placement, point)
            # Of the drawn face, half a thickness over the middle, where the ends meet.
            past = (y - 200) * math.cos(lean) + (z - rise) * math.sin(lean)
            assert abs(past) < 3 / 2 * math.tan(math.radians(4.5)) + 0.05


def test_a_sheet_across_is_alike_on_both_sides_and_its_controls_keep_clear_of_the_next(built):
    outcome = built(
        "wing two { at = 300 mm, span = 600 mm, root = 120 mm, tip = 90 mm, stock = board, dihedral = 20 deg\n"
        "section b { at = 200 mm, up = 0 mm }\n"
        "joiner k { at = 30 %, reach = 50 mm, stock = ply, joint = b }\n"
        "control flap { chord = 25 %, from = 100 mm, to = 200 mm, gap = 2 mm }\n"
        "control aileron { chord = 25 %, from = 200 mm, gap = 2 mm } }\n"
    )
    middle = outcome.part("two.1")
    assert middle.properties.centroid[1] == pytest.approx(0.0, abs=1e-6)
    ys = sorted(round(y, 3) for _, y in middle.outline.points)
    assert ys == pytest.approx([-y for y in reversed(ys)], abs=1e-3)
    assert any(abs(y + 150) < 0.01 for y in ys)
    # Both its ends are bevelled by half the angle, as the panels beyond are.
    assert ys[-1] == pytest.approx(200 + 4.8 * math.tan(math.radians(10)) / 2, abs=1e-3)
    assert len(middle.bevels) == len(outcome.part("two.2.left").bevels) * 2 == 2
    assert any(note.startswith("outer edge bevelled 0.8 mm (10°)") for note in middle.notes), middle.notes
    assert overlaps([part for part in outcome.design.parts if ".k." not in part.id]) == ()
    assert bounds(outcome.part("two.flap.right").outline)[3] == pytest.approx(198)
    aileron = outcome.part("two.aileron.right").outline
    assert bounds(aileron)[1] == pytest.approx(2)
    assert bounds(aileron)[3] == pytest.approx(100 / math.cos(math.radians(20)))


@pytest.mark.parametrize("rise", [0.00001, 3, 12])
def test_ribs_stand_within_a_twisted_skin_whose_ends_lean(built, rise):
    wide = "stock wide { kind = card, thickness = 0.4 mm, sheet = 700 mm by 500 mm }\n"
    skinned = f"skin = wide, skins = around, hand = right, washout = 3 deg, dihedral = {rise} deg"
    assert overlaps(built(wide + BROKEN.format("100 mm", skinned)).design.parts) == ()


@given(st.floats(-0.06, 0.06), st.floats(1e-7, 0.2))
def test_rulings_of_a_skin_never_pass_one_another_at_its_rims(twist, rise):
    profile = profile_of(naca("2412", 1000.0))
    stations = (Station("", 0, 180, 0, 0, 0, profile), Station("", 400, 120, 20, 400 * rise, twist, profile))
    panel = panels(stations, True)[0]
    made = cover(panel, "around", 0.4, 0.5)
    plain = cover(panel._replace(lean_in=panel.rise, lean_out=panel.rise), "around", 0.4, 0.5)
    before, after = plain.surface.space, made.surface.space
    assert len(after) == len(before)
    for (p, q), (old, following) in zip(pairwise(after), pairwise(before), strict=True):
        ahead = plus(minus(following[0], old[0]), minus(following[-1], old[-1]))
        assert all(dot(minus(b, a), ahead) >= 0 for a, b in zip(p, q, strict=True))
