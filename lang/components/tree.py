"""The components of a spec, named and put under one another. Nothing is evaluated yet."""

from collections.abc import Iterable, Mapping
from typing import NamedTuple

from ringwright.lang.components.project import Project
from ringwright.lang.components.recipes import Made, Recipes
from ringwright.lang.components.table import cell_value, column_faults
from ringwright.lang.diagnostics.diagnostic import Diagnostic, Label
from ringwright.lang.diagnostics.suggest import suggest
from ringwright.lang.kinds import NAMES, kind_of, made_kind
from ringwright.lang.kinds.kind import Kind, Measure, Property, Solved
from ringwright.lang.source import Source, Span
from ringwright.lang.syntax import nodes

MOST_COMPONENTS = 10_000


class Component(NamedTuple):
    """One component.

    id: its path in the main file ('cowl.mid'); one of a used file keeps its own name where it can ('lib/shop:board'
    where the spec has a board, too). name: as written, or made
    ('hole_1'). parent: id of the one it stands in, '' for the file. file: path of the text it stands in.
    span: of its name; whole: of all of it.
    properties: by name. lets: by name. children: names of those in it, in the order of the text.
    table: of offsets, where the kind takes one. made: how it came from a recipe, None where it stands in the text itself.
    """

    id: str
    name: str
    kind: Kind
    parent: str
    file: str
    span: Span
    whole: Span
    properties: Mapping[str, nodes.Property]
    lets: Mapping[str, nodes.Let]
    children: tuple[str, ...]
    requires: tuple[nodes.Require, ...]
    givens: tuple[nodes.Given, ...]
    accepts: tuple[nodes.Accept, ...]
    made: Made | None = None
    table: nodes.Table | None = None


def dimensions_of(kind: Kind) -> frozenset[str]:
    """Return all dimensions that a component of a kind has: its properties, solved names and measures."""
    entries: tuple[Property | Solved | Measure, ...] = (*kind.properties, *kind.solved, *kind.forward)
    return frozenset(entry.name for entry in entries)


def property_of(kind: Kind, name: str) -> Property:
    """Return a property of a kind, by its name, which it has."""
    return next(property for property in kind.properties if property.name == name)


class FileScope(NamedTuple):
    """One text: its names at the top, and the texts whose names it may use.

    names: ids of its components by name; stations stand apart. open: paths used without `as`. aliases: path by alias.
    prefix: what stands before its ids ('' for the main file and for those that it uses, unless names clash).
    """

    path: str
    names: Mapping[str, str]
    stations: Mapping[str, str]
    lets: Mapping[str, nodes.Let]
    open: tuple[str, ...]
    aliases: Mapping[str, str]
    prefix: str
    requires: tuple[nodes.Require, ...]
    givens: tuple[nodes.Given, ...]


class Tree(NamedTuple):
    """All components of a spec by id, in the order of the text, and its files by path; `main` is the spec itself.

    sources: the texts, by path.
    """

    components: Mapping[str, Component]
    files: Mapping[str, FileScope]
    main: str
    sources: Mapping[str, Source]


def children_of(tree: Tree, component: Component) -> tuple[Component, ...]:
    """Return the components in a component, in the order of the text."""
    return tuple(tree.components[f"{component.id}.{name}"] for name in component.children)


class _Gathered(NamedTuple):
    properties: dict[str, nodes.Property]
    lets: dict[str, nodes.Let]
    components: list[nodes.Component | nodes.Make]
    requires: list[nodes.Require]
    givens: list[nodes.Given]
    accepts: list[nodes.Accept]
    tables: list[nodes.Table]


def plant(project: Project) -> tuple[Tree, tuple[Diagnostic, ...]]:
    """Name the components of all texts of a project."""
    planter = _Planter(Recipes(project))
    prefixes = _prefixes(project)
    files = {
        path: planter.file(path, file, prefixes[path], project.uses.get(path, ()))
        for path, file in project.files.items()
    }
    tree = Tree(planter.components, files, project.main, project.sources)
    return tree, (*planter.recipes.findings, *planter.findings, *_hidden(tree))


def _prefixes(project: Project) -> dict[str, str]:
    """Return what stands before the ids of each file: nothing for the spec and for those that it uses.

    A file whose names another one has too, or that the spec does not use itself, puts its path before its own.
    """
    near = {path for path in project.files if path == project.main or path in project.used_by_main}
    names = {path: _top_names(project.files[path]) for path in near}
    prefixes = {}
    for path in project.files:
        clash = path != project.main and any(
            names[path] & names[other] for other in near - {path} if path in near
        )
        prefixes[path] = "" if path in near and not clash else path.removesuffix(".wright") + ":"
    return prefixes


def _top_names(file: nodes.File) -> set[str]:
    found = set()
    for statement in file.statements:
        if isinstance(statement, nodes.Let):
            found.add(statement.name)
        elif isinstance(statement, nodes.Component):
            found.add(statement.name or statement.kind)
        elif isinstance(statement, nodes.Make):
            found.add(statement.name)
    return found


def _hidden(tree: Tree) -> Iterable[Diagnostic]:
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


class _Beside(NamedTuple):
    """Names and counts of the components that stand beside one another so far."""

    taken: dict[tuple[str, bool], Span]
    counts: dict[str, int]


class _Planter:
    """Gathers components; its only state is what it has found so far."""

    def __init__(self, recipes: Recipes) -> None:
        self.recipes = recipes
        self.components: dict[str, Component] = {}
        self.findings: list[Diagnostic] = []
        self.alone: dict[tuple[str, str], Span] = {}

    def say(
        self, code: str, message: str, span: Span, labels: tuple[Label, ...] = (), help: str = ""
    ) -> None:
        self.findings.append(Diagnostic(code, "error", message, span, labels, help))

    def file(
        self, path: str, file: nodes.File, prefix: str, uses: Iterable[tuple[str | None, str]]
    ) -> FileScope:
        gathered = self.gather(file.statements, None)
        names: dict[str, str] = {}
        stations: dict[str, str] = {}
        for id in self.place(gathered.components, None, path, prefix, "", path):
            table = stations if self.components[id].kind.name == "station" else names
            table[self.components[id].name] = id
        for id in list(names.values()):
            stations.update(self.stations(self.components[id]))
        for name, let in gathered.lets.items():
            if name in names:
                self.taken(name, let.name_span, self.components[names[name]].span)
        return FileScope(
            path,
            names,
            stations,
            gathered.lets,
            tuple(target for alias, target in uses if alias is None),
            {alias: target for alias, target in uses if alias is not None},
            prefix,
            tuple(gathered.requires),
            tuple(gathered.givens),
        )

    def gather(self, statements: Iterable[nodes.Statement], kind: Kind | None) -> _Gathered:
        found = _Gathered({}, {}, [], [], [], [], [])
        known = {property.name for property in kind.properties} if kind else set()
        for statement in statements:
            if isinstance(statement, nodes.Component | nodes.Make):
                found.components.append(statement)
            elif isinstance(statement, nodes.Property):
                self.property(statement, kind, known, found)
            elif isinstance(statement, nodes.Let):
                earlier = found.lets.get(statement.name)
                if earlier is not None:
                    self.twice(statement.name, statement.name_span, earlier.name_span)
                else:
                    found.lets[statement.name] = statement
            elif isinstance(statement, nodes.Require):
                found.requires.append(statement)
            elif isinstance(statement, nodes.Given):
                found.givens.append(statement)
            elif isinstance(statement, nodes.Accept):
                if kind is None:
                    self.say(
                        "misplaced",
                        "'accept' stands inside the component whose warning is accepted",
                        statement.span,
                    )
                else:
                    found.accepts.append(statement)
            elif isinstance(statement, nodes.Use):
                if kind is not None:
                    self.say(
                        "misplaced",
                        "'use' stands at the top of a file, not inside a component",
                        statement.span,
                    )
            elif isinstance(statement, nodes.Table) and kind is not None and kind.columns:
                self.table(statement, found)
            elif isinstance(statement, nodes.Table):
                where = f"a {kind.name}" if kind else "a file"
                self.say("no-table-here", f"{where} takes no table", statement.columns[0].span)
            elif kind is not None:
                self.say("misplaced", "a recipe stands at the top of a file", statement.name_span)
        return found

    def property(
        self, statement: nodes.Property, kind: Kind | None, known: set[str], found: _Gathered
    ) -> None:
        if kind is None:
            self.say(
                "misplaced",
                f"'{statement.name} = …' stands outside any component",
                statement.name_span,
                help=f"write 'let {statement.name} = …' for a named value",
            )
        elif statement.name not in known:
            near = suggest(statement.name, sorted(known))
            names = ", ".join(sorted(known))
            self.say(
                "unknown-property",
                f"no property '{statement.name}' on {kind.called}",
                statement.name_span,
                help=f"did you mean '{near}'?" if near else f"{kind.called} takes {names or 'none'}",
            )
        elif statement.name in found.properties:
            self.twice(statement.name, statement.name_span, found.properties[statement.name].name_span)
        else:
            found.properties[statement.name] = statement

    def table(self, statement: nodes.Table, found: _Gathered) -> None:
        if found.tables:
            self.say(
                "given-twice",
                "this component has a table already",
                statement.columns[0].span,
                (Label(found.tables[0].columns[0].span, "the first begins here"),),
                "put the rows of both into one",
            )
            return
        faults = tuple(column_faults(statement))
        self.findings.extend(faults)
        if not faults:
            found.tables.append(statement)

    def stations(self, component: Component) -> Iterable[tuple[str, str]]:
        """Make the stations of a table of offsets; yield their names and ids."""
        table = component.table
        if table is None:
            return
        kind = kind_of("station")
        assert kind is not None
        names = [column.name for column in table.columns]
        for row in table.rows:
            name, place = row[names.index("station")], row[names.index("x")]
            if not isinstance(name.value, nodes.Name) or len(name.value.parts) != 1:
                self.say("bad-table", "the first cell of a row is the name of its station", name.span)
                continue
            value = cell_value(table.columns[names.index("x")], place)
            if value is None:
                self.say("bad-table", f"station '{name.value.parts[0]}' has no x", place.span)
                continue
            word = name.value.parts[0]
            id = f"{component.id.rpartition(':')[0] and component.id.rpartition(':')[0] + ':'}station.{word}"
            if id in self.components:
                self.taken(word, name.span, self.components[id].span)
                continue
            property = nodes.Property("x", place.span, value, place.span)
            self.components[id] = Component(
                id,
                word,
                kind,
                "",
                component.file,
                name.span,
                name.span.to(place.span),
                {"x": property},
                {},
                (),
                (),
                (),
                (),
            )
            yield word, id

    def twice(self, name: str, span: Span, first: Span) -> None:
        self.say("given-twice", f"'{name}' is given twice", span, (Label(first, "first given here"),))

    def taken(self, name: str, span: Span, first: Span) -> None:
        self.say(
            "name-taken",
            f"'{name}' is the name of another component here",
            span,
            (Label(first, "first used here"),),
            "give one of them another name",
        )

    def place(
        self,
        found: Iterable[nodes.Component | nodes.Make],
        above: Kind | None,
        path: str,
        prefix: str,
        parent: str,
        scope_file: str,
    ) -> list[str]:
        """Add components that stand beside one another; return their ids."""
        beside = _Beside({}, {})
        placed = []
        for node in found:
            if isinstance(node, nodes.Component):
                placed.append(self.place_one(node, None, above, beside, path, path, prefix, parent))
                continue
            dish = self.recipes.dish(node, scope_file, parent)
            if dish is not None:
                placed.append(
                    self.place_one(dish.component, dish.made, above, beside, path, dish.file, prefix, parent)
                )
                self.recipes.done()
        return [id for id in placed if id is not None]

    def place_one(
        self,
        node: nodes.Component,
        made: Made | None,
        above: Kind | None,
        beside: _Beside,
        path: str,
        file: str,
        prefix: str,
        parent: str,
    ) -> str | None:
        """Add one component and all in it; return its id, or None where it cannot stand here.

        path: of the text that it is placed in; file: of the text that it was written in.
        """
        kind = made_kind() if node.kind == "recipe" and made else self.kind(node, above)
        if kind is None:
            return None
        name = node.name
        if not name:
            beside.counts[kind.name] = beside.counts.get(kind.name, 0) + 1
            name = kind.name if kind.alone else f"{kind.name}_{beside.counts[kind.name]}"
        if kind.alone:
            key = (path, kind.name)
            if key in self.alone:
                self.say(
                    "given-twice",
                    f"there can be only one {kind.name}",
                    node.name_span,
                    (Label(self.alone[key], "the first stands here"),),
                )
                return None
            self.alone[key] = node.name_span
        key_name = (name, kind.name == "station")
        if key_name in beside.taken:
            self.taken(name, node.name_span, beside.taken[key_name])
            return None
        beside.taken[key_name] = node.name_span
        if name == "station" and not parent:
            self.say(
                "name-taken",
                "'station' stands before the names of stations",
                node.name_span,
                help="call this something else",
            )
            return None
        if len(self.components) >= MOST_COMPONENTS:
            self.too_many(node.name_span)
            return None
        # Stations have names of their own: a former F2 may stand at station F2.
        own = f"station.{name}" if kind.name == "station" else name
        id = f"{parent}.{own}" if parent else prefix + own
        self.component(node, id, name, kind, file, parent, made)
        return id

    def too_many(self, span: Span) -> None:
        if not any(finding.code == "too-many-components" for finding in self.findings):
            self.say(
                "too-many-components",
                f"a spec has at most {MOST_COMPONENTS} components, those made from recipes included",
                span,
            )

    def kind(self, node: nodes.Component, above: Kind | None) -> Kind | None:
        kind = kind_of(node.kind)
        if kind is None:
            near = suggest(node.kind, NAMES)
            self.say(
                "unknown-kind",
                f"no kind '{node.kind}'",
                node.kind_span,
                help=f"did you mean '{near}'?" if near else f"the kinds are {', '.join(NAMES)}",
            )
            return None
        where = above.name if above and above is not made_kind() else ""
        if where == "" and above is not None and kind.name in ("station", "model"):
            self.say("misplaced", f"a {kind.name} stands in the file itself, not in a recipe", node.kind_span)
            return None
        if where not in kind.inside:
            *homes, last = [f"in a {home}" if home else "at the top of a file" for home in kind.inside]
            listed = f"{', '.join(homes)} or {last}" if homes else last
            self.say(
                "misplaced",
                f"a {kind.name} stands {listed}, not {f'in a {where}' if where else 'at the top of a file'}",
                node.kind_span,
            )
            return None
        return kind

    def component(
        self, node: nodes.Component, id: str, name: str, kind: Kind, path: str, parent: str, made: Made | None
    ) -> None:
        gathered = self.gather(node.body, kind)
        # The one above comes before its children, so that ids run as in the text.
        start = Component(
            id, name, kind, parent, path, node.name_span, node.span, {}, {}, (), (), (), (), made
        )
        self.components[id] = start
        placed = self.place(gathered.components, kind, path, "", id, path)
        children = tuple(self.components[child].name for child in placed)
        self.components[id] = start._replace(
            properties=gathered.properties,
            lets=gathered.lets,
            children=children,
            requires=tuple(gathered.requires),
            givens=tuple(gathered.givens),
            accepts=tuple(gathered.accepts),
            table=gathered.tables[0] if gathered.tables else None,
        )
        for child in children:
            if child in gathered.lets:
                self.taken(child, gathered.lets[child].name_span, self.components[f"{id}.{child}"].span)
        named = [(let.name, let.name_span) for let in gathered.lets.values()]
        for own, span in (*named, *((child, self.components[f"{id}.{child}"].span) for child in children)):
            if own in dimensions_of(kind):
                self.say(
                    "name-taken",
                    f"'{own}' is what every {kind.name} has already",
                    span,
                    help="give this another name",
                )
        for property in kind.properties:
            if property.required and property.name not in gathered.properties:
                self.say(
                    "missing-property",
                    f"this {kind.name} needs '{property.name}': {property.doc}",
                    node.name_span,
                    help=f"write, for example: {property.example}",
                )
