"""`ringwright build`: compile specs and write their build folders."""

import os
import sys
from collections.abc import Iterable
from datetime import UTC
from pathlib import Path

from ringwright.lang.commands.build_one import Built, Options, build
from ringwright.lang.commands.common import Parser, add_only, coloured, complain
from ringwright.lang.commands.main import DONE
from ringwright.lang.commands.written import replace_file

EFFORTS = ("quick", "normal", "thorough")
FORMATS = ("svg", "pdf", "dxf", "tiles", "plan", "gauge", "views", "book")


def parser() -> Parser:
    """Return what the command takes."""
    parser = Parser(
        "build",
        "Compiles a spec and writes sheets, cut list and manifest into its build folder.\n"
        "The folder is swapped in whole: a failure leaves the last good build as it was.",
        "ringwright build heron.wright",
    )
    parser.add_argument("specs", nargs="+", metavar="SPEC", help="a .wright file")
    add_output(parser)
    parser.add_argument(
        "--paper",
        metavar="PAPER",
        help="for tiles, plan and book: a4, a3, letter, legal, tabloid, roll, or its size in mm as 330x483 or 914xroll"
        " (default: that of the spec's printing block, else a4)",
    )
    parser.add_argument(
        "--dimensions",
        action="store_true",
        help="draw overall sizes and where round holes lie on the sheets, where there is room",
    )
    parser.add_argument(
        "--text",
        choices=("letters", "outlines"),
        default="letters",
        help="text in SVG as letters, or as outlines for machines without fonts",
    )
    add_only(parser)
    parser.add_argument(
        "--since",
        default="",
        metavar="OLD",
        help="just what must be cut again since OLD, a spec, a build folder or REV:path in git",
    )
    parser.add_argument(
        "--effort",
        choices=EFFORTS,
        help="how long a better layout is looked for (default: quick); Ctrl-C ends the search and takes the best so far",
    )
    parser.add_argument(
        "--relayout",
        action="store_true",
        help="lay all parts out afresh, wherever the layout file beside the spec has them",
    )
    parser.add_argument(
        "--jobs",
        type=int,
        metavar="N",
        help="of several specs so many at a time (default: as many as there are processors)",
    )
    parser.add_argument(
        "--depfile",
        metavar="FILE",
        help="write what was read for each build into FILE, as rules for make or ninja",
    )
    return parser


def add_output(parser: Parser) -> None:
    """Add the options that say where a build goes, and in which formats."""
    parser.add_argument(
        "-o",
        dest="target",
        metavar="DIR",
        help="the build folder itself (default: build/<model> beside the spec)",
    )
    parser.add_argument(
        "--formats",
        default="svg,pdf",
        metavar="LIST",
        help=f"some of {', '.join(FORMATS)}, with commas (default: svg,pdf); manifest and cut list always",
    )


def formats_of(asked: Parser, listed: str) -> tuple[str, ...]:
    """Return the formats that `--formats` lists, sorted; leaves with what is wrong where it names one that is not."""
    formats = tuple(sorted({word.strip() for word in listed.split(",")}))
    unknown = [word for word in formats if word not in FORMATS]
    if unknown:
        asked.error(f"there is no format '{unknown[0]}'; there are {', '.join(FORMATS)}")
    return formats


def run(arguments: list[str]) -> int:
    """Build specs; 1 where the text has errors, 2 where something else is in the way."""
    asked = parser()
    options = asked.parse_args(arguments)
    if options.target is not None and len(options.specs) > 1:
        asked.error("-o names one build folder; give one SPEC with it")
    if options.since and len(options.specs) > 1:
        asked.error("--since is the earlier state of one spec; give one SPEC with it")
    if options.relayout and (options.only or options.since):
        asked.error("--relayout lays out a whole model; --only and --since do not touch its layout")
    if options.jobs is not None and options.jobs < 1:
        asked.error("--jobs is how many builds run at once, from 1")
    formats = formats_of(asked, options.formats)
    try:
        date = build_date(os.environ.get("SOURCE_DATE_EPOCH", ""))
    except ValueError as problem:
        asked.error(str(problem))
    if options.paper is not None:
        from ringwright.backends.paper import paper_of

        try:
            paper_of(options.paper)
        except ValueError as problem:
            asked.error(str(problem))
    target = None if options.target is None else Path(options.target)
    wanted = Options(
        target,
        formats,
        date,
        options.color,
        tuple(options.only),
        options.text == "outlines",
        options.dimensions,
        options.paper or "",
        options.since,
        options.effort or "",
        options.relayout,
    )
    specs = list(dict.fromkeys(options.specs))
    if len(specs) == 1:
        found = [build(specs[0], wanted)]
        sys.stdout.write(found[0].summary)
    else:
        from ringwright.lang.commands.build_many import build_many, default_jobs

        shown = "always" if coloured(options.color) else "never"
        found = build_many(specs, wanted._replace(color=shown), options.jobs or default_jobs())
    worst = max(built.code for built in found)
    return max(worst, _write_depfile(options.depfile, found)) if options.depfile else worst


def _write_depfile(name: str, found: Iterable[Built]) -> int:
    """Write what was read for all that was built; where nothing was, an older file stays as it is."""
    from ringwright.lang.commands.depfile import depfile

    reads = {built.manifest: built.reads for built in found if built.manifest}
    if not reads:
        return DONE
    try:
        replace_file(Path(name), depfile(reads).encode("utf-8", "surrogateescape"))
    except OSError as problem:
        return complain("build", f"'{name}' cannot be written: {problem.strerror or problem}")
    return DONE


def build_date(epoch: str) -> str:
    """Return the date of SOURCE_DATE_EPOCH as YYYY-MM-DD, '' where it is not set. Raises ValueError."""
    if not epoch:
        return ""
    if not (epoch.isascii() and epoch.isdigit()) or len(epoch) > 11:
        raise ValueError("SOURCE_DATE_EPOCH must be a whole number of seconds since 1970")
    from datetime import datetime

    return datetime.fromtimestamp(int(epoch), UTC).date().isoformat()
