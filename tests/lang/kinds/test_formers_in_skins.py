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
    assert "inset 5.3 mm, bevel 18.4° for tube" in made.part("F1").notes


def test_where_the_slope_changes_round_it_so_does_the_inset(built):
    # An oblique cone of 5 mm: half way down its former inside has 4954.3113 mm2, where an even inset leaves 5026.5482.
    made = built(
        "former F { at = 50 mm, stock = ply, outline = moved(circle(90 mm), (0 mm, 12.5 mm)) }\n"
        f"{THICK}wrap bow {{ over = [(0 mm, circle(120 mm)), F, (200 mm, (0 mm, 50 mm))], stock = thick, seam = butt, seam_at = top }}"
    )
    assert made.value("F.area") == pytest.approx(4954.3113, rel=4e-4)
    assert any(note.startswith("inset 5 to 5.7 mm, bevel up to ") for note in made.part("F").notes)


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
