"""The texts that lie open, and the specs that they belong to, compiled when somebody asks."""

import re
from collections.abc import Callable, Iterator
from pathlib import Path

from ringwright.lang.components.project import LARGEST_FILE, Refused, read_regular, reader, resolve, root_of
from ringwright.lang.diagnostics.diagnostic import Diagnostic
from ringwright.lang.editing.analysis import Analysis, analyse
from ringwright.lang.editing.text import Text, text_of
from ringwright.lang.pipeline import Compiled, compile_spec
from ringwright.lang.source import Source
from ringwright.lang.syntax import nodes
from ringwright.lang.syntax.again import Read, parse_again

MOST_LOOKED_THROUGH = 400
"""Files of a project that are looked through for a `use` of the one at hand."""
MOST_KEPT = 256
"""Texts of which it is kept how they were read."""
SKIPPED = {"build", "node_modules"}
_USE = re.compile(r'^[ \t]*use[ \t]+"([^"\n]*)"', re.MULTILINE)
_MODEL = re.compile(r"^[ \t]*model\b", re.MULTILINE)


class Desk:
    """What an editor has open; compiles as little as an edit asks for."""

    def __init__(self, unit: str = "utf-16", compile: Callable[..., Compiled] = compile_spec) -> None:
        """Start with nothing open. unit: what columns count, as in Text. compile: `compile_spec`, with what else is
        to be found.
        """
        self.unit = unit
        self._compile = compile
        self.texts: dict[Path, Text] = {}
        self._read: dict[tuple[Path, str], Read] = {}
        self._known: dict[Path, Analysis] = {}
        self._fresh: set[Path] = set()

    # -- texts ------------------------------------------------------------------------------------

    def put(self, path: Path, text: Text) -> None:
        """Take a text as the editor has it now, in place of the file's."""
        self.texts[path] = text
        self._stale(path)

    def close(self, path: Path) -> None:
        """Go back to what the file holds."""
        self.texts.pop(path, None)
        self._stale(path)
        if not self.texts:
            self._known.clear()
            self._read.clear()

    def _stale(self, path: Path) -> None:
        """Have every spec compiled again that a text is part of, or may be: one that misses a file."""
        for spec in [*self._fresh]:
            known = self._known.get(spec)
            files = {} if known is None else known.compiled.project.sources
            missing = known is None or any(finding.code == "missing-file" for finding in known.findings)
            if spec == path or missing or any(known.root / name == path for name in files if known):
                self._fresh.discard(spec)

    def disturb(self) -> None:
        """Take note that files may have changed on the disk."""
        self._fresh.clear()

    def text_at(self, path: Path) -> Text | None:
        """Return a text, as open or as on the disk; None where there is none."""
        if path in self.texts:
            return self.texts[path]
        try:
            data = read_regular(path, path.name, LARGEST_FILE)
        except Refused:
            return None
        return text_of(data.decode("utf-8", "replace").removeprefix("\ufeff"), self.unit)

    # -- specs ------------------------------------------------------------------------------------

    def analysis(self, path: Path) -> Analysis | None:
        """Return the spec that a text belongs to, compiled as it stands now; None where it cannot be read."""
        return self._analysed(self.spec_of(path))

    def analyses(self) -> list[Analysis]:
        """Return all specs that open texts belong to."""
        specs = dict.fromkeys(self.spec_of(path) for path in sorted(self.texts))
        for gone in self._known.keys() - specs.keys():
            del self._known[gone]
        return [found for spec in specs if (found := self._analysed(spec)) is not None]

    def spec_of(self, path: Path) -> Path:
        """Return the spec that a text belongs to: itself where it has a model, else one that uses it, open ones first."""
        text = self.text_at(path)
        if text is None or _MODEL.search(text.text):
            return path
        return next(self._users(path), path)

    def specs_with(self, path: Path) -> list[Analysis]:
        """Return all specs of the project that a text belongs to."""
        text = self.text_at(path)
        own = [path] if text is not None and _MODEL.search(text.text) else []
        specs = dict.fromkeys((*own, *self._users(path))) or {path: None}
        return [found for spec in specs if (found := self._analysed(spec)) is not None]

    def _users(self, path: Path) -> Iterator[Path]:
        """Yield the specs of the project that use a text, open ones first."""
        root = root_of(path)
        candidates = [open for open in sorted(self.texts) if open != path and open.is_relative_to(root)]
        candidates += [other for other in _specs(root) if other not in self.texts and other != path]
        for other in candidates:
            found = self.text_at(other)
            if found is not None and _MODEL.search(found.text) and self._uses(root, other, path):
                yield other

    def findings(self, analysis: Analysis) -> tuple[Diagnostic, ...]:
        """Return what is said of a spec; of a file of stocks alone, that nobody uses yet, not that it has no model."""
        statements = analysis.compiled.project.files[analysis.main].statements
        kinds = {node.kind for node in statements if isinstance(node, nodes.Component)}
        if kinds and not kinds <= {"stock"}:
            return analysis.findings
        return tuple(finding for finding in analysis.findings if finding.code != "no-model")

    def _uses(self, root: Path, spec: Path, wanted: Path) -> bool:
        waiting, seen = [spec], {spec}
        while waiting:
            current = waiting.pop()
            text = self.text_at(current)
            for match in _USE.finditer(text.text) if text is not None else ():
                target = resolve(current.relative_to(root).as_posix(), match[1])
                file = root / target if target else None
                if file == wanted:
                    return True
                if file is not None and file not in seen and len(seen) < MOST_LOOKED_THROUGH:
                    seen.add(file)
                    waiting.append(file)
        return False

    def _analysed(self, spec: Path) -> Analysis | None:
        if spec in self._fresh:
            return self._known.get(spec)
        root = root_of(spec)
        disk = reader(root)

        def read(name: str) -> bytes:
            text = self.texts.get(root / name)
            if text is None:
                return disk(name)
            # A byte-order mark is no part of a text: a blank in its place keeps the offsets.
            words = " " + text.text[1:] if text.text.startswith("\ufeff") else text.text
            return words.encode("utf-8", "surrogatepass")

        def parse(source: Source) -> tuple[nodes.File, tuple[Diagnostic, ...]]:
            key = (root, source.path)
            found = self._read[key] = parse_again(self._read.pop(key, None), source)
            while len(self._read) > MOST_KEPT:
                del self._read[next(iter(self._read))]
            return found.file, found.findings

        try:
            found = analyse(
                root, spec.relative_to(root).as_posix(), read, parse, self._known.get(spec), self._compile
            )
        except (Refused, ValueError):
            return None
        self._known[spec] = found
        self._fresh.add(spec)
        return found


def _specs(root: Path) -> Iterator[Path]:
    """Yield the files of specs in a project's folder, the nearest to it first."""
    waiting, left = [root], MOST_LOOKED_THROUGH
    while waiting and left > 0:
        folder = waiting.pop(0)
        try:
            entries = sorted(folder.iterdir())
        except OSError:
            continue
        for entry in entries:
            left -= 1
            if entry.suffix == ".wright" and entry.is_file():
                yield entry
            elif entry.is_dir() and not (
                entry.is_symlink() or entry.name.startswith(".") or entry.name in SKIPPED
            ):
                waiting.append(entry)
