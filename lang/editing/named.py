"""Where something is named, where it is mentioned, and what it takes to call it something else."""

import re
from collections.abc import Mapping
from pathlib import Path
from typing import NamedTuple

from ringwright.lang.editing.analysis import Analysis
from ringwright.lang.editing.desk import Desk
from ringwright.lang.editing.mentions import NAMED_BY_HAND, Mention, mention_at, mentions
from ringwright.lang.editing.text import Edit, applied, text_of
from ringwright.lang.source import Span
from ringwright.lang.syntax import nodes
from ringwright.lang.syntax.node_builder import RESERVED
from ringwright.lang.units import UNITS

_NAME = re.compile(r"[A-Za-z][A-Za-z0-9_]*")


class Place(NamedTuple):
    """A stretch of a file."""

    path: Path
    start: int
    end: int


class NotRenamed(Exception):
    """Why something cannot be called what is asked for, in a sentence."""


def definition(desk: Desk, path: Path, offset: int) -> Place | None:
    """Return where what stands at an offset is named; of a `use` the file."""
    analysis = desk.analysis(path)
    if analysis is None:
        return None
    used = _used_file(analysis, path, offset)
    if used is not None:
        return Place(used, 0, 0)
    found = at(analysis, path, offset)
    return None if found is None or found.home is None else place_of(analysis, found.home)


def references(desk: Desk, path: Path, offset: int, with_home: bool = True) -> tuple[Place, ...]:
    """Return all places, in all specs that the text belongs to, where what stands at an offset is mentioned."""
    found: dict[Place, bool] = {}
    for analysis in desk.specs_with(path):
        here = at(analysis, path, offset)
        if here is None or here.home is None:
            continue
        for each in _alike(analysis, here):
            found[place_of(analysis, each.span)] = each.defines
    return tuple(sorted(place for place, defines in found.items() if with_home or not defines))


def renamable(desk: Desk, path: Path, offset: int) -> Place | None:
    """Return the word at an offset where it can be renamed."""
    analysis = desk.analysis(path)
    found = None if analysis is None else at(analysis, path, offset)
    if analysis is None or found is None or not _by_hand(analysis, found):
        return None
    return place_of(analysis, found.span)


def renamed(desk: Desk, path: Path, offset: int, name: str) -> Mapping[Path, list[Edit]]:
    """Return the edits, by file, that call what stands at an offset something else. Raises NotRenamed."""
    analysis = desk.analysis(path)
    found = None if analysis is None else at(analysis, path, offset)
    if analysis is None or found is None or not _by_hand(analysis, found):
        raise NotRenamed("only what the spec itself names can be renamed")
    if not _NAME.fullmatch(name):
        raise NotRenamed(f"{name!r} is no name: letters a to z, digits and _, a letter first")
    if name in RESERVED or name in UNITS:
        raise NotRenamed(f"'{name}' is a word of the language or a unit, and cannot be a name")
    edits: dict[Path, dict[Edit, None]] = {}
    specs = desk.specs_with(path)
    for spec in specs:
        here = at(spec, path, offset)
        for each in _alike(spec, here) if here is not None else ():
            place = place_of(spec, each.span)
            edits.setdefault(place.path, {})[Edit(place.start, place.end, name)] = None
    for spec in specs:
        _still_the_same(desk, spec, edits, name)
    return {file: sorted(made) for file, made in sorted(edits.items())}


def at(analysis: Analysis, path: Path, offset: int) -> Mention | None:
    """Return what is mentioned at an offset of a file."""
    try:
        name = path.relative_to(analysis.root).as_posix()
    except ValueError:
        return None
    return mention_at(mentions(analysis, name), offset)


def place_of(analysis: Analysis, span: Span) -> Place:
    """Return a stretch of a text as one of a file."""
    return Place(analysis.root / span.source, span.start, span.end)


def _used_file(analysis: Analysis, path: Path, offset: int) -> Path | None:
    from ringwright.lang.components.project import resolve

    name = path.relative_to(analysis.root).as_posix()
    file = analysis.compiled.project.files.get(name)
    for statement in file.statements if file is not None else ():
        if (
            isinstance(statement, nodes.Use)
            and statement.file.span.start <= offset <= statement.file.span.end
        ):
            target = resolve(name, statement.file.value)
            known = target is not None and target in analysis.compiled.project.files
            return analysis.root / target if target is not None and known else None
    return None


def _by_hand(analysis: Analysis, found: Mention) -> bool:
    if found.sort not in NAMED_BY_HAND or found.home is None:
        return False
    text = analysis.compiled.project.sources[found.home.source].text
    own = analysis.compiled.project.sources[found.span.source].text
    # What `formers` makes has its name from its station, and none of its own.
    return text[found.home.start : found.home.end] == own[found.span.start : found.span.end]


def _alike(analysis: Analysis, found: Mention) -> list[Mention]:
    """Return all mentions of what one mention names, in all texts of a spec.

    A former without a place stands at the station of its name: both names are one.
    """
    homes = {found.home}
    for component in analysis.tree.components.values():
        if component.kind.name == "former" and "at" not in component.properties and component.made is None:
            station = analysis.tree.files[component.file].stations.get(component.name) or next(
                (
                    analysis.tree.files[path].stations[component.name]
                    for path in analysis.tree.files[component.file].open
                    if component.name in analysis.tree.files[path].stations
                ),
                None,
            )
            pair = {component.span, analysis.tree.components[station].span} if station else set()
            if found.sort in NAMED_BY_HAND and pair & homes:
                homes |= pair
    by_value = found.sort in ("dimension", "property")
    return [
        each
        for path in analysis.compiled.project.files
        for each in mentions(analysis, path)
        if (each.name == found.name and each.sort in ("dimension", "property") if by_value else
            each.home in homes and each.sort in NAMED_BY_HAND)
    ]  # fmt: skip


def _still_the_same(desk: Desk, spec: Analysis, edits: Mapping[Path, Mapping[Edit, None]], name: str) -> None:
    """Try the edits on a spec. Raises NotRenamed where another thing would be meant somewhere, or a mistake made."""
    trial = Desk(desk.unit)
    before: dict[tuple[Path, int], None] = {}
    for path in spec.compiled.project.files:
        file = spec.root / path
        text = desk.text_at(file)
        if text is None:
            continue
        made = sorted(edits.get(file, {}))
        trial.put(file, text_of(applied(text.text, made), desk.unit))
        moved = 0
        for edit in made:
            before[file, edit.start + moved] = None
            moved += len(name) - (edit.end - edit.start)
    after = trial.analysis(spec.root / spec.main)
    if after is None or sum(f.severity == "error" for f in after.findings) > sum(
        f.severity == "error" for f in spec.findings
    ):
        raise NotRenamed(f"'{name}' is taken here, or would hide another name: the spec would have a mistake")
    first = next(iter(before), None)
    found = at(after, *first) if first is not None else None
    if found is not None:
        now = {(after.root / each.span.source, each.span.start) for each in _alike(after, found)}
        if now != set(before):
            raise NotRenamed(f"'{name}' would be taken for something else where it is used")
