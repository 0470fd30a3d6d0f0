"""`ringwright compare`: what changed between two states of a model."""

import sys
from typing import TYPE_CHECKING

from ringwright.lang.commands.common import Parser, Trouble, complain
from ringwright.lang.commands.main import DONE, FINDINGS

if TYPE_CHECKING:
    from ringwright.lang.compare.comparison import Comparison

FORMATS = ("text", "json", "markdown", "html")


def parser() -> Parser:
    """Return what the command takes."""
    parser = Parser(
        "compare",
        "Says what changed between two states of a model, what drove it, and what becomes of each part that is "
        "cut already. Each side is a spec, a build folder, or either of them in git as REV:path.\n"
        "In `git diff`, once a line *.wright diff=ringwright stands in .gitattributes:\n"
        "  git config diff.ringwright.command 'ringwright compare --git'",
        "ringwright compare HEAD:heron.wright heron.wright",
    )
    parser.usage = "ringwright compare [options] OLD NEW\n       ringwright compare --history [options] SPEC"
    parser.add_argument(
        "sides", nargs="*", metavar="SPEC", help="OLD and NEW, or the spec whose history it is"
    )
    parser.add_argument("--format", choices=FORMATS, default="text", help="how to print it (default: text)")
    parser.add_argument("--exit-code", action="store_true", help="exit with 1 where anything changed")
    parser.add_argument(
        "--history",
        action="store_true",
        help="a table over the commits that touched SPEC, or what it reads now",
    )
    parser.add_argument("--tags", action="store_true", help="with --history: only commits that have a tag")
    parser.add_argument(
        "--git",
        action="store_true",
        help="be the program that git shows a difference with: git gives what follows",
    )
    return parser


def run(arguments: list[str]) -> int:
    """Compare two sides; 1 under --exit-code where they differ, 2 where either cannot be had."""
    if arguments[:1] == ["--git"]:
        # What git hands over are names of files, whatever they begin with.
        from ringwright.lang.commands.git_difference import show_difference

        return show_difference(arguments[1:])
    asked = parser()
    options = asked.parse_args(arguments)
    if options.git:
        asked.error("--git stands first, and git gives the rest")
    if options.tags and not options.history:
        asked.error("--tags goes with --history")
    if options.history and options.exit_code:
        asked.error("--exit-code goes with two sides, not with --history")
    wanted = 1 if options.history else 2
    if len(options.sides) != wanted:
        asked.error("give the SPEC whose history it is" if options.history else "give two sides, OLD and NEW")
    try:
        if options.history:
            return _history(options.sides[0], options.tags, options.format)
        old, new = options.sides
        return _compare(old, new, options.format, options.exit_code, options.color)
    except Trouble as trouble:
        return complain("compare", str(trouble))


def _compare(old: str, new: str, format: str, exit_code: bool, color: str) -> int:
    from ringwright.lang.commands.sides import read_side
    from ringwright.lang.compare.comparison import compare

    found = compare(read_side(old, color), read_side(new, color))
    sys.stdout.write(document(found, format))
    return FINDINGS if exit_code and not found.same else DONE


def document(found: "Comparison", format: str) -> str:
    """Return a comparison in one of the formats."""
    if format == "json":
        from ringwright.lang.compare.as_json import as_json

        return as_json(found)
    from ringwright.lang.compare.render import RENDERERS
    from ringwright.lang.compare.sections import report

    return RENDERERS[format](report(found))


def _history(argument: str, tags: bool, format: str) -> int:
    from ringwright.lang.commands.revisions import states_of
    from ringwright.lang.compare.history import as_facts, as_report, rows

    states, left_out = states_of(argument, tags)
    if not states:
        what = "has a tag" if tags else f"touched '{argument}'"
        return complain("compare", f"no commit up to here {what}")
    table = rows(states)
    notes = (f"the {left_out} revisions before these are left out",) if left_out else ()
    if format == "json":
        import json

        sys.stdout.write(json.dumps(as_facts(table), indent=2, ensure_ascii=False, allow_nan=False) + "\n")
        return DONE
    from ringwright.lang.compare.render import RENDERERS

    sys.stdout.write(RENDERERS[format](as_report(f"history of {argument}", table, notes)))
    return DONE
