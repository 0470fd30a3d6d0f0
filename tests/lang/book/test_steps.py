"""The steps of building: what must come before what, and what is said of each."""

from pathlib import Path

import pytest
from ringwright.lang.book.steps import Step, steps_of
from ringwright.lang.commands.book_notes import notes_of
from ringwright.lang.components.project import reader
from ringwright.lang.pipeline import compile_spec

SPECS = Path(__file__).parents[3] / "specs"
USUAL = """\
model flyer { title = "Flyer" }
stock board { kind = foamboard, thickness = 5 mm, sheet = 700 mm by 500 mm, mass = 400 g/m2 }
stock card { kind = card, thickness = 0.4 mm, sheet = 420 mm by 297 mm, mass = 280 g/m2 }
stock ply { kind = ply, thickness = 3 mm, sheet = 600 mm by 300 mm, density = 680 kg/m3 }
"""
CAN = """\
station tail { x = 200 mm }
station nose { x = 100 mm }
stack can {
    from = tail
    to = nose
    stock = board
    barrel one { diameter = 120 mm }
    plate rim { seat = straddle }
    barrel two { diameter = 120 mm }
    plate front { seat = inside }
}
"""


def steps(text: str) -> tuple[Step, ...]:
    compiled = compile_spec("flyer.wright", lambda _: (USUAL + text).encode())
    assert not compiled.failed, compiled.findings
    assert compiled.design is not None
    return steps_of(compiled.design)


@pytest.fixture(scope="module", params=["marsh-heron", "reed-runner"])
def of_spec(request) -> tuple[Step, ...]:
    compiled = compile_spec(f"{request.param}.wright", reader(SPECS / request.param))
    assert compiled.design is not None
    cut = (*compiled.design.parts, *compiled.design.pieces)
    return steps_of(compiled.design), {each.id for each in cut}


def titles(found: tuple[Step, ...]) -> list[str]:
    return [step.title for step in found]


def test_every_part_is_built_once_and_onto_what_stands(of_spec) -> None:
    found, ids = of_spec
    built: set[str] = set()
    for step in found:
        assert set(step.onto) <= built
        assert not built & set(step.parts)
        built |= set(step.parts)
    assert built == ids


def test_plates_stand_before_what_goes_round_them() -> None:
    found = steps(CAN)
    order = titles(found)
    assert order.index("can.rim") < order.index("can.one")
    assert order.index("can.front") < order.index("can.two")
    assert order.index("can.one") < order.index("can.two")
    two = found[order.index("can.two")]
    assert "round" in " ".join(two.lines)
    assert {"can.front", "can.rim", "can.one"} == set(two.onto)


def test_a_ring_is_bevelled_before_it_is_bent_and_bent_before_its_seam() -> None:
    found = steps(
        "stack cone { stock = board, overall = 60 mm, runs = fore, from = a\n"
        "cone c { start = 140 mm, end = 80 mm }\nplate p { } }\nstation a { x = 0 mm }\n"
    )
    lines = next(step.lines for step in found if step.title == "cone.c")
    where = [next(i for i, line in enumerate(lines) if word in line) for word in ("Bevel", "draw", "seam")]
    assert where == sorted(where)


def test_what_closes_off_comes_last_and_says_what_goes_in_before() -> None:
    found = steps(
        "former A { at = 0 mm, stock = board, outline = circle(80 mm) }\n"
        "former B { at = 100 mm, stock = board, outline = circle(80 mm) }\n"
        "wrap skin { over = [A, B], stock = card }\n"
        'load servo { mass = 9 g, at = 50 mm, title = "the servo" }\n'
    )
    order = titles(found)
    assert order.index("Formers A and B") < order.index("skin")
    assert any("closes" in line and "the servo" in line for line in found[order.index("skin")].lines)


def test_glue_is_that_of_the_stocks() -> None:
    found = steps(
        "former A { at = 0 mm, stock = ply, outline = circle(80 mm) }\n"
        "former B { at = 100 mm, stock = ply, outline = circle(80 mm) }\n"
        "wrap skin { over = [A, B], stock = card }\n"
    )
    assert "white glue" in found[-1].glue
    assert "foam" in next(step.glue for step in steps(CAN) if step.title == "can.two")


def test_a_written_step_stands_behind_what_it_waits_for() -> None:
    order = titles(steps(CAN + 'step tube { after = can.one, text = "run the tube through" }\n'))
    assert order.index("tube") == order.index("can.one") + 1


def test_what_waits_for_a_written_step_comes_after_it() -> None:
    found = steps(
        CAN
        + 'step weigh_it { after = can.front, before = can.one, title = "On the scale", text = "weigh it" }\n'
    )
    order = titles(found)
    assert order.index("can.front") < order.index("On the scale") < order.index("can.one")
    assert next(step for step in found if step.written).lines == ("weigh it",)


def test_a_written_step_outranks_what_a_builder_would_do() -> None:
    order = titles(steps(CAN + 'step late { after = can.two, before = can.rim, text = "as I like it" }\n'))
    assert order.index("can.two") < order.index("late") < order.index("can.rim")


def test_without_a_place_it_comes_at_the_end() -> None:
    assert titles(steps(CAN + 'step paint { text = "one thin coat" }\n'))[-1] == "paint"


def test_the_order_of_the_text_is_nothing() -> None:
    panels = [f"panel {name} {{ stock = board, outline = rect(50 mm, 20 mm) }}\n" for name in "abc"]
    assert steps("".join(panels)) == steps("".join(reversed(panels)))


WING = """\
wing main {
    at = (100 mm, 0 mm, 20 mm), span = 900 mm, root = 180 mm, tip = 140 mm, dihedral = 4 deg
    build = ribs, ribs = 90 mm, aerofoil = aerofoil("2412"), stock = board, skin = card
    spar front { at = 30 %, stock = ply }
    joiner j { at = 30 %, reach = 80 mm, stock = ply }
    control aileron { from = 250 mm, to = 420 mm, chord = 25 % }
}
"""


def test_a_wing_is_built_from_its_spar_to_its_skin_and_what_moves_comes_last() -> None:
    found = steps(WING)
    assert [title.removeprefix("wing main: ") for title in titles(found)[1:]] == [
        "front", "ribs", "j", "skins", "aileron",
    ]  # fmt: skip
    joined = next(step for step in found if step.title.endswith(": j"))
    assert any("31.5 mm above the middle" in line for line in joined.lines)  # 450 mm * tan(4 deg)


def test_without_formers_the_wing_is_put_on_the_body() -> None:
    body = "panel body { view = side, stock = board, outline = rect(500 mm, 40 mm), place = (200 mm, 0 mm, 0 mm) }\n"
    assert titles(steps(body + WING))[1:3] == ["body", "wing main: front"]


def test_the_skins_of_a_body_are_joined_to_the_formers_that_they_meet() -> None:
    found = steps(
        "offsets fuselage {\n    section = box\n    | station | x [mm] | half [mm] | top [mm] | bottom [mm] |\n"
        "    | F1 | 0 | 40 | 40 | -40 |\n    | F2 | 120 | 45 | 45 | -44 |\n    | F3 | 240 | 38 | 42 | -38 |\n}\n"
        "body hull { offsets = fuselage, stock = board\n deck { to = F2 } }\n"
    )
    onto = {step.title: step.onto for step in found}
    assert onto["hull.top"] == ("F1", "F2")
    assert onto["hull.bottom"] == onto["hull.sides"] == ("F1", "F2", "F3")
    assert [step.title for step in found][-1] == "hull.top"


HULL = """\
offsets fuse {
    section = box
    | station | x [mm] | half [mm] | top [mm] | bottom [mm] |
    | F1 | 0 | 40 | 40 | -40 |
    | F2 | 90 | 45 | 45 | -44 |
    | F3 | 200 | 45 | 45 | -44 |
    | F4 | 330 | 38 | 42 | -38 |
    | F5 | 430 | 20 | 40 | -20 |
}
body hull { offsets = fuse, stock = board }
wing main {
    at = (110 mm, 0 mm, -36 mm), span = 900 mm, root = 150 mm, tip = 140 mm, incidence = 1.5 deg
    build = ribs, ribs = 90 mm, aerofoil = aerofoil("2412"), stock = board, skin = card, skins = upper
    spar front { at = 30 %, stock = board }
    joiner j { at = 36 %, reach = 80 mm, stock = ply }
    control aileron { from = 250 mm, to = 420 mm, chord = 25 % }
}
saddle { wing = main, open = below }
wrap cheek { over = [(F1 - 50 mm, circle(78 mm)), F1], stock = card, arc = 40 deg to 140 deg, edges = lap(4 mm) }
load motor { mass = 60 g, at = F1 - 20 mm }
load radio { mass = 10 g, at = F3 }
"""


def step_called(found: tuple[Step, ...], title: str) -> Step:
    return next(step for step in found if step.title == title)


def test_what_is_joined_touches() -> None:
    found = steps(HULL)
    joiner = step_called(found, "wing main: j")
    assert "main.rib.1.left" in joiner.onto
    assert "main.rib.3.left" not in joiner.onto  # it reaches 80 mm, that rib stands at 180 mm
    assert not any("against F" in line for step in found for line in step.lines if "wing" in step.title)


def test_a_bottom_in_two_pieces_is_joined_to_the_formers_that_each_meets() -> None:
    lines = " ".join(step_called(steps(HULL), "hull.bottom").lines)
    assert "hull.bottom.1: join it to F1 and F2." in lines
    assert "hull.bottom.2: join it to F4 and F5." in lines


def test_what_is_hinged_is_not_glued_and_hangs_on_what_it_meets() -> None:
    aileron = step_called(steps(HULL), "wing main: aileron")
    assert aileron.glue == ""
    assert not any("Join" in line for line in aileron.lines)
    assert aileron.onto
    assert not any(id in aileron.onto for id in ("main.j", "main.front.left", "main.rib.1.left"))


def test_a_wing_is_put_in_its_place_when_it_is_whole() -> None:
    found = steps(HULL)
    order = titles(found)
    seat = step_called(found, "wing main: in its place")
    assert order.index(seat.title) == order.index("wing main: aileron") + 1
    assert "hull.sides.left" in seat.onto
    assert seat.check == "incidence 1.5°"
    assert seat.glue


def test_the_body_is_closed_off_once_with_what_lies_in_it() -> None:
    closing = {step.title: line for step in steps(HULL) for line in step.lines if "closes" in line}
    assert list(closing) == ["hull.top"]
    assert "radio" in closing["hull.top"]
    assert "motor" not in closing["hull.top"]  # it lies before F1


STRIP = """\
strip spruce {
    section = 4 mm by 6 mm, length = 1 m, density = 450 kg/m3
    piece leg { from = (110 mm, 25 mm, -43 mm), to = (120 mm, 60 mm, -90 mm), hand = both }
}
"""


def test_strip_is_cut_and_joined_to_what_it_meets() -> None:
    found = steps(HULL + STRIP)
    leg = step_called(found, "spruce.leg")
    assert leg.lines[0].startswith("Cut 2 × 59.4 mm from spruce (4 mm by 6 mm)")  # root of 10² + 35² + 47²
    assert leg.parts == ("spruce.leg",)
    assert leg.onto
    assert leg.glue
    assert titles(found).index("spruce.leg") > titles(found).index("hull.top")


def test_a_wing_that_meets_no_part_is_fixed_where_the_plan_has_it() -> None:
    body = "panel body { view = side, stock = board, outline = rect(500 mm, 40 mm), place = (200 mm, 0 mm, -90 mm) }\n"
    found = steps(body + WING)
    seat = step_called(found, "wing main: in its place")
    assert found[-1] == seat
    assert "at x 100 mm, z 20 mm." in seat.lines[0]
    assert seat.glue == ""


def test_a_fin_has_a_heading_of_its_own_and_what_is_bought_says_its_size() -> None:
    text = USUAL + HULL + STRIP
    text += "fin upright { at = (350 mm, 0 mm, 47 mm), height = 90 mm, root = 70 mm, tip = 50 mm, stock = board }\n"
    compiled = compile_spec("flyer.wright", lambda _: text.encode())
    assert compiled.design is not None
    notes = notes_of(compiled, compiled.design, ())
    assert ("fin upright", ("upright",)) in notes.assemblies
    assert [each.title for each in notes.bought] == ["spruce, 4 × 6 mm, 1000 mm long"]
    assert all("spruce.leg" not in parts for _, parts in notes.assemblies)
