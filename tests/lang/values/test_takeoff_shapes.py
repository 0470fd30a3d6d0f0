"""Shapes as they come off a plan: fits, arcs, both halves, aerofoils; what is said of each."""

from math import pi

import pytest
from ringwright.geometry.path import bounds, signed_area


def panel(outline: str, more: str = "") -> str:
    return f"panel p {{ outline = {outline}, stock = board{more} }}"


def width_and_height(outcome) -> tuple[float, float]:
    x0, y0, x1, y1 = bounds(outcome.part("p").outline)
    return x1 - x0, y1 - y0


def test_a_circle_through_three_points(built) -> None:
    outcome = built(panel("circle_through((0, 61) mm, (38, 52) mm, (51, 20) mm)"))
    assert outcome.said == []
    assert width_and_height(outcome) == pytest.approx((2 * 40.156032, 2 * 40.156032), abs=1e-5)
    x0, y0, x1, y1 = bounds(outcome.part("p").outline)
    assert ((x0 + x1) / 2, (y0 + y1) / 2) == pytest.approx((10.913103, 22.355323), abs=1e-5)


def test_a_circle_laid_through_many_points_says_how_near_it_comes(built) -> None:
    outcome = built(panel("circle_fit[(50, 0), (0, 50.6), (-50, 0), (0, -50)] mm"))
    message = outcome.the("points-fitted").message
    assert "lie within 0.2 mm of a circle" in message
    assert "span 270° of it" in message
    assert "its diameter is 100.3" in message
    (worst,) = outcome.the("points-fitted").labels
    source = outcome.compiled.project.sources["main.wright"]
    assert source.text[worst.span.start : worst.span.end] in ("(0, 50.6)", "(50, 0)", "(-50, 0)", "(0, -50)")
    assert outcome.the("points-fitted").severity == "note"


def test_a_short_arc_is_doubted_and_the_doubt_can_be_accepted(judged) -> None:
    text = "circle_fit[(50, 0), (49.8, 4.5), (49.2, 8.9), (48.2, 13.3)] mm"
    outcome = judged(panel(text))
    assert outcome.warnings == ["short-arc"]
    assert "span 15° of their circle" in outcome.the("short-arc").message
    assert judged(panel(text, '\naccept short-arc because "the rest is torn off"')).warnings == []


def test_a_doubt_about_a_shape_named_elsewhere_stands_where_it_is_used(judged) -> None:
    rim = "let rim = circle_through((-10, 49) mm, (0, 50) mm, (10, 49) mm)\n"
    outcome = judged(rim + panel("inset(rim, 2 mm)"))
    assert outcome.underlined("short-arc") == "inset(rim, 2 mm)"
    (label,) = outcome.the("short-arc").labels
    assert label.text == "drawn here"
    accepted = panel("inset(rim, 2 mm)", '\naccept short-arc because "seen"')
    also = panel("rim").replace("panel p", "panel q")
    assert judged(f"{rim}{accepted}\n{also}").warnings == ["short-arc"]


def test_an_ellipse_laid_through_points(built) -> None:
    outcome = built(panel("ellipse_fit[(60, 0), (36, 32), (0, 40), (-36, 32), (-60, 0), (0, -40)] mm"))
    assert (
        "of 120 by 80 mm about (0, 0); its longer axis is turned by 0°"
        in outcome.the("points-fitted").message
    )
    assert abs(signed_area(outcome.part("p").outline)) == pytest.approx(pi * 60 * 40, abs=0.5)


def test_an_arc_by_chord_and_rise(built) -> None:
    outcome = built(panel("arc(120 mm, 14 mm)"))
    assert outcome.said == []
    assert width_and_height(outcome) == pytest.approx((120, 14))


def test_how_well_the_radius_of_an_arc_is_known(built) -> None:
    outcome = built(panel("arc(100 mm, 3 ± 0.5 mm)"))
    assert "a radius of 418.2 ± 69.2 mm" in outcome.the("arc-radius").message
    outcome = built(panel("arc(100 ± 1 mm, 3 ± 0.5 mm)"))
    # dR/dc = c / 4s = 8.33: √(69.2² + 8.33²)
    assert "± 69.7 mm" in outcome.the("arc-radius").message


def test_both_halves_are_averaged_and_their_difference_said(built) -> None:
    outcome = built(panel("both[(0, 61), (-38, 52), (36, 52), (-51, 20), (51, 21), (0, -58)] mm"))
    assert "by up to 2.0 mm, most about (37, 52)" in outcome.the("halves-differ").message
    points = set(outcome.part("p").outline.points)
    assert points == {(0, 61), (37, 52), (-37, 52), (51, 20.5), (-51, 20.5), (0, -58)}
    assert built(panel("both[(0, 61), (-37, 52), (37, 52), (-51, 20), (51, 20), (0, -58)] mm")).said == []


def test_both_halves_with_a_smooth_line_are_the_half_that_lies_between_them(built) -> None:
    between = built(panel("half_curve[(0, 61), corner(37, 52), (51, 20), (0, -58)] mm"))
    outcome = built(panel("both_curve[(0, 61), corner(-38, 52), (36, 52), (-51, 20), (51, 20), (0, -58)] mm"))
    assert outcome.part("p").outline == between.part("p").outline


def test_a_straight_run_in_a_curve(judged) -> None:
    points = "(0, 60), (36, 48), {}(50, 20), (50, 0), {}(50, -30), (0, -58)"
    outcome = judged(panel(f"half_curve[{points.format('', '')}] mm"))
    assert outcome.warnings == ["straight-bulges"]
    assert (
        outcome.the("straight-bulges").help
        == "if it is straight there, write corner(50, 20) and corner(50, -30)"
    )
    assert judged(panel(f"half_curve[{points.format('corner', 'corner')}] mm")).said == []


def test_a_flat_top_is_said_of_the_right_half_alone(judged) -> None:
    outcome = judged(panel("half_curve[(0, 60), (25, 60), (50, 30), (40, -20), (0, -50)] mm"))
    assert "between (25, 60) and its mirror image" in outcome.the("straight-bulges").message
    assert outcome.the("straight-bulges").help.endswith("write corner(25, 60)")


def test_a_quarter_of_an_ellipse_is_no_outline(judged) -> None:
    outcome = judged(panel("quarter_ellipse(40 mm, 50 mm, 20 mm)"))
    assert outcome.errors == ["open-outline"]
    assert judged(panel("inset(quarter_ellipse(40 mm, 50 mm, 20 mm), 2 mm)")).errors == ["open-outline"]


def test_an_aerofoil_by_its_digits(built) -> None:
    outcome = built(panel('aerofoil("2412", chord = 180 mm)', ", view = side"))
    assert outcome.said == []
    x0, _, x1, _ = bounds(outcome.part("p").outline)
    assert (x0, x1) == pytest.approx((0, 180), abs=0.1)
    assert width_and_height(outcome)[1] == pytest.approx(180 * 0.12, rel=0.02)


def test_the_digits_are_blamed_for_what_they_name(judged) -> None:
    assert judged(panel('aerofoil("2490", chord = 180 mm)')).underlined("no-such-aerofoil") == '"2490"'
    assert judged(panel('aerofoil("2412", chord = -1 mm)')).underlined("no-size") == "-1 mm"
    assert judged(panel("aerofoil(2412, chord = 180 mm)")).errors == ["wrong-type"]


MODEL = 'model test {{ title = "Test", plan_scale = {} }}\n'
BOARD = "stock board { kind = foamboard, thickness = 4.8 mm, sheet = 762 mm by 508 mm }\n"
SHAPES = [
    "circle_through((0, 61) mm, (38, 52) mm, (51, 20) mm)",
    "circle_fit[(50, 0), (0, 50.6), (-50, 0), (0, -50)] mm",
    "ellipse_fit[(60, 0), (36, 32), (0, 40), (-36, 32), (-60, 0), (0, -40)] mm",
    "arc(120 mm, 14 mm)",
    "both[(0, 61), (-38, 52), (36, 52), (-51, 20), (51, 20), (0, -58)] mm",
    "both_curve[(0, 61), (-38, 52), (36, 52), (-51, 20), (51, 20), (0, -58)] mm",
    'aerofoil("2412", chord = 120 mm)',
]


@pytest.mark.parametrize("shape", SHAPES)
def test_what_was_measured_follows_the_plans_scale(compiled, shape: str) -> None:
    plain = compiled(MODEL.format("200 %") + BOARD + panel(shape))
    marked = compiled(MODEL.format("200 %") + BOARD + panel(f"@{shape}"))
    assert not marked.errors, marked.said
    assert width_and_height(marked) == pytest.approx([2 * size for size in width_and_height(plain)], abs=0.01)


def test_each_side_follows_its_own_scale(compiled) -> None:
    spec = MODEL.format("200 % by 100 %") + BOARD
    assert width_and_height(compiled(spec + panel("@arc(100 mm, 14 mm)", ", view = side"))) == pytest.approx(
        (200, 14)
    )
    assert width_and_height(compiled(spec + panel("@arc(100 mm, 14 mm)"))) == pytest.approx((100, 14))


@pytest.mark.parametrize(
    ("shape", "code"),
    [
        ("circle_through((0, 0) mm, (1, 1) mm, (2, 2) mm)", "points-in-line"),
        ("circle_through((0, 0) mm, (1, 1) mm)", "wrong-arguments"),
        ("circle_through((0, 0), (1, 1), (2, 0))", "missing-unit"),
        ("circle_through(0 mm, 1 mm, 2 mm)", "wrong-type"),
        ("circle_fit[(0, 0), (1, 1)] mm", "too-few-points"),
        ("circle_fit[(0, 0), (1, 1), (2, 2)] mm", "points-in-line"),
        ("circle_fit((0, 0) mm, (1, 1) mm, (2, 0) mm)", "wrong-arguments"),
        ("ellipse_fit[(0, 0), (1, 1), (2, 2), (3, 3), (4, 4)] mm", "no-ellipse"),
        ("ellipse_fit[(0, 0), (1, 1), (2, 2), (3, 3)] mm", "too-few-points"),
        ("arc(0 mm, 14 mm)", "no-size"),
        ("arc(100 mm, -2 mm)", "no-size"),
        ("arc(100 mm, 30 deg)", "unit-mismatch"),
        ("both[(0, 61), (-37, 52), (37, 52), (-51, 20)] mm", "halves-do-not-pair"),
        ("both[(0, 61), (37, 52), (-37, 52), (0, -51)] mm", "halves-do-not-pair"),
        ("both[(0, 61), (-37, 52), (0, -51)] mm", "halves-do-not-pair"),
        ("both[(0, 61)] mm", "too-few-points"),
        ("both[]", "too-few-points"),
        ("both_curve[]", "too-few-points"),
        ("circle_fit[]", "too-few-points"),
        ("quarter_ellipse(0 mm, 1 mm, 2 mm)", "no-size"),
    ],
)
def test_what_is_no_shape(judged, shape: str, code: str) -> None:
    assert judged(panel(shape)).errors == [code], judged(panel(shape)).said
