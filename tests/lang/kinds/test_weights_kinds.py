"""Loads, bought parts, allowances and what the scale says: what each takes, and what it comes to."""

import math

import pytest
from ringwright.geometry.path import signed_area

STACK = (
    "stack cowl {{ from = 0 mm, to = -60 mm, stock = board, quantity = {copies}{more}\n"
    "barrel drum {{ diameter = 120 mm, length = 30 mm{drum} }}\nbarrel lip {{ }}\n}}\n"
)


def stack(more: str = "", drum: str = "", copies: int = 1) -> str:
    return STACK.format(more=more and f", {more}", drum=drum and f", {drum}", copies=copies)


FORMER = "former F2 { at = 118 mm, stock = ply, outline = rect(80 mm, 60 mm) }\n"


# -- loads and bought parts -----------------------------------------------------------------------


def test_a_load_lies_at_a_place_a_point_or_a_station(built):
    found = built(
        "station F1 { x = 20 mm }\nload motor { mass = 90 g, at = F1 - 30 mm }\n"
        "load servo { mass = 9 g, at = (300 mm, -20 mm, 4 mm), quantity = 2 }\n"
        "former F9 { at = motor.x + 60 mm, stock = ply, outline = circle(50 mm) }\n"
    )
    assert [found.value(f"motor.{axis}") for axis in "xyz"] == [-10, 0, 0]
    assert [found.value(f"servo.{axis}") for axis in "xyz"] == [300, -20, 4]
    assert found.value("F9.x") == 50
    former = found.part("F9").properties
    assert found.value("test.mass") == pytest.approx(90 + 18 + former.mass, abs=1e-9)
    moment = 90 * -10 + 18 * 300 + former.mass * former.centroid[0]
    assert found.value("test.balance_x") == pytest.approx(moment / found.value("test.mass"), abs=1e-9)
    assert found.value("test.balance_y") == pytest.approx(18 * -20 / found.value("test.mass"), abs=1e-9)


def test_a_point_on_a_stretched_plan_runs_along_and_across(compiled):
    text = (
        'model test { title = "Test", plan_scale = 200 % by 300 % }\n'
        "load servo { mass = 9 g, at = @(10, 20, 30) mm }\nload motor { mass = 9 g, at = @-10 mm }\n"
        "load battery { mass = 9 g, at = @10 mm to @20 mm }\n"
    )
    found = compiled(text)
    assert found.errors == [], found.said
    assert [found.value(f"servo.{axis}") for axis in "xyz"] == [20, 60, 90]
    assert found.value("motor.x") == -20
    assert found.value("battery.x") == 30  # the middle of 20 to 40


def test_what_is_weighed_stands_for_what_was_said(built):
    assert built("load motor { mass = 90 g, weighed = 96 g, at = 0 mm }\n").value("test.mass") == 96
    found = built("load motor { weighed = 96 g, at = 0 mm }\n")
    assert (found.value("motor.mass"), found.value("test.mass")) == (96, 96)


def test_a_load_without_a_mass_is_missed_once(judged):
    found = judged("load motor { at = 0 mm }\nrequire motor.mass < 9 g\n")
    assert found.errors == ["missing-property"]
    assert found.underlined("missing-property") == "motor"


@pytest.mark.parametrize(
    "at", ["30 g", "(1 mm, 2 mm)", "rect(2 mm, 3 mm)", "10 mm by 20 mm", "1 g to 2 g", '"here"']
)
def test_what_is_no_place_is_refused(judged, at):
    found = judged(f"load motor {{ mass = 9 g, at = {at} }}\n")
    assert found.errors == ["wrong-type"], found.said
    assert "a place along x, a point (x, y, z) or a range of places" in found.the("wrong-type").message


def test_a_load_in_a_recipe_made_for_both_hands_lies_on_both_sides(built):
    found = built(
        "recipe wing() {\npanel tip { outline = rect(40 mm, 30 mm), stock = board, view = top, place = (0 mm, 90 mm, 0 mm) }\n"
        "load servo { mass = 9 g, at = (30 mm, 60 mm, 0 mm) }\n}\nmake wing w { hand = both }\n"
    )
    servos = [entry for entry in found.design.weighed.entries if entry.sort == "load"]
    assert [(entry.name, entry.at[1]) for entry in servos] == [("w.servo.right", 60), ("w.servo.left", -60)]
    assert found.value("test.balance_y") == pytest.approx(0, abs=1e-9)


def test_bought_parts_count_where_they_weigh(built):
    found = built(
        'buy wheels { title = "wheel", count = 2, price = 2.40 EUR, mass = 18 g, at = (60 mm, 0 mm, -95 mm) }\n'
        "buy glue { count = 3 }\n"
    )
    assert found.value("test.mass") == 36
    assert found.value("test.balance_z") == -95
    wheels, glue = [each for each in found.design.shopping if not each.sheet]
    assert (wheels.title, wheels.count, wheels.price, wheels.currency) == ("wheel", 2, 2.4, "EUR")
    assert (glue.title, glue.count, glue.price, glue.currency) == ("glue", 3, None, "")


# -- allowances -----------------------------------------------------------------------------------


def allowances(found) -> float:
    return sum(entry.mass for entry in found.design.weighed.entries if entry.sort == "allowance")


def test_paint_goes_by_the_area_of_what_it_is_on(built):
    found = built(FORMER + stack() + "allowance paint { mass = 100 g/m2, on = [ply, cowl.lip], faces = 2 }\n")
    area = found.part("F2").properties.area + found.part("cowl.lip").properties.area
    assert allowances(found) == pytest.approx(area * 2 * 100e-6, rel=1e-12)
    whole = built(FORMER + stack(copies=3) + "allowance paint { mass = 100 g/m2 }\n")
    areas = sum(part.properties.area * part.quantity for part in whole.design.parts)
    assert allowances(whole) == pytest.approx(areas * 100e-6, rel=1e-12)


@pytest.mark.parametrize(("along", "length"), [("seams", 60.0), ("joints", 60.0 + 1), ("edges", 60.0 + 4)])
def test_glue_goes_by_the_length_of_seams_and_joints(built, along, length):
    found = built(stack() + f"allowance glue {{ mass = 4 g/m, along = {along} }}\n")
    seams, rims = divmod(length, 60)
    rim = found.part("cowl.lip").edges[0].length
    # Where drum and lip meet, each of them counts half of the joint; two more rims are free.
    assert allowances(found) == pytest.approx((60 * seams + rims * rim) * 4e-3, rel=1e-6)


def test_a_plain_mass_is_spread_over_the_area_and_lies_with_it(built):
    found = built(FORMER + "allowance paint { mass = 12 ± 2 g }\n")
    former = found.part("F2").properties
    assert found.value("test.mass") == pytest.approx(former.mass + 12, abs=1e-9)
    assert found.value("test.balance_x") == pytest.approx(former.centroid[0], abs=1e-9)
    assert found.design.solution.plus_minus("test.mass") == pytest.approx((2, 2))


def test_an_allowance_on_nothing_is_doubted(judged):
    assert judged(FORMER + "allowance paint { mass = 9 g/m2, on = card }\n").warnings == ["nothing-to-coat"]
    assert judged(FORMER + "allowance paint { mass = 9 kg/m3 }\n").errors == ["unit-mismatch"]


# -- what the scale says --------------------------------------------------------------------------


def test_a_part_and_a_stack_that_were_weighed(built):
    found = built(stack(drum="weighed = 11 g") + "require cowl.drum.mass == 11 g\n")
    assert found.part("cowl.drum").properties.mass == 11
    assert found.value("cowl.drum.mass") == 11
    plain = built(stack())
    lip, drum = (plain.part(f"cowl.{name}").properties.mass for name in ("lip", "drum"))
    assert found.value("test.mass") == pytest.approx(11 + lip)
    whole = built(stack(more="weighed = 30 g", copies=2))
    assert whole.value("test.mass") == pytest.approx(60)
    assert whole.part("cowl.lip").properties.mass == pytest.approx(30 * lip / (lip + drum))


def test_a_weighing_gives_a_stock_without_a_mass_its_mass(compiled):
    text = 'model test { title = "Test" }\nstock board { kind = foamboard, thickness = 5 mm, sheet = 700 mm by 500 mm }\n'
    found = compiled(text + stack(more="weighed = 30 ± 1 g"))
    assert found.said == []
    assert found.value("test.mass") == pytest.approx(30)
    assert found.design.solution.plus_minus("test.mass") == pytest.approx((1, 1))


def test_hands_are_weighed_each(built):
    panel = "panel e { outline = rect(40 mm, 30 mm), stock = board, hand = both, view = top, place = (0 mm, 50 mm, 0 mm)"
    found = built(panel + ", weighed = 4 g }\n")
    assert [part.properties.mass for part in found.design.parts] == [4, 4]
    assert found.value("test.mass") == 8


def test_the_layers_of_a_ring_lie_about_its_middle(built):
    text = "stack nose {{ {}, stock = board\n ring lip {{ diameter = 120 mm, rim = 12 mm, layers = 5 }}\n}}\n"
    for ends in ("from = 100 mm, runs = fore", "from = 100 mm, runs = aft", "to = 100 mm, runs = aft"):
        found = built(text.format(ends))
        middle = (found.value("nose.lip.x_start") + found.value("nose.lip.x_end")) / 2
        assert found.value("test.balance_x") == pytest.approx(middle, abs=1e-9)
        assert found.value("test.mass") == pytest.approx(5 * found.value("nose.lip.mass"))


# -- sheets ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("given", "spread"),
    [
        ("mass = 400 ± 8 g/m2", 8 / 400),
        ("density = 80 ± 2 kg/m3", 2 / 80),
        ("sheet_mass = 140 ± 7 g", 7 / 140),
    ],
)
def test_how_well_a_sheet_was_weighed_is_carried(compiled, given, spread):
    text = f'model test {{ title = "Test" }}\nstock board {{ kind = foamboard, thickness = 5 mm, sheet = 700 mm by 500 mm, {given} }}\n'
    found = compiled(text + "former F2 { at = 0 mm, stock = board, outline = rect(200 mm, 100 mm) }\n")
    assert found.value("test.mass") == pytest.approx(8)
    assert found.design.solution.plus_minus("test.mass") == pytest.approx((8 * spread, 8 * spread))


def test_paper_that_is_left_or_taken_off_is_carried_as_such(compiled):
    text = (
        'model test { title = "Test" }\nstock board { kind = foamboard, thickness = 5 mm, sheet = 700 mm by 500 mm, '
        "mass = 400 ± 8 g/m2, facing = 0.3 mm, facing_mass = 100 ± 5 g/m2 }\n" + stack()
    )
    found = compiled(text)
    rings = found.design.parts
    peeled = sum(abs(signed_area(peel)) for ring in rings for peel in ring.peels)
    assert peeled > 800  # flaps of 15 mm by 30 mm
    # Each has lost its inner paper: whole sheet less one face, and one face on the flap.
    bent = sum(ring.properties.area for ring in rings) - peeled
    assert found.value("test.mass") == pytest.approx(bent * 400e-6 + (peeled - bent) * 100e-6)
    rss, worst = found.design.solution.plus_minus("test.mass")
    parts = (8e-6 * bent, 5e-6 * (bent - peeled))
    assert rss == pytest.approx(math.hypot(*parts))
    assert worst == pytest.approx(sum(parts))
