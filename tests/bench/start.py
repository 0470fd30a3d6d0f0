"""How long the commands take to start and run, as ratios to importing numpy and shapely.

    python tests/bench/start.py

Exit status 1 where a goal is missed.
"""

import sys
import tempfile
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

# What each command may take at most, as a ratio to the import of numpy and shapely.
GOALS = {
    "--version": 0.35,
    "check SPEC": 1.6,
    "build SPEC -o out --formats svg": 2.2,
    "build SPEC -o out --formats svg,pdf": 2.8,
}


def main() -> int:
    """Measure and print."""
    refuse_without_bytecode()
    with tempfile.TemporaryDirectory() as folder:
        home = Path(folder)
        programs = install(home)
        work = home / "work"
        work.mkdir()
        (work / "small.wright").write_text(SPEC, "utf-8")
        (work / "stock.wright").write_text(STOCK, "utf-8")
        yardstick = [str(programs / "python"), "-c", "import numpy, shapely"]
        print(f"median of {RUNS} pairs, each against python -c 'import numpy, shapely'\n")
        rows = []
        for command, goal in GOALS.items():
            for name, spec in (("small", "small.wright"), ("the demo", str(DEMO))):
                words = [spec if word == "SPEC" else word for word in command.split()]
                found = against([str(programs / "ringwright"), *words], yardstick, work)
                figure = f"{found.ratio:.2f}  ({1000 * found.time:.0f} : {1000 * found.yardstick:.0f} ms)"
                if "SPEC" not in command:
                    rows.append(Row(command, figure, f"{goal}", found.ratio <= goal))
                    break
                said = command.replace("SPEC -o out", "SPEC").replace("SPEC", name)
                # The demo is larger than what the goals are set for: its figures are for comparison.
                judged = name == "small"
                rows.append(Row(said, figure, f"{goal}" if judged else "", found.ratio <= goal or not judged))
        return report(rows)


if __name__ == "__main__":
    sys.exit(main())
