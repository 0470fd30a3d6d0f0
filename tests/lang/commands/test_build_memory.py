"""Building again with what the last build remembered gives the bytes of a clean build, whatever lies in its place."""

import shutil
from pathlib import Path

import pytest
from ringwright.geometry import recall
from ringwright.lang.commands.main import main

ROOT = Path(__file__).parents[3]
LEADS = "hole leads { diameter = 12 mm }"


@pytest.fixture(scope="module")
def once(tmp_path_factory):
    """The complete demo, built once."""
    folder = tmp_path_factory.mktemp("demo") / "reed-runner"
    shutil.copytree(
        ROOT / "specs" / "reed-runner", folder, ignore=shutil.ignore_patterns("build", "*.layout")
    )
    assert main(["build", str(folder / "reed-runner.wright")]) == 0
    return folder


@pytest.fixture
def demo(once, tmp_path):
    """A copy of it that may be spoiled."""
    return Path(shutil.copytree(once, tmp_path / "reed-runner"))


def memory(folder: Path) -> Path:
    return folder / "build" / ".reed-runner.memory"


def built(folder: Path) -> dict[str, bytes]:
    """All that a build writes, but its memory."""
    assert main(["build", str(folder / "reed-runner.wright")]) == 0
    return {
        path.relative_to(folder).as_posix(): path.read_bytes()
        for path in folder.rglob("*")
        if path.is_file() and path != memory(folder)
    }


def change(folder: Path, old: str, new: str) -> None:
    spec = folder / "reed-runner.wright"
    text = spec.read_text("utf-8")
    assert text.count(old) == 1
    spec.write_text(text.replace(old, new), "utf-8")


@pytest.fixture
def worked_out(monkeypatch):
    """Names of the functions that had to be worked out."""
    found = []
    plain = recall._encoded

    def encoded(value):
        found.append(type(value).__name__)
        return plain(value)

    monkeypatch.setattr(recall, "_encoded", encoded)
    return found


def test_one_changed_former_gives_the_bytes_of_a_clean_build(demo, worked_out):
    again = built(demo)
    assert worked_out == []
    change(demo, LEADS, LEADS.replace("12", "13"))
    changed = built(demo)
    assert changed != again
    assert worked_out == []  # neither a skin nor a sheet with many parts hangs on that hole
    memory(demo).unlink()
    assert built(demo) == changed
    assert len(worked_out) > 20


def test_another_scale_is_worked_out_anew_and_a_comment_is_not(demo, worked_out):
    change(demo, "offsets fuselage {", "offsets fuselage {  # measured again")
    built(demo)
    assert worked_out == []
    text = (demo / "reed-runner.wright").read_text("utf-8")
    scale = next(line for line in text.splitlines() if "plan_scale" in line)
    change(demo, scale, scale.split("=")[0] + "= 121 %")
    changed = built(demo)
    assert worked_out
    memory(demo).unlink()
    assert built(demo) == changed


@pytest.mark.parametrize("how", ["empty", "cut", "flipped", "other head", "not text", "link", "folder"])
def test_a_memory_that_is_spoiled_is_not_trusted(demo, how):
    before = built(demo)
    place = memory(demo)
    data = place.read_bytes()
    if how == "empty":
        place.write_bytes(b"")
    elif how == "cut":
        place.write_bytes(data[: len(data) // 2])
    elif how == "flipped":
        place.write_bytes(data.replace(b"0.1", b"0.2").replace(b"7", b"8"))
    elif how == "other head":
        place.write_bytes(data.replace(b"memory", b"memoir", 1))
    elif how == "not text":
        place.write_bytes(bytes(range(256)) * 50)
    elif how == "link":
        place.rename(place.with_name("elsewhere"))
        place.symlink_to("elsewhere")
        place.with_name("elsewhere").write_bytes(data.replace(b"7", b"8"))
    else:
        place.unlink()
        place.mkdir()
    after = built(demo)
    if how == "link":
        assert after.pop("build/elsewhere") == data.replace(b"7", b"8")
    assert after == before


def test_a_folder_without_a_name_is_refused_in_words(once, monkeypatch, capsys):
    monkeypatch.chdir(once)
    for folder, code in ((".", "foreign-folder"), ("..", "foreign-folder"), ("/", "target-unwritable")):
        (once.parent / "other.txt").touch()
        assert main(["build", "reed-runner.wright", "-o", folder]) != 0
        assert f"[{code}]" in capsys.readouterr().err
    assert not [*once.glob(".*memory*"), *once.parent.glob(".*memory*")]
