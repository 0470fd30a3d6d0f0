"""Wraps through the language: sizes against closed forms, hands, openings, cuts and what is said of them."""

import math
import sys

import pytest
from hypothesis import given
from hypothesis import strategies as st
from ringwright.geometry.part import Bent
from ringwright.geometry.path import bounds, flattened
from ringwright.geometry.place import in_space

# A sheet that keeps the length of its outer face, large enough for all of it.
OUTER = "stock outer { kind = card, thickness = 0.4 mm, neutral = 1, sheet = 900 mm by 900 mm, mass = 300 g/m2 }\n"


def wrap(over, more=""):
    return f"{OUTER}wrap skin {{ over = {over}, stock = outer, seam = butt\n{more} }}"


def test_a_cylinder_is_as_wide_as_its_girth(built):
    made = built(wrap("[(0 mm, circle(100 mm)), (100 mm, circle(100 mm))]"))
    assert made.value("skin.width") == pytest.approx(math.pi * 100, abs=0.02)
    assert made.value("skin.height") == pytest.approx(100, abs=1e-6)
    assert made.value("skin.worst_strain") == made.value("skin.worst_deviation") == 0
    assert made.value("skin.worst_twist") == pytest.approx(0, abs=1e-9)


def test_a_cone_has_the_chords_and_the_area_of_its_sector(built):
    # r 60 to 40 over 80 mm: area pi (60 + 40) slant, and the width of a sector of its angle.
    made = built(wrap("[(0 mm, circle(120 mm)), (80 mm, circle(80 mm))]"))
    slant = math.hypot(80, 20)
    assert made.value("skin.area") == pytest.approx(math.pi * 100 * slant, rel=1e-4)
    angle = 2 * math.pi * 20 / slant
    rho = 60 * slant / 20
    assert made.value("skin.width") == pytest.approx(2 * rho * math.sin(angle / 2), abs=0.03)
    assert made.value("skin.mass") == pytest.approx(made.value("skin.area") * 300e-6, rel=1e-4)


def test_square_to_round_is_four_triangles_and_four_quarter_cones(built):
    made = built(wrap("[(0 mm, rect(100 mm, 100 mm)), (80 mm, circle(80 mm))]"))
    assert made.value("skin.area") == pytest.approx(26635.2242, rel=1e-5)
    assert made.value("skin.worst_twist") == pytest.approx(0, abs=math.radians(0.02))


def test_a_thick_sheet_keeps_the_length_of_its_neutral_layer(built):
    # Plain card bends about its middle: half its thickness less of radius.
    text = "stock thick { kind = card, thickness = 3 mm, sheet = 900 mm by 900 mm }\n"
    made = built(
        f"{text}wrap t {{ over = [(0 mm, circle(100 mm)), (80 mm, circle(100 mm))], stock = thick, seam = butt }}"
    )
    assert made.value("t.width") == pytest.approx(math.pi * 97, abs=0.02)


def test_it_may_come_to_a_point(built):
    made = built(wrap("[(0 mm, circle(80 mm)), (60 mm, (0 mm, 0 mm))]"))
    assert made.value("skin.area") == pytest.approx(math.pi * 40 * math.hypot(40, 60), rel=1e-4)


FORMERS = (
    "former F1 { at = 0 mm, stock = board, outline = circle(80 mm) }\n"
    "former F2 { at = 90 mm, stock = board, outline = circle(100 mm) }\n"
)


def test_formers_are_sections_and_their_places_are_drawn(built):
    made = built(f"{FORMERS}{OUTER}wrap deck {{ over = [F2, F1], stock = outer, arc = -60 deg to 60 deg }}")
    part = made.part("deck")
    assert [mark.text for mark in part.marks if mark.kind == "line"] == ["F1"]
    assert {edge.name: edge.mate for edge in part.edges} == {
        "start rim": "F1", "end rim": "F2", "left edge": "", "right edge": "",
    }  # fmt: skip
    assert {edge.name: edge.length for edge in part.edges}["start rim"] == pytest.approx(
        80 * math.pi / 3, abs=0.01
    )
    assert isinstance(part.placement, Bent)
    x0, _, x1, _ = bounds(part.outline)
    assert x0 == pytest.approx(-x1, abs=1e-9)


def test_a_range_of_stations_takes_formers_where_they_stand(built):
    table = "offsets body {\n section = round\n | station | x [mm] | half [mm] |\n | A | 0 | 40 |\n | B | 60 | 45 |\n | C | 120 | 50 |\n}\n"
    made = built(
        f"{table}former B {{ stock = board, outline = circle(91 mm) }}\n"
        + wrap("A to C", "arc = -50 deg to 50 deg, cut_at = each")
    )
    assert [part.id for part in made.design.parts] == ["B", "skin.1", "skin.2"]
    rims = [{edge.name: edge for edge in made.part(f"skin.{n}").edges} for n in (1, 2)]
    assert rims[0]["end rim"].mate == rims[1]["start rim"].mate == "B"
    assert rims[0]["end rim"].length == pytest.approx(math.radians(100) * 45.5, abs=0.01)


@pytest.mark.parametrize(
    ("arc", "hand", "found"),
    [
        ("20 deg to 70 deg", "", ["skin.left", "skin.right"]),
        ("20 deg to 70 deg", "hand = left", ["skin"]),
        ("-70 deg to -20 deg", "", ["skin.left", "skin.right"]),
        ("-70 deg to 20 deg", "", ["skin"]),
        ("-70 deg to 20 deg", "hand = both", ["skin.left", "skin.right"]),
        ("90 deg to 220 deg", "", ["skin"]),
    ],
)
def test_what_lies_on_one_side_is_made_for_both(built, arc, hand, found):
    made = built(wrap("[(0 mm, circle(100 mm)), (80 mm, circle(90 mm))]", f"arc = {arc}\n{hand}"))
    assert [part.id for part in made.design.parts] == found
    for part in made.design.parts:
        if part.hand and arc != "-70 deg to 20 deg":
            assert (part.properties.centroid[1] < 0) == (part.hand == "left")


shifts = st.integers(-15, 15)


@given(shifts, shifts, st.integers(60, 120), st.integers(60, 120), st.integers(-150, 150))
def test_a_mirrored_spec_gives_a_mirrored_skin(judged, first, second, wide, high, turn):
    """Change right and left in the text: rims are as long, and all lies mirrored in space."""

    def made(sign):
        over = (
            f"[(0 mm, moved(ellipse({wide} mm, 90 mm), ({sign * first} mm, 4 mm))),"
            f" (80 mm, moved(ellipse(70 mm, {high} mm), ({sign * second} mm, 0 mm)))]"
        )
        outcome = judged(
            wrap(over, f"seam_at = top\nhole h {{ diameter = 3 mm, at = (35 mm, {sign * turn} deg) }}")
        )
        assert outcome.errors == ([] if abs(turn) > 8 else outcome.errors), outcome.said
        return outcome.design.parts

    if abs(turn) <= 8:
        return  # a hole on the seam lies over the edge of the drawing
    (one,), (other,) = made(1), made(-1)
    assert one.properties.area == pytest.approx(other.properties.area, rel=2e-5)
    for a, b in zip(one.edges, other.edges, strict=True):
        assert a.length == pytest.approx(b.length, abs=0.01)
    x, y, z = one.properties.centroid
    assert other.properties.centroid == pytest.approx((x, -y, z), abs=0.01)
    x, y, z = in_space(one.placement, one.centres[0].at)
    assert in_space(other.placement, other.centres[0].at) == pytest.approx((x, -y, z), abs=0.01)
    assert math.atan2(y - made_centre(first, second), z - 4 * (1 - 35 / 80)) == pytest.approx(
        math.radians(turn), abs=1e-6
    )


def made_centre(first, second):
    """Where turns are counted about at x = 35 of 80 mm."""
    return first + (second - first) * 35 / 80


def test_both_hands_of_a_cheek_lie_mirrored_in_space(built):
    made = built(wrap("[(0 mm, circle(100 mm)), (80 mm, circle(90 mm))]", "arc = 20 deg to 70 deg"))
    left, right = made.part("skin.left"), made.part("skin.right")
    for point in ((0.0, 30.0), (8.0, 55.0), (-10.0, 20.0)):
        x, y, z = in_space(right.placement, point)
        assert in_space(left.placement, (-point[0], point[1])) == pytest.approx((x, -y, z), abs=1e-9)
    for part in (left, right):
        for facet in part.placement.facets:
            (ax, ay), (bx, by), (cx, cy) = facet.flat
            assert (bx - ax) * (cy - ay) - (cx - ax) * (by - ay) > 0


def test_the_plan_scale_scales_a_skin(compiled):
    def area(scale):
        head = f'model test {{ title = "T", plan_scale = {scale} % }}\n'
        text = wrap("[(@0 mm, @circle(100 mm)), (@80 mm, @circle(90 mm))]", "arc = -70 deg to 70 deg")
        outcome = compiled(head + text)
        assert not outcome.errors, outcome.said
        return outcome.value("skin.area")

    assert area(150) == pytest.approx(2.25 * area(100), rel=1e-4)


def test_an_opening_is_carried_to_the_flat(built):
    made = built(
        wrap(
            "[(0 mm, circle(100 mm)), (80 mm, circle(100 mm))]",
            "arc = -80 deg to 80 deg\nhole h { diameter = 12 mm, at = (30 mm, 40 deg) }",
        )
    )
    part = made.part("skin")
    (hole,) = part.holes
    x0, y0, x1, y1 = bounds(hole)
    assert ((x0 + x1) / 2, (y0 + y1) / 2) == pytest.approx((50 * math.radians(40), 30), abs=0.02)
    assert (x1 - x0, y1 - y0) == pytest.approx((12, 12), abs=1e-6)
    assert [centre.at for centre in part.centres] == [pytest.approx((50 * math.radians(40), 30), abs=0.02)]


def test_a_thin_rim_is_told_as_on_flat_parts(judged):
    outcome = judged(
        wrap(
            "[(0 mm, circle(100 mm)), (80 mm, circle(100 mm))]",
            "arc = -80 deg to 80 deg\nhole h { diameter = 12 mm, at = (8 mm, 40 deg) }",
        )
    )
    assert outcome.warnings == ["thin-rim"]


def test_where_it_is_cut_it_says_why(built):
    over = "[(0 mm, circle(80 mm)), (80 mm, circle(100 mm)), (160 mm, circle(102 mm))]"
    made = built(wrap(over, "arc = -60 deg to 60 deg"))
    note = made.the("skin-cut")
    assert note.severity == "note"
    assert "more than 0.5 %" in note.message
    assert "gape 3.1 mm" in note.message
    assert [part.id for part in made.design.parts] == ["skin.1", "skin.2"]
    marks = {part.id: [m.text for m in part.marks if m.text.startswith("to ")] for part in made.design.parts}
    assert marks == {"skin.1": ["to skin.2"], "skin.2": ["to skin.1"]}
    one, two = (made.part(f"skin.{n}") for n in (1, 2))
    assert one.edges[1].length == pytest.approx(two.edges[0].length, abs=0.02)
    assert [f.code for f in built(wrap(over, "arc = -60 deg to 60 deg, cut_at = each")).findings] == []
    whole = built(wrap(over, "arc = -60 deg to 60 deg, cut_at = none"))
    assert whole.warnings == ["skin-stretches"]
    assert whole.value("skin.worst_strain") > 0.01


def test_a_sheet_too_small_takes_pieces_with_laps_between(built):
    made = built(
        "wrap tube { over = [(0 mm, circle(100 mm)), (90 mm, circle(100 mm))], stock = card, seam = lap(6 mm) }"
    )
    assert [part.id for part in made.design.parts] == ["tube.1", "tube.2"]
    for part in made.design.parts:
        x0, _, x1, _ = bounds(part.outline)
        assert x1 - x0 == pytest.approx(math.pi * 99.6 / 2 + 6, abs=0.02)
        assert "piece" in " ".join(part.notes)


def test_seams_by_flap_and_strap(built):
    tube = "[(0 mm, circle(100 mm)), (90 mm, circle(100 mm))]"
    made = built(
        f"wrap tube {{ over = {tube}, stock = board }}\nwrap pipe {{ over = {tube}, stock = board, seam = strap(20 mm) }}"
    )
    tube_part = made.part("tube")
    assert dict(made.design.defaults)["tube.seam"] == "flap(15 mm)"
    assert len(tube_part.far) == len(tube_part.peels) == 1
    assert "flap 15 mm, to the far paper" in tube_part.notes
    assert bounds(made.part("pipe.strap").outline) == pytest.approx((0, 0, 20, 90))


def test_tabs_are_folded_and_notched(built):
    made = built(
        f"{FORMERS}wrap deck {{ over = [F1, F2], stock = card, arc = -60 deg to 60 deg, edges = tab(5 mm, notched), sides = flush }}"
    )
    part = made.part("deck")
    assert len(part.scores) == 2
    assert all(score.angle == pytest.approx(math.pi / 2) for score in part.scores)
    assert len(part.outline.points) > 30


def test_a_scored_stock_has_scores_that_turn_all_of_the_bend(built):
    text = "stock scored { kind = foamboard, thickness = 5 mm, facing = 0.3 mm, bend = scored, sheet = 700 mm by 500 mm }\n"
    made = built(
        f"{text}cutting {{ kerf = 1 mm }}\nwrap s {{ over = [(0 mm, circle(124 mm)), (90 mm, circle(124 mm))], stock = scored, arc = -90 deg to 90 deg, evenness = 0.5 mm }}"
    )
    part = made.part("s")
    assert math.fsum(score.angle for score in part.scores) == pytest.approx(math.pi, abs=0.05)
    # Facets of 0.5 mm over R 62 turn 2 acos(1 - 0.5/62).
    assert len(part.scores) == math.ceil(math.pi / (2 * math.acos(1 - 0.5 / 62)))
    assert f"{len(part.scores)} scores, {len(part.scores)} close" in part.notes


def test_corners_are_scored_on_any_stock(built):
    made = built(wrap("[(0 mm, rect(60 mm, 60 mm)), (80 mm, rect(60 mm, 60 mm))]"))
    assert [round(math.degrees(s.angle)) for s in made.part("skin").scores] == [90, 90, 90, 90]


def test_grooves_take_the_formers(built):
    made = built(
        f"{FORMERS}former F3 {{ at = 45 mm, stock = ply, outline = circle(90 mm) }}\n"
        "wrap deck { over = [F1, F3, F2], stock = board, arc = -60 deg to 60 deg, grooves = yes }"
    )
    grooves = [groove for part in made.design.parts for groove in part.grooves]
    # The last begins where the skin ends.
    assert sorted(groove.text for groove in grooves) == ["F1", "F3"]
    assert {round(groove.width, 1) for groove in grooves if groove.text == "F3"} == {3.9}
    assert all(groove.depth == pytest.approx(4.8) for groove in grooves)


def test_tight_bends_are_told(judged):
    outcome = judged(
        "wrap tube { over = [(0 mm, circle(40 mm)), (90 mm, circle(60 mm))], stock = board, seam = butt }"
    )
    assert outcome.warnings == ["tight-bend"]
    said = outcome.the("tight-bend").message
    # A cone bends about its normal: its radius there, over the cosine of its half angle.
    radius = float(said.split("radius of ")[1].split(" mm")[0])
    assert radius == pytest.approx(20 / math.cos(math.atan2(10, 90)), rel=0.05)
    assert "at x = 0 mm" in said


def test_measures_are_known_to_the_spec(built):
    made = built(
        wrap("[(0 mm, circle(100 mm)), (100 mm, circle(100 mm))]")
        + "\nlet half = skin.width / 2\nrequire skin.worst_strain < 0.002\nrequire skin.mass < 10 g"
    )
    assert made.value("half") == pytest.approx(math.pi * 50, abs=0.02)


@pytest.mark.parametrize(
    ("over", "more", "code"),
    [
        ("[(0 mm, circle(60 mm)), 3 mm]", "", "wrong-type"),
        ("[F1, F2]", "", "unknown-name"),
        ("(0 mm, circle(60 mm))", "", "too-few-sections"),
        ("[(0 deg, circle(60 mm)), (9 mm, circle(60 mm))]", "", "unit-mismatch"),
        ("[(0 mm, circle(60 mm)), (9 mm, circle(60 mm))]", "arc = 60 deg", "wrong-type"),
        ("[(0 mm, circle(60 mm)), (9 mm, circle(60 mm))]", "arc = 10 mm to 60 mm", "unit-mismatch"),
        ("[(0 mm, circle(60 mm)), (9 mm, circle(60 mm))]", "edges = fringe(3 mm)", "wrong-type"),
        ("[(0 mm, circle(60 mm)), (9 mm, circle(60 mm))]", "edges = lap(3 mm, notched)", "wrong-type"),
        ("[(0 mm, circle(60 mm)), (9 mm, circle(60 mm))]", "edges = tab(3 deg)", "unit-mismatch"),
        ("[(0 mm, circle(60 mm)), (9 mm, circle(60 mm))]", "hole h { diameter = 3 mm }", "hole-form"),
        ("[(0 mm, circle(60 mm)), (9 mm, circle(60 mm))]", "hole h { diameter = 3 mm, at = (3 mm, 4 mm) }", "wrong-type"),
    ],
)  # fmt: skip
def test_mistakes_have_words_of_their_own(judged, over, more, code):
    assert judged(wrap(over, more)).errors == [code]


def test_a_spec_without_skins_loads_none_of_it(tmp_path):
    import subprocess

    spec = tmp_path / "a.wright"
    spec.write_text(
        'model a { title = "A" }\nstock b { kind = foam, thickness = 5 mm, sheet = 500 mm by 500 mm }\nformer F { at = 0 mm, stock = b, outline = circle(50 mm) }\n'
    )
    code = (
        "import sys\nfrom ringwright.lang.pipeline import compile_spec\n"
        f"found = compile_spec('a', lambda _: open({str(spec)!r}, 'rb').read())\nassert not found.failed\n"
        "assert not [m for m in sys.modules if m.startswith('ringwright.geometry.wrap') or '.skin' in m]\n"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)
    assert (done.returncode, done.stderr) == (0, "")


def test_what_is_made_in_a_hand_gives_it_to_its_skins(built):
    made = built(
        "recipe pod(size) {\n wrap skin { over = [(0 mm, moved(circle(size), (70 mm, 0 mm))), (60 mm, moved(circle(size), (70 mm, 0 mm)))], stock = card\n"
        " arc = 20 deg to 70 deg }\n}\nmake pod nacelle { size = 60 mm, hand = both }"
    )
    assert [part.id for part in made.design.parts] == ["nacelle.left", "nacelle.right"]
    left, right = made.design.parts
    assert left.properties.centroid[1] == pytest.approx(-right.properties.centroid[1])


FACED = (
    "stock faced {{ kind = foamboard, thickness = 5 mm, facing = 0.3 mm, sheet = 700 mm by 500 mm, mass = 400 g/m2,"
    " facing_mass = 100 g/m2{more} }}\n"
)


def test_where_it_is_bent_tight_the_inner_paper_comes_off(built):
    box = "rect(160 mm, 120 mm, corner = 30 mm)"
    wrap = f"wrap box {{ over = [(0 mm, {box}), (100 mm, {box})], stock = faced, seam = butt }}"
    part = built(FACED.format(more="") + wrap).part("box")
    assert len(part.bared) == 4
    assert "inner paper off where hatched" in part.notes
    whole = (2 * 100 + 2 * 60 + 60 * math.pi) * 100
    assert part.properties.mass == pytest.approx(whole * 4e-4 - 60 * math.pi * 100 * 1e-4, rel=3e-3)
    # Board that takes the corners as it is keeps its paper; round ones lose all of it, and then nothing is hatched.
    assert built(FACED.format(more=", plain_radius = 25 mm") + wrap).part("box").bared == ()
    tube = built(FACED.format(more="") + wrap.replace(box, "circle(90 mm)")).part("box")
    assert tube.bared == ()
    assert "inner paper off" in tube.notes
    assert tube.properties.mass == pytest.approx(math.pi * 90 * 100 * 3e-4, rel=1e-3)


def test_what_is_not_peeled_to_bend_keeps_its_paper(built):
    wrap = "wrap tube { over = [(0 mm, circle(90 mm)), (60 mm, circle(90 mm))], stock = faced, seam = butt }"
    part = built(FACED.format(more=", bend = scored") + wrap).part("tube")
    assert part.bared == ()
    assert not any("paper off" in note for note in part.notes)


def test_paper_off_has_both_hands(built):
    board = FACED.format(more="")
    shape = "superellipse(160 mm, 120 mm, 3.5)"
    made = built(
        f"{board}wrap cheek {{ over = [(0 mm, {shape}), (100 mm, {shape})], stock = faced, arc = 5 deg to 175 deg }}"
    )
    right, left = made.part("cheek.right"), made.part("cheek.left")
    assert len(right.bared) == len(left.bared) > 0
    assert left.properties.mass == pytest.approx(right.properties.mass)


def test_what_is_said_of_skins_is_in_the_model_s_unit(compiled):
    made = compiled(
        'model inches { title = "M", units = in }\n'
        "stock board { kind = foamboard, thickness = 5 mm, sheet = 30 in by 20 in }\n"
        "wrap cowl { over = [(0 in, circle(4 in)), (2 in, circle(3 in)), (5 in, circle(2.8 in))], stock = board }\n"
        "wrap tip { over = [(6 in, circle(1 in)), (8 in, circle(1.2 in))], stock = board }\n"
        "offsets b {\n section = box\n | station | x [in] | half [in] | top [in] | bottom [in] |\n"
        " | A | 10 | 2 | 2 | -2 |\n | B | 18 | 1 | 2 | -2 |\n}\nside s { upper = b.top, lower = b.bottom, stock = board }"
    )
    said = [*made.said, *(note for part in made.design.parts for note in part.notes)]
    assert {"skin-cut", "tight-bend"} <= {finding.code for finding in made.findings}
    assert not [text for text in said if " mm" in text], said
    assert "x = 6 in to x = 8 in" in made.part("tip").notes


@pytest.mark.parametrize(
    ("seam", "more", "note"),
    [
        ("butt", 0, ""),
        ("lap(5 mm)", 5, "aft rim laps 5 mm over the next"),
        ("flap(6 mm)", 6, "flap 6 mm at the aft rim, to the far paper"),
        ("strap(12 mm)", 0, "aft rim on a strap 12 mm"),
    ],
)
def test_strips_meet_as_they_are_told(built, seam, more, note):
    made = built(
        "wrap tube { over = [(0 mm, circle(60 mm)), (80 mm, circle(60 mm)), (120 mm, circle(60 mm))], stock = card,"
        f" seam = butt, cut_at = each, cut_seam = {seam} }}"
    )
    first, second = made.part("tube.1"), made.part("tube.2")
    heights = [bounds(part.outline)[3] - bounds(part.outline)[1] for part in (first, second)]
    assert heights == pytest.approx([80 + more, 40], abs=1e-6)
    assert not note or note in first.notes
    assert not any("rim" in said for said in second.notes)
    ids = [part.id for part in made.design.parts]
    assert ids == ["tube.1", *(["tube.1.aft.strap"] if "strap" in seam else []), "tube.2"]


def test_seams_have_marks_that_meet(built):
    cone = "wrap tube { over = [(0 mm, circle(90 mm)), (80 mm, circle(60 mm))], stock = thin_board, seam = butt, pieces = 2 }"
    thin = "stock thin_board { kind = card, thickness = 0.4 mm, neutral = 1, sheet = 900 mm by 900 mm }\n"
    made = built(thin + cone)
    places = []
    for number in (1, 2):
        part = made.part(f"tube.{number}")
        ticks = [mark for mark in part.marks if mark.kind == "notch"]
        assert [mark.text for mark in ticks if mark.text] == [f"to tube.{3 - number}"] * 2
        at = [in_space(part.placement, mark.path.points[0]) for mark in ticks]
        places.append([at[:3], at[3:]])
    # One tick, then two, on either side of both seams, each at the places of its mate's.
    for one, other in ((places[0][0], places[1][1]), (places[0][1], places[1][0])):
        for spot in one:
            assert min(math.dist(spot, mate) for mate in other) < 0.01


def test_laps_of_a_cheek_meet_at_its_corners_and_are_weighed(built):
    """From a rounded rectangle to a square: fans at the ends of the arc, whose laps lie apart in space."""
    over = "[(0 mm, superellipse(62 mm, 66 mm, 3)), (26 mm, rect(80 mm, 90 mm))]"
    made = built(wrap(over, "arc = 35 deg to 145 deg\nedges = lap(4 mm)\nhand = right"))
    (cheek,) = made.design.parts
    assert cheek.properties.mass == pytest.approx(cheek.properties.area * cheek.stock.areal_mass, rel=1e-9)
    corners = flattened(cheek.outline, 0.01)
    reach = [
        min(math.dist(at, end) for mark in (*cheek.scores, *cheek.marks) for end in mark.path.points)
        for at in corners
    ]
    # No corner of the outline lies on an end of a fold any more.
    assert min(reach) > 1.0


@pytest.mark.parametrize(("start", "end"), [(90, 90), (90, 70), (280, 296), (380, 400)])
def test_a_ring_weighs_what_a_skin_round_its_ends_does(built, start, end):
    """With its inner paper where it is bent wider than the board takes with both, else without."""
    stock = FACED.format(more="")
    wrap = f"wrap skin {{ over = [(0 mm, circle({start} mm)), (60 mm, circle({end} mm))], stock = faced, seam = butt }}\n"
    wall = f"cone wall {{ start = {start} mm, end = {end} mm, length = 60 mm }}"
    if start == end:
        wall = f"barrel wall {{ diameter = {start} mm, length = 60 mm }}"
    made = built(
        stock + wrap + f"stack tube {{ from = 0 mm, runs = aft, stock = faced, seam = butt, {wall} }}"
    )

    def parts(component):
        return [part for part in made.design.parts if part.component == component]

    skin, ring = parts("skin"), parts("tube.wall")
    assert sum(part.properties.mass for part in ring) == pytest.approx(
        sum(part.properties.mass for part in skin), rel=1e-3
    )
    for part in (*skin, *ring):
        assert ("inner paper off" in part.notes) == (start < 300)
