"""Names that hide others further out: noted, for the builder may have meant those."""

from collections.abc import Iterable

from ringwright.lang.components.tree import Component, FileScope, Tree
from ringwright.lang.diagnostics.diagnostic import Diagnostic, Label
from ringwright.lang.source import Span


def hidden(tree: Tree) -> Iterable[Diagnostic]:
    """Yield a note for each named value or component of a file that hides one further out."""
    for component in tree.components.values():
        if component.made:
            continue
        for let in component.lets.values():
            yield from _note_hidden(let.name, let.name_span, _further_out(tree, component, let.name))
    for file in tree.files.values():
        own = [(name, tree.components[id].span) for name, id in file.names.items()]
        own += [(let.name, let.name_span) for let in file.lets.values()]
        for name, span in own:
            yield from _note_hidden(name, span, _in_used(tree, file, name))
    yield from _behind_stations(tree)


def _behind_stations(tree: Tree) -> Iterable[Diagnostic]:
    """Yield a note for each named value that a station hides where a place is wanted."""
    inside = (c for c in tree.components.values() if not c.made)
    lets = [(file.path, let) for file in tree.files.values() for let in file.lets.values()]
    lets += [(component.file, let) for component in inside for let in component.lets.values()]
    for path, let in lets:
        file = tree.files[path]
        near = (tree.files[other].stations for other in (path, *file.open))
        station = next((stations[let.name] for stations in near if let.name in stations), None)
        if station is not None:
            yield Diagnostic(
                "hidden-name",
                "note",
                f"where a place is wanted, '{let.name}' is the station, not this value",
                let.name_span,
                (Label(tree.components[station].span, "the station"),),
                "give the value another name",
            )


def _note_hidden(name: str, span: Span, hidden: Span | None) -> Iterable[Diagnostic]:
    if hidden is not None:
        yield Diagnostic(
            "hidden-name",
            "note",
            f"this '{name}' hides another '{name}' further out",
            span,
            (Label(hidden, "this one is not meant here any more"),),
        )


def _further_out(tree: Tree, component: Component, name: str) -> Span | None:
    above = tree.components.get(component.parent)
    while above is not None:
        if name in above.lets:
            return above.lets[name].name_span
        above = None if above.made else tree.components.get(above.parent)
    file = tree.files[component.file]
    return _top_span(tree, file, name) or _in_used(tree, file, name)


def _in_used(tree: Tree, file: FileScope, name: str) -> Span | None:
    found = (_top_span(tree, tree.files[path], name) for path in file.open)
    return next((span for span in found if span is not None), None)


def _top_span(tree: Tree, file: FileScope, name: str) -> Span | None:
    if name in file.lets:
        return file.lets[name].name_span
    return tree.components[file.names[name]].span if name in file.names else None
