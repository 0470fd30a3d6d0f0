"""The table of limits on the language page: each is the number that the code holds, with a code that there is."""

import re
from pathlib import Path

import pytest
from ringwright.geometry.takeoff import circle
from ringwright.lang import pipeline, source
from ringwright.lang.components import planting, project, recipes
from ringwright.lang.design import elaborate, parts
from ringwright.lang.diagnostics import text
from ringwright.lang.diagnostics.catalogue import CATALOGUE
from ringwright.lang.solve import block
from ringwright.lang.syntax import parse, slips, table_rows, value_builder
from ringwright.lang.values import quantities, trouble

PAGE = Path(__file__).parents[3] / "lang" / "README.md"
# What each row begins with, and what holds its number.
HELD = {
    "bytes of a file": source.LIMIT,
    "files of a spec": project.MOST_FILES,
    "mistakes listed": parse.MAX_MISTAKES,
    "characters that may not stand": 100,
    "brackets, braces": slips.MAX_DEPTH,
    "values that lean": trouble.DEEPEST,
    "lists and points": quantities.DEEPEST_LIST,
    "recipes in one another": recipes.DEEPEST,
    "characters of a name": slips.MAX_NAME,
    "characters of a number": slips.MAX_NUMBER,
    "characters of a text": value_builder.MAX_TEXT,
    "values of a list": value_builder.MAX_VALUES,
    "numbers of a list": quantities.MOST_NUMBERS,
    "points that a circle": circle.MOST_POINTS,
    "columns of a table": table_rows.MAX_COLUMNS,
    "rows of a table": table_rows.MAX_ROWS,
    "components of a spec": planting.MOST_COMPONENTS,
    "components in a component": planting.MOST_INSIDE,
    "statements": planting.MOST_STATEMENTS,
    "parts, copies": parts.MOST_COPIES,
    "a length that is written": 1e6,
    "a length that is worked out": elaborate.FARTHEST,
    "dimensions that depend": block.LARGEST_BLOCK,
    "`plan_scale`": 100 * pipeline.MOST_SCALE,
    "findings shown": text.CAP,
}


def rows() -> list[tuple[str, float, str]]:
    """What, at most, code: each row of the table."""
    section = PAGE.read_text("utf-8").partition("\n## Limits\n")[2].partition("\n## ")[0]
    found = re.findall(r"^\| (.+?) \| ([0-9 ]+) \| (?:`([a-z0-9-]+)` )?\|$", section, re.MULTILINE)
    return [(what, float(most.replace(" ", "")), code) for what, most, code in found]


@pytest.mark.parametrize(("what", "most", "code"), rows(), ids=[row[0] for row in rows()])
def test_a_limit_is_what_the_page_says(what: str, most: float, code: str) -> None:
    (held,) = [number for start, number in HELD.items() if what.startswith(start)]
    assert most == held
    assert not code or code in CATALOGUE


def test_every_limit_stands_on_the_page() -> None:
    assert len(rows()) == len(HELD)
    limits = {code for _, _, code in rows()}
    assert {
        code
        for code in CATALOGUE
        if code.startswith("too-many-") or code.endswith(("-too-long", "-too-large"))
    } <= limits


def test_a_limit_is_where_it_is_said_to_be(judged) -> None:
    assert judged("let x = 1000000 mm\nlet y = 0.000001 mm").errors == []
    assert judged("let x = 1000001 mm").errors == ["not-finite"]
    assert judged("let x = 0.0000009 mm").errors == ["not-finite"]
    assert judged("let x = 500001 mm + 500000 mm").errors == ["impossible-dimension"]
