"""The components of a spec, named and put under one another, and the texts that they stand in."""

from collections.abc import Mapping
from typing import NamedTuple

from ringwright.lang.components.attached import Attached
from ringwright.lang.components.recipes import Made
from ringwright.lang.diagnostics.diagnostic import Diagnostic, Label
from ringwright.lang.kinds.kind import Kind, Measure, Property, Solved
from ringwright.lang.source import Source, Span
from ringwright.lang.syntax import nodes


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
    return frozenset(entry.name for entry in entries_of(kind))


def entries_of(kind: Kind) -> tuple[Property | Solved | Measure, ...]:
    """Return the properties of a kind, then its solved names, then its measures."""
    return (*kind.properties, *kind.solved, *kind.forward)


def property_of(kind: Kind, name: str) -> Property:
    """Return a property of a kind, by its name, which it has."""
    return next(property for property in kind.properties if property.name == name)


def find_property(kind: Kind | None, name: str) -> Property | None:
    """Return a property of a kind, by its name; None where it has none, or there is no kind."""
    return next((each for each in kind.properties if each.name == name), None) if kind is not None else None


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

    sources: the texts, by path. attached: what shapes are drawn from, by path.
    """

    components: Mapping[str, Component]
    files: Mapping[str, FileScope]
    main: str
    sources: Mapping[str, Source]
    attached: Mapping[str, Attached]


def children_of(tree: Tree, component: Component) -> tuple[Component, ...]:
    """Return the components in a component, in the order of the text."""
    return tuple(tree.components[f"{component.id}.{name}"] for name in component.children)


def with_makes(
    components: Mapping[str, Component], component: Component, findings: list[Diagnostic], first: int
) -> None:
    """Say of the findings from number `first` on that lie in the text of a recipe where the component was made from it."""
    makes = []
    current: Component | None = component
    while current is not None:
        if current.made is not None:
            makes.append((current.made.recipe, Label(current.span, "made here")))
        current = components.get(current.parent)
    for number in range(first, len(findings)) if makes else ():
        finding = findings[number]
        labels = tuple(
            label for recipe, label in makes if finding.span is not None and recipe.holds(finding.span)
        )
        findings[number] = finding._replace(labels=(*finding.labels, *labels))
