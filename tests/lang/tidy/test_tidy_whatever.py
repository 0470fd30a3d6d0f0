"""The formatter on whatever was written: specs with blanks, lines' ends and comments set anew by chance."""

import random
from pathlib import Path

from hypothesis import assume, given
from hypothesis import strategies as st
from ringwright.lang.source import source_of
from ringwright.lang.syntax.machine import Machine, load
from ringwright.lang.syntax.parse import parse
from ringwright.lang.tidy.scan import Word, scan
from ringwright.lang.tidy.spacing import gap
from ringwright.lang.tidy.tidy import comments, laid_out, same, says_the_same, tidy

EVERYTHING = """\
use "workshop-stock.wright" as shop   # the shelf

model heron {
    title      = "Marsh Heron, # no comment, \\"sport\\" | model"
    plan_scale = 145 % by 143 %
}
station firewall { x = 0 mm }
station nose     { x = @-104 mm }
let rim = 1 3/16 in ± 1/64 in   # as measured
let weight = 9 lb/ft3 * 3/32 in + 2 * (3 - -4) / 8 ^ 2 g

stack cowl {
    # Rings
    from = firewall, to = nose
    seam = flap(15 mm)
    plate  back  { }
    barrel drum  { diameter = @132 +/- 0.5 mm, length = @-38 mm }
    cone   mid   { end = @(116) mm, at = behind(main, 30 %) }

    outline = @half[(0, 61), (38, 52),
                    (51, -20)] mm
    plate  front { seat = inside                 # flush
                   hole inlet { diameter = 40 mm } }
    turn = 30° + 4 deg
}
offsets fuselage {
    section = box
    | station | x [@mm] | longeron.half [mm] | note      |   # as taken off
    | F1      |    0    | -44                | "a | b"   |

    # aft of here guessed
    | F2      |  118.5  |  r * 2 + 3 mm      |           |
}
recipe rib(a, b = 3 mm,) { panel p { outline = rect(a, b, corner = 2 mm) } }
make shop.rib r1 { a = 2 ^ 3 mm }
make rib r2
cutting { tool = laser }
given cowl.lip.half_angle == 2 * cowl.mid.half_angle
require cowl.bow.1.length >= 20 mm else "too short"
require (cowl.mid.length +
    3 mm) / 2 > 4 mm
accept thin-rim because "it is \\\\ fine"
"""
SPECS = [
    path.read_text("utf-8") for path in sorted((Path(__file__).parents[3] / "specs").glob("**/*.wright"))
]
TEXTS = [EVERYTHING, *SPECS]
LAYOUT = ("newline", "break", "comment", "remark")


def check(text: str) -> None:
    """Lay a sound text out and try all that must hold."""
    source = source_of("t.wright", text)
    result = tidy(source)
    assert result is not None
    assert says_the_same(source, parse(source)[0], result)
    assert laid_out(result) == result
    assert words(result) == words(text)
    assert comments(result) == comments(text)
    lines = result.split("\n")
    assert lines[-1] == ""
    assert all(line == line.rstrip() for line in lines)
    assert not any(line.startswith("\t") or "\r" in line for line in lines)
    assert "\n\n\n" not in result
    assert "{\n\n" not in result
    assert not any(lines[n] == "" and line.strip() == "}" for n, line in enumerate(lines[1:]))


def words(text: str) -> list[tuple[str, str]]:
    """Words with their kinds, but for commas and rows, which may change."""
    return [(word.kind, word.text) for word in scan(text) if word.kind not in (",", ";", "row", *LAYOUT)]


def cut(text: str) -> list[str]:
    """The tokens of the parser's own lexer."""
    nothing = [lambda children: None] * len(load().rules)
    machine = Machine(nothing, "start", text, 0, len(text))
    found, depth = [], 0
    for token in machine.tokens():
        if token.type != "_NL" or not depth:
            machine.feed(token)
        if token.type != "_NL":
            # A unit on the next line comes with what stands before it.
            found.append(
                token.split("\n")[-1].strip() if token.type == "NEXT_LINE_UNIT" else str(token).rstrip()
            )
        depth += (token.type in ("LPAR", "LSQB")) - (token.type in ("RPAR", "RSQB"))
    return found


def scanned(text: str) -> list[str]:
    """The words of the formatter's own reader."""
    return [word.text.rstrip() for word in scan(text) if word.kind not in LAYOUT]


def rewritten(text: str, chance: random.Random) -> str:
    """The same spec with other blanks, lines' ends and comments."""
    words = scan(text)
    pieces: list[str] = []
    for word, after in zip(words, [*words[1:], None], strict=False):
        if word.kind in ("newline", "break"):
            pieces.append(line_end(chance))
        elif word.kind == "row" and '"' not in word.text:
            pieces.append(word.text.rstrip().replace("|", chance.choice(("|", " |\t", "  | "))).strip())
        else:
            pieces.append(word.text.rstrip())
        if after is not None:
            pieces.append(between(word, after, chance))
    return "".join(pieces)


def line_end(chance: random.Random) -> str:
    said = chance.choice(("", ", x = { y", '"', ") |", "翼"))
    comment = f"# {chance.randrange(100)} {said}"
    return chance.choice(
        ("\n", "\n", "\n", "\r\n", "\n\n\n", " \t\n", f"{comment}\n", f"\n\t  {comment}\n   ")
    )


def between(word: Word, after: Word, chance: random.Random) -> str:
    if word.kind in ("newline", "break", "row") or after.kind in ("newline", "break"):
        return chance.choice(("", "  ", "\t"))
    breakable = word.kind in ("(", "[", ",", "{", ";") or after.kind in (")", "]", "}")
    if breakable and chance.random() < 0.2:
        return line_end(chance)
    if gap(word, after) == "":
        return chance.choice(("", "", " ", "\t "))
    if {word.text, after.text} & {"=", "*", "±", "==", "{"} or after.kind == "unit":
        return chance.choice(("", " ", "   "))
    return chance.choice((" ", " ", "  ", " \t"))


@given(st.sampled_from(TEXTS), st.randoms(use_true_random=False))
def test_whatever_blanks_and_comments_were_written(text: str, chance: random.Random) -> None:
    written = rewritten(text, chance)
    file, found = parse(source_of("t.wright", written))
    assert not found
    assert same(file, parse(source_of("t.wright", text))[0])
    assert scanned(written) == cut(written)
    check(written)


names = st.sampled_from(["a", "b2", "outline", "to", "by", "cowl.mid", "cowl.bow.1.length", "half_angle"])
simple_names = st.sampled_from(
    ["a", "b2", "outline", "to", "by", "x_y", "require_it", "a_rather_long_name_of_it"]
)
units = st.sampled_from(["", " mm", " in", " %", "°", " lb/ft3", " g/m2", " EUR"])
numbers = st.sampled_from(["0", "4.5", "1e-3", "12"])
quantities = st.one_of(
    st.builds("{}{}".format, numbers, units),
    st.builds("{} {}".format, st.sampled_from(["3/16", "1 3/16"]), st.sampled_from(["in", "mm"])),
    st.builds("{} ± {} mm".format, numbers, numbers),
)
texts = st.sampled_from(['""', '"a, b # c"', '"\\"{\\\\"', '"翼 |"'])


def larger(values: st.SearchStrategy[str]) -> st.SearchStrategy[str]:
    lists = st.lists(values, min_size=1, max_size=4).map(", ".join)
    return st.one_of(
        st.builds("({}, {}) {}".format, values, values, st.sampled_from(["mm", "in"])),
        st.builds("[{}]{}".format, lists, st.sampled_from(["", " mm"])),
        st.builds("@half[{}] mm".format, lists),
        st.builds("{}({}, corner = {})".format, names, lists, values),
        st.builds("({}) {} ({})".format, values, st.sampled_from(["+", "-", "*", "/", "^"]), values),
        st.builds("-({})".format, values),
        st.builds("({}) - -b".format, values),
    )


expressions = st.recursive(
    st.one_of(quantities, names, texts, st.sampled_from(["auto", "yes"])), larger, max_leaves=8
)
values = st.one_of(
    expressions, st.builds("({}) {} {}".format, names, st.sampled_from(["by", "to"]), quantities)
)
leaves = st.one_of(
    st.builds("{} = {}".format, simple_names, values),
    st.builds("let {} = {}".format, simple_names, values),
    st.builds('require {} {} ({}) else "why"'.format, names, st.sampled_from([">", "<=", "!="]), expressions),
    st.builds("given {} == ({})".format, names, expressions),
    st.just('accept thin-rim because "so"'),
    st.just("make shop.rib r2"),
    st.just('use "a.wright" as b'),
)
tables = st.lists(st.tuples(st.sampled_from(["", "1", "-20.5", "F1"]), values), max_size=3).map(
    lambda rows: (
        "\n".join(["| a [@mm] | b.c |", *(f"| {first} | {second} |" for first, second in rows)]) + "\n"
    )
)


def blocks(inner: st.SearchStrategy[str]) -> st.SearchStrategy[str]:
    heads = st.builds("{} {}".format, st.sampled_from(["plate", "hole", "barrel"]), simple_names)
    heads = st.one_of(
        heads, st.just("cutting"), st.just("make shop.rib r1"), st.just("recipe rib(a, b = 3 mm)")
    )
    several = st.one_of(
        st.lists(inner, max_size=4).map(", ".join),
        st.lists(st.one_of(inner, tables), max_size=4).map(lambda parts: "\n" + "\n".join(parts) + "\n"),
    )
    return st.builds("{} {{ {} }}".format, heads, several)


statements = st.recursive(leaves, blocks, max_leaves=12)
specs = st.lists(statements, max_size=6).map("\n".join)


@given(specs, st.randoms(use_true_random=False))
def test_whatever_spec_was_written(text: str, chance: random.Random) -> None:
    found = parse(source_of("t.wright", text))[1]
    assume(not found)
    assert scanned(text) == cut(text)
    check(text)
    written = rewritten(text, chance)
    assume(not parse(source_of("t.wright", written))[1])
    assert scanned(written) == cut(written)
    check(written)
