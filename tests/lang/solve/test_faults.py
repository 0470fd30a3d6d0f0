"""Faults in the builder's words."""

import math
from typing import Any

import pytest
from ringwright.lang.diagnostics.diagnostic import Diagnostic
from ringwright.lang.solve.algebra import add, apply, divide, multiply, subtract
from ringwright.lang.solve.faults import diagnose
from ringwright.lang.solve.solve import solve
from ringwright.lang.solve.terms import Constant, Forward


def only(draft: Any) -> Diagnostic:
    (fault,) = solve(draft.system()).faults
    diagnostic = diagnose(fault)
    assert (diagnostic.code, diagnostic.severity) == (fault.code, "error")
    assert not diagnostic.message.endswith(".")
    return diagnostic


def test_one_length_too_few(new_draft: Any) -> None:
    draft = new_draft()
    mid, lip = draft.unknown("cowl.mid.length"), draft.unknown("cowl.lip.length")
    draft.state(overall := draft.unknown("cowl.overall"), 104.0)
    draft.equate(overall, add(mid, lip))
    found = only(draft)
    assert found.code == "under-determined"
    assert found.message == "one length too few in cowl: give lip.length or mid.length"
    assert found.help == "writing 'length' in cowl.lip would settle it"


def test_two_too_few_of_three(new_draft: Any) -> None:
    draft = new_draft()
    parts = [draft.unknown(f"cowl.{name}.length") for name in "abc"]
    draft.state(overall := draft.unknown("cowl.overall"), 104.0)
    draft.equate(overall, add(*parts))
    assert only(draft).message == "two lengths too few in cowl: give two of a.length, b.length and c.length"


def test_what_nobody_can_write_is_not_asked_for(new_draft: Any) -> None:
    draft = new_draft()
    length = draft.unknown("s.a.length")
    place = draft.anywhere("s.a.x_end")
    draft.quantities[-1] = draft.quantities[-1]._replace(hint="")
    draft.equate(place, add(length, Constant(3.0)))
    assert only(draft).message == "one length too few in s.a: give length"


def test_said_twice_differently(new_draft: Any) -> None:
    draft = new_draft()
    overall = draft.unknown("cowl.overall")
    first, second = draft.state(overall, 104.0), draft.state(overall, 108.0)
    found = only(draft)
    assert found.message == (
        "these say different things about cowl.overall: 108 mm and 104 mm; they differ by 4 mm"
    )
    assert found.span == second
    assert [(label.span, label.text) for label in found.labels] == [
        (second, "108 mm here"),
        (first, "104 mm here"),
    ]


def test_a_sum_that_does_not_add_up_shows_every_statement(new_draft: Any) -> None:
    draft = new_draft()
    a, b, overall = (draft.unknown(f"s.{name}") for name in ("a.length", "b.length", "overall"))
    places = [draft.state(unknown, value) for unknown, value in ((a, 50.0), (b, 58.0), (overall, 104.0))]
    draft.equate(overall, add(a, b), text="the lengths of a stack add up to its overall")
    found = only(draft)
    assert "108 mm and 104 mm; they differ by 4 mm" in found.message
    assert {label.span for label in found.labels} >= set(places)
    assert "s.a.length = 50 mm" in [label.text for label in found.labels]


def test_equations_that_fight_in_a_block(new_draft: Any) -> None:
    draft = new_draft()
    x, y = draft.anywhere("x"), draft.anywhere("y")
    first = draft.equate(add(x, y), Constant(3.0), "given", "given")
    second = draft.equate(add(y, x), Constant(5.0), "given", "given")
    found = only(draft)
    assert found.code == "over-determined"
    assert found.message == "these statements cannot all hold: they differ by 2 mm"
    assert {found.span, *(label.span for label in found.labels)} == {first, second}


def test_a_negative_length_names_what_drove_it(new_draft: Any) -> None:
    draft = new_draft()
    drum, lip, overall = (draft.unknown(f"cowl.{name}") for name in ("drum.length", "lip.length", "overall"))
    tied = draft.equate(overall, add(drum, lip), text="the lengths of a stack add up to its overall")
    places = {draft.state(drum, 120.0), draft.state(overall, 104.0)}
    found = only(draft)
    assert found.code == "impossible-dimension"
    assert found.message == "cowl.lip.length would be -16 mm; it cannot be less than 0 mm"
    assert found.labels[0] == (tied, "the lengths of a stack add up to its overall")
    assert places == {label.span for label in found.labels[1:]}


def test_what_follows_from_one_cause_is_said_once(new_draft: Any) -> None:
    draft = new_draft()
    start, end, wall = (draft.unknown(f"cowl.lip.{name}") for name in ("start", "end", "wall"))
    for unknown, value in ((start, 116.0), (end, 92.0), (wall, 80.0)):
        draft.state(unknown, value)
    for outside, name in ((start, "start_inside"), (end, "end_inside")):
        draft.equate(draft.unknown(f"cowl.lip.{name}"), subtract(outside, multiply(Constant(2.0), wall)))
    assert only(draft).code == "impossible-dimension"


def test_two_impossible_statements_are_two_faults(new_draft: Any) -> None:
    draft = new_draft()
    draft.state(draft.unknown("cowl.lip.start"), -116.0)
    draft.state(draft.unknown("cowl.lip.end"), -92.0)
    assert len(solve(draft.system()).faults) == 2


def test_a_division_by_nought(new_draft: Any) -> None:
    draft = new_draft()
    x, y = draft.unknown("x"), draft.unknown("y")
    draft.state(x, 0.0)
    draft.equate(y, divide(Constant(1.0), x), "given")
    draft.equate(draft.unknown("z"), add(y, x))
    assert only(draft).message.startswith("y cannot be worked out")


def test_no_value_fits(new_draft: Any) -> None:
    draft = new_draft()
    draft.equate(apply("sin", draft.angle("a")), Constant(1.5), "given", "given")
    found = only(draft)
    assert (found.code, found.message) == ("no-solution", "no value of a makes this hold")


def test_both_values_are_shown_where_two_fit(new_draft: Any) -> None:
    draft = new_draft()
    draft.state(start := draft.unknown("start"), 100.0)
    draft.equate(apply("abs", subtract(start, draft.unknown("end"))), Constant(16.0))
    assert only(draft).message == "end could be 84 mm or 116 mm: say which"


def test_bounds_choose_between_two(new_draft: Any) -> None:
    draft = new_draft()
    draft.state(start := draft.unknown("start"), 10.0)
    draft.equate(apply("abs", subtract(start, draft.unknown("end"))), Constant(16.0))
    assert solve(draft.system()).values["end"] == 26.0


def test_two_designs_of_a_block(new_draft: Any) -> None:
    draft = new_draft()
    x, y = draft.unknown("x"), draft.unknown("y")
    draft.equate(add(multiply(x, x), multiply(y, y)), Constant(25.0), "given")
    draft.equate(multiply(x, y), Constant(12.0), "given")
    assert only(draft).message == "x could be 3 mm or 4 mm: say which"


def test_a_shape_is_not_found_backwards(new_draft: Any) -> None:
    draft = new_draft()
    width = draft.unknown("F2.width")
    draft.unknown("F2.height")
    draft.equate(width, Forward("width of F2", ("F2.height",), lambda v: v["F2.height"]), text="width of F2")
    stated = draft.state(width, 40.0)
    found = only(draft)
    assert found.message == "F2.height cannot be found backwards from 'width of F2'"
    assert found.help == "give F2.height"
    assert stated in {label.span for label in found.labels}


@pytest.mark.parametrize("op", ["round_to", "min", "max"])
def test_one_way_operations_in_a_ring(new_draft: Any, op: str) -> None:
    draft = new_draft()
    x, y = draft.unknown("x"), draft.unknown("y")
    draft.equate(y, apply(op, x, Constant(5.0)))
    draft.equate(x, add(divide(y, Constant(2.0)), Constant(1.0)))
    found = only(draft)
    assert (found.code, found.help) == ("one-way", "give x")


def test_a_thousand_faults_in_good_time(new_draft: Any) -> None:
    draft = new_draft()
    for i in range(1000):
        unknown = draft.unknown(f"c{i}.overall")
        draft.state(unknown, 100.0)
        draft.state(unknown, 101.0 + i)
    faults = solve(draft.system()).faults
    assert len(faults) == 1000
    assert all(
        math.isclose(abs(f.values[0] - f.values[1]), 1.0 + int(f.quantities[0].name[1:-8])) for f in faults
    )


def test_what_rests_on_a_value_in_doubt_is_not_accused(new_draft: Any) -> None:
    draft = new_draft()
    small, large = draft.unknown("s.small"), draft.unknown("s.large")
    middle, rest = draft.unknown("s.middle"), draft.unknown("s.rest")
    draft.state(small, 1.0)
    draft.state(large, 9.0)
    draft.equate(middle, multiply(Constant(2.0), small))
    draft.equate(rest, subtract(middle, Constant(8.0)))  # -6 where the middle is 2, and 1 where it is 9
    draft.equate(middle, add(large, Constant(0.0)))
    assert only(draft).code == "over-determined"


def test_of_too_much_the_angle_is_blamed_not_the_neighbour(new_draft: Any) -> None:
    draft = new_draft()
    drum, start = (
        draft.unknown("s.b.end"),
        draft.unknown("s.a.start"),
    )  # the name that comes first is the cone's
    end, length, half_angle = (
        draft.unknown("s.a.end"),
        draft.unknown("s.a.length"),
        draft.angle("s.a.half_angle"),
    )
    draft.state(drum, 80.0)
    draft.state(end, 60.0)
    draft.state(length, 30.0)
    draft.equate(half_angle, Constant(math.radians(20)), "stated", "s.a.half_angle", "angle")
    draft.equate(start, drum)
    draft.equate(
        multiply(apply("tan", half_angle), length),
        divide(apply("abs", subtract(start, end)), Constant(2.0)),
    )
    found = only(draft)
    assert found.code == "over-determined"
    assert "80 mm" not in found.message
