"""Offcuts: their form, their damage, and what is wrong with them."""

import pytest
from ringwright.geometry.path import bounds, signed_area

STOCK = (
    "stock s {{ kind = card, thickness = 1 mm, sheet = 300 mm by 200 mm, on_hand = {count}\n"
    "    offcut rest {{ {form} }} }}\npanel P {{ stock = s, outline = circle(50 mm) }}\n"
)


def offcut(built, form):
    return built(STOCK.format(count=1, form=form)).design.on_hand["s"].offcuts[0]


def test_a_size_is_a_rectangle_from_its_corner(built):
    found = offcut(built, "size = 120 mm by 80 mm")
    assert found.name == "rest"
    assert bounds(found.outline) == pytest.approx((0, 0, 120, 80))
    assert found.holes == ()


def test_an_outline_is_moved_to_its_corner_with_its_damage(built):
    found = offcut(
        built,
        "outline = polygon[(50, 10), (170, 10), (170, 90), (50, 90)] mm\n"
        "hole dent { diameter = 10 mm, at = (70 mm, 30 mm) }",
    )
    assert bounds(found.outline) == pytest.approx((0, 0, 120, 80))
    assert bounds(found.holes[0]) == pytest.approx((15, 15, 25, 25))


def test_damage_at_the_edge_is_taken_from_the_outline(built):
    found = offcut(
        built, "size = 120 mm by 80 mm\nhole bite { outline = rect(20 mm, 20 mm), at = (0 mm, 40 mm) }"
    )
    assert found.holes == ()
    assert signed_area(found.outline) == pytest.approx(120 * 80 - 200)


def test_damages_that_run_into_one_another_are_one(built):
    found = offcut(
        built,
        "size = 120 mm by 80 mm\n"
        "hole a { outline = rect(20 mm, 20 mm), at = (40 mm, 40 mm) }\n"
        "hole b { outline = rect(20 mm, 20 mm), at = (50 mm, 40 mm) }",
    )
    assert [abs(signed_area(hole)) for hole in found.holes] == pytest.approx([600])


def test_damage_that_reaches_the_edge_only_through_other_damage_is_no_hole(built):
    found = offcut(
        built,
        "size = 120 mm by 80 mm\n"
        "hole a { outline = rect(20 mm, 20 mm), at = (15 mm, 40 mm) }\n"
        "hole b { outline = rect(20 mm, 20 mm), at = (0 mm, 40 mm) }",
    )
    assert found.holes == ()
    assert signed_area(found.outline) == pytest.approx(120 * 80 - 25 * 20)


@pytest.mark.parametrize(
    ("form", "code", "underlined"),
    [
        ("", "offcut-form", "rest"),
        ("size = 120 mm by 80 mm, outline = circle(90 mm)", "offcut-form", "rest"),
        ("size = 120 mm by -80 mm", "no-size", "rest"),
        ("outline = polygon[(0, 0), (90, 60), (90, 0), (0, 60)] mm", "crosses-itself", None),
        ("size = 120 mm by 80 mm\nhole h { diameter = 10 mm, at = (300 mm, 0 mm) }", "hole-outside", "h"),
        (
            "size = 120 mm by 80 mm\nhole h { outline = rect(10 mm, 100 mm), at = (60 mm, 40 mm) }",
            "apart",
            "h",
        ),
    ],
)
def test_what_is_no_offcut_is_said_at_its_place(judged, form, code, underlined):
    found = judged(STOCK.format(count=1, form=form))
    assert found.errors == [code]
    if underlined is not None:
        assert found.underlined(code) == underlined


@pytest.mark.parametrize(("count", "fine"), [("0", True), ("3", True), ("-1", False), ("1.5", False)])
def test_sheets_on_hand_are_a_whole_number(judged, count, fine):
    assert (judged(STOCK.format(count=count, form="size = 9 mm by 9 mm")).errors == []) == fine


def test_an_offcut_stands_in_its_stock(judged):
    assert judged("offcut rest { size = 90 mm by 60 mm }\n").errors == ["misplaced"]
