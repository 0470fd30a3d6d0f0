"""Reading out of git: from objects alone, from the revision alone, and whatever a repository or a command line tries."""

import json
import os
import shlex
import shutil
import stat
import subprocess
import sys
from pathlib import Path

import pytest
from ringwright.lang.commands.main import main

PLAIN = 'model kite { title = "M" }\nuse "lib/ply.wright"\npanel p { stock = ply, outline = rect(50 mm, 40 mm) }\n'
PLY = "stock ply { kind = ply, thickness = 3 mm, sheet = 600 mm by 300 mm }\n"


@pytest.fixture
def plain(bare_shop):
    """A spec that uses another file, in a folder, committed once."""
    write(bare_shop, "models/m.wright", PLAIN)
    write(bare_shop, "models/lib/ply.wright", PLY)
    bare_shop.commit("first")
    return bare_shop


def write(shop, name: str, text: str | bytes) -> Path:
    path = shop.folder / name
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    return path


def refused(capsys: pytest.CaptureFixture[str], *arguments: str) -> str:
    """What is said when a command fails as trouble; a sentence on one line."""
    capsys.readouterr()
    assert main(["compare", *arguments]) == 2
    said = capsys.readouterr()
    assert said.out == ""
    assert "Traceback" not in said.err
    last = said.err.splitlines()[-1]
    assert last.startswith("ringwright compare: ")
    return last


def test_all_that_a_spec_uses_comes_from_its_revision(plain, capsys) -> None:
    write(plain, "models/lib/ply.wright", PLY.replace("3 mm", "2 mm"))
    plain.commit("thinner")
    shutil.rmtree(plain.folder / "models" / "lib")
    shutil.rmtree(plain.folder / "models")
    assert main(["compare", "HEAD~1:models/m.wright", "HEAD:models/m.wright"]) == 0
    out = capsys.readouterr().out
    assert "ply is 2 mm thick, was 3 mm" in out
    assert plain.git("status", "--porcelain").split() == [
        "D",
        "models/lib/ply.wright",
        "D",
        "models/m.wright",
    ]


def test_paths_count_from_the_top_or_from_here(plain, capsys, monkeypatch) -> None:
    monkeypatch.chdir(plain.folder / "models")
    for path in ("models/m.wright", "./m.wright", "../models/m.wright", "models/./m.wright"):
        assert main(["compare", f"HEAD:{path}", "m.wright", "--exit-code"]) == 0
    assert capsys.readouterr().out.count("nothing changed") == 4
    assert "'HEAD:./m.wright' counts from here" in refused(capsys, "HEAD:m.wright", "m.wright")


def test_a_link_within_is_followed_and_one_that_leads_out_is_not(plain, capsys) -> None:
    (plain.folder / "models" / "link.wright").symlink_to("m.wright")
    (plain.folder / "models" / "out.wright").symlink_to("../../secret.wright")
    (plain.folder / "models" / "loop.wright").symlink_to("loop.wright")
    write(plain, "models/far.wright", PLAIN.replace("lib/ply", "out"))
    plain.commit("links")
    assert main(["compare", "HEAD:models/m.wright", "HEAD:models/link.wright", "--exit-code"]) == 0
    assert "outside" in refused(capsys, "HEAD:models/m.wright", "HEAD:models/out.wright")
    assert "no file" in refused(capsys, "HEAD:models/m.wright", "HEAD:models/loop.wright")
    assert "has 1 error" in refused(capsys, "HEAD:models/m.wright", "HEAD:models/far.wright")


@pytest.mark.parametrize(
    "side",
    [
        "nowhere:models/m.wright", "--upload-pack=touch gone:models/m.wright", "-:models/m.wright", "HEAD~99:models/m.wright",
        "HEAD^{tree}:models/m.wright", "HEAD:", "HEAD:/etc/passwd", "HEAD:../outside.wright", "HEAD:models",
        "HEAD:models/none.wright", "HEAD:models/m.wright/x", "HEAD:--help", "HEAD:\0", "HE\nAD:models/m.wright",
        "HEAD:models/m.wright\n", "\x1b[31m:models/m.wright", "HEAD:a\x1b]0;b", ":models/m.wright", "@{-9}:models/m.wright",
        "HEAD:models/lib/../../../m.wright", "HEAD:C:/m.wright", f"{'0' * 40}:models/m.wright", "$(touch gone):models/m.wright",
    ],
)  # fmt: skip
def test_what_is_no_revision_or_no_path_is_said(plain, capsys, side: str) -> None:
    said = refused(capsys, "models/m.wright", *(["--", side] if side.startswith("-") else [side]))
    assert "\x1b" not in said
    assert "git says" not in said
    assert sorted(path.name for path in plain.folder.iterdir()) == [".git", "models"]


def test_a_missing_name_is_told_what_is_there(plain, capsys) -> None:
    assert "did you mean 'm.wright'?" in refused(capsys, "models/m.wright", "HEAD:models/n.wright")


@pytest.mark.parametrize("content", [b"\x00\x01\x02\xff" * 500, b"\xff\xfe", b"MZ" + bytes(3000), b""])
def test_what_is_no_text_is_no_spec(plain, capsys, content: bytes) -> None:
    write(plain, "models/odd.wright", content)
    plain.commit("binary")
    said = refused(capsys, "models/m.wright", "HEAD:models/odd.wright")
    assert "cannot be compared" in said


def test_a_file_beyond_measure_is_not_read(plain, capsys) -> None:
    write(plain, "models/large.wright", b"#" * (8 * 1024 * 1024 + 1))
    plain.commit("large")
    assert "larger than 8 MB" in refused(capsys, "models/m.wright", "HEAD:models/large.wright")


def test_outside_of_any_repository(capsys, tmp_path, monkeypatch) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("GIT_CEILING_DIRECTORIES", str(tmp_path.parent))
    assert "no git repository" in refused(capsys, "HEAD:a.wright", "HEAD:a.wright")


def test_without_git(plain, capsys, monkeypatch) -> None:
    for path in ("", str(plain.folder), "."):
        write(plain, "git", b"#!/bin/sh\ntouch gone\n").chmod(0o755)
        monkeypatch.setenv("PATH", path if path != str(plain.folder) else "")
        assert "git is not installed" in refused(capsys, "HEAD:models/m.wright", "models/m.wright")
    assert not (plain.folder / "gone").exists()


def test_a_shallow_copy_says_that_it_is_one(plain, capsys, monkeypatch) -> None:
    plain.commit("second")
    plain.git("clone", "--quiet", "--depth=1", f"file://{plain.folder}", "copy")
    monkeypatch.chdir(plain.folder / "copy")
    assert main(["compare", "HEAD:models/m.wright", "models/m.wright", "--exit-code"]) == 0
    assert "last part of its history" in refused(capsys, "HEAD~1:models/m.wright", "models/m.wright")
    assert main(["compare", "--history", "models/m.wright"]) == 0


def test_an_object_that_is_gone_is_said(plain, capsys) -> None:
    number = plain.git("rev-parse", "HEAD:models/lib/ply.wright").strip()
    object = plain.folder / ".git" / "objects" / number[:2] / number[2:]
    os.chmod(object, stat.S_IWUSR | stat.S_IRUSR)
    object.write_bytes(b"rubbish")
    assert "has 1 error" in refused(capsys, "HEAD:models/m.wright", "models/m.wright")
    object.unlink()
    assert "has 1 error" in refused(capsys, "HEAD:models/m.wright", "models/m.wright")


def test_nothing_that_a_repository_is_set_to_runs(plain, capsys, monkeypatch) -> None:
    """Hooks, watchers, pagers, filters, text converters, external differences, and a server for what is missing."""
    trap = write(plain, ".git/trap", b'#!/bin/sh\ntouch "$(dirname "$0")/sprung"\ncat\n')
    trap.chmod(0o755)
    (plain.folder / "models" / ".gitattributes").write_text("*.wright diff=trap filter=trap\n")
    plain.commit("attributes")
    for name in (
        "core.fsmonitor", "core.pager", "core.sshCommand", "core.askPass", "core.editor", "diff.external", "diff.trap.command",
        "diff.trap.textconv", "filter.trap.smudge", "filter.trap.process", "gpg.program", "remote.origin.uploadpack",
        "credential.helper", "alias.cat-file", "alias.rev-list", "pager.cat-file", "pager.rev-list", "core.alternateRefsCommand",
    ):  # fmt: skip
        plain.git("config", name, f"!{trap}" if name.startswith("alias") else str(trap))
    plain.git("config", "log.showSignature", "true")
    for hook in ("post-checkout", "reference-transaction", "fsmonitor-watchman", "post-index-change"):
        shutil.copy(trap, plain.folder / ".git" / "hooks" / hook)
    # A repository that says: what is missing here, fetch from there.
    plain.git("config", "core.repositoryFormatVersion", "1")
    plain.git("config", "extensions.partialClone", "origin")
    plain.git("config", "remote.origin.url", str(plain.folder))
    plain.git("config", "remote.origin.promisor", "true")
    (plain.folder / ".git" / "sprung").unlink(missing_ok=True)
    before = stamps(plain.folder / ".git")
    assert main(["compare", "HEAD:models/m.wright", "models/m.wright", "--exit-code"]) == 0
    assert main(["compare", "--history", "models/m.wright"]) == 0
    capsys.readouterr()
    number = plain.git("rev-parse", "HEAD:models/lib/ply.wright").strip()
    object = plain.folder / ".git" / "objects" / number[:2] / number[2:]
    object.unlink()
    refused(capsys, "HEAD:models/m.wright", "models/m.wright")
    refused(capsys, "HEAD~1:models/m.wright", "models/m.wright")
    assert not (plain.folder / ".git" / "sprung").exists()
    after = stamps(plain.folder / ".git")
    del before[object.relative_to(plain.folder / ".git").as_posix()]
    assert after == before, "nothing in the repository was written"


def stamps(folder: Path) -> dict[str, int]:
    return {
        path.relative_to(folder).as_posix(): path.stat().st_mtime_ns
        for path in sorted(folder.rglob("*"))
        if path.is_file()
    }


def test_the_trap_springs_where_nobody_looks(plain) -> None:
    """The same settings do run a program when git is called without care."""
    trap = write(plain, ".git/trap", b'#!/bin/sh\ntouch "$(dirname "$0")/sprung"\n')
    trap.chmod(0o755)
    plain.git("config", "diff.external", str(trap))
    write(plain, "models/m.wright", PLAIN + "\n")
    plain.git("diff", check=False)
    assert (plain.folder / ".git" / "sprung").exists()


def test_what_steers_git_from_outside_is_left_aside(plain, capsys, monkeypatch, tmp_path_factory) -> None:
    elsewhere = tmp_path_factory.mktemp("elsewhere")
    monkeypatch.setenv("GIT_DIR", str(elsewhere))
    monkeypatch.setenv("GIT_TRACE", str(elsewhere / "trace"))
    monkeypatch.setenv("GIT_CONFIG_COUNT", "1")
    monkeypatch.setenv("GIT_CONFIG_KEY_0", "core.worktree")
    monkeypatch.setenv("GIT_CONFIG_VALUE_0", "/")
    assert main(["compare", "HEAD:models/m.wright", "models/m.wright", "--exit-code"]) == 0
    assert list(elsewhere.iterdir()) == []


def test_a_replaced_object_is_not_taken(plain, capsys) -> None:
    write(plain, "models/lib/ply.wright", PLY.replace("3 mm", "2 mm"))
    plain.commit("thinner")
    old, new = (plain.git("rev-parse", f"{rev}:models/lib/ply.wright").strip() for rev in ("HEAD~1", "HEAD"))
    plain.git("replace", old, new)
    assert main(["compare", "HEAD~1:models/m.wright", "HEAD:models/m.wright", "--exit-code"]) == 1
    capsys.readouterr()


def test_a_build_that_is_committed_can_be_compared(plain, capsys) -> None:
    assert main(["build", "models/m.wright", "--formats", "svg"]) == 0
    plain.commit("with its build")
    capsys.readouterr()
    for side in (
        "HEAD:models/build/kite",
        "HEAD:models/build/kite/manifest.json",
        "models/build/kite",
        "models/build/kite/manifest.json",
    ):
        assert main(["compare", side, "models/m.wright", "--exit-code"]) == 0, capsys.readouterr()


@pytest.mark.parametrize(
    "change",
    [
        {"schema": "other/1"}, {"parts": {}}, {"parts": [1]}, {"dimensions": []}, {"mass": None}, {"sheets": None},
        {"dimensions": {"a": {"value": "1", "unit": "mm"}}}, {"dimensions": {"a": {"value": 1, "unit": "kg"}}},
        {"model": {"title": 1, "revision": ""}}, {"mass": {"total_g": float("nan"), "cg_mm": None}},
        {"mass": {"total_g": 1e300, "cg_mm": [1]}}, {"sheets": [{"stock": "ply", "index": "1", "placements": []}]},
    ],
)  # fmt: skip
def test_a_manifest_that_is_none_is_said(plain, capsys, change: dict[str, object]) -> None:
    assert main(["build", "models/m.wright", "--formats", "svg"]) == 0
    path = plain.folder / "models" / "build" / "kite" / "manifest.json"
    capsys.readouterr()
    found = json.loads(path.read_text())
    path.write_text(json.dumps(found | change))
    assert "manifest" in refused(capsys, "models/build/kite", "models/m.wright")


@pytest.mark.parametrize(
    "key", ["id", "label", "stock", "quantity", "outline", "holes", "scores", "edges", "marks"]
)
@pytest.mark.parametrize("value", [None, 3, [], [[]], "x", {"a": 1}, [[1, 2], [1]]])
def test_a_part_that_is_none_is_said_or_taken(plain_build, capsys, key: str, value: object) -> None:
    path, found = plain_build
    found = json.loads(json.dumps(found))
    found["parts"][0][key] = value
    path.write_text(json.dumps(found))
    code = main(["compare", str(path), str(path)])
    said = capsys.readouterr()
    assert code in (0, 2)
    assert "Traceback" not in said.err
    assert (code == 2) == ("manifest" in said.err)


@pytest.fixture(scope="module")
def plain_build(tmp_path_factory):
    folder = tmp_path_factory.mktemp("built")
    (folder / "m.wright").write_text(PLAIN.replace('use "lib/ply.wright"\n', PLY))
    assert main(["build", str(folder / "m.wright"), "--formats", "svg"]) == 0
    path = folder / "build" / "kite" / "manifest.json"
    return path, json.loads(path.read_text())


# -- as git's own difference ----------------------------------------------------------------------


def test_git_shows_the_difference(plain) -> None:
    """The two lines of the README, as git itself runs them."""
    program = f"{shlex.quote(sys.executable)} -m ringwright.lang compare --git"  # git hands it to a shell
    plain.git("config", "diff.ringwright.command", program)
    write(plain, ".gitattributes", "*.wright diff=ringwright\nmanifest.json diff=ringwright\n")
    subprocess.run(
        [sys.executable, "-m", "ringwright.lang", "build", "models/m.wright"], check=True, capture_output=True
    )
    plain.commit("set up")
    write(plain, "models/m.wright", PLAIN.replace("50 mm", "54 mm"))
    subprocess.run(
        [sys.executable, "-m", "ringwright.lang", "build", "models/m.wright"], check=True, capture_output=True
    )
    shown = plain.git("diff", "--ext-diff", "--", "models/m.wright")
    assert "-panel p { stock = ply, outline = rect(50 mm, 40 mm) }\n+panel p" in shown
    assert "taken as they are now" in shown
    assert "recut  p  its outline differs by up to 2 mm  models/m.wright:3" in shown
    shown = plain.git("diff", "--ext-diff", "--", "models/build/kite/manifest.json")
    assert "recut  p  its outline differs by up to 2 mm" in shown
    assert "taken as" not in shown
    plain.git("mv", "models/m.wright", "models/n.wright")
    assert "models/n.wright" in plain.git("diff", "--ext-diff", "-M", "HEAD")
    write(plain, "models/n.wright", "panel {")
    shown = plain.git("diff", "--ext-diff")
    assert "no comparison" in shown
    assert "+panel {" in shown
    write(plain, "-x.wright", "model x { }\n")
    plain.git("add", "--all")
    assert "+model x { }" in plain.git("diff", "--ext-diff", "--cached", "--", "./-x.wright")


def test_of_a_file_without_a_model_the_specs_beside_it_are_shown(plain, capsys) -> None:
    write(plain, "models/ply.wright", PLY)
    write(plain, "models/a.wright", PLAIN.replace("lib/ply", "ply"))
    write(plain, "models/b.wright", PLAIN.replace("lib/ply", "ply").replace("kite", "second"))
    thin = write(plain, "thin", "# of every model\n" + PLY.replace("3 mm", "2 mm"))
    assert (
        main(
            [
                "compare",
                "--git",
                "models/ply.wright",
                str(thin),
                "1",
                "100644",
                "models/ply.wright",
                "2",
                "100644",
            ]
        )
        == 0
    )
    out = capsys.readouterr().out
    assert [line.split(";")[0] for line in out.splitlines() if line.startswith("ringwright: ")] == [
        "ringwright: models/a.wright", "ringwright: models/b.wright",
    ]  # fmt: skip
    assert out.count("ply is 3 mm thick, was 2 mm; its shape is the same") == 2


def test_a_plain_difference_of_a_manifest_is_short(plain, capsys) -> None:
    assert main(["build", "models/m.wright", "--formats", "svg"]) == 0
    plain.commit("built")
    write(plain, "models/m.wright", PLAIN.replace("50 mm", "54 mm"))
    assert main(["build", "models/m.wright", "--formats", "svg"]) == 0
    rows = [
        line
        for line in plain.git("diff", "-U0", "models/build/kite/manifest.json").splitlines()
        if line[:1] == "+"
    ]
    assert len(rows) <= 20, rows
    assert all(len(row) < 300 for row in rows)


@pytest.mark.parametrize(
    "given",
    [
        [], ["a", "b"], ["a"] * 8, ["m.wright", "/nowhere/at/all", "1", "100644", "/dev/null", ".", "."],
        ["m.wright", ".", "1", "100644", ".", "1", "100644"], ["m.wright", "/dev/zero", "1", "1", "/dev/zero", "1", "1"],
    ],
)  # fmt: skip
def test_what_git_does_not_hand_over(plain, capsys, given: list[str]) -> None:
    assert main(["compare", "--git", *given]) == 2
    said = capsys.readouterr()
    assert said.out == ""
    assert said.err.startswith("ringwright compare: ")


def test_what_git_may_hand_over(plain, capsys) -> None:
    new = write(plain, "new", PLAIN)
    odd = write(plain, "odd", b"\xff\xfe\x00")
    for path, old, now in (
        ("m.wright", "/dev/null", str(new)), ("m.wright", str(new), "/dev/null"), ("m.wright", "/dev/null", "/dev/null"),
        ("m.wright", str(odd), str(new)), ("a/manifest.json", str(new), str(odd)), ("../../m.wright", str(new), str(new)),
        ("no/where/\x1b[1m.wright", str(new), str(new)),
    ):  # fmt: skip
        assert main(["compare", "--git", path, old, "1", "100644", now, "2", "100644"]) == 0
        said = capsys.readouterr()
        assert said.err == ""
        assert "\x1b" not in said.out
    assert main(["compare", "--git", "m.wright"]) == 0
    assert "not merged" in capsys.readouterr().out
