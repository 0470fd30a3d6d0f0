"""A whole build killed at fifty moments, on a full disk, in a folder that may not be written, and twice at once."""

import os
import shlex
import subprocess
import sys
import tempfile
from pathlib import Path

import pytest
from ringwright.lang.commands.main import main

posix = pytest.mark.skipif(sys.platform == "win32", reason="POSIX only")

SPEC = """
model heron {{ title = "Heron {size}" }}
stock board {{ kind = foamboard, thickness = 4.8 mm, sheet = 762 mm by 508 mm, mass = 410 g/m2 }}
panel deck {{ stock = board, outline = rect(200 mm, 90 mm) }}
panel keel {{ stock = board, outline = rect(300 mm, 40 mm), quantity = {size} }}
"""

KILLED = (
    '''
import os, random, signal, sys, time
from pathlib import Path
from ringwright.lang.commands.main import main
quiet = open(os.devnull, "w")
text = """'''
    + SPEC
    + '''"""
spec, build, layout = Path("heron.wright"), Path("build/heron"), Path("heron.layout")


def content():
    return {p.relative_to(build).as_posix(): p.read_bytes() for p in build.rglob("*") if p.is_file()}


def child():
    pid = os.fork()
    if pid == 0:
        sys.stdout = sys.stderr = quiet
        os._exit(main(["build", "heron.wright"]))
    return pid


whole, layouts, longest = {}, {}, 0.0
for size in (2, 3):
    spec.write_text(text.format(size=size))
    began = time.monotonic()
    assert os.waitstatus_to_exitcode(os.waitpid(child(), 0)[1]) == 0
    longest = time.monotonic() - began
    whole[size], layouts[size] = content(), layout.read_bytes()

chance, seen = random.Random(7), set()
for turn in range(50):
    size = (2, 3)[turn % 2]
    spec.write_text(text.format(size=size))
    pid = child()
    time.sleep(longest * chance.uniform(0.3, 1.05))
    os.kill(pid, signal.SIGKILL)
    killed = os.waitstatus_to_exitcode(os.waitpid(pid, 0)[1]) == -9
    found = content()
    assert found in whole.values(), "a torn build"
    assert layout.read_bytes() in layouts.values(), "a torn layout file"
    seen.add((killed, found == whole[size]))
spec.write_text(text.format(size=2))
assert os.waitstatus_to_exitcode(os.waitpid(child(), 0)[1]) == 0
assert content() == whole[2]
assert layout.read_bytes() == layouts[2]
assert sorted(os.listdir(".")) == ["build", "heron.layout", "heron.wright"], os.listdir(".")
assert os.listdir("build") == ["heron"], os.listdir("build")
assert (True, False) in seen, "no run was killed before its end"
'''
)


@posix
def test_killed_at_fifty_moments_the_last_good_build_is_whole_and_the_next_run_works(tmp_path: Path) -> None:
    environment = {**os.environ, "PYTHONWARNINGS": "ignore"}
    done = subprocess.run(
        [sys.executable, "-c", KILLED], cwd=tmp_path, capture_output=True, text=True, check=False,
        env=environment, timeout=300,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr


@pytest.fixture
def shop(tmp_path, monkeypatch):
    """A model that was built once."""
    monkeypatch.chdir(tmp_path)
    (tmp_path / "heron.wright").write_text(SPEC.format(size=2))
    assert main(["build", "heron.wright"]) == 0
    (tmp_path / "heron.wright").write_text(SPEC.format(size=3))
    return tmp_path


def all_bytes(folder):
    return {path.relative_to(folder): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


@posix
def test_on_a_full_disk_all_stays_as_it_was(shop, capsys):
    before = all_bytes(shop)
    limited = f"ulimit -f 1; exec {shlex.quote(sys.executable)} -m ringwright.lang build heron.wright"
    done = subprocess.run(["bash", "-c", limited], capture_output=True, text=True, check=False)
    assert done.returncode == 2
    assert "there is no room to write" in done.stderr
    assert all_bytes(shop) == before
    assert main(["build", "heron.wright"]) == 0


UNPRIVILEGED = """
import os, sys
from ringwright.lang.commands.main import main
main(["build", sys.argv[1]])  # whatever is imported may lie where nobody but root may read
if os.geteuid() == 0:
    os.setuid(65534)  # root may write everywhere
sys.exit(main(["build", *sys.argv[2:]]))
"""


@posix
def test_in_a_folder_that_may_not_be_written_all_stays_as_it_was() -> None:
    # pytest's own folders are shut for other users.
    with tempfile.TemporaryDirectory() as place, tempfile.TemporaryDirectory() as elsewhere:
        folder, other = Path(place), Path(elsewhere)
        (other / "heron.wright").write_text(SPEC.format(size=2))
        other.chmod(0o777)
        (folder / "heron.wright").write_text(SPEC.format(size=2))
        assert main(["build", str(folder / "heron.wright")]) == 0
        (folder / "heron.wright").write_text(SPEC.format(size=3))
        before = all_bytes(folder)
        shut = (folder / "build", folder)
        for each in shut:
            each.chmod(0o555)
        folder.chmod(0o555)
        command = [sys.executable, "-c", UNPRIVILEGED, str(other / "heron.wright"), "heron.wright"]
        done = subprocess.run(command, cwd=folder, capture_output=True, text=True, check=False)
        assert (done.returncode, "cannot be written" in done.stderr) == (2, True), done.stderr
        # With another place for the build there is one, and a warning that the layout is not kept.
        command += ["-o", str(other / "new")]
        done = subprocess.run(command, cwd=folder, capture_output=True, text=True, check=False)
        assert (done.returncode, "the layout cannot be kept" in done.stderr) == (0, True), done.stderr
        for each in reversed(shut):
            each.chmod(0o755)
        assert all_bytes(folder) == before


def test_two_runs_at_once_leave_one_whole_build(shop):
    command = [sys.executable, "-m", "ringwright.lang", "build", "heron.wright"]
    runs = [subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE) for _ in range(3)]
    assert [run.communicate(timeout=120)[1] for run in runs] == [b"", b"", b""]
    assert [run.returncode for run in runs] == [0, 0, 0]
    together = all_bytes(shop)
    assert main(["build", "heron.wright"]) == 0
    assert all_bytes(shop) == together
    assert sorted(path.name for path in shop.iterdir()) == ["build", "heron.layout", "heron.wright"]
