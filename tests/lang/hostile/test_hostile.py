"""Specs from a stranger: what is too deep, too long or too many has an end and a code, and nothing hangs.

Each input is compiled under a guard of two seconds of the processor; `stood` also tries what must hold of every
finding: a known code, a place in its text, nothing that a terminal obeys, valid output for machines.
"""

import math

import pytest

MANY = 100_000
PANEL = "panel P {{ stock = board, outline = {} }}"
SMALL = "panel p { stock = board, outline = circle(9 mm) }"


def recipes(first: str, levels: int, width: int, inside: str = "make r{below} q{n}") -> str:
    """Recipes that each make the one below so many times, and one `make` of the last."""
    found = [f"recipe r0() {{ {first} }}"]
    for level in range(1, levels):
        body = "\n".join(inside.format(below=level - 1, n=n) for n in range(width))
        found.append(f"recipe r{level}() {{\n{body}\n}}")
    return "\n".join([*found, f"make r{levels - 1} x"])


def table(rows: int, columns: int = 2) -> str:
    heads = "".join(f" l{n}.half [mm] |" for n in range(columns - 2))
    lines = [f"| F{n} | {n} |" + " 1 |" * (columns - 2) for n in range(1, rows + 1)]
    return "\n".join(["offsets o {", f"| station | x [mm] |{heads}", *lines, "}"])


def ring(count: int) -> str:
    """Points on a circle."""
    angles = [2 * math.pi * n / count for n in range(count)]
    return ", ".join(f"({100 * math.cos(a):.3f}, {100 * math.sin(a):.3f})" for a in angles)


def doubled(first: str, step: str, count: int) -> str:
    """Named values that each hold the one before twice."""
    return "\n".join([f"let s0 = {first}", *(f"let s{n} = {step.format(n - 1)}" for n in range(1, count))])


# What is refused: the text (behind a model and three stocks), and the codes of its errors, each once.
REFUSED = {
    # -- depth
    "brackets": (f"let x = {'(' * MANY}1 mm{')' * MANY}", ["too-deep"]),
    "open brackets": (f"let x = {'[' * MANY}", ["too-deep"]),
    "open braces": ("a { " * MANY, ["too-deep", "unknown-kind"]),
    "signs": (f"let x = {'-' * MANY}1", ["too-deep"]),
    "a sum that leans left": (f"let x = {' + '.join(['1 mm'] * 20_000)}", ["too-deep"]),
    "a power that leans right": (f"let x = {'2 ^ ' * 10_000}1", ["too-deep"]),
    "a name that reaches far": (f"let x = board{'.board' * 50_000}", ["too-deep"]),
    "lists in lists": (f"{doubled('[1, 2]', '[s{0}, s{0}]', 60)}\nlet x = [s59] mm", ["too-deep"]),
    "a list in a list in a list": (f"{doubled('[1, 2]', '[s{0}]', 2000)}\nlet x = [s1999] mm", ["too-deep"]),
    "recipes in recipes": (recipes(SMALL, 30, 1), ["too-deep"]),
    "a cell": (f"offsets o {{\n| station | x |\n| F1 | {'1+' * 50_000}1 |\n}}", ["too-deep"]),
    # -- length
    "a name": (f"former {'F' * 1_000_000} {{ }}", ["name-too-long"]),
    "a value's name": (f"let x = {'a' * 4_000_000}", ["name-too-long"]),
    "two names nearly alike": (f"let {'a' * 99_999} = 3\nlet x = {'a' * 99_998}b", ["name-too-long"] * 2),
    "a code": (f"panel P {{ accept {'a' * MANY} }}", ["name-too-long"]),
    "a column": (f"offsets o {{\n| {'a' * MANY} | x |\n}}", ["name-too-long"]),
    "a cell's name": (f"offsets o {{\n| station | x |\n| {'a' * MANY} | 1 |\n}}", ["name-too-long"]),
    "a text": (f'stock s {{ title = "{"x" * 1_000_000}" }}', ["text-too-long"]),
    "escapes": (f'stock s {{ title = "{chr(92) * 2 * MANY}" }}', ["text-too-long"]),
    "bad escapes": (f'stock s {{ title = "{(chr(92) + "n") * MANY}" }}', ["text-too-long"]),
    "a text left open": (f'let x = "{"x" * 1_000_000}', ["unterminated-string"]),
    "a unit": (f"let x = 3 {'m' * MANY}", ["unknown-unit"]),
    "a list's unit": (f"let x = [1, 2] {'m' * MANY}", ["unknown-unit"]),
    "a column's unit": (f"offsets o {{\n| station | x [{'m' * MANY}] |\n}}", ["unknown-unit"]),
    "a list": (PANEL.format(f"polygon[{', '.join(['(1, 2)'] * 10_001)}] mm"), ["list-too-long"]),
    "a list of lists": (f"let a = [{'1, ' * 4999}1]\nlet b = [{'a, ' * 4999}a]\nlet c = [b] mm", ["list-too-long"]),
    "arguments": (f"let x = max({'1 mm, ' * 20_000}1 mm)", ["wrong-arguments"]),
    "one argument again": (PANEL.format(f"rect({'width = 1 mm, ' * 10_000}height = 2 mm)"), ["given-twice"]),
    # -- numbers
    "digits": (f"let x = {'9' * MANY} mm", ["number-too-long"]),
    "decimals": (f"let x = 4,{'8' * MANY} mm", ["number-too-long"]),
    "points": (f"let x = {'1.' * MANY}", ["number-too-long"]),
    "inches": (f'let x = {"1" * MANY}"', ["number-too-long"]),
    "a fraction": (f"let x = {'1' * 4000}/{'1' * 4000} in", ["number-too-long"]),
    "a mixed fraction": (f"let x = 1-{'1' * MANY}/2 in", ["number-too-long"]),
    "a diameter": (f"let x = ø{'1' * MANY}", ["number-too-long"]),
    "separators": (f"let x = 1_{'0' * MANY} mm", ["number-too-long"]),
    "beyond floats": ("let x = 1e999 mm", ["bad-number"]),
    "below floats": ("let x = 1e-999 mm\nformer F { at = 1 mm / x * 1 mm, stock = board }", None),
    "nought over nought": ("let x = 0/0", ["not-a-number"]),
    "nought mm over nought mm": ("let x = 0 mm / 0 mm", ["impossible-dimension"]),
    "a fraction by nought": ("let x = 1/0 in", ["bad-number"]),
    "a product that overflows": ("let x = 1e200 * 1e200 * 1 mm", ["impossible-dimension"]),
    "a power that overflows": ("let x = 10 ^ 999 * 1 mm", ["impossible-dimension"]),
    "a power tower": ("let x = 9 ^ 9 ^ 9 ^ 9", None),
    "tan of 90 degrees": ("let x = tan(90 deg) * 1 mm", ["impossible-dimension"]),
    "a root of less than nothing": ("let x = (0 - 8) ^ (1/3) * 1 mm", ["impossible-dimension"]),
    "a length beyond a kilometre": ("let x = 1 mm * 1000001", ["impossible-dimension"]),
    "a length written beyond one": ("let x = 1e7 mm", ["not-finite"]),
    # -- counts
    "copies": (f"{PANEL.format('circle(9 mm), quantity = 1e9')}", ["wrong-type"]),
    "copies without end": (f"{PANEL.format('circle(9 mm), quantity = 1e300')}", ["wrong-type"]),
    "copies in all": (
        "\n".join(f"panel p{n} {{ stock = board, outline = circle(9 mm), quantity = 1000 }}" for n in range(21)),
        ["too-many-parts"],
    ),
    "layers": ("stack s { stock = board\nring r { diameter = 90 mm, rim = 9 mm, layers = 1e6 } }", ["wrong-type"]),
    "pieces": ("stack s { stock = board\nbarrel b { diameter = 90 mm, length = 9 mm, pieces = 1e6 } }", ["wrong-type"]),
    "holes": (
        "panel P { stock = board, outline = circle(90 mm)\nholes h { diameter = 1 mm, on = circle(50 mm), count = 1e6 } }",
        ["wrong-type"],
    ),
    "components": ("\n".join(f"station S{n} {{ x = {n} mm }}" for n in range(10_001)), ["too-many-components"]),
    "elements of a stack": (
        "stack s { stock = board\n"
        + "\n".join(f"barrel b{n} {{ diameter = 90 mm, length = 9 mm }}" for n in range(201))
        + "\n}",
        ["too-many-components"],
    ),
    "openings of a panel": (
        "panel P { stock = board, outline = circle(90 mm)\n" + "hole { diameter = 1 mm }\n" * 5000 + "}",
        ["too-many-components"],
    ),
    "rows of a table": (table(20_000), ["table-too-large"]),
    "columns of a table": (table(9, 5000), ["table-too-large"]),
    "cells of a table": (table(1000, 100), ["table-too-large"]),
    # -- what grows by itself
    "recipes that multiply": (recipes(SMALL, 9, 10), ["too-many-components"]),
    "recipes of nothing that multiply": (recipes("let v = 3", 9, 10), ["too-many-components"]),
    "recipes that multiply mistakes": (recipes("panel p { stock = nowhere, outline = circle(9 mm) }", 9, 10), ["too-many-components"]),
    "long recipes made often": (
        "recipe r() {\n" + "\n".join(f"let l{n} = {n} mm" for n in range(3000)) + f"\n{SMALL} }}\n"
        + "\n".join(f"make r q{n}" for n in range(500)),
        ["too-many-components"],
    ),
    "recipes that make one another": ("recipe a() { make b x }\nrecipe b() { make a y }\nmake a z", ["recipe-cycle"]),
    "recipes that make one another twice": (
        "recipe a() {\nmake b x\nmake b x2\n}\nrecipe b() {\nmake a y\nmake a y2\n}\nmake a z",
        ["recipe-cycle"] * 2,
    ),
    "a long circle": (
        "\n".join(f"let a{n} = a{(n + 1) % 3000}" for n in range(3000)),
        ["circular-value"],
    ),
}  # fmt: skip


@pytest.mark.parametrize(("text", "codes"), REFUSED.values(), ids=REFUSED)
def test_what_no_aircraft_needs_is_refused(stood, text, codes):
    errors = stood(text).errors
    if codes is None:
        assert errors
    else:
        assert sorted(set(errors)) == sorted(set(codes))
        assert len(errors) == len(codes) or codes == ["too-deep"]


# What is allowed, though nobody would write it: the text is compiled, and no error is said.
ALLOWED = {
    "brackets": f"let x = {'(' * 200}1 mm{')' * 200}",
    "named values in a row": "let a0 = 1 mm\n" + "\n".join(f"let a{n} = a{n - 1} + 1 mm" for n in range(1, 5000)),
    "named values from the end": "\n".join(f"let a{n} = a{n - 1} + 1 mm" for n in range(5000, 0, -1)) + "\nlet a0 = 1 mm",
    "sums that double": doubled("0.001 mm", "s{0} + s{0}", 25),
    "roots that double": doubled("1 mm", "hypot(s{0}, s{0})", 30),
    "shapes that double": doubled("circle(9 mm)", "joined(s{0}, moved(s{0}, (1 mm, 0 mm)))", 30) + "\n" + PANEL.format("s29"),
    "insets upon insets": PANEL.format("inset(" * 150 + "circle(200 mm)" + ", 0.1 mm)" * 150),
    "shapes joined to shapes": PANEL.format("joined(" * 150 + "circle(20 mm)" + ", moved(circle(20 mm), (3 mm, 0 mm)))" * 150),
    "a circle of points": PANEL.format(f"polygon[{ring(3000)}] mm"),
    "a curve through points": PANEL.format(f"curve[{ring(2000)}] mm"),
    "an inset of many points": PANEL.format(f"inset(polygon[{ring(2000)}] mm, 1 mm)"),
    "a table": table(200, 10),
    "equations": "let a = 3 mm\n" + "given a == 3 mm\n" * 2000,
    "parameters": "recipe r({}) {{ {} }}\nmake r x {{ {} }}".format(
        ", ".join(f"a{n} = 1 mm" for n in range(3000)), SMALL, ", ".join(f"a{n} = 2 mm" for n in range(3000))
    ),
    "a stack": "stack s { stock = board\n"
    + "\n".join(f"barrel b{n} {{ diameter = 90 mm, length = 9 mm }}" for n in range(60))
    + "\n}",
    "tied to one another": "stack s {{ stock = board\n{}\n}}\n{}".format(
        "\n".join(f"barrel b{n} {{ diameter = 90 mm }}" for n in range(60)),
        "\n".join(
            f"given s.b{n}.length * s.b{(n + 1) % 60}.length == 100 mm2 + s.b{(n + 7) % 60}.length * 1 mm"
            for n in range(60)
        ),
    ),
    "blanks": f"let x = {' ' * 4_000_000}1",
    "newlines": "\n" * 500_000,
    "windows newlines": "\r\n" * 500_000,
    "comments": "#\n" * 300_000,
    "one long comment": f"# {'x' * 8_000_000}",
    "newlines in brackets": f"let x = ({chr(10) * 300_000}3 mm)",
    "commas": "panel P { stock = board, outline = circle(9 mm)" + "," * 50_000 + " }",
    "numbers of 64 digits": f"let x = {'9' * 64}",
}  # fmt: skip


@pytest.mark.parametrize("text", ALLOWED.values(), ids=ALLOWED)
def test_what_is_merely_odd_is_worked_out(stood, text):
    found = stood(text)
    assert not found.errors, found.said[:3]


# Many mistakes: each text has more of them than anyone reads.
MANY_MISTAKES = {
    "values left out": "a =\n" * MANY,
    "decimal commas": "a = 4,8 mm\n" * MANY,
    "closing braces": "}" * MANY,
    "closing brackets": f"let x = 3{')' * MANY}",
    "operators": "let x = 1 mm " + "+\n" * MANY,
    "bars": "| " * 50_000,
    "rows": "| a |\n" * 50_000,
    "ragged rows": "| a | b |\n" + "| 1 |\n" * 50_000,
    "names unknown": "\n".join(f"let b{n} = nope{n}" for n in range(5000)),
    "names nearly alike": "\n".join(f"let aaaaaaaaaaaa{n} = aaaaaaaaaaa{n}" for n in range(2000)),
    "recipes unknown": "\n".join(f"recipe rib{n}() {{ }}\nmake rub{n} x{n}" for n in range(1000)),
    "kinds unknown": "\n".join(f"fromer{n} G{n} {{ }}" for n in range(3000)),
    "properties unknown": "panel P {\n" + "\n".join(f"lenght{n} = 3" for n in range(5000)) + "\n}",
    "units unknown": "\n".join(f"let a{n} = 3 mmm{n}" for n in range(5000)),
    "files unknown": "\n".join(f'use "a{n}.wright"' for n in range(2000)),
    "one name": "former F { at = 1 mm, stock = board, outline = circle(9 mm) }\n" * 2000,
    "one value": "let aa = 1 mm\n" * 5000,
    "what does not hold": "require board.thickness > 9 mm\n" * 3000,
    "accepts of nothing": "panel P { stock = board, outline = circle(9 mm)\n" + 'accept thin-rim because "x"\n' * 5000 + "}",
    "signs of fractions": f"let x = {'½' * MANY}",
    "letters of elsewhere": f"let x = {'翼' * MANY}",
}  # fmt: skip


@pytest.mark.parametrize("text", MANY_MISTAKES.values(), ids=MANY_MISTAKES)
def test_many_mistakes_are_said_and_have_an_end(stood, text):
    assert stood(text).findings


def test_a_file_of_mistakes_is_given_up_and_said_so(stood):
    errors = stood("a =\n" * 5000).errors
    assert errors.count("missing-value") == 1000
    assert errors.count("too-many-mistakes") == 1
    assert stood("a =\n" * 999).errors == ["missing-value"] * 999


def test_a_thousand_mistakes_get_hints_until_there_are_enough(stood):
    found = stood("\n".join(f"let item{n} = {n} mm" for n in range(2000)) + "\n" + "let z = iten7\n" * 1)
    assert found.the("unknown-name").help == "did you mean 'item7'?"
    names = "\n".join(f"let item{n} = {n} mm\nlet b{n} = iten{n}" for n in range(2000))
    found = stood(names)
    hinted = [finding for finding in found.findings if finding.help]
    assert found.errors == ["unknown-name"] * 2000
    assert 0 < len(hinted) < 2000


def test_the_largest_depths_are_taken_and_one_more_is_not(stood):
    assert stood(recipes(SMALL, 16, 1)).errors == []
    assert "too-deep" in stood(recipes(SMALL, 17, 1)).errors
    assert stood(f"let {'a' * 64} = 1 mm").errors == []
    assert stood(f"let {'a' * 65} = 1 mm").errors == ["name-too-long"]
    assert (
        stood(
            f'stock s {{ kind = foam, thickness = 1 mm, sheet = 9 mm by 9 mm, title = "{"x" * 1000}" }}'
        ).errors
        == []
    )
    assert stood(table(200)).errors == []
    assert stood(table(201)).errors == ["table-too-large"]
    assert stood(table(3, 50)).errors == []
    assert stood(table(3, 51)).errors == ["table-too-large"]
    assert stood("let x = 1 mm * 1000000").errors == []


# Patterns of the lexer: what is repeated must not take time by the square, or worse.
@pytest.mark.parametrize(
    "piece",
    ["1", "1/", "1 ", "1.", "1e", "1-", "1_", ".1", "a", "a.", "a-", "_", "\"", "'", "\\", "\\\"", "|", "| a ", "#", "\t", "\u00a0",
     "ø", "½", "±", "+/-", "<", "==", "=", "!", "@", "@(", "(", "[", "{", "}", ")", ",", "\n+", "\nmm", "\n{", "mm\n", "a = (\n", "e1", "²",
     "accept a-", "use \"", "x = \"", "| \"", "1 1/1 in"],
)  # fmt: skip
@pytest.mark.parametrize("before", ["", "let x = ", "panel P {", "| a |\n| "])
def test_no_pattern_takes_time_by_the_square(stood, piece, before):
    stood(before + piece * 20_000)
