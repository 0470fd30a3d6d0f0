"""`ringwright serve`: a language server for editors, over standard input and output."""

import sys
from pathlib import Path

from ringwright.lang.commands.common import Parser, complain
from ringwright.lang.commands.main import DONE

MISSING = (
    "the language server needs the package pygls, which is not installed here: "
    "`python -m pip install 'pygls>=2,<3'` in the environment of ringwright"
)


def parser() -> Parser:
    """Return what the command takes."""
    parser = Parser(
        "serve",
        "Serves editors that speak the Language Server Protocol, over standard input and output. It is the editor that\n"
        "starts it: README.md in the folder that --files names says how.",
        "ringwright serve --files",
    )
    parser.add_argument(
        "--files", action="store_true", help="print the folder with the files for editors, and leave"
    )
    return parser


def run(arguments: list[str]) -> int:
    """Serve until the editor ends it; 2 where pygls is missing, or a person sits at the other end."""
    if parser().parse_args(arguments).files:
        sys.stdout.write(f"{Path(__file__).parents[1] / 'editors'}\n")
        return DONE
    try:
        import pygls.lsp.server  # noqa: F401
    except ImportError:
        return complain("serve", MISSING)
    if sys.stdin.isatty():
        return complain(
            "serve",
            "an editor starts this and speaks to it: `ringwright serve --files` says where to read how",
        )
    import gc

    from ringwright.lang.commands.answers import make_server

    # The command line puts off looking for cycles, which a process that runs all day must not.
    gc.freeze()
    gc.set_threshold(100_000, 20, 50)
    make_server().start_io()
    return DONE
