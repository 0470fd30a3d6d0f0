"""Solving in any direction, as a builder meets it: whole specs in, a design or the right complaint out.

A stack of a barrel and two cones has six dimensions of its own. From a design that is known, some of its
dimensions are written into a spec and the rest left out: what comes back must be that design, or a complaint
that is true of it.
"""

import math
from collections.abc import Mapping, Sequence
from typing import Any, NamedTuple

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

WALL = 4.8
ANGLES = ("half_angle",)
NEAR = 1e-4
"""mm and rad: numbers go through their text, and a slim cone turns a hair into a whisker."""


def dimensions(core: Sequence[float]) -> dict[str, float]:
    """All dimensions of the design, in mm and rad, that follow from diameters and lengths of its elements."""
    drum, drum_length, mid_end, mid_length, lip_end, lip_length = core
    found = {
        "drum.diameter": drum,
        "drum.length": drum_length,
        "drum.start_inside": drum - 2 * WALL,
        "overall": drum_length + mid_length + lip_length,
    }
    for name, start, end, length in (
        ("mid", drum, mid_end, mid_length),
        ("lip", mid_end, lip_end, lip_length),
    ):
        angle = math.atan(abs(start - end) / 2 / length)
        found |= {
            f"{name}.start": start,
            f"{name}.end": end,
            f"{name}.length": length,
            f"{name}.half_angle": angle,
            f"{name}.slant": math.hypot(length, (start - end) / 2),
            f"{name}.start_inside": start - 2 * WALL / math.cos(angle),
            f"{name}.end_inside": end - 2 * WALL / math.cos(angle),
        }
    return found


NAMES = tuple(dimensions((132, 38, 116, 30, 92, 30)))


def independent(core: Sequence[float], order: Sequence[str]) -> list[str]:
    """The first six dimensions in an order none of which follows, near this design, from those before it."""
    columns = []
    for i in range(6):
        moved = [dimensions([c + (h if j == i else 0) for j, c in enumerate(core)]) for h in (1e-5, -1e-5)]
        columns.append([(moved[0][name] - moved[1][name]) / 2e-5 for name in NAMES])
    by_name = dict(zip(NAMES, np.array(columns).T, strict=True))
    chosen: list[str] = []
    for name in order:
        rows = np.array([by_name[other] for other in (*chosen, name)])
        if len(chosen) < 6 and np.linalg.svd(rows, compute_uv=False)[-1] > 0.01:
            chosen.append(name)
    return chosen


class Plan(NamedTuple):
    """A design, six dimensions that settle it as they were drawn, which way its cones go."""

    truth: Mapping[str, float]
    chosen: tuple[str, ...]
    tapers: Mapping[str, str]


@st.composite
def plans(draw: st.DrawFn) -> Plan:
    ways = [draw(st.sampled_from([-1, 1])) for _ in range(2)]
    drum = draw(st.floats(90, 140))
    mid = drum + ways[0] * draw(st.floats(6, 30))
    lip = mid + ways[1] * draw(st.floats(6, 30))
    lengths = [draw(st.floats(20, 60)) for _ in range(3)]
    core = [round(c, 3) for c in (drum, lengths[0], mid, lengths[1], lip, lengths[2])]
    chosen = independent(core, draw(st.permutations(NAMES)))
    assume(len(chosen) == 6)
    tapers = {
        name: "narrows" if way < 0 else "widens" for name, way in zip(("mid", "lip"), ways, strict=True)
    }
    return Plan(dimensions(core), tuple(chosen), tapers if draw(st.booleans()) else {})


def written(name: str, value: float) -> str:
    return f"{math.degrees(value)!r} deg" if name.endswith(ANGLES) else f"{value!r} mm"


def spec(statements: Mapping[str, float], tapers: Mapping[str, str], more: Sequence[str] = ()) -> str:
    """The stack with these of its dimensions stated, one to a line."""
    own: dict[str, list[str]] = {"": [], "drum": [], "mid": [], "lip": []}
    for name, value in statements.items():
        element, _, property = name.rpartition(".")
        own[element].append(f"        {property} = {written(name, value)}")
    for element, way in tapers.items():
        own[element].append(f"        taper = {way}")
    lines = ["stack s {", "    stock = board", *own[""]]
    for element in ("drum", "mid", "lip"):
        lines += [f"    {'barrel' if element == 'drum' else 'cone'} {element} {{", *own[element], "    }"]
    return "\n".join((*lines, "}", *more)) + "\n"


def same_design(outcome: Any, truth: Mapping[str, float]) -> bool:
    return all(outcome.value(f"s.{name}") == pytest.approx(value, abs=NEAR) for name, value in truth.items())


def designs(judged: Any, statements: Mapping[str, float], tapers: Mapping[str, str], *pins: str) -> list[Any]:
    """All designs that the compiler knows; where it asks which of two is meant, each in turn."""
    outcome = judged(spec(statements, tapers, pins))
    if not outcome.errors:
        return [outcome]
    if set(outcome.errors) != {"two-solutions"}:
        return []
    fault = outcome.design.solution.faults[0]
    name = fault.quantities[0].name
    assert len(fault.values) > 1
    assert f"{name} could be " in "".join(outcome.said)
    assert len(pins) < 4, outcome.said
    found = []
    for value in fault.values:
        found += designs(judged, statements, tapers, *pins, f"given {name} == {written(name, value)}")
    return found


def keeps(outcome: Any, statements: Mapping[str, float]) -> bool:
    """Whether a design is as it was said to be, as nearly as two statements must agree."""
    return all(
        outcome.value(f"s.{name}") == pytest.approx(value, abs=0.011) for name, value in statements.items()
    )


@given(plan=plans())
def test_any_sufficient_set_gives_the_design(judged: Any, plan: Plan) -> None:
    statements = {name: plan.truth[name] for name in plan.chosen}
    found = designs(judged, statements, plan.tapers)
    assert any(same_design(outcome, plan.truth) for outcome in found)
    for outcome in found:
        assert keeps(outcome, statements)
    for i, one in enumerate(found):
        for other in found[:i]:
            assert any(abs(one.value(f"s.{name}") - other.value(f"s.{name}")) > NEAR for name in NAMES)


@given(plan=plans(), data=st.data())
def test_one_too_few_names_what_settles_it(judged: Any, plan: Plan, data: st.DataObject) -> None:
    left_out = data.draw(st.sampled_from(plan.chosen))
    statements = {name: plan.truth[name] for name in plan.chosen if name != left_out}
    outcome = judged(spec(statements, plan.tapers))
    open_faults = [f for f in outcome.design.solution.faults if f.code == "under-determined"]
    if not open_faults:
        # Lengths that nobody mentions are shared: two of them or more were left out.
        shared = [
            f"{element}.length" for element in ("drum", "mid", "lip") if f"{element}.length" not in statements
        ]
        assert len(shared) > 1
        return
    (fault,) = open_faults
    assert fault.missing == 1
    message = outcome.the("under-determined").message
    assert message.startswith("one "), message
    assert f"s.{left_out}" in {quantity.name for quantity in fault.quantities}
    for quantity in fault.quantities:
        name = quantity.name.removeprefix("s.")
        if quantity.hint and name in plan.truth:
            settled = judged(spec({**statements, name: plan.truth[name]}, plan.tapers))
            assert "under-determined" not in settled.errors, settled.said


@given(plan=plans(), data=st.data())
def test_one_too_many_that_agrees_is_welcome(judged: Any, plan: Plan, data: st.DataObject) -> None:
    more = data.draw(st.sampled_from([name for name in NAMES if name not in plan.chosen]))
    statements = {name: plan.truth[name] for name in (*plan.chosen, more)}
    outcome = judged(spec(statements, plan.tapers))
    assert set(outcome.errors) <= {"two-solutions"}, outcome.said
    assert outcome.errors or same_design(outcome, plan.truth)


@given(plan=plans(), data=st.data())
def test_one_too_many_that_does_not_agree_is_shown(judged: Any, plan: Plan, data: st.DataObject) -> None:
    more = data.draw(st.sampled_from([name for name in NAMES if name not in plan.chosen]))
    off = 0.05 if more.endswith(ANGLES) else 5.0
    statements = {name: plan.truth[name] for name in plan.chosen} | {more: plan.truth[more] + off}
    # It may fit another of the designs that the six leave open, but never the one that they were taken from.
    for outcome in designs(judged, statements, plan.tapers):
        assert keeps(outcome, statements)
    outcome = judged(spec(statements, plan.tapers))
    if "over-determined" in outcome.errors:
        finding = outcome.the("over-determined")
        blamed = {finding.span, *(label.span for label in finding.labels)}
        text = outcome.compiled.project.sources["main.wright"].text
        at = text.index(f"{more.rpartition('.')[2]} = {written(more, statements[more])}")
        assert any(span.start <= at < span.end for span in blamed if span), outcome.said


# -- unknowns that components share ---------------------------------------------------------------


def test_a_diameter_of_another_stack_is_found_backwards(built: Any) -> None:
    found = built("""
        stack s { stock = board
                  barrel drum { length = 38 mm }
                  cone lip { end = @92 mm, length = 30 mm, half_angle = 20 deg, taper = narrows } }
        stack t { stock = board
                  barrel drum { diameter = s.drum.diameter + 10 mm, length = 20 mm } }
    """)
    drum = 92 + 60 * math.tan(math.radians(20))
    assert found.value("s.drum.diameter") == pytest.approx(drum)
    assert found.value("t.drum.diameter") == pytest.approx(drum + 10)


def test_a_diameter_used_elsewhere_is_settled_from_there(built: Any) -> None:
    found = built("""
        stack s { stock = board
                  barrel drum { length = 38 mm } }
        stack t { stock = board
                  barrel drum { diameter = s.drum.diameter + 10 mm, length = 20 mm } }
        given t.drum.start_inside == 100 mm
    """)
    assert found.value("s.drum.diameter") == pytest.approx(100 + 2 * WALL - 10)


def test_one_stack_twice_as_long_as_another(built: Any) -> None:
    found = built("""
        stack a { stock = board
                  barrel drum { diameter = 132 mm }
                  cone lip { end = 92 mm, half_angle = 25 deg } }
        stack b { stock = board
                  overall = 40 mm
                  barrel drum { diameter = 60 mm } }
        given a.overall == 2 * b.overall
    """)
    lip = 20 / math.tan(math.radians(25))
    assert found.value("a.overall") == pytest.approx(80)
    assert found.value("a.drum.length") == pytest.approx(80 - lip)
    assert found.value("b.drum.length") == pytest.approx(40)


def test_stacks_that_lean_on_each_other_are_found_together(built: Any) -> None:
    found = built("""
        stack a { stock = board
                  barrel drum { diameter = 60 mm, length = 3 * b.drum.length - 20 mm } }
        stack b { stock = board
                  barrel drum { diameter = 50 mm, length = a.drum.length - 20 mm } }
    """)
    assert found.value("a.drum.length") == pytest.approx(40)
    assert found.value("b.drum.length") == pytest.approx(20)


@pytest.mark.parametrize(("way", "end"), [("narrows", -1), ("widens", 1)])
def test_taper_says_which_of_two_is_meant(judged: Any, way: str, end: int) -> None:
    text = "stack s { stock = board, cone lip { start = 132 mm, length = 30 mm, half_angle = 20 deg%s } }"
    asked = judged(text % "")
    apart = 60 * math.tan(math.radians(20))
    assert asked.errors == ["two-solutions"]
    assert f"{132 - apart:.3f} mm or {132 + apart:.3f} mm" in asked.the("two-solutions").message
    found = judged(text % f", taper = {way}")
    assert not found.errors
    assert found.value("s.lip.end") == pytest.approx(132 + end * apart)


def test_taper_against_its_diameters_is_impossible(judged: Any) -> None:
    found = judged(
        "stack s { stock = board, cone lip { start = 92 mm, end = 132 mm, length = 30 mm, taper = narrows } }"
    )
    finding = found.the("impossible-dimension")
    assert finding.message == "s.lip.half_angle would be -33.69°; it cannot be less than 0°"
    assert any("a cone that narrows" in label.text for label in finding.labels)


# -- faults that are known ------------------------------------------------------------------------


def test_one_length_too_few(judged: Any) -> None:
    found = judged("stack s { stock = board, barrel drum { diameter = 132 mm } }")
    finding = found.the("under-determined")
    assert finding.message == "one length too few in s: give drum.length or overall"
    assert found.errors == ["under-determined"]


def test_two_dimensions_too_few_in_one_stack_and_one_in_another(judged: Any) -> None:
    found = judged("""
        stack s { stock = board
                  barrel drum { length = 38 mm }
                  cone lip { length = 30 mm } }
        stack t { stock = board
                  barrel drum { length = 38 mm } }
    """)
    messages = sorted(f.message for f in found.findings if f.code == "under-determined")
    assert [message.split(":")[0] for message in messages] == [
        "one length too few in t.drum",
        "two dimensions too few in s",
    ]
    assert messages[0] == "one length too few in t.drum: give diameter"


def test_what_is_measured_outside_is_asked_for_first(judged: Any) -> None:
    found = judged("stack s { stock = board, cone lip { start = 132 mm, length = 30 mm } }")
    assert found.the("under-determined").message.endswith("give end, half_angle, slant or start_inside")


def test_one_too_many_says_by_how_much(judged: Any) -> None:
    found = judged("""
        stack s { stock = board
                  overall = 100 mm
                  barrel drum { diameter = 132 mm, length = 38 mm }
                  cone lip { end = 92 mm, length = 60 mm } }
    """)
    finding = found.the("over-determined")
    assert (
        finding.message == "these say different things about s.overall: 98 mm and 100 mm; they differ by 2 mm"
    )
    text = found.compiled.project.sources["main.wright"].text
    shown = {text[label.span.start : label.span.end] for label in finding.labels}
    assert {"overall = 100 mm", "length = 38 mm", "length = 60 mm"} <= shown


def test_a_circle_that_closes_only_by_chance(judged: Any) -> None:
    found = judged("""
        stack a { stock = board, barrel drum { diameter = b.drum.diameter + 2 mm, length = 38 mm } }
        stack b { stock = board, barrel drum { diameter = a.drum.diameter, length = 38 mm } }
    """)
    finding = found.the("over-determined")
    assert finding.message == "these statements cannot all hold: they differ by 2 mm"


LOOP = """
    stack a {{ stock = board, barrel drum {{ diameter = 60 mm, length = b.drum.length ^ 2 / (100 mm) }} }}
    stack b {{ stock = board, barrel drum {{ diameter = 60 mm, length = a.drum.length + {} mm }} }}
"""


def test_a_circle_without_a_solution(judged: Any) -> None:
    # b = b² / 100 + 30 has no root: 100² < 4 · 100 · 30.
    found = judged(LOOP.format(30))
    assert found.errors == ["no-solution"]
    assert "a.drum.length" in found.the("no-solution").message
    assert "b.drum.length" in found.the("no-solution").message


def test_a_circle_with_two_solutions(judged: Any) -> None:
    # b = b² / 100 + 16: b is 20 or 80, a is 4 or 64.
    found = judged(LOOP.format(16))
    assert found.errors == ["two-solutions"]
    assert found.the("two-solutions").message == "a.drum.length could be 4 mm or 64 mm: say which"
    settled = judged(LOOP.format(16) + "require b.drum.length > 50 mm\ngiven a.drum.length == 64 mm")
    assert not settled.errors
    assert settled.value("b.drum.length") == pytest.approx(80)


def test_a_given_is_quoted_where_it_does_not_fit(judged: Any) -> None:
    found = judged("""
        stack s { stock = board, barrel drum { diameter = 132 mm, length = 38 mm } }
        given s.drum.length  ==  (2 *      # twice
                                  20 mm)
    """)
    finding = found.the("over-determined")
    assert finding.message == (
        "these say different things about s.drum.length: 40 mm and 38 mm; they differ by 2 mm"
    )
    causes = {equation.origin.text for fault in found.design.solution.faults for equation in fault.equations}
    assert "given s.drum.length == (2 * 20 mm)" in causes
