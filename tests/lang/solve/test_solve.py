"""Solving: the sums a builder would do by hand, in whichever direction, in any order of statements."""

import math
import random
from itertools import pairwise
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from ringwright.geometry.errors import GeometryError
from ringwright.lang.solve.algebra import add, apply, divide, evaluate, multiply, subtract
from ringwright.lang.solve.solve import solve
from ringwright.lang.solve.terms import Constant, Equation, Forward, Origin, Stated, System, Term, Unknown


def shuffled(system: System, seed: int) -> System:
    order = random.Random(seed)
    return System(*(tuple(order.sample(part, len(part))) for part in system))


def test_the_first_spec_has_exactly_one_design(new_draft: Any) -> None:
    draft = new_draft()
    draft.cowl()
    solution = solve(draft.system())
    assert solution.faults == ()
    degrees = {n: math.degrees(v) for n, v in solution.values.items() if n.endswith("half_angle")}
    assert degrees["cowl.mid.half_angle"] == pytest.approx(12.656, abs=5e-4)
    assert degrees["cowl.lip.half_angle"] == pytest.approx(25.312, abs=5e-4)
    assert solution.values["cowl.mid.length"] == pytest.approx(35.627, abs=5e-4)
    assert solution.values["cowl.lip.length"] == pytest.approx(25.373, abs=5e-4)
    assert "cowl.share" not in solution.values


def test_lengths_left_out_are_shared(new_draft: Any) -> None:
    draft = new_draft()
    draft.cowl(tied=False)
    solution = solve(draft.system())
    assert solution.faults == ()
    assert solution.values["cowl.mid.length"] == solution.values["cowl.lip.length"] == pytest.approx(30.5)
    assert solution.values["cowl.mid.half_angle"] == pytest.approx(math.atan(8 / 30.5))


def lengths(draft: Any, names: str, overall: float) -> list[Unknown]:
    parts = [draft.unknown(f"s.{name}.length") for name in names]
    draft.state(total := draft.unknown("s.overall"), overall)
    draft.equate(total, add(*parts))
    return parts


def test_a_typed_share_is_hard_and_others_follow_it(new_draft: Any) -> None:
    draft = new_draft()
    a, b = lengths(draft, "ab", 90.0)
    draft.share(a, "s.share", 2.0, typed=True)
    draft.share(b, "s.share")
    values = solve(draft.system()).values
    assert (values["s.a.length"], values["s.b.length"]) == pytest.approx((60.0, 30.0))


def test_a_share_yields_to_what_is_stated(new_draft: Any) -> None:
    draft = new_draft()
    a, b, c = lengths(draft, "abc", 90.0)
    for part in (a, b, c):
        draft.share(part, "s.share")
    draft.state(b, 50.0)
    values = solve(draft.system()).values
    assert (values["s.a.length"], values["s.c.length"]) == pytest.approx((20.0, 20.0))


def test_a_share_yields_to_what_is_given(new_draft: Any) -> None:
    draft = new_draft()
    a, b = lengths(draft, "ab", 90.0)
    draft.share(a, "s.share")
    draft.share(b, "s.share")
    draft.equate(a, add(b, Constant(10.0)), "given")
    values = solve(draft.system()).values
    assert (values["s.a.length"], values["s.b.length"]) == pytest.approx((50.0, 40.0))


def test_shares_that_do_not_all_fit_all_yield(new_draft: Any) -> None:
    draft = new_draft()
    a, b, c = lengths(draft, "abc", 90.0)
    for part in (a, b, c):
        draft.share(part, "s.share")
    twice = [draft.unknown(f"twice.{i}") for i in range(2)]
    draft.equate(twice[0], multiply(Constant(2.0), a))
    draft.equate(twice[1], multiply(Constant(2.0), b))
    draft.equate(twice[0], add(twice[1], Constant(3.0)), "given")
    (fault,) = solve(draft.system()).faults
    assert (fault.code, fault.missing) == ("under-determined", 1)


def test_a_default_yields_to_everything_else(new_draft: Any) -> None:
    draft = new_draft()
    x, y = draft.unknown("x"), draft.unknown("y")
    draft.default(x, 15.0)
    draft.default(y, 4.0)
    draft.equate(add(x, Constant(1.0)), Constant(21.0), "given")
    solution = solve(draft.system())
    assert solution.faults == ()
    assert (solution.values["x"], solution.values["y"]) == (20.0, 4.0)
    assert solution.because["y"].provenance == "default"


def test_statements_that_say_the_same_twice_agree(new_draft: Any) -> None:
    draft = new_draft()
    a, b = lengths(draft, "ab", 90.0)
    draft.state(a, 40.0)
    draft.state(b, 50.009)
    assert solve(draft.system()).faults == ()


def test_agreement_within_what_was_measured(new_draft: Any) -> None:
    for spread, faults in ((0.5, 0), (0.1, 1), (None, 1)):
        draft = new_draft()
        x, y = draft.unknown("x"), draft.unknown("y")
        draft.state(x, 40.0, spread)
        draft.equate(y, multiply(Constant(2.0), x))
        draft.state(y, 80.7)
        assert len(solve(draft.system()).faults) == faults, spread


def test_a_rule_that_repeats_others_does_not_hide_a_free_length(new_draft: Any) -> None:
    draft = new_draft()
    a, b = lengths(draft, "ab", 90.0)
    places = [draft.anywhere(f"x{i}") for i in range(3)]
    draft.state(places[0], 0.0)
    draft.equate(places[1], add(places[0], a))
    draft.equate(places[2], add(places[1], b))
    draft.equate(places[2], Unknown("s.overall"))
    (fault,) = solve(draft.system()).faults
    assert fault.code == "under-determined"
    for part in (a, b):
        draft.share(part, "s.share")
    solution = solve(draft.system())
    assert solution.faults == ()
    assert solution.values["s.a.length"] == pytest.approx(45.0)


def test_a_way_back_that_leaves_the_range_is_no_solution(new_draft: Any) -> None:
    draft = new_draft()
    x, y = draft.anywhere("x"), draft.anywhere("y")
    draft.equate(add(y, Constant(2.0)), apply("acos", x), "given")
    draft.equate(subtract(y, multiply(x, x)), Constant(2.0), "given")
    (fault,) = solve(draft.system()).faults
    assert fault.code == "no-solution"


def test_a_product_said_twice_leaves_one_free(new_draft: Any) -> None:
    draft = new_draft()
    x, y = draft.unknown("x"), draft.unknown("y")
    draft.equate(multiply(x, y), Constant(12.0), "given")
    draft.equate(multiply(multiply(Constant(2.0), x), y), Constant(24.0), "given")
    (fault,) = solve(draft.system()).faults
    assert (fault.code, fault.missing) == ("under-determined", 1)


def test_a_shape_is_measured_forward(new_draft: Any) -> None:
    draft = new_draft()
    d, w, half = draft.unknown("d"), draft.unknown("w"), draft.unknown("half")
    draft.equate(w, Forward("width of F2", ("d",), lambda values: values["d"] ** 2))
    draft.equate(half, divide(w, Constant(2.0)))
    draft.state(d, 3.0, 0.1)
    solution = solve(draft.system())
    assert solution.values["half"] == pytest.approx(4.5)
    rss, worst = solution.plus_minus("half") or (0.0, 0.0)
    assert rss == worst == pytest.approx(0.3, rel=1e-6)


def test_what_the_geometry_refuses_keeps_its_code(new_draft: Any) -> None:
    def refuse(values: Any) -> float:
        raise GeometryError("self-crossing", "the outline of F2 crosses itself")

    draft = new_draft()
    draft.state(d := draft.unknown("d"), 3.0)
    draft.equate(draft.unknown("w"), Forward("width of F2", ("d",), refuse))
    draft.equate(draft.unknown("v"), add(d, Constant(1.0)))
    solution = solve(draft.system())
    (fault,) = solution.faults
    assert (fault.code, fault.detail) == ("self-crossing", "the outline of F2 crosses itself")
    assert solution.values == {"d": 3.0, "v": 4.0}


DIRECTIONS = ("length", "angle", "start", "end")


@given(
    length=st.floats(5, 200),
    start=st.floats(60, 200),
    drop=st.floats(1, 50),
    wanted=st.sampled_from(DIRECTIONS),
    seed=st.integers(0, 99),
)
def test_a_cone_is_solved_in_every_direction(
    new_draft: Any, length: float, start: float, drop: float, wanted: str, seed: int
) -> None:
    planted = {
        "length": length,
        "angle": math.atan(drop / 2 / length),
        "start": start,
        "end": start - drop,
    }
    draft = new_draft()
    unknowns = {n: draft.angle(n) if n == "angle" else draft.unknown(n) for n in DIRECTIONS}
    draft.equate(
        multiply(unknowns["length"], apply("tan", unknowns["angle"])),
        divide(subtract(unknowns["start"], unknowns["end"]), Constant(2.0)),
    )
    for name, unknown in unknowns.items():
        if name != wanted:
            draft.state(unknown, planted[name])
    solution = solve(shuffled(draft.system(), seed))
    assert solution.faults == ()
    assert solution.values[wanted] == pytest.approx(planted[wanted], abs=1e-6)


@st.composite
def planted_systems(draw: st.DrawFn) -> tuple[dict[str, float], list[tuple[Term, Term]]]:
    """Return values and equations that they satisfy: each unknown tied to earlier ones by an operation."""
    values = {"v00": draw(st.floats(1, 100))}
    equations: list[tuple[Term, Term]] = [(Unknown("v00"), Stated(values["v00"], None, None, False))]
    for i in range(1, draw(st.integers(1, 20))):
        name = f"v{i:02}"
        known = sorted(values)
        a, b = draw(st.sampled_from(known)), draw(st.sampled_from(known))
        value = draw(st.floats(1, 100))
        values[name] = value
        x, left, right = Unknown(name), Unknown(a), Unknown(b)
        shape = draw(st.integers(0, 4))
        if shape == 0:
            equations.append((add(x, left), Constant(value + values[a])))
        elif shape == 1:
            equations.append((multiply(x, left), Constant(value * values[a])))
        elif shape == 2:
            equations.append((Constant(values[a] - value - values[b]), subtract(subtract(left, x), right)))
        elif shape == 3:
            equations.append((apply("hypot", x, left), Constant(math.hypot(value, values[a]))))
        else:
            equations.append((divide(left, x), Constant(values[a] / value)))
    return values, equations


def as_system(names: list[str], equations: list[tuple[Term, Term]], draft: Any) -> System:
    for name in names:
        draft.unknown(name)
    for left, right in equations:
        draft.equate(left, right, "given")
    system: System = draft.system()
    return system


@given(planted_systems(), st.integers(0, 10**6))
def test_planted_values_are_found_in_any_order(
    new_draft: Any, planted: tuple[dict[str, float], list[tuple[Term, Term]]], seed: int
) -> None:
    values, equations = planted
    system = as_system(sorted(values), equations, new_draft())
    solution, again = solve(system), solve(shuffled(system, seed))
    assert solution.faults == ()
    assert solution.values == pytest.approx(values, rel=1e-6, abs=1e-6)
    assert again.values == solution.values
    assert again.because == solution.because


@given(planted_systems(), st.data())
def test_an_equation_taken_out_is_missed(
    new_draft: Any, planted: tuple[dict[str, float], list[tuple[Term, Term]]], data: st.DataObject
) -> None:
    values, equations = planted
    gone = data.draw(st.integers(0, len(equations) - 1))
    left = equations[:gone] + equations[gone + 1 :]
    solution = solve(as_system(sorted(values), left, new_draft()))
    (fault,) = solution.faults
    assert (fault.code, fault.missing) == ("under-determined", 1)
    assert f"v{gone:02}" in [quantity.name for quantity in fault.quantities]
    for name, value in solution.values.items():
        assert value == pytest.approx(values[name], rel=1e-6, abs=1e-6)


@given(planted_systems(), st.data())
def test_a_contradiction_is_named_with_its_size(
    new_draft: Any, planted: tuple[dict[str, float], list[tuple[Term, Term]]], data: st.DataObject
) -> None:
    values, equations = planted
    name = data.draw(st.sampled_from(sorted(values)))
    draft = new_draft()
    as_system(sorted(values), equations, draft)
    span = draft.equate(Unknown(name), Constant(values[name] + 4.0), "given")
    (fault,) = solve(draft.system()).faults
    assert fault.code == "over-determined"
    assert span in [equation.origin.span for equation in fault.equations]
    if fault.quantities and fault.quantities[0].name == name:
        assert abs(fault.values[0] - fault.values[1]) == pytest.approx(4.0, abs=1e-5)


@given(st.integers(2, 40), st.integers(0, 10**6), st.integers(0, 10**6))
def test_linear_blocks_agree_with_numpy(new_draft: Any, size: int, seed: int, order: int) -> None:
    numbers = np.random.default_rng(seed)
    matrix = numbers.uniform(-1, 1, (size, size)) + np.diag(numbers.choice([-3.0, 3.0], size) * size)
    side = numbers.uniform(-100, 100, size)
    draft = new_draft()
    unknowns = [draft.anywhere(f"u{i:02}") for i in range(size)]
    for line, value in zip(matrix, side, strict=True):
        terms = [multiply(Constant(float(c)), u) for c, u in zip(line, unknowns, strict=True)]
        draft.equate(add(*terms), Constant(float(value)), "given")
    solution = solve(shuffled(draft.system(), order))
    expected = np.linalg.solve(matrix, side)
    assert [solution.values[u.name] for u in unknowns] == pytest.approx(expected.tolist(), rel=1e-9, abs=1e-9)


def tangled(draft: Any, order: random.Random) -> dict[str, float]:
    """Write as many random equations as unknowns, all true of the values returned."""
    values: dict[str, float] = {}
    for i in range(order.choice([2, 3, 4])):
        name = f"v{i}"
        if order.random() < 0.3:
            values[name] = order.uniform(0.05, 1.4)
            draft.angle(name)
        else:
            values[name] = order.uniform(1, 150)
            draft.unknown(name, low=0.001, high=1e5, start=10.0)

    def part(name: str) -> Term:
        return apply("tan", Unknown(name)) if values[name] < 1.5 and order.random() < 0.7 else Unknown(name)

    for _ in values:
        a, b = (part(name) for name in order.sample(sorted(values), 2))
        sides = [
            add(a, b),
            subtract(a, b),
            multiply(a, b),
            divide(a, b),
            apply("hypot", a, b),
            multiply(a, add(a, b)),
        ]
        side = order.choice(sides)
        draft.equate(side, Constant(evaluate(side, values)), "given")
    return values


@pytest.mark.parametrize("seed", range(120))
def test_tangled_equations_give_their_design_or_show_all(new_draft: Any, seed: int) -> None:
    draft = new_draft()
    planted = tangled(draft, random.Random(seed))
    solution = solve(draft.system())
    for fault in solution.faults:
        assert fault.code in ("two-solutions", "under-determined")
        if fault.code == "two-solutions":
            assert any(
                value == pytest.approx(planted[fault.quantities[0].name], rel=1e-6) for value in fault.values
            )
    if not solution.faults:
        assert solution.values == pytest.approx(planted, rel=1e-5)


def test_derivatives_are_those_of_a_second_solve(new_draft: Any) -> None:
    def solved(diameter: float) -> Any:
        draft = new_draft()
        draft.cowl()
        equations = [
            equation._replace(right=equation.right._replace(value=diameter))
            if equation.left == Unknown("cowl.drum.diameter") and isinstance(equation.right, Stated)
            else equation
            for equation in draft.equations
        ]
        return solve(draft.system()._replace(equations=tuple(equations)))

    base, above, below = solved(132.0), solved(132.001), solved(131.999)
    for name in ("cowl.mid.length", "cowl.lip.half_angle", "cowl.lip.length"):
        by_diameter = [w for leaf, w in base.gradient(name).items() if leaf.value == 132.0]
        slope = (above.values[name] - below.values[name]) / 0.002
        assert by_diameter == [pytest.approx(slope, rel=1e-5)]
        rss, worst = base.plus_minus(name)
        assert rss == worst == pytest.approx(abs(slope) * 0.5, rel=1e-5)


def test_spreads_add_by_squares_and_at_worst(new_draft: Any) -> None:
    draft = new_draft()
    a, b = lengths(draft, "ab", 90.0)
    draft.equations.clear()
    draft.state(a, 30.0, 0.3)
    draft.state(b, 40.0, 0.4)
    draft.equate(Unknown("s.overall"), add(a, b))
    solution = solve(draft.system())
    assert solution.plus_minus("s.overall") == pytest.approx((0.5, 0.7))
    assert solution.plus_minus("s.a.length") == pytest.approx((0.3, 0.3))


def test_errors_do_not_hide_each_other(new_draft: Any) -> None:
    draft = new_draft()
    draft.cowl("sound")
    draft.cowl("short", tied=False)
    draft.cowl("twice")
    draft.equations = [
        e for e in draft.equations if e.left != Unknown("short.mid.end") or e.origin.kind != "stated"
    ]
    draft.state(Unknown("twice.overall"), 108.0)
    solution = solve(draft.system())
    assert sorted(fault.code for fault in solution.faults) == ["over-determined", "under-determined"]
    assert solution.values["sound.lip.length"] == pytest.approx(25.373, abs=5e-4)
    assert "twice.lip.length" not in solution.values
    assert "short.mid.half_angle" not in solution.values
    assert "short.drum.length" in solution.values


def test_what_hangs_on_a_contradiction_is_left_out_without_further_faults(new_draft: Any) -> None:
    draft = new_draft()
    x, y, z, below = (draft.unknown(name) for name in ("x", "y", "z", "below"))
    draft.state(x, 10.0, 0.1)
    draft.equate(y, add(x, Constant(1.0)))
    draft.equate(z, multiply(Constant(2.0), y))
    draft.equate(below, subtract(y, Constant(100.0)))
    draft.equate(y, Constant(15.0), "given")
    draft.equate(z, Constant(50.0), "given")
    solution = solve(draft.system())
    (fault,) = solution.faults
    assert (fault.code, fault.values) == ("over-determined", (11.0, 15.0))
    assert solution.values == {"x": 10.0, "z": 50.0}


@given(st.integers(0, 10**6))
def test_faults_are_the_same_in_any_order(new_draft: Any, seed: int) -> None:
    draft = new_draft()
    draft.cowl("short", tied=False)
    draft.cowl("twice")
    draft.equations = [
        e for e in draft.equations if e.left != Unknown("short.mid.end") or e.origin.kind != "stated"
    ]
    draft.state(Unknown("twice.overall"), 108.0)
    draft.state(Unknown("twice.lip.end"), -3.0)
    assert solve(shuffled(draft.system(), seed)).faults == solve(draft.system()).faults


def test_derivatives_of_a_large_block_come_in_one_go(new_draft: Any) -> None:
    draft = new_draft()
    count = 60
    unknowns = [draft.anywhere(f"u{i:02}") for i in range(count)]
    for i, unknown in enumerate(unknowns):
        span = draft.span()
        others = add(*(other for other in unknowns if other != unknown))
        draft.equate(
            add(multiply(Constant(2.0 * count), unknown), others), Stated(float(i), 1.0, span, True), "given"
        )
    solution = solve(draft.system())
    # The inverse of (2n - 1) I + J is (I - J / (3n - 1)) / (2n - 1) (Sherman and Morrison).
    own = (1 - 1 / (3 * count - 1)) / (2 * count - 1)
    cross = -1 / (3 * count - 1) / (2 * count - 1)
    found = sorted(solution.gradient("u07").values())
    assert found == pytest.approx([cross] * (count - 1) + [own], rel=1e-9)


def test_a_block_of_a_thousand_is_the_most(new_draft: Any) -> None:
    draft = new_draft()
    ring = [draft.anywhere(f"r{i:04}") for i in range(1001)]
    for before, after in zip(ring, ring[1:] + ring[:1], strict=True):
        draft.equate(add(before, after), Constant(2.0), "given")
    (fault,) = solve(draft.system()).faults
    assert fault.code == "too-many-tied"


def test_long_chains_and_deep_sums_need_no_recursion(new_draft: Any) -> None:
    draft = new_draft()
    chain = [draft.unknown(f"a{i}") for i in range(10_000)]
    for before, after in reversed(list(pairwise(chain))):
        draft.equate(after, add(before, Constant(1.0)), "stated")
    draft.state(chain[0], 1.0, 0.5)
    deep: Term = chain[1]
    for _ in range(3000):
        deep = apply("-", deep, apply("neg", chain[0]))
    draft.equate(draft.unknown("deep"), deep)
    draft.equate(draft.unknown("squared"), multiply(deep, deep))
    solution = solve(draft.system())
    assert solution.faults == ()
    assert solution.values["a9999"] == 10_000.0
    assert solution.values["deep"] == 3002.0
    assert solution.values["squared"] == 3002.0**2
    assert solution.plus_minus("a9999") == (0.5, 0.5)


def test_many_stacks_are_solved(new_draft: Any) -> None:
    draft = new_draft()
    for i in range(800):
        draft.cowl(f"c{i}", tied=i % 10 == 0)
    assert solve(draft.system()).faults == ()


def test_no_value_is_minus_nought(new_draft: Any) -> None:
    draft = new_draft()
    x = draft.anywhere("x")
    draft.equations.append(Equation(x, Constant(0.0), "length", Origin("given", "given", draft.span())))
    assert math.copysign(1.0, solve(draft.system()).values["x"]) == 1.0
