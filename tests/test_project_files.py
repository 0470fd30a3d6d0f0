"""What the project's folder holds: the agreed top level, and in no file what does not belong there."""

import subprocess
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
TOP = {
    "README.md",
    "DEVELOPERS.md",
    "pyproject.toml",
    "LICENSE",
    "lang",
    "geometry",
    "backends",
    "tests",
    "specs",
}


def project_files() -> list[Path]:
    """Return the files that belong to the project: those git knows, else all but what is built."""
    asked = ["git", "ls-files", "--cached", "--others", "--exclude-standard", "-z"]
    try:
        done = subprocess.run(asked, cwd=ROOT, capture_output=True, check=True)
        names = [name for name in done.stdout.decode().split("\0") if name]
    except (OSError, subprocess.CalledProcessError):
        names = [path.relative_to(ROOT).as_posix() for path in ROOT.rglob("*") if path.is_file()]
    made = ("build", "__pycache__")
    kept = [
        name
        for name in names
        if not any(p in made or p.endswith(("cache", ".egg-info")) for p in name.split("/"))
    ]
    return [ROOT / name for name in sorted(kept) if (ROOT / name).is_file()]


def test_the_top_level_is_as_agreed() -> None:
    first = {path.relative_to(ROOT).parts[0] for path in project_files()}
    assert {name for name in first if not name.startswith(".")} == TOP


def test_each_folder_says_what_it_is() -> None:
    assert [
        folder
        for folder in ("lang", "geometry", "backends", "tests", "specs")
        if not (ROOT / folder / "README.md").is_file()
    ] == []


TEXTS = {".py", ".md", ".toml", ".wright", ".lark", ".table", ".json", ".csv", ".txt", ""}
# Written in two halves, so that this file does not hold them.
PATHS = ["/" + top for top in ("work/", "tmp/", "root/")]


def faults_of(name: str, data: bytes) -> list[str]:
    """Return what a file of the project should not hold: a machine's paths, tabs, blanks at ends."""
    try:
        text = data.decode("utf-8")
    except UnicodeDecodeError:
        return [f"{name}: no UTF-8"]
    found = []
    for number, line in enumerate(text.split("\n"), 1):
        if "\t" in line:
            found.append(f"{name}:{number}: a tab")
        if line != line.rstrip():
            found.append(f"{name}:{number}: blanks at the end of the line")
        if any(_holds_path(line, path) for path in PATHS):
            found.append(f"{name}:{number}: the path of a machine")
    if text and (not text.endswith("\n") or text.endswith("\n\n")):
        found.append(f"{name}: must end with one line break")
    if text.startswith("\ufeff"):
        found.append(f"{name}: a byte order mark")
    return found


def _holds_path(line: str, path: str) -> bool:
    """Whether a path begins in the line: not where it goes on from a name, as in `geometry/tmp/x`."""
    at = line.find(path)
    return at >= 0 and (at == 0 or not (line[at - 1].isalnum() or line[at - 1] in "._-}~/"))


def test_no_file_holds_junk() -> None:
    read = [path for path in project_files() if path.suffix in TEXTS]
    assert len(read) > 50
    faults = [f for path in read for f in faults_of(path.relative_to(ROOT).as_posix(), path.read_bytes())]
    assert not faults, "\n".join(faults)


@pytest.mark.parametrize(("data", "said"), [
    (b"a = 1 \n", "x.py:1: blanks at the end of the line"),
    (b"if a:\n\tb\n", "x.py:2: a tab"),
    (b"a = 1\r\n", "x.py:1: blanks at the end of the line"),
    (b"a", "x.py: must end with one line break"),
    (b"a\n\n", "x.py: must end with one line break"),
    (b"see '" + PATHS[0].encode() + b"main/x'\n", "x.py:1: the path of a machine"),
    (PATHS[2].encode() + b"x\n", "x.py:1: the path of a machine"),
    (b"\xff\n", "x.py: no UTF-8"),
])  # fmt: skip
def test_junk_is_seen(data: bytes, said: str) -> None:
    assert faults_of("x.py", data) == [said]


def test_what_is_no_junk_passes() -> None:
    assert faults_of("x.py", b"see lang/tmp/x and ../tmp/x\n") == []
    assert faults_of("x.py", b"") == []
