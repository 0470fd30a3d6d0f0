"""What is judged once the design is solved: requirements, forgotten marks, accepted warnings, the model."""

import pytest

STACK = (
    "stack s {{ stock = board{more}\n barrel b {{ diameter = {diameter}, length = {length} }}{inside} }}\n"
)


def stack(diameter="90 mm", length="20 mm", more="", inside=""):
    return STACK.format(diameter=diameter, length=length, more=more, inside=inside)


@pytest.mark.parametrize(
    ("condition", "holds"),
    [
        ("s.b.length > 19 mm", True),
        ("s.b.length > 20 mm", False),
        ("s.b.length >= 20 mm", True),
        ("s.b.length < 21 mm", True),
        ("s.b.length <= 20 mm", True),
        ("s.b.length <= 19.99 mm", False),
        ("s.b.length == 20.009 mm", True),
        ("s.b.length == 20.02 mm", False),
        ("s.b.length != 20.02 mm", True),
        ("s.b.length != 20.001 mm", False),
        ("s.b.half_angle == 0.0005 deg", True),
        ("s.b.half_angle == 0.002 deg", False),
        ("s.b.mass < 5 g", True),
        ("s.b.blank_length > 300 mm", False),
        ("s.b.area == s.b.area", True),
    ],
)
def test_a_requirement_holds_or_not(judged, condition, holds):
    assert judged(stack() + f"require {condition}").errors == ([] if holds else ["requirement"])


def test_a_broken_requirement_shows_both_values_and_their_difference(judged):
    found = judged(stack() + 'require s.b.length > 25 mm else "too short to bend"').the("requirement")
    assert found.message == "too short to bend: 20 mm is not > 25 mm; the difference is 5 mm"
    assert [label.text for label in found.labels] == ["20 mm", "25 mm"]
    found = judged(stack() + "require s.b.length > 25 mm").the("requirement")
    assert found.message.startswith("what is required here does not hold: 20 mm")


def test_a_requirement_inside_a_component_knows_its_names(judged):
    assert judged(stack(inside="\n require b.length > 25 mm")).errors == ["requirement"]


def test_what_could_not_be_solved_is_not_judged(judged):
    found = judged("stack s { stock = board\n barrel b { diameter = 90 mm } }\nrequire s.b.length > 25 mm")
    assert found.errors == ["under-determined"]


@pytest.mark.parametrize(
    ("units", "shown"),
    [("units = in", "0.7874 in"), ("units = in, fraction = 16", "13/16 in"), ("units = mm", "20 mm")],
)
def test_values_are_shown_in_the_models_units(compiled, units, shown):
    board = "stock board { kind = foam, thickness = 5 mm, sheet = 2 m by 2 m }\n"
    found = compiled(f'model t {{ title = "T", {units} }}\n{board}{stack()}require s.b.length > 25 mm').the(
        "requirement"
    )
    assert found.labels[0].text == shown


def test_a_forgotten_mark_is_a_warning_that_can_be_accepted(judged):
    found = judged(stack(diameter="@90 mm"))
    assert found.warnings == ["mixed-marks"]
    assert found.underlined("mixed-marks") == "20 mm"
    text = STACK.replace("}}{inside}", ', accept mixed-marks because "measured on the tin" }}').format(
        more="", diameter="@90 mm", length="20 mm"
    )
    found = judged(text)
    assert found.warnings == []
    assert found.the("mixed-marks").severity == "accepted"


@pytest.mark.parametrize(
    ("diameter", "length"), [("@90 mm", "@20 mm"), ("90 mm", "20 mm"), ("@90 mm", "2 * board.thickness")]
)
def test_marks_that_are_right_are_not_warned_of(judged, diameter, length):
    assert judged(stack(diameter=diameter, length=length)).warnings == []


def test_an_acceptance_reaches_as_far_as_its_component(judged):
    inside = "hole h { diameter = 94 mm }"
    text = "panel {} {{ stock = board, outline = circle(100 mm)\n {}{} }}\n"
    accept = '\n accept thin-rim because "it carries nothing"'
    found = judged(text.format("P", inside, accept) + text.format("Q", inside, ""))
    assert found.warnings == ["thin-rim"]
    assert sorted(finding.severity for finding in found.findings) == ["accepted", "warning"]


def test_an_error_cannot_be_accepted(judged):
    found = judged(
        'panel P { stock = board, outline = circle(100 mm)\n hole h { diameter = 120 mm }\n accept hole-outside because "x" }'
    )
    assert sorted(found.errors) == ["hole-outside", "unknown-code"]
    assert found.the("unknown-code").message == "'hole-outside' is an error, and cannot be accepted"


def test_a_spec_has_one_model(compiled, judged):
    assert compiled("station a1 { x = 3 mm }").errors == ["no-model"]
    assert judged('model other { title = "O" }').errors == ["given-twice"]
    assert judged('use "a.wright"', a='model other { title = "O" }').errors == ["given-twice"]


def test_an_accept_for_nothing_is_noted_once_all_is_sound(judged):
    text = "former F { stock = board, at = 3 mm, outline = circle(60 mm)\n accept thin-rim }\n"
    found = judged(text)
    assert [(finding.code, finding.severity) for finding in found.findings] == [("nothing-to-accept", "note")]
    assert found.underlined("nothing-to-accept") == "thin-rim"
    assert judged(text + "require F.width > 99 mm\n").errors == ["requirement"]


@pytest.mark.parametrize(
    ("code", "says"), [("thin-rin", "did you mean 'thin-rim'?"), ("thing", "the warnings are ")]
)
def test_an_accept_names_a_warning(judged, code, says):
    found = judged(f"former F {{ stock = board, at = 3 mm, outline = circle(60 mm)\n accept {code} }}\n")
    assert found.errors == ["unknown-code"]
    assert says in found.the("unknown-code").help


def test_an_accept_in_a_recipe_is_for_all_that_it_makes(built):
    text = (
        "recipe ring(bore) { panel p { stock = board, outline = circle(80 mm)\n hole b { diameter = bore }\n accept thin-rim } }\n"
        "make ring one { bore = 40 mm }\nmake ring two { bore = 74 mm }\n"
    )
    assert [finding.severity for finding in built(text).findings] == ["accepted"]
