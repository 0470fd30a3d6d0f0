"""Expressions to values: units, plan measurements, spreads, lists and long chains."""

import math
import time

import pytest

SCALED = 'model test { title = "Test", plan_scale = %s }\nstock board { kind = foam, thickness = 5 mm, sheet = 2 m by 2 m }\n'


@pytest.mark.parametrize(
    ("expression", "value"),
    [
        ("40 mm", 40),
        ("4 cm + 1 m", 1040),
        ("1 in", 25.4),
        ("3/16 in", 4.7625),
        ("1 3/16 in", 30.1625),
        ("1 ft", 304.8),
        ("30 deg", math.pi / 6),
        ("30° + 0.1 rad", math.pi / 6 + 0.1),
        ("30 deg * 10 mm", 10 * math.pi / 6),
        ("50 % * 30 mm", 15),
        ("sqrt(9 mm2)", 3),
        ("2 mm ^ 2", 4),
        ("-2 mm - -3 mm", 1),
        ("hypot(3 mm, 4 mm)", 5),
        ("atan2(1 mm, 1 mm)", math.pi / 4),
        ("sin(30 deg) * 1 mm", 0.5),
        ("asin(0.5)", math.pi / 6),
        ("acos(0.5) * 1 mm", math.pi / 3),
        ("min(3 mm, 2 mm) + max(3 mm, 2 mm)", 5),
        ("abs(-3 mm)", 3),
        ("round_to(7.4 mm, 0.5 mm)", 7.5),
        ("9 lb/ft3 * 3/32 in", 9 * 453.59237 / 304.8**3 * 25.4 * 3 / 32),
        ("(1 mm + 2 mm) * 3", 9),
        ("2 + 3 * 4 ^ 2 / 8", 8),
    ],
)
def test_what_an_expression_comes_to(built, expression, value):
    found = built(f"let v = {expression}\nlet w = v * 1")
    assert found.value("w") == pytest.approx(value, rel=1e-12)


@pytest.mark.parametrize(
    ("expression", "code", "message"),
    [
        ("3 mm + 3 g", "unit-mismatch", "a length cannot be added to a mass"),
        ("3 mm - 30 deg", "unit-mismatch", "an angle cannot be taken from a length"),
        ("3 mm + 3", "unit-mismatch", "a length cannot be added to a bare number"),
        ("hypot(3 mm, 3 g)", "unit-mismatch", "hypot takes two of one dimension, not a length and a mass"),
        ("sin(30)", "unit-mismatch", "sin takes an angle, not a bare number"),
        ("asin(3 mm)", "unit-mismatch", "asin takes a plain number, not a length"),
        ("2 ^ 3 mm", "unit-mismatch", "a power must be a plain number"),
        ("1 mm / 0", "not-a-number", "this divides by zero"),
        (
            "1e308 m",
            "not-finite",
            "this is beyond what can be reckoned with: lengths lie between 1e-6 mm and 1 km",
        ),
        ("min(3 mm)", "wrong-arguments", "min still needs b"),
        ("min(3 mm, 4 mm, 5 mm)", "wrong-arguments", "min takes 2 values, not 3"),
        ("hypot(a = 3 mm, c = 4 mm)", "wrong-arguments", "hypot has no 'c'"),
        ("hypot(3 mm, a = 4 mm)", "given-twice", "'a' is given twice"),
        ("foo(3 mm)", "unknown-function", "there is no function 'foo'"),
        ("circle(3 mm) + 1 mm", "not-a-value", "a quantity is wanted here, not a shape"),
        ("circle(3)", "missing-unit", "the diameter of circle is a length and needs a unit"),
        ("rect(3 mm, 4 g)", "unit-mismatch", "the height of rect is a length, not a mass"),
        ("moved(3 mm, (1 mm, 2 mm))", "wrong-type", "moved needs a shape here"),
        ("moved(circle(3 mm), 2 mm)", "wrong-type", "moved needs a point here: (y, z)"),
        (
            "circle[(1, 2)] * 2",
            "wrong-arguments",
            "circle takes its values in round brackets: circle(diameter)",
        ),
        ("half(3 mm)", "wrong-arguments", "half takes a list of points in square brackets"),
        ("@3 g", "scale-misplaced", "'@' marks a length measured on the plan; this is a mass"),
        ("@3", "scale-misplaced", "'@' marks a length measured on the plan; this is a bare number"),
    ],
)
def test_what_an_expression_cannot_be(judged, expression, code, message):
    found = judged(f"let v = {expression}")
    assert found.errors == [code]
    assert found.the(code).message == message


def test_a_unit_behind_a_list_covers_what_has_none(built):
    text = "former F {{ at = 0 mm, stock = board, outline = {} }}"
    plain = built(text.format("polygon[(0, 0), (30, 0), (30, 20)] mm"))
    mixed = built(text.format("polygon[(0, 0), (3 cm, 0), (15 + 15, 2 cm)] mm"))
    assert mixed.part("F").outline == plain.part("F").outline


def test_the_last_unit_covers_the_bare_ones_before_it(compiled):
    text = 'model t { title = "T" }\nlet s = 132 ± 0.5 mm\nlet u = s * 2\n'
    found = compiled(text)
    assert found.value("u") == 264
    assert found.design.solution.plus_minus("s") == pytest.approx((0.5, 0.5))
    assert found.design.solution.plus_minus("u") == pytest.approx((1, 1))


def test_spreads_add_up_root_sum_square_and_worst(built):
    found = built("let a1 = 30 ± 3 mm\nlet b = 20 ± 4 mm\nlet c = a1 + b\nlet d = a1 - a1 + 0 * b")
    assert found.design.solution.plus_minus("c") == pytest.approx((5, 7))


def test_what_is_marked_follows_the_plan_and_nothing_else_does(compiled):
    found = compiled(
        SCALED % "145 %" + "let a1 = @100 ± 1 mm\nlet b = 100 mm\nlet c = a1 * 2 + b\n"
        "former F { at = @10 mm, stock = board, outline = @half[(0, 50), (40, 0), (0, -50)] mm\n hole h { diameter = 6 mm, at = @(0 mm, 10 mm) } }"
    )
    assert not found.errors, found.said
    assert found.value("a1") == pytest.approx(145)
    assert found.value("c") == pytest.approx(390)
    assert found.design.solution.plus_minus("a1") == pytest.approx((1.45, 1.45))
    assert found.value("F.at") == pytest.approx(14.5)
    assert found.value("F.width") == pytest.approx(116)
    assert found.value("F.h.diameter") == 6
    assert found.part("F").centres[-1].at == pytest.approx((0, 14.5))


@pytest.mark.parametrize(
    ("scale", "factor"), [("145 %", 1.45), ("812 mm / 560 mm", 1.45), ("1.45", 1.45), ("29 / 20", 1.45)]
)
def test_plan_scale_is_any_plain_number(compiled, scale, factor):
    assert compiled(SCALED % scale + "let d = @100 mm").value("d") == pytest.approx(100 * factor)


@pytest.mark.parametrize("scale", ["0", "-5 %", "0 %", "3 mm", "yes", "board.thickness / 5 mm"])
def test_plan_scale_must_be_a_number_above_nought(compiled, scale):
    assert len(compiled(SCALED % scale + "let d = @100 mm").errors) == 1


def test_a_plan_stretched_one_way(compiled):
    found = compiled(
        SCALED
        % "50 % by 80 %"
        + "station A { x = @100 mm }\nstack s { from = A, overall = @100 mm, runs = aft, stock = board\n"
        " barrel b { diameter = @100 mm } }\nformer F { at = A, stock = board, outline = @rect(100 mm, 50 mm) }"
    )
    assert not found.errors, found.said
    assert found.value("station.A.x") == 50
    assert found.value("s.overall") == 50
    assert found.value("s.b.diameter") == 80
    assert (found.value("F.width"), found.value("F.height")) == (80, 40)


@pytest.mark.parametrize(
    ("view", "shape", "width", "height"),
    [
        ("side", "@rect(100 mm, 100 mm)", 50, 80),
        ("top", "@ellipse(100 mm, 100 mm)", 50, 80),
        ("section", "@rect(100 mm, 100 mm)", 80, 80),
        ("side", "@polygon[(0, 0), (100, 0), (100, 100)] mm", 50, 80),
        ("top", "@curve[corner(0, 0), corner(100, 0), corner(100, 100), corner(0, 100)] mm", 50, 80),
        ("side", "moved(@rect(100 mm, 100 mm), @(40 mm, 3 mm))", 50, 80),
        ("section", "@circle(100 mm)", 80, 80),
    ],
)
def test_a_drawing_from_the_side_or_the_top_runs_both_ways(compiled, view, shape, width, height):
    found = compiled(
        SCALED % "50 % by 80 %" + f"panel P {{ stock = board, view = {view}, outline = {shape} }}"
    )
    assert not found.errors, found.said
    assert found.value("P.width") >= width
    assert found.value("P.width") == pytest.approx(width, rel=0.1)
    assert found.value("P.height") == pytest.approx(height, rel=0.1)


def test_a_stack_across_the_aircraft_is_as_long_as_the_plan_is_wide(compiled):
    text = "stack s { stock = board, axis = across, overall = @100 mm, centre = @(100 mm, 100 mm), from = @0 mm, runs = aft\n barrel b { diameter = %s } }"
    found = compiled(SCALED % "50 % by 80 %" + text % '90 mm, accept mixed-marks because "a wheel as bought"')
    assert not found.errors, found.said
    assert found.value("s.overall") == 80
    assert found.part("s.b").placement.origin == pytest.approx((50, 0, 80))
    assert compiled(SCALED % "50 % by 80 %" + text % "@90 mm").errors == ["scale-direction"]


def test_a_place_in_space_runs_along_first(compiled):
    text = "panel P { stock = board, outline = circle(50 mm), place = @(100 mm, 100 mm, 100 mm) }"
    assert compiled(SCALED % "50 % by 80 %" + text).part("P").placement.origin == pytest.approx((50, 80, 80))


@pytest.mark.parametrize("shape", ["@circle(100 mm)", "outset(rect(9 mm, 9 mm), @2 mm)"])
def test_what_would_be_drawn_out_of_shape_is_refused(compiled, shape):
    found = compiled(SCALED % "50 % by 80 %" + f"panel P {{ stock = board, view = side, outline = {shape} }}")
    assert found.errors == ["scale-direction"]


def test_each_marked_number_counts_once(compiled):
    text = "former F { at = @3 mm, stock = board, outline = @half[(0, 61), (38, 52), (0, -58)] mm }"
    assert compiled(SCALED % "145 %" + text).design.scaled == 7


def test_a_let_cannot_tell_which_way_a_stretched_plan_goes(compiled):
    found = compiled(SCALED % "50 % by 80 %" + "let d = @100 mm")
    assert found.errors == ["scale-direction"]


@pytest.mark.parametrize("backwards", [True, False])
def test_ten_thousand_lets_in_a_chain(built, backwards):
    lets = [f"let v{i} = v{i + 1} + 1 mm" for i in range(10_000)] + ["let v10000 = 1 mm"]
    text = "\n".join(reversed(lets) if backwards else lets)
    began = time.process_time()
    assert built(text).value("v0") == 10_001
    # about a second on an ordinary machine; a chain gone through again for each of its links takes minutes
    assert time.process_time() - began < 10


@pytest.mark.parametrize("many", [1, 2, 10_000])
def test_a_circle_of_lets_is_one_error(judged, many):
    found = judged("\n".join(f"let v{i} = v{(i + 1) % many}" for i in range(many)))
    assert found.errors == ["circular-value"]


def test_shapes_upon_shapes_end_somewhere(judged):
    lets = ["let s0 = circle(100 mm)"] + [f"let s{i + 1} = inset(s{i}, 0.01 mm)" for i in range(1000)]
    assert judged("\n".join(lets)).errors == ["too-deep"]


def test_a_shape_used_twice_over_and_over_is_drawn_once(built):
    lets = ["let s0 = circle(100 mm)"] + [f"let s{i + 1} = common(s{i}, s{i})" for i in range(60)]
    found = built("\n".join(lets) + "\nformer F { at = 0 mm, stock = board, outline = s60 }")
    assert found.value("F.width") == pytest.approx(100, abs=0.05)


@pytest.mark.parametrize(
    ("property", "code", "says"),
    [
        ("at = 10", "missing-unit", "'at' of a former is a length and needs a unit"),
        ("at = 10 g", "unit-mismatch", "'at' of a former is a length, not a mass"),
        ("at = board", "wrong-type", "'at' of a former is a length or a station's name, not a stock"),
        ("face = afft", "unknown-word", "'afft' is not one of the words for 'face'"),
        ("face = 3 mm", "unknown-word", "this is not one of the words for 'face'"),
        ("quantity = 0", "wrong-type", "'quantity' of a former is a whole number from 1 to 1000"),
        ("quantity = 1.5", "wrong-type", ""),
        ("quantity = 2 mm", "wrong-type", ""),
        ("stock = 3 mm", "wrong-type", "'stock' of a former is the name of a stock"),
        ("outline = 3 mm", "wrong-type", "'outline' of a former is a shape"),
    ],
)
def test_what_a_property_is_told_that_takes_another_value(judged, property, code, says):
    given = {"at": "at = 10 mm", "stock": "stock = board", "outline": "outline = circle(50 mm)"}
    given[property.split(" ")[0]] = property
    found = judged(f"former F {{ {', '.join(given.values())} }}")
    assert found.errors == [code]
    assert found.the(code).message.startswith(says)
