"""Splices: where sides, decks and floors are joined, how, and what may not lie there."""

import math

import pytest
from ringwright.geometry.path import bounds

BODY = """
offsets body {
    section = box
    | station | x [mm] | half [mm] | top [mm] | bottom [mm] |
    | A       |   0    |   40      |   40     |  -40        |
    | M       | 380    |   40      |   40     |  -40        |
    | B       | 900    |   40      |   40     |  -40        |
}
"""


def side(more, kind="side"):
    lines = "upper = body.top, lower = body.bottom, hand = left" if kind == "side" else "between = body.top"
    return f"{BODY}{kind} flank {{ {lines}, stock = board\n{more}\n}}"


def wide(part):
    left, _, right, _ = bounds(part.outline)
    return right - left


@pytest.mark.parametrize("kind", ["side", "deck", "floor"])
def test_a_splice_cuts_where_it_stands(built, kind):
    made = built(side("splice s { at = 300 mm, seam = strap(40 mm), stock = ply }", kind))
    assert [part.id for part in made.design.parts] == ["flank.1", "flank.2", "flank.s.strap"]
    fore, aft, doubler = made.design.parts
    assert (wide(fore), wide(aft)) == pytest.approx((300, 600), abs=1e-6)
    assert (doubler.stock.name, doubler.component) == ("ply", "flank")
    left, low, right, high = bounds(doubler.outline)
    assert (right - left, high - low) == pytest.approx((40, 80), abs=1e-6)
    assert "x = 0 to 300 mm" in fore.notes
    assert "joint on a strap 40 mm" in aft.notes


def test_a_splice_stands_at_a_station(built):
    made = built(side("splice s { at = M }"))
    assert [wide(part) for part in made.design.parts] == pytest.approx([380, 520], abs=1e-6)


def test_joints_of_one_sheet_differ(built):
    text = "seam = strap(40 mm)\nsplice t { at = 650 mm, seam = scarf(50 mm) }\nsplice s { at = M }"
    made = built(side(text))
    assert [part.id for part in made.design.parts] == ["flank.1", "flank.2", "flank.3", "flank.s.strap"]
    first, second, third, doubler = made.design.parts
    assert doubler.stock.name == "board"
    assert [wide(part) for part in (first, second, third)] == pytest.approx([380, 295, 275], abs=1e-6)
    assert {"joint on a strap 40 mm", "scarf 50 mm aft end: taper the inside"} <= set(second.notes)
    assert [mark.text for mark in second.marks if mark.text in ("strap", "scarf")] == ["strap", "scarf"]
    # A scarf adds no mass: both pieces are tapered to half of what they overlap.
    sheets = math.fsum(part.properties.mass for part in (first, second, third))
    assert sheets == pytest.approx(410e-6 * 900 * 80, rel=1e-6)


@pytest.mark.parametrize(
    ("kind", "row"),
    [
        ("deck", "40 | 40 | -40 | 40 |"),  # flat
        ("deck", "55 | 50 | -40 | 55 |"),  # bent
        ("floor", "55 | 40 | -60 | 50 |"),
        ("side", "40 | 40 | -40 | 40 |"),
    ],
)
def test_pieces_end_straight_across(built, kind, row):
    table = f"""
offsets body {{
    section = box
    | station | x [mm] | half [mm] | top [mm] | bottom [mm] | half_bottom [mm] |
    | A       |   0    |   40      |   40     |  -40        | 30 |
    | M       | 380    | {row}
    | B       | 900    |   40      |   40     |  -40        | 30 |
}}
"""
    if kind == "side":  # leaning, and flat
        table = table.replace("40 | 40 | -40 | 40 |", "40 | 40 | -40 | 30 |")
    for text in (side("splice s { at = 410 mm }", kind), side("pieces = 2", kind)):
        fore, aft = built(table + text.partition("}\n")[2]).design.parts
        cut = [[at[0] for facet in part.placement.facets for at in facet.space] for part in (fore, aft)]
        assert max(cut[0]) == pytest.approx(min(cut[1]), abs=1e-6)


def test_a_leaning_side_is_cut_where_its_middle_is_at_the_place(built):
    text = """
offsets body {
    section = box
    | station | x [mm] | half [mm] | top [mm] | bottom [mm] |
    | A       |   0    |   60      |   50     |  -40        |
    | B       | 200    |   40      |   40     |  -40        |
}
side flank { upper = body.top, lower = body.bottom, stock = board, hand = right, splice s { at = 50 mm } }
"""
    fore, aft = built(text).design.parts
    for part, places in ((fore, (0, 50)), (aft, (50, 200))):
        xs = [at[0] for facet in part.placement.facets for at in facet.space]
        assert (min(xs), max(xs)) == pytest.approx(places, abs=1e-6)


def test_pieces_say_nothing_beside_a_splice(judged):
    outcome = judged(side("pieces = 3\nsplice s { at = M }\nsplice t { at = 600 mm }"))
    assert [finding.code for finding in outcome.findings] == ["without-effect"]


def test_a_stock_is_that_of_a_doubler(judged):
    outcome = judged(side("splice s { at = M, stock = ply }"))
    assert "seam = strap(40 mm)" in outcome.the("without-effect").message


def test_a_lap_lies_outside(judged):
    assert judged(side("splice s { at = M, seam = lap(20 mm) }")).errors == ["seam-outside"]


@pytest.mark.parametrize(
    ("at", "seam", "errors"),
    [
        (10, "butt", []),
        (-5, "butt", ["splice-outside"]),
        (900, "butt", ["splice-outside"]),
        (19, "strap(40 mm)", ["splice-outside"]),
        (21, "strap(40 mm)", []),
        (881, "scarf(40 mm)", ["splice-outside"]),
    ],
)
def test_a_splice_has_room_in_its_sheet(judged, at, seam, errors):
    found = judged(
        side(f"splice s {{ at = {at} mm, seam = {seam} }}\nsplice t {{ at = 450 mm, seam = butt }}")
    )
    assert found.errors == errors


@pytest.mark.parametrize(("apart", "errors"), [(0, ["splices-meet"]), (39, ["splices-meet"]), (41, [])])
def test_splices_keep_apart(judged, apart, errors):
    text = f"seam = strap(40 mm)\nsplice s {{ at = 400 mm }}\nsplice t {{ at = {400 + apart} mm }}"
    assert judged(side(text)).errors == errors


@pytest.mark.parametrize(
    ("at", "seam", "codes"),
    [
        (400, "butt", ["splice-through"]),
        (420, "butt", []),
        (420, "strap(40 mm)", ["splice-crowded"]),
        (435, "strap(40 mm)", []),
        (400, "scarf(60 mm)", ["splice-crowded"]),  # it lies in both pieces
        (420, "scarf(40 mm)", ["splice-through"]),
    ],
)
def test_a_splice_keeps_off_an_opening(judged, at, seam, codes):
    text = f"splice s {{ at = {at} mm, seam = {seam} }}\nhole h {{ diameter = 20 mm, at = (400 mm, 0 mm) }}"
    assert [finding.code for finding in judged(side(text)).findings] == codes


def test_the_way_out_of_an_opening_is_true(judged):
    text = "splice s { at = AT, seam = scarf(40 mm) }\nhole h { diameter = 20 mm, at = (400 mm, 0 mm) }"
    message = judged(side(text.replace("AT", "415 mm"))).the("splice-through").message
    assert message.endswith("put it forward of 370 mm, or aft of 430 mm")
    for at in ("369.9 mm", "430.1 mm"):
        assert [f.code for f in judged(side(text.replace("AT", at))).findings if "splice" in f.code] == []


def test_a_splice_keeps_off_the_slot_of_a_former(judged):
    hull = "body hull { offsets = body, stock = board, side { splice s { at = M } } }"
    assert (
        judged(BODY + hull)
        .the("splice-through")
        .message.startswith("splice 's' runs through the slot for a tab in 'sides'")
    )


def test_a_doubler_lies_where_no_former_stands(judged):
    hull = "body hull { offsets = body, stock = board, tab = 0 mm, side { splice s { at = M, SEAM } } }"
    doubled = judged(BODY + hull.replace("SEAM", "seam = strap(40 mm)"))
    assert doubled.the("splice-crowded").message.startswith(
        "the doubler of splice 's' lies from 360 to 400 mm, and"
    )
    butted = judged(BODY + hull.replace("SEAM", "seam = butt"))
    assert "splice-crowded" not in butted.warnings
