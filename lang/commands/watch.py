"""`ringwright watch`: a spec built again whenever it is saved, or anything that it is made from."""

import os
import sys
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from ringwright.lang.commands.build import add_output, build_date, formats_of
from ringwright.lang.commands.build_one import Options, written
from ringwright.lang.commands.common import (
    Parser,
    Spec,
    Trouble,
    complain,
    counted,
    errors_of,
    find_spec,
    plain,
    show,
    undrawable,
)
from ringwright.lang.commands.main import DONE
from ringwright.lang.commands.watched import files_of, look, wait

if TYPE_CHECKING:
    from ringwright.backends.record import BuildRecord
    from ringwright.lang.commands.live import Live
    from ringwright.lang.compare.side import Side
    from ringwright.lang.pipeline import Compiled

MISSING = (
    "watching needs the package watchfiles, which is not installed here: "
    "`python -m pip install watchfiles` in the environment of ringwright"
)

LEFT_OUT = ("compared", "dimensions")
"""Of a comparison what is too long to be read after every save."""


def parser() -> Parser:
    """Return what the command takes."""
    parser = Parser(
        "watch",
        "Builds a spec, and again whenever it is saved, or a file that it uses or draws from: says what is\n"
        "wrong, or what changed since the last good build. Ctrl-C ends it.",
        "ringwright watch heron.wright --page",
    )
    parser.add_argument("spec", metavar="SPEC", help="a .wright file")
    parser.add_argument(
        "--page",
        action="store_true",
        help="show sheets and model on a page in your browser, which follows every save; this machine alone can open it",
    )
    parser.add_argument(
        "--port", type=int, default=0, metavar="N", help="port of the page (default: any that is free)"
    )
    add_output(parser)
    return parser


def run(arguments: list[str]) -> int:
    """Watch a spec until Ctrl-C ends it."""
    asked = parser()
    options = asked.parse_args(arguments)
    formats = formats_of(asked, options.formats)
    if options.page:
        formats = tuple(sorted({*formats, "svg"}))
    try:
        import watchfiles  # noqa: F401

        spec = find_spec(options.spec)
        date = build_date(os.environ.get("SOURCE_DATE_EPOCH", ""))
    except ImportError:
        return complain("watch", MISSING)
    except ValueError as problem:
        asked.error(str(problem))
    except Trouble as trouble:
        return complain("watch", str(trouble))
    if not spec.path.is_file():
        return complain("watch", f"there is no file '{options.spec}'")
    target = None if options.target is None else Path(options.target)
    import gc

    # A process that runs all day has to look for cycles after all.
    gc.set_threshold(100_000, 20, 50)
    live = None
    if options.page:
        from ringwright.lang.commands import live as pages

        try:
            live = pages.Live(options.port)
        except OSError as problem:
            return complain("watch", f"the page cannot be served: {problem.strerror or problem}")
        sys.stdout.write(f"page    {live.address}\n")
    watcher = Watcher(options.spec, spec, Options(target, formats, date, options.color, ()), live)
    try:
        watcher.run()
    except KeyboardInterrupt:
        sys.stdout.write("watching has ended\n")
    finally:
        if live is not None:
            live.close()
    return DONE


class Watcher:
    """What has been built so far, and what it was made from."""

    def __init__(self, argument: str, spec: Spec, options: Options, live: "Live | None" = None) -> None:
        from ringwright.lang.editing.desk import Desk
        from ringwright.lang.pipeline import compile_spec

        self.argument, self.spec, self.options, self.live = argument, spec, options, live
        # What a build finds, and an editor has no time to look for after each letter.
        self.desk = Desk(compile=partial(compile_spec, assembled=True, undrawable=undrawable))
        self.compiled: Compiled | None = None
        self.good: Side | None = None

    def run(self) -> None:
        """Build, wait for a change, and build again, without end."""
        layout = self.spec.layout
        while True:
            before = dict(zip(files := self.files(), look(files), strict=True))
            self.round()
            files = self.files()
            # What was saved while it was being built counts as not seen yet; the layout was written by the build.
            now = zip(files, look(files), strict=True)
            seen = tuple(each if path == layout else before.get(path, each) for path, each in now)
            wait(files, seen)

    def files(self) -> tuple[Path, ...]:
        """Return the files that a change of any of which calls for another build."""
        return files_of(self.spec, self.compiled)

    def round(self) -> None:
        """Build once, and say what is wrong or what changed."""
        self.desk.disturb()
        analysis = self.desk.analysis(self.spec.path)
        if analysis is None or analysis.root / analysis.main != self.spec.path:
            complain("watch", f"'{self.argument}' cannot be read now; waiting for it")
            self._tell_broken("the spec cannot be read now")
            return
        self.compiled = compiled = analysis.compiled
        show(compiled.findings, self.spec, compiled.project.sources, self.options.color)
        if compiled.failed or compiled.design is None:
            errors = len(errors_of(compiled))
            kept = "; the last good build stays" if self.good is not None else ", nothing was written"
            self._say(f"{plain(self.argument)}: {counted(errors, 'error')}{kept}\n")
            self._tell_broken(f"{counted(errors, 'error')}; shown is the last good build")
            return
        if not compiled.design.parts:
            complain("watch", f"'{self.argument}' has no parts to cut yet")
            return
        built, record = written(self.argument, self.spec, compiled, self.options)
        if record is None:
            self._tell_broken("this could not be built: the terminal says why")
            return
        side = self._side(record)
        said, changed = self._changes(side)
        self._say(f"{plain(self.argument)}: {built.line}\n{said}" if self.good is not None else built.summary)
        self.good = side
        if self.live is not None:
            self.live.show(compiled, record, self.spec, Path(built.manifest).parent, said, changed)

    def _side(self, record: "BuildRecord") -> "Side":
        import json

        from ringwright.backends.manifest import manifest
        from ringwright.lang.compare.side import side_of

        return side_of(json.loads(manifest(record, {})), self.argument, self.compiled)

    def _changes(self, side: "Side") -> tuple[str, tuple[str, ...]]:
        """Return what changed since the last good build, and the ids of the parts that are to be cut again."""
        from ringwright.lang.compare.comparison import compare
        from ringwright.lang.compare.render import as_text
        from ringwright.lang.compare.sections import report

        if self.good is None:
            return "", ()
        found = compare(self.good, side)
        if found.same:
            return "nothing changed\n", ()
        changed = tuple(each.id for each in found.verdicts if each.word != "keep")
        told = report(found)
        sections = tuple(section for section in told.sections if section.title not in LEFT_OUT)
        return as_text(told._replace(sections=sections)), changed

    def _tell_broken(self, words: str) -> None:
        if self.live is not None:
            self.live.broken(self.compiled, words)

    def _say(self, text: str) -> None:
        sys.stdout.write(f"\n{text}" if self.good is not None else text)
        sys.stdout.flush()
