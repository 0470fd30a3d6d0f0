"""`ringwright check`: everything short of a layout and of writing."""

import sys
from collections.abc import Iterable
from typing import TYPE_CHECKING

from ringwright.lang.commands.common import (
    Parser,
    Spec,
    Trouble,
    add_only,
    compile_argument,
    complain,
    counted,
    errors_of,
    left_aside,
    plain,
    renamed,
    show,
    sources_shown,
)
from ringwright.lang.commands.main import DONE, FINDINGS

if TYPE_CHECKING:
    from ringwright.lang.diagnostics.facts import Fact
    from ringwright.lang.pipeline import Compiled

FORMATS = ("text", "json", "sarif", "github")


def parser() -> Parser:
    """Return what the command takes."""
    parser = Parser(
        "check",
        "Solves a spec and makes its parts without laying them out or writing anything:\n"
        "says all that is wrong with it.",
        "ringwright check heron.wright",
    )
    parser.add_argument("specs", nargs="+", metavar="SPEC", help="a .wright file")
    parser.add_argument(
        "--format",
        choices=FORMATS,
        default="text",
        help="text for people (the default); the others print one document for all specs on standard output",
    )
    add_only(parser)
    return parser


def run(arguments: list[str]) -> int:
    """Check specs; 1 where any has an error."""
    options = parser().parse_args(arguments)
    worst, whole = DONE, True
    found: list[Fact] = []
    for argument in options.specs:
        try:
            spec, compiled = compile_argument(argument, options.only, assembled=True)
        except Trouble as trouble:
            worst = max(worst, complain("check", str(trouble)))
            whole = False
            if options.format != "text":
                found.append(_unread(argument, trouble))
            continue
        if not options.only:
            compiled = _with_layout(spec, compiled)
        if options.format == "text":
            show(compiled.findings, spec, compiled.project.sources, options.color)
            sys.stdout.write(_summary(argument, compiled))
        else:
            found.extend(_facts(spec, compiled))
        worst = max(worst, FINDINGS if compiled.failed or compiled.design is None else DONE)
    if options.format != "text":
        sys.stdout.write(_document(found, options.format, whole))
    return worst


def _with_layout(spec: Spec, compiled: "Compiled") -> "Compiled":
    """Return a sound compile with what is to be said of the layout file beside the spec, where there is one."""
    if compiled.failed or compiled.design is None or not spec.layout.exists():
        return compiled
    from ringwright.lang.commands.lay_out import found_layout, out_of_date

    found = found_layout(spec)
    project = compiled.project
    if found.source is not None:
        project = project._replace(sources={**project.sources, found.source.path: found.source})
    findings = (*compiled.findings, *out_of_date(compiled.design, found))
    return compiled._replace(project=project, findings=findings)


def _summary(argument: str, compiled: "Compiled") -> str:
    """Return in a line how a spec stands."""
    errors = len(errors_of(compiled))
    if errors or compiled.design is None:
        return f"{plain(argument)}: {counted(errors, 'error')}{left_aside(compiled)}\n"
    parts = sum(part.quantity for part in compiled.design.parts)
    warnings = sum(1 for finding in compiled.findings if finding.severity == "warning")
    also = f", {counted(warnings, 'warning')}" if warnings else ""
    stale = any(finding.code in ("layout-stale", "layout-spoiled") for finding in compiled.findings)
    also += "; its layout is out of date" if stale else ""
    return f"{plain(argument)}: sound, {counted(parts, 'part')}{also}{left_aside(compiled)}\n"


def _facts(spec: Spec, compiled: "Compiled") -> "tuple[Fact, ...]":
    from ringwright.lang.diagnostics.facts import facts_of

    sources = compiled.project.sources
    return facts_of(*renamed(compiled.findings, sources, sources_shown(spec, sources)))


def _unread(argument: str, trouble: Trouble) -> "Fact":
    """Return what is said of a spec that could not be checked at all."""
    from ringwright.lang.diagnostics.facts import Fact, Place

    return Fact(trouble.code, "error", str(trouble), Place(argument), (), "", "")


def _document(found: "Iterable[Fact]", format: str, whole: bool) -> str:
    """Return all findings in a format for machines; what two specs have in common is said once.

    whole: every spec could be read.
    """
    facts = tuple(dict.fromkeys(found))
    if format == "json":
        from ringwright.lang.diagnostics.as_json import render_json

        return render_json(facts)
    if format == "sarif":
        from ringwright.lang.diagnostics.as_sarif import render_sarif

        return render_sarif(facts, whole)
    from ringwright.lang.diagnostics.as_github import render_github

    return render_github(facts)
