"""Mistakes as builders make them: each gives its own finding, at its place, and no other."""

import pytest
from ringwright.lang import pipeline
from ringwright.lang.design.making import Unsettled

STACK = "stack s {{ stock = board{more}\n{inside}\n}}"
FORMER = "former F {{ at = 10 mm, stock = board, outline = circle(100 mm){more}\n}}"


def stack(inside, more=""):
    return STACK.format(inside=inside, more=more)


def former(more):
    return FORMER.format(more=more)


BARREL = "barrel b { diameter = 90 mm, length = 20 mm }"
# What is written below a model and three stocks (four lines), the finding, its line and column there, and words of it.
MISTAKES = [
    # -- names
    ("stock unknown", "former F { at = 10 mm, stock = bord, outline = circle(9 mm) }", "unknown-name", 1, 32, "did you mean 'board'?"),
    ("name unknown", "let a1 = nowhere + 3 mm", "unknown-name", 1, 10, "nothing here is called 'nowhere'"),
    ("dimension unknown", former("") + "\nrequire F.widht > 3 mm", "unknown-name", 3, 9, "did you mean 'width'?"),
    ("kind unknown", "fromer F { }", "unknown-kind", 1, 1, "did you mean 'former'?"),
    ("property unknown", stack("barrel b { diameter = 90 mm, lenght = 20 mm, length = 3 mm }"), "unknown-property", 2, 30, "did you mean 'length'?"),
    ("word unknown", former(", face = afft"), "unknown-word", 1, 72, "did you mean 'aft'?"),
    ("function unknown", former(", inset = sqroot(9 mm2)"), "unknown-function", 1, 73, "there is no function 'sqroot'"),
    ("unit unknown", former(", inset = 3 mmm"), "unknown-unit", 1, 75, "did you mean 'mm'?"),
    ("a unit as a name", "let m = 3 mm", "reserved-word", 1, 5, ""),
    ("two of a name", former("") + "\n" + former(""), "name-taken", 3, 8, "'F' is the name of another component here"),
    ("given twice", former(", at = 11 mm"), "given-twice", 1, 65, "'at' is given twice"),
    ("let twice", "let a1 = 3 mm\nlet a1 = 4 mm", "given-twice", 2, 5, "'a1' is given twice"),
    ("no stock of that name", "former F { at = 10 mm, stock = balsa, outline = circle(9 mm) }", "unknown-name", 1, 32, "the stocks here are board, card, ply; to take one of another file"),
    ("one missing stock, used thrice", "\n".join(f"former F{n} {{ at = {n} mm, stock = balsa, outline = circle(9 mm) }}" for n in (1, 2, 3)), "unknown-name", 1, 32, ""),
    ("element unknown", stack(f"{BARREL}\nplate p {{ seat = inside, within = xy }}"), "unknown-name", 3, 35, "here it is one of b"),
    ("text without quotes", former(", quantity = 2") + "\nstock s2 { title = Skimmer, kind = foam, thickness = 3 mm, sheet = 9 mm by 9 mm }", "wrong-type", 3, 20, 'write title = "Skimmer"'),
    ("a sliver", "former F { at = 1 mm, stock = board, outline = polygon[(0, 0), (90, 0), (90, 0.2)] mm }", "no-size", 1, 8, "'F' would be 90 by 0.2 mm"),
    # -- files
    ("missing file", 'use "nothere.wright"', "missing-file", 1, 5, "there is no file 'nothere.wright'"),
    ("file outside", 'use "../stock.wright"', "outside-project", 1, 5, ""),
    ("file uses itself", 'use "main.wright"', "use-cycle", 1, 1, "main.wright → main.wright"),
    ("a name in quotes", 'former F { at = 10 mm, stock = "board", outline = circle(9 mm) }', "wrong-type", 1, 32, "a name stands without quotes: write stock = board"),
    ("a station in quotes", 'station S1 { x = 1 mm }\nformer F { at = "S1", stock = board, outline = circle(9 mm) }', "wrong-type", 2, 17, "write at = S1"),
    ("a word in quotes", former(', face = "aft"'), "unknown-word", 1, 72, "write face = aft"),
    ("a function without values", "former F { at = 10 mm, stock = board, outline = rect }", "wrong-arguments", 1, 49, "'rect' is a function, and here it has no values write rect(width, height"),
    ("a value too many", "former F { at = 1 mm, stock = board, outline = circle(8 mm, 9 mm) }", "wrong-arguments", 1, 61, "circle takes 1 value, not 2"),
    ("a hole by the name of its size", "let rod = 2 mm\n" + former("\nhole rod { diameter = rod }"), "not-a-value", 3, 23, "'rod' here is the hole itself, which hides the named value 'rod'"),
    ("the same in a sum", "let rod = 2 mm\n" + former("\nhole rod { diameter = rod + 1 mm }"), "not-a-value", 3, 23, "give one of them another name"),
    ("a misspelt stock", "former F { at = 1 mm, stok = board, outline = circle(9 mm) }", "unknown-property", 1, 23, "did you mean 'stock'?"),
    ("a misspelt outline", "former F { at = 1 mm, stock = board, outlin = circle(9 mm) }", "unknown-property", 1, 38, "did you mean 'outline'?"),
    ("a misspelt stock of a stack", "stack s { stok = board\n" + BARREL + "\n}", "unknown-property", 1, 11, "did you mean 'stock'?"),
    ("what an unknown kind is called", "stok foam { kind = foam, thickness = 3 mm, sheet = 9 mm by 9 mm }\nformer F { at = 1 mm, stock = foam, outline = circle(9 mm) }", "unknown-kind", 1, 1, "did you mean 'stock'?"),
    ("what the second of two holds", stack(BARREL) + "\n" + stack(BARREL.replace(" b ", " c ")) + "\nrequire s.c.length > 3 mm", "name-taken", 4, 7, ""),
    ("a recipe without brackets", "recipe r {\npanel p { stock = board, outline = circle(8 mm) }\n}\nmake r r1", "unexpected-text", 1, 10, "write recipe r() {"),
    # -- tables
    ("a misspelt column", "offsets f {\nsection = box\n| station | x [mm] | half [mm] | top [mm] | bottm [mm] |\n| A1 | 1 | 20 | 20 | -20 |\n| A2 | 99 | 20 | 20 | -20 |\n}\nformer F { at = A1, stock = board }", "bad-table", 3, 45, "did you mean 'bottom'?"),
    ("a column that there is not", "offsets f {\n| station | x [mm] | half [mm] | colour |\n| A1 | 1 | 20 | red |\n}\nlet a1 = f.half(1 mm)", "bad-table", 2, 34, "its columns are station, x"),
    ("columns without a unit", "offsets f {\n| station | x | half | top [mm] |\n| A1 | 1 | 20 | 3 |\n| A2 | 9 | -20 | 3 |\n}\nlet a1 = f.half(1 mm)", "missing-unit", 2, 13, "the cells of 'x' and 'half' are lengths and need a unit write it in the column's head: x [mm]"),
    # -- units and dimensions
    ("a size without its unit", "stock st { kind = ply, thickness = 3 mm, sheet = 300 by 200 }", "missing-unit", 1, 50, "write sheet = 300 by 200 mm, or in"),
    ("half a size without its unit", "stock st { kind = ply, thickness = 3 mm, sheet = 300 mm by 200 }", "missing-unit", 1, 50, "write sheet = 300 mm by 200 mm"),
    ("too large a power", "let a1 = 9^9^9^9", "not-finite", 1, 10, "this power is beyond what can be reckoned with"),
    ("no unit", "former F { at = 10, stock = board, outline = circle(9 mm) }", "missing-unit", 1, 17, "is a length and needs a unit"),
    ("no unit in a list", "former F { at = 1 mm, stock = board, outline = polygon[(0, 0), (9, 0), (0, 9)] }", "missing-unit", 1, 55, "behind the list"),
    ("wrong unit", "former F { at = 10 g, stock = board, outline = circle(9 mm) }", "unit-mismatch", 1, 17, "is a length, not a mass"),
    ("an angle without a unit", stack("cone k { start = 90 mm, end = 80 mm, half_angle = 20 }"), "missing-unit", 2, 51, "is an angle and needs a unit"),
    ("a sum of two sorts", "let a1 = 3 mm + 3 g", "unit-mismatch", 1, 10, "a length cannot be added to a mass"),
    ("a share of the chord without its %", "wing main { at = 60 mm, span = 600 mm, root = 120 mm, tip = 70 mm, aerofoil = aerofoil(\"2412\"), build = ribs, ribs = 60 mm, stock = board\n    spar web { at = 30, stock = ply }\n}", "missing-unit", 2, 21, "did you mean 30 %, or 30 mm?"),
    ("a share in behind() without its %", "wing main { at = 60 mm, span = 600 mm, root = 120 mm, tip = 70 mm, stock = board }\nlet a1 = behind(main, 28)", "missing-unit", 2, 23, "did you mean 28 %, or 28 mm?"),
    ("+- for ±", "let a1 = 120 g +-4 g", "unexpected-text", 1, 16, "write ± or +/-"),
    ("a text without quotes, a dash in it", "model kite {\n    title = Kite, low-wing sport\n}", "unexpected-text", 2, 13, 'write title = "Kite, low-wing sport"'),
    ("a text in typographic quotes, a comma in it", "stock st {\n    title = “Kite, low-wing sport”\n}", "unexpected-character", 2, 13, 'write "Kite, low-wing sport"'),
    ("a ratio with a colon", "let a1 = 1:1.2", "unexpected-character", 1, 10, "write 1 / 1.2 or 1.2 / 1"),
    ("a size of three", "let a1 = 70 mm by 35 mm by 22 mm", "unexpected-text", 1, 25, "three lengths are a point"),
    ("a measure without its =", "wing main {\n    ribs  75 mm   # apart\n}", "missing-equals", 2, 5, "write ribs = 75 mm"),
    ("a minus before a diameter", stack("barrel b { diameter = -90 mm, length = 20 mm }"), "impossible-dimension", 2, 12, "is the minus sign meant?"),
    ("a comparison with a bare number", "let a1 = 30 mm\nrequire a1 > 20", "unit-mismatch", 2, 9, "give the bare number a unit: mm"),
    ("a load without its unit", "load motor { mass = 62 g, at = 190 }", "missing-unit", 1, 32, "is a length and needs a unit"),
    ("a lap without its brackets", stack("barrel b { diameter = 90 mm, length = 20 mm, seam = lap 4 mm }"), "unexpected-text", 2, 57, "write lap(4 mm)"),
    ("digits without quotes", "wing main { at = 60 mm, span = 600 mm, root = 120 mm, tip = 70 mm, stock = board, aerofoil = aerofoil(2412) }", "wrong-type", 1, 103, 'the digits of aerofoil are a text in quotes write aerofoil("2412")'),
    ("decimal comma", former(", inset = 4,8 mm"), "decimal-comma", 1, 73, "write 4.8"),
    ("inch mark", former(', inset = 3/16"'), "inch-mark", 1, 73, "write 3/16 in"),
    ("mixed fraction with a dash", former(", inset = 1-3/16 in"), "mixed-fraction", 1, 73, "write 1 3/16"),
    ("diameter mark", former(", inset = ø132"), "diameter-mark", 1, 73, ""),
    ("@ before a name", former(", inset = @board.thickness"), "measured-name", 1, 73, ""),
    ("@ before an angle", "let a1 = @3 deg", "scale-misplaced", 1, 10, "this is an angle"),
    # -- how it is written
    ("brace not closed", "former F { at = 10 mm, stock = board, outline = circle(9 mm)\n", "unclosed-brace", 1, 10, ""),
    ("brace too many", former("") + "\n}", "extra-brace", 3, 1, ""),
    ("bracket not closed", "let a1 = (3 mm + 4 mm\nlet b = 4 mm", "unclosed-bracket", 1, 10, ""),
    ("string not closed", 'stock s { title = "x\n}', "unterminated-string", 1, 19, ""),
    ("one equals sign", "let a1 = 3 mm\nrequire a1 = 4 mm", "single-equals", 2, 12, ""),
    ("property at the top", "inset = 3 mm", "misplaced", 1, 1, "let inset"),
    ("barrel in a former", former("\n" + BARREL), "misplaced", 2, 1, "a barrel stands in a stack, not in a former"),
    ("hole at the top", "hole h { diameter = 3 mm }", "misplaced", 1, 1, "not at the top of a file"),
    ("accept at the top", 'accept thin-rim because "x"', "misplaced", 1, 1, ""),
    ("a table where none is", former("\n| a | b |\n| 1 | 2 |"), "no-table-here", 2, 3, "a former takes no table"),
    ("given with >", "let a1 = 3 mm\ngiven a1 > 4 mm", "given-needs-equality", 2, 7, ""),
    ("require of one value", "let a1 = 3 mm\nrequire a1", "not-a-comparison", 2, 9, ""),
    # -- values that go round in circles
    ("a circle of lets", "let a1 = b\nlet b = a1", "circular-value", 1, 5, "a1 → b → a1"),
    ("a let by itself", "let a1 = a1 + 1 mm", "circular-value", 1, 5, "a1 → a1"),
    # -- components
    ("no outline", "former F { at = 10 mm, stock = board }", "missing-property", 1, 8, "needs 'outline'"),
    ("no stock", "former F { at = 10 mm, outline = circle(9 mm) }", "missing-property", 1, 8, "stock = board"),
    ("no place", "former F { stock = board, outline = circle(9 mm) }", "missing-property", 1, 8, "there is no station 'F'"),
    ("no sheet", "stock foam { kind = foam, thickness = 3 mm }", "missing-property", 1, 7, "needs 'sheet'"),
    ("empty stack", "stack s { stock = board }", "empty-stack", 1, 7, "no elements"),
    ("stack of plates inside", stack("plate p { seat = inside }"), "no-neighbour", 2, 7, "no barrel, cone or ring"),
    ("straddle at an end", stack(BARREL + "\nplate p { seat = straddle }"), "no-neighbour", 3, 7, "between two"),
    ("within a plate", stack(BARREL + "\nplate p { }\nplate q { seat = inside, within = p }"), "wrong-type", 4, 35, "a barrel, a cone, a ring"),
    ("no direction", stack(BARREL, ", from = 3 mm"), "no-direction", 1, 7, "which way does it run?"),
    ("a seam without its width", stack("barrel b { diameter = 90 mm, length = 20 mm, seam = lap }"), "wrong-type", 2, 53, "lap(width)"),
    # -- solving
    ("one length too few", stack("barrel b { diameter = 90 mm }"), "under-determined", 2, 8, "one length too few"),
    ("two lengths too many", stack(BARREL, ", overall = 21 mm"), "over-determined", 1, 7, "differ by 1 mm"),
    ("diameters that do not meet", stack(BARREL + "\nbarrel c { diameter = 80 mm, length = 9 mm }"), "over-determined", 3, 8, "differ by 10 mm"),
    ("a given that cannot hold", "let a1 = 3 mm\ngiven a1 == 4 mm", "over-determined", 2, 1, "differ by 1 mm"),
    ("nothing left to share", stack(BARREL + "\nbarrel c { }", ", overall = 15 mm"), "impossible-dimension", 1, 7, "s.c.length would be -5 mm"),
    ("two cones fit", stack("cone k { end = 60 mm, length = 20 mm, half_angle = 10 deg }"), "two-solutions", 2, 6, "52.947 mm or 67.053 mm: say which write taper = narrows in s.k for 67.053 mm, taper = widens for 52.947 mm"),
    ("shares and a given that do not go together", stack("cone n1 { start = 40 mm, end = 30 mm, share = 1 }\ncone n2 { share = 1, end = 20 mm }\ncone n3 { end = 12 mm }", ", overall = 80 mm") + "\ngiven s.n2.half_angle == 0.5 * s.n1.half_angle", "no-solution", 6, 1, "the shares and the given do not go together"),
    ("a given in the place of shares", stack("cone n1 { start = 40 mm, end = 30 mm }\ncone n2 { end = 20 mm }\ncone n3 { end = 12 mm }", ", overall = 80 mm") + "\ngiven s.n2.half_angle == 0.5 * s.n1.half_angle", "under-determined", 2, 6, "or write share = 1 in those that are to be equal still"),
    ("an angle typed too large", stack("cone k { start = 90 mm, half_angle = 95 deg, length = 9 mm, taper = widens }"), "impossible-dimension", 2, 25, "s.k.half_angle is 95°; it cannot be more than 88.998° write less here"),
    ("a cone that goes the other way", stack("cone k { start = 90 mm, end = 120 mm, length = 9 mm, taper = narrows }"), "impossible-dimension", 2, 6, "write taper = widens, or change"),
    ("a cone of no taper with an angle", stack("cone k { start = 90 mm, end = 90 mm, half_angle = 10 deg }"), "impossible-dimension", 2, 6, "s.k.length would be 0 mm"),
    ("no place to be used", stack(BARREL) + "\nlet a1 = s.b.x_end", "not-known", 4, 1, "once it has a 'from' or a 'to'"),
    ("a size that needs itself", "former F { at = 1 mm, stock = board, outline = circle(F.width) }", "circular-value", 1, 8, "the part needs it first"),
    ("not so", "let a1 = 3 mm\nrequire a1 > 4 mm", "requirement", 2, 9, "the difference is 1 mm"),
    # -- parts
    ("wall thicker than the radius", stack("plate p { seat = inside }\nbarrel b { diameter = 9 mm, length = 20 mm }"), "wall-too-thick", 3, 8, "nothing is left in 9 mm, it needs 9.6 mm make it wider, or take a thinner stock"),
    ("wall thicker at the small end", stack("cone k { start = 90 mm, end = 5 mm, length = 20 mm }"), "wall-too-thick", 2, 6, ""),
    ("plate thicker than its barrel", stack("barrel b { diameter = 90 mm, length = 3 mm }\nplate p { seat = inside }"), "plate-too-thick", 3, 7, "1.8 mm too far take a thinner stock for the plate"),
    ("part too big", "panel P { stock = board, outline = rect(760 mm, 300 mm) }", "part-too-big", 1, 7, "14 mm too long make it smaller or in two parts, or give its stock a larger sheet"),
    ("a sheet that is all margin", "stock st { kind = ply, thickness = 3 mm, sheet = 10 mm by 10 mm }\npanel P { stock = st, outline = circle(5 mm) }", "part-too-big", 2, 7, "give its stock a larger sheet, or cutting a smaller margin"),
    ("a rim that is too wide", former("\nhole h { rim = 51 mm }"), "inset-too-deep", 2, 6, "a rim of 51 mm leaves nothing of this outline: 1 mm too much take less of it"),
    ("a size that is found", "panel P { stock = board, outline = rect(60 mm, 40 mm), width = 60 mm }", "unknown-property", 1, 56, "the 'width' of a panel is found, not given to have it checked write require width == …"),
    ("two hands", "recipe w() { panel p { stock = board, outline = rect(60 mm, 20 mm), hand = both } }\nmake w w1 { hand = left }", "hand-twice", 1, 69, "leave one of them out: the make's hand is that of all it makes"),
    ("hole larger than its plate", former("\nhole h { diameter = 120 mm }"), "hole-outside", 2, 6, "reaches 10 mm over the edge"),
    ("two holes run into one another", former("\nhole h { diameter = 20 mm }\nhole k { diameter = 20 mm, at = (15 mm, 0 mm) }"), "hole-outside", 2, 6, "reaches 5 mm over hole 'k'"),
    ("a circle of no size", "former F { at = 1 mm, stock = board, outline = circle(0 mm) }\nlet a1 = F.width", "no-size", 1, 48, ""),
    ("an outline that crosses itself", "former F { at = 1 mm, stock = board, outline = polygon[(0, 0), (9, 9), (9, 0), (0, 9)] mm }", "crosses-itself", 1, 48, ""),
    ("inset too deep", former(", inset = 60 mm"), "inset-too-deep", 1, 8, "10 mm too much"),
    ("a sheet of no size", "stock f { kind = foam, thickness = 3 mm, sheet = 0 mm by 9 mm }\npanel P { stock = f, outline = circle(9 mm) }\npanel Q { stock = f, outline = circle(9 mm) }", "no-size", 1, 7, ""),
    ("score over the edge", "panel P { stock = board, outline = circle(9 mm)\nscore k { from = (0 mm, 0 mm), to = (9 mm, 0 mm) } }", "score-outside", 2, 7, ""),
]  # fmt: skip


@pytest.mark.parametrize(
    ("text", "code", "line", "column", "says"), [m[1:] for m in MISTAKES], ids=[m[0] for m in MISTAKES]
)
def test_a_mistake_is_said_once_where_it_is(judged, text, code, line, column, says):
    found = judged(text)
    assert found.errors == [code], found.said
    assert found.position(code) == (line + 4, column)
    finding = found.the(code)
    assert says in finding.message + " " + finding.help


def test_the_value_that_a_component_hides_is_shown(judged):
    found = judged("let rod = 2 mm\n" + former("\nhole rod { diameter = rod }"))
    (label,) = found.the("not-a-value").labels
    assert label.text == "this one is hidden"
    assert found.compiled.project.sources["main.wright"].position(label.span.start) == (5, 5)


def test_a_value_by_the_name_of_a_station_is_noted(judged):
    found = judged("station F1 { x = 9 mm }\nlet F1 = 3 mm\n" + former("").replace("10 mm", "F1"))
    assert [finding.code for finding in found.findings] == ["hidden-name"]
    assert found.position("hidden-name") == (6, 5)
    assert "where a place is wanted, 'F1' is the station" in found.the("hidden-name").message
    assert found.value("F.at") == 9


def test_a_given_in_the_place_of_shares_and_a_wrong_taper_are_shown(judged):
    cones = "barrel n1 { diameter = 40 mm }\nbarrel n2 { }\nbarrel n3 { }"
    found = judged(stack(cones, ", overall = 80 mm") + "\ngiven s.n2.length == 0.5 * s.n1.length")
    label = found.the("under-determined").labels[-1]
    assert label.text == "this took the place of equal shares"
    assert found.compiled.project.sources["main.wright"].position(label.span.start) == (10, 1)
    found = judged(stack("cone k { start = 90 mm, end = 120 mm, length = 9 mm, taper = narrows }"))
    label = found.the("impossible-dimension").labels[-1]
    assert label.text == "it narrows, as said here"
    assert found.compiled.project.sources["main.wright"].position(label.span.start) == (6, 54)


def test_both_hands_are_shown(judged):
    found = judged(
        "recipe w() { panel p { stock = board, outline = rect(60 mm, 20 mm), hand = both } }\nmake w w1 { hand = left }"
    )
    (label,) = found.the("hand-twice").labels
    assert label.text == "made with hand = left"
    assert found.compiled.project.sources["main.wright"].position(label.span.start) == (6, 8)


def test_what_a_recipe_makes_is_shown_at_warnings_too(judged):
    text = "recipe w() { stack t { stock = board\nbarrel d { diameter = 90 mm, length = 20 mm }\nplate p { hole h { diameter = 5 mm, at = (40 mm, 0 mm) } } } }\n"
    found = judged(text + "make w a\nmake w b\n")
    thin = found.the("thin-rim")
    lines = [
        found.compiled.project.sources["main.wright"].position(label.span.start)[0] for label in thin.labels
    ]
    assert ([label.text for label in thin.labels], lines) == (["made here", "made here"], [8, 9])


def test_a_row_that_runs_back_is_doubted(judged):
    table = "offsets f {{\n| station | x [mm] | half [mm] |\n| A | {} | 2 |\n| B | {} | 2 |\n| C | {} | 2 |\n| D | {} | 2 |\n}}"
    for xs, line in (((0, 50, 40, 90), 9), ((0, 90, 20, 30), 9), ((90, 50, 60, 0), 9), ((5, 0, 10, 20), 8)):
        found = judged(table.format(*xs))
        assert (found.warnings, found.position("row-out-of-order")) == (["row-out-of-order"], (line, 3))
    assert not judged(table.format(0, 1, 2, 3)).findings
    assert not judged(table.format(3, 2, 1, 0)).findings


def test_files_that_use_one_another(judged):
    found = judged('use "a.wright"', a='use "b.wright"', b='use "a.wright"')
    assert found.errors == ["use-cycle"]
    assert found.the("use-cycle").span.source == "b.wright"


def test_no_model_and_two(compiled, judged):
    assert compiled("let a1 = 3 mm").errors == ["no-model"]
    assert judged('model second { title = "S" }').errors == ["given-twice"]


def test_independent_mistakes_are_all_said(judged):
    found = judged(
        former(", inset = 3 g")
        + "\nlet a1 = nowhere\nstack s { stock = board }\nfromer G1 { }\n"
        + stack("barrel b { diameter = 9 mm, length = 3 mm }").replace("stack s", "stack r")
    )
    assert sorted(found.errors) == [
        "empty-stack",
        "unit-mismatch",
        "unknown-kind",
        "unknown-name",
        "wall-too-thick",
    ]


def test_a_statement_that_cannot_be_read_makes_nothing_else_seem_missing(judged):
    found = judged("former F { at = 10 mm, stock = board\n outline = circle(9 mm\n }\nlet d = 3 mm +\n")
    assert not {"missing-property", "unknown-name", "empty-stack"} & set(found.errors)


def test_a_broken_dimension_is_not_reported_again_by_what_leans_on_it(judged):
    found = judged(
        "station A { x = 3 g }\nstack s { from = A, to = A + 60 mm, stock = board\n barrel b { diameter = nowhere }\n cone k { end = 50 mm } }\n"
        "require s.b.length > 3 mm\nlet d = s.b.diameter"
    )
    assert sorted(found.errors) == ["unit-mismatch", "unknown-name"]


def test_every_mistake_is_written_in_plain_words(judged):
    for _, text, code, *_ in MISTAKES:
        finding = judged(text).the(code)
        assert finding.message
        assert not finding.message.endswith(".")
        for word in ("None", "Traceback", "Constant(", "Amount(", "nan", "equation", "matrix", "Unknown("):
            assert word not in finding.message + finding.help


def test_a_part_that_is_left_out_is_never_left_unsaid(judged, monkeypatch):
    """Should a kind miss a value of which nobody has reported the lack, that is an error of its own."""

    plant = pipeline.plant

    def unsettled(_maker, component):
        raise Unsettled(f"{component.id}.width")

    def planted(project):
        tree, findings = plant(project)
        former = tree.components["F"]
        blind = former._replace(kind=former.kind._replace(parts=unsettled))
        return tree._replace(components={**tree.components, "F": blind}), findings

    monkeypatch.setattr(pipeline, "plant", planted)
    found = judged(former(""))
    assert found.errors == ["not-known"]
    assert found.underlined("not-known") == "F"
    assert "nothing says 'F.width'" in found.the("not-known").message


def test_of_many_formers_the_one_that_is_wrong_is_named(judged):
    """One statement stands for five of them: each finding says which, and shows the row of its station."""
    rows = "".join(
        f"| F{i} | {60 * i} | 30 | 30 | {bottom} |\n" for i, bottom in enumerate((-30, -30, 35, -30))
    )
    table = f"offsets fuse {{\nsection = box\n| station | x [mm] | half [mm] | top [mm] | bottom [mm] |\n{rows}}}\n"
    outcome = judged(f"{table}formers frames {{ at = F0 to F3, stock = board }}")
    (found,) = [finding for finding in outcome.findings if finding.code == "no-size"]
    assert found.message.startswith("former 'F2': the section would be -5 mm")
    (label,) = found.labels
    assert outcome.compiled.project.sources["main.wright"].words(label.span) == "F2"


def test_the_piece_without_a_place_is_named(judged):
    """The others of its strip have theirs."""
    text = (
        "strip spruce {\n    section = 4 mm by 4 mm, length = 1 m, density = 450 kg/m3\n"
        "    piece leg { from = (0 mm, 0 mm, 0 mm), to = (0 mm, 60 mm, 0 mm) }\n    piece skid { length = 50 mm }\n}\n"
        "load motor { mass = 60 g, at = 0 mm }\nbalance { target = 10 mm, ballast_at = 0 mm }\n"
    )
    outcome = judged(text)
    assert outcome.the("no-place").message.startswith("'spruce.skid' has no place in the aircraft")
    assert outcome.underlined("no-place") == "skid"


WHOLE = """\
offsets fuse {
    section = box
    | station | x [mm] | half [mm] | top [mm] | bottom [mm] |
    | F1      |   0    | 40        | 40       | -40         |
    | F2      | 100    | 40        | 40       | -40         |
    | F3      | 200    | 40        | 40       | -40         |
}
body hull {
    offsets = fuse
    stock   = board
    side    { hole cool { diameter = 10 mm, at = (50 mm, -24 mm) } }
    formers { hole pushrod { diameter = 3 mm, at = (4 mm, -20 mm) } }
}
wing main { at = (40 mm, 0 mm, 0 mm), span = 600 mm, root = 120 mm, tip = 90 mm, stock = board, aerofoil = aerofoil("2412") }
saddle { wing = main, open = above }
"""


@pytest.mark.parametrize(
    ("was", "written", "code", "under"),
    [
        ("stock   = board", "stock   = bord", "unknown-name", "bord"),
        ("offsets = fuse\n", "offsets = fus\n", "unknown-name", "fus"),
        ("section = box", "section = square", "unknown-word", "square"),
        ("at = (40 mm, 0 mm, 0 mm)", "at = (40 mm, 0 mm)", "wrong-type", "(40 mm, 0 mm)"),
    ],
)
def test_nothing_else_is_said_of_what_leans_on_a_slip(judged, was, written, code, under):
    assert judged(WHOLE).findings == ()
    outcome = judged(WHOLE.replace(was, written, 1))
    assert [finding.code for finding in outcome.findings] == [code], outcome.said
    assert outcome.underlined(code) == under
    assert not outcome.the(code).labels


def test_a_misspelt_plan_scale_is_all_that_is_said(compiled):
    """All sizes follow from it: a rim of 3 mm is 6 mm at 200 %."""
    text = (
        'model kite { title = "Kite", plan_scale = 200 % }\n'
        "stock board { kind = foamboard, thickness = 4.8 mm, sheet = 762 mm by 508 mm, mass = 410 g/m2 }\n"
        "panel floor { outline = @circle(30 mm), stock = board, hole h { diameter = @24 mm } }\n"
    )
    assert compiled(text).findings == ()
    assert [f.code for f in compiled(text.replace("plan_scale", "planscale")).findings] == [
        "unknown-property"
    ]
