"""The steps that a spec writes for the build book."""

from typing import NamedTuple

from ringwright.lang.components.tree import Tree
from ringwright.lang.design.making import Maker, Unsettled
from ringwright.lang.values.value import named


class WrittenStep(NamedTuple):
    """A step as the builder wrote it. after, before: ids of components that it waits for, and that wait for it."""

    id: str
    title: str
    text: str
    after: tuple[str, ...]
    before: tuple[str, ...]


def written_steps(tree: Tree, maker: Maker) -> tuple[WrittenStep, ...]:
    """Return the steps, sorted by name: how they follow one another is said by `after` and `before`."""
    found = []
    for component in tree.components.values():
        if component.kind.name != "step":
            continue
        try:
            after, before = (named(maker.value(component, name)) for name in ("after", "before"))
            text = maker.text(component, "text")
            title = maker.text(component, "title") or component.name
        except Unsettled:
            continue
        found.append(WrittenStep(component.id, title, text, after, before))
    return tuple(sorted(found))
