"""Changes that are tried and not written: another stock, another place for a load."""

from collections.abc import Sequence
from typing import TYPE_CHECKING, NamedTuple

from ringwright.lang.commands.common import Trouble, compile_argument
from ringwright.lang.components.tree import Component, Tree
from ringwright.lang.diagnostics.suggest import suggest
from ringwright.lang.source import make_source
from ringwright.lang.syntax import nodes
from ringwright.lang.syntax.parse import parse

if TYPE_CHECKING:
    from ringwright.lang.commands.common import Spec
    from ringwright.lang.pipeline import Compiled

MOVED = ("load", "buy")


class Change(NamedTuple):
    """Something to try. name: of a stock or a load; to: another stock, or a place as one writes it."""

    swap: bool
    name: str
    to: str

    @property
    def said(self) -> str:
        """The change in words."""
        return f"{self.name} as {self.to}" if self.swap else f"{self.name} at {self.to}"


def read_changes(swaps: Sequence[str], moves: Sequence[str]) -> tuple[Change, ...]:
    """Return the changes that a command line asks for. Raises ValueError with a sentence."""
    found = []
    for swap, texts in ((True, swaps), (False, moves)):
        for text in texts:
            name, sign, to = (word.strip() for word in text.partition("="))
            if not (name and sign and to):
                form = "--swap board=thin_board" if swap else '--move "battery=60 mm"'
                raise ValueError(f"{text!a} is no change: write, for example, {form}")
            found.append(Change(swap, name, to))
    return tuple(found)


def compile_changed(argument: str, changes: Sequence[Change]) -> "tuple[Spec, Compiled]":
    """Compile a spec with changes that stand in no file. Raises Trouble."""

    def change(tree: Tree) -> Tree:
        # Each is read in the spec as it stands, so that two stocks can change places.
        changed = tree
        for each in changes:
            changed = _swapped(tree, changed, each) if each.swap else _moved(changed, each)
        return changed

    return compile_argument(argument, change=change)


def _swapped(spec: Tree, tree: Tree, change: Change) -> Tree:
    """Return a tree with a stock that is all that another one of the spec is, under its own name."""
    stock, other = (_component(spec, name, ("stock",), "stock") for name in (change.name, change.to))
    return _with(tree, other._replace(id=stock.id, name=stock.name))


def _moved(tree: Tree, change: Change) -> Tree:
    load = _component(tree, change.name, MOVED, "load")
    source, unread = make_source("--move", f"load {load.name} {{\nat = {change.to}\n}}\n".encode())
    file, findings = parse(source)
    written = [statement for statement in file.statements if isinstance(statement, nodes.Component)]
    given = [each for statement in written for each in statement.body if isinstance(each, nodes.Property)]
    if unread or findings or len(file.statements) != 1 or len(given) != 1:
        said = [finding.message for finding in (*unread, *findings)]
        raise Trouble(f"{change.to!a} is no place: {said[0] if said else 'write, for example, 60 mm'}")
    moved = load._replace(properties={**load.properties, "at": given[0]})
    return _with(tree._replace(sources={**tree.sources, source.path: source}), moved)


def _with(tree: Tree, component: Component) -> Tree:
    return tree._replace(components={**tree.components, component.id: component})


def _component(tree: Tree, name: str, kinds: tuple[str, ...], what: str) -> Component:
    known = [id for id, component in tree.components.items() if component.kind.name in kinds]
    if name in known:
        return tree.components[name]
    near = suggest(name, known)
    listed = f"they are {', '.join(known)}" if known else f"there is no {what}"
    hint = f"did you mean '{near}'?" if near else listed
    raise Trouble(f"no {what} is called {name!a}: {hint}")
