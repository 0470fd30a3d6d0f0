"""Tables of offsets: sections at stations and between them, and stations that stick out."""

import pytest
from ringwright.geometry.path import bounds

TABLE = """
offsets fuselage {{
    section = {shape}
    | station | x [@mm] | half [@mm] | top [@mm] | bottom [@mm] |
    | F1      |   0     |   44       |   52      |  -40         |
    | F2      | 100     |            |   56      |  -44         |
    | F3      | 200     |   48       |   60      |  -48         |
}}
"""
BOX = TABLE.format(shape="box")


def test_a_former_takes_place_and_outline_from_the_station_of_its_name(built):
    made = built(f"{BOX}former F2 {{ stock = board }}")
    assert made.value("F2.x") == 100
    assert bounds(made.part("F2").outline) == pytest.approx((-46, -44, 46, 56))


def test_the_section_is_that_of_the_place_where_the_former_stands(built):
    made = built(
        f"{BOX}former doubler {{ at = F2 + 50 mm, stock = board }}\nformer F3 {{ at = 100 mm, stock = board }}"
    )
    assert bounds(made.part("doubler").outline) == pytest.approx((-47, -46, 47, 58))
    assert bounds(made.part("F3").outline) == pytest.approx((-46, -44, 46, 56))


def test_a_station_may_stand_for_a_shape(built):
    made = built(
        f"{BOX}former F2 {{ stock = board, outline = inset(F2, 3 mm) }}\n"
        "panel plug { stock = board, outline = F3 }\n"
        "panel other { stock = board, outline = inset(plug, 1 mm) }\n"
        "former bow { at = 20 mm, stock = board, outline = fuselage.section(100 mm) }"
    )
    assert made.value("F2.width") == pytest.approx(86)
    assert made.value("plug.width") == pytest.approx(96)
    assert made.value("other.width") == pytest.approx(94)
    assert made.value("bow.width") == pytest.approx(92)


def test_sections_follow_the_plan_scale_and_the_stretch(compiled):
    text = 'model test {{ title = "M", plan_scale = {scale} }}\nstock board {{ kind = foam, thickness = 5 mm, sheet = 2 m by 1 m }}\n'
    made = compiled(text.format(scale="200 % by 150 %") + BOX + "former F2 { stock = board }")
    assert not made.errors, made.said
    assert made.value("F2.x") == 200
    assert bounds(made.part("F2").outline) == pytest.approx((-69, -66, 69, 84))


def test_without_a_shape_the_property_is_named(judged):
    text = BOX.replace("section = box", "")
    assert "'section" not in text
    outcome = judged(f"{text}former F2 {{ stock = board }}")
    assert outcome.errors == ["missing-property"]
    assert "section = box" in outcome.the("missing-property").help


def test_a_former_without_station_or_outline_says_so(judged):
    outcome = judged("former F9 { at = 10 mm, stock = board }\nlet wide = 2 * F9.width")
    assert outcome.errors == ["missing-property"]
    assert "F9" in outcome.underlined("missing-property")


def test_a_size_that_the_shape_needs_is_named(judged):
    outcome = judged(BOX.replace("top [@mm]", "LINE.height [@mm]") + "former F2 { stock = board }")
    assert outcome.errors == ["missing-size"]
    assert "'top'" in outcome.the("missing-size").message


def test_an_outline_leans_on_unknowns_of_its_table(built):
    made = built(
        "let wide = 2 * 23 mm\noffsets body {\n section = box\n"
        " | station | x [mm] | half | top [mm] | bottom [mm] |\n | A | 0 | wide | 50 | -50 |\n | B | 90 | wide | 50 | -50 |\n}\n"
        "former A { stock = board }\nrequire A.width == 92 mm"
    )
    assert made.value("A.width") == pytest.approx(92)


ROWS = [(0, 40), (60, 46), (120, 50), (180, 52), (240, 53), (300, 51), (360, 48)]


def fuselage(rows):
    lines = "".join(f"    | S{k} | {x} | {half} |\n" for k, (x, half) in enumerate(rows))
    return f"offsets fuselage {{\n    | station | x [mm] | half [mm] |\n{lines}}}\n"


def test_a_station_that_sticks_out_is_told_by_how_much(judged):
    assert built_warnings(judged, ROWS) == []
    rows = [*ROWS[:3], (180, 56), *ROWS[4:]]
    outcome = judged(fuselage(rows))
    assert outcome.warnings == ["station-sticks-out"]
    assert outcome.underlined("station-sticks-out") == "56"
    assert "3.5 mm more" in outcome.the("station-sticks-out").message
    # Rows may stand in any order.
    assert judged(fuselage(rows[::-1])).warnings == ["station-sticks-out"]


def test_it_is_told_as_the_table_has_it(compiled):
    """At 120 % a cell of 56 mm is 67.2 mm on the model; what is asked for is the figure of the cell."""
    rows = [*ROWS[:3], (180, 56), *ROWS[4:]]
    model = 'model test { title = "Test", plan_scale = 120 % }\n'
    message = compiled(model + fuselage(rows).replace("[mm]", "[@mm]")).the("station-sticks-out").message
    full = compiled(model.replace("120 %", "1") + fuselage(rows)).the("station-sticks-out").message
    assert message == full + " on the plan"


def test_it_can_be_accepted(judged):
    rows = [*ROWS[:3], (180, 56), *ROWS[4:]]
    text = fuselage(rows).replace("{\n", '{\n    accept station-sticks-out because "a blister"\n', 1)
    assert judged(text).warnings == []


def built_warnings(judged, rows):
    outcome = judged(fuselage(rows))
    assert not outcome.errors, outcome.said
    return outcome.warnings
