"""Completion scripts for three shells, from the commands as plain values; static: completing runs no program."""

from collections.abc import Callable, Iterable, Mapping
from typing import NamedTuple


class Operand(NamedTuple):
    """What an argument takes.

    sort: 'specs', 'folders', 'words' (those of `words`) or 'nothing'. many: more of them may follow.
    """

    name: str
    sort: str
    words: tuple[str, ...]
    many: bool = False


class Option(NamedTuple):
    """An option. names: as typed, dashes and all. takes: what its value is, None for a switch."""

    names: tuple[str, ...]
    text: str
    takes: Operand | None


class Command(NamedTuple):
    """A command, its options, and its operands in order."""

    name: str
    text: str
    options: tuple[Option, ...]
    operands: tuple[Operand, ...]


_GENERAL = (("--help", "print help"), ("--version", "print the version"))

_BASH_HEAD = """\
# bash completion for ringwright; made by `ringwright completion bash`
_ringwright_add() {
    local word
    while IFS= read -r word; do COMPREPLY+=("$word"); done
}

_ringwright() {
    local current="${COMP_WORDS[COMP_CWORD]}" previous="${COMP_WORDS[COMP_CWORD-1]}"
    COMPREPLY=()
    if (( COMP_CWORD == 1 )); then
        _ringwright_add < <(compgen -W "%s" -- "$current")
        return
    fi
    case "${COMP_WORDS[1]}" in
"""

_BASH_TAIL = """\
    esac
}

complete -o filenames -F _ringwright ringwright
"""

_BASH = {
    "specs": 'compgen -f -X "!*.wright" -- "$current"; compgen -d -- "$current"',
    "folders": 'compgen -d -- "$current"',
}


def bash(commands: Iterable[Command]) -> str:
    """Return the script for bash, 3.1 or later."""
    kept = list(commands)
    first = " ".join([*(command.name for command in kept), *(name for name, _ in _GENERAL)])
    lines = [_BASH_HEAD % first]
    for command in kept:
        lines.append(f"        {command.name})\n")
        lines.append('            case "$previous" in\n')
        for option in command.options:
            if option.takes is not None:
                lines.append(f"                {'|'.join(option.names)}) {_bash(option.takes)} return ;;\n")
        lines.append("            esac\n")
        names = " ".join(name for option in command.options for name in option.names)
        lines.append('            if [[ "$current" == -* ]]; then\n')
        lines.append(f'                _ringwright_add < <(compgen -W "{names}" -- "$current")\n')
        lines.append("                return\n            fi\n")
        # Whichever operand it is, all are offered: what is typed so far tells a spec from a word.
        lines += [
            f"            {_bash(operand)}\n" for operand in command.operands if operand.sort != "nothing"
        ]
        lines.append("            ;;\n")
    return "".join((*lines, _BASH_TAIL))


def _bash(operand: Operand) -> str:
    if operand.sort == "nothing":
        return ":;"
    if operand.sort == "words":
        return f'_ringwright_add < <(compgen -W "{" ".join(operand.words)}" -- "$current");'
    return f"_ringwright_add < <({_BASH[operand.sort]});"


_ZSH_HEAD = """\
#compdef ringwright
# zsh completion for ringwright; made by `ringwright completion zsh`
_ringwright() {
    local -a commands
    commands=(
"""

_ZSH_MIDDLE = """\
    )
    if (( CURRENT == 2 )); then
        _describe command commands
        _arguments '1: :' %s
        return
    fi
    local command=$words[2]
    shift words
    (( CURRENT-- ))
    case $command in
"""

_ZSH_TAIL = """\
    esac
}

if [[ $funcstack[1] == _ringwright ]]; then
    _ringwright "$@"
else
    compdef _ringwright ringwright
fi
"""

_ZSH = {"specs": "_files -g '*.wright(-.)'", "folders": "_files -/", "nothing": ""}


def zsh(commands: Iterable[Command]) -> str:
    """Return the script for zsh; it works from a folder of $fpath and when read."""
    kept = list(commands)
    lines = [_ZSH_HEAD]
    lines += [f"        {_quoted(f'{command.name}:{command.text}')}\n" for command in kept]
    lines.append(_ZSH_MIDDLE % " ".join(_quoted(f"{name}[{text}]") for name, text in _GENERAL))
    for command in kept:
        lines.append(f"        {command.name})\n            _arguments")
        for option in command.options:
            value = "" if option.takes is None else f":{option.takes.name}:{_zsh(option.takes)}"
            alone = f"({' '.join(option.names)})"
            lines += [
                f" \\\n                {_quoted(f'{alone}{name}[{_plain(option.text)}]{value}')}"
                for name in option.names
            ]
        for number, operand in enumerate(command.operands, 1):
            place = "*" if operand.many else str(number)
            lines.append(f" \\\n                {_quoted(f'{place}:{operand.name}:{_zsh(operand)}')}")
        lines.append("\n            ;;\n")
    return "".join((*lines, _ZSH_TAIL))


def _zsh(operand: Operand) -> str:
    return f"({' '.join(operand.words)})" if operand.sort == "words" else _ZSH[operand.sort]


def _plain(text: str) -> str:
    """What stands in brackets there may hold none, nor colons."""
    return "".join(" " if letter in "[]:" else letter for letter in text)


def _quoted(text: str) -> str:
    quote = "'\\''"
    return f"'{text.replace(chr(39), quote)}'"


_FISH_HEAD = """\
# fish completion for ringwright; made by `ringwright completion fish`
complete -c ringwright -f
"""


def fish(commands: Iterable[Command]) -> str:
    """Return the script for fish, 3.0 or later."""
    kept = list(commands)
    lines = [_FISH_HEAD]
    first = "complete -c ringwright -n __fish_use_subcommand"
    lines += [f"{first} -l {name.removeprefix('--')} -d {_fish_quoted(text)}\n" for name, text in _GENERAL]
    lines += [f"{first} -a {command.name} -d {_fish_quoted(command.text)}\n" for command in kept]
    for command in kept:
        here = f"complete -c ringwright -n '__fish_seen_subcommand_from {command.name}'"
        for option in command.options:
            names = " ".join(f"-l {n[2:]}" if n.startswith("--") else f"-s {n[1:]}" for n in option.names)
            value = "" if option.takes is None else f" -x{_fish(option.takes)}"
            lines.append(f"{here} {names}{value} -d {_fish_quoted(option.text)}\n")
        lines += [f"{here}{_fish(operand)}\n" for operand in command.operands if operand.sort != "nothing"]
    return "".join(lines)


_FISH = {"specs": "(__fish_complete_suffix .wright)", "folders": "(__fish_complete_directories)"}


def _fish(operand: Operand) -> str:
    if operand.sort == "nothing":
        return ""
    return f" -a {_fish_quoted(' '.join(operand.words) if operand.sort == 'words' else _FISH[operand.sort])}"


def _fish_quoted(text: str) -> str:
    escaped = text.replace("\\", "\\\\").replace("'", "\\'")
    return f"'{escaped}'"


SHELLS: Mapping[str, Callable[[Iterable[Command]], str]] = {"bash": bash, "zsh": zsh, "fish": fish}
