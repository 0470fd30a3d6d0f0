"""What the words of a text name: every mention of a component, a value, a station, a recipe, with where it is named."""

import re
from collections.abc import Iterator
from typing import NamedTuple

from ringwright.lang.components.names import (
    Dimension,
    LetHere,
    Meaning,
    Scope,
    Unnamed,
    Whole,
    look_up,
)
from ringwright.lang.components.tree import Component, find_property
from ringwright.lang.editing.analysis import Analysis
from ringwright.lang.kinds.kind import Property
from ringwright.lang.source import Span
from ringwright.lang.syntax import nodes
from ringwright.lang.values.functions import FUNCTIONS

PLACES = ("place", "point3", "where", "stations")
CHOSEN = ("word", "bearing", "seam", "edges")
_WORD = re.compile(r"[A-Za-z][A-Za-z0-9_]*|[0-9]+")


class Mention(NamedTuple):
    """A word of a text that names something.

    sort: 'kind', 'component', 'station', 'let', 'parameter', 'recipe', 'file' (a word for a used file), 'property' (of
    the component it stands in), 'dimension' (of any), 'line' or 'function'. span: of the word. home: where it is named;
    None for what the language itself names. name: by which the solver knows a value, else the word or an id.
    defines: it is named here.
    """

    sort: str
    span: Span
    home: Span | None
    name: str
    defines: bool = False


NAMED_BY_HAND = ("component", "station", "let", "parameter", "recipe", "file")
"""Sorts that the builder has given a name, and can rename."""


def mentions(analysis: Analysis, path: str) -> tuple[Mention, ...]:
    """Return all mentions in one text of a spec, in the order of the text."""
    file = analysis.compiled.project.files.get(path)
    if file is None:
        return ()
    reader = _Reader(analysis, path)
    found = reader.block(file.statements, Scope("", path), None, {})
    return tuple(sorted(found, key=lambda mention: (mention.span.start, -mention.span.end)))


def mention_at(found: tuple[Mention, ...], offset: int) -> Mention | None:
    """Return the mention at an offset, its end included; the shortest of several."""
    here = [mention for mention in found if mention.span.start <= offset <= mention.span.end]
    return min(
        here,
        key=lambda mention: (mention.span.end == offset, mention.span.end - mention.span.start),
        default=None,
    )


class _Reader:
    def __init__(self, analysis: Analysis, path: str) -> None:
        self.analysis = analysis
        self.tree = analysis.tree
        self.path = path
        self.text = analysis.compiled.project.sources[path].text
        self.made: dict[Span, str] = {}
        for id, component in self.tree.components.items():
            if component.made is not None:
                self.made.setdefault(component.made.recipe, id)

    def block(
        self,
        statements: tuple[nodes.Statement, ...],
        scope: Scope,
        component: Component | None,
        parameters: dict[str, Span],
    ) -> Iterator[Mention]:
        """Yield the mentions of a block. parameters: of the recipe that it stands in, which nobody may have made."""
        for statement in statements:
            match statement:
                case nodes.Component():
                    yield from self.component(statement, scope, parameters)
                case nodes.Make():
                    yield from self.make(statement, scope, parameters)
                case nodes.Recipe():
                    yield from self.recipe(statement)
                case nodes.Property():
                    yield from self.property(statement, scope, component, parameters)
                case nodes.Let():
                    name = f"{scope.id}.{statement.name}" if scope.id else self.prefix() + statement.name
                    yield Mention("let", statement.name_span, statement.name_span, name, True)
                    yield from self.value(statement.value, scope, False, parameters)
                case nodes.Require() | nodes.Given():
                    yield from self.value(statement.condition, scope, False, parameters)
                case nodes.Use() if statement.alias:
                    span = _last_word(statement.span, statement.alias)
                    yield Mention("file", span, span, statement.alias, True)
                case nodes.Table():
                    yield from self.table(statement)

    def prefix(self) -> str:
        scope = self.tree.files.get(self.path)
        return scope.prefix if scope else ""

    def component(
        self, node: nodes.Component, scope: Scope, parameters: dict[str, Span], made: Component | None = None
    ) -> Iterator[Mention]:
        """Yield the mentions of one component. made: what a recipe made of it, where that has another place."""
        yield Mention("kind", node.kind_span, None, node.kind)
        component = made or self.analysis.component_at(node.span)
        if node.name:
            sort = "station" if node.kind == "station" else "component"
            name = component.id if component is not None else node.name
            yield Mention(sort, node.name_span, node.name_span, name, True)
        inner = Scope(component.id, self.path) if component is not None else scope
        yield from self.block(node.body, inner, component, parameters)

    def make(self, node: nodes.Make, scope: Scope, parameters: dict[str, Span]) -> Iterator[Mention]:
        recipe, home = self.recipe_of(node)
        words = self.words(node.recipe)
        if len(words) > 1:
            yield from self.alias(node.recipe.parts[0], words[0])
        if home is not None:
            yield Mention("recipe", words[-1], home, node.recipe.parts[-1])
        component = self.analysis.component_at(node.span)
        yield Mention(
            "component", node.name_span, node.name_span, component.id if component else node.name, True
        )
        homes = (
            {}
            if recipe is None
            else {each.name: _first_word(each.span, each.name) for each in recipe.parameters}
        )
        for statement in node.body:
            if isinstance(statement, nodes.Property):
                if statement.name in homes:
                    name = f"{component.id}.{statement.name}" if component else statement.name
                    yield Mention("parameter", statement.name_span, homes[statement.name], name)
                yield from self.value(statement.value, scope, False, parameters)
            elif component is not None:
                yield from self.block((statement,), Scope(component.id, self.path), component, parameters)

    def recipe(self, node: nodes.Recipe) -> Iterator[Mention]:
        yield Mention("recipe", node.name_span, node.name_span, node.name, True)
        made = self.made.get(node.span)
        component = self.tree.components.get(made) if made else None
        scope = Scope(component.id, self.path) if component is not None else Scope("", self.path)
        parameters = {each.name: _first_word(each.span, each.name) for each in node.parameters}
        for each in node.parameters:
            span = parameters[each.name]
            name = f"{component.id}.{each.name}" if component else each.name
            yield Mention("parameter", span, span, name, True)
            if each.default is not None:
                yield from self.value(each.default, Scope("", self.path), False, {})
        inner = [each for each in node.body if isinstance(each, nodes.Component | nodes.Make)]
        for statement in node.body:
            if isinstance(statement, nodes.Component):
                alone = component if len(inner) == 1 else None
                yield from self.component(statement, scope, parameters, alone)
            else:
                yield from self.block((statement,), scope, component, parameters)

    def recipe_of(self, node: nodes.Make) -> tuple[nodes.Recipe | None, Span | None]:
        project = self.analysis.compiled.project
        uses = project.uses.get(self.path, ())
        if len(node.recipe.parts) > 1:
            paths = [path for alias, path in uses if alias == node.recipe.parts[0]]
        else:
            paths = [self.path, *(path for alias, path in uses if alias is None)]
        for path in paths:
            for statement in project.files[path].statements:
                if isinstance(statement, nodes.Recipe) and statement.name == node.recipe.parts[-1]:
                    return statement, statement.name_span
        return None, None

    def property(
        self, node: nodes.Property, scope: Scope, component: Component | None, parameters: dict[str, Span]
    ) -> Iterator[Mention]:
        known = find_property(component.kind, node.name) if component is not None else None
        if component is not None and known is not None:
            yield Mention("property", node.name_span, node.name_span, f"{component.id}.{node.name}", True)
        if known is None or not _is_choice(known, node.value):
            places = known is not None and known.type in PLACES
            yield from self.value(node.value, scope, places, parameters)

    def table(self, node: nodes.Table) -> Iterator[Mention]:
        named = [i for i, column in enumerate(node.columns) if column.name == "station"]
        for row in node.rows:
            for i in named:
                cell = row[i].value if i < len(row) else None
                if isinstance(cell, nodes.Name) and len(cell.parts) == 1:
                    scope = self.tree.files.get(self.path)
                    id = scope.stations.get(cell.parts[0]) if scope else None
                    yield Mention("station", cell.span, cell.span, id or cell.parts[0], True)

    # -- values -----------------------------------------------------------------------------------

    def value(
        self, node: nodes.Expression, scope: Scope, places: bool, parameters: dict[str, Span]
    ) -> Iterator[Mention]:
        """Yield the mentions in an expression, without recursion."""
        waiting: list[tuple[object, bool]] = [(node, places)]
        while waiting:
            current, place = waiting.pop()
            match current:
                case nodes.Name():
                    yield from self.name(current, scope, place, parameters)
                case nodes.Call():
                    yield from self.function(current.function, scope, parameters)
                    waiting.extend((argument.value, False) for argument in current.arguments)
                case nodes.Shape():
                    yield from self.function(current.constructor, scope, parameters)
                    waiting.append((current.points, False))
                case nodes.ListOf() | nodes.Group():
                    waiting.extend((item, place) for item in current.items)
                case nodes.Operation() | nodes.Compare():
                    waiting.extend(((current.right, place), (current.left, place)))
                case nodes.Sign() | nodes.Measured():
                    waiting.append((current.operand, place))
                case nodes.Size() | nodes.Range():
                    waiting.extend(((current.second, True), (current.first, True)))

    def function(self, node: nodes.Name, scope: Scope, parameters: dict[str, Span]) -> Iterator[Mention]:
        if len(node.parts) == 1:
            if node.parts[0] in FUNCTIONS:
                yield Mention("function", node.span, None, node.parts[0])
            return
        yield from self.name(node, scope, False, parameters, of_lines=True)

    def name(
        self,
        node: nodes.Name,
        scope: Scope,
        places: bool,
        parameters: dict[str, Span],
        of_lines: bool = False,
    ) -> Iterator[Mention]:
        words = self.words(node)
        for count, span in enumerate(words, 1):
            word = node.parts[count - 1]
            try:
                meant = look_up(self.tree, scope, nodes.Name(node.parts[:count], node.span), places)
            except (Unnamed, KeyError):
                if count > 1:
                    if of_lines or self.is_table(scope, node.parts[: count - 1]):
                        yield Mention(
                            "line", Span(span.source, span.start, words[-1].end), None, ".".join(node.parts)
                        )
                        return
                elif word in parameters:
                    yield Mention("parameter", span, parameters[word], word)
                else:
                    yield from self.alias(word, span)
                continue
            yield self.meant(meant, span, parameters)

    def alias(self, word: str, span: Span) -> Iterator[Mention]:
        for statement in self.analysis.compiled.project.files[self.path].statements:
            if isinstance(statement, nodes.Use) and statement.alias == word:
                yield Mention("file", span, _last_word(statement.span, word), word)
                return

    def is_table(self, scope: Scope, parts: tuple[str, ...]) -> bool:
        try:
            found = look_up(self.tree, scope, nodes.Name(parts, Span(self.path, 0, 0)))
        except (Unnamed, KeyError):
            return False
        return isinstance(found, Whole) and self.tree.components[found.id].table is not None

    def meant(self, meaning: Meaning, span: Span, parameters: dict[str, Span]) -> Mention:
        """Return the mention of what a name means."""
        components = self.tree.components
        match meaning:
            case Whole():
                component = components[meaning.id]
                sort = "station" if component.kind.name == "station" else "component"
                return Mention(sort, span, component.span, component.id)
            case LetHere():
                home = _first_word(meaning.let.name_span, meaning.let.name)
                prefix = self.tree.files[meaning.file].prefix
                name = f"{meaning.owner}.{meaning.let.name}" if meaning.owner else prefix + meaning.let.name
                owner = components.get(meaning.owner)
                made = owner is not None and owner.made is not None and owner.made.recipe.holds(home)
                sort = (
                    "parameter" if home in parameters.values() or (made and _is_parameter(meaning)) else "let"
                )
                return Mention(sort, span, home, name)
            case Dimension():
                owner = components[meaning.id]
                given = owner.properties.get(meaning.name)
                home = given.name_span if given is not None else owner.span
                return Mention("dimension", span, home, f"{meaning.id}.{meaning.name}")

    def words(self, node: nodes.Name) -> list[Span]:
        """Return where each part of a dotted name stands."""
        found = _WORD.finditer(self.text, node.span.start, node.span.end)
        return [Span(node.span.source, match.start(), match.end()) for match in found][: len(node.parts)]


def _is_choice(property: Property, value: nodes.Expression) -> bool:
    """Whether a value is one of a property's own words, and names nothing."""
    if property.type not in CHOSEN or not isinstance(value, nodes.Name) or len(value.parts) != 1:
        return False
    return property.type == "word" or value.parts[0] in property.choices


def _is_parameter(meaning: LetHere) -> bool:
    """Whether a named value is what a `make` gives to a recipe, or leaves to it: its name is no word of a `let`."""
    return meaning.let.span == meaning.let.name_span or not meaning.let.span.holds(meaning.let.name_span)


def _first_word(span: Span, word: str) -> Span:
    return Span(span.source, span.start, span.start + len(word))


def _last_word(span: Span, word: str) -> Span:
    return Span(span.source, span.end - len(word), span.end)
