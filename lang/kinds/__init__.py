"""One file a kind of component; each is read only when a spec uses it."""

from functools import cache
from importlib import import_module

from ringwright.lang.kinds.kind import TOGETHER, WEIGHED, Kind, no_parts

# The name of each kind and of the file that holds it.
FILES = {
    "model": "model",
    "stock": "stock",
    "offcut": "offcut",
    "station": "station",
    "cutting": "cutting",
    "printing": "printing",
    "stack": "stack",
    "plate": "plate",
    "barrel": "barrel",
    "cone": "cone",
    "cones": "cones",
    "ring": "ring",
    "dome": "dome",
    "former": "former",
    "formers": "formers",
    "thrust": "thrust",
    "offsets": "offsets",
    "wrap": "wrap",
    "side": "side",
    "floor": "floor",
    "deck": "deck",
    "splice": "splice",
    "body": "body",
    "saddle": "saddle",
    "strip": "strip",
    "piece": "piece",
    "panel": "panel",
    "hole": "hole",
    "holes": "holes",
    "slot": "slot",
    "score": "score",
    "load": "load",
    "buy": "buy",
    "allowance": "allowance",
    "balance": "balance",
    "wing": "wing",
    "tail": "tail",
    "fin": "fin",
    "section": "section",
    "spar": "spar",
    "control": "control",
    "joiner": "joiner",
    "step": "step",
}

NAMES = tuple(sorted(FILES))

WEIGHABLE = ("load", "buy")
"""What has mass, beside all that is cut."""


@cache
def kind_of(name: str) -> Kind | None:
    """Return the kind called `name`, or None where there is none."""
    file = FILES.get(name)
    if file is None:
        return None
    kind: Kind = import_module(f"ringwright.lang.kinds.{file}").KIND
    if kind.parts is not no_parts or name == "stack":
        return kind._replace(properties=(*kind.properties, WEIGHED, TOGETHER))
    if name in WEIGHABLE:
        return kind._replace(properties=(*kind.properties, WEIGHED))
    return kind


def made_kind() -> Kind:
    """Return the kind of a group that a recipe makes; nobody can write it."""
    kind: Kind = import_module("ringwright.lang.kinds.made").KIND
    return kind
