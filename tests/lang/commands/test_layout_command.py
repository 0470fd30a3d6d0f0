"""The layout file as a builder meets it: written by a build, kept by the next, and told when it does not hold."""

import json
import os
import signal
import subprocess
import sys

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


def lines(folder, name="heron"):
    text = (folder / f"{name}.layout").read_text("utf-8")
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


@pytest.mark.parametrize("data", [b"\xff\xfe\x00", b"layout 7\n", b"a photo\n"])
def test_a_file_that_is_no_layout_is_told_and_left(shop, capsys, data):
    (shop / "heron.layout").write_bytes(data)
    capsys.readouterr()
    assert main(["check", "heron.wright"]) == 0
    assert "[layout-spoiled]" in capsys.readouterr().err
    for more in ([], ["--relayout"]):
        assert main(["build", "heron.wright", *more]) == 0
        assert "'heron.layout' is no layout file of ours" in capsys.readouterr().err
        assert (shop / "heron.layout").read_bytes() == data


def test_an_empty_file_is_a_layout_of_nothing(shop, capsys):
    before = (shop / "heron.layout").read_bytes()
    (shop / "heron.layout").write_bytes(b"")
    assert main(["build", "heron.wright"]) == 0
    assert (shop / "heron.layout").read_bytes() == before


def test_a_file_without_its_head_still_holds(shop, capsys):
    layout = shop / "heron.layout"
    before = layout.read_text("utf-8")
    layout.write_text(before.replace("layout 1\n", ""), "utf-8")
    assert main(["build", "heron.wright"]) == 0
    said = capsys.readouterr()
    assert "somewhere it should say 'layout 1'" in said.err
    assert "moves" not in said.out
    assert layout.read_text("utf-8") == before


@pytest.mark.skipif(sys.platform == "win32", reason="POSIX only")
def test_a_link_is_neither_read_nor_written_through(shop, capsys):
    layout = shop / "heron.layout"
    (shop / "mine.txt").write_bytes(layout.read_bytes())
    before = layout.read_bytes()
    layout.unlink()
    layout.symlink_to("mine.txt")
    write(shop, THREE + "panel brace { stock = board, outline = rect(50 mm, 30 mm) }\n")
    capsys.readouterr()
    assert main(["build", "heron.wright"]) == 0
    assert "'heron.layout' is a link, which a build never follows" in capsys.readouterr().err
    assert layout.is_symlink()
    assert (shop / "mine.txt").read_bytes() == before


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


SHELF = """
model teal { title = "Teal" }
stock board { kind = foamboard, thickness = 4.8 mm, sheet = 762 mm by 508 mm, price = 2.40 EUR, on_hand = 1
    offcut corner { outline = polygon[(0, 0), (320, 0), (320, 60), (200, 240), (0, 240)] mm
                    hole dent { diameter = 50 mm, at = (90 mm, 130 mm) } }
    offcut strip { size = 500 mm by 60 mm }
    offcut scrap { size = 40 mm by 30 mm }
}
panel keel { stock = board, outline = rect(300 mm, 40 mm) }
panel disc { stock = board, outline = circle(90 mm), quantity = 2 }
panel big { stock = board, outline = rect(700 mm, 300 mm), quantity = COUNT }
"""


def test_what_is_on_hand_is_taken_first_and_the_rest_is_to_be_bought(tmp_path, monkeypatch, capsys):
    monkeypatch.chdir(tmp_path)
    (tmp_path / "teal.wright").write_text(SHELF.replace("COUNT", "3"))
    assert main(["build", "teal.wright"]) == 0
    out = capsys.readouterr().out
    assert "sheets  board offcut corner: 20 % used\n        board offcut strip: 40 % used\n" in out
    assert "        board: no layout takes fewer than 3 sheets, by large parts\n" in out
    assert (
        "hand    of board 1 of 1 sheet and offcuts corner, strip taken; nothing is cut from scrap\n"
        "buy     2 × board, 4.8 mm, 4.80 EUR\n"
        "price   4.80 EUR for whole sheets and bought parts\n"
        "keep    offcut teal_1 { size = 760 mm by 180 mm }  # of board 1\n"
    ) in out
    assert (tmp_path / "build/teal/sheets/teal-A-board-offcut-corner.svg").exists()
    manifest = json.loads((tmp_path / "build/teal/manifest.json").read_text("utf-8"))
    strip = next(
        sheet for sheet in manifest["sheets"] if sheet["offcut"] and sheet["offcut"]["name"] == "strip"
    )
    assert (strip["index"], strip["width_mm"], strip["height_mm"]) == (0, 500, 60)
    assert "lay keel 1 on board offcut strip at " in (tmp_path / "teal.layout").read_text("utf-8")
    before = all_bytes(tmp_path)
    assert main(["build", "teal.wright"]) == 0
    assert all_bytes(tmp_path) == before


def test_offcuts_can_be_pasted_into_their_stock(tmp_path, monkeypatch, capsys):
    monkeypatch.chdir(tmp_path)
    text = SHELF.replace("COUNT", "1")
    (tmp_path / "teal.wright").write_text(text)
    assert main(["build", "teal.wright"]) == 0
    out = capsys.readouterr().out
    kept = [line[8:] for line in out.splitlines() if "# of board" in line]
    assert kept
    pasted = text.replace("    offcut scrap", "".join(f"    {line}\n" for line in kept) + "    offcut scrap")
    (tmp_path / "teal.wright").write_text(pasted)
    assert main(["check", "teal.wright"]) == 0
    assert main(["build", "teal.wright"]) == 0
    again = [line[8:] for line in capsys.readouterr().out.splitlines() if "# of board" in line]
    assert not {line.split()[1] for line in kept} & {line.split()[1] for line in again}


def test_a_recut_is_laid_on_offcuts_first(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    (tmp_path / "teal.wright").write_text(SHELF.replace("COUNT", "1"))
    assert main(["build", "teal.wright"]) == 0
    (tmp_path / "teal.wright").write_text(
        SHELF.replace("COUNT", "1").replace("300 mm, 40 mm", "310 mm, 40 mm")
    )
    assert main(["build", "teal.wright", "--since", "build/teal"]) == 0
    manifest = json.loads((tmp_path / "build/teal-recut/manifest.json").read_text("utf-8"))
    assert [(sheet["index"], sheet["offcut"]["name"]) for sheet in manifest["sheets"]] == [(0, "strip")]


def test_an_offcut_that_is_gone_moves_what_lay_on_it_alone(tmp_path, monkeypatch, capsys):
    monkeypatch.chdir(tmp_path)
    text = SHELF.replace("COUNT", "1")
    (tmp_path / "teal.wright").write_text(text)
    assert main(["build", "teal.wright"]) == 0
    before = lines(tmp_path, "teal")
    (tmp_path / "teal.wright").write_text(text.replace("    offcut strip { size = 500 mm by 60 mm }\n", ""))
    capsys.readouterr()
    assert main(["build", "teal.wright"]) == 0
    assert "keel moves: there is no board offcut strip any more" in capsys.readouterr().out
    after = lines(tmp_path, "teal")
    assert [name for name in before if before[name] != after[name]] == ["keel"]


def test_the_effort_stands_in_the_file(shop, capsys):
    assert "effort quick\n" in (shop / "heron.layout").read_text("utf-8")
    capsys.readouterr()
    assert main(["build", "heron.wright", "--effort", "normal"]) == 0
    assert "found with quick; `--relayout --effort normal` looks for a better one" in capsys.readouterr().out
    assert main(["build", "heron.wright", "--effort", "normal", "--relayout"]) == 0
    assert "effort normal\n" in (shop / "heron.layout").read_text("utf-8")
    assert main(["build", "heron.wright"]) == 0
    assert "effort normal\n" in (shop / "heron.layout").read_text("utf-8")


MANY = (
    MODEL
    + BOARD
    + "".join(
        f"panel p{number} {{ stock = board, outline = rect({40 + 7 * number % 90} mm, {30 + 11 * number % 70} mm),"
        " quantity = 3 }\n"
        for number in range(30)
    )
)


@pytest.mark.skipif(sys.platform == "win32", reason="POSIX only")
def test_ctrl_c_ends_the_search_and_takes_the_best_so_far(tmp_path):
    import pty

    (tmp_path / "heron.wright").write_text(MANY)
    command = [sys.executable, "-m", "ringwright.lang", "build", "heron.wright", "--effort", "thorough"]
    terminal, own = pty.openpty()
    run = subprocess.Popen(command, cwd=tmp_path, stdout=subprocess.PIPE, stderr=own, text=True)
    os.close(own)
    shown = b""
    while b"Ctrl-C takes this one" not in shown:
        shown += os.read(terminal, 4096)
    run.send_signal(signal.SIGINT)
    out, _ = run.communicate(timeout=120)
    assert run.returncode == 0, shown
    assert b"\rlaying out board: " in shown
    assert "layout  the search was stopped: this is the best layout that it had found\n" in out
    text = (tmp_path / "heron.layout").read_text("utf-8")
    assert "effort thorough stopped\n" in text
    again = subprocess.run(command[:-2], cwd=tmp_path, capture_output=True, text=True, check=True)
    assert again.stderr == ""
    assert (tmp_path / "heron.layout").read_text("utf-8") == text


def test_a_search_shows_nothing_where_there_is_no_terminal(tmp_path, monkeypatch, capsys):
    monkeypatch.chdir(tmp_path)
    (tmp_path / "heron.wright").write_text(THREE)
    assert main(["build", "heron.wright", "--effort", "thorough"]) == 0
    assert capsys.readouterr().err == ""


def sheets_of(folder):
    found = json.loads((folder / "build" / "heron" / "manifest.json").read_text("utf-8"))
    return {
        placed["part"]: (sheet["stock"], sheet["index"])
        for sheet in found["sheets"]
        for placed in sheet["placements"]
    }


def test_parts_that_are_to_lie_together_do(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    # Apart, the two small ones fill what each large one leaves over.
    rows = {
        "port": "700 mm, 330 mm",
        "starboard": "700 mm, 330 mm",
        "a": "700 mm, 120 mm",
        "b": "700 mm, 110 mm",
    }
    write(tmp_path, panels(**rows))
    assert main(["build", "heron.wright"]) == 0
    apart = sheets_of(tmp_path)
    assert apart["a"] != apart["b"]
    write(tmp_path, "".join(
        line.replace("{ stock", '{ together = "tail", stock') if line.startswith(("panel a", "panel b")) else line
        for line in panels(**rows).splitlines(keepends=True)
    ))  # fmt: skip
    assert main(["build", "heron.wright", "--relayout"]) == 0
    found = sheets_of(tmp_path)
    assert found["a"] == found["b"]


def test_a_stack_says_it_for_its_elements_and_too_much_is_told(tmp_path, monkeypatch, capsys):
    monkeypatch.chdir(tmp_path)
    stack = (
        'stack cowl {{ overall = 600 mm, stock = board, together = "cowl"\n'
        "barrel one {{ diameter = {0} mm, length = 300 mm }}\nbarrel two {{ diameter = {0} mm }}\n}}\n"
    )
    write(
        tmp_path,
        MODEL + BOARD + stack.format(140) + "panel keel { outline = rect(700 mm, 40 mm), stock = board }\n",
    )
    assert main(["build", "heron.wright"]) == 1
    assert "cowl.one, cowl.two are to stay together" in capsys.readouterr().err
    write(tmp_path, MODEL + BOARD + stack.format(50))
    assert main(["build", "heron.wright"]) == 0
    assert len(set(sheets_of(tmp_path).values())) == 1
