"""Rows of stations and sections, and lines of the offsets, as values: `F1 to F8`, `[F1, (80 mm, circle(60 mm))]`,
`fuselage.longeron`.
"""

from typing import TYPE_CHECKING

from ringwright.lang.components import ranges
from ringwright.lang.components.names import Whole, names_of
from ringwright.lang.components.table import line_names, own_lines
from ringwright.lang.components.tree import Component
from ringwright.lang.diagnostics.suggest import suggest
from ringwright.lang.solve.terms import Unknown
from ringwright.lang.syntax import nodes
from ringwright.lang.units import ANGLE, LENGTH
from ringwright.lang.values.offsets import measured_points
from ringwright.lang.values.plan import Here
from ringwright.lang.values.sections import section_of
from ringwright.lang.values.trouble import Trouble, trouble, wrong_dimension
from ringwright.lang.values.value import (
    Amount,
    Automatic,
    Items,
    Pair,
    Reference,
    Seam,
    ShapeOf,
    TableLine,
    Value,
    Word,
)

if TYPE_CHECKING:
    from ringwright.lang.values.evaluate import Evaluator

FEWEST = 2


def read(evaluator: "Evaluator", node: nodes.Expression, here: Here, type: str) -> Value:
    """Return what a property of one of these types is given. Raises Trouble."""
    if type == "stations":
        return _stations(evaluator, node, here)
    if type == "sections":
        return _sections(evaluator, node, here)
    if type == "arc":
        return _arc(evaluator, node, here)
    if type == "edges":
        return _edges(evaluator, node, here)
    return _line(evaluator, node, here)


def _stations(evaluator: "Evaluator", node: nodes.Expression, here: Here) -> Items:
    for name in names_of(node):
        evaluator.look_up(name, here._replace(places=True))
    try:
        found = ranges.stations(evaluator.tree, here.scope, node)
    except ranges.NoRange as refused:
        raise Trouble(refused.finding) from None
    return Items(tuple(Reference(id) for id in found), False)


def _sections(evaluator: "Evaluator", node: nodes.Expression, here: Here) -> Items:
    """Return the sections of a skin: of each its place, its shape, what has them, and its two faces if it is a former.

    A section shrunk to a point has a point in place of its shape.
    """
    found: list[Value] = []
    for item in ranges.listed(node):
        if isinstance(item, nodes.Range):
            for name in names_of(item):
                evaluator.look_up(name, here._replace(places=True))
            try:
                ids = ranges.between(evaluator.tree, here.scope, item)
            except ranges.NoRange as refused:
                raise Trouble(refused.finding) from None
            found.extend(_of(evaluator, ranges.former_at(evaluator.tree, here.scope, id), item) for id in ids)
        elif isinstance(item, nodes.Name):
            meant = evaluator.look_up(item, here._replace(places=False))
            if not isinstance(meant, Whole):
                raise _no_section(item)
            found.extend(_of(evaluator, id, item) for id in ranges.members(evaluator.tree, meant.id))
        elif isinstance(item, nodes.Group) and len(item.items) == 2:
            found.append(_placed(evaluator, item, here))
        else:
            raise _no_section(item)
    if len(found) < FEWEST:
        message = "a skin runs between two sections at least"
        raise trouble("too-few-sections", message, node.span, help="write, for example: over = F1 to F3")
    return Items(tuple(found), False)


def _no_section(node: nodes.Expression) -> Trouble:
    return trouble(
        "wrong-type",
        "this is no section of a skin",
        node.span,
        help="a section is a former, a station, or (place, shape); a range of stations is F1 to F3",
    )


def _of(evaluator: "Evaluator", id: str, node: nodes.Expression) -> Items:
    """Return the section of a former or of a station."""
    component = evaluator.tree.components[id]
    x = Amount(Unknown(f"{id}.x"), LENGTH)
    if component.kind.name == "former":
        outline = evaluator.property(component, "outline")
        faces = tuple(Amount(Unknown(f"{id}.{face}"), LENGTH) for face in ("x_fore", "x_aft"))
        return Items((x, outline if outline is not None else Automatic(), Reference(id), *faces), False)
    table = evaluator.tree.components.get(component.parent)
    if component.kind.name != "station" or table is None or table.table is None:
        raise _no_section(node)
    return Items((x, section_of(evaluator, table, x, node.span), Reference(id)), False)


def _placed(evaluator: "Evaluator", node: nodes.Group, here: Here) -> Items:
    """Return a section given as (place, shape), or (place, point) where the skin comes together."""
    place = evaluator.amount(node.items[0], here._replace(places=True, axis="along"))
    if place.dimension != LENGTH:
        raise wrong_dimension(place.dimension, LENGTH, node.items[0].span, "the place of a section")
    shape = evaluator.shape_or_value(node.items[1], here._replace(axis="across"))
    is_point = isinstance(shape, Items) and shape.point and len(shape.items) == FEWEST
    if not isinstance(shape, ShapeOf) and not is_point:
        raise _no_section(node.items[1])
    return Items((place, shape), False)


def _arc(evaluator: "Evaluator", node: nodes.Expression, here: Here) -> Pair:
    said = "an arc runs from one angle to another, or between two lines of the offsets"
    help = "write, for example: arc = -60 deg to 60 deg; angles count from the top, positive to the right"
    if not isinstance(node, nodes.Range):
        raise trouble("wrong-type", said, node.span, help=help)
    if all(isinstance(end, nodes.Name) and len(end.parts) > 1 for end in (node.first, node.second)):
        first, second = (_line(evaluator, end, here) for end in (node.first, node.second))
        return Pair("to", first, second)
    pair = evaluator.value(node, here)
    assert isinstance(pair, Pair)
    for end, value in ((node.first, pair.first), (node.second, pair.second)):
        if not isinstance(value, Amount):
            raise trouble("wrong-type", said, end.span, help=help)
        if value.dimension != ANGLE:
            raise wrong_dimension(value.dimension, ANGLE, end.span, "an end of an arc")
    return pair


def _edges(evaluator: "Evaluator", node: nodes.Expression, here: Here) -> Seam:
    """Return what an edge has beyond its line: 'flush', 'tab', 'notched tab' or 'lap', and its width."""
    if isinstance(node, nodes.Name) and node.parts == ("flush",):
        return Seam("flush", None)
    if isinstance(node, nodes.Call) and node.function.parts in (("tab",), ("lap",)) and node.arguments:
        kind, (first, *more) = node.function.parts[0], node.arguments
        notched = [a for a in more if isinstance(a.value, nodes.Name) and a.value.parts == ("notched",)]
        if first.name is None and len(more) == len(notched) <= (kind == "tab"):
            width = evaluator.amount(first.value, here)
            if width.dimension != LENGTH:
                raise wrong_dimension(width.dimension, LENGTH, first.span, f"the width of a {kind}")
            return Seam(f"notched {kind}" if more else kind, width)
    raise trouble(
        "wrong-type",
        "an edge is flush, tab(width), tab(width, notched) or lap(width)",
        node.span,
        help="write, for example: edges = tab(5 mm, notched)",
    )


def _line(evaluator: "Evaluator", node: nodes.Expression, here: Here) -> TableLine:
    """Return a line of the offsets: one of its own, or its top or bottom. Raises Trouble."""
    help = "such as fuselage.longeron, fuselage.top or fuselage.bottom"
    if not isinstance(node, nodes.Name) or len(node.parts) < FEWEST:
        raise trouble("wrong-type", "this is no line of the offsets", node.span, help=help)
    # The table may stand in another file: shop.fuselage.top.
    for count in range(1, len(node.parts)):
        found = evaluator.look_up(nodes.Name(node.parts[:count], node.span), here._replace(places=False))
        component = evaluator.tree.components[found.id] if isinstance(found, Whole) else None
        if component is not None and component.table is not None:
            return line_of(evaluator, component, ".".join(node.parts[count:]), node)
    raise trouble("wrong-type", "this is no line of the offsets", node.span, help=help)


def line_of(evaluator: "Evaluator", table: Component, name: str, node: nodes.Expression) -> TableLine:
    """Return a line of a table in space: half breadths and heights as measured. Raises Trouble.

    The top and the bottom of a box are its corners; of all else they lie in the middle.
    """
    assert table.table is not None
    columns = line_names(table.table)
    shape = evaluator.property(table, "section")
    boxed = isinstance(shape, Word) and shape.name == "box"
    if name in own_lines(table.table):
        half, height = f"{name}.half", f"{name}.height"
    elif name in ("top", "bottom") and name in columns:
        below = "half_bottom" if name == "bottom" and "half_bottom" in columns else "half"
        half, height = below if below == "half_bottom" or (boxed and below in columns) else "", name
    else:
        names = [*(own for own in ("top", "bottom") if own in columns), *own_lines(table.table)]
        near = suggest(name, names)
        raise trouble(
            "unknown-name",
            f"'{table.name}' has no line '{name}' with both a half breadth and a height",
            node.span,
            help=f"did you mean '{table.name}.{near}'?"
            if near
            else f"its lines are {', '.join(names) or 'none'}",
        )
    points = [
        tuple(point[:2] for point in measured_points(evaluator, table, column)) if column else ()
        for column in (half, height)
    ]
    return TableLine(f"{table.id}.{name}", points[0], points[1])
