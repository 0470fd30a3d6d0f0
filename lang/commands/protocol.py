"""The Language Server Protocol: the texts that an editor has open, their findings, and places in the protocol's words.

Places are offsets in characters within, and lines with columns in the editor's units outside.
"""

import asyncio
from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path

from lsprotocol import types
from pygls import uris
from pygls.lsp.server import LanguageServer
from ringwright.lang.diagnostics.diagnostic import Diagnostic
from ringwright.lang.editing import named
from ringwright.lang.editing.analysis import Analysis
from ringwright.lang.editing.desk import Desk
from ringwright.lang.editing.text import Edit, Position, Text, text_of
from ringwright.lang.source import Span
from ringwright.lang.version import VERSION

PAUSE = 0.015
"""Seconds without an edit after which findings are worked out: a burst of edits is answered once."""

_SEVERITIES = {
    "error": types.DiagnosticSeverity.Error,
    "warning": types.DiagnosticSeverity.Warning,
    "note": types.DiagnosticSeverity.Information,
}


class Server(LanguageServer):
    """The server, and the desk on which the editor's texts lie."""

    def __init__(self) -> None:
        super().__init__(
            "ringwright", VERSION, text_document_sync_kind=types.TextDocumentSyncKind.Incremental
        )
        self.desk = Desk()
        self.versions: dict[Path, int] = {}
        self.answered: dict[Path, int | None] = {}
        self.told: dict[Path, list[types.Diagnostic]] = {}
        self.due: asyncio.TimerHandle | None = None

    # -- texts ------------------------------------------------------------------------------------

    def opened(self, path: Path, text: str, version: int) -> None:
        """Take a text that the editor has opened."""
        self.desk.unit = str(
            getattr(self.workspace.position_encoding, "value", self.workspace.position_encoding)
        )
        self.desk.put(path, text_of(text, self.desk.unit))
        self.versions[path] = version
        self.publish()

    def changed(self, params: types.DidChangeTextDocumentParams) -> None:
        """Take edits, and have the findings worked out when they pause."""
        path = path_of(params.text_document.uri)
        text = self.desk.texts.get(path)
        if text is None:
            return
        for change in params.content_changes:
            if isinstance(change, types.TextDocumentContentChangePartial):
                start, end = (inward(place) for place in (change.range.start, change.range.end))
                text = text.edited(start, end, change.text)
            else:
                text = text_of(change.text, self.desk.unit)
        self.desk.put(path, text)
        self.versions[path] = params.text_document.version
        self.soon()

    def closed(self, path: Path) -> None:
        """Forget a text that the editor has closed."""
        self.desk.close(path)
        self.versions.pop(path, None)
        self.answered.pop(path, None)
        self.publish()

    def soon(self) -> None:
        """Publish when no more edits come."""
        if self.due is not None:
            self.due.cancel()
        self.due = asyncio.get_running_loop().call_later(PAUSE, self.publish)

    # -- findings ---------------------------------------------------------------------------------

    def publish(self) -> None:
        """Tell the editor of all findings in the specs whose texts are open, and of those that are gone."""
        if self.due is not None:
            self.due.cancel()
            self.due = None
        found: dict[Path, dict[str, types.Diagnostic]] = {path: {} for path in self.desk.texts}
        for analysis in self.desk.analyses():
            for finding in self.desk.findings(analysis):
                path = analysis.root / (finding.span.source if finding.span else analysis.main)
                told = self.diagnostic(analysis, finding)
                found.setdefault(path, {}).setdefault(repr(told), told)
        for path in sorted({*found, *self.told}):
            now = [*found.get(path, {}).values()]
            version = self.versions.get(path)
            if now != self.told.get(path, []) or version != self.answered.get(path):
                self.answered[path] = version
                self.text_document_publish_diagnostics(
                    types.PublishDiagnosticsParams(uri=uri_of(path), diagnostics=now, version=version)
                )
        self.told = {path: [*each.values()] for path, each in found.items() if each}

    def diagnostic(self, analysis: Analysis, finding: Diagnostic) -> types.Diagnostic:
        """Return a finding in the protocol's words."""
        span = finding.span or Span(analysis.main, 0, 0)
        related = [
            types.DiagnosticRelatedInformation(
                types.Location(uri_of(analysis.root / label.span.source), self.range(analysis, label.span)),
                label.text,
            )
            for label in finding.labels
        ]
        return types.Diagnostic(
            range=self.range(analysis, span),
            message=finding.message + (f"\nhelp: {finding.help}" if finding.help else ""),
            severity=_SEVERITIES[finding.severity],
            code=finding.code,
            source="ringwright",
            tags=[types.DiagnosticTag.Unnecessary] if finding.code == "without-effect" else None,
            related_information=related or None,
        )

    # -- places -----------------------------------------------------------------------------------

    def range(self, analysis: Analysis, span: Span) -> types.Range:
        """Return a stretch of one of a spec's texts in the protocol's words."""
        path = analysis.root / span.source
        text = self.desk.texts.get(path)
        if text is None:
            source = analysis.compiled.project.sources.get(span.source)
            text = text_of(source.text if source is not None else "", self.desk.unit)
        return range_of(text, span.start, span.end)

    def location(self, place: named.Place) -> types.Location:
        """Return a stretch of a file in the protocol's words."""
        text = self.desk.text_at(place.path) or text_of("", self.desk.unit)
        return types.Location(uri_of(place.path), range_of(text, place.start, place.end))

    def offset(self, uri: str, position: types.Position) -> tuple[Path, int]:
        """Return which text is meant, and the offset of a place in it."""
        path = path_of(uri)
        text = self.desk.text_at(path)
        return path, 0 if text is None else text.offset(inward(position))

    def edits(self, made: Mapping[Path, Iterable[Edit]]) -> types.WorkspaceEdit:
        """Return edits of several files in the protocol's words."""
        changes: dict[str, Sequence[types.TextEdit]] = {}
        for path, each in made.items():
            text = self.desk.text_at(path) or text_of("", self.desk.unit)
            changes[uri_of(path)] = [types.TextEdit(range_of(text, e.start, e.end), e.text) for e in each]
        return types.WorkspaceEdit(changes=changes)

    def here(self, uri: str) -> tuple[Analysis, str, Text] | None:
        """Return the spec that a text belongs to, the text's path in it, and the text; None where it cannot be read."""
        path = path_of(uri)
        analysis, text = self.desk.analysis(path), self.desk.text_at(path)
        if analysis is None or text is None or not path.is_relative_to(analysis.root):
            return None
        name = path.relative_to(analysis.root).as_posix()
        return (analysis, name, text) if name in analysis.compiled.project.files else None


def path_of(uri: str) -> Path:
    """Return the file that a URI names; links on the way to it are followed, as the compiler follows them."""
    path = Path(uris.to_fs_path(uri) or "/")
    return path.parent.resolve() / path.name


def uri_of(path: Path) -> str:
    """Return the URI of a file."""
    return uris.from_fs_path(str(path)) or path.as_uri()


def range_of(text: Text, start: int, end: int) -> types.Range:
    """Return a stretch of a text in the protocol's words."""
    return types.Range(outward(text.position(start)), outward(text.position(max(start, end))))


def inward(position: types.Position) -> Position:
    """Return a place as the editor names it in our words."""
    return Position(position.line, position.character)


def outward(position: Position) -> types.Position:
    """Return a place of ours as the editor names it."""
    return types.Position(position.line, position.column)
