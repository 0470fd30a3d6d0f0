"""Several stations at once: `F1 to F8` in the order along x, or a list, read from the text before anything is evaluated.

A range whose two ends stand in one table of offsets takes the stations of that table; else those that stand by
themselves.
"""

from collections.abc import Iterator

from ringwright.lang.components.names import LetHere, Scope, Unnamed, Whole, look_up
from ringwright.lang.components.tree import Component, Tree
from ringwright.lang.diagnostics.diagnostic import Diagnostic
from ringwright.lang.source import Span
from ringwright.lang.syntax import nodes
from ringwright.lang.units import LENGTH, NUMBER, find_unit

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


def place_of(tree: Tree, station: Component, scale: float = 1.0) -> float | None:
    """Return where a station stands, mm, if that can be read from the text; scale: model over plan."""
    node = station.properties.get("x")
    return None if node is None else number(tree, Scope(station.id, station.file), node.value, scale)


def number(
    tree: Tree,
    scope: Scope,
    node: nodes.Expression,
    scale: float = 1.0,
    depth: int = 0,
    factor: float = 1.0,
) -> float | None:
    """Return a number times its unit, or times `factor` where it has none; None where the text alone does not tell.

    scale: model over plan, for what was measured there.
    """
    if depth > DEEPEST:
        return None

    def inner(node: nodes.Expression, factor: float = factor) -> float | None:
        return number(tree, scope, node, scale, depth + 1, factor)

    match node:
        case nodes.Number():
            name = node.unit or (node.plus_minus.unit if node.plus_minus else None)
            if name is None:
                return node.value * factor
            unit = find_unit(name)
            return node.value * unit.factor if unit and unit.dimension in (LENGTH, NUMBER) else None
        case nodes.Measured():
            found = inner(node.operand)
            return None if found is None else found * scale
        case nodes.Sign():
            found = inner(node.operand)
            return None if found is None else -found if node.op == "-" else found
        case nodes.Group() if len(node.items) == 1:
            unit = find_unit(node.unit) if node.unit else None
            return inner(node.items[0], unit.factor if unit else factor)
        case nodes.Operation() if node.op in "+-*/":
            left, right = inner(node.left), inner(node.right)
            if left is None or right is None:
                return None
            return _operated(node.op, left, right)
        case nodes.Name():
            return _named(tree, scope, node, scale, depth)
    return None


def _operated(op: str, left: float, right: float) -> float | None:
    if op == "/":
        return left / right if right else None
    return {"+": left + right, "-": left - right, "*": left * right}[op]


def _named(tree: Tree, scope: Scope, node: nodes.Name, scale: float, depth: int) -> float | None:
    try:
        found = look_up(tree, scope, node, True)
    except Unnamed:
        return None
    if isinstance(found, LetHere):
        return number(tree, found.scope, found.let.value, scale, depth + 1)
    component = tree.components[found.id]
    if component.kind.name == "station" and (isinstance(found, Whole) or found.name == "x"):
        property = component.properties.get("x")
        inner = Scope(component.id, component.file)
        return None if property is None else number(tree, inner, property.value, scale, depth + 1)
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
    """Return the formers of a group of formers or of a body, or the component itself."""
    component = tree.components[id]
    if component.kind.name == "body":
        component = tree.components.get(f"{id}.formers", component)
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
