"""The server of the live page: on the loopback address alone, under a random token, with nothing to be had from outside.

Who does not know the token, asks by another host name, or for a path outside the build folder, is refused.
"""

import hmac
import json
import secrets
import threading
from collections.abc import Mapping, Sequence
from http import HTTPStatus
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from typing import TYPE_CHECKING, Any
from urllib.parse import unquote

from ringwright.backends.live import shown as pages
from ringwright.backends.manifest import MANIFEST
from ringwright.backends.viewer import viewer
from ringwright.lang.commands.common import Spec

if TYPE_CHECKING:
    from ringwright.backends.record import BuildRecord
    from ringwright.lang.pipeline import Compiled

HERE = "127.0.0.1"
STILL_HERE = 10.0
"""Seconds after which a page that waits is told that there is nothing new."""
KINDS = {
    ".html": "text/html", ".css": "text/css", ".js": "text/javascript", ".svg": "image/svg+xml", ".json": "application/json",
    ".pdf": "application/pdf", ".csv": "text/csv", ".dxf": "application/dxf",
}  # fmt: skip
HEADERS = {
    "Cache-Control": "no-store",
    "Content-Security-Policy": (
        "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; connect-src 'self';"
        " base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
    ),
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Referrer-Policy": "no-referrer",
    "X-Content-Type-Options": "nosniff",
}


class Live:
    """The page as it stands, and the server that shows it."""

    def __init__(self, port: int = 0) -> None:
        """Serve on a port of the loopback address, any that is free for 0. Raises OSError."""
        self.token = secrets.token_urlsafe(24)
        self.folder: Path | None = None
        self.record: BuildRecord | None = None
        self.state: dict[str, Any] = {
            "number": 0,
            "status": "waiting for the first good build",
            "broken": False,
            "findings": [],
        }
        self.news = threading.Condition()
        self.told = 0
        self.open = True
        self.server = ThreadingHTTPServer((HERE, port), _handler(self))
        self.server.daemon_threads = True
        self.port = self.server.server_address[1]
        self.hosts = (f"{HERE}:{self.port}", f"localhost:{self.port}")
        threading.Thread(target=self.server.serve_forever, name="page", daemon=True).start()

    @property
    def address(self) -> str:
        """Where the page is to be had."""
        return f"http://{HERE}:{self.port}/{self.token}/"

    def close(self) -> None:
        """End the server; pages that wait are let go."""
        with self.news:
            self.open = False
            self.news.notify_all()
        self.server.shutdown()
        self.server.server_close()

    def show(
        self,
        compiled: "Compiled",
        record: "BuildRecord",
        spec: Spec,
        folder: Path,
        said: str,
        changed: Sequence[str],
    ) -> None:
        """Show a build that has been written into a folder. said: what changed; changed: the parts that did."""
        drawings = {}
        manifest = json.loads((folder / MANIFEST).read_text("utf-8"))
        for sheet in manifest["sheets"]:
            path = sheet.get("files", {}).get("svg")
            if path:
                offcut = (sheet.get("offcut") or {}).get("name", "")
                drawings[sheet["stock"], sheet["index"], offcut] = (path, (folder / path).read_text("utf-8"))
        found = pages.shown(record, self.record, changed, drawings)
        self.folder, self.record = folder.resolve(), record
        self._tell(
            {
                **found,
                "number": self.state["number"] + 1,
                "status": f"built: {len(record.parts)} parts on {len(record.sheets)} sheets",
                "broken": False,
                "findings": _findings(compiled),
                "said": said or "this is the first build",
                "weight": _weight(compiled),
                "texts": _texts(compiled, record),
                "order": _order(compiled, record),
            }
        )

    def broken(self, compiled: "Compiled | None", words: str) -> None:
        """Show what is wrong, beside the last good build."""
        findings = [] if compiled is None else _findings(compiled)
        self._tell({**self.state, "status": words, "broken": True, "findings": findings})

    def _tell(self, state: dict[str, Any]) -> None:
        with self.news:
            self.state = state
            self.told += 1
            self.news.notify_all()


def _findings(compiled: "Compiled") -> list[dict[str, str]]:
    from ringwright.lang.diagnostics.facts import facts_of

    shown = [finding for finding in compiled.findings if finding.severity != "accepted"]
    return [
        {
            "severity": fact.severity,
            "message": f"{fact.message} [{fact.code}]",
            "help": fact.help,
            "where": "" if fact.place is None else f"{fact.place.file}:{fact.place.line}",
        }
        for fact in facts_of(shown, compiled.project.sources)
    ]


def _weight(compiled: "Compiled") -> list[tuple[str, str]]:
    from ringwright.lang.commands import balance_lines

    design = compiled.design
    if design is None or design.weighed is None:
        return []
    return balance_lines.grouped(balance_lines.lines(design, design.weighed), "\n")


def _texts(compiled: "Compiled", record: "BuildRecord") -> Mapping[str, list[tuple[int, str, bool]]]:
    """Return for each part the lines of the spec that it comes from: number, words, and whether a heading."""
    found: dict[str, list[tuple[int, str, bool]]] = {}
    design = compiled.design
    for part in record.parts if design is not None else ():
        assert design is not None
        component = design.tree.components.get(part.component)
        if component is None:
            continue
        spans = [component.whole, *((component.made.recipe,) if component.made is not None else ())]
        lines: list[tuple[int, str, bool]] = []
        for span in dict.fromkeys(spans):
            source = compiled.project.sources[span.source]
            lines.append((0, span.source, True))
            first, last = source.position(span.start)[0], source.position(span.end)[0]
            lines += [(number, source.line(number), False) for number in range(first, last + 1)]
        found[part.id] = lines
    return found


def _order(compiled: "Compiled", record: "BuildRecord") -> list[tuple[str, list[str]]]:
    """Return the steps in which the model grows: its components as the text has them, each with its parts."""
    steps: dict[str, list[str]] = {}
    design = compiled.design
    order = {id: number for number, id in enumerate(design.tree.components)} if design is not None else {}
    for part in sorted(record.parts, key=lambda part: (order.get(part.component, 0), part.id)):
        steps.setdefault(part.component.partition(".")[0], []).append(part.id)
    return [*steps.items()]


def _handler(live: Live) -> type[BaseHTTPRequestHandler]:
    class Handler(BaseHTTPRequestHandler):
        """One request."""

        server_version = "ringwright"
        sys_version = ""
        protocol_version = "HTTP/1.1"
        timeout = 60

        def do_GET(self) -> None:
            """Answer, or refuse."""
            if self.headers.get("Host", "").lower() not in live.hosts:
                self._refuse(HTTPStatus.MISDIRECTED_REQUEST)
                return
            site = self.headers.get("Sec-Fetch-Site", "none")
            if site not in ("none", "same-origin"):
                self._refuse(HTTPStatus.FORBIDDEN)
                return
            path, _, _ = self.path.partition("?")
            first, slash, rest = path.removeprefix("/").partition("/")
            if not hmac.compare_digest(first.encode(), live.token.encode()) or not slash:
                self._refuse(HTTPStatus.NOT_FOUND)
            elif rest == "state":
                with live.news:
                    body = json.dumps(live.state, ensure_ascii=False, allow_nan=False)
                self._answer(body.encode(), "application/json")
            elif rest == "events":
                self._tell()
            elif rest in pages.FILES:
                name = pages.FILES[rest]
                self._answer(pages.file(name).encode(), KINDS[name[name.rindex(".") :]])
            elif rest in ("viewer.css", "viewer.js"):
                text = viewer.style() if rest.endswith("css") else viewer.script()
                self._answer(text.encode(), KINDS[rest[rest.rindex(".") :]])
            elif rest.startswith("build/"):
                self._file(unquote(rest.removeprefix("build/")))
            else:
                self._refuse(HTTPStatus.NOT_FOUND)

        def _file(self, name: str) -> None:
            """Answer with a file of the build folder."""
            folder = live.folder
            parts = name.split("/")
            if (
                folder is None
                or "\0" in name
                or "\\" in name
                or any(part in ("", ".", "..") for part in parts)
            ):
                self._refuse(HTTPStatus.NOT_FOUND)
                return
            try:
                path = (folder / name).resolve(strict=True)
                if not path.is_relative_to(folder) or not path.is_file():
                    raise FileNotFoundError(name)
                body = path.read_bytes()
            except (OSError, ValueError):
                self._refuse(HTTPStatus.NOT_FOUND)
                return
            self._answer(body, KINDS.get(path.suffix, "application/octet-stream"))

        def _tell(self) -> None:
            """Tell of every build from now on, until the page goes."""
            self.send_response(HTTPStatus.OK)
            self._heads("text/event-stream")
            self.send_header("Connection", "close")
            self.end_headers()
            self.close_connection = True
            seen = -1
            try:
                while live.open:
                    with live.news:
                        if seen == live.told:
                            live.news.wait(STILL_HERE)
                        told, seen = seen != live.told, live.told
                    self.wfile.write(f"data: {seen}\n\n".encode() if told else b": still here\n\n")
                    self.wfile.flush()
            except OSError:
                return  # the page has gone

        def _heads(self, kind: str) -> None:
            self.send_header("Content-Type", f"{kind}; charset=utf-8")
            for name, value in HEADERS.items():
                self.send_header(name, value)

        def _answer(self, body: bytes, kind: str, status: HTTPStatus = HTTPStatus.OK) -> None:
            self.send_response(status)
            self._heads(kind)
            self.send_header("Content-Length", str(len(body)))
            self.end_headers()
            self.wfile.write(body)

        def _refuse(self, status: HTTPStatus) -> None:
            self._answer(f"{status.phrase}\n".encode(), "text/plain", status)

        def log_message(self, format: str, *values: object) -> None:
            """Say nothing: the terminal is for builds."""

    return Handler
