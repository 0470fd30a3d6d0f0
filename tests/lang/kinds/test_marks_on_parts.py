"""Marks and notes by which a builder tells one end, rim or side of a part from another."""

import math

import pytest
from ringwright.geometry.path import length
from ringwright.geometry.within import within
from ringwright.lang.design.making import Maker

TANK = """
stack tank {{
    axis = {axis}
    from = 0 mm
    to = 90 mm
    stock = card
    seam = lap(8 mm)
    plate bottom {{ hole tap {{ diameter = 6 mm, at = (15 mm, 5 mm), fit = tube }} }}
    cone foot {{ start = 40 mm, half_angle = 20 deg }}
    barrel body {{ diameter = 56 mm }}
}}
"""


@pytest.mark.parametrize(("axis", "word"), [("along", "top"), ("across", "top"), ("up", "fore")])
def test_the_line_on_a_wall_says_which_side_of_the_model_it_is(built, axis, word):
    outcome = built(TANK.format(axis=axis))
    for id in ("tank.foot", "tank.body"):
        assert [mark.text for mark in outcome.part(id).marks if mark.kind == "top"] == [word]


def test_a_lap_has_a_line_where_the_other_edge_comes(built):
    outcome = built(TANK.format(axis="up"))
    (barrel,) = [mark for mark in outcome.part("tank.body").marks if mark.text == "lap"]
    round = math.pi * (56 - 0.4)  # bent about the middle of the card
    assert [x for x, _ in barrel.path.points] == pytest.approx([round, round], abs=1e-6)
    (cone,) = [mark for mark in outcome.part("tank.foot").marks if mark.text == "lap"]
    assert length(cone.path) == pytest.approx(outcome.value("tank.foot.slant"))
    for id in ("tank.body", "tank.foot"):
        assert "lap 8 mm, outside" in outcome.part(id).notes


def test_a_label_says_how_a_hole_for_a_tube_is_cut(built):
    outcome = built(TANK.format(axis="up"))
    assert "tap ø 6.3 mm: tube 6 mm" in outcome.part("tank.bottom").notes
    panel = "panel p { stock = ply, outline = rect(80 mm, 60 mm), hole h { diameter = 4 mm }, hole rod { diameter = 2 mm, at = (20 mm, 0 mm), fit = rod } }"
    assert built(panel).part("p").notes[1:] == ("rod ø 2.2 mm: rod 2 mm",)


def test_notes_speak_of_lengths_in_the_models_unit(compiled):
    text = 'model t { title = "T", units = in, fraction = 32 }\n'
    text += "stock card { kind = card, thickness = 0.4 mm, sheet = 297 mm by 210 mm }\n"
    notes = (
        compiled(text + TANK.format(axis="up").replace("half_angle = 20", "half_angle = 50"))
        .part("tank.foot")
        .notes
    )
    said = " ".join(notes)
    assert " mm" not in said
    assert "lap 5/16 in, outside" in notes
    assert f"bevel {0.4 * math.tan(math.radians(50)) / 25.4:.3f} in (50°) both rims" in notes


@pytest.mark.parametrize(("half_angle", "speaks"), [(7.1, False), (20, False), (40, True)])
def test_what_cannot_be_bevelled_is_not_spoken_of(built, half_angle, speaks):
    part = built(TANK.format(axis="up").replace("20 deg", f"{half_angle} deg")).part("tank.foot")
    assert any("bevel" in note for note in part.notes) == speaks


RING = """
stack cowl {{
    from = 0 mm
    to = -40 mm
    stock = board
    ring base {{ diameter = 110 mm, rim = 16 mm
        {slot}
    }}
    barrel drum {{ diameter = 110 mm }}
}}
"""


def turns(part, rim):
    ticks = [mark.path.points for mark in part.marks if mark.kind == "notch"]
    return sorted(math.atan2(x, y) for (x, y), _ in ticks if abs(math.hypot(x, y) - rim) < 1e-6)


def test_no_tick_is_lost_in_a_slot(built):
    slot = "slot key { takes = ply, length = 30 mm, at = (0 mm, 55 mm), turned = 90 deg }"
    plain, slotted = (built(RING.format(slot=text)) for text in ("", slot))
    assert turns(plain.part("cowl.base"), 55)[3] == pytest.approx(0, abs=1e-9)
    base, drum = slotted.part("cowl.base"), slotted.part("cowl.drum")
    found = turns(base, 55)
    assert len(found) == 6
    assert 0.1 < min(abs(turn) for turn in found) < 0.4, "beside the slot, not in it"
    for (x, y), (u, v) in (mark.path.points for mark in base.marks if mark.kind == "notch"):
        assert within(base.outline, ((0.01 * u + 0.99 * x), (0.01 * v + 0.99 * y)))
        assert within(base.outline, (u, v))
    # What meets it has its ticks at the same turns.
    round = drum.far[0].points[0][0]
    across = [mark.path.points[0][0] for mark in drum.marks if mark.kind == "notch" and mark.text != ""]
    assert len([mark for mark in drum.marks if mark.kind == "notch"]) == 12
    assert any(abs(abs(x / round - 0.5) * 2 * math.pi - min(abs(t) for t in found)) < 0.02 for x in across)


def test_ticks_on_a_narrow_ring_do_not_run_together(built):
    part = built(
        "stack s { stock = card\n ring tip { diameter = 24 mm, inside = 8 mm, stock = board }\n barrel b { diameter = 24 mm, length = 20 mm } }"
    ).part("s.tip")
    outer = [math.hypot(*mark.path.points[1]) for mark in part.marks if mark.kind == "notch"]
    inner = [math.hypot(*mark.path.points[1]) for mark in part.marks if mark.kind == "line"]
    assert len(outer) == 6
    assert len(inner) == 4
    assert min(outer) - max(inner) > 2.0


@pytest.mark.parametrize("hole", ["", "hole light { diameter = 14 mm }"])
def test_a_small_former_has_its_top_and_its_datum(built, hole):
    part = built(
        f"former F6 {{ at = 10 mm, stock = ply, outline = superellipse(27 mm, 27 mm, 2.6), {hole} }}"
    ).part("F6")
    (top,) = [mark for mark in part.marks if mark.text == "top"]
    assert top.path.points[0] == pytest.approx((0, 13.5), abs=0.01)
    rim = 27.0 / 4 if not hole else 6.5 / 2
    assert length(top.path) == pytest.approx(rim, abs=0.01)
    assert sorted(mark.text for mark in part.marks if mark.kind == "datum") == ["", "datum"]
    assert part.centres


def test_no_tick_of_a_former_runs_over_an_opening(built):
    part = built(
        "former F2 { at = 10 mm, stock = ply, outline = circle(80 mm), hole light { rim = 5 mm } }"
    ).part("F2")
    lengths = [length(mark.path) for mark in part.marks if mark.kind in ("top", "line", "datum")]
    assert lengths == pytest.approx([2.5] * 4, abs=0.01)


def test_a_range_of_lengths_names_its_unit_once():
    maker = Maker.__new__(Maker)
    maker._units = ("in", 32)
    assert maker.span(25.4 / 4, 25.4 / 2) == "1/4 to 1/2 in"
    maker._units = ("mm", None)
    assert maker.span(0.4, 0.6) == "0.4 to 0.6 mm"
    assert maker.span(0.41, 0.42) == "0.4 mm"
