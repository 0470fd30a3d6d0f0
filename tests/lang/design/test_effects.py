"""What moves a dimension and what a given one moves: said in small fractions, true when it is tried."""

import math
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from ringwright.lang.book.sums import sums_of
from ringwright.lang.design.effects import _number, effects
from ringwright.lang.units import Unit, shown_in

COWL = """
station a {{ x = 0 mm }}
station b {{ x = -104 mm }}
stack cowl {{
    from = a
    to = b
    stock = board
    plate back {{ }}
    barrel drum {{ diameter = 132 mm, length = {drum!r} mm }}
    cone mid {{ end = 116 mm }}
    cone lip {{ end = {end!r} mm }}
}}
"""


def said(outcome: Any, name: str) -> list[str]:
    """The effects of a name, as the command prints them, places and gaps taken away."""
    design = outcome.design

    def unit_of(of: str) -> Unit:
        return shown_in(design.dimensions[of], design.about.unit)

    components = design.tree.components.items()
    written = {
        f"{id}.{property.name}" for id, component in components for property in component.kind.properties
    }
    text = effects(design.solution, name, outcome.compiled.project.sources, unit_of, written)
    return [" ".join(line.split("main.wright:")[0].split()) for line in text.splitlines()]


def test_what_moves_a_shared_length(built: Any) -> None:
    found = said(built(COWL.format(drum=38, end=92)), "cowl.mid.length")
    assert found == [
        "what moves it:",
        "1 mm more on board.thickness: ½ mm less",
        "1 mm more on cowl.drum.length: ½ mm less",
        "1 mm more on station.a.x: ½ mm more",
        "1 mm more on station.b.x: ½ mm less",
    ]


def test_every_cause_shows_where_it_is_written(built: Any) -> None:
    outcome = built(COWL.format(drum=38, end=92))
    design = outcome.design
    shown = effects(
        design.solution,
        "cowl.mid.length",
        outcome.compiled.project.sources,
        lambda name: shown_in(design.dimensions[name]),
    )
    (line,) = [line for line in shown.splitlines() if "drum.length" in line]
    place = line.split("main.wright:")[1]
    row, column = map(int, place.split(":"))
    source = outcome.compiled.project.sources["main.wright"]
    assert source.line(row)[column - 1 :].startswith("length = 38 mm")


def test_what_a_given_length_moves(built: Any) -> None:
    found = said(built(COWL.format(drum=38, end=92)), "cowl.drum.length")
    assert found[0] == "1 mm more moves:"
    assert found[1] == "cowl.lip.length and cowl.mid.length: ½ mm less each"
    assert not any("share" in line for line in found)


@given(drum=st.floats(20, 50), end=st.floats(70, 110))
def test_the_effect_is_what_a_change_does(built: Any, drum: float, end: float) -> None:
    hair = 1e-4
    one = built(COWL.format(drum=drum, end=end))
    for change, cause in (((hair, 0.0), "cowl.drum.length"), ((0.0, hair), "cowl.lip.end")):
        other = built(COWL.format(drum=drum + change[0], end=end + change[1]))
        slope = (other.value("cowl.lip.half_angle") - one.value("cowl.lip.half_angle")) / hair
        (line,) = [line for line in said(one, "cowl.lip.half_angle") if f"on {cause}:" in line]
        number, way = line.rpartition(": ")[2].split("° ")
        assert math.degrees(abs(slope)) == pytest.approx(float(number), rel=0.01)
        assert way == ("more" if slope > 0 else "less")


def test_an_angle_moves_lengths_by_the_degree(built: Any) -> None:
    found = built("stack s { stock = board\n cone c { start = 132 mm, end = 92 mm, half_angle = 45 deg } }")
    assert said(found, "s.c.length") == [
        "what moves it:",
        "1° more on s.c.half_angle: 0.698 mm less",
        "1 mm more on s.c.end: ½ mm less",
        "1 mm more on s.c.start: ½ mm more",
    ]
    assert "s.c.length and s.overall: 0.698 mm less each" in said(found, "s.c.half_angle")
    assert math.radians(40) == pytest.approx(0.698, abs=5e-4)


def test_a_number_within_a_sum_is_named_by_its_words(built: Any) -> None:
    found = built("""
        stack s { stock = board, barrel drum { diameter = 60 mm, length = 40 mm } }
        stack t { stock = board, barrel drum { diameter = 60 mm, length = 2 * s.drum.length + 3 mm } }
    """)
    assert said(found, "t.drum.length") == [
        "what moves it:",
        "1 mm more on s.drum.length: 2 mm more",
        "1 mm more on the 3 mm in t.drum.length: 1 mm more",
    ]


def test_no_more_than_eight_are_shown(built: Any) -> None:
    lengths = "".join(f"barrel b{i} {{ diameter = 60 mm, length = {i + 5} mm }}\n" for i in range(11))
    found = said(built(f"stack s {{ stock = board\n {lengths} }}"), "s.overall")
    assert len(found) == 10
    assert found[-1] == "and 3 with less effect"


def test_a_default_moves_nothing_that_is_shown(built: Any) -> None:
    assert said(built(COWL.format(drum=38, end=92)), "cowl.stagger") == []


@pytest.mark.parametrize(
    ("number", "text"),
    [
        (0.5, "½"), (0.25, "¼"), (1.75, "1¾"), (1 / 3, "⅓"), (5 / 3, "1⅔"), (1.0, "1"), (12.0, "12"),
        (0.0245, "0.0245"), (2.184, "2.18"), (41.26, "41.3"), (0.499, "0.499"), (1234.4, "1234"), (1 - 1e-9, "1"),
    ],
)  # fmt: skip
def test_numbers_as_a_workshop_says_them(number: float, text: str) -> None:
    assert _number(number) == text


def test_a_point_off_the_plan_keeps_its_sign_and_its_scale(compiled: Any) -> None:
    """The printed sum gives the printed value: -36 mm * 120 % is -43.2 mm, and 34 mm * 120 % + 1.5 mm is 42.3 mm."""
    outcome = compiled(
        'model kite { title = "Kite", plan_scale = 120 % }\n'
        "load a { mass = 1 g, at = (@70 mm, 0 mm, @-36 mm) }\n"
        "load b { mass = 1 g, at = (0 mm, 0 mm, @34 mm + 1.5 mm) }\n"
        "load c { mass = 1 g, at = (0 mm, 0 mm, 5 mm / 2 - @-36 mm) }\n"
    )
    sums = {
        one.name: (one.value, *one.rows) for one in sums_of(outcome.design, outcome.compiled.project.sources)
    }
    assert sums["a.z"] == ("-43.2 mm", "@-36 mm", "-36 mm * 120 %")
    assert sums["b.z"] == ("42.3 mm", "@34 mm + 1.5 mm", "34 mm * 120 % + 1.5 mm")
    assert sums["c.z"] == ("45.7 mm", "5 mm / 2 - @-36 mm", "5 mm / 2 - (-36 mm * 120 %)")
    assert said(outcome, "a.z") == ["what moves it:", "1 mm more on the @-36 mm in a.z: 1.2 mm more"]
