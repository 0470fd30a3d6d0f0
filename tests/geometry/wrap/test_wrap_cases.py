"""Every case of wrap-cases.json through the public functions, within its goal."""

import json
import math
from itertools import pairwise
from pathlib import Path as File

import pytest
from ringwright.geometry import outline, path
from ringwright.geometry.wrap import former, score, sheet, side
from ringwright.geometry.wrap.relax import evened, relaxed
from ringwright.geometry.wrap.section import Section, across, along, closed_through
from ringwright.geometry.wrap.strip import skin
from ringwright.geometry.wrap.surface import Surface, area
from ringwright.geometry.wrap.vector import between

CASES = json.loads((File(__file__).parent / "wrap-cases.json").read_text(encoding="utf-8"))["cases"]


def surface_of(*sections: Section, thickness: float = 0.0, neutral: float = 1.0) -> Surface:
    made = skin(sections, thickness, neutral)
    assert len(made.strips) == 1
    assert made.strips[0].exact
    assert math.degrees(made.worst_twist) < 0.02
    return made.strips[0].surface


def chord(surface: Surface, row: int) -> float:
    return math.dist(surface.flat[0][row], surface.flat[-1][row])


def circle(radius: float, x: float, z: float = 0.0, seam: float = 0.0) -> Section:
    return across(outline.moved(outline.circle(2 * radius), (0.0, z)), x, seam)


def arc(radius: float, x: float, half: float) -> Section:
    limits = (-math.radians(half), math.radians(half))
    return across(outline.circle(2 * radius), x, arc=limits, about=(0.0, 0.0))


def cylinder(i: dict) -> dict:
    surface = surface_of(circle(i["r"], 0), circle(i["r"], i["h"]))
    flat = surface.flat
    return {
        "length": chord(surface, 0),
        "width": math.dist(*flat[0]),
        "diagonal": math.dist(flat[0][0], flat[-1][1]),
    }


def cone(i: dict) -> dict:
    surface = surface_of(circle(i["r1"], 0), circle(i["r2"], i["h"]))
    return {"chord1": chord(surface, 0), "chord2": chord(surface, 1), "area": area(surface)}


def oblique(i: dict) -> dict:
    f = i["f"]
    far = circle(i["r1"] * f, i["apex_x"] * (1 - f), i["apex_z"] * (1 - f))
    surface = surface_of(circle(i["r1"], 0), far)
    return {"chord1": chord(surface, 0), "chord2": chord(surface, 1), "area": area(surface)}


def square_round(i: dict) -> dict:
    return {"area": area(surface_of(across(outline.rect(i["w"], i["w"]), 0), circle(i["r"], i["h"])))}


def helix(i: dict) -> dict:
    """Lines at constant distances along the tangents of a helix."""
    a, b = i["a"], i["b"]
    slope = math.hypot(a, b)

    def line(u: float) -> Section:
        turns = [i["T"] * k / 160 for k in range(161)]
        return along(
            (a * math.cos(t) - u * a / slope * math.sin(t), a * math.sin(t) + u * a / slope * math.cos(t), b * t + u * b / slope)
            for t in turns
        )  # fmt: skip

    surface = surface_of(line(i["u1"]), line(i["u2"]))
    return {"chord1": chord(surface, 0), "chord2": chord(surface, 1), "area": area(surface)}


def chords(text: str, count: int) -> Section:
    """Section of so many chords of a superellipse, as the case words it."""
    words = dict(word.split("=") for word in text.split()[1:] if "=" in word)
    words = {name: float(value.strip(",")) for name, value in words.items()}
    w, h, n = words["w"], words["h"], words["n"]
    points = []
    for k in range(count):
        sin, cos = math.sin(2 * math.pi * k / count), math.cos(2 * math.pi * k / count)
        y = w / 2 * math.copysign(abs(sin) ** (2 / n), sin)
        z = words.get("z0", 0.0) + h / 2 * math.copysign(abs(cos) ** (2 / n), cos)
        points.append((words["x"], y, z))
    return closed_through(points, (1.0, 0.0, 0.0))


def hull(i: dict) -> dict:
    return {"area": area(surface_of(chords(i["P"], i["chords"]), chords(i["Q"], i["chords"])))}


def arcs(i: dict) -> dict:
    return {"area": area(surface_of(arc(i["R1"], 0, i["half_deg1"]), arc(i["R2"], i["h"], i["half_deg2"])))}


def groove(i: dict) -> dict:
    surface = surface_of(circle(i["r1"], 0), circle(i["r2"], i["h"]))
    (line,) = former.lines_on(surface, former.plane_at(i["xf"]))
    return {"length": path.length(line), "chord": math.dist(line.points[0], line.points[-1])}


def twisted(i: dict) -> dict:
    turn = math.radians(i["twist_deg"])
    near = along([(0, -50, 0), (0, 50, 0)])
    far = along(
        [(100, -50 * math.cos(turn), -50 * math.sin(turn)), (100, 50 * math.cos(turn), 50 * math.sin(turn))]
    )
    made = skin([near, far])
    assert not made.strips[0].exact
    assert math.degrees(made.worst_twist) == pytest.approx(i["twist_deg"], abs=0.5)
    straight = tuple((p, q) for p, q in zip(near.points, far.points, strict=True))
    assert made.worst_strain == pytest.approx(relaxed(evened(straight, 21, 5)).strain, rel=0.02)
    return {"strain": relaxed(evened(straight, 21, 5)).strain}


def deck(i: dict) -> dict:
    """Half circles of 17 chords, three steps of rows a bay."""
    turns = [math.pi * (station / 17 - 0.5) for station in range(18)]
    rings = [[(100.0 * k, r * math.sin(t), r * math.cos(t)) for t in turns] for k, r in enumerate(i["radii"])]
    threads = []
    for stops in zip(*rings, strict=True):
        rows = [between(a, b, step / 3) for a, b in pairwise(stops) for step in range(3)]
        threads.append((*rows, stops[-1]))
    sections = [along(ring, (1.0, 0.0, 0.0)) for ring in rings]
    return {
        "strain": relaxed(threads).strain,
        "middle": skin(sections, seams="none", most_deviation=10).worst_deviation,
        "gap": skin([arc(r, 100.0 * k, 90) for k, r in enumerate(i["radii"])], seams="each").cuts[0].gap,
    }


def inside(i: dict) -> dict:
    outer = (
        outline.polygon([tuple(p) for p in i["points"]]) if "points" in i else outline.ellipse(i["w"], i["h"])
    )
    inner = outline.inset(outer, i["t"])
    found = {"area": path.signed_area(inner), "perimeter": path.length(inner)}
    found.update({f"former_{name}": value for name, value in found.items()})
    if "k" in i:
        sections = [across(outer, x, tolerance=0.001) for x in (0.0, 100.0)]
        surface = surface_of(*sections, thickness=i["t"], neutral=i["k"])
        found["wrap_length"] = sheet.sheet(surface).lengths.start
        layer = former.inside_outline(surface_of(*sections), former.plane_at(50), i["t"], True)
        assert path.signed_area(former.outline_of(layer)) == pytest.approx(found["area"], rel=1e-4)
    return found


def skin_arc(i: dict) -> dict:
    sections = [arc(i["R"], x, i["arc_deg"] / 2) for x in (0, 80)]
    surface = surface_of(*sections, thickness=i["t"], neutral=i["k"])
    return {"length": sheet.sheet(surface).lengths.start}


def taper(i: dict) -> dict:
    def at(share: float) -> Section:
        radius = i["r1"] * (1 - share)
        shape = outline.moved(outline.circle(2 * radius), (0.0, i["apex_z"] * share))
        return across(shape, i["apex_x"] * share, tolerance=0.0002)

    layer = former.inside_outline(surface_of(at(0.0), at(0.5)), former.plane_at(i["x0"]), i["t"], True)
    return {"area": path.signed_area(former.outline_of(layer))}


def scored(i: dict) -> dict:
    found = score.slots(i["R"], math.radians(i["deg"]), i["t"], i["facing"], i["w"])
    return {
        "angle_deg": math.degrees(found.angle),
        "n": found.number,
        "spacing": found.spacing,
        "sagitta": found.sagitta,
    }


def fold(i: dict) -> dict:
    return {"area": path.signed_area(outline.half([tuple(p) for p in i["half"]]))}


def upright(
    y: side.Traced, start: float, end: float, top: side.Traced = lambda x: 50.0, **sheet_of: float
) -> sheet.Lengths:
    lower, upper = side.SpaceLine(y, lambda x: -20.0), side.SpaceLine(y, top)
    return sheet.sheet(side.side(lower, upper, start, end, **sheet_of).surface).lengths


def side_arc(i: dict) -> dict:
    found = upright(
        lambda x: math.sqrt(i["R"] ** 2 - x * x) - 300, i["a"], i["b"], thickness=i["t"], neutral=i["k"]
    )
    return {"length": found.start}


def side_parabola(i: dict) -> dict:
    return {"length": upright(lambda x: 60 - i["a"] * x * x, 0, i["X"]).start}


def side_cosine(i: dict) -> dict:
    return {"length": upright(lambda x: 40 + i["A"] * math.cos(math.pi * x / i["L"]), 0, i["L"]).start}


def side_sheer(i: dict) -> dict:
    top = upright(lambda x: 60 - 0.0008 * x * x, 0, 250, lambda x: 50 - 20 * (x / 250) ** 2)
    return {"length": top.end}


def side_flare(i: dict) -> dict:
    half = math.radians(i["deg"]) / 2

    def rail(radius: float, z: float) -> list:
        turns = [half * (k / 80 - 1) for k in range(161)]
        return [(radius * math.sin(t), radius * math.cos(t), z) for t in turns]

    made = side.between_lines(rail(i["Rb"], 0), rail(i["Rt"], i["H"]))
    assert made.exact
    return {
        "chord_top": chord(made.surface, 1),
        "chord_bottom": chord(made.surface, 0),
        "area": area(made.surface),
    }


RUN = {
    "wrap.cylinder": cylinder, "wrap.cone": cone, "wrap.oblique": oblique, "wrap.oblique2": oblique,
    "wrap.square_round": square_round, "wrap.helix": helix, "wrap.circle_superellipse": hull,
    "wrap.ellipses_turned": hull, "wrap.arcs": arcs, "wrap.arcs2": arcs, "wrap.groove": groove,
    "wrap.twisted15": twisted, "wrap.deck3": deck, "wrap.deck3b": deck, "wrap.deck3.straight": deck,
    "skin.arc": skin_arc, "skin.taper": taper, "skin": inside, "score": scored, "fold": fold,
    "side.arc": side_arc, "side.arc_mid": side_arc, "side.parabola": side_parabola,
    "side.cosine": side_cosine, "side.sheer": side_sheer, "side.flare": side_flare,
}  # fmt: skip


@pytest.mark.parametrize("case", CASES, ids=lambda case: case["id"])
def test_case(case: dict) -> None:
    run = RUN.get(case["id"]) or RUN[case["id"].split(".")[0]]
    found = run(case["inputs"])
    goal = case["goal"]
    for name, expected in case["expected"].items():
        assert abs(found[name] - expected) <= goal["abs"] + goal["rel"] * abs(expected), (name, found[name])


def test_every_second_value_agrees() -> None:
    """The two ways that a case was reckoned by differ by less than its goal."""
    for case in CASES:
        for name, value in case["expected"].items():
            goal = case["goal"]
            assert abs(case["second"][name] - value) <= goal["abs"] + goal["rel"] * abs(value), case["id"]
