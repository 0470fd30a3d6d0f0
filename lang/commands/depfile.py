"""What builds read, in make's own form: so that make, ninja and engines like them know when to build again."""

from collections.abc import Iterable, Mapping


def depfile(reads: Mapping[str, Iterable[str]]) -> str:
    """Return rules that say what each file written was made from.

    reads: for each file written those that were read for it, all as paths from where the builder stands. Every file read
    is a target of its own, too, so that one that is gone makes a build again and not an error.
    """
    lines = []
    for target, sources in sorted(reads.items()):
        lines.append(" \\\n  ".join([f"{_escaped(target)}:", *map(_escaped, sources)]) + "\n")
    for source in sorted({source for sources in reads.values() for source in sources}):
        lines.append(f"\n{_escaped(source)}:\n")
    return "".join(lines)


def _escaped(path: str) -> str:
    """Return a path as make reads it back: blanks and '#' behind a backslash, '$' twice.

    Backslashes are doubled only where they stand before what has one put before it: so make reads them.
    """
    found, slashes = "", ""
    for sign in path:
        if sign == "\\":
            slashes += sign
            continue
        if sign in " \t#":
            slashes = slashes * 2 + "\\"
        found += slashes + ("$$" if sign == "$" else sign)
        slashes = ""
    return found + slashes
