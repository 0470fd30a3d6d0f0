"""`ringwright completion`: scripts that shells can read, and that complete what the commands take."""

import shutil
import subprocess
from pathlib import Path

import pytest
from ringwright.lang.commands.completion import described
from ringwright.lang.commands.explain import words
from ringwright.lang.commands.main import COMMANDS, main
from ringwright.lang.commands.shells import SHELLS, Command, Operand, Option, bash, fish, zsh

BASH = shutil.which("bash")
NAUGHTY = Command(
    "odd", "it's [an] odd: one \\ $(touch gone)",
    (Option(("-x", "--ex"), "a 'word': [so]", Operand("W", "words", ("a-b", "c"))),), (Operand("SPEC", "specs", ()),),
)  # fmt: skip


def script(shell: str, capsys: pytest.CaptureFixture[str]) -> str:
    assert main(["completion", shell]) == 0
    return capsys.readouterr().out


def completed(folder: Path, text: str, *line: str) -> list[str]:
    """What bash offers for the last word of a line."""
    assert BASH is not None
    (folder / "script.bash").write_text(text)
    array = " ".join(f"'{word}'" for word in line)
    asked = (
        f"source script.bash; COMP_WORDS=({array}); COMP_CWORD={len(line) - 1}; _ringwright; "
        'printf "%s\\n" "${COMPREPLY[@]}"'
    )
    done = subprocess.run(
        [BASH, "--norc", "-c", asked], cwd=folder, capture_output=True, text=True, check=True
    )
    assert done.stderr == ""
    return sorted(done.stdout.split("\n")[:-1])


def test_all_commands_are_described() -> None:
    commands = {command.name: command for command in described()}
    assert set(commands) == set(COMMANDS)
    options = {name: option for option in commands["check"].options for name in option.names}
    assert options["--format"].takes == Operand("format", "words", ("text", "json", "sarif", "github"))
    assert options["--help"].takes is None
    assert commands["check"].operands == (Operand("SPEC", "specs", (), True),)
    assert commands["explain"].operands[0].words == words()


@pytest.mark.parametrize("shell", sorted(SHELLS))
def test_a_script_holds_every_command_and_option(shell: str, capsys: pytest.CaptureFixture[str]) -> None:
    text = script(shell, capsys)
    for command in described():
        assert command.name in text
        for option in command.options:
            for name in option.names:
                assert name in text or f"-l {name[2:]} " in text or f"-s {name[1:]} " in text
    assert all(line == line.rstrip() for line in text.splitlines())


@pytest.mark.skipif(BASH is None, reason="bash is not here")
@pytest.mark.parametrize("of", ["ours", "naughty"])
def test_bash_can_read_it(of: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    text = script("bash", capsys) if of == "ours" else bash([NAUGHTY])
    (tmp_path / "script.bash").write_text(text)
    done = subprocess.run(
        [str(BASH), "-n", "script.bash"], cwd=tmp_path, capture_output=True, text=True, check=False
    )
    assert (done.returncode, done.stderr) == (0, "")


@pytest.mark.skipif(BASH is None, reason="bash is not here")
def test_bash_completes(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    text = script("bash", capsys)
    for name in ("my heron.wright", "mink.wright", "mud.txt"):
        (tmp_path / name).touch()
    (tmp_path / "models").mkdir()
    assert completed(tmp_path, text, "ringwright", "ch") == ["check"]
    assert completed(tmp_path, text, "ringwright", "--v") == ["--version"]
    assert completed(tmp_path, text, "ringwright", "check", "--fo") == ["--format"]
    assert completed(tmp_path, text, "ringwright", "check", "--format", "") == [
        "github",
        "json",
        "sarif",
        "text",
    ]
    assert completed(tmp_path, text, "ringwright", "check", "m") == [
        "mink.wright",
        "models",
        "my heron.wright",
    ]
    assert completed(tmp_path, text, "ringwright", "build", "-o", "m") == ["models"]
    assert completed(tmp_path, text, "ringwright", "explain", "decimal") == ["decimal-comma"]
    assert completed(tmp_path, text, "ringwright", "nonsense", "m") == [""]


@pytest.mark.parametrize(("shell", "text"), [("zsh", zsh([NAUGHTY])), ("fish", fish([NAUGHTY]))])
def test_other_shells_can_read_it(
    shell: str, text: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    program = shutil.which(shell)
    if program is None:
        pytest.skip(f"{shell} is not here")
    for content in (text, script(shell, capsys)):
        (tmp_path / "script").write_text(content)
        done = subprocess.run(
            [program, "-n", "script"], cwd=tmp_path, capture_output=True, text=True, check=False
        )
        assert (done.returncode, done.stderr) == (0, "")


def test_words_of_ours_are_quoted() -> None:
    assert "'odd:it'\\''s [an] odd: one \\ $(touch gone)'" in zsh([NAUGHTY])
    assert "'(-x --ex)--ex[a '\\''word'\\''   so ]:W:(a-b c)'" in zsh([NAUGHTY])
    assert "-d 'it\\'s [an] odd: one \\\\ $(touch gone)'" in fish([NAUGHTY])
    assert "gone" not in bash([NAUGHTY]), "bash shows no descriptions"


def test_an_unknown_shell(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as left:
        main(["completion", "csh"])
    assert left.value.code == 2
    assert "fish" in capsys.readouterr().err
