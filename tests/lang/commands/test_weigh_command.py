"""`weigh` as a builder meets it, the mass and balance in what `build`, `list` and `why` say, and what-ifs."""

import json

import pytest
from ringwright.lang.commands.main import main

SPEC = """model heron { title = "Heron" }
stock board { kind = foamboard, thickness = 5 mm, sheet = 700 mm by 500 mm, mass = 400 ± 20 g/m2, price = 2.40 EUR }
stock thin { kind = foamboard, thickness = 3 mm, sheet = 700 mm by 500 mm, mass = 250 g/m2 }
former F1 { at = 0 mm, stock = board, outline = rect(200 mm, 100 mm) }
former F2 { at = 300 mm, stock = board, outline = rect(100 mm, 100 mm) }
load motor { mass = 90 g, at = -20 mm }
load battery { mass = 180 g, at = 10 mm to 85 mm }
load receiver { mass = 12 g, at = (160 mm, 0 mm, 10 mm) }
buy wheels { title = "wheel, 60 mm", count = 2, price = 1.10 GBP }
allowance glue { mass = 6 g, on = F1 }
"""
BALANCED = SPEC + "balance { target = 40 mm, ballast_at = -20 mm }\n"
NOSE = SPEC + "balance { target = 10 mm, ballast_at = -20 mm, material = lead }\n"


@pytest.fixture
def shop(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    for name in ("NO_COLOR", "FORCE_COLOR", "SOURCE_DATE_EPOCH"):
        monkeypatch.delenv(name, raising=False)
    return tmp_path


def run(shop, capsys, text, *arguments, code=0):
    (shop / "heron.wright").write_text(text, encoding="utf-8")
    before = sorted(shop.rglob("*"))
    assert main([arguments[0], "heron.wright", *arguments[1:]]) == code
    said = capsys.readouterr()
    if arguments[0] != "build":
        assert sorted(shop.rglob("*")) == before
        assert (shop / "heron.wright").read_text("utf-8") == text
    return said


def test_weigh_says_what_pulls_what_it_weighs_and_where_it_balances(shop, capsys):
    said = run(shop, capsys, BALANCED, "weigh")
    # By hand: (300 * 40 + 90 * 20 - 12 * 160 - 4 * 302.5 - 14 * 2.5) / 180 = 59.08
    assert said.err == ""
    assert said.out == (
        "what       mass       x  moment about 40 mm\n"
        "motor      90 g  -20 mm           -5.40 g m\n"
        "battery   180 g   59 mm            3.44 g m\n"
        "receiver   12 g  160 mm            1.44 g m\n"
        "F2        4.0 g  303 mm            1.05 g m\n"
        "F1        8.0 g    3 mm           -0.30 g m\n"
        "glue      6.0 g    3 mm           -0.23 g m\n"
        "\n"
        "mass    300 g ± 0.6 g: board 12 g, loads 282 g, glue 6.0 g\n"
        "balance 40 mm along x, as wanted\n"
        "        battery centre at 59 mm, 49 mm of slide left fore, 26 mm aft\n"
        "ballast none needed at -20 mm\n"
        "inertia roll 0.07, pitch 0.87, yaw 0.91 g m2 about the balance point\n"
        "care    check balance on the finished model; first fly with experienced help\n"
        "        batteries burn, propellers cut: mind their makers and the local rules\n"
    )


def test_ballast_has_a_size_and_lead_its_caution(shop, capsys):
    out = run(shop, capsys, NOSE, "weigh").out
    # By hand: S = -1800 + 1800 + 1920 + 14 * 2.5 + 4 * 302.5 = 3165, M = 300: (3165 - 3000) / 30 = 5.5 g
    assert "ballast 5.5 g ± 1.9 g at -20 mm: 0.5 cm3 of lead, a cube of 8 mm\n" in out
    assert "battery centre at 10 mm, 75 mm of slide left aft\n" in out
    assert "lead is poisonous" in out
    assert "balance.ballast" in out.partition("\n\n")[0]


def test_a_missed_target_is_said(shop, capsys):
    text = SPEC.replace("10 mm to 85 mm", "50 mm") + "balance { target = 5 mm to 10 mm }\n"
    said = run(shop, capsys, text, "weigh")
    assert "balance 35 mm along x, 25 mm behind its target, 5 mm to 10 mm\n" in said.out
    assert "[balance-missed]" in said.err


def test_sheets_alone_are_weighed_too(shop, capsys):
    text = (
        "\n".join(line for line in SPEC.splitlines() if line.startswith(("model", "stock", "former"))) + "\n"
    )
    text += "panel jig { outline = rect(50 mm, 50 mm), stock = board }\nstock rag { kind = paper, thickness = 1 mm, sheet = 99 mm by 99 mm }\n"
    out = run(shop, capsys, text + "panel bag { outline = rect(9 mm, 9 mm), stock = rag }\n", "weigh").out
    assert "mass    13 g ± 0.7 g: board 13 g\n" in out
    assert "        1.0 g count in no balance, having no place: jig\n" in out
    assert "        without rag: give the stock a mass, density or sheet_mass\n" in out
    assert "care" not in out


def test_build_says_it_in_its_summary_and_in_the_manifest(shop, capsys):
    out = run(shop, capsys, NOSE, "build", "-o", "out").out
    assert "mass    306 g ± 2.5 g: board 12 g, loads 282 g, glue 6.0 g, ballast 5.5 g\n" in out
    assert "buy     2 × wheel, 60 mm, 2.20 GBP\n" in out
    assert "price   2.40 EUR, 2.20 GBP for whole sheets and bought parts\n" in out
    assert out.count("care    ") == 1
    assert "        check balance on the finished model" in out
    found = json.loads((shop / "out" / "manifest.json").read_text("utf-8"))
    mass = found["mass"]
    assert mass["total_g"] == pytest.approx(found["dimensions"]["heron.mass"]["value"], abs=1e-5)
    for axis, name in enumerate(("balance_x", "balance_y", "balance_z")):
        assert mass["cg_mm"][axis] == pytest.approx(found["dimensions"][f"heron.{name}"]["value"], abs=1e-5)
    by = {row["name"]: row for row in mass["by"]}
    assert by["battery"] == {"name": "battery", "mass_g": 180, "cg_mm": [10, 0, 0]}
    assert by["balance.ballast"]["cg_mm"] == [-20, 0, 0]
    assert by["glue"] == {"name": "glue", "mass_g": 6, "cg_mm": [2.5, 0, 0]}
    spread = found["dimensions"]["balance.ballast"]["plus_minus"]
    by_hand = 20e-6 * (20000 * (2.5 - 10) + 10000 * (302.5 - 10)) / 30
    assert spread == pytest.approx({"rss": by_hand, "worst": by_hand}, abs=1e-6)


def test_prices_that_are_not_given_are_named(shop, capsys):
    text = SPEC.replace("stock = board, outline = rect(100", "stock = thin, outline = rect(100")
    out = run(shop, capsys, text, "build", "-o", "out").out
    assert "price   2.40 EUR, 2.20 GBP for whole sheets and bought parts; no price is given for thin\n" in out


def test_list_and_why_know_the_whole(shop, capsys):
    listed = run(shop, capsys, NOSE, "list").out.splitlines()
    row = next(line for line in listed if line.startswith("balance.ballast "))
    assert row.split()[1:] == ["5.5", "g", "derived", "±", "1.85", "g"]
    why = run(shop, capsys, NOSE, "why", "model.mass").out
    assert why.startswith("heron.mass = 305.5 g ± ")
    assert "    board            12 g   2 parts\n      F1                    8 g\n" in why
    assert "    balance.ballast  5.5 g\n" in why
    assert "1 g more on battery.mass:" in why
    moments = run(shop, capsys, NOSE, "why", "heron.balance_x").out
    assert "  = moments over masses, 305.5 g in all\n" in moments
    assert "    battery          180 g  at 10 mm\n" in moments
    assert "balance.ballast" not in run(shop, capsys, NOSE, "why", "balance.before").out
    slide = run(shop, capsys, BALANCED, "why", "battery.x").out
    assert "where it brings the balance point to its target" in slide


# -- what if ----------------------------------------------------------------------------------------


def test_another_stock_saves_there_and_in_the_ballast(shop, capsys):
    out = run(shop, capsys, NOSE, "weigh", "--swap", "board=thin").out
    assert out.startswith("with board as thin; nothing is written\n\n")
    # By hand: 30 000 mm2 at 150 g/m2 less; the rest balances at 10 mm once the battery is at
    # (295.5 * 10 + 1800 - 1920 - 11 * 1.5 - 2.5 * 301.5) / 180 = 11.47 mm
    assert "board    7.5 g instead of 12 g: 4.5 g less\n" in out
    assert "mass     296 g instead of 306 g: 10 g less\n" in out
    assert "balance  at 10 mm as before\n" in out
    assert "battery  at 11 mm instead of 10 mm\n" in out
    assert "ballast  0 g instead of 5.5 g: 5.5 g less\n" in out


def test_swapping_there_and_back_changes_nothing(shop, capsys):
    same = run(shop, capsys, NOSE, "weigh", "--swap", "board=board").out
    assert "mass     306 g as before\n" in same
    assert "ballast  5.5 g as before\n" in same
    there = ("--swap", "board=thin", "--swap", "thin=board")
    swapped = NOSE.replace("stock board", "stock other").replace("stock thin", "stock board")
    swapped = swapped.replace("stock other", "stock thin")
    out = run(shop, capsys, NOSE, "weigh", *there).out
    assert "mass     296 g instead of 306 g: 10 g less\n" in out
    # The same stocks with their names exchanged, and then exchanged back.
    assert "mass     306 g instead of 296 g: 10 g more\n" in run(shop, capsys, swapped, "weigh", *there).out


def test_a_load_elsewhere(shop, capsys):
    out = run(shop, capsys, BALANCED, "weigh", "--move", "battery=F1.x + 60 mm").out
    assert out.startswith("with battery at F1.x + 60 mm; nothing is written\n")
    said = run(shop, capsys, NOSE, "weigh", "--move", "battery=5 mm")
    assert "battery  at 5 mm instead of 10 mm\n" in said.out
    assert "note     battery at 5 mm is outside its range, 10 mm to 85 mm\n" in said.out
    assert "[balance-missed]" in said.err  # what was said of the spec as it stands is not said again


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("--swap", "bord=thin"), "no stock is called 'bord': did you mean 'board'?"),
        (("--swap", "board=plywood"), "no stock is called 'plywood': they are board, thin"),
        (("--move", "batery=5 mm"), "did you mean 'battery'?"),
        (("--move", "battery=5 mm }"), "is no place"),
        (("--move", "battery=5 mm\nmass = 3 g"), "is no place"),
        (("--move", "battery"), "is no change"),
        (("--swap", "=thin"), "is no change"),
    ],
)
def test_changes_that_mean_nothing(shop, capsys, arguments, said):
    (shop / "heron.wright").write_text(BALANCED, encoding="utf-8")
    try:
        code = main(["weigh", "heron.wright", *arguments])
    except SystemExit as left:
        code = left.code
    assert code == 2
    found = capsys.readouterr()
    assert said in found.err
    assert found.out == ""


@pytest.mark.parametrize("place", ["5 g", "nowhere", "5 mm by 6 mm"])
def test_a_place_that_is_none_is_said_like_any_mistake(shop, capsys, place):
    said = run(shop, capsys, BALANCED, "weigh", "--move", f"battery={place}", code=1)
    assert "error: " in said.err
    assert said.out == ""


def test_errors_in_the_spec_come_first(shop, capsys):
    said = run(shop, capsys, BALANCED.replace("180 g", "180 mm"), "weigh", "--swap", "board=thin", code=1)
    assert "heron.wright:7:" in said.err
    assert said.out == ""


def test_inches_are_shown_where_the_model_asks_for_them(shop, capsys):
    text = BALANCED.replace('"Heron"', '"Heron", units = in')
    out = run(shop, capsys, text, "weigh").out
    assert "balance 1.57 in along x, as wanted\n" in out
