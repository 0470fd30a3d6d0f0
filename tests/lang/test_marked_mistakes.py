"""A mistake, its code and its place: «…» stands round what is underlined. What is wrong is said once, and nothing else.

These are codes that `test_bad_input.py` and `syntax/test_parse.py` have no case of. NOT_FROM_A_SHORT_TEXT says why others
have none here either.
"""

from pathlib import Path

import pytest
from ringwright.lang.components.project import Refused
from ringwright.lang.diagnostics.catalogue import CATALOGUE
from ringwright.lang.pipeline import compile_spec

USUAL = """\
model test { title = "Test" }
stock board { kind = foamboard, thickness = 4.8 mm, sheet = 762 mm by 508 mm, mass = 410 g/m2 }
stock card { kind = card, thickness = 0.4 mm, sheet = 297 mm by 210 mm, mass = 300 g/m2 }
stock ply { kind = ply, thickness = 3 mm, sheet = 600 mm by 300 mm, density = 680 kg/m3 }
"""
# A table that a body lies along.
LENGTHWISE = """\
offsets fuselage {
    section = box
    | station | x [@mm] | half [@mm] | top [@mm] | bottom [@mm] |
    | F1      |   0     | 44         | 52        | -40          |
    | F2      | 118     | 51         | 61        | -50          |
    | F3      | 240     | 40         | 50        | -38          |
}
"""
# The code, the text (behind a model and three stocks, or "alone"), and the files that it uses.
MARKED = [
    ("ambiguous-name", """\
use "shop.wright"
use "club.wright"
panel floor { outline = rect(60 mm, 40 mm), stock = «thick» }
""", "", {"shop.wright": "stock thick { kind = foamboard, thickness = 9.6 mm, sheet = 762 mm by 508 mm }", "club.wright": "stock thick { kind = foamboard, thickness = 9.8 mm, sheet = 1000 mm by 700 mm }"}),
    ("apart", "panel floor { outline = «joined(circle(20 mm), moved(circle(20 mm), (50 mm, 0 mm)))», stock = board }", "", {}),
    ("arc-radius", "panel deck { outline = «arc(100 mm, 12 ± 0.5 mm)», stock = board }", "", {}),
    ("balance-missed", """\
load motor { mass = 90 g, at = -20 mm }
load battery { mass = 180 g, at = 30 mm }
load receiver { mass = 12 g, at = 160 mm }
balance { target = «40 mm», ballast_at = -20 mm }
""", "", {}),
    ("ballast-at-target", """\
load motor { mass = 90 g, at = -20 mm }
load battery { mass = 180 g, at = 30 mm }
load receiver { mass = 12 g, at = 160 mm }
balance { target = 40 mm, ballast_at = «40.5 mm» }
""", "", {}),
    ("ballast-outside", """\
load motor { mass = 90 g, at = -20 mm }
load battery { mass = 180 g, at = 30 mm }
load receiver { mass = 12 g, at = 160 mm }
balance { target = 10 mm, ballast_at = «-180 mm» }
""", "", {}),
    ("bare-former", """\
former F1 { at = 0 mm, stock = board, outline = circle(80 mm) }
former F2 { at = 90 mm, stock = board, outline = circle(80 mm) }
wrap «deck» { over = [F1, F2], stock = card, arc = -60 deg to 60 deg }
""", "", {}),
    ("beyond-line", """\
stack cowl {
    stock = board
    profile = curve[(0, 66), (30, 62), (60, 50)] mm
    cones «bow» { length = 70 mm, count = 3 }
}
""", "", {}),
    ("closed-bow", "stack nose { stock = card, dome «tip» { build = cones, diameter = 60 mm, depth = 30 mm, count = 4 } }", "", {}),
    ("closed-profile", """\
stack cowl {
    stock = board
    profile = «ellipse(60 mm, 132 mm)»
    cones bow { length = 30 mm, count = 3 }
}
""", "", {}),
    ("corner-too-big", "panel floor { outline = «rect(60 mm, 40 mm, corner = 24 mm)», stock = board }", "", {}),
    ("dome-between", """\
stack pod {
    stock = card
    barrel a { diameter = 60 mm, length = 30 mm }
    dome «nose» { depth = 30 mm, count = 12 }
    barrel b { diameter = 60 mm, length = 30 mm }
}
""", "", {}),
    ("drawing-refused", 'panel pod { outline = traced(«"pod.svg"», id = "pod", width = 90 mm), stock = board }', "", {"pod.svg": """\
<!DOCTYPE svg>
<svg xmlns="http://www.w3.org/2000/svg">
  <path id="pod" d="M 0 40 C 0 10 100 10 100 40 Z"/>
</svg>
"""}),
    ("former-in-skin", """\
former F1 { at = 0 mm, stock = ply, outline = circle(80 mm) }
former «F2» { at = 40 mm, stock = ply, outline = circle(80 mm) }
former F3 { at = 90 mm, stock = ply, outline = circle(80 mm), face = aft }
wrap tube { over = [F1, F3], stock = card }
""", "", {}),
    ("gap-closes", """\
let cleft = polygon[
    (0, 0), (60, 0), (60, 40), (32, 40), (32, 30), (50, 30), (50, 10), (10, 10), (10, 30), (28, 30), (28, 40), (0, 40)
] mm
panel floor { outline = «outset(cleft, 3 mm)», stock = board }
""", "", {}),
    ("grain-across-bend", """\
stock balsa { kind = balsa, thickness = 1.5 mm, sheet = 100 mm by 900 mm }
wrap deck {
    over = [(0 mm, circle(80 mm)), (70 mm, circle(80 mm))]
    arc = -60 deg to 60 deg
    stock = balsa
    grain = «along»
}
""", "", {}),
    ("halves-differ", "panel F2 { outline = «both[(0, 61), (-38, 52), (36, 52), (-51, 20), (51, 20), (0, -58)] mm», stock = board }", "", {}),
    ("halves-do-not-pair", "panel F2 { outline = «both[(0, 61), (-37, 52), (37, 52), (-51, 20), (0, -58)] mm», stock = board }", "", {}),
    ("hidden-name", """\
let long = 38 mm
stack cowl {
    stock = board
    let «long» = 40 mm
    barrel drum { diameter = 132 mm, length = long }
}
require long > 20 mm
""", "", {}),
    ("hole-form", "panel floor { outline = rect(60 mm, 40 mm), stock = board, hole «h» { diameter = 6 mm, rim = 14 mm } }", "", {}),
    ("hole-inside", "panel floor { outline = «minus(rect(60 mm, 40 mm), circle(12 mm))», stock = board }", "", {}),
    ("hollow-section", """\
let waist = half_curve[(0, 50), (30, 40), (16, 0), (30, -40), (0, -50)] mm
wrap «skin» {
    over = [(0 mm, waist), (60 mm, waist)]
    arc = 20 deg to 160 deg
    stock = card
    hand = right
}
""", "", {}),
    ("hollow-superellipse", "panel floor { outline = «superellipse(60 mm, 40 mm, 0.5)», stock = board }", "", {}),
    ("improper-fraction", "station F2 { x = «1 19/16 in» }", "", {}),
    ("known-last", """\
load motor { mass = 90 g, at = -20 mm }
load battery { mass = 180 g, at = 30 mm }
load receiver { mass = 12 g, at = 160 mm }
former F2 { «at = test.balance_x», outline = circle(80 mm), stock = board }
""", "", {}),
    ("left-of-centre", "former F2 { at = 118 mm, stock = board, outline = «half[(0, 60), (-40, 0), (0, -50)] mm» }", "", {}),
    ("lines-cross", """\
offsets fuselage {
    section = box
    | station | x [mm] | half [mm] | top [mm] | bottom [mm] |
    | F1      | 0      | 44        | 52       | -40         |
    | F2      | 118    | 51        | 5        | 5           |
}
side «flank» { upper = fuselage.top, lower = fuselage.bottom, stock = board }
""", "", {}),
    ("loads-missing", """\
load motor { mass = 90 g, at = -20 mm }
load battery { mass = 180 g, at = 10 mm to 85 mm }
«balance» { target = 20 mm }
""", "", {}),
    ("longer-than-bar", "strip «spruce» { section = 6 mm by 6 mm, length = 1 m, piece spar { length = 1.2 m } }", "", {}),
    ("masses-differ", """\
stock «thick» {
    kind       = foamboard
    thickness  = 10 mm
    sheet      = 700 mm by 500 mm
    mass       = 480 g/m2
    sheet_mass = 200 g
}
panel floor { outline = rect(60 mm, 40 mm), stock = thick }
""", "", {}),
    ("missing-size", """\
offsets fuselage {
    section = box
    | station | x [mm] | half [mm] |
    | F1      | 0      | 44        |
    | F2      | 118    | 51        |
}
former «F1» { stock = board }
""", "", {}),
    ("mixed-marks", "stack cowl { stock = board, barrel drum { diameter = @132 mm, length = «38 mm» } }", "", {}),
    ("name-too-long", "let «the_length_of_the_cowl_from_the_firewall_to_the_spinner_as_it_was_measured» = 104 mm", "", {}),
    ("no-arc", """\
wrap deck {
    over = [(0 mm, circle(80 mm)), (70 mm, circle(80 mm))]
    arc = «60 deg to -60 deg»
    stock = card
}
""", "", {}),
    ("no-depth", """\
stock foil { kind = foamboard, thickness = 0.6 mm, facing = 0.6 mm, sheet = 700 mm by 500 mm }
former F1 { at = 0 mm, stock = board, outline = circle(80 mm) }
former F2 { at = 60 mm, stock = board, outline = circle(80 mm), face = aft }
wrap «deck» { over = [F1, F2], arc = -60 deg to 60 deg, stock = foil, grooves = yes }
""", "", {}),
    ("no-ellipse", "panel F2 { outline = «ellipse_fit[(0, 0), (10, 10), (20, 20), (30, 30), (40, 40)] mm», stock = board }", "", {}),
    ("no-mass", """\
load motor { mass = 0 g, at = -20 mm }
load battery { mass = 0 g, at = 40 mm }
load receiver { mass = 0 g, at = 160 mm }
«balance» { target = 20 mm }
""", "", {}),
    ("no-model", "«»station F2 { x = 118 mm }", "alone", {}),
    ("no-place", """\
load motor { mass = 90 g, at = -20 mm }
load battery { mass = 180 g, at = 10 mm to 85 mm }
load receiver { mass = 12 g, at = 160 mm }
balance { target = 20 mm }
panel «tray» { outline = rect(60 mm, 40 mm), stock = board }
""", "", {}),
    ("no-profile", "stack cowl { stock = board, cones «bow» { length = 60 mm, count = 3 } }", "", {}),
    ("no-range", """\
offsets fuselage {
    section = box
    | station | x [mm] | half [mm] | top [mm] | bottom [mm] |
    | F1      | 0      | 44        | 52       | -40         |
    | F2      | 118    | 51        | 61       | -50         |
}
formers frames { at = «0 mm» to 118 mm, stock = board }
""", "", {}),
    ("no-such-aerofoil", 'panel rib { outline = aerofoil(«"2490"», chord = 180 mm), stock = board, view = side }', "", {}),
    ("no-such-id", 'panel pod { outline = traced("pod.svg", id = «"Pod"», width = 90 mm), stock = board }', "", {"pod.svg": """\
<svg xmlns="http://www.w3.org/2000/svg">
  <path id="pod" d="M 0 40 C 0 10 100 10 100 40 Z"/>
</svg>
"""}),
    ("not-a-number", """\
let far = «118 mm / 0»
station F2 { x = far }
""", "", {}),
    ("not-an-aerofoil", 'panel rib { outline = aerofoil_file(«"flat.txt"», chord = 180 mm), stock = board, view = side }', "", {"flat.txt": """\
a flat plate
1.00  0.000
0.00  0.000
"""}),
    ("not-whole", """\
stack pod {
    stock = card
    barrel drum { diameter = 60 mm, length = 30 mm }
    dome «nose» { depth = 30 mm, count = 25 / 2 }
}
""", "", {}),
    ("nothing-left", "panel floor { outline = «common(circle(20 mm), moved(circle(20 mm), (50 mm, 0 mm)))», stock = board }", "", {}),
    ("nothing-to-accept", """\
former F2 {
    at = 118 mm
    stock = board
    outline = circle(80 mm)
    hole crutch { diameter = 40 mm }
    accept «thin-rim» because "carries nothing"
}
""", "", {}),
    ("nothing-to-coat", """\
former F2 { at = 60 mm, outline = circle(80 mm), stock = board }
allowance varnish { mass = 25 g/m2, on = «ply» }
""", "", {}),
    ("off-outline", """\
let hook = polygon[(0, 0), (60, 0), (60, 60), (50, 60), (50, 10), (0, 10)] mm
wrap «skin» { over = [(0 mm, hook), (70 mm, hook)], seam_at = left, stock = card }
""", "", {}),
    ("off-skin", """\
wrap deck {
    over = [(0 mm, circle(80 mm)), (70 mm, circle(80 mm))]
    arc = -60 deg to 60 deg
    stock = card
    hole «h» { diameter = 8 mm, at = (35 mm, 90 deg) }
}
""", "", {}),
    ("off-the-line", """\
offsets fuselage {
    | station | x [mm] | half [mm] |
    | F1      | 0      | 44        |
    | F2      | 118    | 51        |
}
panel floor { outline = «rect(fuselage.half(140 mm), 40 mm)», stock = board }
""", "", {}),
    ("offcut-form", """\
stock scrap {
    kind      = foamboard
    thickness = 4.8 mm
    sheet     = 762 mm by 508 mm
    offcut «corner» { size = 320 mm by 180 mm, outline = rect(320 mm, 180 mm) }
}
panel floor { outline = rect(60 mm, 40 mm), stock = scrap }
""", "", {}),
    ("one-way", """\
stack cowl { stock = board, barrel drum { diameter = 132 mm } }
«given round_to(cowl.drum.length, 5 mm) == 40 mm»
""", "", {}),
    ("open-outline", 'panel pod { outline = traced("pod.svg", id = «"pod"», width = 90 mm), stock = board }', "", {"pod.svg": """\
<svg xmlns="http://www.w3.org/2000/svg">
  <path id="pod" d="M 0 40 C 0 10 100 10 100 40 L 5 40"/>
</svg>
"""}),
    ("ordinates-mended", 'panel rib { outline = aerofoil_file(«"lens.txt"», chord = 180 mm), stock = board, view = side }', "", {"lens.txt": """\
a lens in percent of its chord
100  0.0
 75  4.5
 50  6.0
 25  4.5
  0  0.0
 25 -4.5
 50 -6.0
 75 -4.5
100  0.0
"""}),
    ("piece-form", "strip spruce { section = 6 mm by 6 mm, length = 1 m, piece «strut» { from = (4 mm, 4 mm, 2 mm) } }", "", {}),
    ("plan-scale", 'model heron { title = "Marsh Heron", plan_scale = «-145 %» }', "alone", {}),
    ("parts-overlap", """\
panel floor { view = top, stock = board, outline = rect(120 mm, 60 mm), place = (0 mm, 0 mm, 0 mm) }
panel «keel» { view = side, stock = board, outline = rect(80 mm, 40 mm), place = (0 mm, 2.4 mm, -10 mm) }
""", "", {}),
    ("plates-meet", """\
stack cowl {
    stock = board
    barrel drum { diameter = 132 mm, length = 38 mm }
    plate front { seat = inside }
    plate «doubler» { seat = inside }
}
""", "", {}),
    ("point-within", "wrap «skin» { over = [(0 mm, circle(60 mm)), (50 mm, (0 mm, 0 mm)), (90 mm, circle(60 mm))], stock = card }", "", {}),
    ("points-in-line", "panel disc { outline = «circle_through((0, 0) mm, (40, 0) mm, (80, 0) mm)», stock = board }", "", {}),
    ("profile-below-axis", """\
stack cowl {
    stock = board
    profile = «polygon[(0, 66), (30, 62), (60, -50)] mm»
    cones bow { length = 60 mm, count = 3 }
}
""", "", {}),
    ("profile-turns-back", """\
stack cowl {
    stock = board
    profile = «polygon[(0, 66), (40, 62), (30, 50)] mm»
    cones bow { length = 30 mm, count = 2 }
}
""", "", {}),
    ("range-backwards", "load battery { mass = 180 g, at = «85 mm to 10 mm» }", "", {}),
    ("recipe-cycle", """\
recipe rib(chord) { make «rib» inner { chord = 100 mm } }
make rib r1 { chord = 120 mm }
""", "", {}),
    ("row-out-of-order", """\
offsets fuselage {
    | station | x [mm] | half [mm] |
    | F1      | 0      | 40        |
    | F2      | 160    | 46        |
    | «F3»      | 120    | 50        |
}
""", "", {}),
    ("saddle-form", f"{LENGTHWISE}body hull {{ offsets = fuselage, stock = board }}\nsaddle «seat» {{ place = (40 mm, 0 mm, -44 mm) }}", "", {}),
    ("saddle-misses", f"{LENGTHWISE}body hull {{ offsets = fuselage, stock = board }}\nsaddle «seat» {{ outline = circle(20 mm), place = (100 mm, 0 mm, 90 mm) }}", "", {}),
    ("same-plane", "wrap «skin» { over = [(30 mm, circle(60 mm)), (30 mm, circle(80 mm))], stock = card }", "", {}),
    ("scale-direction", """\
model heron { title = "Marsh Heron", plan_scale = 145 % by 143 % }
let far = @«118 mm»
station F2 { x = far }
""", "alone", {}),
    ("seam-outside", """\
offsets fuselage {
    section = box
    | station | x [mm] | half [mm] | top [mm] | bottom [mm] |
    | F1      | 0      | 44        | 52       | -40         |
    | F2      | 900    | 51        | 61       | -50         |
}
side «flank» { upper = fuselage.top, lower = fuselage.bottom, stock = board, seam = lap(20 mm) }
""", "", {}),
    ("seam-too-wide", "stack tank { stock = board, barrel «drum» { diameter = 60 mm, length = 38 mm, seam = lap(120 mm) } }", "", {}),
    ("seat-cuts-through", f"{LENGTHWISE}body hull {{ offsets = fuselage, stock = board }}\nsaddle «seat» {{ outline = circle(20 mm), place = (118 mm, 0 mm, 0 mm) }}", "", {}),
    ("sections-touch", "wrap «skin» { over = [(0 mm, (0 mm, 5 mm)), (60 mm, (0 mm, 0 mm))], stock = card }", "", {}),
    ("sheet-too-small", "stack cowl { stock = card, barrel «tube» { diameter = 132 mm, length = 400 mm } }", "", {}),
    ("short-arc", "panel disc { outline = «circle_through((-10, 49) mm, (0, 50) mm, (10, 49) mm)», stock = board }", "", {}),
    ("skin-cut", """\
wrap «deck» {
    over = [(0 mm, circle(80 mm)), (80 mm, circle(100 mm)), (160 mm, circle(102 mm))]
    arc = -60 deg to 60 deg
    stock = card
}
""", "", {}),
    ("skin-stretches", """\
wrap «deck» {
    over = [(0 mm, circle(80 mm)), (80 mm, circle(100 mm)), (160 mm, circle(102 mm))]
    arc = -60 deg to 60 deg
    stock = card
    cut_at = none
}
""", "", {}),
    ("skin-too-thick", "wrap «skin» { over = [(0 mm, circle(2.8 mm)), (40 mm, circle(2.8 mm))], stock = ply }", "", {}),
    ("slot-empty", """\
panel floor {
    view = top, stock = board, outline = rect(120 mm, 60 mm), place = (0 mm, 0 mm, 0 mm)
    slot «tab» { length = 40 mm, takes = board, at = (10 mm, 20 mm) }
}
panel keel { view = side, stock = board, outline = rect(80 mm, 40 mm), place = (0 mm, 2.4 mm, -24.8 mm) }
""", "", {}),
    ("slot-width", "panel floor { outline = rect(60 mm, 40 mm), stock = board, slot «s» { length = 20 mm } }", "", {}),
    ("splice-crowded", f"{LENGTHWISE}side flank {{ upper = fuselage.top, lower = fuselage.bottom, stock = board, splice a {{ at = «118 mm», seam = strap(60 mm) }}, hole window {{ diameter = 20 mm, at = (135 mm, 0 mm) }} }}", "", {}),
    ("splice-outside", f"{LENGTHWISE}side flank {{ upper = fuselage.top, lower = fuselage.bottom, stock = board, splice a {{ at = «300 mm» }} }}", "", {}),
    ("splice-through", f"{LENGTHWISE}side flank {{ upper = fuselage.top, lower = fuselage.bottom, stock = board, splice a {{ at = «118 mm» }}, hole window {{ diameter = 20 mm, at = (120 mm, 0 mm) }} }}", "", {}),
    ("splices-meet", f"{LENGTHWISE}side flank {{ upper = fuselage.top, lower = fuselage.bottom, stock = board, splice a {{ at = 100 mm }}, splice b {{ at = «100 mm» }} }}", "", {}),
    ("station-sticks-out", """\
offsets fuselage {
    | station | x [mm] | half [mm] |
    | F1      | 0      | 40        |
    | F2      | 60     | 46        |
    | F3      | 120    | 50        |
    | F4      | 180    | «25»        |
    | F5      | 240    | 53        |
    | F6      | 300    | 51        |
    | F7      | 360    | 48        |
}
""", "", {}),
    ("steps-in-a-ring", """\
panel hatch { outline = rect(60 mm, 40 mm), stock = card }
step decals { after = «paint», text = "float them on" }
step paint { after = decals, before = hatch, text = "one thin coat" }
""", "", {}),
    ("stock-without-mass", """\
model heron { title = "Marsh Heron" }
stock «board» { kind = foamboard, thickness = 4.8 mm, sheet = 762 mm by 508 mm }
load battery { mass = 180 g, at = 40 mm }
former F2 { at = 60 mm, outline = circle(80 mm), stock = board }
""", "alone", {}),
    ("straight-bulges", "panel F2 { outline = «half_curve[(0, 60), (36, 48), (50, 20), (50, 0), (50, -30), (0, -58)] mm», stock = board }", "", {}),
    ("strip-too-wide", """\
wrap «skin» {
    over = [(0 mm, circle(40 mm)), (30 mm, circle(100 mm))]
    arc = -60 deg to 60 deg
    stock = card
    edges = lap(40 mm)
}
""", "", {}),
    ("thin-rim", "panel floor { outline = rect(60 mm, 40 mm), stock = board, hole «h» { diameter = 12 mm, at = (0 mm, 12 mm) } }", "", {}),
    ("tight-bend", "stack tank { stock = board, barrel «drum» { diameter = 44 mm, length = 38 mm } }", "", {}),
    ("too-few-pieces", "stack cowl { stock = board, cone «lip» { start = 160 mm, end = 60 mm, length = 10 mm, pieces = 1, seam = lap(15 mm) } }", "", {}),
    ("too-few-points", "panel floor { outline = «polygon[(0, 0), (60, 0)] mm», stock = board }", "", {}),
    ("too-few-sections", "wrap skin { over = «[(0 mm, circle(40 mm))]», stock = card }", "", {}),
    ("too-few-stations", f"{LENGTHWISE}body hull {{ offsets = fuselage, stock = board, at = «F1» }}", "", {}),
    ("too-many", """\
stack pod {
    stock = card
    barrel drum { diameter = 60 mm, length = 30 mm }
    dome «nose» { depth = 30 mm, tolerance = 0.005 mm }
}
""", "", {}),
    ("unexpected-end", """\
panel floor { outline = rect(60 mm, 40 mm), stock = board }
recipe rib«»
""", "", {}),
    ("unknown-code", """\
former F2 {
    at = 118 mm
    stock = board
    outline = circle(80 mm)
    accept «thin-rin» because "carries nothing"
}
""", "", {}),
    ("unknown-recipe", """\
recipe rib(chord) { panel web { outline = rect(chord, 20 mm), stock = board } }
make «ribs» r1 { chord = 120 mm }
""", "", {}),
    ("waist-too-narrow", """\
let bone = polygon[(0, 0), (20, 16), (40, 16), (60, 0), (60, 40), (40, 24), (20, 24), (0, 40)] mm
former «F2» { at = 118 mm, stock = board, outline = bone, inset = 5 mm }
""", "", {}),
    ("without-effect", """\
stack cowl {
    stock = board
    barrel drum { diameter = 132 mm, length = 38 mm }
    plate front { seat = inside, «diameter» = 120 mm }
}
""", "", {}),
    ("bar-not-of-stock", """\
wing main {
    at = 60 mm, span = 600 mm, root = 160 mm, tip = 120 mm, stock = ply
    build = ribs, ribs = 100 mm, aerofoil = aerofoil("2412")
    spar «upper» { seat = upper, at = 30 %, stock = ply, width = 6 mm, depth = 5 mm }
}
""", "", {}),
    ("bent-hinge", """\
wing main {
    at = 60 mm, span = 600 mm, root = 160 mm, tip = 120 mm, stock = board
    control «flap» { chord = 20 %, joined = yes }
}
""", "", {}),
    ("beyond-span", """\
wing main {
    at = 60 mm, span = 600 mm, root = 160 mm, tip = 120 mm, stock = ply
    build = ribs, ribs = «[0, 150, 320] mm», aerofoil = aerofoil("2412")
    spar web { at = 30 %, stock = ply }
}
""", "", {}),
    ("corner-too-round", """\
wing main {
    at = 60 mm, span = 600 mm, root = 160 mm, tip = 120 mm, stock = board, corner = «70 mm»
}
""", "", {}),
    ("over-joint", """\
wing main {
    at = 60 mm, span = 600 mm, root = 160 mm, tip = 120 mm, stock = board, dihedral = 12 deg
    section bend { at = 150 mm, dihedral = 3 deg }
    control «flap» { chord = 20 %, from = 60 mm, to = 260 mm }
}
""", "", {}),
    ("section-order", """\
wing main {
    at = 60 mm, span = 600 mm, root = 160 mm, tip = 120 mm, stock = board
    section first { at = 200 mm, chord = 140 mm }
    section second { at = «100 mm», chord = 150 mm }
}
""", "", {}),
    ("spar-outside-rib", """\
wing main {
    at = 60 mm, span = 600 mm, root = 160 mm, tip = 120 mm, stock = ply
    build = ribs, ribs = 100 mm, aerofoil = aerofoil("2412")
    spar «upper» { seat = upper, at = 95 %, stock = ply, depth = 5 mm }
}
""", "", {}),
    ("tab-off-root", """\
fin vertical { at = 500 mm, height = 90 mm, root = 80 mm, tip = 50 mm, stock = board, tab = «100 mm by 5 mm» }
""", "", {}),
    ("without-section", """\
wing main {
    at = 60 mm, span = 600 mm, root = 160 mm, tip = 120 mm, stock = board
    spar «web» { at = 30 %, stock = ply }
}
""", "", {}),
    ("balance-off-chord", """\
load motor { mass = 90 g, at = -20 mm }
load battery { mass = 180 g, at = -60 mm to 260 mm }
load receiver { mass = 12 g, at = 160 mm }
wing main { at = 20 mm, span = 600 mm, root = 150 mm, tip = 150 mm, stock = board }
balance { target = «behind(main, 45 %)» }
""", "", {}),
]  # fmt: skip


OF_BYTES = "what no text holds: see hostile/test_hostile_files.py"
OF_MANY = "what no short text holds: see hostile/test_hostile.py"
OF_SOUND = "a note that is said of sound specs: see diagnostics/test_pages.py"
OF_GEOMETRY = "geometry refuses it of itself; what a text can say is refused before, by another name"
NOT_FROM_A_SHORT_TEXT = {
    "letter-not-drawn": "only commands know the lettering, see test_letters_not_drawn.py",
    "together-too-big": "only a build lays parts out, see test_nest_offcuts.py",
    **dict.fromkeys(
        ("layout-spoiled", "layout-stale", "together-too-big"),
        "it is said of the layout, see test_layout_command.py",
    ),
    **dict.fromkeys(
        ("file-too-large", "forbidden-character", "not-utf8", "too-many-files", "unreadable-file"), OF_BYTES
    ),
    **dict.fromkeys(
        ("list-too-long", "table-too-large", "text-too-long", "too-deep", "too-many-components"), OF_MANY
    ),
    **dict.fromkeys(("too-many-mistakes", "too-many-parts", "too-many-points", "too-many-tied"), OF_MANY),
    **dict.fromkeys(("drawing-traced", "how-near", "points-fitted"), OF_SOUND),
    **dict.fromkeys(
        ("diameters-differ", "does-not-settle", "impossible-cone", "no-area", "no-length"), OF_GEOMETRY
    ),
    **dict.fromkeys(
        ("no-such-fit", "open-and-closed", "overlaps-itself", "places-not-in-order"), OF_GEOMETRY
    ),
    **dict.fromkeys(("profile-too-winding", "sections-not-in-order", "slot-never-closes"), OF_GEOMETRY),
}


@pytest.mark.parametrize(("code", "marked", "how", "files"), MARKED, ids=[case[0] for case in MARKED])
def test_a_mistake_is_said_once_where_it_is_marked(code, marked, how, files):
    before, _, rest = marked.partition("«")
    under, _, after = rest.partition("»")
    before = before if how else USUAL + before
    texts = {**files, "main.wright": before + under + after.rstrip("\n")}

    def read(path):
        if path not in texts:
            raise Refused("missing-file", f"there is no file '{path}'")
        return texts[path].encode()

    found = compile_spec("main.wright", read, assembled=True).findings
    assert [finding.code for finding in found] == [code], [finding.message for finding in found]
    assert found[0].span == ("main.wright", len(before), len(before) + len(under))


def test_every_code_has_a_case():
    """Here or in one of the other two, beside its page in the help, unless no short text leads to it."""
    here = Path(__file__).parent
    others = [(here / name).read_text("utf-8") for name in ("test_bad_input.py", "syntax/test_parse.py")]
    cases = {case[0] for case in MARKED}
    without = {
        code for code in CATALOGUE if code not in cases and not any(f'"{code}"' in text for text in others)
    }
    assert without <= set(NOT_FROM_A_SHORT_TEXT)
    assert not cases & set(NOT_FROM_A_SHORT_TEXT)
    assert set(NOT_FROM_A_SHORT_TEXT) <= set(CATALOGUE)
