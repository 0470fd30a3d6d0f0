"""Which skins a former lies in, read from the text before anything is evaluated.

A wrap goes round the formers that it names, and past those between them that are drawn from the same table of
offsets. Sides, floors and decks pass the formers of the table along whose lines they are bent.
"""

from collections.abc import Iterator

from ringwright.lang.components.names import Scope, Unnamed, Whole, look_up, names_of, station_of
from ringwright.lang.components.ranges import former_at, listed, number, place_of, sections
from ringwright.lang.components.tree import Component, Tree
from ringwright.lang.syntax import nodes

LENGTHWISE = ("side", "floor", "deck")
"""Kinds of sheets that are bent along the fuselage."""


class Passing:
    """What passes what in a tree. Looks at each former once."""

    def __init__(self, tree: Tree) -> None:
        self._tree = tree
        self._scale = _scale(tree)
        self._tables: dict[str, str] = {}

    def skins_by_former(self) -> dict[str, tuple[str, ...]]:
        """Return for each former the ids of the skins that go round it or past it, in the order of the text."""
        found: dict[str, tuple[str, ...]] = {}
        for component in self._tree.components.values():
            for id in dict.fromkeys(self.formers_in(component)):
                found[id] = (*found.get(id, ()), component.id)
        return found

    def formers_in(self, component: Component) -> Iterator[str]:
        """Yield the ids of the formers in a skin, some of them twice; none in what is no skin."""
        tree = self._tree
        if component.kind.name == "wrap" and "over" in component.properties:
            named = tuple(sections(tree, component, component.properties["over"].value))
            yield from (id for id in named if tree.components[id].kind.name == "former")
            yield from self._between(named)
        elif component.kind.name in LENGTHWISE:
            table = table_along(tree, component)
            scope = Scope("", component.file)
            at_stations = (former_at(tree, scope, station.id) for station in stations_of(tree, table))
            yield from (id for id in at_stations if tree.components[id].kind.name == "former")
            yield from self._drawn_from(table)

    def may_stand_in(self, component: Component) -> Iterator[str]:
        """Yield the ids of all formers but those that the text alone tells to stand elsewhere than in a skin."""
        if component.kind.name not in (*LENGTHWISE, "wrap"):
            return
        if component.kind.name == "wrap":
            over = component.properties.get("over")
            inside = list(() if over is None else sections(self._tree, component, over.value))
            complete = over is not None and all(
                isinstance(item, nodes.Name | nodes.Range) for item in listed(over.value)
            )
        else:
            inside = [s.id for s in stations_of(self._tree, table_along(self._tree, component))]
            complete = bool(inside)
        places = [self._place(self._tree.components[id]) for id in inside]
        known = [place for place in places if place is not None]
        for id, former in self._tree.components.items():
            if former.kind.name != "former":
                continue
            place = self._place(former)
            if place is None or not complete or len(known) < len(places) or min(known) <= place <= max(known):
                yield id

    def _between(self, named: tuple[str, ...]) -> Iterator[str]:
        """Yield the formers between those named, of their table."""
        tree = self._tree
        tables = {self._table(id) for id in named} - {""}
        if len(tables) != 1:
            return
        known = [self._place(tree.components[id]) for id in named]
        places = [place for place in known if place is not None]
        for id in self._drawn_from(*tables):
            place = self._place(tree.components[id])
            if place is not None and min(places) < place < max(places):
                yield id

    def _drawn_from(self, table: str) -> Iterator[str]:
        """Yield the formers whose outline is a section of a table."""
        if table:
            for component in self._tree.components.values():
                if component.kind.name == "former" and self._table(component.id) == table:
                    yield component.id

    def _table(self, id: str) -> str:
        """Return the table from which the outline of a former is taken, or that a station stands in; else ''."""
        if id not in self._tables:
            component = self._tree.components[id]
            self._tables[id] = (
                _outlined(self._tree, component)
                if component.kind.name == "former"
                else component.parent
                if component.kind.name == "station"
                else ""
            )
        return self._tables[id]

    def _place(self, component: Component) -> float | None:
        """Return where a station or a former stands, mm, if that can be read from the text."""
        tree = self._tree
        if component.kind.name == "station":
            return place_of(tree, component, self._scale)
        if "at" in component.properties:
            node = component.properties["at"].value
            return number(tree, Scope(component.id, component.file), node, self._scale)
        station = station_of(tree, component)
        return None if station is None else place_of(tree, tree.components[station], self._scale)


def _scale(tree: Tree) -> float:
    """Return model over plan along the aircraft, as far as the text alone tells."""
    for component in tree.components.values():
        if component.kind.name == "model" and "plan_scale" in component.properties:
            node = component.properties["plan_scale"].value
            along = node.first if isinstance(node, nodes.Size) else node
            return number(tree, Scope(component.id, component.file), along) or 1.0
    return 1.0


def _outlined(tree: Tree, former: Component) -> str:
    if "outline" not in former.properties:
        station = _station(tree, former)
        return "" if station is None else station.parent
    node = former.properties["outline"].value
    if not isinstance(node, nodes.Call) or node.function.parts[-1] != "section":
        return ""
    try:
        name = nodes.Name(node.function.parts[:-1], node.function.span)
        found = look_up(tree, Scope(former.id, former.file), name) if name.parts else None
    except Unnamed:
        return ""
    return found.id if isinstance(found, Whole) else ""


def _station(tree: Tree, former: Component) -> Component | None:
    """Return the station of a former's name, or that its `at` names."""
    own = station_of(tree, former)
    if own is not None:
        return tree.components[own]
    node = former.properties.get("at")
    for name in () if node is None else names_of(node.value):
        try:
            meant = look_up(tree, Scope(former.id, former.file), name, True)
        except Unnamed:
            continue
        if isinstance(meant, Whole) and tree.components[meant.id].kind.name == "station":
            return tree.components[meant.id]
    return None


def table_along(tree: Tree, component: Component) -> str:
    """Return the id of the table along whose lines a side, a floor or a deck is bent; '' where it names none."""
    property = "upper" if component.kind.name == "side" else "between"
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
