"""Sides, floors and decks through the language: true lengths, openings, stations, and the formers inside them."""

import math

import pytest
from ringwright.geometry.path import bounds
from ringwright.geometry.place import in_space

# Tapered in plan and from the side, so that all has a length in closed form.
TABLE = """
offsets body {
    section = box
    | station | x [@mm] | half [@mm] | top [@mm] | bottom [@mm] | half_bottom [@mm] | stringer.half [@mm] | stringer.height [@mm] |
    | A       |   0     |   60       |   50      |  -40         | 60                | 60                  | 10                     |
    | B       | 200     |   40       |   40      |  -40         | 40                | 40                  | 5                      |
}
"""
THIN = (
    "stock thin { kind = card, thickness = 0.4 mm, neutral = 1, sheet = 900 mm by 900 mm, mass = 300 g/m2 }\n"
)


def side(more):
    return f"{TABLE}{THIN}side flank {{ upper = body.top, lower = body.bottom, stock = thin\n{more} }}"


def edges(part):
    return {edge.name: edge.length for edge in part.edges}


def test_a_side_has_its_true_length(built):
    made = built(side(""))
    assert [part.id for part in made.design.parts] == ["flank.left", "flank.right"]
    long = math.hypot(200, 20)
    for part in made.design.parts:
        assert edges(part) == pytest.approx(
            {"lower edge": long, "upper edge": math.hypot(long, 10), "fore end": 90, "aft end": 80}, abs=1e-6
        )
    assert made.value("flank.width") == pytest.approx(long, abs=1e-6)
    assert made.value("flank.area") == pytest.approx(long * 85, rel=1e-9)
    assert made.value("flank.worst_strain") == 0


def test_hands_are_mirror_images(built):
    made = built(side("hole h { diameter = 8 mm, at = (60 mm, 5 mm) }"))
    left, right = made.part("flank.left"), made.part("flank.right")
    x, y, z = in_space(right.placement, right.centres[0].at)
    assert (x, y, z) == pytest.approx((60, 54, 5), abs=1e-6)
    assert in_space(left.placement, left.centres[0].at) == pytest.approx((x, -y, z), abs=1e-6)
    assert [built(side(f"hand = {hand}")).design.parts[0].id for hand in ("left", "right")] == [
        "flank",
        "flank",
    ]


def test_openings_are_given_in_the_side_view(built):
    made = built(side("hole window { outline = rect(40 mm, 24 mm), at = (90 mm, 5 mm) }"))
    left, low, right, high = bounds(made.part("flank.right").holes[0])
    assert right - left == pytest.approx(40 * math.hypot(200, 20) / 200, abs=0.02)
    assert high - low == pytest.approx(24, abs=0.02)


def test_flare_leans_the_side(built):
    text = TABLE.replace("| 60                | 60 ", "| 30                | 60 ").replace(
        "| 40                | 40 ", "| 10                | 40 "
    )
    made = built(
        text + THIN + "side flank { upper = body.top, lower = body.bottom, stock = thin, hand = right }"
    )
    assert edges(made.part("flank"))["fore end"] == pytest.approx(math.hypot(90, 30), abs=1e-6)


def test_from_and_to_and_lines_of_ones_own(built):
    made = built(
        TABLE
        + THIN
        + "side flank { upper = body.top, lower = body.stringer, from = A + 50 mm, to = 150 mm, stock = thin, hand = right }"
    )
    part = made.part("flank")
    assert edges(part)["fore end"] == pytest.approx(47.5 - 8.75, abs=1e-6)
    assert "x = 50 to 150 mm" in part.notes


def test_a_thick_side_is_shorter_by_what_its_bend_takes(built):
    rows = "".join(f"    | S{k} | {40 * k} | {60 - 0.0008 * (40 * k) ** 2} | 30 | -30 |\n" for k in range(9))
    table = f"offsets bow {{\n    section = box\n    | station | x [mm] | half [mm] | top [mm] | bottom [mm] |\n{rows}}}\n"
    thick = "stock thick { kind = card, thickness = 5 mm, sheet = 900 mm by 900 mm }\n"
    part = built(
        f"{table}{thick}side s {{ upper = bow.top, lower = bow.bottom, stock = thick, hand = right, from = 40 mm, to = 280 mm }}"
    ).part("s")

    # Arc length of y = 60 - 0.0008 x2 in closed form, less half the thickness times the change of heading.
    def arc(x):
        slope = 0.0016 * x
        return (slope * math.hypot(1, slope) + math.asinh(slope)) / 2 / 0.0016

    turned = math.atan(0.0016 * 280) - math.atan(0.0016 * 40)
    assert edges(part)["upper edge"] == pytest.approx(arc(280) - arc(40) - 2.5 * turned, abs=0.02)


def test_stations_are_drawn_with_their_names_and_formers_with_both_faces(built):
    made = built(
        TABLE.replace("| B       | 200", "| M | 100 | 50 | 45 | -40 | 50 | 50 | 7.5 |\n    | B       | 200")
        + "former M { stock = ply }\n"
        + THIN
        + "side flank { upper = body.top, lower = body.bottom, stock = thin, hand = right }"
    )
    lines = [mark for mark in made.part("flank").marks if mark.kind == "line"]
    assert [mark.text for mark in lines] == ["M", ""]
    apart = abs(lines[1].path.points[0][0] - lines[0].path.points[0][0])
    assert apart == pytest.approx(3 * math.hypot(200, 20) / 200, abs=1e-6)


@pytest.mark.parametrize(("kind", "line", "z"), [("floor", "bottom", -40), ("deck", "top", 50)])
def test_floor_and_deck_lie_across(built, kind, line, z):
    made = built(
        TABLE
        + THIN
        + f"{kind} sheet {{ between = body.{line}, inset = 3 mm, stock = thin\n hole h {{ diameter = 6 mm, at = (50 mm, 10 mm) }} }}"
    )
    part = made.part("sheet")
    found = edges(part)
    assert found["fore end"] == pytest.approx(2 * 57, abs=1e-6)
    assert found["aft end"] == pytest.approx(2 * 37, abs=1e-6)
    at = in_space(part.placement, part.centres[0].at)
    assert at[:2] == pytest.approx((50, 10), abs=1e-6)
    assert at[2] == pytest.approx(z if kind == "floor" else z - 2.5, abs=1e-6)
    # Inside up and x to the right: of a floor one sees starboard above, of a deck port.
    _, low, _, high = bounds(part.outline)
    assert (part.centres[0].at[1] > (low + high) / 2) == (kind == "floor")


def test_formers_make_room_for_sides_floor_and_deck(built):
    level = TABLE.replace("|   60       |   50 ", "|   40       |   40 ").replace(
        "| 60                | 60                  | 10", "| 40                | 40                  | 10"
    )
    made = built(
        f"{level}formers ribs {{ at = A to B, stock = ply }}\n"
        "side flank { upper = body.top, lower = body.bottom, stock = board }\n"
        "floor keel { between = body.bottom, stock = board, inset = board.thickness }\n"
        "deck lid { between = body.top, stock = card, inset = board.thickness }"
    )
    assert bounds(made.part("A").outline) == pytest.approx((-35.2, -35.2, 35.2, 39.6), abs=1e-6)
    assert made.value("A.inset") == 4.8
    assert [edge.mate for edge in made.part("A").edges][:4] == ["flank.right", "flank.left", "keel", "lid"]


def test_a_former_elsewhere_keeps_its_outline(built):
    made = built(
        f"{TABLE}former B {{ stock = ply }}\nside flank {{ upper = body.top, lower = body.bottom, to = 100 mm, stock = board }}"
    )
    assert made.value("B.width") == pytest.approx(80)


def test_pieces_nose_first(built):
    made = built(side("hand = right, pieces = 2"))
    assert [part.id for part in made.design.parts] == ["flank.1", "flank.2"]
    assert made.part("flank.1").properties.centroid[0] < made.part("flank.2").properties.centroid[0]


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("side s { upper = body.tops, lower = body.bottom, stock = thin }", "unknown-name"),
        ("side s { upper = body, lower = body.bottom, stock = thin }", "wrong-type"),
        ("side s { upper = body.top, lower = body.half, stock = thin }", "unknown-name"),
        ("side s { upper = body.top, stock = thin }", "missing-property"),
        ("side s { upper = body.top, lower = body.bottom, to = 250 mm, stock = thin }", "off-the-line"),
        ("side s { upper = body.top, lower = body.bottom, from = 250 mm, stock = thin }", "no-length"),
        ("side s { upper = body.top, lower = body.top, stock = thin }", "lines-cross"),
        ("side s { upper = body.top, lower = body.bottom, stock = thin\n hole h { diameter = 9 mm, at = (90 mm, 70 mm) } }", "off-skin"),
        ("side s { upper = body.top, lower = body.bottom, stock = thin\n hole h { rim = 9 mm } }", "hole-form"),
    ],
)  # fmt: skip
def test_mistakes_have_words_of_their_own(judged, text, code):
    assert judged(TABLE + THIN + text).errors == [code]


LONG = """
offsets body {
    section = box
    | station | x [mm] | half [mm] | top [mm] | bottom [mm] |
    | A       |   0    |   40      |   40     |  -40        |
    | B       | 100    |   40      |   40     |  -40        |
    | C       | 200    |   40      |   40     |  -40        |
}
side flank { upper = body.top, lower = body.bottom, stock = board }
floor keel { between = body.bottom, stock = board, inset = board.thickness }
"""


def test_tabs_reach_through_slots_that_fit_them(built):
    made = built(f"{LONG}former B {{ stock = ply, tab = 20 mm }}")
    # Through both sides to their outer faces, and through the floor.
    assert bounds(made.part("B").outline) == pytest.approx((-40, -40, 40, 40), abs=1e-6)
    bare = built(f"{LONG}former B {{ stock = ply }}")
    assert made.value("B.area") - bare.value("B.area") == pytest.approx(3 * 20 * 4.8, rel=1e-6)
    for part in ("flank.left", "flank.right", "keel"):
        (slot,) = made.part(part).holes
        left, low, right, high = bounds(slot)
        assert (right - left, high - low) == pytest.approx((3.2, 20.2), abs=0.02)
    left, low, right, high = bounds(made.part("keel").holes[0])
    where = in_space(made.part("keel").placement, ((left + right) / 2, (low + high) / 2))
    assert where == pytest.approx((101.5, 0, -40), abs=1e-3)


def test_no_tab_where_its_slot_would_run_out(built):
    made = built(f"{LONG}formers ribs {{ at = A to C, stock = ply, tab = 20 mm }}")
    assert [len(made.part(part).holes) for part in ("flank.left", "flank.right", "keel")] == [1, 1, 1]
    assert bounds(made.part("A").outline)[0] == pytest.approx(-35.2)


def test_a_side_s_measure_leans_on_the_formers_tabs(built):
    made = built(
        f"{LONG}former B {{ stock = ply, tab = wide }}\nlet wide = 10 mm + 10 mm\nlet left = flank.area - 1 mm2\nrequire flank.mass < 20 g"
    )
    assert made.value("left") == pytest.approx(200 * 80 - 3.2 * 20.2 - 1, abs=0.5)


FAR = """
offsets body {
    section = box
    | station | x [mm] | half [mm] | top [mm] | bottom [mm] |
    | A       |   0    |   40      |   40     |  -40        |
    | B       | 900    |   40      |   40     |  -40        |
}
"""


def test_what_is_longer_than_its_sheet_is_cut_and_doubled(built):
    made = built(
        f"{FAR}side flank {{ upper = body.top, lower = body.bottom, stock = board, hand = left, seam = strap(40 mm) }}"
    )
    assert [part.id for part in made.design.parts] == ["flank.1", "flank.1.strap", "flank.2"]
    x0, y0, x1, y1 = bounds(made.part("flank.1.strap").outline)
    assert (x1 - x0, y1 - y0) == pytest.approx((40, 80), abs=1e-6)
    for part in ("flank.1", "flank.2"):
        x0, _, x1, _ = bounds(made.part(part).outline)
        assert x1 - x0 == pytest.approx(450, abs=1e-6)
        (strap,) = [mark for mark in made.part(part).marks if mark.text == "strap"]
        at = strap.path.points[0][0]
        assert min(abs(at - x0), abs(x1 - at)) == pytest.approx(20, abs=1e-6)


def test_balsa_lies_along_its_grain(built):
    balsa = "stock balsa { kind = balsa, thickness = 2 mm, sheet = 100 mm by 900 mm }\n"
    made = built(
        f"{FAR}{balsa}side flank {{ upper = body.top, lower = body.bottom, stock = balsa, hand = left }}"
    )
    assert [(part.id, part.grain) for part in made.design.parts] == [
        ("flank.1", "along"),
        ("flank.2", "along"),
    ]


def test_a_scarf_lays_tapered_pieces_over_each_other(built):
    text = f"{FAR}side flank {{ upper = body.top, lower = body.bottom, stock = board, hand = right, SEAM\n hole h {{ diameter = 10 mm, at = (450 mm, 0 mm) }} }}"
    butt = built(text.replace("SEAM", "seam = strap(40 mm)").replace("at = (450 mm", "at = (300 mm"))
    made = built(text.replace("SEAM", "seam = scarf(40 mm)"))
    assert [part.id for part in made.design.parts] == ["flank.1", "flank.2"]
    for part, note, face in (("flank.1", "aft", "inside"), ("flank.2", "fore", "outside")):
        one = made.part(part)
        x0, _, x1, _ = bounds(one.outline)
        assert x1 - x0 == pytest.approx(470, abs=1e-6)
        assert f"scarf 40 mm {note} end: taper the {face}" in one.notes
        (begins,) = [mark for mark in one.marks if mark.text == "scarf"]
        at = begins.path.points[0][0]
        assert min(abs(at - x0), abs(x1 - at)) == pytest.approx(40, abs=1e-6)
        # What lies in the overlap is cut in both.
        assert len(one.holes) == 1
    sheets = [part for part in butt.design.parts if "strap" not in part.id]
    hole = 410e-6 * math.pi * 25
    assert sum(part.properties.mass for part in made.design.parts) == pytest.approx(
        sum(part.properties.mass for part in sheets) - hole, rel=2e-5
    )


def test_a_scarf_is_no_seam_of_a_wrap(judged):
    outcome = judged(
        "wrap w { over = [(0 mm, circle(80 mm)), (60 mm, circle(80 mm))], stock = board, seam = scarf(40 mm) }"
    )
    assert outcome.errors == ["wrong-type"]


def test_a_scarf_has_a_length(judged):
    outcome = judged(
        f"{TABLE}side flank {{ upper = body.top, lower = body.bottom, stock = board, seam = scarf }}"
    )
    assert "also scarf(width)" in outcome.the("wrong-type").message
