"""Wings, tails and fins: solved in any direction, built three ways, with what stands in them."""

import math

import numpy as np
import pytest
from ringwright.geometry.part import Bent, Flat
from ringwright.geometry.path import bounds
from ringwright.geometry.place import in_space
from ringwright.geometry.wrap import carry
from ringwright.lang.commands.balance_lines import surfaces

PLATE = "wing main {{ at = (60 mm, 0 mm, 50 mm), span = 600 mm, root = 140 mm, tip = 100 mm, stock = board\n{} }}\n"
RIBS = (
    "wing main {{ at = (60 mm, 0 mm, 50 mm), span = 500 mm, root = 160 mm, tip = 120 mm, stock = ply\n"
    'build = ribs, ribs = 90 mm, aerofoil = aerofoil("2412")\n{} }}\n'
)


def ids(outcome):
    return [part.id for part in outcome.design.parts]


def half_thickness(x):
    """Of a 12 % section of the four-digit series, 160 mm long, at a share of its chord, mm: NACA Report 460."""
    return 160 * 5 * 0.12 * (0.2969 * x**0.5 - 0.1260 * x - 0.3516 * x**2 + 0.2843 * x**3 - 0.1015 * x**4)


# Found in any direction


@pytest.mark.parametrize(
    ("text", "name", "value"),
    [
        ("span = auto, root = 150 mm\n}\ngiven main.area == 9 dm2", "span", 600.0),
        ("span = 600 mm, root = auto, tip = 100 mm\n}\ngiven main.area == 7.2 dm2", "root", 140.0),
        ("span = 600 mm, root = 150 mm, tip_up = 30 mm\n}", "dihedral", math.atan(0.1)),
        ("span = 600 mm, root = 150 mm, sweep = 5 deg\n}", "tip_back", 300 * math.tan(math.radians(5))),
        ("span = auto, root = 150 mm\n}\ngiven main.aspect_ratio == 4", "span", 600.0),
        ("span = 600 mm, root = 150 mm\n}", "tip", 150.0),
    ],
)
def test_what_is_left_out_is_found(built, text, name, value):
    outcome = built(f"wing main {{ at = 60 mm, stock = board, {text}\n")
    assert outcome.value(f"main.{name}") == pytest.approx(value)


def test_sections_lie_straight_where_they_say_nothing(built):
    outcome = built(
        PLATE.format(
            "tip_back = 30 mm, tip_up = 60 mm\nsection one { at = 100 mm }\nsection two { at = 200 mm, up = 10 mm }"
        )
    )
    assert outcome.value("main.one.chord") == pytest.approx(140 - 40 / 3)
    assert outcome.value("main.one.back") == pytest.approx(10.0)
    assert outcome.value("main.one.up") == pytest.approx(5.0)
    assert outcome.value("main.dihedral") == pytest.approx(math.atan2(50, 100))


def test_a_panel_has_a_dihedral_of_its_own(built):
    outcome = built(PLATE.format("dihedral = 14 deg\nsection bend { at = 180 mm, dihedral = 4 deg }"))
    up = 180 * math.tan(math.radians(4))
    assert outcome.value("main.bend.up") == pytest.approx(up)
    assert outcome.value("main.tip_up") == pytest.approx(up + 120 * math.tan(math.radians(14)))


# Plates


def test_a_level_plate_is_one_sheet_across(built):
    outcome = built(PLATE.format("tip_back = 20 mm"))
    assert ids(outcome) == ["main"]
    assert bounds(outcome.part("main").outline) == pytest.approx((0, -300, 140, 300))
    assert outcome.part("main").properties.area == pytest.approx(outcome.value("main.area"))


def test_a_plate_with_dihedral_is_two_and_meets_in_the_middle(built):
    outcome = built(PLATE.format("dihedral = 6 deg\njoiner brace { at = 30 %, reach = 50 mm, stock = ply }"))
    assert ids(outcome) == ["main.brace", "main.left", "main.right"]
    right = outcome.part("main.right")
    assert "inner edge bevelled 0.5 mm (6°) above" in right.notes
    assert isinstance(right.placement, Flat)
    tip = in_space(right.placement, (0.0, 300 / math.cos(math.radians(6))))
    assert tip[1] == pytest.approx(300, abs=0.5)
    assert tip[2] == pytest.approx(
        50 + 300 * math.tan(math.radians(6)) + 2.4 / math.cos(math.radians(6)), abs=0.1
    )
    # the brace stands upright and is symmetric about the middle
    x, y, z = outcome.part("main.brace").properties.centroid
    assert (x, y) == pytest.approx((60 + 0.3 * 140, 0.0), abs=1e-6)
    assert z < 50 + 3
    assert "joins at 12°" in outcome.part("main.brace").notes


def test_incidence_turns_a_wing_about_its_leading_edge(built):
    outcome = built(PLATE.format("incidence = 3 deg"))
    placement = outcome.part("main").placement
    assert placement.u == pytest.approx((math.cos(math.radians(3)), 0, -math.sin(math.radians(3))))
    front, rear = (in_space(placement, (x, 0.0)) for x in (0.0, 140.0))
    assert front[2] - rear[2] == pytest.approx(140 * math.sin(math.radians(3)))


def test_a_control_surface_leaves_a_gap_and_is_bevelled(built):
    outcome = built(
        PLATE.format(
            "control aileron { chord = 25 mm, from = 120 mm, to = 280 mm, gap = 1 mm, horn = 150 mm }"
        )
    )
    assert ids(outcome) == ["main", "main.aileron.left", "main.aileron.right"]
    whole, aileron = outcome.part("main"), outcome.part("main.aileron.right")
    assert 2 * aileron.properties.area + whole.properties.area < outcome.value("main.area")
    lost = outcome.value("main.area") - 2 * aileron.properties.area - whole.properties.area
    assert lost == pytest.approx(
        2 * (162 * 1.0 + 2 * 24), rel=0.03
    )  # 1 mm along the hinge and beside both ends
    assert "hinge edge bevelled 4.8 mm (45°) below" in aileron.notes
    assert aileron.centres[0].at[1] == pytest.approx(150, abs=2)
    assert [edge.bevel for edge in aileron.edges if edge.name == "hinge"] == [pytest.approx(math.radians(45))]


def test_an_elevator_may_be_one_piece(built):
    outcome = built(
        "tail plane { at = 500 mm, span = 240 mm, root = 80 mm, tip = 60 mm, tip_back = 20 mm, stock = board\n"
        "control elevator { chord = 22 mm, joined = yes } }\n"
    )
    assert ids(outcome) == ["plane", "plane.elevator"]
    assert bounds(outcome.part("plane.elevator").outline) == pytest.approx((58.5, -120, 80, 120))


def test_a_fin_stands_and_has_its_tab(built):
    outcome = built(
        "fin vertical { at = (500 mm, 0 mm, 20 mm), height = 90 mm, root = 80 mm, tip = 50 mm, stock = board\n"
        "tab = 30 mm by 5 mm\ncontrol rudder { chord = 40 % } }\n"
    )
    part = outcome.part("vertical")
    assert part.placement.origin == pytest.approx((500, -2.4, 20))
    assert bounds(part.outline)[1] == pytest.approx(-5)
    _, y, z = part.properties.centroid
    assert y == pytest.approx(0.0, abs=1e-9)
    assert z > 20


def test_twin_fins_are_mirror_images(built):
    outcome = built(
        "fin twin { at = (500 mm, 90 mm, 20 mm), height = 70 mm, root = 60 mm, stock = board, hand = both }\n"
    )
    left, right = (outcome.part(f"twin.{hand}").properties.centroid for hand in ("left", "right"))
    assert left == pytest.approx((right[0], -right[1], right[2]))
    assert right[1] == pytest.approx(90.0)


# Ribs, spars, skins


def test_ribs_stand_where_they_are_wanted(built):
    listed = RIBS.replace("ribs = 90 mm", "ribs = [0, 60, 250] mm")
    for text, count in ((RIBS, 4), (listed, 3)):
        outcome = built(text.format("spar web { at = 30 %, stock = ply }"))
        assert len([id for id in ids(outcome) if ".rib." in id and id.endswith("right")]) == count
    second = outcome.part("main.rib.2.right").properties.centroid
    assert second[1] == pytest.approx(60.0, abs=1e-6)
    first, last = (outcome.part(f"main.rib.{n}.right").properties.centroid[1] for n in (1, 3))
    assert (first, last) == pytest.approx((1.5, 248.5), abs=1e-6)  # their outer faces are the wing's ends


@pytest.mark.parametrize("seat", ["upper", "lower", "middle", "web"])
def test_a_spar_takes_its_slot_from_a_rib(built, seat):
    depth = "" if seat == "web" else ", depth = 5 mm"
    plain = built(RIBS.format("")).part("main.rib.2.right").properties.area
    outcome = built(RIBS.format(f"spar bar {{ at = 30 %, seat = {seat}, stock = ply{depth} }}"))
    part = outcome.part("main.rib.2.right")
    height = bounds(part.outline)[3] - bounds(part.outline)[1]
    taken = plain - part.properties.area
    assert taken / 3.2 == pytest.approx(height / 2 if seat == "web" else 5.0, abs=0.5)
    assert bool(part.holes) == (seat == "middle")


def test_edge_stock_shortens_the_ribs(built):
    outcome = built(
        RIBS.format(
            "spar le { seat = front, stock = ply, width = 3 mm }\nspar te { seat = rear, stock = ply, width = 20 mm }"
        )
    )
    low, _, high, _ = bounds(outcome.part("main.rib.1.right").outline)
    assert low == pytest.approx(3.0, abs=0.1)
    # 20 mm ahead of where the section is 0.8 mm thick: a 12 % section of 160 mm, so by the published equation at 98.7 %.
    thick = [2 * half_thickness(x) for x in (high + 20) / 160.0 + np.array([-0.004, 0.004])]
    assert thick[0] > 0.8 > thick[1]
    assert {"main.le.left", "main.te.right"} <= set(ids(outcome))


@pytest.mark.parametrize("tip", [130, 90, 40])
def test_trailing_edge_stock_is_planed_down_to_the_edge_that_lies_aft(built, tip):
    """However much the wing tapers: the wedge runs out along the trailing edge, not at the root."""
    outcome = built(
        "wing main { at = (60 mm, 0 mm, 50 mm), span = 500 mm, root = 160 mm, build = ribs, ribs = 90 mm, stock = ply\n"
        f'tip = {tip} mm, aerofoil = aerofoil("2412")\nspar te {{ seat = rear, stock = ply, width = 20 mm }} }}\n'
    )
    for hand in ("left", "right"):
        part = outcome.part(f"main.te.{hand}")
        (bevel,) = part.bevels
        (a, b) = (in_space(part.placement, at) for at in bevel.path.points)
        others = [in_space(part.placement, at) for at in part.outline.points if at not in bevel.path.points]
        assert abs(b[1] - a[1]) > 249
        for x, y, _ in others:
            edge = a[0] + (b[0] - a[0]) * (y - a[1]) / (b[1] - a[1])
            assert edge - x == pytest.approx(20.0, abs=0.5)


def test_washout_turns_the_tip_nose_down(built):
    outcome = built(RIBS.format("washout = 3 deg"))
    first, last = (outcome.part(f"main.rib.{n}.right").placement.u for n in (1, 4))
    assert first[2] == pytest.approx(0.0, abs=1e-3)
    assert last[2] == pytest.approx(math.sin(math.radians(3)), abs=1e-3)


def test_a_skin_lies_on_its_ribs(built):
    """Each place of a rib's rim that a skin covers lies a sheet's thickness inside the skin's outer face."""
    outcome = built(RIBS.replace("span = 500 mm", "span = 340 mm").format("skin = card, skins = upper"))
    skin = outcome.part("main.skin.upper.right")
    assert isinstance(skin.placement, Bent)
    rib = outcome.part("main.rib.2.right")
    top = max((in_space(rib.placement, at) for at in rib.outline.points), key=lambda at: at[2])
    above = carry.hit(skin.placement.facets, top, (0.0, 0.0, 1.0))
    assert above is not None
    # The layer that is drawn lies midway in the card; cut square, the rib's larger face leaves a little more.
    assert 0.19 < carry.in_space(skin.placement.facets, above)[2] - top[2] < 0.3


def test_a_large_skin_is_cut_on_a_rib(built):
    outcome = built(RIBS.replace("span = 500 mm", "span = 700 mm").format("skin = card, skins = upper"))
    skins = [part for part in outcome.design.parts if ".skin." in part.id and part.hand == "right"]
    assert len(skins) > 1
    ends = [edge.length for part in skins for edge in part.edges if edge.name == "outer rim"]
    starts = [edge.length for part in skins for edge in part.edges if edge.name == "inner rim"]
    assert ends[:-1] == pytest.approx(starts[1:], abs=0.005)
    assert any(mark.text == "to main.skin.upper.2" for mark in skins[0].marks)


def test_a_folded_wing_is_scored_or_peeled_at_its_nose(judged):
    text = (
        "stock sheet { kind = foamboard, thickness = 3 mm, sheet = 800 mm by 600 mm, mass = 300 g/m2, bend = %s }\n"
        "wing main { at = 60 mm, span = 600 mm, root = 180 mm, tip = 140 mm, build = folded, stock = sheet\n"
        'aerofoil = aerofoil("2412")\nspar web { at = 30 %%, stock = sheet } }\n'
    )
    scored = judged(text % "scored").part("main.skin.right")
    assert 2 <= len(scored.scores) <= 40
    peeled = judged(text % "peeled").part("main.skin.right")
    assert not peeled.scores
    assert len(peeled.bared) == 1
    assert "inner paper off where hatched" in peeled.notes
    plain = judged(text % "plain")
    assert "tight-bend" in plain.warnings
    assert not {"main.rib.1.right"} & set(ids(plain))


def test_a_control_surface_is_cut_from_the_skin_too(built):
    with_, without = (
        built(RIBS.format(f"skin = card, skins = upper\n{control}"))
        for control in ("control flap { chord = 25 mm, from = 40 mm, to = 140 mm, stock = board }", "")
    )
    gone = sum(
        (1 if outcome is without else -1) * part.properties.area
        for outcome in (with_, without)
        for part in outcome.design.parts
        if ".skin" in part.id and part.hand == "right"
    )
    assert gone == pytest.approx(100 * 25, rel=0.02)
    assert "main.flap.left" in ids(with_)


def test_a_polyhedral_wing_joins_at_its_break(built):
    outcome = built(
        RIBS.format(
            "dihedral = 14 deg, section bend { at = 150 mm, dihedral = 4 deg }\nspar web { at = 30 %, stock = ply }\n"
            "joiner middle { at = 38 %, reach = 40 mm, stock = ply, depth = 6 mm }\n"
            "joiner outer { at = 38 %, joint = bend, reach = 30 mm, stock = ply, depth = 6 mm }"
        )
    )
    assert {
        "main.middle",
        "main.outer.left",
        "main.outer.right",
        "main.web.1.left",
        "main.web.2.right",
    } <= set(ids(outcome))
    assert "joins at 8°" in outcome.part("main.middle").notes
    assert "joins at 10°" in outcome.part("main.outer.right").notes


# Mistakes, and by how much


@pytest.mark.parametrize(
    ("inside", "code", "said"),
    [
        (
            "spar deep { at = 30 %, seat = middle, depth = 20 mm, stock = ply }",
            "spar-outside-rib",
            "mm too little",
        ),
        ("spar far { at = 105 %, seat = upper, stock = ply }", "spar-outside-rib", "mm outside the section"),
        ("control flap { chord = 25 %, to = 300 mm }", "beyond-span", "50 mm beyond the tip at 250 mm"),
        ("section odd { at = 270 mm }", "beyond-span", "20 mm beyond the tip"),
        ("joiner long { at = 30 %, reach = 300 mm, stock = ply }", "beyond-span", "50 mm past the end"),
    ],
)
def test_a_mistake_says_by_how_much(judged, inside, code, said):
    outcome = judged(RIBS.format(inside))
    assert code in outcome.errors, outcome.said
    assert said in outcome.the(code).message


@pytest.mark.parametrize(
    ("tip", "skin", "code", "said"),
    [
        (0, "", "no-size", "a section 0.6 mm long holds no rib"),
        (60, "skin = board", "skin-too-thick", "each skin 4.8 mm thick"),
    ],
)
def test_what_leaves_no_room_is_refused(judged, tip, skin, code, said):
    text = RIBS.replace("root = 160 mm, tip = 120 mm", f"root = 100 mm, tip = {tip} mm")
    outcome = judged(text.format(skin))
    assert outcome.errors == [code], outcome.said
    assert said in outcome.the(code).message


def test_a_file_that_is_no_aerofoil_is_refused_where_it_is_named(judged):
    outcome = judged(
        RIBS.replace('aerofoil("2412")', 'aerofoil_file("nose.wright")').format(""), nose="a title\n1 2 3\n"
    )
    assert outcome.errors == ["not-an-aerofoil"]
    assert outcome.underlined("not-an-aerofoil") == '"nose.wright"'


def test_a_wing_without_a_section_says_so(judged):
    outcome = judged(RIBS.replace(', aerofoil = aerofoil("2412")', "").format(""))
    assert outcome.errors == ["missing-property"]


def test_an_aerofoil_without_a_chord_stands_in_a_wing_alone(judged):
    outcome = judged('panel p { stock = board, outline = aerofoil("2412") }\n')
    assert outcome.errors == ["wrong-arguments"]


def test_the_share_of_the_chord_is_warned_of_outside_the_usual(built):
    loads = (
        "load motor { mass = 90 g, at = -20 mm }\nload battery { mass = 400 g, at = -200 mm to 300 mm }\n"
        "load receiver { mass = 12 g, at = 160 mm }\nbalance { target = behind(main, %s) }\n"
    )
    assert built(PLATE.format("") + loads % "28 %").warnings == []
    for share in ("12 %", "45 %"):
        outcome = built(PLATE.format("") + loads % share)
        assert outcome.warnings == ["balance-off-chord"]
        assert f"at {share} of the mean chord of 'main'" in outcome.the("balance-off-chord").message


def test_a_build_says_what_its_wings_come_to(built):
    outcome = built(
        PLATE.format("") + "tail plane { at = 500 mm, span = 240 mm, root = 80 mm, stock = board }\n"
        "fin upright { at = 510 mm, height = 90 mm, root = 70 mm, stock = board }\n"
    )
    lines = [(line.head, line.text) for line in surfaces(outcome.design)]
    # 600 by (140 + 100) / 2; mean chord 2/3 (240 - 14000/240), its leading edge at the root's; by hand
    assert lines[0] == ("wing", "main: 720 cm2, mean chord 121 mm from 60 mm along x, aspect ratio 5.0")
    assert lines[1][1].endswith("volume " + f"{240 * 80 * (520 - 60 - 121.111 / 4) / (72000 * 121.111):.2f}")
    assert lines[2][0] == "fin"
