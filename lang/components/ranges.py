"""Several stations at once: `F1 to F8` in the order along x, or a list, read from the text before anything is evaluated.

A range whose two ends stand in one table of offsets takes the stations of that table; else those that stand by
themselves.
"""

from collections.abc import Iterable, Iterator

from ringwright.lang.components.names import LetHere, Scope, Unnamed, Whole, look_up
from ringwright.lang.components.tree import Component, Tree
from ringwright.lang.diagnostics.diagnostic import Diagnostic
from ringwright.lang.source import Span
from ringwright.lang.syntax import nodes
from ringwright.lang.units import LENGTH, NUMBER, find_unit

LENGTHWISE = ("side", "floor", "deck")
"""Kinds of sheets that are bent along the fuselage."""
DEEPEST = 50
"""How many names a place may lean on."""


class NoRange(Exception):
    """What is no row of stations; carries the finding."""

    def __init__(self, message: str, span: Span, help: str = "") -> None:
        super().__init__(message)
        self.finding = Diagnostic("no-range", "error", message, span, (), help)


def listed(node: nodes.Expression) -> tuple[nodes.Expression, ...]:
    """Return what stands in a list one by one, or the one thing that is no list."""
    return node.items if isinstance(node, nodes.ListOf) else (node,)


def stations(tree: Tree, scope: Scope, node: nodes.Expression) -> tuple[str, ...]:
    """Return the ids of the stations that a range, a list or a name means. Raises NoRange, Unnamed."""
    found: list[str] = []
    for item in listed(node):
        if isinstance(item, nodes.Range):
            found.extend(between(tree, scope, item))
        else:
            found.append(station(tree, scope, item))
    return tuple(dict.fromkeys(found))


def station(tree: Tree, scope: Scope, node: nodes.Expression) -> str:
    """Return the id of the station that a name means. Raises NoRange, Unnamed."""
    if isinstance(node, nodes.Name):
        found = look_up(tree, scope, node, True)
        if isinstance(found, Whole) and tree.components[found.id].kind.name == "station":
            return found.id
    raise NoRange(
        "this is no station", node.span, "stations are named alone, as F1, or as a range, as F1 to F8"
    )


def between(tree: Tree, scope: Scope, node: nodes.Range) -> tuple[str, ...]:
    """Return the ids of the stations from one to another, in the order along x. Raises NoRange, Unnamed."""
    first, last = (station(tree, scope, end) for end in (node.first, node.second))
    home = tree.components[first].parent
    table = home if home and home == tree.components[last].parent else None
    places: dict[str, float] = {}
    for component in tree.components.values():
        if component.kind.name != "station" or component.file != tree.components[first].file:
            continue
        if component.parent != table if table else _in_table(tree, component):
            continue
        place = place_of(tree, component)
        if place is not None:
            places[component.id] = place
    for id, end in ((first, node.first), (last, node.second)):
        if id not in places:
            raise NoRange(
                f"where '{tree.components[id].name}' stands is only found later, and a range must know it now",
                end.span,
                "name the stations one by one: [F1, F2, F3]",
            )
    low, high = sorted((places[first], places[last]))
    inside = [id for id, place in places.items() if low - 1e-9 <= place <= high + 1e-9]
    return tuple(sorted(inside, key=lambda id: (places[id], id)))


def _in_table(tree: Tree, component: Component) -> bool:
    home = tree.components.get(component.parent)
    return home is not None and home.table is not None


def place_of(tree: Tree, station: Component) -> float | None:
    """Return where a station stands, mm on the plan, if that can be read from the text."""
    node = station.properties.get("x")
    return None if node is None else _number(tree, Scope(station.id, station.file), node.value, 0, 1.0)


def _number(tree: Tree, scope: Scope, node: nodes.Expression, depth: int, factor: float) -> float | None:
    """Return a number times its unit, or times `factor` where it has none."""
    if depth > DEEPEST:
        return None
    match node:
        case nodes.Number():
            name = node.unit or (node.plus_minus.unit if node.plus_minus else None)
            if name is None:
                return node.value * factor
            unit = find_unit(name)
            return node.value * unit.factor if unit and unit.dimension in (LENGTH, NUMBER) else None
        case nodes.Measured():
            return _number(tree, scope, node.operand, depth + 1, factor)
        case nodes.Sign():
            found = _number(tree, scope, node.operand, depth + 1, factor)
            return None if found is None else -found if node.op == "-" else found
        case nodes.Group() if len(node.items) == 1:
            unit = find_unit(node.unit) if node.unit else None
            return _number(tree, scope, node.items[0], depth + 1, unit.factor if unit else factor)
        case nodes.Operation() if node.op in "+-*/":
            left, right = (_number(tree, scope, side, depth + 1, factor) for side in (node.left, node.right))
            if left is None or right is None:
                return None
            return _operated(node.op, left, right)
        case nodes.Name():
            return _named(tree, scope, node, depth)
    return None


def _operated(op: str, left: float, right: float) -> float | None:
    if op == "/":
        return left / right if right else None
    return {"+": left + right, "-": left - right, "*": left * right}[op]


def _named(tree: Tree, scope: Scope, node: nodes.Name, depth: int) -> float | None:
    try:
        found = look_up(tree, scope, node, True)
    except Unnamed:
        return None
    if isinstance(found, LetHere):
        return _number(tree, found.scope, found.let.value, depth + 1, 1.0)
    component = tree.components[found.id]
    if component.kind.name == "station" and (isinstance(found, Whole) or found.name == "x"):
        property = component.properties.get("x")
        inner = Scope(component.id, component.file)
        return None if property is None else _number(tree, inner, property.value, depth + 1, 1.0)
    return None


def sections(tree: Tree, component: Component, node: nodes.Expression) -> Iterator[str]:
    """Yield the ids of all components that the sections of a skin name: formers, stations, groups of formers.

    A former stands for the station of its name. What means nothing is passed over.
    """
    scope = Scope(component.id, component.file)
    for item in listed(node):
        try:
            if isinstance(item, nodes.Range):
                yield from (former_at(tree, scope, id) for id in between(tree, scope, item))
            elif isinstance(item, nodes.Name):
                found = look_up(tree, scope, item)
                if isinstance(found, Whole):
                    yield from members(tree, found.id)
        except (NoRange, Unnamed):
            continue


def skins_by_former(tree: Tree) -> dict[str, tuple[str, ...]]:
    """Return for each former the ids of the skins that go round it or past it, in the order of the text."""
    found: dict[str, tuple[str, ...]] = {}
    for component in tree.components.values():
        named: Iterable[str] = ()
        if component.kind.name == "wrap" and "over" in component.properties:
            named = sections(tree, component, component.properties["over"].value)
        elif component.kind.name in LENGTHWISE:
            named = formers_along(tree, component)
        for id in dict.fromkeys(named):
            if tree.components[id].kind.name == "former":
                found[id] = (*found.get(id, ()), component.id)
    return found


def table_of(tree: Tree, component: Component, property: str) -> str:
    """Return the id of the table whose line a property names; '' where it names none."""
    node = component.properties[property].value if property in component.properties else None
    if not isinstance(node, nodes.Name):
        return ""
    for count in range(1, len(node.parts)):
        try:
            found = look_up(
                tree, Scope(component.id, component.file), nodes.Name(node.parts[:count], node.span)
            )
        except Unnamed:
            return ""
        if isinstance(found, Whole) and tree.components[found.id].table is not None:
            return found.id
    return ""


def stations_of(tree: Tree, table: str) -> tuple[Component, ...]:
    """Return the stations of a table, in the order of its rows."""
    return tuple(
        component
        for component in tree.components.values()
        if component.kind.name == "station" and component.parent == table and table
    )


def stations_along(tree: Tree, component: Component) -> tuple[Component, ...]:
    """Return the stations of the table along whose lines a side, a floor or a deck is bent."""
    property = "upper" if component.kind.name == "side" else "between"
    return stations_of(tree, table_of(tree, component, property))


def formers_along(tree: Tree, component: Component) -> tuple[str, ...]:
    """Return the formers at those stations."""
    scope = Scope("", component.file)
    found = (former_at(tree, scope, station.id) for station in stations_along(tree, component))
    return tuple(id for id in found if tree.components[id].kind.name == "former")


def former_at(tree: Tree, scope: Scope, id: str) -> str:
    """Return the id of the former that has the name of a station, else the station's."""
    name = nodes.Name((tree.components[id].name,), tree.components[id].span)
    try:
        found = look_up(tree, scope, name)
    except Unnamed:
        return id
    named = isinstance(found, Whole) and tree.components[found.id].kind.name == "former"
    return found.id if isinstance(found, Whole) and named else id


def members(tree: Tree, id: str) -> tuple[str, ...]:
    """Return the formers of a group of formers, or the component itself."""
    component = tree.components[id]
    if component.kind.name != "formers" or "at" not in component.properties:
        return (id,)
    scope = Scope("", component.file)
    try:
        return tuple(
            former_at(tree, scope, station)
            for station in stations(tree, scope, component.properties["at"].value)
        )
    except (NoRange, Unnamed):
        return ()
