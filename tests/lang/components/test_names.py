"""What a name means where it stands."""

import pytest

FORMER = "former F {{ at = {at}, stock = board, outline = circle(100 mm){more} }}\n"


def test_own_let_before_that_of_the_file(built):
    found = built(
        "let d = 9 mm\nformer F { let d = 3 mm\n at = d, stock = board, outline = circle(100 mm)\n hole h { diameter = d } }\nlet e = d"
    )
    assert found.value("F.at") == 3
    assert found.value("F.h.diameter") == 3
    assert found.value("e") == 9
    assert [finding.code for finding in found.findings] == ["hidden-name"]
    assert found.the("hidden-name").severity == "note"


def test_a_property_that_is_merely_possible_hides_nothing_further_out(built):
    # A stack could have a bore; its barrel means the file's.
    found = built(
        "let bore = 20 mm\nstack s { stock = board\n barrel b { diameter = 90 mm, length = bore } }"
    )
    assert found.value("s.b.length") == 20


def test_siblings_and_paths_reach_into_components(built):
    found = built(
        "stack s { stock = board\n barrel b { diameter = 90 mm, length = 20 mm }\n barrel c { length = b.length / 2 }\n"
        " barrel d { length = s.c.length / 2 } }"
    )
    assert found.value("s.d.length") == 5


def test_an_own_property_is_never_one_further_out(judged):
    found = judged(
        "let length = 30 mm\nstack s { stock = board\n barrel b { diameter = 90 mm, length = length } }"
    )
    assert found.errors == ["circular-value"]
    assert found.underlined("circular-value") == "length"


@pytest.mark.parametrize(
    "text",
    [
        "let board = 3 mm\n",
        "let d = 3 mm\nformer d { at = 0 mm, stock = board, outline = circle(50 mm) }\n",
        FORMER.format(at="0 mm", more="\n let h = 3 mm\n hole h { diameter = 3 mm }"),
        FORMER.format(at="0 mm", more="\n let width = 3 mm"),
        FORMER.format(at="0 mm", more="\n hole outline { diameter = 3 mm }"),
        "stack station { stock = board\n barrel b { diameter = 90 mm, length = 9 mm } }\n",
    ],
)
def test_two_of_a_name_on_one_level_are_an_error(judged, text):
    assert judged(text).errors == ["name-taken"]


def test_a_former_and_a_station_may_share_a_name(built):
    assert built("station F { x = 3 mm }\n" + FORMER.format(at="F", more="")).value("F.at") == 3


def test_used_names_are_there_without_their_file(built):
    found = built('use "lib.wright"\n' + FORMER.format(at="d", more=""), lib="let d = 7 mm")
    assert found.value("F.at") == 7


def test_used_under_a_name_they_are_there_by_it_only(judged):
    files = {"lib": "let d = 7 mm\nstock foam { kind = foam, thickness = 6 mm, sheet = 300 by 200 mm }"}
    found = judged(
        'use "lib.wright" as shop\nformer F { at = shop.d, stock = shop.foam, outline = circle(50 mm) }',
        **files,
    )
    assert not found.errors
    assert found.part("F").stock.thickness == 6
    assert judged('use "lib.wright" as shop\n' + FORMER.format(at="d", more=""), **files).errors == [
        "unknown-name"
    ]
    assert judged('use "lib.wright" as shop\n' + FORMER.format(at="shop", more=""), **files).errors == [
        "not-a-value"
    ]


def test_use_is_not_passed_on(judged):
    found = judged(
        'use "a.wright"\n' + FORMER.format(at="d", more=""), a='use "b.wright"\nlet e = d', b="let d = 7 mm"
    )
    assert found.errors == ["unknown-name"]
    assert "did you mean" not in found.the("unknown-name").help or "'d'" not in found.the("unknown-name").help


def test_the_same_file_twice_is_one_file(built):
    found = built(
        'use "a.wright"\nuse "b.wright"\nuse "a.wright"\n' + FORMER.format(at="d + e", more=""),
        a="let d = 7 mm",
        b='use "a.wright"\nlet e = d',
    )
    assert found.value("F.at") == 14


def test_a_name_that_two_files_bring_in_is_ambiguous_only_where_it_is_used(judged):
    files = {"a": "let d = 7 mm\nlet e = 1 mm", "b": "let d = 8 mm"}
    text = 'use "a.wright"\nuse "b.wright"\n'
    assert not judged(text + FORMER.format(at="e", more=""), **files).errors
    found = judged(text + FORMER.format(at="d", more=""), **files)
    assert found.errors == ["ambiguous-name"]


def test_the_specs_own_name_hides_that_of_a_used_file(built):
    found = built(
        'use "lib.wright"\nlet d = 1 mm\n' + FORMER.format(at="d", more=""),
        lib="let d = 7 mm\nlet twice = d * 2",
    )
    assert found.value("F.at") == 1
    assert found.value("lib:twice") == 14
    assert [finding.code for finding in found.findings] == ["hidden-name"]


def test_files_whose_names_clash_keep_stocks_of_their_own(judged):
    stock = "stock board {{ kind = foamboard, thickness = {} mm, sheet = 300 by 200 mm }}\n"
    found = judged(
        'use "lib.wright" as lib\npanel P { stock = board, outline = circle(50 mm) }\npanel Q { stock = lib.board, outline = circle(50 mm) }',
        lib=stock.format(3),
    )
    assert not found.errors
    assert (found.part("P").stock.thickness, found.part("Q").stock.thickness) == (4.8, 3.0)
    assert found.part("P").stock.name != found.part("Q").stock.name


def test_unnamed_components_are_numbered_in_their_order(built):
    found = built(
        FORMER.format(
            at="0 mm", more="\n hole { diameter = 6 mm }\n hole { diameter = 5 mm, at = (20 mm, 0 mm) }"
        )
    )
    assert found.value("F.hole_1.diameter") == 6
    assert found.value("F.hole_2.diameter") == 5


@pytest.mark.parametrize(
    ("name", "message", "help"),
    [
        ("F.widht", "nothing in former 'F' is called 'widht'", "did you mean 'width'?"),
        ("F.x.y", "'x' is a value: it has no 'y'", ""),
        ("F", "'F' is a former, not a quantity", "name one of its dimensions, such as F.x"),
        ("F.outline", "a quantity is wanted here, not a shape", ""),
        ("nothing_like_it", "nothing here is called 'nothing_like_it'", ""),
    ],
)
def test_what_a_wrong_name_is_told(judged, name, message, help):
    found = judged(FORMER.format(at="0 mm", more="") + f"require {name} > 3 mm")
    (finding,) = found.findings
    assert (finding.message, finding.help) == (message, help)
