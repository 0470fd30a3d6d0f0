"""How long the language server takes to answer an edit, and what it holds after many.

    python tests/bench/editor.py [EDITS]

Each edit goes in as an editor tells it, and the time runs until its findings are back. Exit status 1 where a goal is missed.
"""

import json
import os
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from statistics import median, quantiles
from typing import Any

from measuring import Row, report
from scale import formers, panels, stacks

ROOT = Path(__file__).parents[2]
RUNS = 12


class Server:
    """A server under way, spoken to in plain JSON."""

    def __init__(self) -> None:
        command = [sys.executable, "-m", "ringwright.lang", "serve"]
        self.process = subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE)
        self.number = 0
        self.ask("initialize", {"processId": None, "rootUri": None, "capabilities": {}})
        self.tell("initialized", {})

    def tell(self, method: str, params: Any, **more: Any) -> None:
        body = json.dumps({"jsonrpc": "2.0", "method": method, "params": params, **more}).encode()
        assert self.process.stdin is not None
        self.process.stdin.write(b"Content-Length: %d\r\n\r\n" % len(body) + body)
        self.process.stdin.flush()

    def read(self) -> Any:
        assert self.process.stdout is not None
        length = 0
        while (line := self.process.stdout.readline().strip()) or not length:
            if line.lower().startswith(b"content-length:"):
                length = int(line.split(b":")[1])
        return json.loads(self.process.stdout.read(length))

    def ask(self, method: str, params: Any) -> Any:
        self.number += 1
        self.tell(method, params, id=self.number)
        while (answer := self.read()).get("id") != self.number:
            pass
        return answer.get("result")

    def findings(self, uri: str, version: int) -> Any:
        while True:
            told = self.read()
            params = told.get("params", {})
            if params.get("uri") == uri and params.get("version") == version:
                return params["diagnostics"]

    def worked(self) -> float:
        """Processor time so far, ms: what an edit costs on a machine that has other things to do as well."""
        words = Path(f"/proc/{self.process.pid}/stat").read_text().rpartition(")")[2].split()
        return 1000 * (int(words[11]) + int(words[12])) / os.sysconf("SC_CLK_TCK")

    def memory(self) -> float:
        """What the process holds, MB."""
        status = Path(f"/proc/{self.process.pid}/status").read_text()
        return int(status.split("VmRSS:")[1].split()[0]) / 1024


def edited(server: Server, path: Path, text: str, old: str, count: int) -> list[float]:
    """Put another digit before some words, again and again; return the time of each answer, ms."""
    uri = path.resolve().as_uri()
    server.tell(
        "textDocument/didOpen",
        {"textDocument": {"uri": uri, "languageId": "wright", "version": 0, "text": text}},
    )
    server.findings(uri, 0)
    at = text.index(old) + len(old)
    line, column = text[:at].count("\n"), at - text.rfind("\n", 0, at) - 1
    taken, long = [], 0
    for version in range(1, count + 1):
        new = str(version % 10)
        place = {
            "start": {"line": line, "character": column},
            "end": {"line": line, "character": column + long},
        }
        start = time.perf_counter()
        document = {"uri": uri, "version": version}
        server.tell(
            "textDocument/didChange",
            {"textDocument": document, "contentChanges": [{"range": place, "text": new}]},
        )
        server.findings(uri, version)
        taken.append(1000 * (time.perf_counter() - start))
        long = 1
    server.tell("textDocument/didClose", {"textDocument": {"uri": uri}})
    return taken


def main() -> int:
    """Measure and print."""
    edits = int(sys.argv[1]) if len(sys.argv) > 1 else 0
    server, rows = Server(), []
    heron = ROOT / "specs" / "marsh-heron" / "marsh-heron.wright"
    with tempfile.TemporaryDirectory() as folder:
        cases = [
            ("the Marsh Heron", heron, heron.read_text("utf-8"), "end = @9", 150.0),
            (
                "1,000 panels",
                Path(folder) / "panels.wright",
                panels(1000),
                "panel p500 { outline = rect(",
                500.0,
            ),
            (
                "1,000 components in stacks",
                Path(folder) / "stacks.wright",
                stacks(143),
                "station a70 { x = ",
                500.0,
            ),
            (
                "333 formers, 1,000 components",
                Path(folder) / "formers.wright",
                formers(333),
                "former F170 {\n    at = ",
                500.0,
            ),
        ]
        for what, path, text, old, goal in cases:
            edited(server, path, text, old, 4)
            before = server.worked()
            taken = edited(server, path, text, old, RUNS)
            own = (server.worked() - before) / (RUNS + 1)
            late = quantiles(taken, n=20)[-1]
            rows.append(
                Row(
                    f"an edit of {what}",
                    f"{median(taken):.0f} ms, 95 % within {late:.0f}, processor {own:.0f}",
                    f"{goal:.0f} ms",
                    median(taken) <= goal,
                )
            )
        if edits:
            text = heron.read_text("utf-8")
            edited(server, heron, text, "end = @9", edits // 10)
            before = server.memory()
            edited(server, heron, text, "end = @9", edits)
            grown = server.memory() - before
            rows.append(
                Row(
                    f"memory after {edits:,} edits",
                    f"{server.memory():.0f} MB, {grown:+.1f} MB",
                    "+10 MB",
                    grown <= 10,
                )
            )
    server.process.terminate()
    return report(rows)


if __name__ == "__main__":
    sys.exit(main())
