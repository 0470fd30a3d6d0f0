"""The layout file as a builder meets it: written by a build, kept by the next, and told when it does not hold."""

import json

import pytest
from ringwright.lang.commands.main import main

MODEL = 'model heron { title = "Heron" }\n'
BOARD = "stock board { kind = foamboard, thickness = 4.8 mm, sheet = 762 mm by 508 mm, mass = 410 g/m2 }\n"


def panels(**sizes: str) -> str:
    return (
        MODEL
        + BOARD
        + "".join(
            f"panel {name} {{ stock = board, outline = rect({size}) }}\n" for name, size in sizes.items()
        )
    )


THREE = panels(deck="200 mm, 90 mm", floor="120 mm, 80 mm", keel="300 mm, 40 mm")


@pytest.fixture
def shop(tmp_path, monkeypatch):
    """A folder with a model of three panels that was built once."""
    monkeypatch.chdir(tmp_path)
    write(tmp_path, THREE)
    assert main(["build", "heron.wright"]) == 0
    return tmp_path


def write(folder, text):
    (folder / "heron.wright").write_text(text, encoding="utf-8")


def lines(folder):
    text = (folder / "heron.layout").read_text("utf-8")
    return {line.split()[1]: line for line in text.splitlines() if line.startswith("lay ")}


def all_bytes(folder):
    return {path.relative_to(folder): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


def test_a_build_writes_it_beside_the_spec_and_the_next_gives_the_same_bytes(shop, capsys):
    before = all_bytes(shop)
    assert sorted(path.name for path in shop.iterdir()) == ["build", "heron.layout", "heron.wright"]
    stamp = (shop / "heron.layout").stat().st_mtime_ns
    capsys.readouterr()
    assert main(["build", "heron.wright"]) == 0
    assert all_bytes(shop) == before
    assert (shop / "heron.layout").stat().st_mtime_ns == stamp
    said = capsys.readouterr()
    assert "layout" not in said.out
    assert said.err == ""


def test_a_part_that_comes_or_goes_moves_no_other(shop, capsys):
    before = lines(shop)
    write(shop, THREE + "panel brace { stock = board, outline = rect(500 mm, 300 mm) }\n")
    assert main(["build", "heron.wright"]) == 0
    assert (
        "layout  3 pieces of heron.layout stay where they lie\n        new: brace\n"
        in capsys.readouterr().out
    )
    with_brace = lines(shop)
    assert {name: with_brace[name] for name in before} == before
    write(shop, panels(deck="200 mm, 90 mm", keel="300 mm, 40 mm"))
    assert main(["build", "heron.wright"]) == 0
    out = capsys.readouterr().out
    assert "floor is gone: the model has it no more" in out
    assert lines(shop) == {name: before[name] for name in ("deck", "keel")}


def test_a_part_that_changed_moves_only_if_it_must(shop, capsys):
    before = lines(shop)
    write(shop, THREE.replace("300 mm, 40 mm", "299 mm, 39 mm"))
    assert main(["build", "heron.wright"]) == 0
    after = lines(shop)
    assert "layout" not in capsys.readouterr().out
    assert after["keel"].split()[:-1] == before["keel"].split()[:-1]
    assert {k: v for k, v in after.items() if k != "keel"} == {k: v for k, v in before.items() if k != "keel"}
    write(shop, THREE.replace("300 mm, 40 mm", "300 mm, 300 mm"))
    assert main(["build", "heron.wright"]) == 0
    assert "keel moves: " in capsys.readouterr().out
    after = lines(shop)
    assert {k: v for k, v in after.items() if k != "keel"} == {k: v for k, v in before.items() if k != "keel"}


def test_relayout_starts_afresh_and_keeps_what_is_built(shop):
    layout = shop / "heron.layout"
    fresh = layout.read_text("utf-8")
    spoiled = fresh.replace(lines(shop)["deck"], lines(shop)["deck"].replace(" at ", " at 4"))
    layout.write_text(spoiled + 'built deck {"label": "deck"}\n', "utf-8")
    assert main(["build", "heron.wright", "--relayout"]) == 0
    assert layout.read_text("utf-8") == fresh + 'built deck {"label": "deck"}\n'


def test_a_spoiled_line_is_told_and_the_rest_holds(shop, capsys):
    layout = shop / "heron.layout"
    before = layout.read_text("utf-8")
    layout.write_text(before.replace("effort quick\n", "effort quick\n<<<<<<< HEAD\n"), "utf-8")
    capsys.readouterr()
    assert main(["check", "heron.wright"]) == 0
    said = capsys.readouterr()
    assert said.out == "heron.wright: sound, 3 parts, 1 warning; its layout is out of date\n"
    assert (
        "heron.layout:5:1: warning: this line is ignored: it says nothing that is known [layout-spoiled]"
        in said.err
    )
    assert main(["build", "heron.wright"]) == 0
    assert "[layout-spoiled]" in capsys.readouterr().err
    assert layout.read_text("utf-8") == before


@pytest.mark.parametrize("data", [b"\xff\xfe\x00", b"layout 7\n", b"a photo\n", b""])
def test_a_file_that_is_no_layout_is_told_and_replaced(shop, capsys, data):
    before = (shop / "heron.layout").read_bytes()
    (shop / "heron.layout").write_bytes(data)
    capsys.readouterr()
    assert main(["check", "heron.wright"]) == 0
    assert "[layout-spoiled]" in capsys.readouterr().err
    assert main(["build", "heron.wright"]) == 0
    assert "'heron.layout' is no layout file" in capsys.readouterr().err
    assert (shop / "heron.layout").read_bytes() == before


def test_check_says_when_it_is_out_of_date(shop, capsys):
    capsys.readouterr()
    assert main(["check", "heron.wright"]) == 0
    assert capsys.readouterr() == ("heron.wright: sound, 3 parts\n", "")
    write(shop, panels(deck="200 mm, 90 mm", floor="300 mm, 400 mm", brace="60 mm, 20 mm"))
    assert main(["check", "heron.wright"]) == 0
    said = capsys.readouterr()
    assert said.out == "heron.wright: sound, 3 parts; its layout is out of date\n"
    for words in (
        "heron.layout:1:1: note: no place is given here for brace [layout-stale]",
        ": note: keel does not stay here: the model has it no more [layout-stale]",
        ": note: floor does not stay here: ",
    ):
        assert words in said.err
    assert main(["check", "heron.wright", "--format", "json"]) == 0
    found = json.loads(capsys.readouterr().out)["diagnostics"]
    assert {each["code"] for each in found} == {"layout-stale"}
    assert {each["file"] for each in found} == {"heron.layout"}


def test_a_narrow_build_leaves_it_alone(shop):
    before = (shop / "heron.layout").read_bytes()
    assert main(["build", "heron.wright", "--only", "deck"]) == 0
    write(shop, THREE.replace("120 mm", "130 mm"))
    assert main(["build", "heron.wright", "--since", "build/heron"]) == 0
    assert (shop / "heron.layout").read_bytes() == before
    with pytest.raises(SystemExit):
        main(["build", "heron.wright", "--only", "deck", "--relayout"])


def test_where_it_cannot_be_written_there_is_a_build_all_the_same(shop, capsys, monkeypatch):
    def refuse(path, data):
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr("ringwright.lang.commands.written.replace_file", refuse)
    (shop / "heron.layout").unlink()
    capsys.readouterr()
    assert main(["build", "heron.wright"]) == 0
    said = capsys.readouterr()
    assert "warning: the layout cannot be kept in 'heron.layout' (Permission denied)" in said.err
    assert "wrote" in said.out


def test_errors_leave_it_alone(shop):
    before = (shop / "heron.layout").read_bytes()
    write(shop, THREE.replace("300 mm, 40 mm", "900 mm, 40 mm"))
    assert main(["build", "heron.wright"]) == 1
    write(shop, THREE + "broken {")
    assert main(["build", "heron.wright"]) == 1
    assert (shop / "heron.layout").read_bytes() == before


def test_no_gap_at_all_is_a_layout_too(shop):
    write(shop, THREE + "cutting { gap = 0 mm, margin = 0 mm }\n")
    for _ in range(2):
        assert main(["build", "heron.wright", "--relayout"]) == 0
        assert main(["check", "heron.wright"]) == 0


def test_the_effort_stands_in_the_file(shop, capsys):
    assert "effort quick\n" in (shop / "heron.layout").read_text("utf-8")
    capsys.readouterr()
    assert main(["build", "heron.wright", "--effort", "normal"]) == 0
    assert "found with quick; `--relayout --effort normal` looks for a better one" in capsys.readouterr().out
    assert main(["build", "heron.wright", "--effort", "normal", "--relayout"]) == 0
    assert "effort normal\n" in (shop / "heron.layout").read_text("utf-8")
    assert main(["build", "heron.wright"]) == 0
    assert "effort normal\n" in (shop / "heron.layout").read_text("utf-8")
