"""Files from a stranger: what may be read, which characters may stand in it, and names that nobody obeys."""

import json
import os
import socket
import subprocess
import sys

import pytest
from ringwright.lang.commands import build, check, tidy
from ringwright.lang.commands.main import FINDINGS, TROUBLE
from ringwright.lang.components.project import LARGEST_FILE, MOST_FILES, reader
from ringwright.lang.pipeline import compile_spec
from ringwright.lang.source import make_source

MODEL = 'model test { title = "Test" }\n'
SOUND = (
    MODEL
    + "stock board { kind = foamboard, thickness = 4.8 mm, sheet = 762 mm by 508 mm }\n"
    + "panel P { stock = board, outline = circle(90 mm) }\n"
)


@pytest.fixture
def project(tmp_path):
    """A project's folder, with a secret beside it."""
    home = tmp_path / "home"
    (home / ".git").mkdir(parents=True)
    (tmp_path / "secret.wright").write_text("let secret = 1 mm\n")
    (home / "near.wright").write_text("let near = 1 mm\n")
    return home


def said(home, text, guard, checked):
    (home / "main.wright").write_bytes(text.encode() if isinstance(text, str) else text)
    with guard():
        found = compile_spec("main.wright", reader(home))
        checked(found.findings, found.project.sources)
    return [finding.code for finding in found.findings]


# -- which files ----------------------------------------------------------------------------------

OUTSIDE = [
    *("../secret.wright", "/etc/passwd", "lib/../../secret.wright", "..", ".", "", "/", "//etc/passwd", "C:/a.wright"),
    *("C:a.wright", "file:///etc/passwd", "http://localhost/a.wright", "..\\\\secret.wright", "\\\\\\\\host\\\\a", "./../secret.wright"),
]  # fmt: skip


@pytest.mark.parametrize("name", OUTSIDE)
@pytest.mark.parametrize(
    "how", ['use "{}"', 'use "{}" as shop', 'panel P {{ outline = traced("{}", id = "a", width = 9 mm) }}']
)
def test_what_lies_outside_the_project_is_not_read(project, guard, checked, name, how):
    codes = said(project, MODEL + how.format(name), guard, checked)
    assert codes
    assert set(codes) <= {"outside-project", "missing-property", "missing-file", "unreadable-file"}


@pytest.mark.parametrize(
    "how", ['use "{}"', 'panel P {{ stock = board, outline = traced("{}", id = "a", width = 9 mm) }}']
)
def test_links_devices_pipes_and_folders_are_refused(project, guard, checked, how):
    (project / "out.wright").symlink_to(project.parent / "secret.wright")
    (project / "above").symlink_to(project.parent)
    (project / "loop.wright").symlink_to(project / "loop.wright")
    (project / "to.wright").symlink_to(project / "fro.wright")
    (project / "fro.wright").symlink_to(project / "to.wright")
    (project / "zero.wright").symlink_to("/dev/zero")
    (project / "folder.wright").mkdir()
    os.mkfifo(project / "pipe.wright")
    door = socket.socket(socket.AF_UNIX)
    here = os.getcwd()
    os.chdir(project)  # a socket's path is short
    try:
        door.bind("door.wright")
    finally:
        os.chdir(here)
    names = {
        "out.wright": "outside-project",
        "above/secret.wright": "outside-project",
        "loop.wright": "unreadable-file",
        "to.wright": "unreadable-file",
        "zero.wright": "outside-project",
        "folder.wright": "unreadable-file",
        "pipe.wright": "unreadable-file",
        "door.wright": "unreadable-file",
        "near.wright/below.wright": "unreadable-file",
        f"{'a' * 300}.wright": "unreadable-file",
        "/".join(["a"] * 400): "missing-file",
        "x" * 1001: "text-too-long",
        "Near.wright": "missing-file",
    }
    stock = "stock board { kind = foam, thickness = 3 mm, sheet = 9 mm by 9 mm }\n"
    for name, code in names.items():
        codes = said(project, MODEL + stock + how.format(name), guard, checked)
        assert code in codes, (name, codes)
        assert len(codes) == 1, (name, codes)
    door.close()


def test_a_file_of_another_case_is_suggested(project):
    (project / "main.wright").write_text(MODEL + 'use "Near.wright"')
    (found,) = compile_spec("main.wright", reader(project)).findings
    assert found.help == "did you mean 'near.wright'?"


def test_sixty_four_files_and_no_more(project, guard, checked):
    for number in range(MOST_FILES + 1):
        (project / f"f{number}.wright").write_text("# nothing\n")
    used = "".join(f'use "f{number}.wright"\n' for number in range(MOST_FILES - 1))
    assert said(project, MODEL + used, guard, checked) == []
    assert said(project, MODEL + used + 'use "f64.wright"\n', guard, checked) == ["too-many-files"]


def test_files_that_use_each_other_in_a_long_row(project, guard, checked):
    for number in range(MOST_FILES):
        (project / f"f{number}.wright").write_text(f'use "f{number + 1}.wright"\n')
    assert said(project, MODEL + 'use "f0.wright"', guard, checked) == ["too-many-files"]
    (project / "f50.wright").write_text('use "f0.wright"\n')
    assert said(project, MODEL + 'use "f0.wright"', guard, checked) == ["use-cycle"]


def test_files_that_all_use_one_another(project, guard, checked):
    every = "".join(f'use "f{number}.wright"\n' for number in range(40))
    for number in range(40):
        (project / f"f{number}.wright").write_text(every)
    assert set(said(project, MODEL + 'use "f0.wright"', guard, checked)) == {"use-cycle"}


def test_eight_megabytes_and_no_more(project, guard, checked):
    (project / "big.wright").write_bytes(b"#" * LARGEST_FILE)
    assert said(project, MODEL + 'use "big.wright"', guard, checked) == []
    (project / "big.wright").write_bytes(b"#" * (LARGEST_FILE + 1))
    assert said(project, MODEL + 'use "big.wright"', guard, checked) == ["file-too-large"]


# -- which characters -----------------------------------------------------------------------------

INVISIBLE = [
    *range(0x09), 0x0B, 0x0C, *range(0x0E, 0x20), *range(0x7F, 0xA0), 0xAD, 0x034F, 0x061C, 0x115F, 0x1160, 0x17B4,
    0x17B5, 0x180B, 0x180E, *range(0x200B, 0x2010), 0x2028, 0x2029, *range(0x202A, 0x202F), *range(0x2060, 0x2070), 0x3164,
    0xFDD0, 0xFEFF, 0xFFA0, *range(0xFFF9, 0xFFFC), 0xFFFE, 0xFFFF, 0x1FFFE, 0xE0001, 0xE0020, 0xE007F, 0xE0100, 0x10FFFF,
]  # fmt: skip


@pytest.mark.parametrize("code", INVISIBLE, ids=lambda code: f"U+{code:04X}")
@pytest.mark.parametrize(
    "where", ["let a{} = 1 mm", 'stock s {{ title = "{}" }}', "# {}", "let a = 1{} mm", "{}"]
)
def test_what_does_not_show_may_stand_nowhere(checked, code, where):
    source, found = make_source("main.wright", (MODEL + where.format(chr(code))).encode())
    checked(found, {"main.wright": source})
    assert [finding.code for finding in found] == ["forbidden-character"]
    assert f"U+{code:04X}" in found[0].message


@pytest.mark.parametrize(
    "letter", ["\u0430", "\u03bf", "\uff41", "\u0131", "é", "\u0661", "\U0001d44e", "ª", "ﬁ"]
)
@pytest.mark.parametrize(
    "where",
    ["let {} = 1 mm", "let a{} = 1 mm", "panel {} {{ }}", "let a = b{} + 1 mm", "let a = 1{} mm", "{} = 3"],
)
def test_names_have_the_letters_of_the_alphabet_alone(stood, letter, where):
    found = stood(where.format(letter))
    assert set(found.errors) <= {
        *(
            "unexpected-character",
            "unexpected-text",
            "missing-name",
            "unknown-unit",
            "bad-number",
            "incomplete-statement",
        ),
        *("not-a-statement", "missing-value", "missing-equals"),
    }
    assert found.errors


def test_a_letter_that_looks_like_another_is_shown_by_its_number(stood):
    found = stood("let r\u0430dius = 3 mm").the("unexpected-character")
    assert found.message == "'\u0430' (U+0430) does not belong here"
    assert "a to z" in found.help


@pytest.mark.parametrize(
    ("data", "codes"),
    [
        (b"\xef\xbb\xbf" + MODEL.encode(), []),
        (MODEL.replace("\n", "\r\n").encode(), []),
        (MODEL.replace("\n", "\r").encode(), ["forbidden-character"]),
        (MODEL.encode() + b"\xef\xbb\xbf", ["forbidden-character"]),
        (MODEL.encode("utf-16"), ["not-utf8"]),
        (MODEL.encode("utf-16-le"), ["forbidden-character"] * 30),
        (MODEL.encode("utf-32"), ["not-utf8"]),
        (MODEL.encode() + b"# \xff", ["not-utf8"]),
        (MODEL.encode() + b"# \xed\xa0\x80", ["not-utf8"]),
        (MODEL.encode() + b"# \xc0\xaf", ["not-utf8"]),
        (MODEL.encode() + b"# \xf4\x90\x80\x80", ["not-utf8"]),
        (b"\x00" * 100_000, ["forbidden-character"] * 100),
        (b"\xff" * 100_000, ["not-utf8"]),
        (bytes(range(256)) * 1000, ["not-utf8"]),
        (b"\x1f\x8b\x08" + b"\x00" * 100, ["not-utf8"]),
        (b"", ["no-model"]),
    ],
)
def test_other_encodings_and_bytes(project, guard, checked, data, codes):
    found = said(project, data, guard, checked)
    assert [code for code in found if code != "no-model" or not codes or codes == ["no-model"]] == codes


# -- names of files that a terminal would obey ----------------------------------------------------

NAMES = [
    "a\x1b]0;pwned\x07.wright",
    "a\x1b[2J.wright",
    "a\u202egnp.wright",
    "a\nb: error: nothing.wright",
    "a\rb.wright",
    "a\u009b31m.wright",
    "::error file=x::y.wright",
    "%0a::error::x.wright",
    "-o.wright",
    "a b'c\"d.wright",
]


def fine(text):
    """Nothing but printable characters, blanks and newlines."""
    return all(c.isprintable() or c in "\n" for c in text)


@pytest.mark.skipif(sys.platform != "linux", reason="elsewhere such names are no names of files")
@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("text", [SOUND, "model {", "let a = 1 mm\n", "model \x1b"])
def test_nothing_that_is_said_of_a_file_is_obeyed(tmp_path, capsys, monkeypatch, name, text):
    monkeypatch.chdir(tmp_path)
    (tmp_path / name).write_text(text)
    given = f"./{name}"
    for command, options in ((check, []), (tidy, ["--check"]), (build, ["-o", "out"])):
        assert command.run([*options, given]) in (0, FINDINGS, TROUBLE)
        out, err = capsys.readouterr()
        assert fine(out + err), out + err
    assert check.run([given + "x"]) == TROUBLE
    assert fine("".join(capsys.readouterr()))
    for format in ("json", "sarif"):
        check.run(["--format", format, given])
        json.loads(capsys.readouterr().out.encode("utf-8", "backslashreplace"))
    check.run(["--format", "github", given])
    out = capsys.readouterr().out
    assert fine(out)
    assert all(line.startswith("::") and line.count("::") >= 2 for line in out.splitlines())
    assert not any("file=./" in line and "::error::x" in line for line in out.splitlines())


def test_a_manifest_of_a_stranger_is_shown_and_not_obeyed(tmp_path, capsys, monkeypatch):
    monkeypatch.chdir(tmp_path)
    (tmp_path / "main.wright").write_text(SOUND)
    (tmp_path / "build" / "test").mkdir(parents=True)
    found = {"schema": "ringwright.build/1", "sources": [{"path": "\x1b]0;pwned\x07"}]}
    (tmp_path / "build" / "test" / "manifest.json").write_text(json.dumps(found))
    assert build.run(["main.wright"]) == TROUBLE
    assert fine("".join(capsys.readouterr()))


@pytest.mark.skipif(sys.platform != "linux", reason="elsewhere such names are no names of files")
@pytest.mark.parametrize("format", ["text", "json", "sarif", "github"])
def test_a_name_that_is_no_utf8(tmp_path, format):
    name = b"\xff\x9b31m.wright"
    (tmp_path / os.fsdecode(name)).write_text("model {")
    command = [sys.executable, "-m", "ringwright.lang", "check", "--format", format, b"./" + name]
    done = subprocess.run(command, cwd=tmp_path, capture_output=True, check=False)
    assert done.returncode == FINDINGS, done.stderr
    assert b"Traceback" not in done.stderr
    assert fine((done.stdout + done.stderr).decode("ascii" if format == "text" else "utf-8"))
    if format in ("json", "sarif"):
        json.loads(done.stdout)
