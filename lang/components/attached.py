"""Files that shapes are drawn from: drawings and tables of ordinates, named in the text that draws them."""

from collections.abc import Iterator
from typing import NamedTuple

from ringwright.lang.source import Span, make_source
from ringwright.lang.syntax import nodes

DRAWN_FROM = ("traced", "aerofoil_file")
"""The functions whose first value, `file`, is a file's name."""


class Attached(NamedTuple):
    """A file that a shape is drawn from: its text, or why it cannot be had (a code, a message and a help)."""

    text: str
    refused: tuple[str, str, str] | None = None


def file_of(node: nodes.Call) -> nodes.Argument | None:
    """Return the argument of such a function that names its file; None where there is none."""
    for name in ("file", None):
        for argument in node.arguments:
            if argument.name == name:
                return argument
    return None


def names_in(file: nodes.File, text: str) -> Iterator[nodes.Text]:
    """Yield every file's name that stands in a text as such a function's file, in the order of the text."""
    if not any(function in text for function in DRAWN_FROM):
        return  # a large spec is not gone through for nothing
    found: list[nodes.Text] = []
    waiting: list[object] = [file]
    while waiting:
        node = waiting.pop()
        if isinstance(node, nodes.Call) and node.function.parts[-1] in DRAWN_FROM:
            given = file_of(node)
            if given is not None and isinstance(given.value, nodes.Text):
                found.append(given.value)
        if isinstance(node, tuple) and not isinstance(node, Span):
            waiting.extend(part for part in node if isinstance(part, tuple))
    yield from sorted(found, key=lambda name: name.span.start)


def attached(path: str, data: bytes) -> Attached:
    """Return a file as it was read."""
    if data.startswith(b"\x1f\x8b"):
        return Attached(
            "", ("not-utf8", f"'{path}' is packed", "unpack it, and name the file that comes out")
        )
    source, found = make_source(path, data)
    refused = next((finding for finding in found if finding.code != "forbidden-character"), None)
    if refused is None:
        return Attached(source.text)
    return Attached("", (refused.code, f"in '{path}', {refused.message}", refused.help))
