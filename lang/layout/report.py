"""What is said of a layout file: lines that say nothing, and places that do not hold, each with its line."""

from collections.abc import Iterable, Iterator

from ringwright.lang.diagnostics.diagnostic import Diagnostic
from ringwright.lang.layout.keep import Kept, Lost
from ringwright.lang.layout.layout_file import Spoiled
from ringwright.lang.source import Source, Span

AGAIN = "`ringwright build` lays out what has no place and writes the file anew"


def spoiled_lines(source: Source, spoiled: Iterable[Spoiled]) -> Iterator[Diagnostic]:
    """Yield a warning for each line that is ignored."""
    for one in spoiled:
        yield Diagnostic(
            "layout-spoiled",
            "warning",
            f"this line is ignored: {one.why}",
            _line(source, one.line),
            (),
            AGAIN,
        )


def lost_places(source: Source, lost: Iterable[Lost]) -> Iterator[Diagnostic]:
    """Yield a note for each place that does not hold."""
    lines = _lines(source)
    for one in lost:
        copy = f" copy {one.lay.copy}" if one.lay.copy > 1 else ""
        span = _line(source, lines.get((one.lay.part, str(one.lay.copy)), 1))
        yield Diagnostic("layout-stale", "note", f"{one.lay.part}{copy} does not stay here: {one.why}", span)


def out_of_date(source: Source, kept: Kept, missing: Iterable[tuple[str, int]]) -> Iterator[Diagnostic]:
    """Yield all that `check` says of a layout: places that do not hold, and parts that have none."""
    yield from lost_places(source, kept.lost)
    moved = {(one.lay.part, one.lay.copy) for one in kept.lost}
    nowhere = dict.fromkeys(part for part, copy in missing if (part, copy) not in moved)
    if nowhere:
        listed = ", ".join(list(nowhere)[:5]) + (f" and {len(nowhere) - 5} more" if len(nowhere) > 5 else "")
        yield Diagnostic(
            "layout-stale", "note", f"no place is given here for {listed}", _line(source, 1), (), AGAIN
        )


def _lines(source: Source) -> dict[tuple[str, str], int]:
    """Return the number of the first line that lays each part, by part and copy as written."""
    found: dict[tuple[str, str], int] = {}
    for number, line in enumerate(source.text.split("\n"), 1):
        words = line.split()
        if len(words) > 2 and words[0] == "lay":
            found.setdefault((words[1], words[2]), number)
    return found


def _line(source: Source, number: int) -> Span:
    start = source.line_starts[number - 1]
    return Span(source.path, start, start + len(source.line(number)))
