"""Where panels meet, or halves do: nothing is left standing, nothing lies in anything else, and places out stay such."""

import math

import pytest
from ringwright.geometry.path import bounds
from ringwright.geometry.place import in_space

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


def test_no_control_surface_of_ribs_runs_past_a_section(judged, built):
    def text(end):
        control = f"control flap {{ chord = 25 mm, from = 150 mm, to = {end} mm, horn = 180 mm }}"
        return BROKEN.format("60 mm", f"{MID}\n{control}")

    assert judged(text(350)).errors == ["over-joint"]
    points = built(text(200)).part("main.flap.right").outline.points
    assert max(y for _, y in points) - min(y for _, y in points) == pytest.approx(50 - 2 * 0.5)


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
