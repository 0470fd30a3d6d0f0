"""What the commands share: reading a spec, showing findings, colour."""

import argparse
import os
import sys
from collections.abc import Callable, Iterable, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple, NoReturn

from ringwright.lang.commands.main import TROUBLE
from ringwright.lang.diagnostics.diagnostic import Diagnostic, Label
from ringwright.lang.source import Source, Span

if TYPE_CHECKING:
    from ringwright.lang.components.tree import Tree
    from ringwright.lang.pipeline import Compiled


class _Help(argparse.RawDescriptionHelpFormatter):
    """Help for 80 columns, whatever the terminal: asking for its size would be done for every option at every start."""

    def __init__(self, prog: str) -> None:
        super().__init__(prog, width=78)


class Parser(argparse.ArgumentParser):
    """An argument parser whose help begins with an example and whose errors suggest the option that was meant."""

    def __init__(self, command: str, text: str, example: str) -> None:
        super().__init__(
            prog=f"ringwright {command}",
            description=text,
            formatter_class=_Help,
            allow_abbrev=False,
        )
        self.example = example
        self.add_argument(
            "--color",
            choices=("auto", "always", "never"),
            default="auto",
            help="colour in messages (auto: on a terminal)",
        )

    def format_help(self) -> str:
        """Return the text of --help."""
        from textwrap import fill

        # Lines that stand in are commands, to be copied whole.
        lines = (self.description or "").split("\n")
        self.description = "\n".join(line if line.startswith(" ") else fill(line, 80) for line in lines)
        return f"{self.example}\n\n{super().format_help()}"

    def error(self, message: str) -> NoReturn:
        """Say what is wrong with the command line, and leave with exit code 2."""
        hint = self._hint(message) or self._taken(message)
        self.exit(TROUBLE, f"{self.prog}: {plain(message)}{hint}\n`{self.prog} --help` says more\n")

    def _hint(self, message: str) -> str:
        from ringwright.lang.diagnostics.suggest import suggest

        unknown = [word for word in message.split() if word.startswith("--")]
        known = [option for action in self._actions for option in action.option_strings]
        near = suggest(unknown[-1].split("=")[0], known) if unknown and "unrecognized" in message else None
        return f": did you mean '{near}'?" if near else ""

    def _taken(self, message: str) -> str:
        """Say that an option took the spec as one of its own words."""
        of_list = any(action.dest == "only" for action in self._actions)
        if of_list and "required: SPEC" in message:
            return ": what follows --only is taken for names; put the spec before it"
        return ""


LAYOUT = ".layout"
"""How the layout file beside a spec ends."""


class Spec(NamedTuple):
    """A spec on the disk: the project's folder, and its path below that with '/'."""

    root: Path
    name: str

    @property
    def path(self) -> Path:
        """Where the spec lies."""
        return self.root / self.name

    @property
    def layout(self) -> Path:
        """Where its layout file lies, whether there is one or not."""
        return self.path.with_suffix(LAYOUT)


class Trouble(Exception):
    """Something that the text of a spec does not cure; the message is for standard error. code: as of a finding."""

    def __init__(self, message: str, code: str = "unreadable-file") -> None:
        super().__init__(message)
        self.code = code


def find_spec(argument: str) -> Spec:
    """Return the spec that a command line names. Raises Trouble."""
    from ringwright.lang.components.project import root_of

    path = Path(argument)
    try:
        if path.is_dir():
            raise Trouble(f"'{argument}' is a folder; name the spec in it: {_specs_in(path)}")
        if not path.exists() and Path(f"{argument}.wright").is_file():
            message = f"there is no file '{argument}': did you mean '{argument}.wright'?"
            raise Trouble(message, "missing-file")
        root = root_of(path)
        name = path.resolve().relative_to(root).as_posix()
    except (OSError, RuntimeError, ValueError) as problem:
        raise Trouble(
            f"'{argument}' cannot be read: {getattr(problem, 'strerror', None) or problem}"
        ) from None
    return Spec(root, name)


def undrawable(text: str) -> "Sequence[str]":
    """Return the letters of a text that the lettering of sheets lacks."""
    from ringwright.backends.lettering import unknown_characters

    return unknown_characters(text)


def compile_argument(
    argument: str,
    only: Sequence[str] = (),
    change: "Callable[[Tree], Tree] | None" = None,
    assembled: bool = False,
) -> "tuple[Spec, Compiled]":
    """Compile the spec that a command line names, or those parts of it. Raises Trouble.

    change: what is tried on it. assembled: its parts are held against each other, too.
    """
    from ringwright.lang.components.project import Refused, reader
    from ringwright.lang.pipeline import NoSuchName, compile_spec

    spec = find_spec(argument)
    try:
        return spec, compile_spec(
            spec.name, reader(spec.root), only, change, assembled=assembled, undrawable=undrawable
        )
    except Refused as refused:
        raise Trouble(str(refused).replace(f"'{spec.name}'", f"'{argument}'"), refused.code) from None
    except NoSuchName as none:
        hint = f"did you mean '{none.near}'?" if none.near else _some(none.known)
        message = f"nothing in '{argument}' is called {none.name!a}: {hint}"
        raise Trouble(message, "unknown-name") from None


def _some(known: Sequence[str]) -> str:
    """Return the help of a name that nothing is like: a few that there are."""
    return (
        f"name a component or a part, such as {', '.join(known[:5])}"
        if known
        else "there is nothing to cut in it"
    )


def add_only(parser: Parser) -> None:
    """Add the option that narrows a command to some parts."""
    parser.add_argument(
        "--only",
        nargs="+",
        default=(),
        metavar="NAME",
        help="just these components or parts, as soon as they and what they lean on are sound",
    )


def left_aside(compiled: "Compiled") -> str:
    """Return what is said of errors in what was not asked for, '' where there are none."""
    return f"; {counted(compiled.aside, 'error')} elsewhere left aside" if compiled.aside else ""


def _specs_in(folder: Path) -> str:
    found = sorted(path for path in folder.glob("*.wright") if path.is_file())
    models = [path for path in found if _holds_model(path)]
    return ", ".join(path.name for path in (models or found)[:5]) or "there is no .wright file"


def _holds_model(path: Path) -> bool:
    """Whether a file names a model, and is no store of stocks."""
    try:
        with path.open(encoding="utf-8", errors="replace") as text:
            return any(line.split()[:1] == ["model"] for line in text)
    except OSError:
        return False


def sources_shown(spec: Spec, sources: Mapping[str, Source]) -> dict[str, str]:
    """Return for each source the path by which the builder finds it from where they stand."""
    return {path: nearby(spec.root / path) for path in sources}


def nearby(path: Path) -> str:
    """Return a path as one would write it from where one stands, with '/'."""
    try:
        return Path(os.path.relpath(path)).as_posix()
    except ValueError:  # another drive
        return path.as_posix()


def renamed(
    findings: Iterable[Diagnostic], sources: Mapping[str, Source], names: Mapping[str, str]
) -> tuple[tuple[Diagnostic, ...], dict[str, Source]]:
    """Return findings and sources under the paths that the builder sees, in what they say as well."""
    other = {f"'{path}'": f"'{shown}'" for path, shown in names.items() if path != shown}

    def said(text: str) -> str:
        for path, shown in other.items():
            text = text.replace(path, shown)
        return text

    def span_of(span: Span | None) -> Span | None:
        return None if span is None else Span(names.get(span.source, span.source), span.start, span.end)

    moved = tuple(
        finding._replace(
            span=span_of(finding.span),
            message=said(finding.message),
            help=said(finding.help),
            labels=tuple(
                Label(
                    Span(names.get(label.span.source, label.span.source), label.span.start, label.span.end),
                    said(label.text),
                )
                for label in finding.labels
            ),
        )
        for finding in findings
    )
    return moved, {names[path]: source._replace(path=names[path]) for path, source in sources.items()}


def show(findings: Iterable[Diagnostic], spec: Spec, sources: Mapping[str, Source], color: str) -> None:
    """Write findings to standard error; warnings that the text accepts are left out."""
    kept = [finding for finding in findings if finding.severity != "accepted"]
    if kept:
        from ringwright.lang.diagnostics.text import render_text

        moved, shown = renamed(kept, sources, sources_shown(spec, sources))
        sys.stderr.write(render_text(moved, shown, coloured(color)))


def errors_of(compiled: "Compiled") -> "tuple[Diagnostic, ...]":
    """Return the errors alone: who asks for a number has been told of the rest by `check`."""
    return tuple(finding for finding in compiled.findings if finding.severity == "error")


def coloured(choice: str) -> bool:
    """Return whether messages are coloured: as chosen, else on a terminal unless NO_COLOR or TERM say otherwise."""
    if choice != "auto":
        return choice == "always"
    if os.environ.get("NO_COLOR"):
        return False
    if os.environ.get("FORCE_COLOR"):
        return True
    return sys.stderr.isatty() and os.environ.get("TERM") != "dumb"


def plain(text: str) -> str:
    """Return a name or a message on one line, with nothing in it that a terminal would obey."""
    if text.isprintable():
        return text
    from ringwright.lang.diagnostics.text import escape

    return escape(text)


def complain(command: str, message: str) -> int:
    """Write one line to standard error and return the exit code for trouble."""
    sys.stderr.write(f"ringwright {command}: {plain(message)}\n")
    return TROUBLE


def counted(count: int, word: str) -> str:
    """Return '1 part', '3 parts'."""
    return f"{count} {word}" if count == 1 else f"{count} {word}s"
