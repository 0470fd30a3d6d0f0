"""The command line: finds the command and hands over. Nothing heavy is imported before a command needs it."""

import sys
from importlib import import_module

from ringwright.lang.version import VERSION

# Each command's file beside this one, and what it does in a line.
COMMANDS = {
    "new": "start a model: a first spec and a stock file",
    "build": "compile a spec and write its build folder",
    "check": "everything short of a layout and of writing",
    "tidy": "lay a spec's text out as a careful builder would; it says the same",
    "list": "all solved names, with their values and where they come from",
    "why": "how a dimension came about, as a worked sum with its source lines",
    "weigh": "mass and balance, and what another stock or place would do to them",
    "compare": "what changed between two states of a model, and what to cut again",
    "built": "record what hangs on the wall, for recuts to count from",
    "explain": "what a message's code means, or what a kind of part takes",
    "watch": "build again on every save; --page shows it as it grows",
    "serve": "a language server, which your editor starts",
    "completion": "a script that lets your shell complete what you type",
}

DONE, FINDINGS, TROUBLE, INTERRUPTED = 0, 1, 2, 130


def usage() -> str:
    """Return the text of `ringwright --help`."""
    width = max(map(len, COMMANDS))
    lines = [f"  {name:<{width}}  {text}" for name, text in COMMANDS.items()]
    return "\n".join(
        (
            "ringwright build specs/marsh-heron/marsh-heron.wright",
            "",
            "Compiles a plain-text build spec of a model aircraft into labelled, true-size",
            "cut sheets.",
            "",
            "usage: ringwright COMMAND …       ringwright COMMAND --help",
            "",
            *lines,
            "",
            "  --version   print the version",
            "  --help, -h  print this",
            "",
            "Blades cut, hot glue burns, heated foam gives off fumes: take the usual care and",
            "follow the local rules. The README says more.",
            "",
        )
    )


def main(arguments: list[str]) -> int:
    """Run one command line (without the program's name) and return the exit code."""
    if not arguments:
        sys.stderr.write(usage())
        return TROUBLE
    first, rest = arguments[0], arguments[1:]
    if first in ("-h", "--help", "help"):
        sys.stdout.write(usage())
        return DONE
    if first == "--version":
        sys.stdout.write(f"ringwright {VERSION}\n")
        return DONE
    if first not in COMMANDS:
        return _no_such(first)
    return int(import_module(f"ringwright.lang.commands.{first}").run(rest))


def _no_such(word: str) -> int:
    from ringwright.lang.diagnostics.suggest import suggest

    near = suggest(word, COMMANDS)
    hint = f"did you mean '{near}'?" if near else "`ringwright --help` lists the commands"
    what = "option" if word.startswith("-") else "command"
    sys.stderr.write(f"ringwright: there is no {what} {word!a}: {hint}\n")
    return TROUBLE


def run() -> None:
    """Run the program's own command line and leave with its exit code."""
    import gc
    import os

    # A compile makes many values and next to no cycles: looking for those is a seventh of its time and frees nothing.
    gc.set_threshold(5_000_000, 20, 100)
    # Nothing here is done by numpy's linear algebra: the threads that it starts with are time lost.
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    # What a spec says may have letters that the terminal's encoding lacks: those are shown escaped.
    for stream in (sys.stdout, sys.stderr):
        reconfigure = getattr(stream, "reconfigure", None)
        if reconfigure is not None:
            reconfigure(errors="backslashreplace")
    try:
        code = main(sys.argv[1:])
        sys.stdout.flush()
    except KeyboardInterrupt:
        sys.stderr.write("ringwright: stopped; nothing was written\n")
        code = INTERRUPTED
    except BrokenPipeError:
        # Whoever read our output has gone; a second complaint at exit would be noise.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        code = DONE
    except OSError as problem:
        # A full disk behind our output, most likely: it would be full at exit, too.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        sys.stderr.write(f"ringwright: this cannot be written: {problem.strerror or problem}\n")
        code = TROUBLE
    # All that is left goes with the process: to look through it for cycles first would take longer than a check.
    gc.freeze()
    sys.exit(code)
