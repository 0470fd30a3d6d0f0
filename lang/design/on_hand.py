"""What of each stock is in the workshop already: whole sheets, and offcuts."""

from collections.abc import Mapping
from typing import NamedTuple

from ringwright.geometry.errors import GeometryError
from ringwright.geometry.part import Offcut
from ringwright.lang.components.tree import Component, Tree
from ringwright.lang.design.making import Maker, Unsettled


class OnHand(NamedTuple):
    """sheets: whole ones, None where nothing is said. offcuts: in the order of the text."""

    sheets: int | None
    offcuts: tuple[Offcut, ...]


def on_hand(tree: Tree, maker: Maker) -> Mapping[str, OnHand]:
    """Return for each stock of which something is said what there is of it; what is wrong with it has been reported."""
    found = {}
    for component in tree.components.values():
        if component.kind.name == "stock" and (component.children or "on_hand" in component.properties):
            try:
                offcuts = [_offcut(maker, child) for child in maker.children(component, "offcut")]
                found[component.id] = OnHand(maker.count(component, "on_hand"), tuple(filter(None, offcuts)))
            except Unsettled:
                continue
    return found


def _offcut(maker: Maker, component: Component) -> Offcut | None:
    from ringwright.lang.kinds.offcut import offcut_of

    try:
        return offcut_of(maker, component)
    except GeometryError:
        return None
