"""What must be cut again since an earlier state of a model, as a design of those parts alone."""

from pathlib import Path
from typing import TYPE_CHECKING

from ringwright.geometry.compare import changed, traces
from ringwright.geometry.part import Mark, Part
from ringwright.lang.commands.common import Spec, counted, nearby
from ringwright.lang.commands.lay_out import found_layout
from ringwright.lang.commands.sides import read_side, side_of_spec
from ringwright.lang.compare.comparison import Comparison, compare
from ringwright.lang.compare.sections import summary
from ringwright.lang.compare.side import on_a_level
from ringwright.lang.components.only import with_members
from ringwright.lang.layout.built import as_built, pieces_built
from ringwright.lang.pipeline import is_asked

if TYPE_CHECKING:
    from collections.abc import Sequence

    from ringwright.lang.pipeline import Compiled

WAS = "was"
"""The kind of a mark that shows where a line of the old part ran."""


def recut(
    spec: Spec, compiled: "Compiled", argument: str, since: str, color: str, only: "Sequence[str]" = ()
) -> "tuple[Compiled, tuple[str, ...]]":
    """Return the compile with only those parts that must be cut since an earlier state, and what is said of all.

    What the layout file records as built counts as it is recorded, whatever the earlier state says of it. Of a part of
    which there are more now only those are cut. only: components or parts that alone are judged; none: all. Raises Trouble.
    """
    old = read_side(since, color)
    found_layout_file = found_layout(spec)
    on_wall, spoiled = pieces_built(found_layout_file.layout.built)
    old = as_built(old, on_wall)
    design = compiled.design
    assert design is not None
    if only:
        names = with_members(design.tree, only)
        asked = {id: piece for id, piece in old.pieces.items() if is_asked(id, names)}
        old, on_wall = old._replace(pieces=asked), {id: on_wall[id] for id in asked if id in on_wall}
    found = compare(old, side_of_spec(compiled, argument, laid_out=False))
    parts = {part.id: part for part in design.parts}
    kept = tuple(
        sorted((_to_cut(parts[one.id], found, one.was, one.word) for one in found.cut), key=lambda p: p.id)
    )
    said = [*_said(found, since)]
    if on_wall and not _is_file(since, found_layout_file.path):
        count = counted(len(on_wall), "part")
        said.insert(
            1, f"wall    {count} as recorded in {nearby(found_layout_file.path)}, not as {since} has it"
        )
    said += [f"wall    {words}: it counts as {since} has it" for words in spoiled]
    return compiled._replace(design=design._replace(parts=kept)), tuple(said)


def _is_file(named: str, path: Path) -> bool:
    """Whether an argument names a file."""
    try:
        return Path(named).samefile(path)
    except (OSError, ValueError):
        return False


def _to_cut(part: Part, found: Comparison, was: str, word: str) -> Part:
    """Return a part as it is cut again: so many of them, with the lines of the old one in it."""
    if not was:
        return part
    old = found.old.pieces[was]
    if word == "more":
        return part._replace(quantity=part.quantity - old.quantity)
    old, new = on_a_level(old, found.new.pieces[part.id])
    change = changed(old.cut, new.cut)
    if change.same:
        return part
    found_lines = traces(old.cut, new.cut, change.shift)
    marks = tuple(Mark(path, WAS, "" if number else "old line") for number, path in enumerate(found_lines))
    return part._replace(marks=(*part.marks, *marks))


def _said(found: Comparison, since: str) -> list[str]:
    """Return the lines that a build says first: how many of each verdict, and what is not on its sheets but to do."""
    lines = [f"since   {since}: {summary(found)}"]
    lines += [f"note    {note}" for note in found.notes]
    by_hand = [one for one in found.verdicts if one.word not in ("recut", "more", "weight", "keep")]
    lines += [f"{one.word:<7} {one.id}: {one.reason}" for one in by_hand]
    lines += [f"{'gone':<7} {id}" for id in found.removed]
    return lines
