"""`ringwright tidy`: lays specs out as a careful builder would, and changes nothing of what they say."""

import sys
from collections.abc import Sequence
from typing import TYPE_CHECKING

from ringwright.lang.commands.common import Parser, Trouble, coloured, complain, find_spec, plain
from ringwright.lang.commands.main import DONE, FINDINGS
from ringwright.lang.commands.written import replace_file

if TYPE_CHECKING:
    from ringwright.lang.diagnostics.diagnostic import Diagnostic
    from ringwright.lang.source import Source

STREAM = "-"


def parser() -> Parser:
    """Return what the command takes."""
    parser = Parser(
        "tidy",
        "Lays specs out anew, in place: indentation, blanks, and what stands below what. Words,\n"
        "numbers, comments and their order stay. A file with mistakes is left as it is.",
        "ringwright tidy heron.wright",
    )
    parser.add_argument(
        "specs",
        nargs="+",
        metavar="SPEC",
        help="a .wright file; - reads standard input and writes standard output",
    )
    parser.add_argument(
        "--check", action="store_true", help="write nothing; name the files that would change"
    )
    return parser


def run(arguments: list[str]) -> int:
    """Lay out specs; 1 where one cannot be read, or with --check where one would change."""
    options = parser().parse_args(arguments)
    worst = DONE
    for argument in options.specs:
        one = tidy_stream if argument == STREAM else tidy_file
        try:
            worst = max(worst, one(argument, options.check, options.color))
        except Trouble as trouble:
            worst = max(worst, complain("tidy", str(trouble)))
    return worst


def tidy_file(argument: str, check: bool, color: str) -> int:
    """Lay out one file. Raises Trouble."""
    from ringwright.lang.components.project import Refused, reader

    spec = find_spec(argument)
    try:
        data = reader(spec.root)(spec.name)
    except Refused as refusal:
        raise Trouble(str(refusal)) from None
    text = laid_out(argument, data, color)
    if text is None:
        return FINDINGS
    if text.encode() == data:
        return DONE
    if check:
        sys.stdout.write(f"{plain(argument)}: would change\n")
        return FINDINGS
    try:
        replace_file(spec.path, text.encode())
    except OSError as problem:
        reason = (problem.strerror or str(problem)).lower()
        raise Trouble(f"'{argument}' cannot be written: {reason}; it is as it was") from None
    sys.stdout.write(f"{plain(argument)}: tidied\n")
    return DONE


def tidy_stream(argument: str, check: bool, color: str) -> int:
    """Lay out what stands on standard input, and write it to standard output."""
    data = sys.stdin.buffer.read()
    text = laid_out("standard input", data, color)
    if text is None:
        return FINDINGS
    if not check:
        sys.stdout.flush()
        sys.stdout.buffer.write(text.encode())
        sys.stdout.buffer.flush()
    elif text.encode() != data:
        sys.stdout.write("standard input: would change\n")
        return FINDINGS
    return DONE


def laid_out(name: str, data: bytes, color: str) -> str | None:
    """Return the text of a spec laid out anew; None, and its mistakes shown, where it has any.

    Raises Trouble where the new text would not say the same.
    """
    from ringwright.lang.source import make_source
    from ringwright.lang.syntax.parse import parse
    from ringwright.lang.tidy import tidy

    source, found = make_source(name, data)
    if not found:
        file, found = parse(source)
    if found:
        show(found, source, color)
        return None
    text = tidy.laid_out(source.text)
    if not tidy.says_the_same(source, file, text):
        raise Trouble(f"'{name}' is left as it is: laid out anew it would not say the same")
    return text


def show(found: "Sequence[Diagnostic]", source: "Source", color: str) -> None:
    """Write findings to standard error."""
    from ringwright.lang.diagnostics.text import render_text

    sys.stderr.write(render_text(found, {source.path: source}, coloured(color)))
