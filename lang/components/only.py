"""A spec narrowed to what is asked for and all that it leans on, so that the rest may still be half written."""

from collections.abc import Iterable, Iterator, Mapping
from typing import NamedTuple

from ringwright.lang.components.names import (
    Dimension,
    LetHere,
    Meaning,
    Scope,
    Unnamed,
    Whole,
    let_of,
    let_of_file,
    look_up,
    names_of,
    station_of,
)
from ringwright.lang.components.passing import Passing
from ringwright.lang.components.ranges import members, sections
from ringwright.lang.components.tree import Component, Tree
from ringwright.lang.diagnostics.diagnostic import Diagnostic
from ringwright.lang.source import Span
from ringwright.lang.syntax import nodes

ALWAYS = ("model", "cutting", "printing")
SECTIONS = ("over", "at")
"""Properties that name rows of stations and formers."""


class Narrowed(NamedTuple):
    """A tree with what is asked for and what it leans on."""

    tree: Tree

    def concerns(self, finding: Diagnostic) -> bool:
        """Whether a finding lies in what was kept, or names it; what lies elsewhere is left aside."""
        if finding.span is None:
            return True
        kept = [component.whole for component in self.tree.components.values()]
        kept += [component.made.recipe for component in self.tree.components.values() if component.made]
        kept += [let.span for file in self.tree.files.values() for let in file.lets.values()]
        places = (finding.span, *(label.span for label in finding.labels))
        return any(whole.holds(place) for whole in kept for place in places)


def component_of(tree: Tree, name: str) -> str | None:
    """Return the component that a name of a component or of a part means: 'cowl.mid.1' is a piece of 'cowl.mid'."""
    while name:
        if name in tree.components:
            return name
        name = name.rpartition(".")[0]
    return None


def narrow(tree: Tree, names: Iterable[str]) -> Narrowed:
    """Keep the components of those names (all of them known) and everything they lean on."""
    wanted = tuple(id for id in (component_of(tree, name) for name in names) if id is not None)
    passing = Passing(tree)
    skins = passing.skins_by_former()
    kept: set[str] = set()
    lets: set[tuple[str, str, str]] = set()
    links = [
        (scope, statement, set(_reached(tree, statement.condition, scope)))
        for scope, statement in _givens(tree)
    ]
    waiting: list[str | LetHere] = [
        *wanted,
        *(c.id for c in tree.components.values() if c.kind.name in ALWAYS),
    ]
    while waiting:
        current = waiting.pop()
        if isinstance(current, LetHere):
            key = (current.owner, current.file, current.let.name)
            if key not in lets:
                lets.add(key)
                waiting.extend(_meant(tree, current.let.value, current.scope))
            continue
        family = _family(tree, current)
        for id in family:
            if id in kept:
                continue
            kept.add(id)
            waiting.extend(_leans_on(tree, tree.components[id], skins, passing))
        for _, _, reached in links:
            if reached & kept and not reached <= kept:
                waiting.extend(sorted(reached - kept))
    return Narrowed(_only(tree, kept, lets))


def _family(tree: Tree, id: str) -> Iterator[str]:
    """Yield a component, what it stands in and all that stands in that: a stack is solved as a whole."""
    root = id
    while tree.components[root].parent:
        root = tree.components[root].parent
    inside = root + "."
    for other, component in tree.components.items():
        # The stations of a table of offsets have names of their own.
        if other == root or other.startswith(inside) or component.parent == root:
            yield other


def _leans_on(
    tree: Tree, component: Component, skins: Mapping[str, tuple[str, ...]], passing: Passing
) -> Iterator[str | LetHere]:
    """Yield what a component leans on; skins: those that are bent round each former, which is cut inside them."""
    scope = Scope(component.id, component.file)
    for property in component.properties.values():
        yield from _meant(tree, property.value, scope, property)
    for name in component.lets:
        yield let_of(component, name)
    statements: tuple[nodes.Require | nodes.Given, ...] = (*component.requires, *component.givens)
    for statement in statements:
        yield from _meant(tree, statement.condition, scope)
    if component.table is not None:
        for row in component.table.rows:
            for column, cell in zip(component.table.columns, row, strict=True):
                if cell.value is not None and column.name != "station":
                    yield from _meant(tree, cell.value, scope)
    if component.kind.name == "former" and "at" not in component.properties:
        station = station_of(tree, component)
        if station is not None:
            yield station
    yield from skins.get(component.id, ())
    yield from passing.formers_in(component)
    yield from passing.may_stand_in(component)
    if component.kind.name in ("tail", "fin") and "wing" not in component.properties:
        yield from (id for id, other in tree.components.items() if other.kind.name == "wing")
    for name in SECTIONS:
        if name in component.properties and component.kind.name != "former":
            yield from sections(tree, component, component.properties[name].value)


def with_members(tree: Tree, names: Iterable[str]) -> tuple[str, ...]:
    """Return the names, and for each group of formers those of its formers."""
    found = []
    for name in names:
        id = component_of(tree, name)
        # The component itself stays out: where one piece of it is asked for, the others are not.
        found += [name, *(other for other in (() if id is None else members(tree, id)) if other != id)]
    return tuple(dict.fromkeys(found))


def _meant(
    tree: Tree, node: nodes.Expression, scope: Scope, property: nodes.Property | None = None
) -> Iterator[str | LetHere]:
    """Yield the components and named values that an expression names; a station may be meant where a place is."""
    for name in (*names_of(node), *_tables_of(node)):
        for places in (False, True) if property is not None else (False,):
            found = _found(tree, scope, name, places)
            if isinstance(found, LetHere):
                yield found
                if found.owner:
                    yield found.owner
            elif isinstance(found, Dimension | Whole):
                yield found.id
            elif len(name.parts) > 1:
                # A line of the offsets is no dimension: fuselage.longeron.
                yield from _whole(_found(tree, scope, nodes.Name(name.parts[:1], name.span), False))


def _whole(found: Meaning | None) -> Iterator[str]:
    if isinstance(found, Whole):
        yield found.id


def _tables_of(node: nodes.Expression) -> Iterator[nodes.Name]:
    """Yield the tables whose lines an expression looks up: the `fuselage` of `fuselage.half(x)`."""
    waiting: list[object] = [node]
    while waiting:
        current = waiting.pop()
        if isinstance(current, nodes.Call) and len(current.function.parts) > 1:
            yield nodes.Name(current.function.parts[:1], current.function.span)
        if isinstance(current, tuple):
            waiting.extend(item for item in current if isinstance(item, tuple) and not isinstance(item, Span))


def _found(tree: Tree, scope: Scope, name: nodes.Name, places: bool) -> Meaning | None:
    try:
        return look_up(tree, scope, name, places)
    except Unnamed:
        return None


def _givens(tree: Tree) -> Iterator[tuple[Scope, nodes.Given]]:
    for file in tree.files.values():
        for given in file.givens:
            yield Scope("", file.path), given
    for component in tree.components.values():
        for given in component.givens:
            yield Scope(component.id, component.file), given


def _reached(tree: Tree, node: nodes.Expression, scope: Scope) -> Iterator[str]:
    waiting: list[str | LetHere] = list(_meant(tree, node, scope))
    seen: set[tuple[str, str, str]] = set()
    while waiting:
        current = waiting.pop()
        if isinstance(current, str):
            yield current
        elif (key := (current.owner, current.file, current.let.name)) not in seen:
            seen.add(key)
            waiting.extend(_meant(tree, current.let.value, current.scope))


def _only(tree: Tree, kept: set[str], lets: set[tuple[str, str, str]]) -> Tree:
    """Return the tree with these components and named values alone; requirements stay where all they name does."""
    components = {id: component for id, component in tree.components.items() if id in kept}
    files = {}
    for path, file in tree.files.items():
        scope = Scope("", path)

        def holds(statement: nodes.Require | nodes.Given, scope: Scope = scope) -> bool:
            reached = set(_reached(tree, statement.condition, scope))
            known = [_found(tree, scope, name, False) for name in names_of(statement.condition)]
            return bool(reached) and reached <= kept and None not in known

        files[path] = file._replace(
            lets={
                name: let
                for name, let in file.lets.items()
                if ("", path, name) in lets or _is_let_kept(tree, file.path, name, kept)
            },
            requires=tuple(require for require in file.requires if holds(require)),
            givens=tuple(given for given in file.givens if holds(given)),
        )
    return tree._replace(components=components, files=files)


def _is_let_kept(tree: Tree, path: str, name: str, kept: set[str]) -> bool:
    """Whether a named value of a file leans on kept components alone, so that what is required of it can be judged."""
    here = let_of_file(tree.files[path], name)
    known = [_found(tree, here.scope, inner, False) for inner in names_of(here.let.value)]
    return None not in known and set(_reached(tree, here.let.value, here.scope)) <= kept
