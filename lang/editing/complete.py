"""What may be written at the cursor: kinds, properties, words, names and units, by what fits there."""

import re
from collections.abc import Iterable, Iterator
from pathlib import Path, PurePosixPath
from typing import NamedTuple

from ringwright.lang.components.names import Scope, Unnamed, Whole, look_up
from ringwright.lang.components.tree import Component, entries_of, find_property
from ringwright.lang.diagnostics.catalogue import CATALOGUE
from ringwright.lang.editing.analysis import Analysis
from ringwright.lang.editing.cursor import Cursor, cursor
from ringwright.lang.editing.desk import Desk
from ringwright.lang.kinds import NAMES, kind_of, made_kind
from ringwright.lang.kinds.kind import Kind, Property
from ringwright.lang.reference import call, default_of, takes
from ringwright.lang.source import Span
from ringwright.lang.syntax import nodes
from ringwright.lang.syntax.statements import STATEMENTS
from ringwright.lang.units import NUMBER, UNITS
from ringwright.lang.units import name as dimension_name
from ringwright.lang.values.functions import FUNCTIONS


class Offer(NamedTuple):
    """One thing that may be written.

    sort: 'kind', 'property', 'word', 'unit', 'function', 'component', 'station', 'value', 'statement', 'code' or 'file'.
    insert: what is written in place of the characters from `start` to the cursor. rank: by which offers are sorted.
    """

    label: str
    sort: str
    start: int
    insert: str
    detail: str = ""
    doc: str = ""
    rank: int = 1


_AFTER_NUMBER = re.compile(r"(?:[0-9]|[)\]])[ \t]*$")
_DOTTED = re.compile(r"((?:[A-Za-z][A-Za-z0-9_]*[ \t]*\.[ \t]*)+)$")
_VALUE = re.compile(r"([A-Za-z]\w*)[ \t]*=(?!=)(.*)$", re.DOTALL)
_HEADED = re.compile(r"(let|require|given)\b")
_WITH_PLACES = ("place", "point3", "where", "stations", "sections")
_WORDS = {
    "flag": ("yes", "no"),
    "seam": ("butt", "lap", "flap", "strap", "scarf"),
    "edges": ("flush", "tab", "lap"),
}
_SHAPED = ("shape", "sections")
_ALONE = ("word", "flag", "text", "stock", "element", "seam", "edges", "line")
"""Types of properties that take nothing but their own words."""
_ENOUGH = 200


def completions(desk: Desk, path: Path, offset: int) -> tuple[Offer, ...]:
    """Return what may be written at an offset of a text, the likeliest first."""
    text, analysis = desk.text_at(path), desk.analysis(path)
    if text is None or analysis is None:
        return ()
    here = cursor(text.text, offset)
    if here.asleep:
        return ()
    if here.quoted:
        return tuple(_files(analysis, path, text.text, offset))
    seen: dict[tuple[str, str], Offer] = {}
    for offer in _offers(analysis, path.relative_to(analysis.root).as_posix(), here):
        if offer.label != here.word or offer.sort == "unit":
            seen.setdefault((offer.label, offer.sort), offer)
    return tuple(sorted(seen.values(), key=lambda offer: (offer.rank, offer.label)))


def _offers(analysis: Analysis, path: str, here: Cursor) -> Iterator[Offer]:
    statement = here.statement
    kind = _kind_here(here)
    if not statement and not here.brackets:
        yield from _statements(analysis, path, here, kind)
        return
    first = statement.split(None, 1)[0]
    if first == "accept":
        warnings = [(code, entry) for code, entry in CATALOGUE.items() if entry.severity == "warning"]
        yield from (Offer(code, "code", here.start, code, entry.meaning) for code, entry in warnings)
    elif first == "make" and len(statement.split()) == 1:
        yield from _recipes(analysis, path, here)
    elif kind_of(first) is not None and len(statement.split()) == 1 and "=" not in statement:
        if first == "former":
            yield from _stations(analysis, here)
    else:
        yield from _values(analysis, path, here, kind)


def _kind_here(here: Cursor) -> Kind | None:
    if not here.blocks:
        return None
    inner = here.blocks[-1]
    return made_kind() if inner.kind in ("recipe", "make") else kind_of(inner.kind)


# -- statements -----------------------------------------------------------------------------------


def _statements(analysis: Analysis, path: str, here: Cursor, kind: Kind | None) -> Iterator[Offer]:
    """Yield what may begin a statement where the cursor stands."""
    inner = here.blocks[-1].kind if here.blocks else ""
    component = _component_here(analysis, path, here)
    if inner == "make":
        yield from _parameters(analysis, here)
        return
    if kind is not None and inner != "recipe":
        given = set(component.properties) if component is not None else set()
        for property in kind.properties:
            if property.name in given:
                continue
            rank = 0 if property.required else 1
            detail = f"{takes(property)}; default: {default_of(kind, property)}".replace("`", "").replace(
                "*", ""
            )
            doc = f"{property.doc}\n\n{property.example}"
            yield Offer(property.name, "property", here.start, f"{property.name} = ", detail, doc, rank)
    where = "" if inner == "recipe" else inner
    for name in NAMES:
        other = kind_of(name)
        if other is not None and where in other.inside:
            head = f"{name} " if not other.alone else f"{name} {{"
            yield Offer(name, "kind", here.start, head, other.doc, other.example, 2)
    words = [each for each in STATEMENTS if not (here.blocks and each.word in ("use", "recipe"))]
    for each in words:
        if each.word != "accept" or here.blocks:
            yield Offer(each.word, "statement", here.start, f"{each.word} ", each.form, each.doc, 3)


def _parameters(analysis: Analysis, here: Cursor) -> Iterator[Offer]:
    """Yield the parameters of the recipe that a `make` names."""
    wanted = here.blocks[-1].recipe.rpartition(".")[2].strip()
    for file in analysis.compiled.project.files.values():
        for statement in file.statements:
            if isinstance(statement, nodes.Recipe) and statement.name == wanted:
                for each in statement.parameters:
                    insert = f"{each.name} = "
                    yield Offer(each.name, "property", here.start, insert, f"of {statement.name}")
    yield Offer("hand", "property", here.start, "hand = ", "left, right or both")


def _recipes(analysis: Analysis, path: str, here: Cursor) -> Iterator[Offer]:
    uses = (*analysis.compiled.project.uses.get(path, ()), (None, path))
    for alias, target in uses:
        for statement in analysis.compiled.project.files[target].statements:
            if isinstance(statement, nodes.Recipe):
                word = f"{alias}.{statement.name}" if alias else statement.name
                listed = ", ".join(each.name for each in statement.parameters)
                yield Offer(word, "component", here.start, f"{word} ", f"recipe({listed})", rank=0)


# -- values ---------------------------------------------------------------------------------------


def _values(analysis: Analysis, path: str, here: Cursor, kind: Kind | None) -> Iterator[Offer]:
    """Yield what may stand where a value is being written."""
    match = None if _HEADED.match(here.statement) else _VALUE.match(here.statement)
    property = find_property(kind, match[1]) if match else None
    written = match[2] if match else here.statement
    dotted = _DOTTED.search(here.statement)
    if dotted is not None:
        yield from _members(analysis, path, here, tuple(re.findall(r"\w+", dotted[1])))
        return
    if _AFTER_NUMBER.search(written):
        yield from _units(here, property)
        return
    if match is None and not _HEADED.match(here.statement):
        return  # a name of the builder's own
    first = not written.strip()
    if property is not None and first:
        yield from _words(analysis, path, here, property)
    if property is not None and property.type in _ALONE:
        return
    shaped = property is not None and property.type in _SHAPED
    for function in FUNCTIONS.values():
        if function.gives == "shape" and property is not None and not shaped:
            continue
        insert = f"{function.name}{'[' if function.listed else '('}"
        rank = 1 if shaped and function.gives == "shape" else 4
        yield Offer(function.name, "function", here.start, insert, call(function), function.doc, rank)
    if property is not None and property.type in _WITH_PLACES:
        yield from _stations(analysis, here)
    yield from _names(analysis, path, here)


def _words(analysis: Analysis, path: str, here: Cursor, property: Property) -> Iterator[Offer]:
    """Yield what a property alone takes."""
    for word in (*property.choices, *_WORDS.get(property.type, ())):
        if property.type != "where":
            yield Offer(word, "word", here.start, word, property.doc, rank=0)
    if property.type in ("amount", "place") and not property.required:
        yield Offer("auto", "word", here.start, "auto", "the solver finds it", rank=3)
    components = analysis.tree.components.values()
    if property.type == "stock":
        for other in components:
            if other.kind.name == "stock" and (word := _called(analysis, path, other)):
                yield Offer(word, "component", here.start, word, "stock", rank=0)
    elif property.type == "element":
        component = _component_here(analysis, path, here)
        beside = [
            c
            for c in components
            if component is not None and c.parent == component.parent and c is not component
        ]
        yield from (Offer(c.name, "component", here.start, c.name, c.kind.name, rank=0) for c in beside)
    elif property.type == "line":
        for table in (c for c in components if c.table is not None):
            for line in _lines(table):
                yield Offer(
                    f"{table.name}.{line}",
                    "value",
                    here.start,
                    f"{table.name}.{line}",
                    "a line of the offsets",
                    rank=0,
                )


def _stations(analysis: Analysis, here: Cursor) -> Iterator[Offer]:
    for component in analysis.tree.components.values():
        if component.kind.name == "station":
            known = analysis.value(f"{component.id}.x")
            detail = f"x = {known.marked}" if known else "station"
            yield Offer(component.name, "station", here.start, component.name, detail, rank=0)


def _names(analysis: Analysis, path: str, here: Cursor) -> Iterator[Offer]:
    """Yield the names that can be seen from where the cursor stands."""
    tree = analysis.tree
    component: Component | None = _component_here(analysis, path, here)
    rank = 1
    while component is not None:
        own = [p.name for p in component.kind.properties] + [s.name for s in component.kind.solved]
        for name in (*component.lets, *component.children):
            yield _named(analysis, here, f"{component.id}.{name}", name, rank)
        for name in own if rank == 1 else ():
            known = analysis.value(f"{component.id}.{name}")
            if known is not None:
                yield Offer(name, "value", here.start, name, known.marked, rank=2)
        component = tree.components.get(component.parent) if component.made is None else None
        rank += 1
    file = tree.files.get(path)
    if file is None:
        return
    for scope in (file, *(tree.files[other] for other in file.open)):
        for word in (*scope.lets, *scope.names, *scope.stations):
            id = scope.stations.get(word) or scope.names.get(word) or scope.prefix + word
            yield _named(analysis, here, id, word, rank)
    for alias in file.aliases:
        yield Offer(alias, "component", here.start, alias, "a used file", rank=rank)


def _named(analysis: Analysis, here: Cursor, id: str, word: str, rank: int) -> Offer:
    component = analysis.tree.components.get(id)
    if component is not None:
        return Offer(word, "component", here.start, word, component.kind.name, rank=rank + 1)
    known = analysis.value(id)
    return Offer(word, "value", here.start, word, known.marked if known else "a value", rank=rank)


def _members(analysis: Analysis, path: str, here: Cursor, parts: tuple[str, ...]) -> Iterator[Offer]:
    """Yield what may stand behind a dot."""
    tree = analysis.tree
    file = tree.files.get(path)
    if file is None:
        return
    if len(parts) == 1 and parts[0] in file.aliases:
        scope = tree.files[file.aliases[parts[0]]]
        for word in (*scope.names, *scope.stations, *scope.lets):
            yield _named(analysis, here, scope.names.get(word) or scope.prefix + word, word, 0)
        return
    component = _component_here(analysis, path, here)
    inside = Scope(component.id if component else "", path)
    try:
        found = look_up(tree, inside, nodes.Name(parts, Span(path, 0, 0)), False)
    except (Unnamed, KeyError):
        return
    if not isinstance(found, Whole):
        return
    target = tree.components[found.id]
    for child in target.children:
        yield Offer(
            child, "component", here.start, child, tree.components[f"{target.id}.{child}"].kind.name, rank=0
        )
    for let in target.lets:
        yield _named(analysis, here, f"{target.id}.{let}", let, 0)
    for line in _lines(target):
        yield Offer(line, "value", here.start, line, "a line of the offsets", rank=0)
    for each in entries_of(target.kind):
        if isinstance(each, Property) and each.type not in ("amount", "place", "count"):
            continue
        known = analysis.value(f"{target.id}.{each.name}")
        yield Offer(
            each.name,
            "value",
            here.start,
            each.name,
            known.marked if known else "",
            each.doc,
            1 if known else 2,
        )


def _units(here: Cursor, property: Property | None) -> Iterator[Offer]:
    """Yield the units, those that fit first."""
    blank = "" if here.statement.endswith((" ", "\t")) else " "
    wanted = (property.dimension, *property.also) if property is not None else ()
    exact = property is not None and property.type in ("amount", "place")
    for number, (name, unit) in enumerate(UNITS.items()):
        fits = not exact or unit.dimension in wanted or NUMBER in wanted
        if fits or here.word:
            detail = dimension_name(unit.dimension)
            yield Offer(name, "unit", here.start, blank + name, detail, rank=number if fits else 100 + number)


# -- what stands around ---------------------------------------------------------------------------


def _files(analysis: Analysis, path: Path, text: str, offset: int) -> Iterator[Offer]:
    """Yield the files that a `use`, or a function that draws from a file, may name."""
    start = text.rindex('"', 0, offset) + 1
    before = text[text.rfind("\n", 0, start) + 1 : start - 1]
    used = before.lstrip().startswith("use")
    drawn = re.search(r"(traced|aerofoil_file)\([ \t]*$", before)
    if not used and not drawn:
        return
    wanted = (".wright",) if used else ((".svg",) if drawn and drawn[1] == "traced" else (".dat", ".txt"))
    folder = path.parent / PurePosixPath(text[start:offset]).parent
    try:
        entries = sorted(folder.resolve().iterdir()) if folder.resolve().is_relative_to(analysis.root) else []
    except OSError:
        return
    for entry in entries[:_ENOUGH]:
        name = (PurePosixPath(text[start:offset]).parent / entry.name).as_posix()
        if entry.suffix in wanted and entry != path:
            yield Offer(name, "file", start, name)
        elif entry.is_dir() and not entry.name.startswith("."):
            yield Offer(f"{name}/", "file", start, f"{name}/")


def _component_here(analysis: Analysis, path: str, here: Cursor) -> Component | None:
    """Return the component whose block the cursor stands in, as far as it can be told while that is being written."""
    braces = [block.brace for block in here.blocks]
    if not braces:
        return None
    around = [
        c
        for c in analysis.tree.components.values()
        if c.whole.source == path and c.whole.start <= braces[-1] < c.whole.end
    ]
    exact = max(around, key=lambda component: component.whole.start, default=None)
    file = analysis.tree.files.get(path)
    words = [block.name for block in here.blocks]
    named = (
        analysis.tree.components.get((file.prefix if file else "") + ".".join(words)) if all(words) else None
    )
    if exact is not None and here.blocks[-1].name in ("", exact.name):
        return exact
    return named or exact


def _called(analysis: Analysis, path: str, component: Component) -> str:
    """Return the word by which a text names a component at the top of a file, '' where it cannot."""
    file = analysis.tree.files.get(path)
    if file is None or component.parent:
        return ""
    if component.file == file.path or component.file in file.open:
        return component.name
    return next(
        (f"{alias}.{component.name}" for alias, target in file.aliases.items() if target == component.file),
        "",
    )


def _lines(component: Component) -> Iterable[str]:
    from ringwright.lang.components.table import own_lines

    if component.table is None:
        return ()
    names = [column.name for column in component.table.columns]
    return (*(name for name in ("top", "bottom", "half") if name in names), *own_lines(component.table))
