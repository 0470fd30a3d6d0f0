"""Stock: what follows from its kind, how heavy it is, and what is wrong with it."""

import math

import pytest

TEXT = "stock s {{ kind = {kind}, thickness = 5 mm, sheet = 300 mm by 200 mm{more} }}\npanel P {{ stock = s, outline = circle(50 mm) }}"


def stock_of(built, kind, more=""):
    return built(TEXT.format(kind=kind, more=more)).part("P").stock


@pytest.mark.parametrize(
    ("kind", "bend", "neutral", "radius", "grain"),
    [
        ("foamboard", "peeled", 1.0, 25.0, "none"),
        ("foam", "plain", 0.5, 0.0, "none"),
        ("card", "plain", 0.5, 0.0, "none"),
        ("paper", "plain", 0.5, 0.0, "none"),
        ("balsa", "plain", 0.5, 0.0, "along_width"),
        ("ply", "plain", 0.5, 0.0, "along_width"),
        ("film", "plain", 0.5, 0.0, "none"),
    ],
)
def test_habits_of_each_kind(built, kind, bend, neutral, radius, grain):
    stock = stock_of(built, kind)
    assert (stock.bend, stock.neutral, stock.min_radius, stock.grain) == (bend, neutral, radius, grain)


def test_board_as_bought_bends_less(built):
    stock = stock_of(built, "foamboard", ", bend = plain")
    assert (stock.neutral, stock.min_radius) == (0.5, 150.0)


def test_grain_runs_along_the_longer_side(built):
    text = TEXT.format(kind="balsa", more="").replace("300 mm by 200 mm", "100 mm by 900 mm")
    assert built(text).part("P").stock.grain == "along_height"


@pytest.mark.parametrize("more", [", mass = 400 g/m2", ", density = 80 kg/m3", ", sheet_mass = 24 g"])
def test_mass_may_be_given_three_ways(built, more):
    assert stock_of(built, "foam", more).areal_mass == pytest.approx(400e-6)
    found = built(TEXT.format(kind="foam", more=more))
    assert found.value("P.mass") == pytest.approx(math.pi * 625 * 400e-6, rel=1e-6)


def test_without_a_mass_parts_have_none(built):
    found = built(TEXT.format(kind="foam", more=""))
    assert found.part("P").properties.mass is None
    assert "P.mass" not in found.design.values


def test_masses_that_disagree_are_one_error_at_the_stock(judged):
    found = judged(
        TEXT.format(kind="foam", more=", mass = 400 g/m2, sheet_mass = 30 g")
        + "\npanel Q { stock = s, outline = circle(9 mm) }"
    )
    assert found.errors == ["masses-differ"]
    assert "400 g/m2 and 500 g/m2" in found.the("masses-differ").message
    assert found.underlined("masses-differ") == "s"


def test_the_neutral_layer_and_the_bend_are_the_texts_to_say(built):
    assert stock_of(built, "foamboard", ", neutral = 0.7").neutral == 0.7
    assert dict(built(TEXT.format(kind="card", more="")).design.defaults)["s.neutral"] == "0.5"


def test_one_unit_covers_a_size(built):
    text = TEXT.format(kind="card", more="").replace("300 mm by 200 mm", "30 by 20 in")
    stock = built(text).part("P").stock
    assert (stock.width, stock.height) == pytest.approx((762, 508))


def test_a_tight_bend_is_a_warning(built):
    found = built("stack s { stock = board\n barrel b { diameter = 40 mm, length = 20 mm } }")
    assert found.warnings == ["tight-bend"]
    assert "radius of 20 mm" in found.the("tight-bend").message


def test_a_spec_may_hold_its_own_fallback_for_the_shops_cutting(built):
    text = 'use "shop.wright"\npanel P { stock = board, outline = circle(50 mm) }\n'
    assert built(text, shop="cutting { tool = laser }").design.cutting == (5.0, 2.0, 0.0)
    assert built(text + "cutting { gap = 6 mm }\n", shop="cutting { tool = laser }").design.cutting == (
        8.0,
        6.0,
        0.0,
    )


@pytest.mark.parametrize(
    ("wrong", "code"),
    [
        ("sheet = 300 mm by -200 mm", "no-size"),
        ("sheet = 300 mm by 200 mm, mass = 400 g/m2, sheet_mass = 30 g", "masses-differ"),
    ],
)
def test_a_stock_that_nothing_is_cut_from_is_judged_too(judged, wrong, code):
    found = judged(f"stock spare {{ kind = foamboard, thickness = 5 mm, {wrong} }}\n")
    assert found.errors == [code]
    assert found.underlined(code) == "spare"
