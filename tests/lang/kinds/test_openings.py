"""Holes, patterns and slots: where they are cut, what is left around them, and what cannot be cut."""

import math

import pytest
from ringwright.geometry.path import bounds

PLATE = "panel P {{ stock = {stock}, outline = rect(100 mm, 80 mm)\n {inside}\n}}"


def part_with(built, inside, stock="board"):
    return built(PLATE.format(inside=inside, stock=stock)).part("P")


def middles(part):
    found = []
    for hole in part.holes:
        x0, y0, x1, y1 = bounds(hole)
        found.append(((x0 + x1) / 2, (y0 + y1) / 2))
    return found


def test_a_round_hole_with_its_cross(built):
    part = part_with(built, "hole h { diameter = 20 mm, at = (10 mm, -5 mm) }")
    assert bounds(part.holes[0]) == pytest.approx((0, -15, 20, 5))
    assert part.centres[0].at == (10, -5)
    assert part.properties.area == pytest.approx(8000 - math.pi * 100, rel=1e-6)


@pytest.mark.parametrize(("fit", "room"), [("rod", 0.2), ("tube", 0.3), ("sleeve", 0.5)])
def test_a_fit_makes_room(built, fit, room):
    part = part_with(built, f"hole h {{ diameter = 6 mm, fit = {fit} }}")
    assert bounds(part.holes[0])[2] == pytest.approx(3 + room / 2)


def test_a_hole_of_any_outline_and_one_that_leaves_a_rim(built):
    part = part_with(built, "hole h { outline = rect(20 mm, 10 mm), at = (10 mm, 0 mm) }")
    assert bounds(part.holes[0]) == pytest.approx((0, -5, 20, 5))
    part = part_with(built, "hole h { rim = 14 mm }")
    assert bounds(part.holes[0]) == pytest.approx((-36, -26, 36, 26))


def test_bolts_on_a_circle_begin_at_the_top_and_go_to_the_right(built):
    part = part_with(built, "holes b { diameter = 3 mm, on = circle(40 mm), count = 3, at = (5 mm, 0 mm) }")
    third = math.radians(120)
    for i, middle in enumerate(middles(part)):
        assert middle == pytest.approx((5 + 20 * math.sin(i * third), 20 * math.cos(i * third)), abs=1e-6)
    part = part_with(built, "holes b { diameter = 3 mm, on = circle(40 mm), count = 2, first = 90 deg }")
    assert middles(part)[0] == pytest.approx((20, 0), abs=1e-6)


def test_bolts_on_a_rect(built):
    part = part_with(built, "holes b { diameter = 3 mm, on = rect(40 mm, 20 mm) }")
    assert sorted((round(x, 6), round(y, 6)) for x, y in middles(part)) == [
        (-20, -10),
        (-20, 10),
        (20, -10),
        (20, 10),
    ]


@pytest.mark.parametrize("stock", ["board", "ply"])
@pytest.mark.parametrize(("taken", "width"), [("ply", 3.2), ("board", 4.9), ("card", 0.5)])
def test_a_slot_takes_a_stock_with_the_fit_of_what_goes_in(built, stock, taken, width):
    part = part_with(built, f"slot s {{ length = 20 mm, takes = {taken} }}", stock)
    assert bounds(part.holes[0])[3] * 2 == pytest.approx(width)


def test_a_slot_of_a_width_turned(built):
    part = part_with(built, "slot s { length = 20 mm, width = 4 mm, turned = 90 deg, at = (10 mm, 0 mm) }")
    assert bounds(part.holes[0]) == pytest.approx((8, -10, 12, 10))
    part = part_with(built, "slot s { length = 20 mm, takes = ply, fit = -0.1 mm }")
    assert bounds(part.holes[0])[3] * 2 == pytest.approx(2.9)


def test_a_slot_over_the_edge_is_a_notch(built):
    part = part_with(built, "slot s { length = 20 mm, width = 4 mm, at = (50 mm, 0 mm) }")
    assert part.holes == ()
    assert part.properties.area == pytest.approx(8000 - 10 * 4)


@pytest.mark.parametrize(
    ("inside", "says"),
    [
        ("hole h { diameter = 74 mm }", "only 3 mm is left between hole 'h' and the edge"),
        (
            "hole h { diameter = 20 mm }\n hole k { diameter = 20 mm, at = (22 mm, 0 mm) }",
            "only 2 mm is left between hole 'h' and hole 'k'",
        ),
        ("holes b { diameter = 18 mm, on = circle(40 mm), count = 6 }", "the next hole of the pattern"),
    ],
)
def test_a_thin_rim_is_a_warning(built, inside, says):
    found = built(PLATE.format(inside=inside, stock="board"))
    assert set(found.warnings) == {"thin-rim"}
    assert says in found.findings[0].message


def test_a_thin_rim_can_be_accepted(built):
    found = built(
        PLATE.format(
            inside='hole h { diameter = 74 mm }\n accept thin-rim because "carries nothing"', stock="board"
        )
    )
    assert found.warnings == []
    assert [finding.severity for finding in found.findings] == ["accepted"]


@pytest.mark.parametrize(
    ("inside", "code", "says"),
    [
        ("hole h { diameter = 90 mm }", "hole-outside", "hole 'h' reaches 5 mm over the edge"),
        ("hole h { diameter = 10 mm, at = (48 mm, 0 mm) }", "hole-outside", "reaches 3 mm over the edge"),
        ("hole h { diameter = 10 mm }\n hole k { diameter = 10 mm, at = (8 mm, 0 mm) }", "hole-outside", "over hole 'k'"),
        ("holes h { diameter = 10 mm, on = circle(20 mm), count = 8 }", "hole-outside", "reach 2.3"),
        ("hole h { }", "hole-form", "one of diameter, outline and rim, and has none"),
        ("hole h { diameter = 3 mm, rim = 3 mm }", "hole-form", "has diameter and rim"),
        ("hole h { rim = 45 mm }", "inset-too-deep", ""),
        ("holes h { diameter = 3 mm, on = rect(20 mm, 20 mm), count = 5 }", "hole-form", "a rect has 4 corners, not 5"),
        ("holes h { diameter = 3 mm, on = ellipse(20 mm, 20 mm) }", "hole-form", "circle(d) or a rect(w, h)"),
        ("slot h { length = 20 mm }", "slot-width", "either a width or the stock that it takes"),
        ("slot h { length = 20 mm, width = 3 mm, takes = ply }", "slot-width", ""),
        ("slot h { length = 120 mm, width = 3 mm }", "apart", "cuts its part in pieces"),
    ],
)  # fmt: skip
def test_what_cannot_be_cut_is_refused_at_the_opening(judged, inside, code, says):
    found = judged(PLATE.format(inside=inside, stock="board"))
    assert found.errors == [code]
    assert found.underlined(code) == "h"
    assert says in found.the(code).message


@pytest.mark.parametrize(
    ("home", "at"),
    [
        ("panel P { stock = board, outline = rect(50 mm, 50 mm)", "(3 mm, 20 deg)"),
        ("stack s { stock = board\n barrel b { diameter = 90 mm, length = 20 mm", "(3 mm, 20 mm)"),
    ],
)
def test_a_place_in_a_bent_wall_is_an_angle_and_elsewhere_none(judged, home, at):
    closing = "}" * (1 + home.count("\n"))
    found = judged(f"{home}\n hole h {{ diameter = 3 mm, at = {at} }}{closing}")
    assert found.errors == ["wrong-type"]


def test_a_hole_beyond_its_wall_is_refused(judged):
    found = judged(
        "stack s { stock = board\n barrel b { diameter = 90 mm, length = 20 mm\n hole h { diameter = 3 mm, at = (30 mm, 0 deg) } } }"
    )
    assert found.errors == ["hole-outside"]
    assert "the wall reaches from 0 to 20 mm" in found.the("hole-outside").message


def test_a_bore_too_wide_is_said_of_the_bore(judged):
    text = "stack s {\n stock = board\n overall = 50 mm\n bore = 90 mm\n barrel b { diameter = 80 mm }\n plate p { }\n}\n"
    found = judged(text)
    assert found.errors == ["hole-outside"]
    assert found.underlined("hole-outside") == "bore = 90 mm"
    assert found.the("hole-outside").message.startswith("the bore of 's' reaches 5 mm over the edge")


def test_a_pattern_with_thin_rims_is_one_warning(built):
    found = built(
        PLATE.format(inside="holes b { diameter = 4 mm, on = circle(70 mm), count = 6 }", stock="board")
    )
    assert found.warnings == ["thin-rim"]


@pytest.mark.parametrize(
    ("inside", "names"),
    [
        ("hole h { rim = 10 mm, at = (2 mm, 0 mm), fit = rod }", ["at", "fit"]),
        ("hole h { outline = rect(20 mm, 20 mm), fit = tube }", ["fit"]),
        ("slot s { length = 20 mm, width = 5 mm, fit = 3 mm }", ["fit"]),
        ("holes s { diameter = 3 mm, on = rect(20 mm, 20 mm), first = 45 deg }", ["first"]),
    ],
)
def test_what_has_no_effect_on_an_opening_is_said(built, inside, names):
    found = built(PLATE.format(inside=inside, stock="board"))
    idle = [finding for finding in found.findings if finding.code == "without-effect"]
    texts = [found.compiled.project.sources["main.wright"].text[f.span.start : f.span.end] for f in idle]
    assert texts == names
