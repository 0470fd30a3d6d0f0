"""One spec compiled, laid out and written into its build folder."""

import sys
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from ringwright.backends.file_names import file_word
from ringwright.geometry.errors import GeometryError
from ringwright.geometry.recall import recalling
from ringwright.lang.commands.common import (
    Spec,
    Trouble,
    compile_argument,
    complain,
    counted,
    errors_of,
    find_spec,
    left_aside,
    nearby,
    plain,
    show,
)
from ringwright.lang.commands.main import DONE, FINDINGS, TROUBLE
from ringwright.lang.commands.memory import memory_of

if TYPE_CHECKING:
    from ringwright.backends.paper import Paper
    from ringwright.backends.record import BuildRecord
    from ringwright.lang.commands.lay_out import Found
    from ringwright.lang.kinds.printing import Printing
    from ringwright.lang.pipeline import Compiled


class Options(NamedTuple):
    """What a build was asked for. target: its folder, or None for build/<model> beside the spec. date: '' for none.
    only: the components or parts asked for; none: all. outlines: text in SVG as outlines. dimensions: sizes on the
    sheets. paper: what to print on, '' for what the spec says. since: an earlier state, of which only what changed is
    cut again; '' for none. effort: of the search for a layout, '' where none was asked for. relayout: whether the layout
    file is left aside.
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
    effort: str = ""
    relayout: bool = False


class Built(NamedTuple):
    """What came of building a spec.

    code: the exit code. summary: what is said of it on standard output; line: the same in a line. manifest: path of what
    was written, reads: those of all files that it was made from, as from where the builder stands; '' and none where
    nothing was written. pieces, sheets: how many were laid out.
    """

    spec: str
    code: int
    summary: str
    line: str
    manifest: str = ""
    reads: tuple[str, ...] = ()
    pieces: int = 0
    sheets: int = 0


def build(argument: str, options: Options) -> Built:
    """Build one spec; what is wrong with it goes to standard error."""
    try:
        place = find_spec(argument).path
    except Trouble as trouble:
        return _trouble(argument, str(trouble))
    memory = memory_of(place, options.target)
    with recalling(memory):
        built = _build(argument, options)
    if built.manifest and not (options.only or options.since):
        memory.save()
    return built


def _build(argument: str, options: Options) -> Built:
    try:
        spec, compiled = compile_argument(argument, options.only, assembled=True)
    except Trouble as trouble:
        return _trouble(argument, str(trouble))
    show(compiled.findings, spec, compiled.project.sources, options.color)
    if compiled.failed or compiled.design is None:
        errors = len(errors_of(compiled))
        line = f"{counted(errors, 'error')}, nothing was written{left_aside(compiled)}"
        return Built(argument, FINDINGS, f"{plain(argument)}: {line}\n", line)
    if not compiled.design.parts:
        return _trouble(argument, f"'{argument}' has no parts to cut: write a stack, a former or a panel")
    said: tuple[str, ...] = ()
    if options.since:
        from ringwright.lang.commands.since import recut

        try:
            compiled, said = recut(spec, compiled, argument, options.since, options.color, options.only)
        except Trouble as trouble:
            return _trouble(argument, str(trouble))
        if compiled.design is None or not compiled.design.parts:
            line = "nothing is to be cut, nothing was written"
            return Built(argument, DONE, "".join(f"{plain(each)}\n" for each in (*said, line)), line)
        said = (*said, "")
    built, _ = written(argument, spec, compiled, options)
    return built._replace(summary="".join(f"{plain(line)}\n" for line in said) + built.summary)


def _trouble(argument: str, message: str) -> Built:
    """Complain of what a change of the text does not cure."""
    complain("build", message)
    return Built(argument, TROUBLE, "", "nothing was written")


def _refused(argument: str, error: GeometryError) -> Built:
    sys.stderr.write(f"{plain(argument)}: error: {plain(str(error))} [{error.code}]\n")
    return Built(argument, FINDINGS, "", "nothing was written")


def written(
    argument: str, spec: Spec, compiled: "Compiled", options: Options
) -> "tuple[Built, BuildRecord | None]":
    """Lay a sound spec out and write its build folder; return what came of it, and the record of what was written."""
    from ringwright.backends.build_folder import BuildFolderError, write_build
    from ringwright.backends.files import Choices, build_files
    from ringwright.backends.manifest import MANIFEST
    from ringwright.lang.commands.build_summary import summary
    from ringwright.lang.commands.lay_out import found_layout, laid_out, laid_out_anew
    from ringwright.lang.commands.record import record_of

    design = compiled.design
    assert design is not None
    found = None if options.only or options.since else found_layout(spec)
    if found is not None:
        _complain_of(found, spec, options.color)
    try:
        laid = (
            laid_out_anew(design, options.effort)
            if found is None
            else laid_out(design, found, options.effort, options.relayout)
        )
    except GeometryError as error:
        return _refused(argument, error), None
    if laid.wrong:
        sys.stderr.write("".join(f"ringwright build: {fault}\n" for fault in laid.wrong))
        message = "this layout is wrong, which is a mistake in ringwright; nothing was written"
        return _trouble(argument, message), None
    record = _named(record_of(compiled, design, laid.sheets), options)
    if "book" in options.formats:
        from ringwright.lang.commands.book_notes import notes_of

        record = record._replace(notes=notes_of(compiled, design, laid.sheets))
    target = options.target or spec.path.parent / "build" / (
        file_word(design.about.name) + ("-recut" if options.only or options.since else "")
    )
    if options.target is None and (other := _other_sources(target, compiled.project.main)):
        message = (
            f"'{nearby(target)}' holds a build of another spec ({other}): give this model another name,"
            " choose a folder with -o, or remove that folder where the spec was only renamed"
        )
        return _trouble(argument, message), None
    try:
        choices = Choices(options.outlines, options.dimensions, _paper(design.printing, options.paper))
        files = build_files(record, options.formats, options.date, choices)
        write_build(target, files)
    except BuildFolderError as error:
        return _trouble(argument, f"{error} [{error.code}]"), None
    except GeometryError as error:
        return _refused(argument, error), None
    if found is not None and laid.text is not None:
        _keep_layout(found.path, laid.text)
    if "plan" in options.formats and not any("-plan-" in name for name in files):
        sys.stderr.write("ringwright build: no part has a place in the aircraft, so there is no plan\n")
    pieces = sum(part.quantity for part in record.parts)
    built = Built(
        argument,
        DONE,
        summary(compiled, record, target, len(files), laid.said),
        f"{counted(pieces, 'piece')} on {counted(len(laid.sheets), 'sheet')} in {plain(nearby(target))}",
        nearby(target / MANIFEST),
        tuple(nearby(spec.root / path) for path in sorted(compiled.project.data)),
        pieces,
        len(laid.sheets),
    )
    return built, record


def _named(record: "BuildRecord", options: Options) -> "BuildRecord":
    """Return a record whose title says that its sheets are not those of the whole model."""
    words = "recut" if options.since else "some parts" if options.only else ""
    model = record.model
    titled = model._replace(title=f"{model.title or model.name} ({words})") if words else model
    return record._replace(model=titled)


def _complain_of(found: "Found", spec: Spec, color: str) -> None:
    """Say what of a layout file is ignored; whatever has no place after that is laid out anew."""
    if found.trouble:
        sys.stderr.write(
            f"ringwright build: warning: {plain(found.trouble)}: it is left as it is, and parts are laid out anew\n"
        )
    if found.source is not None and found.spoiled:
        from ringwright.lang.layout.report import spoiled_lines

        show(spoiled_lines(found.source, found.spoiled), spec, {found.source.path: found.source}, color)


def _keep_layout(path: Path, text: bytes) -> None:
    """Write the layout file; that it cannot be written is no reason to have no build."""
    from ringwright.lang.commands.written import replace_file

    try:
        replace_file(path, text)
    except OSError as problem:
        sys.stderr.write(
            f"ringwright build: warning: the layout cannot be kept in '{plain(nearby(path))}' "
            f"({problem.strerror or problem}): the next build may lay parts out otherwise\n"
        )


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
