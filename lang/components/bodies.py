"""What a `body` stands for: sides, top, bottom and formers along a table of offsets, or a skin where its sections are round.

They are components like any other. What a builder writes of one of them in the body's braces stands, and what it leaves
out is taken from the body.
"""

from collections.abc import Iterator, Mapping

from ringwright.lang.components.gathering import Report
from ringwright.lang.components.names import Scope, Unnamed, Whole, look_up
from ringwright.lang.components.passing import stations_of
from ringwright.lang.components.ranges import NoRange, place_of, stations
from ringwright.lang.components.tree import Component, Tree
from ringwright.lang.source import Span
from ringwright.lang.syntax import nodes

NAMES = {"side": "sides", "deck": "top", "floor": "bottom", "wrap": "skin", "formers": "formers"}
"""What each part of a body is called, by its kind."""
BOX = ("side", "deck", "floor", "formers")
ROUND = ("wrap", "formers")
FEWEST = 2


def expanded(tree: Tree, body: Component, node: nodes.Component, report: Report) -> nodes.Component:
    """Return a body with all that it stands for; bare where its table cannot be found or is too short."""
    given = body.properties.get("offsets")
    table = _table(tree, body)
    if given is None or table is None or not isinstance(given.value, nodes.Name):
        return as_written(node)  # what stands in it leans on the table: that is missing once, in the body
    row = _stations(tree, body, table)
    if row is not None and len(row) < FEWEST:
        span = (body.properties.get("at") or given).value.span
        message = f"a body runs along {FEWEST} stations at least, and this is {len(row) or 'none'}"
        report.say("too-few-stations", message, span, help="name a range, such as at = F1 to F8")
    if row is None or len(row) < FEWEST:
        return as_written(node)
    said = {name: property.value for name, property in body.properties.items()}
    written = [_named(statement) for statement in node.body]
    stocks = {
        statement.name: property.value
        for statement in written
        if isinstance(statement, nodes.Component)
        for property in statement.body
        if isinstance(property, nodes.Property) and property.name == "stock"
    }
    sides = stocks.get("sides", said.get("stock"))
    defaults = {kind: dict(_defaults(body, kind, given.value, sides, row)) for kind in NAMES}
    taken = {statement.name for statement in written if isinstance(statement, nodes.Component | nodes.Make)}
    wanted = BOX if _word(table.properties.get("section")) in ("", "box") else ROUND
    left_out = {"top": ("top",), "bottom": ("bottom",), "both": ("top", "bottom")}.get(
        _word(body.properties.get("open")), ()
    )
    own = [
        nodes.Component(kind, node.kind_span, NAMES[kind], node.name_span, (), node.span)
        for kind in wanted
        if NAMES[kind] not in (*taken, *left_out)
    ]
    if "stock" not in said and own:
        message = "this body needs 'stock': what all of it is cut from"
        report.say("missing-property", message, node.name_span, help="write, for example: stock = board")
        own = []
    filled = (
        _filled(statement, defaults[statement.kind])
        if isinstance(statement, nodes.Component) and statement.kind in NAMES
        else statement
        for statement in (*written, *own)
    )
    return node._replace(body=tuple(filled))


def as_written(node: nodes.Component) -> nodes.Component:
    """Return a body without the components in it, which are planted when its table is known."""
    return node._replace(body=tuple(s for s in node.body if not isinstance(s, nodes.Component | nodes.Make)))


def ends(tree: Tree, group: str, found: tuple[str, ...]) -> str:
    """Return the aftmost station of a body's formers, whose former stands within the body; '' for formers of no body."""
    body = tree.components.get(group.rpartition(".")[0])
    if body is None or body.kind.name != "body":
        return ""
    places = [(place, id) for id in found if (place := place_of(tree, tree.components[id])) is not None]
    return max(places)[1] if places else (found or ("",))[-1]


def aft_face(node: nodes.Component) -> nodes.Component:
    """Return a former whose aft face stands at its station, unless the text says which one does."""
    said = any(isinstance(statement, nodes.Property) and statement.name == "face" for statement in node.body)
    return node if said else _filled(node, {"face": nodes.Name(("aft",), node.name_span)})


def _table(tree: Tree, body: Component) -> Component | None:
    given = body.properties.get("offsets")
    if given is None or not isinstance(given.value, nodes.Name):
        return None
    try:
        found = look_up(tree, Scope("", body.file), given.value)
    except Unnamed:
        return None
    if not isinstance(found, Whole) or tree.components[found.id].table is None:
        return None
    return tree.components[found.id]


def _named(statement: nodes.Statement) -> nodes.Statement:
    if isinstance(statement, nodes.Component) and not statement.name and statement.kind in NAMES:
        return statement._replace(name=NAMES[statement.kind])
    return statement


def _word(property: nodes.Property | None) -> str:
    value = None if property is None else property.value
    return value.parts[0] if isinstance(value, nodes.Name) else ""


def _defaults(
    body: Component,
    kind: str,
    line: nodes.Name,
    sides: nodes.Expression | None,
    row: tuple[nodes.Name, ...],
) -> Iterator[tuple[str, nodes.Expression]]:
    """Yield what a part of a body takes from it: its lines, its stock, where it begins and ends, its tabs."""
    span, said = body.span, body.properties
    if "stock" in said:
        yield "stock", said["stock"].value
    if kind == "formers":
        yield "at", said["at"].value if "at" in said else nodes.ListOf(row, None, span)
        yield "tab", nodes.Name((body.name, "tab"), span)
        return
    if kind == "wrap":
        yield "over", said["at"].value if "at" in said else nodes.ListOf(row, None, span)
        return
    top, bottom = (nodes.Name((*line.parts, end), line.span) for end in ("top", "bottom"))
    if kind == "side":
        yield "upper", top
        yield "lower", bottom
    else:
        yield "between", top if kind == "deck" else bottom
        if isinstance(sides, nodes.Name):
            yield "inset", nodes.Name((*sides.parts, "thickness"), sides.span)
    if "at" in said:
        yield "from", row[0]
        yield "to", row[-1]


def _stations(tree: Tree, body: Component, table: Component) -> tuple[nodes.Name, ...] | None:
    """Return the stations along which a body runs, fore to aft where that is known; None where they cannot be read."""
    if "at" in body.properties:
        try:
            ids = stations(tree, Scope("", body.file), body.properties["at"].value)
        except (NoRange, Unnamed):
            return None
    else:
        ids = tuple(station.id for station in stations_of(tree, table.id))
    places = {id: place_of(tree, tree.components[id]) for id in ids}
    ordered = sorted(ids, key=lambda id: places[id] or 0.0) if None not in places.values() else ids
    return tuple(nodes.Name((tree.components[id].name,), body.span) for id in ordered)


def _filled(node: nodes.Component, defaults: Mapping[str, nodes.Expression]) -> nodes.Component:
    """Return a component with what it leaves out."""
    said = {statement.name for statement in node.body if isinstance(statement, nodes.Property)}
    more = tuple(_property(name, value) for name, value in defaults.items() if name not in said)
    return node._replace(body=(*node.body, *more))


def _property(name: str, value: nodes.Expression) -> nodes.Property:
    span: Span = value.span
    return nodes.Property(name, span, value, span)
