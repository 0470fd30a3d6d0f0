"""The formatter: what it sets right, what it leaves alone, and that it changes nothing that a spec says."""

import time

import pytest
from ringwright.lang.source import source_of
from ringwright.lang.syntax.parse import parse
from ringwright.lang.tidy.tidy import comments, laid_out, same, says_the_same, tidy


def tidied(text: str) -> str:
    """A sound text laid out anew, with what must always hold."""
    source = source_of("t.wright", text)
    result = tidy(source)
    assert result is not None, parse(source)[1]
    assert says_the_same(source, parse(source)[0], result)
    assert laid_out(result) == result
    return result


def block(*lines: str) -> str:
    return "".join(f"{line}\n" for line in lines)


# -- what it sets right -----------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("written", "wanted"),
    [
        ("a=3mm", "a = 3 mm"),
        ("a   =3/16   in±1/64in", "a = 3/16 in ± 1/64 in"),
        ("a = 1 3/16in+/-1 mm", "a = 1 3/16 in +/- 1 mm"),
        ("a=@ - 83mm", "a = @-83 mm"),
        ("a = 30 °", "a = 30°"),
        ("a = 100%", "a = 100 %"),
        ("a=2*b-3/4*c", "a = 2 * b - 3 / 4 * c"),
        ("a = 2*3/32in", "a = 2 * 3/32 in"),
        ("a = -b- -3 mm", "a = -b - -3 mm"),
        ("a = 2^-3", "a = 2 ^ -3"),
        ("a=half [( 0 ,61 ),(38,52) , ]mm", "a = half[(0, 61), (38, 52)] mm"),
        ("a = [ ]", "a = []"),
        ("a = rect( w,h,corner=r )", "a = rect(w, h, corner = r)"),
        ("a=f ( )", "a = f()"),
        ("a = cowl . bow . 1 . length", "a = cowl.bow.1.length"),
        ("a=762mm   by 508mm", "a = 762 mm by 508 mm"),
        ("at=F1  to\tF8", "at = F1 to F8"),
        ("to=spinner", "to = spinner"),
        ('require(a>b)else  "x"', 'require (a > b) else "x"'),
        ("require a>=b", "require a >= b"),
        ("given  a==2*b", "given a == 2 * b"),
        ('accept   thin-rim   because  "ok"', 'accept thin-rim because "ok"'),
        ('use   "a.wright"   as  shop', 'use "a.wright" as shop'),
        ("let  a=[1 ,2]lb/ft3", "let a = [1, 2] lb/ft3"),
        ("make  shop . rib   r1{a=3mm}", "make shop.rib r1 { a = 3 mm }"),
        ("recipe rib ( a ,b=3mm, ){ }", "recipe rib(a, b = 3 mm) { }"),
        ("cutting{tool=laser,}", "cutting { tool = laser }"),
        ("plate back{}", "plate back { }"),
        ("a { b { c { d = 1 mm },e=2mm } }", "a { b { c { d = 1 mm }, e = 2 mm } }"),
        ('a="x ,y  =z"', 'a = "x ,y  =z"'),
    ],
)
def test_blanks_within_a_line(written: str, wanted: str) -> None:
    assert tidied(written) == wanted + "\n"


def test_numbers_are_kept_as_written() -> None:
    text = "a = [040, 4.50, 1e-3, 1E+05, 1  3/16 in, 6/32 in, 007]\n"
    assert tidied(text) == text


def test_equals_signs_of_neighbours_stand_in_line() -> None:
    assert tidied(
        'model mh {\n title="M"\n  # scale\n\tplan_scale=1\n\n units=mm\n let a=1\n let bcd=2\n}'
    ) == block(
        "model mh {",
        '    title      = "M"',
        "    # scale",
        "    plan_scale = 1",
        "",
        "    units = mm",
        "    let a   = 1",
        "    let bcd = 2",
        "}",
    )


def test_a_name_far_longer_than_its_neighbours_pushes_none() -> None:
    text = block("a = 1 mm", "name_of_thirty_letters_or_so_ = 2 mm")
    assert tidied(text) == text


def test_braces_of_neighbours_stand_in_line() -> None:
    assert tidied(
        "station F1{x=0mm}\nstation wing{x=1mm}\n\nstation F22{x=2mm}\nstack s{\nplate p{}\n}\nmake rib r{}\n"
    ) == block(
        "station F1   { x = 0 mm }",
        "station wing { x = 1 mm }",
        "",
        "station F22 { x = 2 mm }",
        "stack s {",
        "    plate p { }",
        "}",
        "make rib r { }",
    )


def test_names_that_were_set_below_one_another_stay_so() -> None:
    assert tidied("s {\n plate  back {}\n barrel drum {}\n cone mid {}\n}") == block(
        "s {", "    plate  back { }", "    barrel drum { }", "    cone   mid  { }", "}"
    )
    assert tidied("s {\n plate back {}\n barrel drum {}\n}") == block(
        "s {", "    plate back  { }", "    barrel drum { }", "}"
    )


def test_braces_are_not_brought_into_line_past_the_longest_line() -> None:
    long = f"hole a {{ outline = rect({', '.join(['11 mm'] * 11)}) }}"
    text = block("p {", "    " + long, "    hole of_seventeen_lett { d = 1 mm }", "}")
    assert len(long) + 4 < 110 < len(long) + 4 + 16
    assert tidied(text) == text


def test_bars_and_decimal_points_of_a_table_stand_in_line() -> None:
    assert tidied(
        'o {\n|station|x[ @ mm ]|half|note|\n# mm\n|F1|0|-4.25|"a|b"|  # first\n\n\n|F10|118.5||r*2|\n}'
    ) == block(
        "o {",
        "    | station | x [@mm] | half  | note  |",
        "    # mm",
        '    | F1      |   0     | -4.25 | "a|b" |  # first',
        "",
        "    | F10     | 118.5   |       | r * 2 |",
        "}",
    )


def test_bars_stand_in_line_below_wide_characters() -> None:
    wide, narrow = tidied('o {\n| a | b |\n| "翼" | 1 |\n| "xx" | 2 |\n}').split("\n")[2:4]
    assert wide == '    | "翼" | 1 |'
    assert narrow == '    | "xx" | 2 |'


def test_a_row_behind_a_brace_or_a_comma_gets_its_own_line() -> None:
    assert tidied("o { | a |\n| 1 |\nb = 2 mm, | c |\n| 3 |\n}") == block(
        "o {", "    | a |", "    | 1 |", "    b = 2 mm", "    | c |", "    | 3 |", "}"
    )


def test_short_blocks_stay_on_one_line_and_long_ones_are_broken() -> None:
    inner = ", ".join(f"property_{n} = {n} mm" for n in range(4))
    fits = f"hole a {{ {inner} }}\n"
    assert tidied(fits) == fits
    assert tidied(f"plate b {{ hole a {{ {inner} }}, d = 1 mm, long_name = auto }} # why") == block(
        "plate b {  # why",
        *(f"    hole a {{ {inner} }}",),
        "    d         = 1 mm",
        "    long_name = auto",
        "}",
    )


def test_a_block_of_several_lines_stays_so_with_its_braces_apart() -> None:
    assert tidied(
        "p front { seat=inside # flush\n\n\n hole inlet { d = 4 mm } } # end\nq { a = 1, b = 2\n}\nr {\n\n}"
    ) == block(
        "p front {",
        "    seat = inside  # flush",
        "",
        "    hole inlet { d = 4 mm }",
        "}  # end",
        "q {",
        "    a = 1, b = 2",
        "}",
        "r {",
        "}",
    )


def test_commas_that_separate_nothing_go() -> None:
    assert tidied("q {\n ,, a = 1,\n b = 2,, c = 3,\n , }") == block(
        "q {", "    a = 1", "    b = 2, c = 3", "}"
    )


def test_statements_on_one_line_are_parted_where_they_are_too_long() -> None:
    long = ", ".join(f"property_{n} = {n} mm" for n in range(6))
    lines = tidied(f"q {{\n {long} # six\n}}").split("\n")
    assert lines[1:-2] == [f"    property_{n} = {n} mm" for n in range(5)] + ["    property_5 = 5 mm  # six"]


def test_lists_keep_their_lines() -> None:
    assert tidied(
        "o=half[(0,1),\n(2,3),\n\n\n  # aft\n (4,5) # tip\n,(6,7)\n]mm\n"
        "longer=[\n1,\n\n2,\n]\n"
        "j=f(g[\n1],\nk(2,\n3))"
    ) == block(
        "o      = half[(0, 1),",
        "              (2, 3),",
        "",
        "              # aft",
        "              (4, 5)  # tip",
        "              , (6, 7)",
        "             ] mm",
        "longer = [",
        "    1,",
        "",
        "    2,",
        "]",
        "j      = f(g[",
        "    1],",
        "           k(2,",
        "             3))",
    )


def test_a_sum_goes_on_behind_its_operator() -> None:
    assert tidied("require a +\n\n  b>\n   c\nd = 10 mm to # far\n 20 mm") == block(
        "require a +", "    b >", "    c", "d = 10 mm to  # far", "    20 mm"
    )


def test_blank_lines() -> None:
    assert tidied("\n\n a = 1\n\n\n\nb {\n\n # first\n\n\n c = 2\n\n}\n\n\n") == block(
        "a = 1", "", "b {", "    # first", "", "    c = 2", "}"
    )


@pytest.mark.parametrize("text", ["", "\n", " \t\n\n", "\ufeff\r\n"])
def test_nothing_stays_nothing(text: str) -> None:
    assert laid_out(text) == ""


def test_line_ends_mark_and_tabs() -> None:
    assert laid_out("\ufeffa = 1 mm\t\r\n\tb\t=\t2 mm\r\n# c\t \r\n") == block("a = 1 mm", "b = 2 mm", "# c")


# -- comments ---------------------------------------------------------------------------------------


def test_comments_at_the_ends_of_lines_stand_in_line() -> None:
    assert tidied("a { # one\n bc = 1 mm # two\n\n d = 2 # three\n} # four") == block(
        "a {            # one",
        "    bc = 1 mm  # two",
        "",
        "    d = 2  # three",
        "}          # four",
    )


def test_comments_stay_in_the_column_where_most_of_them_stand() -> None:
    text = block("a {             # one", "    b   = 1     # two", "    ccc = 2", "}               # three")
    assert tidied(text) == text
    assert tidied(text.replace("1     #", "1   #").replace("    ccc", "ccc")) == text


def test_a_long_line_does_not_push_the_comments_of_others() -> None:
    long = f"outline = half[{', '.join(['(0, 1)'] * 10)}] mm  # long"
    text = block("at      = 3 mm  # short", long, "inset   = 4 mm  # short")
    assert tidied(text) == text


def test_a_comment_that_goes_on_below_goes_on_below() -> None:
    assert tidied("a = 1 # room for\n      # the card\nlonger = 2 # y\n  # own") == block(
        "a      = 1  # room for", "            # the card", "longer = 2  # y", "# own"
    )


def test_comments_in_columns_of_the_screen() -> None:
    assert tidied('a = "翼" # x\nb = "ab" # y\nc = "e\u0301" # z') == block(
        'a = "翼"  # x', 'b = "ab"  # y', 'c = "e\u0301"   # z'
    )


def test_comments_everywhere() -> None:
    text = (
        "# 1\n\na{# 2\n# 3\nb=[# 4\n1,# 5\n# 6\n2# 7\n# 8\n]# 9\n# 10\n}# 11\n# 12\nr(# 13\n".replace(
            "r(", "c=f("
        )
        + ")#14"
    )
    text = text.replace("=f(# 13\n)", "=f(# 13\n3\n)")
    result = tidied(text)
    assert comments(result) == [f"# {n}" for n in range(1, 14)] + ["#14"]
    assert result == block(
        "# 1",
        "",
        "a {         # 2",
        "    # 3",
        "    b = [   # 4",
        "        1,  # 5",
        "        # 6",
        "        2   # 7",
        "        # 8",
        "    ]       # 9",
        "    # 10",
        "}           # 11",
        "# 12",
        "c = f(      # 13",
        "    3",
        ")           #14",
    )


# -- what it leaves alone ---------------------------------------------------------------------------


@pytest.mark.parametrize("text", ["a = 3,5 mm\n", "a = \n", "a { b = 1\n", "a = 3 mmm\n", "plate a\n{\n}\n"])
def test_a_text_with_mistakes_is_left_alone(text: str) -> None:
    assert tidy(source_of("t.wright", text)) is None


def test_a_tidy_spec_stays() -> None:
    text = block(
        "# The shelf",
        "",
        "stock board {",
        "    kind      = foamboard  # or card",
        "    thickness = 4.8 mm",
        "}",
    )
    assert tidied(text) == text


def test_same_sees_what_differs() -> None:
    def tree(text: str) -> object:
        return parse(source_of("t.wright", text))[0]

    assert same(tree("a = 1 mm"), tree("\n a=1mm # x"))
    for other in (
        "a = 2 mm",
        "b = 1 mm",
        "a = 1 cm",
        "a = @1 mm",
        "a = 1",
        "a = 1 mm\nb = 2",
        "let a = 1 mm",
        "",
    ):
        assert not same(tree("a = 1 mm"), tree(other)), other


def test_a_lost_comment_is_seen() -> None:
    source = source_of("t.wright", "a = 1 mm # x\n")
    file, _ = parse(source)
    assert says_the_same(source, file, "a = 1 mm  # x\n")
    assert not says_the_same(source, file, "a = 1 mm\n")
    assert not says_the_same(source, file, "a = 1 mm  # y\n")
    assert not says_the_same(source, file, "a = 1 mm, # x\n")


@pytest.mark.parametrize("lines", ["", "\n"])
def test_deep_blocks(lines: str) -> None:
    assert tidied(f"a {{{lines}" * 190 + f"b = {'(' * 9}1{')' * 9}{lines}" + "}" * 190).count("{") == 190


def test_long_lines() -> None:
    points = ", ".join(f"({n}, {n})" for n in range(5000))
    text = f"outline = polygon[{points}] mm  # all\n"
    assert tidied(text) == text


LONG = """\
stack cowl { # what the plan carves from a block
  from=firewall,to=nose
    outline = @half[(0, 61), (38, 52),
        (51, -20)]mm # as measured

    barrel drum{ diameter=@132±0.5mm,length=38mm }
    | station | x [@mm] | half |
    | F1 | 0 | 44.5 |
}
"""


def test_a_thousand_lines_take_no_time() -> None:
    text = LONG * 125
    start = time.process_time()
    laid_out(text)
    assert text.count("\n") > 1000
    assert time.process_time() - start < 10  # a guard against hanging
