"""Formers: the face that is placed, the outline as cut, and what is measured on it."""

import math

import pytest

DISC = "stock = board, outline = circle(100 mm)"


@pytest.mark.parametrize(("face", "fore"), [("fore", 10.0), ("aft", 5.2), ("centre", 7.6)])
def test_at_is_the_face_that_is_named(built, face, fore):
    former = built(f"former F {{ at = 10 mm, face = {face}, {DISC} }}")
    assert former.value("F.x") == 10
    assert former.value("F.x_fore") == pytest.approx(fore)
    assert former.value("F.x_aft") == pytest.approx(fore + 4.8)
    assert former.part("F").placement.origin[0] == pytest.approx(fore + 4.8)


def test_the_nose_face_is_the_default(built):
    former = built(f"former F {{ at = 10 mm, {DISC} }}")
    assert former.value("F.x_fore") == 10
    assert dict(former.design.defaults)["F.face"] == "fore"


def test_a_former_stands_at_the_station_of_its_name(built):
    former = built(f"station F {{ x = 33 mm }}\nformer F {{ {DISC} }}")
    assert former.value("F.x_fore") == 33


def test_a_station_may_stand_for_any_place(built):
    former = built(
        f"station A {{ x = 33 mm }}\nstation B {{ x = A + 4 mm }}\nformer F {{ at = B + 1 mm, {DISC} }}"
    )
    assert former.value("F.at") == 38


def test_where_a_place_is_wanted_the_station_is_meant_not_the_former_of_its_name(built):
    former = built(f"station F {{ x = 33 mm }}\nformer F {{ {DISC} }}\nformer G1 {{ at = F + 7 mm, {DISC} }}")
    assert former.value("G1.at") == 40


def test_an_inset_makes_room_for_the_skin(built):
    former = built(f"former F {{ at = 0 mm, {DISC}, inset = card.thickness }}")
    assert former.value("F.width") == pytest.approx(99.2)
    assert former.value("F.area") == pytest.approx(math.pi * 49.6**2, rel=1e-6)
    assert former.value("F.mass") == pytest.approx(former.value("F.area") * 410e-6, rel=1e-9)


def test_a_half_is_mirrored(built):
    former = built(
        "former F { at = 0 mm, stock = board, outline = @half[(0, 61), (38, 52), (51, 20), (51, -30), (33, -58), (0, -58)] mm }"
    )
    assert former.value("F.width") == pytest.approx(102)
    assert former.value("F.height") == pytest.approx(119)


def test_shapes_may_have_names_and_follow_one_another(built):
    former = built(
        "let round = circle(100 mm)\nformer F { at = 0 mm, stock = board, outline = round }\n"
        "former G1 { at = 9 mm, stock = board, outline = inset(F.outline, 3 mm) }"
    )
    assert former.value("G1.width") == pytest.approx(94)


def test_a_former_knows_its_width_before_it_is_finished(built):
    former = built(
        f"former F {{ at = F.width / 2, {DISC}\n hole h {{ diameter = F.width / 4 }}\n"
        " slot s { length = 10 mm, width = 3 mm, at = (0 mm, F.height / 2 - 15 mm) } }"
    )
    assert former.value("F.at") == pytest.approx(50)
    assert former.value("F.h.diameter") == pytest.approx(25)


def test_one_part_may_be_drawn_from_another_ones_size(built):
    former = built(
        f"former F {{ at = 0 mm, {DISC} }}\nformer G1 {{ at = 9 mm, stock = board, outline = circle(F.width / 2) }}\n"
        "require G1.width < 51 mm\nrequire G1.mass < F.mass / 3"
    )
    assert former.value("G1.width") == pytest.approx(50)


def test_a_size_that_needs_itself_is_refused(judged):
    assert judged("former F { at = 0 mm, stock = board, outline = circle(F.width) }").errors == [
        "circular-value"
    ]
    assert judged(f"former F {{ at = F.mass / 1 g * 1 mm, {DISC} }}").errors == ["circular-value"]


def test_quantity_is_one_part_with_many_copies(built):
    former = built(f"former F {{ at = 0 mm, {DISC}, quantity = 3 }}")
    assert former.part("F").quantity == 3
    assert former.value("F.area") == pytest.approx(math.pi * 2500, rel=1e-6)


def test_grain_runs_along_the_longer_dimension_of_ply_and_is_free_in_board(built):
    former = built(
        "former F { at = 0 mm, stock = ply, outline = rect(60 mm, 90 mm) }\nformer G1 { at = 0 mm, stock = ply, outline = rect(90 mm, 60 mm) }\n"
        "former H { at = 0 mm, stock = board, outline = rect(60 mm, 90 mm) }"
    )
    assert [former.part(id).grain for id in ("F", "G1", "H")] == ["across", "along", "free"]


def test_it_is_drawn_aft_face_up_with_its_datum(built):
    part = built(f"former F {{ at = 0 mm, {DISC} }}").part("F")
    assert part.notes == ("aft face up",)
    assert {mark.kind for mark in part.marks} >= {"top", "datum"}
    assert part.centres[0].at == (0.0, 0.0)
    assert part.placement.u == (0.0, 1.0, 0.0)
    assert part.placement.v == (0.0, 0.0, 1.0)
