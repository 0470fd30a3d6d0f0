"""What is installed: a wheel with all that the program needs and nothing more, which runs where it is put.

The project is copied first, so that what builders leave behind does not land in it. Each install goes to a
folder of its own and finds numpy and the other dependencies where the tests found them.
"""

import ast
import os
import shutil
import subprocess
import sys
import sysconfig
import tomllib
import venv
import zipfile
from email.parser import Parser
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
FOLDERS = ("lang", "geometry", "backends")
PROJECT = ("README.md", "pyproject.toml", "LICENSE", *FOLDERS)
PATIENCE = 180.0

SPEC = """\
model plain { title = "Plain", revision = "A" }
stock board { kind = foamboard, thickness = 4.8 mm, sheet = 762 mm by 508 mm }
panel floor { outline = rect(60 mm, 40 mm), stock = board }
"""


def settings() -> dict[str, list[str]]:
    """Return what pyproject says to setuptools."""
    told: dict[str, list[str]] = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["tool"][
        "setuptools"
    ]
    return told


def run(*command: str | Path, folder: Path) -> str:
    """Run a program in a folder and return its output; a failure shows all it said."""
    # Not the tests' own environment: an install must not lean on it, nor on the folder it was made from.
    kept = {name: value for name, value in os.environ.items() if not name.startswith("PYTHON")}
    done = subprocess.run(
        [*map(str, command)], cwd=folder, env=kept, stdin=subprocess.DEVNULL, capture_output=True, text=True,
        encoding="utf-8", timeout=PATIENCE, check=False,
    )  # fmt: skip
    assert done.returncode == 0, f"{' '.join(map(str, command))}\n{done.stdout}\n{done.stderr}"
    return done.stdout


def copy_project(target: Path) -> Path:
    """Copy what an install is made from."""
    target.mkdir()
    for name in PROJECT:
        source = ROOT / name
        if source.is_dir():
            shutil.copytree(source, target / name, ignore=shutil.ignore_patterns("__pycache__"))
        else:
            shutil.copy(source, target / name)
    return target


def pip(command: str, *arguments: str | Path, folder: Path, python: Path = Path(sys.executable)) -> None:
    """Run the tests' pip, for another Python if need be; setuptools is fetched where ours is too old."""
    asked = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["build-system"]["requires"]
    try:
        new_enough = int(version("setuptools").split(".")[0]) >= int(asked[0].split(">=")[1])
    except PackageNotFoundError:
        new_enough = False
    options = ["--quiet", "--disable-pip-version-check", "--no-input", "--no-deps"]
    if new_enough:
        options.append("--no-build-isolation")
    run(sys.executable, "-m", "pip", "--python", python, command, *options, *arguments, folder=folder)


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A wheel of the project."""
    home = tmp_path_factory.mktemp("wheel")
    project = copy_project(home / "project")
    pip("wheel", "--wheel-dir", home / "out", project, folder=home)
    (made,) = (home / "out").glob("*.whl")
    return made


def empty_environment(home: Path) -> Path:
    """Make an environment with links to the tests' packages, but no ringwright; return its Python."""
    venv.create(home, with_pip=False)
    python = home / ("Scripts" if os.name == "nt" else "bin") / "python"
    asked = "import sysconfig; print(sysconfig.get_path('purelib'))"
    packages = Path(run(python, "-c", asked, folder=home).strip())
    for folder in {sysconfig.get_path("purelib"), sysconfig.get_path("platlib")}:
        for entry in Path(folder).iterdir():
            if not entry.name.startswith(("ringwright", "__", "_virtualenv")) and entry.suffix != ".pth":
                (packages / entry.name).symlink_to(entry)
    return python


def check_it_runs(python: Path, home: Path) -> None:
    """The program gives its version and builds, as a script and as a module, in another folder."""
    script = python.with_name("ringwright.exe" if os.name == "nt" else "ringwright")
    said = f"ringwright {version_literal()}\n"
    work = home / "work"
    work.mkdir()
    assert run(script, "--version", folder=work) == said
    assert run(python, "-I", "-m", "ringwright.lang", "--version", folder=work) == said
    (work / "plain.wright").write_text(SPEC, "utf-8")
    run(script, "build", "plain.wright", folder=work)
    built = work / "build" / "plain"
    assert {path.name for path in built.iterdir()} == {
        "manifest.json",
        "cut-list.csv",
        "plain-A.pdf",
        "sheets",
    }


def version_literal() -> str:
    """Return the version that lang/version.py holds as a literal."""
    tree = ast.parse((ROOT / "lang" / "version.py").read_text("utf-8"))
    (assigned,) = (node for node in tree.body if isinstance(node, ast.Assign))
    found: str = ast.literal_eval(assigned.value)
    return found


def test_the_version_is_the_same_everywhere(wheel: Path) -> None:
    told = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["project"]["version"]
    with zipfile.ZipFile(wheel) as archive:
        (name,) = (name for name in archive.namelist() if name.endswith(".dist-info/METADATA"))
        metadata = Parser().parsestr(archive.read(name).decode())
    assert [told, metadata["Version"], version("ringwright")] == [version_literal()] * 3
    assert metadata["Name"] == "ringwright"
    assert metadata["License-Expression"] == "MIT"


def test_every_folder_with_code_is_a_listed_package() -> None:
    folders = {path.parent.relative_to(ROOT) for folder in FOLDERS for path in (ROOT / folder).rglob("*.py")}
    packages = {
        path.parent.relative_to(ROOT) for folder in FOLDERS for path in (ROOT / folder).rglob("__init__.py")
    }
    assert folders == packages
    assert sorted(settings()["packages"]) == sorted(f"ringwright.{'.'.join(path.parts)}" for path in packages)


def files_in(folder: Path) -> set[str]:
    """Return what a folder of the project holds, but what Python compiled and hidden files."""
    paths = (path for path in folder.rglob("*") if path.is_file() and path.parent.name != "__pycache__")
    return {path.relative_to(ROOT).as_posix() for path in paths if not path.name.startswith(".")}


def test_the_wheel_holds_what_the_folders_hold(wheel: Path) -> None:
    wanted = {name for folder in FOLDERS for name in files_in(ROOT / folder)}
    with zipfile.ZipFile(wheel) as archive:
        names = [name for name in archive.namelist() if ".dist-info/" not in name]
        held = {name.removeprefix("ringwright/") for name in names if name.startswith("ringwright/")}
        different = [
            name
            for name in sorted(held & wanted)
            if archive.read(f"ringwright/{name}") != (ROOT / name).read_bytes()
        ]
    assert {name.split("/")[0] for name in names} == {"ringwright"}
    assert sorted(held) == sorted(wanted)
    assert different == []
    assert {
        "lang/syntax/grammar.table",
        "lang/py.typed",
        "backends/lettering.json",
        "geometry/README.md",
    } <= held


def test_the_wheel_brings_the_script_and_the_licence(wheel: Path) -> None:
    with zipfile.ZipFile(wheel) as archive:
        beside = {
            name.split(".dist-info/")[1]: archive.read(name)
            for name in archive.namelist()
            if ".dist-info/" in name
        }
    assert b"ringwright = ringwright.lang.commands.main:run" in beside["entry_points.txt"]
    assert beside["licenses/LICENSE"] == (ROOT / "LICENSE").read_bytes()
    assert b"Root-Is-Purelib: true" in beside["WHEEL"]


def test_an_ordinary_install_runs(wheel: Path, tmp_path: Path) -> None:
    python = empty_environment(tmp_path / "env")
    pip("install", wheel, folder=tmp_path, python=python)
    where = run(python, "-c", "import ringwright.lang as it; print(it.__file__)", folder=tmp_path).strip()
    assert Path(where).is_relative_to(tmp_path / "env")
    check_it_runs(python, tmp_path)


def test_an_editable_install_runs_and_follows_the_text(tmp_path: Path) -> None:
    project = copy_project(tmp_path / "project")
    python = empty_environment(tmp_path / "env")
    pip("install", "--editable", project, folder=tmp_path, python=python)
    check_it_runs(python, tmp_path)
    (project / "lang" / "version.py").write_text('VERSION = "9.9"\n', "utf-8")
    assert run(python, "-m", "ringwright.lang", "--version", folder=tmp_path) == "ringwright 9.9\n"
