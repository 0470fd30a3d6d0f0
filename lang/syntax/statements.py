"""The words that begin statements: what each says, and an example, for the reference and for `explain`."""

from typing import NamedTuple


class Statement(NamedTuple):
    """A statement of the language.

    word: that it begins with. form: how it is written. doc: what it means, in whole sentences. example: lines of a
    spec, which follow a model and the stocks board, card and ply. files: what the example uses, text by path.
    """

    word: str
    form: str
    doc: str
    example: str
    files: tuple[tuple[str, str], ...] = ()


_FITTINGS = "let wall = 3 mm\n"

STATEMENTS = (
    Statement(
        "use",
        'use "FILE" or use "FILE" as NAME',
        "Brings the names of another file in, as they are or behind a word and a dot. The path is relative to this file"
        " and stays in the project. What that file uses itself is not passed on.",
        'use "fittings.wright" as shop\n\nlet double = 2 * shop.wall\n',
        (("fittings.wright", _FITTINGS),),
    ),
    Statement(
        "let",
        "let NAME = value",
        "Names a value, in a file or in a component, so that no number is written twice.",
        "let wide = 2 * 61 mm\n\nformer F2 {\n    at      = 118 mm\n    stock   = board\n    outline = ellipse(wide, 90 mm)\n}\n",
    ),
    Statement(
        "require",
        'require a > b or require a > b else "message"',
        "Must hold once all is solved; compares with <, <=, >, >=, == and !=. Where it does not, both values and their"
        " difference are shown.",
        'let gap = 24 mm - 3 mm\n\nrequire gap > 20 mm else "too narrow for the servo"\n',
    ),
    Statement(
        "given",
        "given a == b",
        "One more equation for the solver. It outranks what nobody typed, such as lengths that are shared equally.",
        "stack cowl {\n    overall = 104 mm\n    stock   = board\n    barrel drum { diameter = 132 mm, length = 38 mm }\n"
        "    cone mid    { end = 116 mm }\n    cone lip    { end = 92 mm }\n}\n\n"
        "given cowl.lip.half_angle == 2 * cowl.mid.half_angle\n",
    ),
    Statement(
        "accept",
        'accept CODE or accept CODE because "reason"',
        "Stands in a component: this warning is known and judged there. It is counted, no longer shown. The code is the"
        " one in brackets at the end of the warning.",
        "former F2 {\n    at      = 118 mm\n    stock   = board\n    outline = circle(80 mm)\n    hole crutch { diameter = 74 mm }\n"
        '    accept thin-rim because "carries nothing"\n}\n',
    ),
    Statement(
        "recipe",
        "recipe NAME(a, b = 3 mm) { … }",
        "A component to be made more than once, with parameters; one with '=' may be left out where it is made. It stands"
        " at the top of a file. Where it holds one component, that one is called as the `make` says; where it holds more"
        " they are called by that name, a dot and their own. Names in it are looked for in the recipe's file.",
        "recipe rib(chord, depth = 8 mm) {\n    panel p { stock = ply, outline = rect(chord, depth) }\n}\n\n"
        "make rib root { chord = 180 mm }\nmake rib tip  { chord = 120 mm, depth = 6 mm }\n",
    ),
    Statement(
        "make",
        "make RECIPE NAME { a = … }",
        "Makes one component of a recipe, with values for its parameters in braces. `hand = left`, `right` or `both` makes"
        " it for one side or for both, the other the mirror image.",
        "recipe gusset(long) {\n    panel p { stock = ply, outline = polygon[(0 mm, 0 mm), (long, 0 mm), (0 mm, 20 mm)] }\n}\n\n"
        "make gusset tail { long = 35 mm, hand = both }\n",
    ),
)
"""All of them, in the order of the language page."""
