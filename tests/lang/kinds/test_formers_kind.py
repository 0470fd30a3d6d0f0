"""Formers at many stations: which stations, what each is called, and what stands in its stead."""

import pytest
from ringwright.lang.pipeline import compile_spec

TABLE = """
offsets fuselage {
    section = box
    | station | x [@mm] | half [@mm] | top [@mm] | bottom [@mm] |
    | F1      |   0     |   44       |   52      |  -40         |
    | F3      | 200     |   48       |   60      |  -48         |
    | F2      | 100     |   46       |   56      |  -44         |
    | F4      | 300     |   50       |   64      |  -52         |
}
"""


def ids(outcome):
    return [part.id for part in outcome.design.parts]


@pytest.mark.parametrize(
    ("at", "found"),
    [
        ("F1 to F4", ["F1", "F2", "F3", "F4"]),
        ("F3 to F1", ["F1", "F2", "F3"]),
        ("[F4, F2]", ["F2", "F4"]),
        ("[F1, F3 to F4]", ["F1", "F3", "F4"]),
        ("F2", ["F2"]),
    ],
)
def test_a_range_runs_along_x_whatever_the_order_of_the_rows(built, at, found):
    made = built(f"{TABLE}formers ribs {{ at = {at}, stock = board }}")
    assert ids(made) == found
    assert all(made.value(f"{id}.x") == 100 * (int(id[1]) - 1) for id in found)


def test_all_that_stands_in_them_stands_in_each(built):
    made = built(
        f"{TABLE}formers ribs {{\n at = F1 to F3\n stock = board\n face = aft\n"
        " hole middle { diameter = 23 mm }\n require height > 90 mm\n}"
    )
    assert [len(made.part(id).holes) for id in ("F1", "F2", "F3")] == [1, 1, 1]
    assert made.value("F2.middle.diameter") == pytest.approx(23)
    assert made.value("F2.x_aft") == 100


def test_one_of_its_own_stands_in_its_stead(built):
    made = built(
        f"{TABLE}formers ribs {{ at = F1 to F3, stock = board }}\nformer F2 {{ stock = ply, quantity = 2 }}"
    )
    assert [part.stock.name for part in made.design.parts] == ["board", "ply", "board"]
    assert made.part("F2").quantity == 2


def test_stations_by_themselves_are_no_part_of_a_table_s_range(built):
    made = built(
        f"{TABLE}station hatch {{ x = 150 mm }}\nstation step {{ x = hatch + 50 mm }}\n"
        "formers ribs { at = F1 to F4, stock = board }\n"
        "formers more { at = hatch to step, stock = board, outline = circle(60 mm) }"
    )
    assert ids(made) == ["F1", "F2", "F3", "F4", "hatch", "step"]


def test_stations_of_a_used_file(built):
    text = 'use "plan.wright"\nformers ribs { at = F2 to F3, stock = board }'
    assert ids(built(text, plan=TABLE)) == ["F2", "F3"]


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("formers ribs { at = F1 to F9, stock = board }", "unknown-name"),
        ("formers ribs { at = F1 to 30 mm, stock = board }", "no-range"),
        ("formers ribs { stock = board }", "missing-property"),
        ("formers ribs { at = F1 to F2 }", "missing-property"),
        ("formers ribs { at = F1 to F2, stock = board, inlay = 2 mm }", "unknown-property"),
        (
            "formers ribs { at = F1 to F2, stock = board }\nformers more { at = F2 to F3, stock = board }",
            "name-taken",
        ),
        (
            "panel F2 { outline = circle(9 mm), stock = board }\nformers ribs { at = F1 to F2, stock = board }",
            "name-taken",
        ),
    ],
)
def test_mistakes_are_told_once(judged, text, code):
    assert judged(TABLE + text).errors == [code]


def test_a_range_to_a_station_that_is_only_found_later(judged):
    found = (
        "stack s { from = A, overall = 10 mm, runs = aft, stock = board\n barrel b { diameter = 60 mm } }\n"
    )
    text = f"station A {{ x = 0 mm }}\nstation B {{ x = s.b.length }}\n{found}formers ribs {{ at = A to B, stock = board, outline = circle(50 mm) }}"
    outcome = judged(text)
    assert outcome.errors == ["no-range"]
    assert "[F1, F2, F3]" in outcome.the("no-range").help


def test_asked_for_alone_a_former_leans_on_its_station_and_no_other(judged):
    text = f"{TABLE}formers ribs {{ at = F1 to F4, stock = board }}\nformer F2 {{ stock = nothing }}\n"
    whole = judged(text)
    assert whole.errors == ["unknown-name"]
    for name, parts in (("F3", ["F3"]), ("ribs", ["F1", "F3", "F4"])):
        compiled = compile_spec(
            "main.wright", lambda _: whole.compiled.project.sources["main.wright"].text.encode(), (name,)
        )
        if name == "F3":
            assert not compiled.failed
        assert compiled.design is not None
        assert [part.id for part in compiled.design.parts] == parts
