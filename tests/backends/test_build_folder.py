"""The build folder under faults made for real: nothing but a whole build is ever to be seen."""

import errno
import json
import os
import stat
import subprocess
import sys
import tempfile
import time
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import pytest
from ringwright.backends import build_folder, folder_lock
from ringwright.backends.build_folder import BuildFolderError, recover, write_build
from ringwright.backends.folder_swap import exchanged

posix = pytest.mark.skipif(sys.platform == "win32", reason="POSIX only")


def a_build(mark: str, **more: str) -> dict[str, bytes]:
    """The files of a build, `mark` in each of them, so that a mixture would show."""
    sheet = "sheets/heron-board-1.svg"
    listed = {"cut_list": "cut-list.csv", **more}
    manifest: dict[str, Any] = {
        "schema": "ringwright.build/1",
        "mark": mark,
        "files": listed,
        "sheets": [{"files": {"svg": sheet}}],
    }
    files = {"manifest.json": json.dumps(manifest).encode(), sheet: mark.encode() * 5000}
    return files | {name: mark.encode() for name in listed.values()}


def content(folder: Path) -> dict[str, bytes]:
    return {
        path.relative_to(folder).as_posix(): path.read_bytes() for path in folder.rglob("*") if path.is_file()
    }


def names(folder: Path) -> list[str]:
    return sorted(os.listdir(folder))


def refused(target: Path, files: Mapping[str, bytes]) -> BuildFolderError:
    with pytest.raises(BuildFolderError) as caught:
        write_build(target, files)
    message = str(caught.value)
    assert not message.endswith(".")
    assert "\n" not in message
    return caught.value


@pytest.fixture(params=["exchange", "two renames"])
def swap(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> str:
    """Both ways to swap, also where the system can exchange."""
    if request.param == "two renames":
        monkeypatch.setattr(build_folder, "exchanged", lambda one, other: False)
    return str(request.param)


def test_writes_and_replaces_and_leaves_nothing_beside(tmp_path: Path, swap: str) -> None:
    target = tmp_path / "build" / "heron"
    for files in (a_build("a", pdf="old.pdf"), a_build("b", page="deep/down/page.html"), a_build("c")):
        write_build(target, files)
        assert content(target) == files
        assert names(target.parent) == ["heron"]
    assert names(target) == ["cut-list.csv", "manifest.json", "sheets"]


@pytest.mark.skipif(sys.platform not in ("linux", "darwin"), reason="systems that can")
def test_exchange_works_here_or_says_that_it_cannot(tmp_path: Path) -> None:
    one, other = tmp_path / "one", tmp_path / "other"
    one.mkdir()
    other.mkdir()
    (one / "file").touch()
    done = exchanged(one, other)
    assert (other / "file").exists() == done
    assert (one / "file").exists() != done
    with pytest.raises(FileNotFoundError):
        exchanged(one, tmp_path / "nowhere")


def test_empty_folder_may_be_filled(tmp_path: Path, swap: str) -> None:
    target = tmp_path / "heron"
    target.mkdir()
    write_build(target, a_build("a"))
    assert content(target) == a_build("a")


@pytest.mark.parametrize("strange", ["notes.txt", "manifest.json", ".hidden", "sub/"])
def test_foreign_folder_is_refused(tmp_path: Path, strange: str) -> None:
    target = tmp_path / "heron"
    target.mkdir()
    if strange.endswith("/"):
        (target / strange).mkdir()
    else:
        (target / strange).write_text('{"schema": "of/another"}')
    error = refused(target, a_build("a"))
    assert error.code == "foreign-folder"
    assert "-o" in str(error)
    assert names(target) == [strange.rstrip("/")]
    assert names(tmp_path) == ["heron"]


def test_file_in_the_way_is_refused(tmp_path: Path) -> None:
    target = tmp_path / "heron"
    target.write_text("mine")
    assert refused(target, a_build("a")).code == "target-is-file"
    assert target.read_text() == "mine"


@posix
@pytest.mark.parametrize("leads_to", ["build", "foreign", "nowhere", "file"])
def test_link_is_never_followed(tmp_path: Path, leads_to: str) -> None:
    other = tmp_path / "other"
    if leads_to == "build":
        write_build(other, a_build("a"))
    elif leads_to == "foreign":
        other.mkdir()
        (other / "notes.txt").write_text("mine")
    elif leads_to == "file":
        other.write_text("mine")
    before = content(other) if other.is_dir() else None
    target = tmp_path / "heron"
    target.symlink_to(other)
    assert refused(target, a_build("b")).code == "target-is-link"
    assert target.is_symlink()
    assert before == (content(other) if other.is_dir() else None)


@posix
def test_link_on_the_way_is_followed(tmp_path: Path) -> None:
    (tmp_path / "real").mkdir()
    (tmp_path / "way").symlink_to("real")
    write_build(tmp_path / "way" / "heron", a_build("a"))
    assert content(tmp_path / "real" / "heron") == a_build("a")


@posix
def test_manifest_that_is_a_pipe_or_a_link_does_not_make_a_build(tmp_path: Path) -> None:
    write_build(tmp_path / "real", a_build("a"))
    for make in (os.mkfifo, lambda path: os.symlink(tmp_path / "real" / "manifest.json", path)):
        target = tmp_path / "heron"
        target.mkdir()
        make(target / "manifest.json")
        assert refused(target, a_build("b")).code == "foreign-folder"
        (target / "manifest.json").unlink()
        target.rmdir()


def test_what_people_put_there_stays(tmp_path: Path, swap: str) -> None:
    target = tmp_path / "heron"
    write_build(target, a_build("a", pdf="old.pdf"))
    (target / "notes.txt").write_text("glue first")
    (target / "sheets" / "cut").mkdir()
    (target / "sheets" / "cut" / "first.svg").write_text("mine")
    (target / "page.html").write_text("will be the build's")
    for mark in "bc":
        files = a_build(mark, page="page.html")
        write_build(target, files)
        assert content(target) == files | {"notes.txt": b"glue first", "sheets/cut/first.svg": b"mine"}


@posix
def test_links_that_people_put_there_stay_links(tmp_path: Path) -> None:
    target, outside = tmp_path / "heron", tmp_path / "outside"
    outside.mkdir()
    (outside / "photo").write_text("mine")
    write_build(target, a_build("a"))
    (target / "photos").symlink_to(outside)
    write_build(target, a_build("b"))
    assert os.readlink(target / "photos") == str(outside)
    assert content(outside) == {"photo": b"mine"}


@pytest.mark.parametrize(
    "name", ["../x", "/x", "a/../../x", "", "a//b", "a/", "./a", "a\\b", "C:x", "a\0b", ".", ".."]
)
def test_names_that_lead_out_are_refused(tmp_path: Path, name: str) -> None:
    assert refused(tmp_path / "heron", a_build("a") | {name: b""}).code == "bad-file-name"
    assert names(tmp_path) == []


def test_a_build_without_manifest_is_a_mistake_of_the_caller(tmp_path: Path) -> None:
    with pytest.raises(ValueError, match="manifest"):
        write_build(tmp_path / "heron", {"a": b""})


def test_working_folder_itself_and_upward(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    for here in (".", "below/.."):
        folder = tmp_path / f"at{len(here)}"
        folder.mkdir()
        monkeypatch.chdir(folder)
        write_build(Path(here), a_build("a"))
        assert content(folder) == a_build("a")
    assert refused(Path("/"), a_build("a")).code == "target-unwritable"


@posix
@pytest.mark.parametrize("umask", [0o077, 0o022, 0o000, 0o777])
def test_modes_do_not_depend_on_the_umask(tmp_path: Path, umask: int) -> None:
    old = os.umask(umask)
    try:
        write_build(tmp_path / "heron", a_build("a"))
    finally:
        os.umask(old)
    for path in [tmp_path / "heron", *(tmp_path / "heron").rglob("*")]:
        assert stat.S_IMODE(path.stat().st_mode) == (0o755 if path.is_dir() else 0o644)


# Faults


def test_parent_that_is_a_file(tmp_path: Path) -> None:
    (tmp_path / "build").write_text("mine")
    error = refused(tmp_path / "build" / "heron", a_build("a"))
    assert error.code == "target-is-file"
    assert f"'{tmp_path / 'build'}' is a file where a folder is needed" in str(error)
    assert "-o" in str(error)
    assert (tmp_path / "build").read_text() == "mine"


UNPRIVILEGED = """
import ctypes, os, shutil, sys
from pathlib import Path
from ringwright.backends.build_folder import BuildFolderError, write_build
if os.geteuid() == 0:
    os.setuid(65534)  # root may write everywhere
try:
    write_build(Path(sys.argv[1]), {"manifest.json": b"{}"})
except BuildFolderError as error:
    print(error.code)
"""


@posix
def test_parent_that_may_not_be_written() -> None:
    with tempfile.TemporaryDirectory() as place:  # pytest's own folders are shut for other users
        target = Path(place, "heron")
        write_build(target, a_build("a"))
        os.chmod(place, 0o555)
        done = subprocess.run(
            [sys.executable, "-c", UNPRIVILEGED, target], capture_output=True, text=True, check=True
        )
        assert done.stdout == "target-unwritable\n"
        assert content(target) == a_build("a")
        assert names(target.parent) == ["heron"]
        os.chmod(place, 0o755)


@pytest.mark.parametrize(
    ("number", "code"),
    [
        (errno.ENOSPC, "disk-full"),
        (errno.EDQUOT, "disk-full"),
        (errno.EIO, "target-unwritable"),
        (errno.EROFS, "target-unwritable"),
    ],
)
@pytest.mark.parametrize("first", [True, False])
def test_error_at_the_flush(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, number: int, code: str, first: bool
) -> None:
    target = tmp_path / "build" / "heron"
    if not first:
        write_build(target, a_build("a"))

    def full(handle: int) -> None:
        raise OSError(number, os.strerror(number))

    monkeypatch.setattr(os, "fsync", full)
    assert refused(target, a_build("b")).code == code
    assert names(tmp_path) == ([] if first else ["build"])
    if not first:
        assert content(target) == a_build("a")
        assert names(target.parent) == ["heron"]


@posix
def test_all_is_on_the_disk_before_the_swap(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    flushed: set[int] = set()
    missing: list[Path] = []
    rename = os.rename

    def swap(one: Path, other: Path) -> None:
        missing.extend(path for path in (one, *one.rglob("*")) if path.stat().st_ino not in flushed)
        rename(one, other)

    monkeypatch.setattr(os, "fsync", lambda handle: flushed.add(os.fstat(handle).st_ino))
    monkeypatch.setattr(os, "rename", swap)
    write_build(tmp_path / "heron", a_build("a"))
    assert missing == []
    assert tmp_path.stat().st_ino in flushed


LIMITED = """
import resource, sys
from pathlib import Path
from ringwright.backends.build_folder import BuildFolderError, write_build
resource.setrlimit(resource.RLIMIT_FSIZE, (10000, 10000))
try:
    write_build(Path(sys.argv[1]), {"manifest.json": b"{}", "big": b"x" * 50000})
except BuildFolderError as error:
    print(error.code)
"""


@posix
def test_files_that_may_not_grow(tmp_path: Path) -> None:
    """The system itself stops the writing half way."""
    target = tmp_path / "heron"
    write_build(target, a_build("a"))
    done = subprocess.run([sys.executable, "-c", LIMITED, target], capture_output=True, text=True, check=True)
    assert done.stdout == "disk-full\n"
    assert content(target) == a_build("a")
    assert names(tmp_path) == ["heron"]


def test_rename_that_fails(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """As on a system where a program holds a file open: the second of two renames is not let."""
    target = tmp_path / "heron"
    write_build(target, a_build("a"))
    rename = os.rename

    def held(one: Path, other: Path) -> None:
        if one.name.endswith(".new"):
            raise PermissionError(errno.EACCES, "in use", str(one))
        rename(one, other)

    monkeypatch.setattr(build_folder, "exchanged", lambda one, other: False)
    monkeypatch.setattr(os, "rename", held)
    assert refused(target, a_build("b")).code == "target-unwritable"
    assert content(target) == a_build("a")
    assert names(tmp_path) == ["heron"]


# Stopped at every line of the code, in turn: killed, a full disk, Ctrl-C

STOPPED = """
import errno, json, os, sys
from pathlib import Path
from ringwright.backends import build_folder, folder_lock, folder_swap, manifest
target, how, swap, old, new = Path(sys.argv[1]), *sys.argv[2:4], *map(json.loads, sys.argv[4:6])
old, new = ({name: text.encode() for name, text in files.items()} for files in (old, new))
ours = {module.__file__ for module in (build_folder, folder_lock, folder_swap, manifest)}
os.fsync = lambda handle: None  # a killed process loses nothing that it wrote
if swap == "two renames":
    build_folder.exchanged = lambda one, other: False


def content():
    return {p.relative_to(target).as_posix(): p.read_bytes() for p in target.rglob("*") if p.is_file()}


def run(stop):
    count = 0

    def trace(frame, event, argument):
        nonlocal count
        if frame.f_code.co_filename not in ours:
            return None
        if event == "line":
            count += 1
            if count == stop:
                if how == "kill":
                    os._exit(9)
                raise KeyboardInterrupt if how == "interrupt" else OSError(errno.ENOSPC, "full")
        return trace

    sys.settrace(trace)
    try:
        build_folder.write_build(target, new)
    except (KeyboardInterrupt, OSError, build_folder.BuildFolderError):
        os._exit(8)
    finally:
        sys.settrace(None)
    os._exit(0 if count < stop else 8)


stop, seen = 0, set()
while True:
    stop += 1
    if old:
        build_folder.write_build(target, old)
    child = os.fork()
    if child == 0:
        run(stop)
    code = os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])
    assert code in (0, 8, 9), code
    if how != "kill" or swap == "exchange":
        assert content() in (old, new), f"torn at line {stop}"
    build_folder.recover(target)
    left = content()
    assert left in (old, new), f"torn after recovery at line {stop}"
    assert set(os.listdir(target.parent)) <= {target.name, f".{target.name}.lock"}, os.listdir(target.parent)
    seen.add("new" if left == new else "old")
    build_folder.write_build(target, new)
    assert content() == new
    assert os.listdir(target.parent) == [target.name]
    if not old:
        build_folder._remove(target)
    if code == 0:
        break
assert seen == {"new", "old"}
print(stop)
"""


@posix
@pytest.mark.parametrize("first", [True, False])
@pytest.mark.parametrize("way", ["exchange", "two renames"])
@pytest.mark.parametrize("how", ["kill", "full", "interrupt"])
def test_stopped_at_every_line(tmp_path: Path, how: str, way: str, first: bool) -> None:
    old, new = ({n: b.decode() for n, b in a_build(mark).items()} for mark in "ab")
    script = [sys.executable, "-c", STOPPED, str(tmp_path / "heron"), how, way]
    arguments = [json.dumps({} if first else old), json.dumps(new)]
    done = subprocess.run([*script, *arguments], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    assert int(done.stdout) > 100


def test_recovery(tmp_path: Path) -> None:
    target = tmp_path / "heron"
    write_build(target, a_build("a"))
    target.rename(tmp_path / ".heron.old")
    write_build(tmp_path / ".heron.new", a_build("b"))
    recover(target)
    assert content(target) == a_build("a")
    assert names(tmp_path) == ["heron"]
    recover(target)
    assert content(target) == a_build("a")


@posix
def test_recovery_removes_links_and_not_what_they_lead_to(tmp_path: Path) -> None:
    target, other = tmp_path / "heron", tmp_path / "other"
    write_build(target, a_build("a"))
    write_build(other, a_build("b"))
    (tmp_path / ".heron.new").symlink_to(other)
    write_build(target, a_build("c"))
    assert content(other) == a_build("b")
    assert names(tmp_path) == ["heron", "other"]


def test_recovery_where_nothing_is(tmp_path: Path) -> None:
    recover(tmp_path / "build" / "heron")
    assert names(tmp_path) == []


# Two runs at once


def test_second_run_gives_up_and_says_who(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(build_folder, "PATIENCE", 0.2)
    write_build(tmp_path / "heron", a_build("a"))
    with folder_lock.held(tmp_path / ".heron.lock", 0):
        start = time.monotonic()
        error = refused(tmp_path / "heron", a_build("b"))
        assert 0.2 <= time.monotonic() - start < 5
        recover(tmp_path / "heron")  # leaves the work of the other run alone
    assert error.code == "target-busy"
    assert f"process {os.getpid()}" in str(error)
    assert content(tmp_path / "heron") == a_build("a")
    write_build(tmp_path / "heron", a_build("b"))
    assert names(tmp_path) == ["heron"]


def test_lock_file_of_a_killed_run_is_no_lock(tmp_path: Path) -> None:
    (tmp_path / ".heron.lock").write_text("1")
    start = time.monotonic()
    write_build(tmp_path / "heron", a_build("a"))
    assert time.monotonic() - start < 5
    assert names(tmp_path) == ["heron"]


def test_lock_on_a_file_that_was_just_removed_is_none(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The first run ends between the second one's opening of the file and its locking of it."""
    path, locked = tmp_path / ".heron.lock", folder_lock._locked
    tries: list[int] = []

    def late(handle: int) -> bool:
        if not tries:
            path.unlink()
        tries.append(handle)
        return locked(handle)

    monkeypatch.setattr(folder_lock, "_locked", late)
    with folder_lock.held(path, 5), pytest.raises(folder_lock.Busy), folder_lock.held(path, 0):
        pass
    assert len(tries) == 3
    assert names(tmp_path) == []


WRITER = """
import json, sys
from pathlib import Path
from ringwright.backends.build_folder import write_build
files = {name: text.encode() for name, text in json.loads(sys.argv[2]).items()}
for _ in range(20):
    write_build(Path(sys.argv[1]), files)
"""


def test_two_writers_and_a_reader(tmp_path: Path) -> None:
    target = tmp_path / "heron"
    builds = [a_build(mark) for mark in "abc"]
    write_build(target, builds[0])
    writers = [
        subprocess.Popen(
            [sys.executable, "-c", WRITER, target, json.dumps({n: b.decode() for n, b in files.items()})],
            stderr=subprocess.PIPE,
        )
        for files in builds[1:]
    ]
    looks = 0
    while any(writer.poll() is None for writer in writers):
        if sys.platform == "linux":
            looks += seen_whole(target, builds)
        time.sleep(0.002)
    for writer in writers:
        _, complaint = writer.communicate()
        assert writer.returncode == 0, complaint
    assert content(target) in builds[1:]
    assert names(tmp_path) == ["heron"]
    assert looks > 5 or sys.platform != "linux"


def seen_whole(target: Path, builds: list[dict[str, bytes]]) -> bool:
    """A reader sees one whole build, or (False) one that was swapped out under its hands."""
    folder: Any = os.open(target, os.O_RDONLY)  # never absent
    try:
        with open(os.open("manifest.json", os.O_RDONLY, dir_fd=folder), "rb") as file:
            text = file.read()
    except FileNotFoundError:
        return False
    finally:
        os.close(folder)
    assert text in [files["manifest.json"] for files in builds]
    return True
