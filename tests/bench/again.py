"""How much of a clean build a build takes in which one part changed: processor time after imports, medians of five.

python tests/bench/again.py
"""

import contextlib
import io
import shutil
import tempfile
import time
from pathlib import Path
from statistics import median

from ringwright.lang.commands.main import main

ROOT = Path(__file__).parents[2]
EDITS = {
    "a hole in the ply firewall F1": ("hole leads { diameter = 12 mm }", "hole leads { diameter = 13 mm }"),
    "a hole in the board former F3": ("rect(@44 mm, @20 mm, corner", "rect(@44 mm, @19 mm, corner"),
}


def seconds(spec: Path) -> float:
    """Processor time of one build."""
    began = time.process_time()
    with contextlib.redirect_stdout(io.StringIO()), contextlib.redirect_stderr(io.StringIO()):
        assert main(["build", str(spec)]) == 0
    return time.process_time() - began


def run() -> None:
    """Print a line an edit."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name) / "reed-runner"
        shutil.copytree(ROOT / "specs" / "reed-runner", folder, ignore=shutil.ignore_patterns("build"))
        spec = folder / "reed-runner.wright"
        text = spec.read_text("utf-8")
        seconds(spec)
        for what, (old, new) in EDITS.items():
            assert old in text, old
            clean, again = [], []
            for _ in range(5):
                for memory in (folder / "build").glob(".*.memory"):
                    memory.unlink()
                spec.write_text(text, "utf-8")
                clean.append(seconds(spec))
                spec.write_text(text.replace(old, new), "utf-8")
                again.append(seconds(spec))
            share = median(again) / median(clean)
            print(f"{what}: clean {median(clean):.2f} s, again {median(again):.2f} s, {share:.0%} of it")


if __name__ == "__main__":
    run()
