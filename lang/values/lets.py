"""Named values, worked out once each: long chains are followed without recursion, circles found."""

from collections.abc import Callable, Iterator

from ringwright.lang.components.names import LetHere, Unnamed, look_up, names_of
from ringwright.lang.components.tree import Tree
from ringwright.lang.diagnostics.diagnostic import Label
from ringwright.lang.diagnostics.rings import MOST, ring
from ringwright.lang.values.trouble import Trouble, trouble
from ringwright.lang.values.value import Value

_Key = tuple[str, str, str]


class Lets:
    """The values of every `let` of a tree. read: gives the value of one whose own names are all known; raises Trouble."""

    def __init__(self, tree: Tree, read: Callable[[LetHere], Value]) -> None:
        self.tree = tree
        self.read = read
        self._known: dict[_Key, Value | Trouble] = {}

    def value(self, here: LetHere) -> Value:
        """Return the value of a `let`. Raises Trouble, the same one each time."""
        pending = {_key(here): here}
        while pending:
            key, current = next(reversed(pending.items()))
            if key in self._known:
                del pending[key]
                continue
            waiting = [other for other in self._needed_by(current) if _key(other) not in self._known]
            loop = next((other for other in waiting if _key(other) in pending), None)
            if loop is not None:
                path = list(pending)
                ring = [pending[step] for step in path[path.index(_key(loop)) :]]
                self._known[_key(loop)] = _circle(loop, ring)
                continue
            if waiting:
                pending[_key(waiting[0])] = waiting[0]
                continue
            del pending[key]
            try:
                self._known[_key(current)] = self.read(current)
            except Trouble as refused:
                self._known[_key(current)] = refused
        found = self._known[_key(here)]
        if isinstance(found, Trouble):
            raise found
        return found

    def _needed_by(self, here: LetHere) -> Iterator[LetHere]:
        for name in names_of(here.let.value):
            try:
                found = look_up(self.tree, here.scope, name)
            except Unnamed:
                continue
            if isinstance(found, LetHere):
                yield found


def _key(here: LetHere) -> _Key:
    return here.owner, here.file, here.let.name


def _circle(loop: LetHere, pending: list[LetHere]) -> Trouble:
    names = [here.let.name for here in pending]
    return trouble(
        "circular-value",
        f"these values lean on one another in a circle: {ring(names)}",
        loop.let.name_span,
        tuple(Label(here.let.name_span, "needs the next") for here in pending[1:MOST]),
        "give one of them a value of its own",
    )
