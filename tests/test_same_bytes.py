"""The same text gives the same bytes: whatever the machine, the place, the hour and the language around it.

Each build runs in a process of its own, in a fresh copy of the spec's folder, and must equal a base build in
the names, the modes and the SHA-256 of all files. The list of what is changed is the one that builders of
reproducible software use (hash seed, build path, locale, time zone, umask, home, processor).
"""

import hashlib
import os
import shutil
import subprocess
import sys
from collections.abc import Iterator, Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from functools import cache
from pathlib import Path
from typing import NamedTuple

import pytest

SPECS = Path(__file__).parents[1] / "specs"
AT_ONCE = 2
PATIENCE = 60.0

STOCK = """\
stock board { kind = foamboard, thickness = 4.8 mm, sheet = 762 mm by 508 mm, mass = 410 g/m2 }
stock card  { kind = card, thickness = 0.4 mm, sheet = 297 mm by 210 mm, mass = 220 g/m2 }
"""
SPEC = """\
use "stock.wright"
model small {
    title      = "Kleiner Bläßreiher ±"
    revision   = "B"
    plan_scale = 125 %
}
station firewall { x = 0 mm }
station spinner  { x = @-83 mm }
stack cowl {
    from  = firewall
    to    = spinner
    stock = board
    plate  back  { }
    barrel drum  { diameter = @106 ± 0.5 mm, length = @32 mm }
    cone   mid   { end = @93 mm }
    cone   lip   { end = @74 mm }
    plate  front {
        seat = inside
        hole inlet { diameter = 40 mm }
    }
}
former F2 {
    at      = 1 7/64 in
    stock   = board
    outline = @half[(0, 58), (32, 52), (48, 32), (48, -32), (38, -50), (0, -52)] mm
    inset   = card.thickness
    hole lighten { outline = ellipse(46 mm, 26 mm), at = (0 mm, 20 mm) }
    slot edge { length = 12 mm, width = 6 mm, at = (@48 mm, @20 mm) }
}
panel elevator {
    view    = top
    stock   = card
    hand    = both
    outline = @curve[corner(0, 8), corner(0, 60), (18, 56), (30, 44), corner(34, 8)] mm
    score horn { from = (4 mm, 40 mm), to = (36 mm, 40 mm), bend = 8 deg }
}
"""


class Way(NamedTuple):
    """One way to run a build. environment: None takes a variable away. folder: where the project lies."""

    name: str
    environment: Mapping[str, str | None] = {}
    folder: str = "project"
    umask: int = 0o022
    read_only: bool = False
    terminal: bool = False
    seed: str = "1"


def disabled_features() -> str:
    """All code paths of numpy that this processor would choose and that can be switched off."""
    from importlib import import_module

    try:
        umath = import_module("numpy._core._multiarray_umath")
    except ModuleNotFoundError:  # numpy 1
        umath = import_module("numpy.core._multiarray_umath")
    chosen = [name for name in umath.__cpu_dispatch__ if umath.__cpu_features__.get(name)]
    return " ".join(chosen)


ACCENT = "Flügel & Nase ç"
KIRITIMATI, ADAK = {"TZ": "Pacific/Kiritimati"}, {"TZ": "America/Adak"}
HASWELL, NEHALEM = {"OPENBLAS_CORETYPE": "Haswell"}, {"OPENBLAS_CORETYPE": "Nehalem"}
BARE = {"NPY_DISABLE_CPU_FEATURES": disabled_features()}
ASCII = {"LC_ALL": "C", "PYTHONUTF8": "0", "PYTHONCOERCECLOCALE": "0"}
HOMELESS: dict[str, str | None] = {
    "HOME": "/nonexistent",
    "USER": None,
    "LOGNAME": None,
    "TMPDIR": "/nonexistent",
}

ALONE = {
    "hash seeds": [Way(f"seed {seed}", seed=str(seed)) for seed in range(10)],
    "places": [Way("a folder with a blank and accents", folder=ACCENT), Way("deep", folder="a/b/c/d")],
    "time zones": [Way("a day ahead", KIRITIMATI), Way("a day behind", ADAK)],
    "umasks": [Way("umask 077", umask=0o077), Way("umask 000", umask=0)],
    "processors": [
        Way("Haswell kernels", HASWELL),
        Way("Nehalem kernels", NEHALEM),
        Way("numpy without its vector code", BARE),
        Way("two threads", {"OPENBLAS_NUM_THREADS": "2"}),
    ],
    "surroundings": [
        Way("no home", HOMELESS),
        Way("read-only sources", read_only=True),
        Way("a terminal", {"TERM": "xterm-256color", "COLUMNS": "40"}, terminal=True),
        Way("optimised", {"PYTHONOPTIMIZE": "2", "PYTHONDONTWRITEBYTECODE": "1"}),
    ],
}
ALL_AT_ONCE = [
    Way(
        "ahead",
        {**KIRITIMATI, **HASWELL, **HOMELESS, **ASCII, "COLUMNS": "40"},
        ACCENT,
        0o077,
        True,
        False,
        "7",
    ),
    Way(
        "behind",
        {**ADAK, **NEHALEM, **BARE, "LC_ALL": "C.UTF-8", "COLUMNS": "200"},
        "b ç",
        0,
        True,
        True,
        "8",
    ),
]


def environment(way: Way) -> dict[str, str]:
    """Return the whole environment of a way: little is taken over from the one around the tests."""
    kept = {name: os.environ[name] for name in ("PATH", "SYSTEMROOT", "VIRTUAL_ENV") if name in os.environ}
    wanted = {**kept, "HOME": str(Path.home()), "TZ": "UTC", "PYTHONHASHSEED": way.seed, **way.environment}
    return {name: value for name, value in wanted.items() if value is not None}


def run(arguments: Sequence[str], way: Way, folder: Path) -> tuple[int, str]:
    """Run ringwright in a fresh process and session; return its exit code and all that it said."""
    command = [sys.executable, "-m", "ringwright.lang", *arguments]
    common = {"cwd": folder, "env": environment(way), "umask": way.umask, "start_new_session": True}
    if not way.terminal:
        done = subprocess.run(
            command,
            stdin=subprocess.DEVNULL,
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            timeout=PATIENCE,
            **common,
        )  # type: ignore[call-overload]
        return done.returncode, done.stdout.decode(errors="backslashreplace")
    import pty

    ours, theirs = pty.openpty()
    child = subprocess.Popen(command, stdin=theirs, stdout=theirs, stderr=theirs, **common)  # type: ignore[call-overload]
    os.close(theirs)
    said = b"".join(_read_to_end(ours))
    os.close(ours)
    return child.wait(PATIENCE), said.decode(errors="backslashreplace")


def _read_to_end(handle: int) -> Iterator[bytes]:
    while True:
        try:
            data = os.read(handle, 4096)
        except OSError:  # how Linux says that the other end is closed
            return
        if not data:
            return
        yield data


def lay_out(spec: Path, target: Path) -> Path:
    """Copy a spec's folder without what was built in it; return the copy of the spec."""
    shutil.copytree(spec.parent, target, ignore=shutil.ignore_patterns("build", "*.layout"))
    return target / spec.name


def build(spec: Path, home: Path, way: Way, options: Sequence[str] = ()) -> Path:
    """Build a copy of the spec one way, with some options, and return the build folder."""
    copy = lay_out(spec, home / way.folder)
    out = home / "out"
    modes = {path: path.stat().st_mode for path in (copy.parent, *copy.parent.iterdir())}
    if way.read_only:
        for path, mode in modes.items():
            path.chmod(mode & ~0o222)
    code, said = run(["build", copy.name, "-o", str(out), *options], way, copy.parent)
    for path, mode in modes.items():
        path.chmod(mode)
    assert code == 0, f"{way.name}: {said}"
    return out


@cache
def _small(folder: Path) -> Path:
    spec = folder / "small.wright"
    (folder / "stock.wright").write_text(STOCK, "utf-8")
    spec.write_text(SPEC, "utf-8")
    return spec


@pytest.fixture(scope="session")
def small(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A small spec that uses most kinds."""
    return _small(tmp_path_factory.mktemp("small"))


def files_of(folder: Path) -> dict[str, tuple[str, str]]:
    """Return the mode and SHA-256 of each file ('' for folders) by its path below the folder."""
    found = {}
    for path in sorted(folder.rglob("*")):
        digest = "" if path.is_dir() else hashlib.sha256(path.read_bytes()).hexdigest()
        found[path.relative_to(folder).as_posix()] = (oct(path.stat().st_mode), digest)
    return found


def differences(base: Path, other: Path) -> list[str]:
    """Say how two build folders differ: missing files, modes, the first line of each file that differs."""
    ours, theirs = files_of(base), files_of(other)
    told = [f"only in one of them: {name}" for name in sorted(set(ours) ^ set(theirs))]
    for name in sorted(set(ours) & set(theirs)):
        if ours[name][0] != theirs[name][0]:
            told.append(f"{name}: mode {ours[name][0]} and {theirs[name][0]}")
        if ours[name][1] != theirs[name][1]:
            told.append(f"{name}: {_first_line((base / name).read_bytes(), (other / name).read_bytes())}")
    return told


def _first_line(one: bytes, two: bytes) -> str:
    lines = one.split(b"\n"), two.split(b"\n")
    number = next(
        (n for n, pair in enumerate(zip(*lines, strict=False)) if pair[0] != pair[1]), min(map(len, lines))
    )
    shown = [repr(text[number][:200]) if number < len(text) else "the end" for text in lines]
    return f"line {number + 1}: {shown[0]} and {shown[1]}"


def compare(spec: Path, ways: Sequence[Way], home: Path, options: Sequence[str] = ()) -> None:
    """Build the base and every way, and compare."""
    with ThreadPoolExecutor(AT_ONCE) as pool:
        everything = [Way("base"), *ways]
        built = list(
            pool.map(lambda pair: build(spec, home / str(pair[0]), pair[1], options), enumerate(everything))
        )
    told = {way.name: differences(built[0], folder) for way, folder in zip(ways, built[1:], strict=True)}
    assert {name: found for name, found in told.items() if found} == {}
    assert {"manifest.json", "cut-list.csv", "sheets"} < set(files_of(built[0]))


@pytest.mark.parametrize("what", ALONE)
def test_nothing_around_a_build_changes_a_byte(what: str, small: Path, tmp_path: Path) -> None:
    compare(small, ALONE[what], tmp_path)


def test_all_changed_at_once(small: Path, tmp_path: Path) -> None:
    compare(small, ALL_AT_ONCE, tmp_path)


def test_every_format_with_all_changed_at_once(small: Path, tmp_path: Path) -> None:
    """The formats that are written only when asked for, under some more hash seeds."""
    options = ("--formats", "svg,pdf,dxf,tiles,plan,gauge,book", "--text", "outlines", "--dimensions")
    compare(
        small, [*ALL_AT_ONCE, *(Way(f"seed {seed}", seed=str(seed)) for seed in range(4))], tmp_path, options
    )


@pytest.mark.parametrize(
    "name",
    [
        "C",
        pytest.param("C.UTF-8", marks=pytest.mark.locales),
        pytest.param("tr_TR.UTF-8", marks=pytest.mark.locales),
    ],
)
def test_no_locale_changes_a_byte(name: str, small: Path, tmp_path: Path) -> None:
    """C without Python's UTF-8 mode has no letter beyond ASCII; Turkish has another small I."""
    asks = [sys.executable, "-c", "import locale; locale.setlocale(locale.LC_ALL, '')"]
    if subprocess.run(
        asks, env={**os.environ, "LC_ALL": name}, stderr=subprocess.DEVNULL, check=False
    ).returncode:
        pytest.skip(f"the locale {name} is not installed")
    ways = [
        Way(name, {"LC_ALL": name}),
        Way(f"{name}, accents", {"LC_ALL": name, "PYTHONUTF8": "0", "PYTHONCOERCECLOCALE": "0"}, ACCENT),
    ]
    compare(small, ways, tmp_path)


@pytest.mark.parametrize(
    "spec",
    [
        pytest.param(path, id=path.stem)
        for path in sorted(SPECS.glob("*/*.wright"))
        if "\nmodel " in path.read_text("utf-8")
    ],
)
def test_every_spec_with_all_changed_at_once(spec: Path, tmp_path: Path) -> None:
    compare(spec, ALL_AT_ONCE, tmp_path)


def test_a_second_build_changes_nothing(small: Path, tmp_path: Path) -> None:
    """Into the same folder, with whatever the first build left beside the spec."""
    spec = lay_out(small, tmp_path / "project")
    for seed in ("3", "4"):
        code, said = run(["build", spec.name], Way("again", seed=seed), spec.parent)
        assert code == 0, said
        if seed == "3":
            shutil.copytree(spec.parent / "build" / "small", tmp_path / "first")
    assert differences(tmp_path / "first", spec.parent / "build" / "small") == []
    assert sorted(path.name for path in (spec.parent / "build").iterdir()) == [".small.memory", "small"]


class TestTheDate:
    """SOURCE_DATE_EPOCH is the only source of a date."""

    # 01:46 UTC on 9 September 2001: still the 8th in America/Adak.
    EPOCH = "1000000000"

    def dated(self, small: Path, home: Path, epoch: str | None, zone: Mapping[str, str]) -> Path:
        return build(small, home, Way("dated", {**zone, "SOURCE_DATE_EPOCH": epoch}))

    def test_without_it_no_file_has_a_date(self, small: Path, tmp_path: Path) -> None:
        for name, bytes_ in (
            (p.name, p.read_bytes()) for p in self.dated(small, tmp_path, None, {}).rglob("*") if p.is_file()
        ):
            assert b"/CreationDate" not in bytes_, name
            assert b"/ModDate" not in bytes_, name
            assert b"2001-09" not in bytes_, name

    def test_with_it_the_date_is_that_of_greenwich(self, small: Path, tmp_path: Path) -> None:
        with ThreadPoolExecutor(AT_ONCE) as pool:
            zones = {"greenwich": {"TZ": "UTC"}, "adak": ADAK}
            one, two = pool.map(
                lambda item: self.dated(small, tmp_path / item[0], self.EPOCH, item[1]), zones.items()
            )
        assert differences(one, two) == []
        assert b"D:20010909" in next(one.glob("*.pdf")).read_bytes()

    @pytest.mark.parametrize("epoch", ["yesterday", "-1", "1e9", "12.5", " 1", "99999999999999"])
    def test_a_malformed_one_is_an_error(self, epoch: str, small: Path, tmp_path: Path) -> None:
        code, said = run(
            ["build", str(small), "-o", str(tmp_path / "out")],
            Way("bad", {"SOURCE_DATE_EPOCH": epoch}),
            tmp_path,
        )
        assert code == 2
        assert "SOURCE_DATE_EPOCH" in said
        assert list(tmp_path.iterdir()) == []


def test_a_difference_is_told_with_its_line(tmp_path: Path) -> None:
    """The comparison itself can fail: a changed byte, a mode, and a file too many are all seen."""
    for name, last in (("one", "c\n"), ("two", "d\n")):
        (tmp_path / name).mkdir()
        (tmp_path / name / "same.txt").write_text("same\n")
        (tmp_path / name / "cut.svg").write_text("a\nb\n" + last)
    (tmp_path / "two" / "same.txt").chmod(0o600)
    (tmp_path / "two" / "extra.txt").write_text("")
    told = differences(tmp_path / "one", tmp_path / "two")
    assert told[0] == "only in one of them: extra.txt"
    assert told[1] == r"cut.svg: line 3: b'c' and b'd'"
    assert told[2].startswith("same.txt: mode 0o100644 and 0o100600")
    assert len(told) == 3
