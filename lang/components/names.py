"""What a dotted name means where it stands: own properties, then outward, then the file, then the files it uses."""

from collections.abc import Callable, Collection, Iterator
from typing import NamedTuple

from ringwright.lang.components.tree import Component, FileScope, Tree, dimensions_of
from ringwright.lang.diagnostics.diagnostic import Diagnostic, Label
from ringwright.lang.diagnostics.suggest import Hints
from ringwright.lang.source import Span
from ringwright.lang.syntax import nodes


class Scope(NamedTuple):
    """Where a name stands: in a component (its id), or at the top of a file (id '')."""

    id: str
    file: str


class Dimension(NamedTuple):
    """A property or solved name of a component."""

    id: str
    name: str


class LetHere(NamedTuple):
    """A named value; owner is the id of the component it stands in, or '' for the file. scope: where it is read."""

    owner: str
    file: str
    let: nodes.Let
    scope: Scope


def let_of(component: Component, name: str) -> LetHere:
    """Return a named value of a component; what a `make` gives to a recipe is read where the `make` stands."""
    made = component.made
    scope = Scope(component.id, component.file)
    if made is not None and name in made.arguments:
        scope = Scope(made.owner, made.file)
    return LetHere(component.id, component.file, component.lets[name], scope)


def let_of_file(file: FileScope, name: str) -> LetHere:
    """Return a named value at the top of a file."""
    return LetHere("", file.path, file.lets[name], Scope("", file.path))


class Whole(NamedTuple):
    """A component itself."""

    id: str


Meaning = Dimension | LetHere | Whole


class Unnamed(Exception):
    """A name that means nothing here; carries the finding.

    name: the part of it that nothing has. candidates: gives what could have been meant, None where nothing could.
    """

    def __init__(
        self, finding: Diagnostic, name: str = "", candidates: Callable[[], Collection[str]] | None = None
    ) -> None:
        super().__init__(finding.message)
        self._finding = finding
        self._name = name
        self._candidates = candidates

    def told(self, hints: Hints) -> Diagnostic:
        """Return the finding, with the name that was probably meant."""
        near = hints.near(self._name, self._candidates) if self._candidates else None
        return self._finding._replace(help=f"did you mean '{near}'?") if near else self._finding


def full_name(meaning: Dimension | LetHere, tree: Tree) -> str:
    """Return the name by which the solver, `why` and the manifest know a dimension or a let."""
    if isinstance(meaning, Dimension):
        return f"{meaning.id}.{meaning.name}"
    if meaning.owner:
        return f"{meaning.owner}.{meaning.let.name}"
    return tree.files[meaning.file].prefix + meaning.let.name


def look_up(tree: Tree, scope: Scope, name: nodes.Name, places: bool = False) -> Meaning:
    """Return what `name` means in `scope`; stations come first where a place is wanted. Raises Unnamed."""
    first, rest = name.parts[0], name.parts[1:]
    found = _first(tree, scope, first, places, name.span)
    if isinstance(found, FileScope):
        if not rest:
            raise Unnamed(
                _finding(
                    "not-a-value",
                    f"'{first}' stands for a whole file",
                    name.span,
                    help=f"write '{first}.' and the name that you want of it",
                )
            )
        inner = _in_file(tree, found, rest[0], places)
        if inner is None:
            file = found
            raise _unknown(rest[0], lambda: _names_of_file(file), name.span, f"in '{file.path}'")
        found, rest = inner, rest[1:]
    for part in rest:
        found = _within(tree, found, part, name.span)
    return found


def let_further_out(tree: Tree, scope: Scope, name: str) -> Span | None:
    """Return where a named value stands that a component of its name, further in, hides in a scope."""
    id, file = scope.id, tree.files[scope.file]
    while id:
        component = tree.components[id]
        if name in component.lets:
            return component.lets[name].name_span
        id = "" if component.made else component.parent
    for path in (file.path, *file.open):
        if name in tree.files[path].lets:
            return tree.files[path].lets[name].name_span
    return None


def names_in(component: Component) -> set[str]:
    """Return all dimensions that a component has: its properties, solved names and measures."""
    return set(dimensions_of(component.kind))


def names_of(node: nodes.Expression) -> Iterator[nodes.Name]:
    """Yield all names in an expression (functions apart), without recursion."""
    waiting: list[object] = [node]
    while waiting:
        current = waiting.pop()
        match current:
            case nodes.Name():
                yield current
            case nodes.Call():
                waiting.extend(argument.value for argument in reversed(current.arguments))
            case nodes.Shape():
                waiting.append(current.points)
            case nodes.ListOf() | nodes.Group():
                waiting.extend(reversed(current.items))
            case nodes.Operation() | nodes.Compare():
                waiting.extend((current.right, current.left))
            case nodes.Sign() | nodes.Measured():
                waiting.append(current.operand)
            case nodes.Size() | nodes.Range():
                waiting.extend((current.second, current.first))


def _first(tree: Tree, scope: Scope, name: str, places: bool, span: Span) -> Meaning | FileScope:
    file = tree.files[scope.file]
    if places and (station := _station(tree, file, name)):
        return Whole(station)
    id, innermost = scope.id, True
    while id:
        component = tree.components[id]
        if (found := _own(tree, component, name, innermost)) is not None:
            return found
        # What a recipe made knows the file of the recipe, not what it was made in.
        id, innermost = "" if component.made else component.parent, False
    if (found := _in_file(tree, file, name, places)) is not None:
        return found
    if name in file.aliases:
        return tree.files[file.aliases[name]]
    hits = [
        (path, hit)
        for path in file.open
        if (hit := _in_file(tree, tree.files[path], name, places)) is not None
    ]
    if len(hits) > 1:
        raise Unnamed(
            _finding(
                "ambiguous-name",
                f"'{name}' is named in {' and in '.join(repr(path) for path, _ in hits)}",
                span,
                help=f'bring one of them in under another name: use "{hits[0][0]}" as a word of yours',
            )
        )
    if hits:
        return hits[0][1]
    raise _unknown(name, lambda: _names_around(tree, scope), span, "here")


def _own(tree: Tree, component: Component, name: str, innermost: bool) -> Meaning | None:
    if name in component.lets:
        return let_of(component, name)
    if name in component.children:
        return Whole(f"{component.id}.{name}")
    # A property that an enclosing component merely could have does not hide a name further out.
    if name in component.properties or name in {solved.name for solved in component.kind.solved}:
        return Dimension(component.id, name)
    if innermost and name in {m.name for m in component.kind.forward}:
        return Dimension(component.id, name)
    return None


def _in_file(tree: Tree, file: FileScope, name: str, places: bool) -> Meaning | None:
    if places and name in file.stations:
        return Whole(file.stations[name])
    if name in file.lets:
        return let_of_file(file, name)
    if name in file.names:
        return Whole(file.names[name])
    if name in file.stations:
        return Whole(file.stations[name])
    return None


def _station(tree: Tree, file: FileScope, name: str) -> str | None:
    for path in (file.path, *file.open):
        if name in tree.files[path].stations:
            return tree.files[path].stations[name]
    return None


def station_of(tree: Tree, component: Component) -> str | None:
    """Return the id of the station of a component's name: of its file and those that this uses, or of where it was made."""
    current: Component | None = component
    while current is not None:
        for path in (current.file, *((current.made.file,) if current.made else ())):
            if found := _station(tree, tree.files[path], component.name):
                return found
        current = tree.components.get(current.parent)
    return None


def _within(tree: Tree, found: Meaning, part: str, span: Span) -> Meaning:
    if not isinstance(found, Whole):
        what = found.name if isinstance(found, Dimension) else found.let.name
        raise Unnamed(_finding("unknown-name", f"'{what}' is a value: it has no '{part}'", span))
    component = tree.components[found.id]
    if part in component.children:
        return Whole(f"{component.id}.{part}")
    if part in component.lets:
        return let_of(component, part)
    if part in names_in(component):
        return Dimension(component.id, part)
    raise _unknown(
        part,
        lambda: {*names_in(component), *component.children, *component.lets},
        span,
        f"in {component.kind.name} '{component.name}'",
    )


def _names_of_file(file: FileScope) -> set[str]:
    return {*file.names, *file.stations, *file.lets}


def _names_around(tree: Tree, scope: Scope) -> set[str]:
    names: set[str] = set()
    id = scope.id
    while id:
        component = tree.components[id]
        names |= {*component.children, *component.lets, *names_in(component)}
        id = "" if component.made else component.parent
    file = tree.files[scope.file]
    names |= {*_names_of_file(file), *file.aliases}
    for path in file.open:
        names |= _names_of_file(tree.files[path])
    return names


def _unknown(name: str, candidates: Callable[[], Collection[str]], span: Span, where: str) -> Unnamed:
    return Unnamed(_finding("unknown-name", f"nothing {where} is called '{name}'", span), name, candidates)


def _finding(
    code: str, message: str, span: Span, labels: tuple[Label, ...] = (), help: str = ""
) -> Diagnostic:
    return Diagnostic(code, "error", message, span, labels, help)
