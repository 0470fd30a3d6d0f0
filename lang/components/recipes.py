"""Recipes: reusable components with parameters, and what `make` makes of them.

A recipe is opened where it is made: its parameters become named values of what it makes. Names in its body are looked
for in the file that the recipe stands in, names in the values that `make` gives where the `make` stands.
"""

from collections.abc import Iterator, Mapping
from typing import NamedTuple

from ringwright.lang.components.project import Project
from ringwright.lang.diagnostics.diagnostic import Diagnostic, Label
from ringwright.lang.diagnostics.rings import ring
from ringwright.lang.diagnostics.suggest import Hints, suggest
from ringwright.lang.source import Span
from ringwright.lang.syntax import nodes

DEEPEST = 16
HANDS = ("left", "right", "both")


class Made(NamedTuple):
    """How a component came from a recipe.

    arguments: names of its lets whose values stand in the `make` statement, so that they are read there: in the
    component `owner` ('' for the file) of `file`. hand: 'left', 'right', 'both' or ''. recipe: where the whole recipe stands.
    """

    arguments: frozenset[str]
    owner: str
    file: str
    hand: str
    recipe: Span


class Dish(NamedTuple):
    """What one `make` makes: a component, or a group of them (then its kind is 'recipe'), of the recipe's file."""

    component: nodes.Component
    made: Made
    file: str


class Recipes:
    """The recipes of all files; keeps count of those being opened, so that none opens itself."""

    def __init__(self, project: Project) -> None:
        self.project = project
        self.findings: list[Diagnostic] = []
        self.hints = Hints()
        self.by_file = {path: self._of(file) for path, file in project.files.items()}
        self._open: list[tuple[str, str]] = []
        self._made: set[tuple[str, str]] = set()

    def dish(self, make: nodes.Make, file: str, parent: str) -> Dish | None:
        """Open the recipe that a `make` in a file names; None, and a finding, where that cannot be.

        Whoever has placed what is in the dish says `done`.
        """
        found = self._find(make, file)
        if found is None:
            return None
        path, recipe = found
        self._made.add((path, recipe.name))
        if len(self._open) >= DEEPEST and (path, recipe.name) not in self._open:
            self._say("too-deep", f"recipes make one another at most {DEEPEST} deep", make.recipe.span)
            return None
        if (path, recipe.name) in self._open:
            names = [name for _, name in self._open]
            circle = ring(names[names.index(recipe.name) :])
            self._say(
                "recipe-cycle", f"these recipes make one another without end: {circle}", make.recipe.span
            )
            return None
        given, hand, rest = self._given(make, recipe)
        lets = self._parameters(make, recipe, given)
        if lets is None:
            return None
        made = Made(frozenset(given), parent, file, hand, recipe.span)
        self._open.append((path, recipe.name))
        inner = [s for s in recipe.body if isinstance(s, nodes.Component | nodes.Make)]
        if len(inner) == 1 and isinstance(inner[0], nodes.Component):
            only = inner[0]
            others = tuple(s for s in recipe.body if s is not only)
            body = (*lets, *others, *only.body, *rest)
            component = nodes.Component(only.kind, only.kind_span, make.name, make.name_span, body, make.span)
        else:
            component = nodes.Component(
                "recipe", make.recipe.span, make.name, make.name_span, (*lets, *recipe.body, *rest), make.span
            )
        return Dish(component, made, path)

    def unmade(self, file: str) -> Iterator[nodes.Recipe]:
        """Yield the recipes of a file that nobody has made so far."""
        yield from (recipe for name, recipe in self.by_file[file].items() if (file, name) not in self._made)

    def done(self) -> None:
        """Close the recipe that was opened last."""
        self._open.pop()

    def _of(self, file: nodes.File) -> dict[str, nodes.Recipe]:
        found: dict[str, nodes.Recipe] = {}
        for statement in file.statements:
            if not isinstance(statement, nodes.Recipe):
                continue
            if statement.name in found:
                self._say(
                    "given-twice", f"recipe '{statement.name}' is given twice", statement.name_span,
                    (Label(found[statement.name].name_span, "first given here"),),
                )  # fmt: skip
            else:
                found[statement.name] = statement
        return found

    def _find(self, make: nodes.Make, file: str) -> tuple[str, nodes.Recipe] | None:
        names = make.recipe.parts
        uses = self.project.uses.get(file, ())
        if len(names) == 2:
            places = [path for alias, path in uses if alias == names[0]]
        elif len(names) == 1:
            places = (
                [file] if names[0] in self.by_file[file] else [path for alias, path in uses if alias is None]
            )
        else:
            places = []
        hits = [(path, self.by_file[path][names[-1]]) for path in places if names[-1] in self.by_file[path]]
        if len(hits) == 1:
            return hits[0]
        if len(hits) > 1:
            where = " and in ".join(repr(path) for path, _ in hits)
            self._say(
                "ambiguous-name",
                f"recipe '{names[-1]}' stands in {where}",
                make.recipe.span,
                help="use one of the files as a word of yours, and write that word and a dot before the recipe",
            )
            return None
        near = self.hints.near(".".join(names), lambda: tuple(self._names(file)))
        self._say(
            "unknown-recipe",
            f"there is no recipe '{'.'.join(names)}' here",
            make.recipe.span,
            help=f"did you mean '{near}'?"
            if near
            else "write it in this file, or use the file that it stands in",
        )
        return None

    def _names(self, file: str) -> Iterator[str]:
        yield from self.by_file[file]
        for alias, path in self.project.uses.get(file, ()):
            yield from (f"{alias}.{name}" if alias else name for name in self.by_file[path])

    def _given(
        self, make: nodes.Make, recipe: nodes.Recipe
    ) -> tuple[dict[str, nodes.Property], str, list[nodes.Statement]]:
        """Return the arguments of a `make`, its hand, and what else stands in its braces."""
        names = [parameter.name for parameter in recipe.parameters]
        given: dict[str, nodes.Property] = {}
        hand = ""
        rest: list[nodes.Statement] = []
        for statement in make.body:
            if isinstance(statement, nodes.Accept | nodes.Require | nodes.Given):
                rest.append(statement)
            elif not isinstance(statement, nodes.Property):
                self._say(
                    "misplaced",
                    "between the braces of a `make` stand values for the recipe's parameters",
                    statement.span,
                )
            elif statement.name in given:
                self._say(
                    "given-twice",
                    f"'{statement.name}' is given twice",
                    statement.name_span,
                    (Label(given[statement.name].name_span, "first given here"),),
                )
            elif statement.name == "hand" and "hand" not in names:
                hand = self._hand(statement)
            elif statement.name not in names:
                near = suggest(statement.name, [*names, "hand"])
                takes = ", ".join(names) or "no values"
                self._say(
                    "unknown-property",
                    f"recipe '{recipe.name}' has no '{statement.name}'",
                    statement.name_span,
                    (Label(recipe.name_span, "the recipe stands here"),),
                    f"did you mean '{near}'?" if near else f"it takes {takes}",
                )
            else:
                given[statement.name] = statement
        return given, hand, rest

    def _hand(self, statement: nodes.Property) -> str:
        value = statement.value
        if isinstance(value, nodes.Name) and value.parts[0] in HANDS and len(value.parts) == 1:
            return value.parts[0]
        self._say("unknown-word", "a hand is left, right or both", value.span)
        return ""

    def _parameters(
        self, make: nodes.Make, recipe: nodes.Recipe, given: Mapping[str, nodes.Property]
    ) -> list[nodes.Let] | None:
        """Return the parameters as named values; None where one has no value."""
        lets = []
        missing = []
        for parameter in recipe.parameters:
            if parameter.name in given:
                node = given[parameter.name]
                lets.append(nodes.Let(parameter.name, parameter.span, node.value, node.span))
            elif parameter.default is not None:
                lets.append(nodes.Let(parameter.name, parameter.span, parameter.default, parameter.span))
            else:
                missing.append(parameter)
        if missing:
            names = " and ".join(f"'{parameter.name}'" for parameter in missing)
            self._say(
                "missing-property",
                f"recipe '{recipe.name}' needs {names}",
                make.name_span,
                tuple(Label(parameter.span, "asked for here") for parameter in missing),
                "write, for example: "
                + f"make {'.'.join(make.recipe.parts)} {make.name} {{ {missing[0].name} = … }}",
            )
            return None
        return lets

    def _say(
        self, code: str, message: str, span: Span, labels: tuple[Label, ...] = (), help: str = ""
    ) -> None:
        self.findings.append(Diagnostic(code, "error", message, span, labels, help))
