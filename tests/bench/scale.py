"""How the time grows with the size of a spec: formers, lines, unknowns, parts.

    python tests/bench/scale.py

Exit status 1 where a goal is missed.
"""

import gc
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from functools import partial
from pathlib import Path
from statistics import median
from typing import Any, NamedTuple

from measuring import Row, against, clean_environment, install, refuse_without_bytecode, report

RUNS = 7
HEAD = """\
model large { title = "Large" }
stock board { kind = foamboard, thickness = 4.8 mm, sheet = 2400 mm by 1200 mm, mass = 410 g/m2 }
"""


def formers(count: int) -> str:
    """Return a spec of that many formers of six points, no two alike, each with a hole and a slot."""
    lines = [HEAD]
    for i in range(count):
        x, y = 30 + i % 37, 40 + i % 23
        lines.append(
            f"former F{i} {{\n    at = {10 * i} mm\n    stock = board\n"
            f"    outline = @half[(0, {y}), ({x}, {y - 8}), ({x}, {8 - y}), (0, {-y})] mm\n"
            f"    hole rod {{ diameter = 6 mm, at = (0 mm, {i % 11} mm) }}\n"
            f"    slot notch {{ length = 12 mm, width = 6 mm, at = (@{x} mm, @10 mm) }}\n}}\n"
        )
    return "".join(lines)


def stacks(count: int) -> str:
    """Return a spec of that many stacks of four rings, in each of which two lengths must be solved for."""
    lines = [HEAD]
    for i in range(count):
        lines.append(
            f"station a{i} {{ x = {200 * i} mm }}\nstation b{i} {{ x = {200 * i + 104} mm }}\n"
            f"stack s{i} {{\n    from = a{i}\n    to = b{i}\n    stock = board\n"
            f"    plate back {{ }}\n    barrel drum {{ diameter = @{100 + i % 50} mm, length = @38 mm }}\n"
            f"    cone mid {{ end = @{90 + i % 50} mm }}\n    cone lip {{ end = @{70 + i % 50} mm }}\n}}\n"
        )
    return "".join(lines)


def panels(count: int) -> str:
    """Return a spec of that many panels of many sizes, a line each."""
    lines = [
        f"panel p{i} {{ outline = rect({40 + 7 * (i % 13)} mm, {25 + 5 * (i % 17)} mm), stock = board }}\n"
        for i in range(count)
    ]
    return HEAD + "".join(lines)


def timed(work: Callable[[], Any], runs: int = RUNS) -> float:
    """Return the median time of some runs, s."""
    taken = []
    for _ in range(runs):
        start = time.perf_counter()
        work()
        taken.append(time.perf_counter() - start)
    return median(taken)


def nothing_measured(id: str, name: str, values: object) -> float:
    """Stand in for the measures of finished parts, which no spec here asks for."""
    raise AssertionError(f"{id}.{name}")


def inside() -> int:
    """Measure single rooms of the program: run by the Python that it is installed for."""
    from ringwright.geometry.nest.nest import nest
    from ringwright.lang import pipeline
    from ringwright.lang.components import planting, project
    from ringwright.lang.design import elaborate
    from ringwright.lang.solve.solve import solve
    from ringwright.lang.values import evaluate, plan

    def read(text: str) -> Callable[[str], bytes]:
        return lambda _: text.encode()

    # As the command line has it.
    gc.set_threshold(5_000_000, 20, 100)
    rows = []
    for count in (100, 1000):
        text = formers(count)
        taken = timed(partial(project.gather, "large.wright", read(text)))
        lines = text.count("\n")
        rows.append(Row(f"read {lines:,} lines", f"{taken:.3f} s, {lines / taken:,.0f} lines a second"))
    for count in (14, 143):
        gathered, _ = project.gather("large.wright", read(stacks(count)))
        planted, _ = planting.plant(gathered)
        evaluator = evaluate.Evaluator(planted, plan.PlanScale(1.0, 1.0))
        system = elaborate.elaborate(planted, evaluator, nothing_measured).system
        taken = timed(partial(solve, system))
        what = f"solve {count} stacks: {7 * count:,} components, {len(system.unknowns):,} unknowns"
        rows.append(Row(what, f"{taken:.3f} s"))
    for count, goal in ((10, 1.0), (100, 5.0)):
        design = pipeline.compile_spec("large.wright", read(panels(count))).design
        assert design is not None
        taken = timed(partial(nest, design.parts, design.cutting), RUNS if count < 100 else 3)
        rows.append(Row(f"lay out {count} parts", f"{taken:.2f} s", f"{goal} s", taken <= goal))
    return report(rows)


class Growth(NamedTuple):
    """A spec of few and one of many: what they hold, how long the larger may take to check, s, and how often to run."""

    what: str
    make: Callable[[int], str]
    few: int
    many: int
    goal: float
    runs: int


GROWTHS = (
    Growth("formers", formers, 100, 1000, 3.0, RUNS),
    Growth("formers", formers, 300, 3000, 6.0, 3),
    Growth("one-line panels", panels, 300, 3000, 3.0, RUNS),
    Growth("stacks of 7 components", stacks, 14, 143, 3.0, RUNS),
)
MOST_GROWTH = 12.0
"""Times as long for ten times as much."""


def grown(growth: Growth, programs: Path, home: Path) -> list[Row]:
    """Measure the check of both specs, the larger against the smaller."""
    commands = []
    for count in (growth.few, growth.many):
        spec = home / f"{growth.make.__name__}-{count}.wright"
        spec.write_text(growth.make(count), "utf-8")
        commands.append([str(programs / "ringwright"), "check", spec.name])
    found = against(commands[1], commands[0], home, growth.runs)
    return [
        Row(f"check {growth.few:,} {growth.what}", f"{found.yardstick:.2f} s"),
        Row(
            f"check {growth.many:,} {growth.what}",
            f"{found.time:.2f} s",
            f"{growth.goal} s",
            found.time <= growth.goal,
        ),
        Row("  as many times as long", f"{found.ratio:.1f}", f"{MOST_GROWTH}", found.ratio <= MOST_GROWTH),
    ]


def main() -> int:
    """Measure and print."""
    refuse_without_bytecode()
    with tempfile.TemporaryDirectory() as folder:
        home = Path(folder)
        programs = install(home)
        missed = report([row for growth in GROWTHS for row in grown(growth, programs, home)])
        command = [str(programs / "python"), __file__, "--inside"]
        done = subprocess.run(command, env=clean_environment(), cwd=home, check=False)
        return max(missed, done.returncode)


if __name__ == "__main__":
    sys.exit(inside() if sys.argv[1:] == ["--inside"] else main())
