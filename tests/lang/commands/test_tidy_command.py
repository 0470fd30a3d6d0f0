"""`ringwright tidy`: what it writes, what it says, and that nothing is lost."""

import io
import os
import stat
import sys
from pathlib import Path

import pytest
from ringwright.lang.commands import tidy
from ringwright.lang.commands.main import COMMANDS, main
from ringwright.lang.tidy import tidy as tidying

ROUGH = "# first\r\nstation F1{x=0mm}\nstation F10 {x=-3/16in}   \n\n\n"
NEAT = "# first\nstation F1  { x = 0 mm }\nstation F10 { x = -3/16 in }\n"
WRONG = "station F1{x=3,5 mm}\n"
EARLIER = 1_000_000_000


@pytest.fixture
def here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    return tmp_path


def write(path: Path, text: str) -> Path:
    path.write_bytes(text.encode())
    os.utime(path, (EARLIER, EARLIER))
    return path


def untouched(path: Path, text: str) -> bool:
    return path.read_bytes() == text.encode() and path.stat().st_mtime == EARLIER


def only(folder: Path, *names: str) -> bool:
    """Whether a folder holds these and no temporary file."""
    return sorted(entry.name for entry in folder.iterdir()) == sorted(names)


def test_it_is_a_command() -> None:
    assert "tidy" in COMMANDS


def test_files_are_laid_out_in_place(here: Path, capsys: pytest.CaptureFixture[str]) -> None:
    rough, neat = write(here / "rough.wright", ROUGH), write(here / "neat.wright", NEAT)
    assert main(["tidy", "rough.wright", "neat.wright"]) == 0
    assert rough.read_bytes() == NEAT.encode()
    assert untouched(neat, NEAT)
    assert only(here, "rough.wright", "neat.wright")
    said = capsys.readouterr()
    assert said.out == "rough.wright: tidied\n"
    assert said.err == ""
    assert main(["tidy", "rough.wright"]) == 0
    assert capsys.readouterr().out == ""


def test_check_writes_nothing(here: Path, capsys: pytest.CaptureFixture[str]) -> None:
    rough, neat = write(here / "rough.wright", ROUGH), write(here / "neat.wright", NEAT)
    assert main(["tidy", "--check", "rough.wright", "neat.wright"]) == 1
    assert untouched(rough, ROUGH)
    assert untouched(neat, NEAT)
    assert capsys.readouterr().out == "rough.wright: would change\n"
    assert main(["tidy", "--check", "neat.wright"]) == 0
    assert capsys.readouterr().out == ""


def test_a_byte_order_mark_goes(here: Path) -> None:
    path = write(here / "a.wright", "\ufeff" + NEAT)
    assert main(["tidy", "a.wright"]) == 0
    assert path.read_bytes() == NEAT.encode()


@pytest.mark.parametrize(
    ("data", "code"),
    [(WRONG.encode(), "decimal-comma"), (b"a = \xff\n", "not-utf8"), (b"a\x07=1\n", "forbidden")],
)
@pytest.mark.parametrize("options", [[], ["--check"]])
def test_a_file_with_mistakes_is_left_as_it_is(
    data: bytes, code: str, options: list[str], here: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path, rough = here / "wrong.wright", write(here / "rough.wright", ROUGH)
    path.write_bytes(data)
    os.utime(path, (EARLIER, EARLIER))
    assert main(["tidy", *options, "wrong.wright", "rough.wright"]) == 1
    said = capsys.readouterr()
    assert "wrong.wright:1:" in said.err
    assert code in said.err
    assert said.out.startswith("rough.wright: ")
    assert path.read_bytes() == data
    assert path.stat().st_mtime == EARLIER
    assert untouched(rough, ROUGH) == bool(options)


def test_what_cannot_be_read_is_trouble_and_the_others_are_done(
    here: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    rough = write(here / "rough.wright", ROUGH)
    (here / "folder").mkdir()
    assert main(["tidy", "missing.wright", "folder", "rough.wright"]) == 2
    said = capsys.readouterr()
    assert "there is no file 'missing.wright'" in said.err
    assert "'folder' is a folder" in said.err
    assert rough.read_bytes() == NEAT.encode()


def test_permissions_stay(here: Path) -> None:
    path = write(here / "rough.wright", ROUGH)
    path.chmod(0o640)
    assert main(["tidy", "rough.wright"]) == 0
    assert stat.S_IMODE(path.stat().st_mode) == 0o640


def test_a_link_stays_a_link(here: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (here / "elsewhere").mkdir()
    real = write(here / "elsewhere" / "real.wright", ROUGH)
    link = here / "link.wright"
    link.symlink_to(real)
    assert main(["tidy", "link.wright"]) == 0
    assert link.is_symlink()
    assert real.read_bytes() == NEAT.encode()
    assert only(here / "elsewhere", "real.wright")
    assert capsys.readouterr().out == "link.wright: tidied\n"


@pytest.mark.parametrize("step", ["fsync", "chmod", "replace"])
def test_nothing_is_lost_where_writing_fails(
    step: str, here: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def full(*arguments: object) -> None:
        raise OSError(28, "No space left on device")

    path = write(here / "rough.wright", ROUGH)
    monkeypatch.setattr(os, step, full)
    assert main(["tidy", "rough.wright"]) == 2
    said = capsys.readouterr()
    assert said.err == (
        "ringwright tidy: 'rough.wright' cannot be written: no space left on device; it is as it was\n"
    )
    assert said.out == ""
    assert untouched(path, ROUGH)
    assert only(here, "rough.wright")


def test_a_file_that_may_not_be_written_is_trouble(
    here: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    path = write(here / "rough.wright", ROUGH)
    path.chmod(0o444)
    if os.access(path, os.W_OK):  # whoever may write anything is told so by other means
        opened = Path.open

        def refused(self: Path, mode: str = "r", *rest: object) -> object:
            if "+" in mode:
                raise PermissionError(13, "Permission denied")
            return opened(self, mode, *rest)  # type: ignore[call-overload]

        monkeypatch.setattr(Path, "open", refused)
    assert main(["tidy", "rough.wright"]) == 2
    assert "'rough.wright' cannot be written: permission denied" in capsys.readouterr().err
    assert untouched(path, ROUGH)
    assert only(here, "rough.wright")


def test_a_text_that_would_say_something_else_is_never_written(
    here: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    path = write(here / "rough.wright", ROUGH)
    for other in (NEAT.replace("# first\n", ""), NEAT.replace("3/16", "5/16"), NEAT.replace("}", "", 1)):
        monkeypatch.setattr(tidying, "laid_out", lambda text, other=other: other)
        assert main(["tidy", "rough.wright"]) == 2
        assert "would not say the same" in capsys.readouterr().err
        assert untouched(path, ROUGH)


# -- standard input ---------------------------------------------------------------------------------


def stream(monkeypatch: pytest.MonkeyPatch, text: str) -> None:
    monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(text.encode()), encoding="ascii"))


def test_a_stream_goes_through(
    monkeypatch: pytest.MonkeyPatch, capsysbinary: pytest.CaptureFixture[bytes]
) -> None:
    stream(monkeypatch, ROUGH + 'model heron{title="翼"}')
    assert main(["tidy", "-"]) == 0
    assert capsysbinary.readouterr().out == (NEAT + '\nmodel heron { title = "翼" }\n').encode()


def test_a_stream_with_mistakes_gives_nothing(
    monkeypatch: pytest.MonkeyPatch, capsysbinary: pytest.CaptureFixture[bytes]
) -> None:
    stream(monkeypatch, WRONG)
    assert main(["tidy", "-"]) == 1
    said = capsysbinary.readouterr()
    assert said.out == b""
    assert said.err.startswith(b"standard input:1:14: error: ")


@pytest.mark.parametrize(
    ("text", "code", "said"), [(ROUGH, 1, "standard input: would change\n"), (NEAT, 0, "")]
)
def test_a_stream_is_checked(
    text: str, code: int, said: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    stream(monkeypatch, text)
    assert main(["tidy", "--check", "-"]) == code
    assert capsys.readouterr().out == said


def test_colour_is_as_asked_for(here: Path, capsys: pytest.CaptureFixture[str]) -> None:
    write(here / "wrong.wright", WRONG)
    assert main(["tidy", "--color", "always", "wrong.wright"]) == 1
    assert "\x1b[" in capsys.readouterr().err
    assert main(["tidy", "--color", "never", "wrong.wright"]) == 1
    assert "\x1b[" not in capsys.readouterr().err


def test_a_wrong_option_is_trouble(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as left:
        tidy.run(["--chekc", "a.wright"])
    assert left.value.code == 2
    assert "did you mean '--check'?" in capsys.readouterr().err
