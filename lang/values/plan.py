"""Measurements taken off the plan: where they stand, which way they run, and how large they are on the model.

An axis is 'along' the aircraft or 'across' it; 'plane' (a drawing from the side or from the top) runs along with its
first coordinate and across with its second, 'space' along with its first and across with the others; '' is neither.
"""

from typing import NamedTuple

from ringwright.lang.components.names import Scope
from ringwright.lang.components.tree import Component, Tree
from ringwright.lang.kinds.kind import Property
from ringwright.lang.syntax import nodes

_COORDINATES = {"plane": ("along", "across"), "space": ("along", "across", "across")}


class PlanScale(NamedTuple):
    """Model over plan, along the aircraft and across it."""

    along: float
    across: float


class Here(NamedTuple):
    """Where an expression stands and what is wanted of it.

    places: a place is wanted, so stations come first. axis: which way `@` scales, as above. measured: inside an `@`.
    """

    scope: Scope
    places: bool = False
    axis: str = ""
    measured: bool = False


def runs_one_way(axis: str) -> bool:
    """Return whether a length that runs so can be scaled, however the plan is stretched."""
    return axis in ("along", "across")


def of_coordinate(axis: str, index: int) -> str:
    """Return which way a coordinate of a point, or a size of a shape, runs in a drawing of that axis."""
    axes = _COORDINATES.get(axis)
    if axes is None:
        return axis
    return axes[index] if index < len(axes) else ""


def coordinate(here: Here, index: int) -> Here:
    """Return where a coordinate of a point stands."""
    return here._replace(axis=of_coordinate(here.axis, index))


def axis_of(tree: Tree, component: Component, property: Property) -> str:
    """Return which way the lengths of a component's property run."""
    if property.type == "point3":
        return "space"
    home = tree.components.get(component.parent, component)
    stack = next(
        (c for c in (component, home, tree.components.get(home.parent)) if c and c.kind.name == "stack"), None
    )
    if stack is not None and component.kind.name != "stack" and property.type == "spot":
        bent = home.kind.name in ("barrel", "cone", "cones")
        return "plane" if bent and _word(stack, "axis") in ("", "along") else "across"
    if stack is not None and _word(stack, "axis") in ("across", "up"):
        # Its length lies across the aircraft; its sections lie both ways.
        if property.type == "point":
            return "plane"
        return "across" if property.axis == "along" else ""
    if home.kind.name in ("wrap", "side", "floor", "deck") and property.type == "spot":
        return "plane"
    if any(_word(drawn, "view") in ("side", "top") for drawn in (component, home)):
        return "plane"
    return property.axis or "across"


def _word(component: Component, name: str) -> str:
    node = component.properties.get(name)
    return node.value.parts[0] if node is not None and isinstance(node.value, nodes.Name) else ""
