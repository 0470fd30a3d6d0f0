"""`why`: the sum, its numbers, and where each of them stands."""

import math
from itertools import pairwise
from typing import Any

from ringwright.lang.design.why import why
from ringwright.lang.solve.algebra import add, multiply
from ringwright.lang.solve.solve import solve
from ringwright.lang.solve.terms import Constant, Equation, Origin, Stated, Unknown
from ringwright.lang.source import Source, Span


def display(name: str, value: float) -> str:
    if name.endswith("half_angle"):
        return f"{math.degrees(value):.4g}°"
    return f"{value:.4g} mm"


def text_source(length: int = 2000) -> Source:
    lines = [f"# line {i:03}".ljust(39) for i in range(length // 40)]
    text = "\n".join(lines) + "\n"
    return Source("plan.wright", text, tuple(range(0, len(text), 40)))


SOURCES = {"plan.wright": text_source()}


def test_a_shared_length_is_a_sum_without_its_pool(new_draft: Any) -> None:
    draft = new_draft()
    draft.cowl(tied=False)
    lines = why(solve(draft.system()), "cowl.mid.length", SOURCES, display).splitlines()
    assert lines[:4] == [
        "cowl.mid.length = 30.5 mm",
        "  = (cowl.overall - cowl.back.length - cowl.drum.length) / 2",
        "  = (104 - 5 - 38) / 2 mm",
        "  the lengths of a stack add up to its overall; lengths left out are shared equally",
    ]
    assert lines[4].split()[:4] == ["cowl.overall", "104", "mm", "derived:"]
    assert lines[6].split()[:5] == ["cowl.drum.length", "38", "mm", "measured", "plan.wright:2:31"]
    assert len(lines) == 7


def test_a_nonlinear_tie_is_rearranged(new_draft: Any) -> None:
    draft = new_draft()
    draft.cowl(tied=False)
    lines = why(solve(draft.system()), "cowl.lip.half_angle", SOURCES, display).splitlines()
    assert lines[0] == "cowl.lip.half_angle = 21.48°"
    assert lines[1] == "  = atan(abs(cowl.mid.end - cowl.lip.end) / 2 / cowl.lip.length)"
    assert lines[2] == "  = atan(abs(116 mm - 92 mm) / 2 / 30.5 mm)"


def test_what_is_solved_together_is_shown_together(new_draft: Any) -> None:
    draft = new_draft()
    draft.cowl()
    shown = why(solve(draft.system()), "cowl.mid.length", SOURCES, display)
    assert "cowl.mid.length = 35.63 mm ± 0.4906 mm" in shown
    assert "found together with cowl.lip.half_angle, cowl.lip.length, cowl.mid.half_angle:" in shown
    assert "cowl.lip.half_angle == 2 * cowl.mid.half_angle" in shown


def test_a_measured_value_shows_its_line(new_draft: Any) -> None:
    draft = new_draft()
    draft.state(draft.unknown("drum"), 38.0, 0.5)
    shown = why(solve(draft.system()), "drum", SOURCES, display)
    assert shown == "drum = 38 mm ± 0.5 mm\n  measured  plan.wright:1:11  # line 000\n"


def test_a_default_says_so(new_draft: Any) -> None:
    draft = new_draft()
    draft.default(draft.unknown("gap"), 4.0)
    assert why(solve(draft.system()), "gap", {}, display) == "gap = 4 mm\n  default\n"


def test_a_tree_tells_each_dimension_once(new_draft: Any) -> None:
    draft = new_draft()
    draft.cowl(tied=False)
    solution = solve(draft.system())
    shown = why(solution, "cowl.lip.half_angle", SOURCES, display, tree=True)
    heads = [
        line.split(" = ")[0].strip()
        for line in shown.splitlines()
        if " = " in line and line.strip()[0] != "="
    ]
    assert len(heads) == len(set(heads))
    assert {"cowl.lip.half_angle", "cowl.lip.length", "cowl.overall", "cowl.from", "cowl.to"} <= set(heads)


def test_a_stated_number_in_a_sum_is_quoted(new_draft: Any) -> None:
    text = "length = 2 * drum + 3 mm\n"
    sources = {"a.wright": Source("a.wright", text, (0, len(text)))}
    draft = new_draft()
    drum = draft.unknown("drum")
    draft.default(drum, 10.0)
    length = draft.unknown("length")
    stated = Stated(3.0, None, Span("a.wright", 20, 24), False)
    origin = Origin("stated", "length", Span("a.wright", 9, 24))
    term = add(multiply(Constant(2.0), drum), stated)
    draft.equations.append(Equation(Unknown("length"), term, "length", origin))
    shown = why(solve(draft.system()), length.name, sources, display).splitlines()
    assert shown[1:3] == ["  = 2 * drum + 3 mm", "  = 2 * 10 mm + 3 mm"]
    assert shown[-1].split() == ["3", "mm", "stated", "a.wright:1:21", *text.split()]


def test_a_long_chain_is_told_without_recursion(new_draft: Any) -> None:
    draft = new_draft()
    chain = [draft.unknown(f"a{i}") for i in range(3000)]
    draft.state(chain[0], 1.0)
    for before, after in pairwise(chain):
        draft.equate(after, add(before, Constant(1.0)))
    shown = why(solve(draft.system()), "a2999", SOURCES, display, tree=True)
    assert shown.count("measured") == 2
