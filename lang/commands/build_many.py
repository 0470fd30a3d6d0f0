"""Several specs built at once, each in a process of its own, with one summary."""

import io
import os
import sys
from collections.abc import Iterator, Sequence
from contextlib import redirect_stderr
from typing import TYPE_CHECKING, NamedTuple

from ringwright.lang.commands.build_one import Built, Options, build
from ringwright.lang.commands.build_summary import CARE
from ringwright.lang.commands.common import counted, plain
from ringwright.lang.commands.main import DONE, INTERRUPTED, TROUBLE

if TYPE_CHECKING:
    from concurrent.futures import Future


class Run(NamedTuple):
    """One build and what it said of its spec, for standard error."""

    built: Built
    findings: str


def default_jobs() -> int:
    """Return how many processors this program may use."""
    if hasattr(os, "sched_getaffinity"):
        return len(os.sched_getaffinity(0)) or 1
    return os.cpu_count() or 1


def build_many(specs: Sequence[str], options: Options, jobs: int) -> list[Built]:
    """Build specs, `jobs` of them at a time; what is said stands in the order in which they are named."""
    found = []
    for run in _runs(specs, options, min(jobs, len(specs))):
        sys.stderr.write(run.findings)
        sys.stderr.flush()
        sys.stdout.write(f"{plain(run.built.spec)}: {run.built.line}\n")
        sys.stdout.flush()
        found.append(run.built)
    sys.stdout.write(_summary(found))
    return found


def _runs(specs: Sequence[str], options: Options, jobs: int) -> Iterator[Run]:
    if jobs == 1:
        for spec in specs:
            yield _run(spec, options)
        return
    from concurrent.futures import ProcessPoolExecutor
    from multiprocessing import get_context

    # Spawned, not forked: alike on every system, and safe whatever threads a library has started.
    workers = ProcessPoolExecutor(jobs, get_context("spawn"))
    try:
        waiting = [(spec, workers.submit(_run, spec, options)) for spec in specs]
        for spec, future in waiting:
            yield _outcome(spec, future)
    finally:
        workers.shutdown(cancel_futures=True)


def _outcome(spec: str, future: "Future[Run]") -> Run:
    from concurrent.futures.process import BrokenProcessPool

    try:
        run = future.result()
    except BrokenProcessPool:
        line = "the process that built it died, most likely for want of memory; nothing was written"
        return Run(Built(spec, TROUBLE, "", line), f"ringwright build: {plain(spec)}: {line}\n")
    if run.built.code == INTERRUPTED:
        raise KeyboardInterrupt
    return run


def _run(spec: str, options: Options) -> Run:
    said = io.StringIO()
    try:
        with redirect_stderr(said):
            built = build(spec, options)
    except KeyboardInterrupt:
        built = Built(spec, INTERRUPTED, "", "stopped")
    return Run(built, said.getvalue())


def _summary(found: Sequence[Built]) -> str:
    done = [built for built in found if built.code == DONE]
    pieces, sheets = sum(built.pieces for built in done), sum(built.sheets for built in done)
    what = f"{counted(pieces, 'piece')} on {counted(sheets, 'sheet')}"
    failed = [plain(built.spec) for built in found if built.code != DONE]
    also = f"; not built: {', '.join(failed)}" if failed else ""
    return f"\n{len(done)} of {counted(len(found), 'model')} built, {what}{also}\n{CARE}\n"
