"""Timing that holds on a busy machine: whole processes, two in turn, the ratio taken pair by pair."""

import os
import shutil
import subprocess
import sys
import time
import venv
from collections.abc import Callable, Sequence
from pathlib import Path
from statistics import median
from typing import NamedTuple

ROOT = Path(__file__).parents[2]
PROJECT = ("README.md", "pyproject.toml", "LICENSE", "lang", "geometry", "backends")
RUNS = 9


class Ratio(NamedTuple):
    """How long a command takes against another: median ratio of the pairs, median times in s."""

    ratio: float
    time: float
    yardstick: float


def refuse_without_bytecode() -> None:
    """Leave where Python may not keep compiled files: every start would compile, and be twice as slow."""
    if os.environ.get("PYTHONDONTWRITEBYTECODE"):
        sys.exit(
            "PYTHONDONTWRITEBYTECODE is set: unset it, or start-up is measured with the compiler's time in it"
        )


def install(home: Path) -> Path:
    """Install the project, compiled, in an environment of its own; return the folder of its programs."""
    project = home / "project"
    project.mkdir()
    for name in PROJECT:
        source = ROOT / name
        if source.is_dir():
            shutil.copytree(source, project / name, ignore=shutil.ignore_patterns("__pycache__"))
        else:
            shutil.copy(source, project / name)
    venv.create(home / "env", with_pip=True)
    programs = home / "env" / ("Scripts" if os.name == "nt" else "bin")
    pip = [
        str(programs / "python"),
        "-m",
        "pip",
        "install",
        "--quiet",
        "--compile",
        "--disable-pip-version-check",
    ]
    subprocess.run([*pip, str(project)], check=True, stdin=subprocess.DEVNULL, env=clean_environment())
    return programs


def clean_environment() -> dict[str, str]:
    """Return the environment for what is measured: none of Python's own switches, and no threads for numpy.

    Starting those takes some 50 ms or nothing, by what else the machine does: no yardstick can have that in it.
    """
    kept = {name: value for name, value in os.environ.items() if not name.startswith("PYTHON")}
    return {**kept, "OPENBLAS_NUM_THREADS": "1"}


def seconds(command: Sequence[str], folder: Path) -> float:
    """Run a command once and return how long it took. A failure ends the measuring with what it said."""
    start = time.perf_counter()
    done = subprocess.run(
        command,
        cwd=folder,
        env=clean_environment(),
        stdin=subprocess.DEVNULL,
        capture_output=True,
        check=False,
    )
    taken = time.perf_counter() - start
    if done.returncode:
        sys.exit(f"{' '.join(command)}: exit code {done.returncode}\n{done.stderr.decode(errors='replace')}")
    return taken


def against(
    command: Sequence[str],
    yardstick: Sequence[str],
    folder: Path,
    runs: int = RUNS,
    before: Callable[[], None] = lambda: None,
) -> Ratio:
    """Time a command against a yardstick, in turn, after one run of each that is not counted.

    before: what is done before each run of the command, and not timed.
    """
    seconds(yardstick, folder), seconds(command, folder)
    pairs = []
    for _ in range(runs):
        before()
        pairs.append((seconds(yardstick, folder), seconds(command, folder)))
    return Ratio(median(b / a for a, b in pairs), median(b for _, b in pairs), median(a for a, _ in pairs))


class Row(NamedTuple):
    """A line of the report: what, its figure with its unit, the goal ('' for none) and whether it is met."""

    what: str
    figure: str
    goal: str = ""
    met: bool = True


def report(rows: Sequence[Row]) -> int:
    """Print the lines in columns; return 1 where a goal is missed, else 0."""
    widths = [max(len(row.what) for row in rows), max(len(row.figure) for row in rows)]
    for row in rows:
        goal = f"  goal {row.goal}{'' if row.met else '  MISSED'}" if row.goal else ""
        print(f"{row.what:<{widths[0]}}  {row.figure:>{widths[1]}}{goal}")
    return 0 if all(row.met for row in rows) else 1
