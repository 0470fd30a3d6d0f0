"""Every case of geometry-cases.json through the public functions, within its goal."""

import json
import math
from itertools import pairwise
from pathlib import Path as File

import pytest
from ringwright.geometry import curve, mass, outline, path, place
from ringwright.geometry.blank import Room, Seam, angle_with_strip, blank
from ringwright.geometry.numbers import rounded
from ringwright.geometry.part import Stock
from ringwright.geometry.ring import Ring, inside_plate, joint_step, ring, wall_volume

CASES = json.loads((File(__file__).parent / "geometry-cases.json").read_text(encoding="utf-8"))["cases"]
DEGREES = {"half_angle", "blank_angle", "bevel"}


def board(areal: float, neutral: float = 0.5, thickness: float = 0.0) -> Stock:
    return Stock("b", "", "foamboard", thickness, 762, 508, "none", areal, 0.3, None, "peeled", neutral, 0)


def ring_of(i: dict) -> Ring:
    return ring(i["d1"], i["d2"], i["h"], i.get("t", 0.0), i.get("k", 0.5))


def cone(i: dict) -> dict:
    made = ring_of(i)
    return {**made._asdict(), "blank_area": made.area, "volume": wall_volume(made)}


def plate(i: dict) -> dict:
    angle = math.atan2(abs(i["do"] - i["de"]) / 2, i["h"])
    return inside_plate(i["de"], angle, i["do"] > i["de"], i["t"], i["plate_t"], i["h"])._asdict()


def step(i: dict) -> dict:
    first, second = (
        ring(200 + 40 * math.tan(math.radians(i[k])), 200, 20, i["t"], 1) for k in ("a1_deg", "a2_deg")
    )
    return {"step": joint_step(first, second)}


def box(i: dict) -> dict:
    """Built as a butted ring's blank with those radii and that angle, then measured."""
    sine = i["angle_deg"] / 360
    lean = (i["ro"] - i["ri"]) * sine
    high = math.sqrt((i["ro"] - i["ri"]) ** 2 - lean**2)
    made = ring(2 * i["ro"] * sine, 2 * i["ri"] * sine, high, 0, 1)
    left, low, right, top = path.bounds(blank(made, Seam("butt")).outline)
    return {"width": right - left, "height": top - low}


def overfull(i: dict) -> dict:
    return {"angle_with_lap": math.degrees(angle_with_strip(ring_of(i), Seam("lap", i["lap"])))}


def sagitta(i: dict) -> dict:
    sheet = blank(ring_of(i), Seam("butt")).outline
    return {"sagitta": max(path.sagitta(piece) for piece in path.pieces(sheet))}


def pieces(i: dict) -> dict:
    return {"pieces": blank(ring_of(i), Seam("flap", i["seam"]), room=Room(i["W"], i["H"])).pieces}


def skin(i: dict) -> dict:
    outside = (
        outline.polygon([tuple(p) for p in i["points"]]) if "points" in i else outline.ellipse(i["w"], i["h"])
    )
    former = outline.inset(outside, i["t"])
    found = {"area": path.signed_area(former), "perimeter": path.length(former)}
    found.update({f"former_{name}": value for name, value in found.items()})
    return {**found, "wrap_length": path.length(outline.inset(outside, (1 - i.get("k", 1)) * i["t"]))}


def smooth(i: dict) -> dict:
    line = curve.spline([tuple(p) for p in i["points"]], True)
    (y, z), _ = curve.curve_at(line, line.knots[1] / 2)
    return {"y": y, "z": z, "area": abs(curve.curve_area(line))}


def fair(i: dict) -> dict:
    line = curve.fair_line(i["x"], i["y"])
    return {"values": [curve.line_at(line, x)[0] for x in i["q"]]}


def flat(i: dict) -> dict:
    chords = path.closed(path.flattened(outline.circle(2 * i["r"]), i["tolerance"]))
    return {"n": len(chords.points), "short": 2 * math.pi * i["r"] - path.length(chords)}


def fold(i: dict) -> dict:
    return {"area": path.signed_area(outline.half([tuple(p) for p in i["half"]]))}


def mass_of_cone(i: dict) -> dict:
    made = ring(2 * i["R1"], 2 * i["R2"], i["h"], 0, 0.5)
    sheet = blank(made, Seam("butt"))
    placed = place.rolled(sheet, (0, 0, 0), place.AFT, place.UP, place.STARBOARD, math.pi)
    found = mass.measure(sheet.outline, (), (), (), board(i["areal"]), placed[0])
    assert found.centroid
    return {"mass": found.mass, "x": found.centroid[0]}


def deck(i: dict) -> dict:
    made = ring(2 * i["R"], 2 * i["R"], 100, i["t"], 0.5)
    sheet = blank(made, Seam("butt"), pieces=round(360 / i["arc_deg"]))
    placed = place.rolled(sheet, (0, 0, 0), place.FORWARD, place.UP, place.STARBOARD, math.pi / 2)
    found = mass.measure(sheet.outline, (), (), (), board(1e-3, thickness=i["t"]), placed[0])
    assert found.centroid
    return {"z": found.centroid[2]}


def former(i: dict) -> dict:
    hole = path.as_hole(outline.moved(outline.circle(i["hole_d"]), tuple(i["hole_at"])))
    sheet = outline.polygon([tuple(p) for p in i["outline"]])
    found = mass.measure(sheet, (hole,), (), (), board(1e-3), place.section_frame(118))
    assert found.centroid
    return {"area": found.area, "z": found.centroid[2]}


def bent_curve(i: dict) -> dict:
    made = ring(132, 116, 25.75, 5, 1)
    sheet = blank(made, Seam("butt"))
    placed = place.rolled(sheet, (0, 0, 0), place.AFT, place.UP, place.STARBOARD, 0.0)[0]
    count = 4000
    polar = [(200 + 15 * k / count, 0.2 + 1.1 * k / count - made.blank_angle / 2) for k in range(count + 1)]
    points = [(-rho * math.sin(psi), rho * math.cos(psi)) for rho, psi in polar]
    bent = [place.in_space(placed, point) for point in points]
    # a chord is short by (turn²/24): twice the steps tell how much
    lengths = []
    for line in (points, bent):
        fine, rough = (sum(math.dist(a, b) for a, b in pairwise(q)) for q in (line, line[::2]))
        lengths.append(fine + (fine - rough) / 3)
    return {"flat": lengths[0], "bent": lengths[1]}


def weights(i: dict) -> dict:
    return {"ballast": mass.ballast([tuple(m) for m in i["masses"]], i["target"], i["at"])}


def rounding(i: dict) -> dict:
    return {"mm": rounded(i["v"], 3)}


RUN = {
    "sector.pieces": pieces, "sector.pieces2": pieces, "sector.box": box, "sector.box2": box,
    "sector.overfull": overfull, "cone.nearly_barrel": sagitta, "joint": step, "cone": cone, "plate": plate,
    "skin": skin, "curve": smooth, "line": fair, "flat": flat, "fold": fold, "mass.cone": mass_of_cone,
    "mass.cone2": mass_of_cone, "mass.deck": deck, "mass.former": former, "place": bent_curve,
    "ballast": weights, "round": rounding,
}  # fmt: skip


@pytest.mark.parametrize("case", CASES, ids=lambda case: case["id"])
def test_case(case: dict) -> None:
    run = RUN.get(case["id"]) or RUN[case["id"].split(".")[0]]
    found = run(case["inputs"])
    goal = case["goal"]
    for name, expected in case["expected"].items():
        value = math.degrees(found[name]) if name in DEGREES else found[name]
        for one, other in zip(
            *([v] if not isinstance(v, list) else v for v in (value, expected)), strict=True
        ):
            assert abs(one - other) <= goal["abs"] + goal["rel"] * abs(other), (name, one, other)
