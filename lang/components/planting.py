"""Nodes to the tree: every component named, under the one it stands in, with the recipes made. Nothing is evaluated yet."""

from collections.abc import Iterable
from typing import NamedTuple

from ringwright.lang.components import bodies
from ringwright.lang.components.gathering import Report, gather, kind_at
from ringwright.lang.components.hidden import hidden
from ringwright.lang.components.names import Scope, Unnamed
from ringwright.lang.components.project import Project
from ringwright.lang.components.recipes import Made, Recipes
from ringwright.lang.components.table import cell_value
from ringwright.lang.components.tree import Component, FileScope, Tree, dimensions_of, with_makes
from ringwright.lang.diagnostics.diagnostic import Diagnostic, Label
from ringwright.lang.kinds import kind_of, made_kind
from ringwright.lang.kinds.kind import Kind
from ringwright.lang.source import Span
from ringwright.lang.syntax import nodes

MOST_COMPONENTS = 10_000
MOST_INSIDE = 200
MOST_STATEMENTS = 100_000


def plant(project: Project) -> tuple[Tree, tuple[Diagnostic, ...]]:
    """Name the components of all texts of a project."""
    planter = _Planter(Recipes(project))
    prefixes = _prefixes(project)
    files = {
        path: planter.file(path, file, prefixes[path], project.uses.get(path, ()))
        for path, file in project.files.items()
    }
    tree = Tree(planter.components.copy(), files, project.main, project.sources, project.attached)
    if planter.bodies:
        tree = planter.with_bodies(tree)
    if planter.repeated:
        tree = planter.with_formers(tree)
    for path in project.files:
        planter.judge_unmade(path)
    return tree, (*planter.recipes.findings, *planter.report.findings, *hidden(tree))


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


_MOST = f"a spec has at most {MOST_COMPONENTS} components, those made from recipes included"


class _Beside(NamedTuple):
    """Names and counts of the components that stand beside one another so far."""

    taken: dict[tuple[str, bool], Span]
    counts: dict[str, int]


def _places(statement: nodes.Statement) -> bool:
    """Whether a statement of `formers` says where they stand."""
    return isinstance(statement, nodes.Property) and statement.name == "at"


class _Planter:
    """Gathers components; its only state is what it has found so far."""

    def __init__(self, recipes: Recipes) -> None:
        self.recipes = recipes
        self.components: dict[str, Component] = {}
        self.report = Report()
        self.alone: dict[tuple[str, str], Span] = {}
        self.stated = 0
        self.full = False
        self.repeated: list[tuple[str, nodes.Component]] = []
        self.bodies: list[tuple[str, nodes.Component]] = []

    def file(
        self, path: str, file: nodes.File, prefix: str, uses: Iterable[tuple[str | None, str]]
    ) -> FileScope:
        gathered = gather(self.report, file.statements, None)
        names: dict[str, str] = {}
        stations: dict[str, str] = {}
        for id in self.place(gathered.components, None, path, prefix, "", path):
            table = stations if self.components[id].kind.name == "station" else names
            table[self.components[id].name] = id
        for id in list(names.values()):
            stations.update(self.stations(self.components[id]))
        for name, let in gathered.lets.items():
            if name in names:
                self.report.taken(name, let.name_span, self.components[names[name]].span)
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

    def judge_unmade(self, path: str) -> None:
        """Judge the recipes of a file that nobody makes by their kinds and properties; their values are unknown."""
        for recipe in tuple(self.recipes.unmade(path)):
            gathered = gather(self.report, recipe.body, made_kind())
            above = None if len(gathered.components) == 1 else made_kind()
            self.alone.clear()
            self.place(gathered.components, above, path, "", f"recipe {recipe.name}", path)

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
                self.report.say("bad-table", "the first cell of a row is the name of its station", name.span)
                continue
            value = cell_value(table.columns[names.index("x")], place)
            if value is None:
                self.report.say("bad-table", f"station '{name.value.parts[0]}' has no x", place.span)
                continue
            word = name.value.parts[0]
            id = f"{component.id.rpartition(':')[0] and component.id.rpartition(':')[0] + ':'}station.{word}"
            if id in self.components:
                self.report.taken(word, name.span, self.components[id].span)
                continue
            if len(self.components) >= MOST_COMPONENTS:
                self.too_many(name.span, _MOST)
                return
            property = nodes.Property("x", place.span, value, place.span)
            self.components[id] = Component(
                id,
                word,
                kind,
                component.id,
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
        placed: list[str | None] = []
        most = MOST_COMPONENTS if above is None or above is made_kind() else MOST_INSIDE
        for node in found:
            if self.full:
                break
            if len(placed) >= most:
                holder = f"a {above.name}" if above else "a file"
                self.too_many(node.name_span, f"{holder} holds at most {most} components")
                break
            if isinstance(node, nodes.Component):
                placed.append(self.place_one(node, None, above, beside, path, path, prefix, parent))
                continue
            dish = self.recipes.dish(node, scope_file, parent)
            if dish is not None:
                said = len(self.report.findings)
                placed.append(
                    self.place_one(dish.component, dish.made, above, beside, path, dish.file, prefix, parent)
                )
                made = self.components.get(placed[-1] or "")
                if made is not None:
                    with_makes(self.components, made, self.report.findings, said)
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
        kind = made_kind() if node.kind == "recipe" and made else kind_at(self.report, node, above)
        if kind is None:
            return None
        name = node.name
        if not name:
            beside.counts[kind.name] = beside.counts.get(kind.name, 0) + 1
            name = kind.name if kind.alone else f"{kind.name}_{beside.counts[kind.name]}"
        if kind.alone:
            key = (parent or path, kind.name)
            if key in self.alone:
                self.report.say(
                    "given-twice",
                    f"there can be only one {kind.name}",
                    node.name_span,
                    (Label(self.alone[key], "the first stands here"),),
                )
                return None
            self.alone[key] = node.name_span
        key_name = (name, kind.name == "station")
        if key_name in beside.taken:
            self.report.taken(name, node.name_span, beside.taken[key_name])
            return None
        beside.taken[key_name] = node.name_span
        if name == "station" and not parent:
            self.report.say(
                "name-taken",
                "'station' stands before the names of stations",
                node.name_span,
                help="call this something else",
            )
            return None
        if len(self.components) >= MOST_COMPONENTS:
            self.too_many(node.name_span, _MOST)
            return None
        # Stations have names of their own: a former F2 may stand at station F2.
        own = f"station.{name}" if kind.name == "station" else name
        id = f"{parent}.{own}" if parent else prefix + own
        if kind.name == "body":
            self.bodies.append((id, node))
            node = bodies.as_written(node)
        if kind.name == "formers":
            # What stands in it is planted once for each of its stations, when those are known.
            self.repeated.append((id, node))
            node = node._replace(body=tuple(s for s in node.body if _places(s)))
        self.component(node, id, name, kind, file, parent, made)
        return id

    def with_bodies(self, tree: Tree) -> Tree:
        """Plant what each body stands for, now that its table of offsets is known; return the tree with that."""
        for id, node in self.bodies:
            if id in tree.components:
                body = self.components[id]
                if body.made is not None:
                    message = "a body stands in the file itself, not in a recipe"
                    self.report.say("misplaced", message, node.kind_span)
                    continue
                whole = bodies.expanded(tree, body, node, self.report)
                self.component(whole, id, body.name, body.kind, body.file, body.parent, body.made)
        return tree._replace(components=self.components.copy())

    def with_formers(self, tree: Tree) -> Tree:
        """Plant a former at each station of `formers`, unless there is one of its name; return the tree with them."""
        from ringwright.lang.components.ranges import NoRange, stations

        kind = kind_of("former")
        assert kind is not None
        files = dict(tree.files)
        made: set[str] = set()
        for group, node in self.repeated:
            if group not in tree.components:
                continue  # in a recipe that nobody makes
            path = self.components[group].file
            at = self.components[group].properties.get("at")
            try:
                found = () if at is None else stations(tree, Scope("", path), at.value)
            except (NoRange, Unnamed):
                continue  # reported with its property
            names = dict(files[path].names)
            body = tuple(statement for statement in node.body if not _places(statement))
            last = bodies.ends(tree, group, found)
            for station in found:
                name = tree.components[station].name
                if name in names:
                    other = self.components[names[name]]
                    if other.kind.name != "former" or other.id in made:
                        self.report.taken(name, node.name_span, other.span)
                    continue
                names[name] = id = files[path].prefix + name
                made.add(id)
                if len(self.components) >= MOST_COMPONENTS:
                    self.too_many(node.name_span, _MOST)
                    break
                former = node._replace(body=body)
                if station == last:
                    former = bodies.aft_face(former)
                self.component(former, id, name, kind, path, "", None)
            files[path] = files[path]._replace(names=names)
        return tree._replace(components=self.components.copy(), files=files)

    def too_many(self, span: Span, message: str) -> None:
        """Say that there is too much of something, once, and take no more."""
        if not self.full:
            self.report.say("too-many-components", message, span)
        self.full = True

    def component(
        self, node: nodes.Component, id: str, name: str, kind: Kind, path: str, parent: str, made: Made | None
    ) -> None:
        self.stated += len(node.body)
        if self.stated > MOST_STATEMENTS:
            self.too_many(
                node.name_span, f"recipes make at most {MOST_STATEMENTS} statements of a spec's own"
            )
        gathered = gather(self.report, node.body, kind)
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
                self.report.taken(
                    child, gathered.lets[child].name_span, self.components[f"{id}.{child}"].span
                )
        named = [(let.name, let.name_span) for let in gathered.lets.values()]
        for own, span in (*named, *((child, self.components[f"{id}.{child}"].span) for child in children)):
            if own in dimensions_of(kind):
                self.report.say(
                    "name-taken",
                    f"'{own}' is what every {kind.name} has already",
                    span,
                    help="give this another name",
                )
        for property in kind.properties:
            if property.required and property.name not in gathered.properties:
                self.report.say(
                    "missing-property",
                    f"this {kind.name} needs '{property.name}': {property.doc}",
                    node.name_span,
                    help=f"write, for example: {property.example}",
                )
