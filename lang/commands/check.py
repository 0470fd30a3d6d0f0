"""`ringwright check`: everything short of a layout and of writing."""

import sys

from ringwright.lang.commands.common import Parser, Trouble, complain, counted, find_spec, show
from ringwright.lang.commands.main import DONE, FINDINGS


def run(arguments: list[str]) -> int:
    """Check specs; 1 where any has an error."""
    parser = Parser(
        "check",
        "Solves a spec and makes its parts without laying them out or writing anything:\nsays all that is wrong with it.",
        "ringwright check heron.wright",
    )
    parser.add_argument("specs", nargs="+", metavar="SPEC", help="a .wright file")
    options = parser.parse_args(arguments)
    worst = DONE
    for argument in options.specs:
        worst = max(worst, check(argument, options.color))
    return worst


def check(argument: str, color: str) -> int:
    """Check one spec and say in a line how it stands."""
    from ringwright.lang.pipeline import compile_spec
    from ringwright.lang.project import Refused, reader

    try:
        spec = find_spec(argument)
        compiled = compile_spec(spec.name, reader(spec.root))
    except (Trouble, Refused) as trouble:
        return complain("check", str(trouble))
    show(compiled.findings, spec, compiled.project.sources, color)
    errors = sum(1 for finding in compiled.findings if finding.severity == "error")
    if errors or compiled.design is None:
        sys.stdout.write(f"{argument}: {counted(errors, 'error')}\n")
        return FINDINGS
    parts = sum(part.quantity for part in compiled.design.parts)
    warnings = sum(1 for finding in compiled.findings if finding.severity == "warning")
    also = f", {counted(warnings, 'warning')}" if warnings else ""
    sys.stdout.write(f"{argument}: sound, {counted(parts, 'part')}{also}\n")
    return DONE
