"""Stations as shapes: the outline of a section that a table of offsets gives at a place along x."""

from typing import TYPE_CHECKING

from ringwright.lang.components.names import Scope, Unnamed, Whole, look_up, names_of, station_of
from ringwright.lang.components.table import LINES, own_lines
from ringwright.lang.components.tree import Component
from ringwright.lang.solve.terms import Unknown
from ringwright.lang.source import Span
from ringwright.lang.syntax import nodes
from ringwright.lang.units import LENGTH
from ringwright.lang.values.offsets import fair
from ringwright.lang.values.plan import Here
from ringwright.lang.values.trouble import trouble
from ringwright.lang.values.value import Amount, Items, Reference, ShapeOf, Value, Word

if TYPE_CHECKING:
    from ringwright.lang.values.evaluate import Evaluator

SECTION = "section"
"""What a shape drawn from a table is called; its arguments: the word for its shape, half, top, bottom,
half_bottom, the power of an oval, and the points of lines of one's own. What the table has no column for is None."""


def section_of(evaluator: "Evaluator", table: Component, at: Amount, span: Span) -> ShapeOf:
    """Return the outline at a place along x. Raises Trouble where the table does not say what shape it has."""
    shape = evaluator.property(table, "section")
    if not isinstance(shape, Word):
        raise trouble(
            "missing-property",
            f"'{table.name}' does not say what shape its sections have",
            span,
            help="write in it: section = box (or round, oval, curve)",
        )
    assert table.table is not None
    names = [column.name for column in table.table.columns]
    sizes = tuple(fair(evaluator, table, name, at) if name in names else None for name in LINES)
    power = evaluator.property(table, "power")
    points = tuple(
        Items(tuple(fair(evaluator, table, f"{own}.{side}", at) for side in ("half", "height")), True)
        for own in own_lines(table.table)
    )
    return ShapeOf(
        SECTION, (shape, *sizes, power if isinstance(power, Amount) else None, Items(points, False)), span
    )


def meant_shape(evaluator: "Evaluator", node: nodes.Expression, here: Here) -> Value | None:
    """Return the shape that a name means where a shape is wanted: of a station, or of what has an outline."""
    if not isinstance(node, nodes.Name):
        return None
    tree = evaluator.tree
    for places in (True, False):
        try:
            found = look_up(tree, here.scope, node, places)
        except Unnamed:
            continue
        component = tree.components[found.id] if isinstance(found, Whole) else None
        if component is None:
            return None
        if component.kind.name == "station":
            table = tree.components.get(component.parent)
            if table is not None and table.table is not None and "section" in table.properties:
                return section_of(evaluator, table, Amount(Unknown(f"{component.id}.x"), LENGTH), node.span)
        elif any(property.name == "outline" for property in component.kind.properties):
            return evaluator.property(component, "outline")
    return None


def outline_at_station(evaluator: "Evaluator", component: Component) -> ShapeOf | None:
    """Return what stands for an outline that is left out: the section of the offsets where the component stands.

    The table is that of the station of its name, or of the station that its `at` names. Raises Trouble.
    """
    for id in _stations(evaluator, component):
        table = evaluator.tree.components.get(evaluator.tree.components[id].parent)
        if table is not None and table.table is not None:
            return section_of(evaluator, table, Amount(Unknown(f"{component.id}.x"), LENGTH), component.span)
    return None


def _stations(evaluator: "Evaluator", component: Component) -> list[str]:
    own = station_of(evaluator.tree, component)
    found = [own] if own is not None else []
    node = component.properties.get("at")
    for name in () if node is None else names_of(node.value):
        try:
            meant = look_up(evaluator.tree, Scope(component.id, component.file), name, True)
        except Unnamed:
            continue
        if isinstance(meant, Whole) and evaluator.tree.components[meant.id].kind.name == "station":
            found.append(meant.id)
    return found


def component_shape(evaluator: "Evaluator", value: Value) -> Value:
    """Return the outline of a component that has one in its stead; any other value as it is. Raises Trouble."""
    if isinstance(value, Reference):
        component = evaluator.tree.components[value.id]
        if any(property.name == "outline" for property in component.kind.properties):
            return evaluator.property(component, "outline") or value
    return value
