"""How long the commands take to start and run, as ratios to importing numpy and shapely.

    python tests/bench/start.py

Exit status 1 where a goal is missed.
"""

import shutil
import sys
import tempfile
from functools import partial
from pathlib import Path

from measuring import ROOT, RUNS, Row, against, install, refuse_without_bytecode, report

SPEC = """\
use "stock.wright"
model heron { title = "Marsh Heron", revision = "B" }
station firewall { x = 0 mm }
station spinner  { x = -104 mm }
stack cowl {
    from  = firewall
    to    = spinner
    stock = board
    seam  = flap(15 mm)
    plate  back  { }
    barrel drum  { diameter = @132 ± 0.5 mm, length = @38 mm }
    cone   mid   { end = @116 mm }
    cone   lip   { end = @92 mm }
    plate  front {
        seat = inside
        hole inlet { diameter = 40 mm }
    }
}
former F2 {
    at = 118 mm
    stock = board
    outline = @half[(0, 61), (38, 52), (51, 20), (51, -30), (33, -58), (0, -58)] mm
}
require cowl.mid.length > 20 mm else "too short to bend"
"""
STOCK = "stock board { kind = foamboard, thickness = 4.8 mm, sheet = 762 mm by 508 mm, mass = 410 g/m2 }\n"
DEMO = ROOT / "specs" / "marsh-heron" / "marsh-heron.wright"

# What each command may take at most, as a ratio to the import of numpy and shapely; of the demo, of which less is
# asked, what a goal is set for. A build is judged from clean: without what an earlier one has left to go by.
GOALS = {
    "--version": (0.35, None),
    "check SPEC": (1.6, None),
    "build SPEC -o out --formats svg": (2.2, None),
    "build SPEC -o out --formats svg,pdf": (2.8, 6.0),
}


def main() -> int:
    """Measure and print."""
    refuse_without_bytecode()
    with tempfile.TemporaryDirectory() as folder:
        home = Path(folder)
        programs = install(home)
        work = home / "work"
        shutil.copytree(DEMO.parent, work, ignore=shutil.ignore_patterns("build", "*.layout", ".*"))
        (work / "small.wright").write_text(SPEC, "utf-8")
        (work / "stock.wright").write_text(STOCK, "utf-8")
        yardstick = [str(programs / "python"), "-c", "import numpy, shapely"]

        def row(said: str, words: list[str], goal: float | None, clean: bool = False) -> Row:
            before = partial(forget, work) if clean else lambda: None
            found = against([str(programs / "ringwright"), *words], yardstick, work, before=before)
            figure = f"{found.ratio:.2f}  ({1000 * found.time:.0f} : {1000 * found.yardstick:.0f} ms)"
            return Row(said, figure, f"{goal}" if goal else "", goal is None or found.ratio <= goal)

        print(f"median of {RUNS} pairs, each against python -c 'import numpy, shapely'\n")
        rows = []
        for command, goals in GOALS.items():
            if "SPEC" not in command:
                rows.append(row(command, command.split(), goals[0]))
                continue
            for name, spec, goal in zip(
                ("small", "the demo"), ("small.wright", DEMO.name), goals, strict=True
            ):
                words = [spec if word == "SPEC" else word for word in command.split()]
                said = command.replace("SPEC -o out", "SPEC").replace("SPEC", name)
                is_build = command.startswith("build")
                rows.append(row(said, words, goal, clean=is_build))
                if is_build:
                    rows.append(row(f"{said}, once more", words, None))
        return report(rows)


def forget(work: Path) -> None:
    """Take away what builds have left: the build, the layout, and what is remembered."""
    shutil.rmtree(work / "out", ignore_errors=True)
    for left in (*work.glob("*.layout"), *work.glob(".*.memory")):
        left.unlink()


if __name__ == "__main__":
    sys.exit(main())
