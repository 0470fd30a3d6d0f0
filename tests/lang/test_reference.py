"""The reference page is what the code says, and every example on it compiles."""

import re
from pathlib import Path

import pytest
from ringwright.lang.kinds import FILES, kind_of
from ringwright.lang.kinds.kind import Kind
from ringwright.lang.reference import HABITS, main, reference
from ringwright.lang.syntax.node_builder import STATEMENT_WORDS
from ringwright.lang.syntax.statements import STATEMENTS, Statement

PAGE = Path(__file__).parents[2] / "lang" / "reference.md"
KINDS = [kind for kind in map(kind_of, FILES) if kind is not None]
AROUND = {
    "model": 'model test { title = "Test" }\n',
    "stock": (
        "stock board { kind = foamboard, thickness = 4.8 mm, sheet = 762 mm by 508 mm }\n"
        "stock ply { kind = ply, thickness = 3 mm, sheet = 600 mm by 300 mm }\n"
        "stock card { kind = card, thickness = 0.4 mm, sheet = 297 mm by 210 mm }\n"
    ),
    "station": "station firewall { x = 0 mm }\nstation spinner { x = -104 mm }\n",
}
FUSELAGE = (
    "offsets fuselage {\n section = box\n | station | x [mm] | half [mm] | top [mm] | bottom [mm] |"
    " longeron.half [mm] | longeron.height [mm] |\n"
    + "".join(f" | F{n} | {40 * n} | 44 | {52 + n} | -40 | 40 | {20 + n} |\n" for n in range(1, 9))
    + "}\n"
)
OF_A_FUSELAGE = ("formers", "body", "piece", "wrap", "side", "floor", "deck", "splice")
TO_WAIT_FOR = "panel hatch { outline = rect(60 mm, 40 mm), stock = card }\n" + "".join(
    f"former F{n} {{ at = {40 * n} mm, outline = circle(80 mm), stock = board }}\n" for n in (1, 2, 3)
)
WING = "wing main { at = 60 mm, span = 600 mm, root = 160 mm, stock = board }\n"
IN_A_WING = (
    "wing w {\nat = 60 mm, span = 900 mm, root = 180 mm, stock = ply\n"
    'build = ribs, ribs = 70 mm, aerofoil = aerofoil("2412")\nsection bend { at = 150 mm }\n'
)
# What a property by itself cannot be blamed for: that others are missing, or say something else.
OF_OTHERS = {
    "empty-stack",
    "hole-form",
    "impossible-dimension",
    "missing-property",
    "no-mass",
    "no-profile",
    "piece-form",
    "saddle-form",
    "over-determined",
    "slot-width",
    "under-determined",
}


def whole(kind: Kind, text: str) -> str:
    """A spec about an example: and what it takes for granted."""
    around = "".join(lines for name, lines in AROUND.items() if name != kind.name)
    return around + (TO_WAIT_FOR if kind.name == "step" else "") + text


def holder(kind: Kind, name: str, line: str) -> str:
    """A component with one property, and those that it cannot do without, in something that may hold it."""
    line += "".join(
        f"\n{other.example}" for other in kind.properties if other.required and other.name != name
    )
    component = f"{kind.name} this {{\n{line}\n}}\n"
    if "" in kind.inside:
        return component
    outer = kind.inside[0]
    if outer == "stack":
        return "stack s {\nbarrel drum { diameter = 100 mm, length = 30 mm }\n" + component + "}\n"
    if outer == "plate":
        return (
            "stack s {\nbarrel drum { diameter = 100 mm, length = 30 mm }\nplate p {\n" + component + "}\n}\n"
        )
    if outer == "stock":
        return f"stock s {{\nkind = card, thickness = 1 mm, sheet = 300 mm by 200 mm\n{component}}}\n"
    if outer == "strip":
        return f"strip s {{\nsection = 6 mm by 6 mm, length = 1 m\n{component}}}\n"
    if outer == "wing":
        return IN_A_WING + component + "}\n"
    if outer == "side":
        lines = "upper = fuselage.top, lower = fuselage.bottom, stock = board"
        return f"side p {{\n{lines}\n{component}}}\n"
    return f"{outer} p {{\noutline = rect(200 mm, 200 mm)\nstock = board\n" + component + "}\n"


def test_page_is_what_the_code_says() -> None:
    assert PAGE.read_text("utf-8") == reference(), "run python -m ringwright.lang.reference"


def test_the_command_writes_the_page_and_knows_a_stale_one(tmp_path: Path, monkeypatch) -> None:
    page = tmp_path / "reference.md"
    monkeypatch.setattr("ringwright.lang.reference.REFERENCE", page)
    assert main(["--check"]) == 1
    assert main([]) == 0
    assert page.read_text("utf-8") == reference()
    assert main(["--check"]) == 0
    page.write_text(reference() + "more\n", "utf-8")
    assert main(["--check"]) == 1


@pytest.mark.parametrize("statement", STATEMENTS, ids=lambda statement: statement.word)
def test_examples_of_statements_compile(built, statement: Statement) -> None:
    assert (
        statement.example.lstrip().startswith(statement.word)
        or f"\n{statement.word} " in statement.example
        or (f"    {statement.word} " in statement.example)
    )
    files = {path.removesuffix(".wright"): text for path, text in statement.files}
    assert built(statement.example, **files).errors == []


def test_every_statement_that_the_grammar_knows_is_listed() -> None:
    words = {word for word in STATEMENT_WORDS if word not in ("as", "else", "because")}
    assert {statement.word for statement in STATEMENTS} == words


def test_every_kind_has_an_example() -> None:
    assert [kind.name for kind in KINDS if f"{kind.name} " not in kind.example] == []


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.name)
def test_examples_of_kinds_compile(compiled, kind: Kind) -> None:
    outcome = compiled(whole(kind, kind.example))
    assert outcome.errors == [], outcome.said


@pytest.mark.parametrize(
    ("kind", "property"),
    [(kind, property) for kind in KINDS for property in kind.properties],
    ids=lambda value: value.name,
)
def test_examples_of_properties_are_understood(compiled, kind: Kind, property) -> None:
    assert property.example.startswith(f"{property.name} = ")
    around = (
        FUSELAGE if kind.name in OF_A_FUSELAGE else WING if kind.name in ("tail", "fin", "saddle") else ""
    )
    outcome = compiled(whole(kind, around + holder(kind, property.name, property.example)))
    assert set(outcome.errors) - OF_OTHERS == set(), outcome.said


def test_an_example_that_is_wrong_would_be_found(compiled) -> None:
    plate = next(kind for kind in KINDS if kind.name == "plate")
    assert "unknown-word" in compiled(whole(plate, holder(plate, "seat", "seat = above"))).errors
    assert "unknown-property" in compiled(whole(plate, holder(plate, "seet", "seet = cap"))).errors


def test_habits_are_of_properties_that_are_there() -> None:
    known = {(kind.name, property.name) for kind in KINDS for property in kind.properties}
    assert set(HABITS) <= known


def test_the_specs_on_the_language_page_compile(compiled) -> None:
    text = (PAGE.parent / "README.md").read_text("utf-8")
    whole_spec, *more = re.findall(r"```wright\n(.*?)```", text, re.DOTALL)
    for spec in (whole_spec, *(whole_spec + piece for piece in more)):
        assert [said for said in compiled(spec).said if not said.startswith("how-near: ")] == []
