"""Several specs at once, and what a build read, as make and ninja want to know it."""

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from ringwright.lang.commands.depfile import depfile
from ringwright.lang.commands.main import main

ROOT = Path(__file__).parents[3]
SHOP = "stock board { kind = foamboard, thickness = 4.8 mm, sheet = 762 mm by 508 mm, mass = 410 g/m2 }\n"


def model(name: str, size: int = 90) -> str:
    return (
        f'use "shop.wright"\nmodel {name} {{ title = "{name}" }}\n'
        f"panel floor {{ stock = board, outline = rect({size} mm, 40 mm), quantity = 2 }}\n"
    )


@pytest.fixture
def fleet(tmp_path, monkeypatch):
    """Three models that share a stock file, one of them with a mistake, in the folder where one stands."""
    monkeypatch.chdir(tmp_path)
    (tmp_path / "shop.wright").write_text(SHOP)
    for name in ("heron", "teal"):
        (tmp_path / f"{name}.wright").write_text(model(name))
    (tmp_path / "wreck.wright").write_text(model("wreck").replace("90 mm", "90 g"))
    return tmp_path


@pytest.mark.parametrize("jobs", ["1", "2"])
def test_many_are_built_with_one_summary_in_the_order_given(fleet, jobs, capsys):
    assert main(["build", "teal.wright", "wreck.wright", "heron.wright", "--jobs", jobs]) == 1
    said = capsys.readouterr()
    assert said.out == (
        "teal.wright: 2 pieces on 1 sheet in build/teal\n"
        "wreck.wright: 1 error, nothing was written\n"
        "heron.wright: 2 pieces on 1 sheet in build/heron\n"
        "\n2 of 3 models built, 4 pieces on 2 sheets; not built: wreck.wright\n"
        "care    blades cut, hot glue burns, heated foam gives off fumes: see the README\n"
    )
    assert said.err.count("error:") == 1
    assert said.err.startswith("wreck.wright:3:")
    assert not (fleet / "build" / "wreck").exists()


def test_as_many_at_once_or_one_by_one_gives_the_same_bytes(fleet):
    found = []
    for jobs in ("1", "3"):
        assert main(["build", "heron.wright", "teal.wright", "--jobs", jobs]) == 0
        found.append({path: path.read_bytes() for path in (fleet / "build").rglob("*") if path.is_file()})
    assert found[0] == found[1]
    assert len(found[0]) == 8


def test_a_spec_named_twice_is_built_once(fleet, capsys):
    assert main(["build", "heron.wright", "heron.wright"]) == 0
    assert "wrote" in capsys.readouterr().out


@pytest.mark.parametrize("jobs", ["0", "-3", "many"])
def test_no_number_of_jobs_is_wrong_usage(fleet, jobs):
    with pytest.raises(SystemExit) as stopped:
        main(["build", "heron.wright", "--jobs", jobs])
    assert stopped.value.code == 2


def test_the_program_builds_many_as_a_shell_calls_it(fleet):
    done = subprocess.run(
        [sys.executable, "-m", "ringwright.lang", "build", "heron.wright", "teal.wright", "--jobs", "2"],
        capture_output=True, text=True, timeout=120, check=False,
    )  # fmt: skip
    assert (done.returncode, done.stderr) == (0, "")
    assert "2 of 2 models built" in done.stdout


def test_what_was_read_is_written_for_make(fleet):
    assert main(["build", "heron.wright", "wreck.wright", "--depfile", "built.d"]) == 1
    assert (fleet / "built.d").read_text() == (
        "build/heron/manifest.json: \\\n  heron.wright \\\n  shop.wright\n\nheron.wright:\n\nshop.wright:\n"
    )
    before = (fleet / "built.d").read_bytes()
    assert main(["build", "wreck.wright", "--depfile", "built.d"]) == 1
    assert (fleet / "built.d").read_bytes() == before


def test_a_depfile_that_cannot_be_written_is_trouble(fleet, capsys):
    assert main(["build", "heron.wright", "--depfile", "nowhere/built.d"]) == 2
    assert "'nowhere/built.d' cannot be written" in capsys.readouterr().err


no_blank = pytest.mark.skipif(
    " " in sys.executable,
    reason="the words of make and ninja are parted by blanks, those of a program's path, too",
)
needs_make = pytest.mark.skipif(shutil.which("make") is None, reason="make is not here")

strange = st.text(st.sampled_from("ab #$%\\.é("), min_size=1, max_size=8).filter(
    lambda name: (
        name.strip() == name and not name.startswith("#") and name.strip(".") and not name.endswith("\\")
    )
)


def runs_make(folder: Path, *arguments: str) -> subprocess.CompletedProcess[str]:
    environment = {**os.environ, "LC_ALL": "C.UTF-8", "RINGWRIGHT": f"{sys.executable} -m ringwright.lang"}
    return subprocess.run(
        ["make", "--no-print-directory", *arguments], cwd=folder, capture_output=True, text=True, check=False,
        env=environment, timeout=300,
    )  # fmt: skip


@needs_make
@given(strange)
def test_make_reads_a_strange_name_back(tmp_path_factory, name):
    folder = tmp_path_factory.mktemp("names")
    (folder / name).write_text("")
    (folder / "Makefile").write_text("out: ; touch out\n" + depfile({"out": [name]}), "utf-8")
    assert runs_make(folder, "-q").returncode == 1
    assert runs_make(folder).returncode == 0
    assert runs_make(folder, "-q").returncode == 0
    os.utime(folder / name, (4e9, 4e9))
    assert runs_make(folder, "-q").returncode == 1


@needs_make
@no_blank
def test_the_makefile_of_the_specs_builds_what_changed_and_no_more(tmp_path):
    specs = tmp_path / "specs"
    specs.mkdir()
    shutil.copy(ROOT / "specs" / "Makefile", specs)
    for name in ("heron", "teal"):
        (specs / name).mkdir()
        (specs / name / "shop.wright").write_text(SHOP)
        (specs / name / f"{name}.wright").write_text(model(name))
    first = runs_make(specs, "-j2")
    assert (first.returncode, first.stderr) == (0, "")
    assert first.stdout.count("wrote") == 2
    assert runs_make(specs, "-q").returncode == 0
    (specs / "teal" / "shop.wright").write_text(SHOP.replace("4.8 mm", "5 mm"))
    os.utime(specs / "teal" / "shop.wright", (4e9, 4e9))
    again = runs_make(specs)
    assert "teal/build/teal" in again.stdout
    assert "heron" not in again.stdout
    (specs / "heron" / "heron.wright").write_text(model("heron").replace('use "shop.wright"\n', "") + SHOP)
    (specs / "heron" / "shop.wright").unlink()
    assert runs_make(specs).returncode == 0
    assert runs_make(specs, "clean").returncode == 0
    assert not (specs / "heron" / "build").exists()


@pytest.mark.skipif(shutil.which("ninja") is None, reason="ninja is not here")
@no_blank
def test_ninja_takes_the_rules_too(fleet):
    program = f"{sys.executable} -m ringwright.lang"
    (fleet / "build.ninja").write_text(
        f"rule wright\n  command = {program} build $in -o $dir --depfile $out.d\n  depfile = $out.d\n"
        "build made/heron/manifest.json: wright heron.wright\n  dir = made/heron\n"
    )
    said = [
        subprocess.run(["ninja"], capture_output=True, text=True, check=True).stdout,
        subprocess.run(["ninja"], capture_output=True, text=True, check=True).stdout,
    ]
    assert "wrote" in said[0]
    assert "no work to do" in said[1]
    (fleet / "shop.wright").write_text(SHOP.replace("4.8 mm", "5 mm"))
    os.utime(fleet / "shop.wright", (4e9, 4e9))
    assert "wrote" in subprocess.run(["ninja"], capture_output=True, text=True, check=True).stdout
