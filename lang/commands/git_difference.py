"""`ringwright compare --git`: the program that git calls to show the difference of one spec or one manifest.

git hands over a path, and for either side a file, its number and its mode; of a file that was renamed the new path and a
few words follow. It hands over no revision, so that files which a spec uses are taken as they are now.
"""

import os
import sys
from collections.abc import Iterator
from pathlib import Path

from ringwright.lang.commands.common import Trouble, complain
from ringwright.lang.commands.main import DONE
from ringwright.lang.compare.side import Side

NOTHING = ("/dev/null", "nul")
AS_NOW = "all other files that it uses are taken as they are now"
MOST_BESIDE = 64
"""Specs beside a text that are asked whether they use it."""


def show_difference(given: list[str]) -> int:
    """Show the difference that git asks for; 2 where what it hands over is not what git hands over."""
    if len(given) == 1:
        sys.stdout.write(f"{_safe(given[0])}: not merged, so there is nothing to compare yet\n")
        return DONE
    if len(given) not in (7, 9):
        return complain("compare", f"--git takes the 7 or 9 arguments that git gives, not {len(given)}")
    path, old_file, _, _, new_file, _, _, *rest = given
    now = rest[0] if rest else path
    try:
        old, new = _bytes(old_file), _bytes(new_file)
    except Trouble as trouble:
        return complain("compare", str(trouble))
    sys.stdout.write("".join(_shown(path, now, old, new)))
    return DONE


def _shown(path: str, now: str, old: bytes | None, new: bytes | None) -> Iterator[str]:
    """Yield the lines that changed, and what they changed; of a manifest only this."""
    is_manifest = now.endswith(".json")
    if not is_manifest or old is None or new is None:
        yield from _lines(path, now, old, new)
    if old is None or new is None:
        return
    try:
        if is_manifest:
            pairs = [(now, _of_manifest(old, f"{path} (old)"), _of_manifest(new, f"{now} (new)"))]
        else:
            pairs = [
                (spec, _of_spec(spec, now, old, f"{spec} (old)"), _of_spec(spec, now, new, f"{spec} (new)"))
                for spec in _specs(now, old, new)
            ]
    except Trouble as trouble:
        if is_manifest:
            yield from _lines(path, now, old, new)
        yield f"ringwright: no comparison: {_safe(str(trouble))}\n"
        return
    from ringwright.lang.commands.compare import document
    from ringwright.lang.compare.comparison import compare

    for name, before, after in pairs:
        yield f"ringwright: {_safe(name)}{'' if is_manifest else f'; {AS_NOW}'}\n"
        yield document(compare(before, after), "text")
        yield "\n"


def _of_manifest(data: bytes, name: str) -> Side:
    from ringwright.lang.commands.sides import manifest_side

    return manifest_side(data, name)


def _specs(path: str, old: bytes, new: bytes) -> list[str]:
    """Return the specs that a text shows in: itself where it has a model, else those beside it that use it."""
    if any(line.split()[:1] == [b"model"] for line in (*old.splitlines(), *new.splitlines())):
        return [path]
    folder, name = Path(path).parent, Path(path).name
    found = []
    for spec in sorted(folder.glob("*.wright"))[:MOST_BESIDE]:
        try:
            uses = spec.name != name and f'use "{name}"'.encode() in (_bytes(str(spec)) or b"")
        except Trouble:
            continue
        if uses:
            found.append(spec.as_posix())
    return found or [path]


def _of_spec(main: str, path: str, data: bytes, name: str) -> Side:
    """Return the side of a spec, one of its texts at hand, all others read from the disk. Raises Trouble."""
    from ringwright.lang.commands.common import counted, errors_of, find_spec
    from ringwright.lang.commands.sides import compile_read, side_of_spec
    from ringwright.lang.components.project import reader

    spec, there = find_spec(main), find_spec(path).name
    rest = reader(spec.root)
    compiled = compile_read(spec.name, lambda asked: data if asked == there else rest(asked))
    if compiled.failed or compiled.design is None:
        errors = len(errors_of(compiled))
        raise Trouble(f"'{name}' has {counted(errors, 'error')}")
    return side_of_spec(compiled, name, read=rest)


def _bytes(file: str) -> bytes | None:
    """Return what git put into a file, None where it has none. Raises Trouble."""
    if file in NOTHING or file == os.devnull:
        return None
    from ringwright.lang.commands.sides import LARGEST
    from ringwright.lang.components.project import Refused, read_regular

    try:
        return read_regular(Path(file), file, LARGEST)
    except Refused as refused:
        raise Trouble(str(refused)) from None


def _lines(path: str, now: str, old: bytes | None, new: bytes | None) -> Iterator[str]:
    """Yield the difference of two texts line by line; of what is no text only that it is another."""
    from difflib import unified_diff

    names = ("/dev/null" if old is None else f"a/{path}", "/dev/null" if new is None else f"b/{now}")
    try:
        before, after = ((data or b"").decode("utf-8").splitlines() for data in (old, new))
    except UnicodeDecodeError:
        yield f"{_safe(names[0])} and {_safe(names[1])} are no texts, and differ\n"
        return
    for line in unified_diff(before, after, *names, lineterm=""):
        yield f"{_safe(line)}\n"


def _safe(text: str) -> str:
    from ringwright.lang.diagnostics.text import escape

    return escape(text.replace("\t", "    "))
