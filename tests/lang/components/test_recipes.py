"""Recipes, hands, tables of offsets, and specs narrowed to what is asked for."""

import pytest
from ringwright.lang.pipeline import NoSuchName, compile_spec

HEAD = (
    'model test { title = "Test" }\n'
    "stock board { kind = foamboard, thickness = 5 mm, sheet = 762 mm by 508 mm, mass = 410 g/m2 }\n"
    "stock card { kind = card, thickness = 0.4 mm, sheet = 297 mm by 210 mm, mass = 300 g/m2 }\n"
)
TAB = "recipe tab(wide, high = 20 mm, of) { panel body { outline = rect(wide, high), stock = of, place = (0 mm, 30 mm, 0 mm) } }\n"


def run(text, only=()):
    return compile_spec("main.wright", lambda _: (HEAD + text).encode(), only)


def sound(text, only=()):
    compiled = run(text, only)
    assert not compiled.failed, compiled.findings
    return compiled.design


def codes(text, only=()):
    return [finding.code for finding in run(text, only).findings if finding.severity == "error"]


def test_a_recipe_of_one_component_makes_that_component():
    design = sound(
        TAB
        + "let w = 40 mm\nmake tab t1 { wide = w, of = board }\nmake tab t2 { wide = t1.width / 2, high = 5 mm, of = card }"
    )
    assert [part.id for part in design.parts] == ["t1", "t2"]
    assert design.values["t1.width"] == pytest.approx(40)
    assert (design.values["t2.width"], design.values["t2.height"]) == pytest.approx((20, 5))
    assert design.parts[1].stock.name == "card"


def test_a_recipe_of_several_makes_a_group_and_names_stay_apart():
    pair = (
        "recipe pair(size) {\n let half = size / 2\n panel one { outline = rect(half, 10 mm), stock = board }\n"
        " panel two { outline = rect(2 * one.width, 10 mm), stock = board }\n make tab in { wide = half, of = card }\n}\n"
    )
    pair = pair.replace("tab in {", "tab inner {")
    design = sound(TAB + pair + "make pair p1 { size = 80 mm }\nmake pair p2 { size = 60 mm }")
    assert [part.id for part in design.parts] == [
        "p1.inner",
        "p1.one",
        "p1.two",
        "p2.inner",
        "p2.one",
        "p2.two",
    ]
    assert design.values["p2.two.width"] == pytest.approx(60)
    assert design.values["p1.inner.width"] == pytest.approx(40)


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("make tba t { wide = 3 mm, of = board }", "unknown-recipe"),
        ("make tab t { of = board }", "missing-property"),
        ("make tab t { wide = 30 mm, of = board, hihg = 3 mm }", "unknown-property"),
        ("make tab t { wide = 30 mm, of = board, hand = lefft }", "unknown-word"),
        ("recipe a() { make b x { } }\nrecipe b() { make a y { } }\nmake a z { }", "recipe-cycle"),
        ("recipe a() {\nstation s { x = 0 mm }\nstation t { x = 0 mm }\n}\nmake a z { }", "misplaced"),
        (
            "panel t { outline = circle(9 mm), stock = board }\nmake tab t { wide = 30 mm, of = board }",
            "name-taken",
        ),
    ],
)
def test_what_cannot_be_made(text, code):
    assert set(codes(TAB + text)) == {code}


def test_recipes_that_multiply_are_stopped():
    bomb = "recipe r0() { panel p { outline = circle(9 mm), stock = board } }\n"
    for level in range(1, 6):
        bomb += (
            f"recipe r{level}() {{\n" + "".join(f"make r{level - 1} k{i} {{ }}\n" for i in range(10)) + "}\n"
        )
    assert codes(bomb + "make r5 all { }") == ["too-many-components"]


def test_both_hands_are_mirror_images_taken_as_a_whole():
    text = (
        "stack s { stock = board, from = 0 mm, runs = aft, hand = both, centre = (60 mm, 0 mm)\n"
        " barrel b { diameter = 400 mm, length = 40 mm, seam = butt }\n plate p { seat = inside } }"
    )
    parts = {part.id: part for part in sound(text).parts}
    assert set(parts) == {f"s.{name}.{hand}" for name in ("b.1", "b.2", "p") for hand in ("left", "right")}
    for name in ("b.1", "b.2", "p"):
        right, left = (parts[f"s.{name}.{hand}"].properties.centroid for hand in ("right", "left"))
        assert left == pytest.approx((right[0], -right[1], right[2]))
    assert parts["s.p.right"].properties.centroid[1] == pytest.approx(60)


def test_a_hand_is_given_once():
    text = (
        TAB
        + "recipe two() { make tab a { wide = 9 mm, of = card, hand = left }\n make tab b { wide = 9 mm, of = card } }\n"
    )
    assert codes(text + "make two t { hand = both }") == ["hand-twice"]


OFFSETS = (
    "offsets body {\n | station | x [mm] | half [mm] | top [mm] | keel.half [mm] | keel.height [mm] |\n"
    " | F1 | 0 | 44 | 52 | 40 | 24 |\n | F2 | 100 | 51 | | 47 | 26 |\n | F3 | 200 | 50 | 60 | 46 | 26 |\n}\n"
)


def test_a_table_makes_stations_and_lines_through_what_is_measured():
    design = sound(
        OFFSETS + "let a1 = body.half(F2)\nlet b1 = body.top(50 mm)\nlet c1 = body.keel.height(F3 - 100 mm)"
    )
    assert design.values["station.F3.x"] == pytest.approx(200)
    assert design.values["a1"] == pytest.approx(51)
    assert design.values["b1"] == pytest.approx(
        54
    )  # the empty cell is passed over: a straight line from 52 to 60
    assert design.values["c1"] == pytest.approx(26)


@pytest.mark.parametrize(
    ("text", "code"),
    [
        (OFFSETS + "let a1 = body.half(201 mm)", "off-the-line"),
        (OFFSETS + "let a1 = body.hlaf(20 mm)", "unknown-name"),
        (OFFSETS + "let a1 = board.half(20 mm)", "unknown-function"),
        (OFFSETS.replace("top [mm]", "tpo [mm]"), "bad-table"),
        (OFFSETS.replace("half [mm] | top", "half | top"), "missing-unit"),
    ],
)
def test_what_a_table_cannot_say(text, code):
    assert codes(text) == [code]


HALF = (
    "let size = 30 mm\npanel good { outline = circle(size), stock = board }\npanel bad { outline = circle(nowhere), stock = board }\n"
    "stack open { stock = board\n barrel b { diameter = 100 mm } }\nrequire good.width > 3 mm\nrequire bad.width > 3 mm\n"
)


def test_what_is_asked_for_is_made_while_the_rest_is_half_written():
    assert set(codes(HALF)) == {"unknown-name", "under-determined"}
    compiled = run(HALF, ("good",))
    assert not compiled.failed
    assert [part.id for part in compiled.design.parts] == ["good"]
    assert codes(HALF, ("bad",)) == ["unknown-name"]


def test_a_mistake_in_a_recipe_concerns_what_it_makes():
    text = "recipe a(n) { panel p { outline = circle(n), stock = board, quantitty = 4 } }\nmake a x { n = 50 mm }"
    assert codes(text, ("x",)) == ["unknown-property"]


def test_what_is_asked_for_must_be_there():
    with pytest.raises(NoSuchName) as none:
        run(HALF, ("goood",))
    assert none.value.near == "good"


RIB = 'recipe rib(chord) { panel p { stock = board, outline = rect(chord, 20 mm), quantity = "two" } }\n'


@pytest.mark.parametrize(
    ("text", "code"),
    [
        (RIB + "make rib r1 { chord = 120 mm }", "wrong-type"),
        (RIB.replace('"two"', "2, quantitty = 3") + "make rib r1 { chord = 120 mm }", "unknown-property"),
        (RIB.replace('"two"', "2") + "make rib r1 { chord = 120 m }", "part-too-big"),
        (RIB.replace('"two"', "2").replace("20 mm", "0 mm") + "make rib r1 { chord = 120 mm }", "no-size"),
    ],
)
def test_a_mistake_in_a_recipe_says_where_it_is_made(text, code):
    (finding,) = run(text).findings
    assert finding.code == code
    written = HEAD + text
    made = [
        written[label.span.start : label.span.end] for label in finding.labels if label.text == "made here"
    ]
    in_recipe = finding.span.start < len(HEAD + RIB)
    assert made == (["r1"] if in_recipe else [])
    assert in_recipe or written[finding.span.start : finding.span.end] == "r1"


def test_a_former_of_a_recipe_stands_at_the_station_where_it_is_made():
    text = (
        "recipe ring(wide) { former f { stock = board, outline = circle(wide) } }\n"
        "station F3 { x = 118 mm }\nmake ring F3 { wide = 80 mm }\n"
    )
    design = sound(text)
    assert design.values["F3.x_fore"] == pytest.approx(118)
    assert [part.id for part in run(text, ("F3",)).design.parts] == ["F3"]


def test_a_former_stands_at_a_station_of_a_file_that_is_used():
    files = {
        "main.wright": HEAD + 'use "plan.wright"\nformer F3 { stock = board, outline = circle(80 mm) }\n',
        "plan.wright": "station F3 { x = 118 mm }\n",
    }
    compiled = compile_spec("main.wright", lambda path: files[path].encode())
    assert compiled.findings == ()
    assert compiled.design.values["F3.x_fore"] == pytest.approx(118)


def test_a_table_knows_the_named_values_beside_it():
    text = "offsets body {\n let tail = 400 mm\n | station | x [mm] | half [mm] |\n | F1 | 0 | 40 |\n | F9 | tail | 9 |\n}\n"
    assert sound(text).values["station.F9.x"] == pytest.approx(400)


def test_a_table_makes_no_stations_in_a_group():
    text = (
        "recipe hull(n) {\n offsets t {\n  | station | x [mm] |\n  | B1 | 0 |\n }\n panel p { stock = board, outline = circle(n) }\n}\n"
        "make hull h { n = 50 mm }"
    )
    assert codes(text) == ["misplaced"]


def test_a_name_taken_twice_concerns_what_has_it():
    text = "panel p { outline = circle(50 mm), stock = board }\npanel p { outline = circle(60 mm), stock = board }\n"
    assert codes(text, ("p",)) == ["name-taken"]


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        (
            "recipe a(n) { panel p { stock = board, outline = circle(n), outlin = 3 mm } }",
            ["unknown-property"],
        ),
        ("recipe a(n) { pannel p { stock = board } }", ["unknown-kind"]),
        (
            "recipe a(n) {\n panel p { outline = circle(n) }\n panel p { outline = circle(n) } }",
            ["name-taken"],
        ),
        ("recipe a(n) { panel p { outline = circle(n) } }", []),
        ("recipe a() { cutting { } }\ncutting { }", []),
        ("recipe a() { make a x { } }", ["recipe-cycle"]),
    ],
)
def test_of_a_recipe_that_nobody_makes_the_words_are_judged(text, expected):
    assert codes(text + "\npanel other { stock = board, outline = circle(9 mm) }") == expected


WHEEL = (
    "recipe wheel() { stack s { stock = card, axis = across, from = 50 mm, to = 80 mm\n"
    " barrel b { diameter = 60 mm }\n plate o { stock = board } } }\n"
)


def test_a_hand_alone_is_that_of_both():
    alone = {hand: run(WHEEL + f"make wheel w {{ hand = {hand} }}").design for hand in ("left", "right")}
    both = run(WHEEL + "make wheel w { hand = both }").design
    for hand, design in alone.items():
        for part in design.parts:
            twin = next(other for other in both.parts if other.id == f"{part.id}.{hand}")
            assert part._replace(id=twin.id) == twin
            assert (part.properties.centroid[1] > 0) == (hand == "right")


def test_a_former_stands_for_its_station_where_a_place_is_wanted():
    text = (
        "offsets body {\n | station | x [mm] | half [mm] |\n | F1 | 0 | 40 |\n | F3 | 118 | 50 |\n}\n"
        "recipe hoop(place) { former h { at = place + 0 mm, stock = board, outline = circle(body.half(place)) } }\n"
        "recipe rib(place) { former h { at = place, stock = board, outline = circle(20 mm) } }\n"
        "former F3 { stock = board, outline = circle(80 mm), face = aft }\nmake hoop D3 { place = F3 }\nmake rib E3 { place = F3 }\n"
    )
    design = sound(text)
    assert design.values["E3.x_fore"] == pytest.approx(118)
    assert design.values["D3.width"] == pytest.approx(50)


def test_what_is_wrong_in_a_recipe_is_said_once_beside_a_slip():
    text = "recipe a(x) { former f { at = x, stock = board, outline = circle(9 mm) } }\nlet = 3\n"
    text += "".join(f"make a q{n} {{ x = 3 mm }}\n" for n in range(4))
    assert sorted(codes(text)) == ["missing-name", "name-taken"]
