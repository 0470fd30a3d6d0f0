"""Formers inside skins: how far they are cut inside their outline, what is written on them, what leans on what."""

import math

import pytest
from ringwright.geometry.path import bounds
from ringwright.lang.pipeline import compile_spec

THICK = "stock thick { kind = foam, thickness = 5 mm, neutral = 1, sheet = 900 mm by 900 mm }\n"
TUBE = (
    "former F1 { at = 0 mm, stock = ply, outline = circle(100 mm) }\n"
    "former F2 { at = 90 mm, stock = ply, outline = circle(100 mm) }\n"
)


def test_a_former_makes_room_for_the_skin_that_names_it(built):
    made = built(f"{TUBE}wrap tube {{ over = [F1, F2], stock = board, seam = butt }}")
    assert made.value("F1.inset") == 4.8
    assert made.value("F1.width") == pytest.approx(100 - 2 * 4.8, abs=1e-6)
    part = made.part("F1")
    assert "inset 4.8 mm for tube" in part.notes
    assert [(edge.name, edge.mate) for edge in part.edges] == [("rim", "tube")]
    assert [mark.text for mark in part.marks if "seam" in mark.text] == ["tube seam"]


def test_on_a_cone_by_the_thickness_over_the_cosine(built):
    made = built(
        "former F1 { at = 0 mm, stock = ply, outline = circle(120 mm) }\n"
        "former F2 { at = 60 mm, stock = ply, outline = circle(80 mm) }\n"
        f"{THICK}wrap tube {{ over = [F1, F2], stock = thick, seam = butt }}"
    )
    deep = 5 / math.cos(math.atan2(20, 60))
    assert made.value("F1.width") == pytest.approx(120 - 2 * deep, abs=0.04)
    assert made.value("F1.area") == pytest.approx(math.pi * (60 - deep) ** 2, rel=4e-4)
    assert "inset 5.3 mm for tube" in made.part("F1").notes
    assert "bevel 1 mm (18.4°) off the aft face for tube" in made.part("F1").notes
    (line,) = [mark for mark in made.part("F1").marks if mark.kind == "bevel"]
    assert line.text == "1 mm (18.4°)"
    assert bounds(line.path)[2] == pytest.approx(60 - deep - 1, abs=0.04)
    assert made.part("F1").edges[0].face == "aft"


def test_where_the_slope_changes_round_it_so_does_the_inset(built):
    # An oblique cone of 5 mm: half way down its former inside has 4954.3113 mm2, where an even inset leaves 5026.5482.
    made = built(
        "former F { at = 50 mm, stock = ply, outline = moved(circle(90 mm), (0 mm, 12.5 mm)) }\n"
        f"{THICK}wrap bow {{ over = [(0 mm, circle(120 mm)), F, (200 mm, (0 mm, 50 mm))], stock = thick, seam = butt, seam_at = top }}"
    )
    assert made.value("F.area") == pytest.approx(4954.3113, rel=4e-4)
    assert "inset 5 to 5.7 mm for bow" in made.part("F").notes
    assert any(
        note.startswith("bevel up to 1.7 mm (28.8°) off the aft face") for note in made.part("F").notes
    )


def test_no_bevel_where_the_skin_widens_towards_the_other_face(built):
    made = built(
        "former F1 { at = 0 mm, stock = ply, outline = circle(80 mm) }\n"
        "former F2 { at = 60 mm, stock = ply, outline = circle(120 mm), face = aft }\n"
        f"{THICK}wrap tube {{ over = [F1, F2], stock = thick, seam = butt }}"
    )
    assert [(edge.bevel, edge.face) for edge in made.part("F1").edges] == [(0.0, "")]
    assert not any(mark.kind == "bevel" for mark in made.part("F1").marks)
    ((angle, face),) = [(edge.bevel, edge.face) for edge in made.part("F2").edges]
    assert (math.tan(angle), face) == (pytest.approx(20 / 60, rel=1e-4), "fore")


def test_a_former_measured_in_its_middle_at_a_seam_leans_both_ways(built):
    made = built(
        "former F { at = 60 mm, face = centre, stock = ply, outline = circle(120 mm) }\n"
        f"{THICK}wrap tube {{ over = [(0 mm, circle(80 mm)), F, (120 mm, circle(60 mm))], stock = thick, seam = butt, cut_at = each }}"
    )
    found = {edge.face: math.tan(edge.bevel) for edge in made.part("F").edges}
    assert found == {"fore": pytest.approx(20 / 60, rel=1e-3), "aft": pytest.approx(30 / 60, rel=1e-3)}
    assert "bevel 0.5 mm (18.4°) off the fore face for tube" in made.part("F").notes
    assert "bevel 0.8 mm (26.6°) off the aft face for tube" in made.part("F").notes


def test_an_open_skin_takes_its_arc_alone(built):
    made = built(f"{TUBE}wrap deck {{ over = [F1, F2], stock = board, arc = -60 deg to 60 deg }}")
    left, low, right, high = bounds(made.part("F1").outline)
    assert (left, low, right, high) == pytest.approx((-50, -50, 50, 45.2), abs=0.01)
    # A third of a ring 4.8 mm thick is gone.
    assert made.value("F1.area") == pytest.approx(math.pi * (2500 - (2500 - 45.2**2) / 3), rel=4e-4)
    assert [edge.mate for edge in made.part("F1").edges] == ["deck", ""]
    assert [mark.text for mark in made.part("F1").marks if mark.kind == "line"].count("deck") == 1


def test_both_hands_of_a_cheek_take_their_arcs(built):
    made = built(f"{TUBE}wrap cheek {{ over = [F1, F2], stock = board, arc = 30 deg to 80 deg }}")
    part = made.part("F1")
    assert part.properties.centroid[1] == pytest.approx(0, abs=1e-3)
    assert [edge.mate for edge in part.edges] == ["cheek.right", "cheek.left", ""]


def test_in_a_groove_it_reaches_to_the_far_facing(built):
    text = "stock foamy { kind = foamboard, thickness = 5 mm, facing = 0.4 mm, sheet = 700 mm by 500 mm }\n"
    made = built(f"{text}{TUBE}wrap tube {{ over = [F1, F2], stock = foamy, seam = butt, grooves = yes }}")
    assert made.value("F1.inset") == 0.4
    assert made.value("F1.width") == pytest.approx(99.2, abs=1e-6)


def test_what_is_given_stands(built):
    made = built(
        f"{TUBE.replace('100 mm)', '100 mm), inset = 1 mm')}wrap tube {{ over = [F1, F2], stock = board, seam = butt }}"
    )
    assert made.value("F1.width") == pytest.approx(98)
    assert made.part("F1").notes == ("aft face up",)


def test_two_skins_that_meet_at_a_former(built):
    made = built(
        TUBE + "former F3 { at = 180 mm, stock = ply, outline = circle(100 mm) }\n"
        "wrap fore { over = [F1, F2], stock = board, seam = butt }\nwrap aft { over = [F2, F3], stock = card, seam = butt }"
    )
    assert made.value("F2.inset") == 4.8
    assert made.value("F2.width") == pytest.approx(90.4, abs=1e-6)
    assert made.value("F3.width") == pytest.approx(99.2, abs=1e-6)


def test_formers_in_a_range_of_stations_are_inset(built):
    table = "offsets body {\n section = round\n | station | x [mm] | half [mm] |\n | A | 0 | 40 |\n | B | 60 | 45 |\n | C | 120 | 50 |\n}\n"
    made = built(
        f"{table}formers ribs {{ at = A to C, stock = ply }}\nwrap skin {{ over = A to C, stock = card, seam = butt }}\nwrap other {{ over = ribs, stock = card, seam = butt }}"
    )
    assert made.value("B.inset") == 0.4
    assert made.value("B.width") == pytest.approx(90 - 0.8 / math.cos(math.atan2(5, 60)), abs=0.01)


def test_a_measure_of_a_former_leans_on_the_whole_skin(built):
    made = built(
        f"{TUBE}wrap tube {{ over = [F1, F2], stock = board, seam = butt }}\nlet gap = (100 mm - F1.width) / 2\nrequire F1.mass < 100 g"
    )
    assert made.value("gap") == pytest.approx(4.8, abs=1e-6)


def test_a_skin_that_cannot_be_made_is_reported_once(judged):
    outcome = judged(
        "former F1 { at = 0 mm, stock = ply, outline = circle(2 mm) }\nformer F2 { at = 90 mm, stock = ply, outline = circle(2 mm) }\nwrap tube { over = [F1, F2], stock = ply, seam = butt }"
    )
    assert outcome.errors == ["skin-too-thick"]


def test_asked_for_alone_a_former_has_its_skin_with_it(judged):
    whole = judged(
        f"{TUBE}wrap tube {{ over = [F1, F2], stock = board, seam = butt }}\npanel p {{ stock = nothing }}"
    )
    text = whole.compiled.project.sources["main.wright"].text.encode()
    for name, parts in (("F1", ["F1"]), ("tube", ["tube"])):
        alone = compile_spec("main.wright", lambda _: text, (name,))
        assert not alone.failed, alone.findings
        assert alone.design is not None
        assert [part.id for part in alone.design.parts] == parts
        assert alone.design.values["F1.inset"] == 4.8


BODY = """
offsets body {
    section = box
    | station | x [@mm] | half [@mm] | top [@mm] | bottom [@mm] |
    | A       |   0     | 60 | 60 | -60 |
    | B       |  80     | 55 | 55 | -55 |
    | C       | 240     | 45 | 45 | -45 |
}
formers ends { at = [A, C], stock = ply, face = centre }
"""
ROOF = "wrap roof { over = [A, C], stock = card, arc = body.top to body.top }\n"


def drawn_lines(part):
    return [mark.text for mark in part.marks if mark.kind == "line" and mark.text]


def test_formers_of_the_table_between_are_passed(built):
    made = built(
        f"{BODY}former B {{ stock = ply }}\nformer own {{ at = 160 mm, stock = ply, outline = body.section(160 mm) }}\n"
        f"former low {{ at = B + 20 mm, stock = ply, outline = rect(20 mm, 20 mm) }}\n{ROOF}"
        "side flank { upper = body.top, lower = body.bottom, stock = board }"
    )
    for name in ("B", "own"):
        assert drawn_lines(made.part("roof")).count(name) == 1
        assert drawn_lines(made.part("flank.left")).count(name) == 1
        assert [edge.mate for edge in made.part(name).edges][:3] == ["roof", "flank.right", "flank.left"]
    lean = math.atan2(15, 240)
    assert bounds(made.part("own").outline)[3] == pytest.approx(50 - 0.4 / math.cos(lean), abs=0.01)
    assert bounds(made.part("own").outline)[2] == pytest.approx(50 - 4.8 / math.cos(lean), abs=0.01)
    assert "low" not in drawn_lines(made.part("roof"))


def test_a_former_not_named_is_drawn_where_its_edge_lies_along_the_skin(built):
    # Its upper edge is 40 mm wide on a deck 90 mm wide; aft of it stands one that does not reach the deck.
    level = BODY.replace("60 |", "50 |").replace("55 |", "50 |").replace("45 |", "50 |").replace("-60", "-50")
    made = built(
        f"{level}former mid {{ at = 100 mm, stock = ply, outline = moved(rect(40 mm, 30 mm), (0 mm, 34.6 mm)) }}\n"
        f"former low {{ at = 150 mm, stock = ply, outline = rect(40 mm, 40 mm) }}\n{ROOF}"
    )
    assert not made.warnings
    lines = [mark for mark in made.part("roof").marks if mark.text == "mid"]
    (first,) = lines
    (x0, y0), (x1, y1) = first.path.points[0], first.path.points[-1]
    assert abs(x1 - x0) == pytest.approx(40, abs=4)
    assert y0 == pytest.approx(y1, abs=1e-6)
    assert "low" not in drawn_lines(made.part("roof"))


def test_grooves_for_formers_not_named(built):
    foamy = "stock foamy { kind = foamboard, thickness = 5 mm, facing = 0.4 mm, sheet = 700 mm by 500 mm }\n"
    tube = TUBE.replace("former F2 { at = 90 mm", "former F2 { at = 90 mm, face = aft")
    made = built(
        f"{foamy}{tube}former M {{ at = 40 mm, stock = ply, outline = circle(99 mm) }}\n"
        "wrap tube { over = [F1, F2], stock = foamy, seam = butt, grooves = yes }"
    )
    grooves = {groove.text: groove for groove in made.part("tube").grooves}
    assert [*grooves] == ["F1", "F2", "M"]
    assert grooves["M"].width == pytest.approx(3.3)
    _, low, _, high = bounds(grooves["M"].path)
    assert (low + high) / 2 == pytest.approx(41.5, abs=0.01)


def test_a_former_that_reaches_into_a_skin_is_told(built):
    tube = TUBE.replace("former F2 { at = 90 mm", "former F2 { at = 90 mm, face = aft")
    made = built(
        f"{tube}former M {{ at = 40 mm, stock = ply, outline = circle(100 mm) }}\nwrap tube {{ over = [F1, F2], stock = card }}"
    )
    assert made.warnings == ["former-in-skin"]
    assert "'M' reaches 0.4 mm into 'tube'" in made.the("former-in-skin").message
    assert [drawn_lines(made.part(f"tube.{k}")).count("M") for k in (1, 2)] == [1, 1]


def test_plan_scale_counts_for_what_stands_between(compiled):
    # On the model the stations stand at 0, 40 and 120 mm: a former at 160 mm is past the skin, one at @160 mm within it.
    half = 'model half { title = "Half", plan_scale = 50 % }\n'
    stocks = "stock ply { kind = ply, thickness = 3 mm, sheet = 600 mm by 300 mm }\nstock card { kind = card, thickness = 0.4 mm, sheet = 297 mm by 210 mm }\n"
    made = compiled(
        f"{half}{stocks}{BODY}former own {{ at = @160 mm, stock = ply, outline = body.section(@160 mm) }}\n{ROOF}",
    )
    assert made.value("own.inset") == 0.4
    made = compiled(
        f"{half}{stocks}{BODY}former own {{ at = 160 mm, stock = ply, outline = body.section(@160 mm) }}\n{ROOF}",
    )
    assert made.value("own.inset") == 0
