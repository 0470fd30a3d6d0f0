"""Texts made by chance: specs that mean something, text by the grammar, real specs with slips, and all of them tidied.

Whatever stands there, nothing is raised, nothing hangs, and what is said has its code and its place (`stood`, in
conftest.py). More of them, other ones each time: HYPOTHESIS_PROFILE=thorough pytest --hypothesis-seed=1 tests/lang/hostile
"""

import random
import re
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from lark import Lark
from ringwright.lang.diagnostics.pages import pages
from ringwright.lang.kinds import FILES, kind_of
from ringwright.lang.kinds.kind import Kind, Property
from ringwright.lang.source import make_source, source_of
from ringwright.lang.syntax import grammar_table
from ringwright.lang.syntax.parse import parse
from ringwright.lang.tidy.tidy import laid_out, same, says_the_same

ROOT = Path(__file__).parents[3]
KINDS = {name: kind for name in sorted(FILES) if (kind := kind_of(name)) is not None}
PROPERTIES = [property for kind in KINDS.values() for property in kind.properties]


def value_of(example: str) -> str:
    """What stands behind the = of an example, on its one line."""
    return example.partition("=")[2].partition("\n")[0].partition("  #")[0].strip()


# -- specs that mean something ----------------------------------------------------------------------

BY_TYPE: dict[str, list[str]] = {}
for each in PROPERTIES:
    BY_TYPE.setdefault(each.type, []).append(value_of(each.example))
NUMBERS = (
    "0",
    "1",
    "2",
    "3/16",
    "0.001",
    "4.8",
    "12",
    "38",
    "90",
    "118",
    "240",
    "-3",
    "1e9",
    "1e-9",
    "7.5 ± 0.5",
)
UNITS = ("mm", "in", "cm", "deg", "g", "%", "g/m2", "kg/m3", "mm2", "rad", "m", "EUR", "g/m", "")
WORDS = ("auto", "yes", "no", "F1", "F2", "board", "card", "cowl", "a", "b", "inside", "cap", "left", "both", "fuselage.half(118 mm)",
         "cowl.overall", "a.length", "b.diameter", "F2.width", "board.thickness", "fuselage.longeron", "F1 to F2", "(F1, F2)",
         "nowhere", '"text"', "[1, 2]", "()", "test.plan_scale", "x - 3 mm", "0.0 mm", "circle(40 mm)", "@half[(0, 30), (20, 0), (0, -30)] mm",
         "curve[(0, 30), (20, 0), (0, -30), (-20, 0)] mm", "moved(circle(9 mm), (3 mm, 0 mm))", "inset(circle(90 mm), 4 mm)",
         "minus(rect(90 mm, 40 mm), circle(20 mm))", "10 mm to 85 mm", "762 mm by 508 mm", "-90 deg to 90 deg", "lap(6 mm)", "butt")  # fmt: skip
AROUND = """\
station F1 { x = 0 mm }
station F2 { x = @118 mm }
offsets fuselage {
    section = box
    | station | x [@mm] | half [@mm] | top [@mm] | bottom [@mm] | longeron.half [mm] | longeron.height [mm] |
    | G1 | 0 | 44 | 52 | -50 | 40 | 24 |
    | G2 | 118 | 51 | 61 | -58 | 47 | 26 |
    | G3 | 240 | 48 | 60 | -55 | 44 | 25 |
    | G4 | 380 | 30 | 50 | -40 | 28 | 20 |
}
stack cowl { from = F1, to = F2, stock = board
    barrel a { diameter = 90 mm }
    cone b { end = 60 mm, length = 40 mm }
}
"""


@st.composite
def values(draw: st.DrawFn, property: Property) -> str:
    """A value for a property: its example's, another of its type, a quantity of any unit, or anything at all."""
    how = draw(st.integers(0, 9))
    if how < 4:
        return value_of(property.example)
    if how < 6:
        return draw(st.sampled_from(BY_TYPE[property.type]))
    if how == 6 and property.choices:
        return draw(st.sampled_from(property.choices))
    if how < 9:
        mark = draw(st.sampled_from(("", "", "@")))
        return f"{mark}{draw(st.sampled_from(NUMBERS))} {draw(st.sampled_from(UNITS))}".rstrip()
    return draw(st.sampled_from(WORDS))


@st.composite
def components(draw: st.DrawFn, kind: Kind, deep: int) -> str:
    """A component of a kind with some of its properties, mostly right ones, and children where it takes any."""
    lines = []
    for property in kind.properties:
        if draw(st.integers(0, 9)) < (9 if property.required else 3):
            name = property.name if draw(st.integers(0, 40)) else property.name[:-1] + "q"
            lines.append(f"{name} = {draw(values(property))}")
    inside = [name for name in kind.children if name in KINDS]
    if inside and deep:
        for _ in range(draw(st.integers(0, 4))):
            lines.append(draw(components(KINDS[draw(st.sampled_from(inside))], deep - 1)))
    if draw(st.integers(0, 12)) == 0:
        lines.append(
            draw(
                st.sampled_from(
                    ('accept thin-rim because "so"', "let x = 3 mm", "require x > 2 mm", "given x == 4 mm")
                )
            )
        )
    name = draw(st.sampled_from(("a", "b", "c", "d", "F1", "F2", "")))
    return f"{kind.name} {name} {{\n" + "\n".join(lines) + "\n}"


@st.composite
def specs(draw: st.DrawFn) -> str:
    """Components of any kinds, most of them in what they may stand in, with named values and equations."""
    outer = [kind for kind in KINDS.values() if "" in kind.inside and kind.name != "model"]
    pieces = [AROUND] if draw(st.integers(0, 4)) else []
    for _ in range(draw(st.integers(1, 3))):
        kinds = outer if draw(st.integers(0, 9)) else list(KINDS.values())
        pieces.append(draw(components(draw(st.sampled_from(kinds)), 2)))
    for n in range(draw(st.integers(0, 2))):
        first, second = (draw(st.sampled_from((*WORDS, *(f"{n} mm" for n in NUMBERS)))) for _ in range(2))
        form = draw(
            st.sampled_from(
                ("let v{0} = {1}", "given {1} == {2}", "require {1} > {2}", "let v{0} = {1} * 2 + {2}")
            )
        )
        pieces.append(form.format(n, first, second))
    return "\n".join(pieces)


@given(specs())
def test_specs_that_mean_something(stood: Any, text: str) -> None:
    stood(text)


@given(st.sampled_from(PROPERTIES), st.data())
def test_every_property_takes_any_value(stood: Any, property: Property, data: st.DataObject) -> None:
    kind = next(kind for kind in KINDS.values() if property in kind.properties)
    others = [
        f"{other.name} = {value_of(other.example)}"
        for other in kind.properties
        if other.required and other != property
    ]
    body = "\n".join([f"{property.name} = {data.draw(values(property))}", *others])
    around = (
        "" if "" in kind.inside else f"{kind.inside[0]} outer {{ stock = board, outline = circle(90 mm)\n"
    )
    stood(f"{AROUND}{around}{kind.name} it {{\n{body}\n}}" + ("}" if around else ""))


# -- text by the grammar ----------------------------------------------------------------------------

GRAMMAR = Lark(
    grammar_table.GRAMMAR.read_text("utf-8"), parser="lalr", start=["start", "cell"], keep_all_tokens=True
)
RULES: dict[str, list[list[str]]] = {}
for rule in GRAMMAR.rules:
    RULES.setdefault(str(rule.origin.name), []).append([symbol.name for symbol in rule.expansion])
SAMPLES = {
    "NAME": ["a", "b2", "stack", "hole", "length", "outline", "circle", "polygon", "F2"],
    "CODE": ["thin-rim", "hidden-name", "nope"],
    "CONSTANT": ["yes", "no", "auto"],
    "COMPARE": [">", "<=", "==", "!="],
    "PLUS": ["+", "-"],
    "TIMES": ["*", "/"],
    "PLUS_MINUS": ["±", "+/-"],
    "NUMBER": ["0", "4.5", "1e-3", "12", "1e400", "00"],
    "FRACTION": ["3/16"],
    "MIXED": ["1 3/16"],
    "INTEGER": ["1", "2"],
    "UNIT": ["mm", "in", "deg", "°", "%", "lb/ft3", "mmm", "kg/m3", "EUR"],
    "STRING": ['""', '"a.wright"', '"x # y"', '"\\""'],
    "BAD_STRING": ['"open'],
    "ROW": ["| a | b.c [@mm] |", "| 1 | 2 |", "| F1 | (1 + 2) mm |", "| |"],
    "DECIMAL_COMMA": ["4,8"],
    "INCH_MARK": ['3/16"'],
    "FOOT_MARK": ["5'"],
    "DIAMETER_MARK": ["ø132", "ø"],
    "MIXED_DASH": ["1-3/16"],
    "FRACTION_SIGN": ["½", "1½"],
    "BAD_NUMBER": ["1.2.3", ".5", "1_000"],
    "NEXT_LINE_UNIT": ["\nmm"],
    "NEXT_LINE_BRACE": ["\n{"],
    "_NL": ["\n", "\n\n", "\n  # said\n", "\r\n"],
}
# Others are one sign or word, which their pattern spells.
SIGNS = {
    terminal.name: re.sub(r"\(\?[!=].*\)$", "", terminal.pattern.value).replace("\\", "")
    for terminal in GRAMMAR.terminals
    if terminal.name not in SAMPLES
}


def written(chance: random.Random, symbol: str, room: int) -> list[str]:
    """Words that the grammar derives from a symbol, by chance; where room runs out by its shortest expansions."""
    if symbol not in RULES:
        return [chance.choice(SAMPLES.get(symbol) or [SIGNS.get(symbol, symbol)])]
    expansions = sorted(RULES[symbol], key=len)
    expansion = chance.choice(expansions if room > 0 else expansions[:1])
    found: list[str] = []
    for part in expansion:
        found += written(chance, part, room - len(expansion))
        room -= len(found) // 8
    return found


def test_every_terminal_has_its_samples() -> None:
    for terminal in GRAMMAR.terminals:
        if terminal.name.startswith("__IGNORE"):
            continue
        for sample in SAMPLES.get(terminal.name) or [SIGNS[terminal.name]]:
            spelt = re.compile(terminal.pattern.to_regexp())
            assert spelt.match(sample) or spelt.match(sample + " mm"), (terminal.name, sample)


@given(st.integers(0, 2**40), st.integers(0, 3))
def test_text_by_the_grammar(stood: Any, seed: int, slips: int) -> None:
    chance = random.Random(seed)
    words = written(chance, "start", chance.randrange(8, 60))
    for _ in range(slips):
        words = slipped(chance, words) if words else words
    text = chance.choice((" ", " ", "")).join(words)
    stood(text)
    check_tidy(text)


# -- real specs with slips --------------------------------------------------------------------------

# Each folder's files by name; one with bent skins takes a second by itself, and is taken seldom.
FOLDERS = [
    {path.name: path.read_text("utf-8") for path in sorted(folder.glob("*.wright"))}
    for folder in sorted((ROOT / "specs").iterdir())
    if any(folder.glob("*.wright"))
]
LIGHT = [
    files for files in FOLDERS if not any(re.search(r"^wrap ", text, re.MULTILINE) for text in files.values())
]
EXAMPLES = [
    *(
        example.spec
        for page in pages().values()
        for example in (page.wrong, page.right)
        if example and len(example.spec) < 6000
    ),
    *(kind.example for kind in KINDS.values()),
    *re.findall(r"```wright\n(.*?)```", (ROOT / "lang" / "README.md").read_text("utf-8"), re.DOTALL),
]
TOKEN = re.compile(r"[A-Za-z_][A-Za-z_0-9]*|\d+(?:\.\d+)?|\s+|.", re.DOTALL)
SLIPS = ["{", "}", "(", ")", "[", "]", "=", "==", "+", "-", "*", "/", "^", ",", "@", "±", "auto", "mm", "deg", "g", "%", "to", "by", "0", "-1", "1e9",
         "1e-9", "\n", "#", '"', "|", "½", "ø", "let x = ", "require ", "given ", "recipe r() {", "make r q", "circle(", "inset(", "0 mm", "-5 mm",
         "quantity = 3", "seat = inside", "hole h", "cone", "plate p { }", "axis = up", "\t", "\u00a0", "é", "\u202e", "\x00"]  # fmt: skip


def slipped(chance: random.Random, pieces: list[str]) -> list[str]:
    """One slip: a piece left out, doubled, changed over with another, or something put in or in its place."""
    at, other = chance.randrange(len(pieces)), chance.randrange(len(pieces))
    match chance.randrange(5):
        case 0:
            return pieces[:at] + pieces[at + chance.choice((1, 1, 2, 5)) :]
        case 1:
            return [*pieces[:at], pieces[at], *pieces[at:]]
        case 2:
            moved = pieces.copy()
            moved[at], moved[other] = pieces[other], pieces[at]
            return moved
        case 3:
            return [*pieces[:at], chance.choice(SLIPS), *pieces[at:]]
        case _:
            return [*pieces[:at], chance.choice(SLIPS), *pieces[at + 1 :]]


def with_slips(chance: random.Random, text: str, count: int) -> str:
    """A text with so many slips of its words, lines or letters."""
    for _ in range(count):
        pieces = chance.choice((TOKEN.findall, TOKEN.findall, lambda text: text.splitlines(True), list))(text)
        if pieces:
            text = "".join(slipped(chance, pieces))
    return text


@given(st.sampled_from(EXAMPLES), st.integers(0, 2**40), st.sampled_from((1, 1, 1, 2, 4)))
def test_examples_with_slips(stood: Any, text: str, seed: int, slips: int) -> None:
    text = with_slips(random.Random(seed), text, slips)
    stood(text)
    check_tidy(text)


@given(st.integers(0, 2**40), st.sampled_from((1, 1, 1, 2, 4)))
def test_whole_specs_with_slips(stood_alone: Any, seed: int, slips: int) -> None:
    chance = random.Random(seed)
    files = chance.choice(chance.choice((LIGHT, LIGHT, LIGHT, FOLDERS)))
    name = chance.choice(sorted(files))
    others = {other.removesuffix(".wright"): text for other, text in files.items() if other != name}
    text = with_slips(chance, files[name], slips)
    stood_alone(text, **others)
    check_tidy(text)


# -- tidied -----------------------------------------------------------------------------------------


def check_tidy(text: str) -> None:
    """What can be read says the same when it is laid out anew, and is laid out the same again."""
    source, found = make_source("main.wright", text.encode())
    file, more = parse(source)
    if found or more:
        return
    result = laid_out(text)
    assert says_the_same(source, file, result)
    assert same(parse(source_of("main.wright", result))[0], file)
    assert laid_out(result) == result


# Found by the tests above, and mended.
FOUND = [
    "|",
    "offsets o {\n|\n}",
    "let m2m2 = 3\nlet w = 280 g/m2m2",
]


@pytest.mark.parametrize("text", FOUND)
def test_what_was_found_once(stood: Any, text: str) -> None:
    stood(text)
    check_tidy(text)
