"""`ringwright completion`: a script that lets a shell complete commands, options, choices and specs."""

import argparse
import sys
from collections.abc import Iterable
from importlib import import_module

from ringwright.lang.commands.common import Parser
from ringwright.lang.commands.main import COMMANDS, DONE
from ringwright.lang.commands.shells import SHELLS, Command, Operand, Option


def parser() -> Parser:
    """Return what the command takes."""
    parser = Parser(
        "completion",
        "Prints a completion script, which starts no Python while you type. Let your shell read it:\n"
        '  bash  eval "$(ringwright completion bash)" in ~/.bashrc\n'
        "  zsh   ringwright completion zsh > a folder of $fpath/_ringwright\n"
        "  fish  ringwright completion fish > ~/.config/fish/completions/ringwright.fish",
        "ringwright completion bash",
    )
    parser.add_argument("shell", choices=tuple(SHELLS), metavar="SHELL", help=", ".join(SHELLS))
    return parser


def run(arguments: list[str]) -> int:
    """Print the script."""
    shell = parser().parse_args(arguments).shell
    sys.stdout.write(SHELLS[shell](described()))
    return DONE


def described() -> tuple[Command, ...]:
    """Return all commands with their options and operands, as their parsers have them."""
    return tuple(
        _command(name, text, import_module(f"ringwright.lang.commands.{name}").parser())
        for name, text in COMMANDS.items()
    )


def _command(name: str, text: str, parser: argparse.ArgumentParser) -> Command:
    options = [
        Option(
            tuple(action.option_strings),
            _first_clause(action.help or ""),
            _takes(action) if action.nargs != 0 else None,
        )
        for action in parser._actions
        if action.option_strings
    ]
    operands = [_takes(action) for action in parser._actions if not action.option_strings]
    return Command(name, text, tuple(options), tuple(operands))


def _takes(action: argparse.Action) -> Operand:
    """Return what an argument is completed with: its choices, or what its name in the help stands for."""
    called = str(action.metavar or action.dest)
    many = action.nargs in ("*", "+")
    if action.choices is not None:
        return Operand(called, "words", tuple(map(str, action.choices)), many)
    if called == "WORD":
        from ringwright.lang.commands.explain import words

        return Operand(called, "words", words(), many)
    if called == "PAPER":
        from ringwright.backends.paper import PAPERS

        return Operand(called, "words", (*PAPERS, "roll"), many)
    if called == "LIST":
        from ringwright.lang.commands.build import FORMATS

        return Operand(called, "words", FORMATS, many)
    sort = {"SPEC": "specs", "DIR": "folders"}.get(called, "nothing")
    return Operand(called, sort, (), many)


def _first_clause(text: str) -> str:
    ends: Iterable[int] = (text.find(mark) for mark in (";", " (", ":") if mark in text)
    return text[: min(ends, default=len(text))].strip()
