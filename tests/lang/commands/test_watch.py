"""Watching: a save is built, whatever way the editor saves, and nothing that goes wrong for a while ends it."""

import os
import shutil
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

STOCK = "stock board { kind = foamboard, thickness = 4.8 mm, sheet = 762 mm by 508 mm, mass = 410 g/m2 }\n"
SPEC = """\
use "stock.wright"
model watched { title = "Watched" }
panel hatch { outline = rect(40 mm, 20 mm), stock = board }
panel pod { outline = traced("pod.svg", id = "pod", width = 60 mm), stock = board }
"""
DRAWING = '<svg xmlns="http://www.w3.org/2000/svg"><path id="pod" d="M0 0 L{0} 0 L{0} 40 L0 40 Z"/></svg>'
PATIENCE = 30.0


class Watch:
    """The command under way in a folder; all that it has said."""

    def __init__(self, folder: Path, *more: str) -> None:
        self.folder, self.log = folder, folder.parent / "log"
        self.read = 0
        with self.log.open("wb") as out:
            self.process = subprocess.Popen(
                [sys.executable, "-m", "ringwright.lang", "watch", "t.wright", *more],
                cwd=folder, stdout=out, stderr=subprocess.STDOUT, start_new_session=True,
            )  # fmt: skip

    def said(self, words: str) -> str:
        """Wait until some words are said that have not been read before; return all up to their line's end."""
        end = time.monotonic() + PATIENCE
        while time.monotonic() < end:
            text = self.log.read_text("utf-8")
            at = text.find(words, self.read)
            if at >= 0 and "\n" in text[at:]:
                stop = text.index("\n", at) + 1
                found, self.read = text[self.read : stop], stop
                return found
            assert self.process.poll() is None, text
            time.sleep(0.02)
        raise AssertionError(f"never said: {words}\n{self.log.read_text('utf-8')[self.read :]}")

    def settled(self) -> None:
        """Wait until it has gone quiet, and take all as read."""
        while True:
            size = self.log.stat().st_size
            time.sleep(1.2)
            if self.log.stat().st_size == size:
                self.read = len(self.log.read_text("utf-8"))
                return


@pytest.fixture
def watch(tmp_path: Path) -> Iterator[Watch]:
    folder = tmp_path / "model"
    folder.mkdir()
    (folder / "stock.wright").write_text(STOCK, "utf-8")
    (folder / "pod.svg").write_text(DRAWING.format(80), "utf-8")
    (folder / "t.wright").write_text(SPEC, "utf-8")
    found = Watch(folder)
    found.said("care")
    found.settled()
    yield found
    if found.process.poll() is None:
        found.process.send_signal(signal.SIGINT)
        try:
            assert found.process.wait(PATIENCE) == 0
        except subprocess.TimeoutExpired:
            found.process.kill()
            raise


def save(path: Path, text: str) -> None:
    """Save as many editors do: written beside, then put in the file's place."""
    beside = path.with_name(f".{path.name}.new")
    beside.write_text(text, "utf-8")
    os.replace(beside, path)


def test_saves_mistakes_and_files_that_it_uses(watch: Watch) -> None:
    spec = watch.folder / "t.wright"
    spec.write_text(SPEC.replace("40 mm, 20", "44 mm, 20"), "utf-8")
    told = watch.said("recut  hatch")
    assert "1 recut, 1 keep" in told
    save(spec, SPEC.replace("outline = rect", "outlin = rect"))
    told = watch.said("the last good build stays")
    assert "unknown-property" in told
    assert (watch.folder / "build" / "watched" / "manifest.json").exists()
    save(spec, SPEC.replace("40 mm, 20", "46 mm, 20"))
    watch.said("recut  hatch")
    save(watch.folder / "stock.wright", STOCK.replace("4.8 mm", "5 mm"))
    watch.said("board is 5 mm thick, was 4.8 mm")
    save(watch.folder / "pod.svg", DRAWING.format(60))
    watch.said("recut  pod")


def test_it_finds_what_a_build_finds(watch: Watch) -> None:
    """Also what takes an editor too long after each letter: parts in one another, letters that no sheet has."""
    crossed = (
        "former F1 { at = 20 mm, outline = circle(60 mm), stock = board }\n"
        "panel keel { outline = rect(60 mm, 20 mm), view = side, place = (20 mm, 0 mm, 0 mm), stock = board }\n"
    )
    save(watch.folder / "t.wright", SPEC.replace('"Watched"', '"Watched 飛"') + crossed)
    told = watch.said("pieces on")
    assert "letter-not-drawn" in told
    assert "parts-overlap" in told


def test_a_file_or_a_folder_that_goes_and_comes_back(watch: Watch) -> None:
    stock = watch.folder / "stock.wright"
    stock.unlink()
    watch.said("the last good build stays")
    stock.write_text(STOCK, "utf-8")
    watch.said("nothing changed")
    away = watch.folder.with_name("away")
    shutil.move(watch.folder, away)
    watch.said("cannot be read now; waiting for it")
    shutil.move(away, watch.folder)
    watch.said("nothing changed")
    save(watch.folder / "t.wright", SPEC.replace("40 mm, 20", "41 mm, 20"))
    watch.said("recut  hatch")


def test_a_burst_of_saves_is_built_a_few_times_and_the_last_one_counts(watch: Watch) -> None:
    for number in range(60):
        save(watch.folder / "t.wright", SPEC.replace("40 mm, 20", f"{50 + number} mm, 20"))
    watch.said("recut  hatch")
    watch.settled()
    text = watch.log.read_text("utf-8")
    assert text.count("pieces on") <= 12
    manifest = (watch.folder / "build" / "watched" / "manifest.json").read_text("utf-8")
    assert '"width_mm": 109' in manifest


def test_what_it_cannot_watch_is_told_at_once(tmp_path: Path) -> None:
    done = subprocess.run(
        [sys.executable, "-m", "ringwright.lang", "watch", "none.wright"],
        cwd=tmp_path, capture_output=True, text=True, check=False, timeout=60,
    )  # fmt: skip
    assert done.returncode == 2
    assert "none.wright" in done.stderr
    code = "import sys; sys.modules['watchfiles'] = None\nfrom ringwright.lang.commands.main import main\nsys.exit(main(['watch', 't.wright']))"
    (tmp_path / "t.wright").write_text(SPEC, "utf-8")
    done = subprocess.run(
        [sys.executable, "-c", code], cwd=tmp_path, capture_output=True, text=True, check=False
    )
    assert done.returncode == 2
    assert "pip install watchfiles" in done.stderr
