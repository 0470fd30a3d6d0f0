"""`ringwright build`: compile a spec and write its build folder."""

import os
import sys
from datetime import UTC
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from ringwright.backends.file_names import file_word
from ringwright.geometry.errors import GeometryError
from ringwright.geometry.numbers import short
from ringwright.lang.commands.common import (
    Parser,
    Trouble,
    add_only,
    compile_argument,
    complain,
    counted,
    left_aside,
    nearby,
    plain,
    show,
)
from ringwright.lang.commands.main import DONE, FINDINGS

if TYPE_CHECKING:
    from ringwright.backends.paper import Paper
    from ringwright.backends.record import BuildRecord
    from ringwright.lang.kinds.printing import Printing
    from ringwright.lang.pipeline import Compiled

FORMATS = ("svg", "pdf", "dxf", "tiles", "plan", "gauge")


class Options(NamedTuple):
    """What a build was asked for. target: its folder, or None for build/<model> beside the spec. date: '' for none.
    only: the components or parts asked for; none: all. outlines: text in SVG as outlines. dimensions: sizes on the
    sheets. paper: what to print on, '' for what the spec says. since: an earlier state, of which only what changed is
    cut again; '' for none.
    """

    target: Path | None
    formats: tuple[str, ...]
    date: str
    color: str
    only: tuple[str, ...]
    outlines: bool = False
    dimensions: bool = False
    paper: str = ""
    since: str = ""


def parser() -> Parser:
    """Return what the command takes."""
    parser = Parser(
        "build",
        "Compiles a spec and writes sheets, cut list and manifest into its build folder.\n"
        "The folder is swapped in whole: a failure leaves the last good build as it was.",
        "ringwright build heron.wright",
    )
    parser.add_argument("specs", nargs="+", metavar="SPEC", help="a .wright file")
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
        help="some of svg, pdf, dxf, tiles, plan, gauge, with commas (default: svg,pdf); manifest and cut list always",
    )
    parser.add_argument(
        "--paper",
        metavar="PAPER",
        help="for tiles and plan: a4, a3, letter, legal, tabloid, roll, or its size in mm as 330x483 or 914xroll"
        " (default: that of the spec's printing block, else a4)",
    )
    parser.add_argument(
        "--dimensions",
        action="store_true",
        help="draw overall sizes on the sheets, where there is room",
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
    return parser


def run(arguments: list[str]) -> int:
    """Build specs; 1 where the text has errors, 2 where something else is in the way."""
    asked = parser()
    options = asked.parse_args(arguments)
    if options.target is not None and len(options.specs) > 1:
        asked.error("-o names one build folder; give one SPEC with it")
    if options.since and len(options.specs) > 1:
        asked.error("--since is the earlier state of one spec; give one SPEC with it")
    formats = tuple(sorted({word.strip() for word in options.formats.split(",")}))
    unknown = [word for word in formats if word not in FORMATS]
    if unknown:
        asked.error(f"there is no format '{unknown[0]}'; there are {', '.join(FORMATS)}")
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
    )
    return max(build(argument, wanted) for argument in options.specs)


def build_date(epoch: str) -> str:
    """Return the date of SOURCE_DATE_EPOCH as YYYY-MM-DD, '' where it is not set. Raises ValueError."""
    if not epoch:
        return ""
    if not (epoch.isascii() and epoch.isdigit()) or len(epoch) > 11:
        raise ValueError("SOURCE_DATE_EPOCH must be a whole number of seconds since 1970")
    from datetime import datetime

    return datetime.fromtimestamp(int(epoch), UTC).date().isoformat()


def build(argument: str, options: Options) -> int:
    """Build one spec and say what was made."""
    try:
        spec, compiled = compile_argument(argument, options.only)
    except Trouble as trouble:
        return complain("build", str(trouble))
    show(compiled.findings, spec, compiled.project.sources, options.color)
    if compiled.failed or compiled.design is None:
        errors = sum(1 for finding in compiled.findings if finding.severity == "error")
        sys.stdout.write(
            f"{plain(argument)}: {counted(errors, 'error')}, nothing was written{left_aside(compiled)}\n"
        )
        return FINDINGS
    if not compiled.design.parts:
        return complain("build", f"'{argument}' has no parts to cut: write a stack, a former or a panel")
    if options.since:
        from ringwright.lang.commands.since import recut

        try:
            compiled, said = recut(compiled, argument, options.since, options.color)
        except Trouble as trouble:
            return complain("build", str(trouble))
        sys.stdout.write("".join(f"{plain(line)}\n" for line in said))
        if compiled.design is None or not compiled.design.parts:
            sys.stdout.write("nothing is to be cut, nothing was written\n")
            return DONE
        sys.stdout.write("\n")
    return _write(argument, spec.path, compiled, options)


def _write(argument: str, path: Path, compiled: "Compiled", options: Options) -> int:
    from ringwright.backends.build_folder import BuildFolderError, write_build
    from ringwright.backends.files import Choices, build_files
    from ringwright.geometry.nest.nest import nest
    from ringwright.geometry.nest.verify import verify
    from ringwright.lang.commands.record import record_of

    design = compiled.design
    assert design is not None
    try:
        sheets = nest(design.parts, design.cutting)
    except GeometryError as error:
        sys.stderr.write(f"{plain(argument)}: error: {plain(str(error))} [{error.code}]\n")
        return FINDINGS
    wrong = verify(sheets, design.parts, design.cutting)
    if wrong:
        sys.stderr.write("".join(f"ringwright build: {fault}\n" for fault in wrong))
        return complain(
            "build", "this layout is wrong, which is a mistake in ringwright; nothing was written"
        )
    record = record_of(compiled, design, sheets)
    target = options.target or path.parent / "build" / (
        file_word(design.about.name) + ("-recut" if options.only or options.since else "")
    )
    if options.target is None and (other := _other_sources(target, compiled.project.main)):
        return complain(
            "build",
            f"'{nearby(target)}' holds a build of another spec ({other}): give this model another name,"
            " choose a folder with -o, or remove that folder where the spec was only renamed",
        )
    try:
        choices = Choices(options.outlines, options.dimensions, _paper(design.printing, options.paper))
        files = build_files(record, options.formats, options.date, choices)
        write_build(target, files)
    except BuildFolderError as error:
        return complain("build", f"{error} [{error.code}]")
    except GeometryError as error:
        sys.stderr.write(f"{plain(argument)}: error: {plain(str(error))} [{error.code}]\n")
        return FINDINGS
    if "plan" in options.formats and not any("-plan-" in name for name in files):
        sys.stderr.write("ringwright build: no part has a place in the aircraft, so there is no plan\n")
    sys.stdout.write(summary(argument, compiled, record, target, len(files)))
    return DONE


def _paper(printing: "Printing | None", asked: str) -> "Paper":
    """Return the paper that was asked for, with what the spec says of printing."""
    from ringwright.backends.paper import paper_of

    if printing is None:
        return paper_of(asked or "a4")
    return paper_of(
        asked or printing.paper,
        printing.sheet,
        printing.roll,
        printing.overlap,
        printing.margin,
        printing.measured_bar,
    )


def _other_sources(target: Path, spec: str) -> str:
    """Return what the build in a folder was made from, '' where this spec was among it or there is none."""
    from ringwright.backends.manifest import read_manifest

    found = read_manifest(target)
    sources = found.get("sources") if found else None
    paths = [str(source.get("path")) for source in sources or () if isinstance(source, dict)]
    return "" if spec in paths else ", ".join(paths)


def summary(argument: str, compiled: "Compiled", record: "BuildRecord", target: Path, files: int) -> str:
    """Return what is said after a build."""
    from collections import Counter

    from ringwright.backends.cut_list import cut_list_table
    from ringwright.lang.commands import balance_lines
    from ringwright.lang.commands.bill import bill

    design = compiled.design
    assert design is not None
    scale, lengths = design.scale, counted(design.scaled, "length")
    on_model = f"{short(100 * scale.along, 2)} mm"
    if scale.across != scale.along:
        on_model += f" along and {short(100 * scale.across, 2)} mm across"
    follow = "follows" if design.scaled == 1 else "follow"
    followed = f"{lengths} {follow} it" if design.scaled else "no length is marked '@' to follow it"
    lines = [
        cut_list_table(record).rstrip("\n"),
        "",
        f"plan    100 mm on the plan are {on_model} on the model; {followed}",
    ]
    for sheet in record.sheets:
        head = "sheets" if sheet is record.sheets[0] else ""
        lines.append(f"{head:<6}  {sheet.stock.name} {sheet.index}: {short(100 * sheet.used, 0)} % used")
    weighed = design.weighed
    if weighed is not None and balance_lines.has_loads(weighed):
        lines += balance_lines.aligned(balance_lines.lines(design, weighed))
    sheets = Counter(sheet.stock.name for sheet in record.sheets)
    lines += balance_lines.aligned(bill(design.shopping, sheets))
    unweighed = sorted({part.stock.name for part in record.parts if part.properties.mass is None})
    if unweighed:
        lines.append(f"mass    without {', '.join(unweighed)}: give the stock a mass, density or sheet_mass")
    warnings = sum(1 for finding in compiled.findings if finding.severity == "warning")
    accepted = sum(1 for finding in compiled.findings if finding.severity == "accepted")
    if warnings or accepted:
        also = f", {accepted} accepted" if accepted else ""
        lines.append(f"said    {counted(warnings, 'warning')}{also}")
    lines += [
        f"wrote   {counted(files, 'file')} in {plain(nearby(target))}",
        "care    blades cut, hot glue burns, heated foam gives off fumes: see the README",
    ]
    if weighed is not None:
        lines += balance_lines.aligned(line._replace(head="") for line in balance_lines.cares(weighed))
    lines.append("")
    return "\n".join(lines)
