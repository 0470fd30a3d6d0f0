"""The texts of a spec: the main file and those that it uses. Reading is handed in, so that a test needs no disk."""

from collections.abc import Callable, Mapping
from pathlib import Path, PurePosixPath
from typing import NamedTuple

from ringwright.lang.components.attached import Attached, attached, names_in
from ringwright.lang.diagnostics.diagnostic import Diagnostic, Label
from ringwright.lang.diagnostics.rings import MOST, ring
from ringwright.lang.diagnostics.suggest import suggest
from ringwright.lang.source import Source, Span, make_source
from ringwright.lang.syntax import nodes
from ringwright.lang.syntax.parse import parse

MOST_FILES = 64
LARGEST_FILE = 8 * 1024 * 1024


class Refused(Exception):
    """A file that cannot be had; the message says why, in a sentence without a full stop."""

    def __init__(self, code: str, message: str, nearby: tuple[str, ...] = ()) -> None:
        super().__init__(message)
        self.code = code
        self.nearby = nearby


# Takes a path relative to the project's folder ('/' between folders), returns the bytes or raises Refused.
Reader = Callable[[str], bytes]
# Takes a source, returns its statements and what is wrong with the others.
Parse = Callable[[Source], tuple[nodes.File, tuple[Diagnostic, ...]]]


class Project(NamedTuple):
    """All texts that a build reads, by path, in the order in which they were met.

    uses: for each file the (alias or None, path) of its `use` statements. used_by_main: paths used by the spec itself.
    attached: what shapes are drawn from, by path. data: the bytes of all files as read, by path.
    """

    main: str
    sources: Mapping[str, Source]
    files: Mapping[str, nodes.File]
    uses: Mapping[str, tuple[tuple[str | None, str], ...]]
    used_by_main: frozenset[str]
    attached: Mapping[str, Attached]
    data: Mapping[str, bytes]


def gather(main: str, read: Reader, parse: Parse = parse) -> tuple[Project, tuple[Diagnostic, ...]]:
    """Read a spec and all that it uses.

    main: path relative to the project's folder. parse: what reads a text, where some of it has been read before.
    Raises Refused where the main file itself cannot be read.
    """
    gatherer = _Gatherer(read, parse)
    gatherer.take(main, read(main))
    gatherer.follow(main, (), {})
    gatherer.attach()
    return (
        Project(
            main,
            gatherer.sources,
            gatherer.files,
            gatherer.uses,
            frozenset(path for _, path in gatherer.uses.get(main, ())),
            gatherer.attached,
            gatherer.data,
        ),
        tuple(gatherer.findings),
    )


class _Gatherer:
    def __init__(self, read: Reader, parse: Parse) -> None:
        self.read = read
        self.parse = parse
        self.sources: dict[str, Source] = {}
        self.files: dict[str, nodes.File] = {}
        self.uses: dict[str, tuple[tuple[str | None, str], ...]] = {}
        self.attached: dict[str, Attached] = {}
        self.data: dict[str, bytes] = {}
        self.findings: list[Diagnostic] = []

    def take(self, path: str, data: bytes) -> None:
        source, found = make_source(path, data)
        self.sources[path] = source
        self.data[path] = data
        self.findings.extend(found)
        if found:
            self.files[path] = nodes.File((), Span(path, 0, 0))
            return
        self.files[path], found = self.parse(source)
        self.findings.extend(found)

    def follow(self, path: str, above: tuple[str, ...], places: dict[str, Span]) -> None:
        """Read what `path` uses; `above` are the files on the way down to it, `places` where each uses the next."""
        uses: list[tuple[str | None, str]] = []
        for use in [s for s in self.files[path].statements if isinstance(s, nodes.Use)]:
            target = resolve(path, use.file.value)
            if not use.file.value:
                self.error(
                    "missing-file", "this file has no name", use.file.span, help='write use "file.wright"'
                )
                continue
            if target is None:
                self.error(
                    "outside-project",
                    f"'{use.file.value}' lies outside the project's folder",
                    use.file.span,
                    help=OUTSIDE,
                )
                continue
            if target == path or target in above:
                self.cycle(target, path, above, places, use)
                continue
            if target not in self.files and not self.fetch(target, use):
                continue
            if any(alias == use.alias and alias is not None for alias, _ in uses):
                self.error("name-taken", f"'{use.alias}' already stands for another file", use.span)
                continue
            if (use.alias, target) not in uses:
                uses.append((use.alias, target))
            if target not in self.uses:
                self.follow(target, (*above, path), {**places, path: use.span})
        self.uses[path] = tuple(uses)

    def fetch(self, target: str, use: nodes.Use) -> bool:
        if len(self.files) >= MOST_FILES:
            self.error("too-many-files", f"a spec reads at most {MOST_FILES} files", use.span)
            return False
        data = self.read_or_refused(target)
        if not isinstance(data, bytes):
            # In the builder's own words, not as it is called in the project.
            said = data[1].replace(f"'{target}'", f"'{use.file.value}'")
            self.error(data[0], said, use.file.span, help=data[2])
            return False
        self.take(target, data)
        return True

    def attach(self) -> None:
        """Read what shapes are drawn from; a file that cannot be had is reported where a shape wants it."""
        tried = set(self.data)
        for path, file in self.files.items():
            for name in names_in(file, self.sources[path].text):
                target = resolve(path, name.value)
                if target is None or target in self.attached:
                    continue
                if target not in tried and len(tried) >= MOST_FILES:
                    refused = ("too-many-files", f"a spec reads at most {MOST_FILES} files", "")
                    self.attached[target] = Attached("", refused)
                    continue
                tried.add(target)
                data = self.data.get(target) or self.read_or_refused(target)
                if isinstance(data, bytes):
                    self.data[target] = data
                    self.attached[target] = attached(target, data)
                else:
                    self.attached[target] = Attached("", data)

    def read_or_refused(self, target: str) -> bytes | tuple[str, str, str]:
        """Return the bytes of a file, or why it cannot be had: a code, a message and a help."""
        try:
            return self.read(target)
        except Refused as refusal:
            near = suggest(PurePosixPath(target).name, refusal.nearby)
            help = f"did you mean '{near}'?" if near else "the path is relative to the file that uses it"
            return refusal.code, str(refusal), help

    def cycle(
        self, target: str, path: str, above: tuple[str, ...], places: Mapping[str, Span], use: nodes.Use
    ) -> None:
        files = [*above, path]
        files = files[files.index(target) :]
        self.error(
            "use-cycle",
            "these files use one another in a circle: " + ring(files),
            use.span,
            tuple(
                Label(places[file], f"'{file}' uses the next here") for file in files[:MOST] if file != path
            ),
            "move what they share into a file of its own that uses neither",
        )

    def error(
        self, code: str, message: str, span: Span, labels: tuple[Label, ...] = (), help: str = ""
    ) -> None:
        self.findings.append(Diagnostic(code, "error", message, span, labels, help))


OUTSIDE = (
    "copy it into the project: that is the nearest folder above the spec with a .git, else the spec's own, so that"
    " a spec from elsewhere reads nothing but what came with it"
)


def resolve(path: str, name: str) -> str | None:
    """Return where `name`, written in the file `path`, leads within the project; None where it leads out of it."""
    if not name or "\0" in name or "\\" in name or name.startswith("/") or ":" in name.split("/")[0]:
        return None
    parts: list[str] = list(PurePosixPath(path).parent.parts)
    for part in name.split("/"):
        if part == "..":
            if not parts:
                return None
            parts.pop()
        elif part not in ("", "."):
            parts.append(part)
    return "/".join(parts) or None


def root_of(spec: Path) -> Path:
    """Return the project's folder: the nearest above the spec with a `.git`, else the spec's own."""
    folder = spec.resolve().parent
    for above in (folder, *folder.parents):
        if (above / ".git").exists():
            return above
    return folder


def reader(root: Path) -> Reader:
    """Return a reader of regular files inside `root`; links are followed and must not lead out."""
    home = root.resolve()

    def read(path: str) -> bytes:
        full = home / path
        try:
            resolved = full.resolve(strict=True)
            if not resolved.is_relative_to(home):
                raise Refused("outside-project", f"'{path}' leads outside the project's folder")
        except FileNotFoundError:
            raise Refused("missing-file", f"there is no file '{path}'", _beside(full)) from None
        except (OSError, ValueError, RuntimeError) as problem:
            raise _unreadable(path, problem) from None
        return read_regular(resolved, path, LARGEST_FILE)

    return read


def read_regular(path: Path, called: str, largest: int) -> bytes:
    """Return the bytes of a regular file. called: what it is called in messages. Raises Refused."""
    import os
    import stat

    try:
        # Opened without waiting: a pipe put in a file's place must not hang the compile.
        handle = os.open(path, os.O_RDONLY | getattr(os, "O_NONBLOCK", 0))
    except FileNotFoundError:
        raise Refused("missing-file", f"there is no file '{called}'", _beside(path)) from None
    except (OSError, ValueError, RuntimeError) as problem:
        raise _unreadable(called, problem) from None
    if not stat.S_ISREG(os.fstat(handle).st_mode):
        os.close(handle)
        raise Refused("unreadable-file", f"'{called}' is not a file")
    with os.fdopen(handle, "rb") as file:
        data = file.read(largest + 1)
    if len(data) > largest:
        raise Refused("file-too-large", f"'{called}' is larger than {largest // 1024 // 1024} MB")
    return data


def _unreadable(called: str, problem: Exception) -> Refused:
    reason = getattr(problem, "strerror", None) or "its name leads nowhere"
    return Refused("unreadable-file", f"'{called}' cannot be read: {reason.lower()}")


def _beside(path: Path) -> tuple[str, ...]:
    try:
        return tuple(sorted(entry.name for entry in path.parent.iterdir()))[:1000]
    except OSError:
        return ()
