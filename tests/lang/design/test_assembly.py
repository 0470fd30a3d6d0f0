"""What is said of parts that lie in one another, and what is not: a wing's own are shaped to one another."""

import pytest
from ringwright.lang.pipeline import compile_spec

WING = """
model heron {{ title = "Heron" }}
stock board {{ kind = foamboard, thickness = 4.8 mm, sheet = 762 mm by 508 mm, mass = 410 g/m2 }}
stock thin {{ kind = foamboard, thickness = 3 mm, sheet = 762 mm by 508 mm, mass = 300 g/m2 }}
stock card {{ kind = card, thickness = 0.4 mm, sheet = 700 mm by 500 mm, mass = 300 g/m2 }}
wing main {{
    at = (60 mm, 0 mm, 0 mm), span = 600 mm, root = 130 mm, tip = 100 mm, tip_back = 10 mm, dihedral = 4 deg
    incidence = 1.5 deg, aerofoil = aerofoil("2412"), build = ribs, ribs = 75 mm, stock = thin, skin = card
    skins = {skins}
    spar web {{ at = 30 %, stock = thin }}
    {bars}
}}
"""
NOSE = "spar nose { seat = front, stock = thin }"
REAR = "spar rear { seat = rear, stock = thin, width = 20 mm }"


def said(text):
    found = compile_spec("main.wright", lambda path: text.encode(), assembled=True).findings
    return [(finding.code, finding.message) for finding in found if finding.severity != "note"]


@pytest.mark.parametrize("bars", ["", NOSE, REAR, f"{NOSE}\n    {REAR}"])
@pytest.mark.parametrize("skins", ["upper", "both", "around"])
def test_skins_and_edge_stock_of_a_wing_are_shaped_to_one_another(skins, bars):
    assert said(WING.format(skins=skins, bars=bars)) == []


def test_what_else_lies_in_a_skin_is_told():
    panel = "panel keel { view = side, stock = board, outline = rect(300 mm, 60 mm), place = (100 mm, 60 mm, 0 mm) }\n"
    (code, message), *_ = said(WING.format(skins="upper", bars=NOSE) + panel)
    assert code == "parts-overlap"
    assert "keel" in message


def test_stock_of_the_leading_edge_that_lies_in_other_things_is_told():
    rod = "panel block { view = side, stock = board, outline = rect(8 mm, 30 mm), place = (62 mm, 60 mm, 0 mm) }\n"
    found = said(WING.format(skins="upper", bars=NOSE) + rod)
    assert any(
        "'block' and 'main.nose" in text or "main.nose.right' and 'block'" in text for _, text in found
    ), found
