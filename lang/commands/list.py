"""`ringwright list`: all solved names."""

import sys
from functools import partial
from typing import TYPE_CHECKING

from ringwright.lang.commands.common import Parser, Trouble, compile_argument, complain, errors_of, show
from ringwright.lang.commands.main import DONE, FINDINGS

if TYPE_CHECKING:
    from ringwright.backends.record import Dimension
    from ringwright.lang.design.design import Design


def parser() -> Parser:
    """Return what the command takes."""
    parser = Parser(
        "list",
        "Lists every solved name: its value, how well it is known, and whether it was\nmeasured on the plan, stated, left to a default or derived.",
        "ringwright list heron.wright",
    )
    parser.add_argument("spec", metavar="SPEC", help="a .wright file")
    parser.add_argument(
        "--format", choices=("text", "json"), default="text", help="how to print it (default: text)"
    )
    return parser


def run(arguments: list[str]) -> int:
    """List the solved names of a spec; 1 where the text has errors (what was solved is listed all the same)."""
    options = parser().parse_args(arguments)

    try:
        spec, compiled = compile_argument(options.spec)
    except Trouble as trouble:
        return complain("list", str(trouble))
    show(errors_of(compiled), spec, compiled.project.sources, options.color)
    if compiled.design is None:
        return FINDINGS
    from ringwright.lang.commands.record import dimensions_of

    dimensions = dimensions_of(compiled.design, compiled.project)
    if options.format == "json":
        sys.stdout.write(_json(dimensions))
    else:
        sys.stdout.write(_table(compiled.design, dimensions))
    return FINDINGS if compiled.failed else DONE


def _table(design: "Design", dimensions: "tuple[Dimension, ...]") -> str:
    from ringwright.lang.design.why import origin_word

    rows = []
    for dimension in dimensions:
        shown = partial(design.about.shown, dimension=design.dimensions[dimension.name])
        spread = ""
        if dimension.plus_minus is not None:
            rss, worst = dimension.plus_minus
            spread = f"± {shown(rss)}" + (f" (at worst {shown(worst)})" if worst - rss > 1e-9 else "")
        source = origin_word(design.solution, dimension.name)
        rows.append((dimension.name, shown(dimension.value), source, spread))
    if not rows:
        return ""
    widths = [max(len(row[i]) for row in rows) for i in range(3)]
    return "".join(
        f"{name:<{widths[0]}}  {value:>{widths[1]}}  {source:<{widths[2]}}  {spread}".rstrip() + "\n"
        for name, value, source, spread in rows
    )


def _json(dimensions: "tuple[Dimension, ...]") -> str:
    import json

    from ringwright.geometry.numbers import rounded

    found = {
        d.name: {
            "value": rounded(d.value, 9 if d.unit in ("rad", "") else 6),
            "unit": d.unit,
            "plus_minus": None
            if d.plus_minus is None
            else {"rss": rounded(d.plus_minus[0], 9), "worst": rounded(d.plus_minus[1], 9)},
            "from": d.source,
            "because": d.because,
            "at": d.at,
        }
        for d in dimensions
    }
    return json.dumps({"dimensions": found}, indent=2, ensure_ascii=False, allow_nan=False) + "\n"
