"""Tables of offsets read: the fair line through what was measured, and its value at a place."""

from collections.abc import Callable, Iterable, Iterator, Mapping
from typing import TYPE_CHECKING

from ringwright.geometry.curve import fair_line, line_at
from ringwright.geometry.errors import GeometryError
from ringwright.geometry.numbers import short
from ringwright.lang.components.names import Scope, Whole
from ringwright.lang.components.table import cell_value, line_names
from ringwright.lang.components.tree import Component
from ringwright.lang.diagnostics.diagnostic import Diagnostic
from ringwright.lang.diagnostics.suggest import suggest
from ringwright.lang.solve.algebra import evaluate, unknowns_of
from ringwright.lang.solve.terms import Forward, Term
from ringwright.lang.source import Span
from ringwright.lang.syntax import nodes
from ringwright.lang.units import LENGTH
from ringwright.lang.values.plan import Here
from ringwright.lang.values.trouble import Trouble, trouble, wrong_dimension
from ringwright.lang.values.value import Amount, ShapeOf

if TYPE_CHECKING:
    from ringwright.lang.values.evaluate import Evaluator


def troubles(evaluator: "Evaluator", component: Component) -> Iterator[Diagnostic]:
    """Yield what is wrong in the cells of a table; the x of a station is reported with the station."""
    for name in () if component.table is None else line_names(component.table):
        try:
            measured_points(evaluator, component, name)
        except Trouble as refused:
            yield refused.finding


def look_up(evaluator: "Evaluator", node: nodes.Call, here: Here) -> Amount | ShapeOf:
    """Return a line of the offsets at a place, `fuselage.half(118 mm)`, or the section there. Raises Trouble."""
    first, line = node.function.parts[0], ".".join(node.function.parts[1:])
    found = evaluator.look_up(nodes.Name((first,), node.function.span), here._replace(places=False))
    component = evaluator.tree.components.get(found.id) if isinstance(found, Whole) else None
    if component is None or component.table is None:
        raise trouble(
            "unknown-function",
            f"'{first}' has no lines to look up",
            node.function.span,
            help="lines are those of a table of offsets, such as fuselage.half(118 mm)",
        )
    if line not in (names := (*line_names(component.table), "section")):
        near = suggest(line, names)
        raise trouble(
            "unknown-name",
            f"'{component.name}' has no line '{line}'",
            node.function.span,
            help=f"did you mean '{near}'?" if near else f"its lines are {', '.join(names[:-1])}",
        )
    if len(node.arguments) != 1 or node.arguments[0].name is not None:
        raise trouble("wrong-arguments", f"{first}.{line} takes one place along x", node.span)
    at = evaluator.amount(node.arguments[0].value, here._replace(places=True, axis="along"))
    if at.dimension != LENGTH:
        raise wrong_dimension(at.dimension, LENGTH, node.arguments[0].span, f"the place of {first}.{line}")
    if line == "section":
        from ringwright.lang.values.sections import section_of

        return section_of(evaluator, component, at, node.span)
    return fair(evaluator, component, line, at)


def fair(evaluator: "Evaluator", component: Component, line: str, at: Amount) -> Amount:
    """Return the value of a line at a place along x, found when the place is. Raises Trouble."""
    points = [measured[:2] for measured in measured_points(evaluator, component, line)]
    terms = [term for pair in points for term in pair]
    inputs = tuple(sorted({*unknowns_of(*terms), *unknowns_of(at.term)}))

    def value(values: Mapping[str, float]) -> float:
        measured = [(evaluate(x, values), evaluate(y, values)) for x, y in points]
        return traced(f"{component.id}.{line}", measured)(evaluate(at.term, values))

    return Amount(
        Forward(f"the fair line '{line}' through the offsets of {component.id}", inputs, value), LENGTH
    )


def traced(name: str, points: Iterable[tuple[float, float]]) -> Callable[[float], float]:
    """Return the fair line through points (x, value), mm, as its value at a place.

    Raises GeometryError; what it returns does where the line has ended.
    """
    places = sorted(points)
    first, last = places[0][0], places[-1][0]
    fair_one = fair_line([x for x, _ in places], [y for _, y in places]) if len(places) > 1 else None

    def value(at: float) -> float:
        if not first - 1e-9 <= at <= last + 1e-9:
            raise GeometryError(
                "off-the-line",
                f"'{name}' is measured from {short(first, 2)} to {short(last, 2)} mm, not at {short(at, 2)} mm",
            )
        return places[0][1] if fair_one is None else line_at(fair_one, at)[0]

    return value


def measured_points(evaluator: "Evaluator", component: Component, line: str) -> list[tuple[Term, Term, Span]]:
    """Return where a line was measured: its place along x, its value, and the cell. Raises Trouble."""
    table = component.table
    assert table is not None
    names = [column.name for column in table.columns]
    if "x" not in names:
        raise trouble("bad-table", "this table has no column 'x'", table.columns[0].span)
    across, along = names.index(line), names.index("x")
    found = []
    for row in table.rows:
        place, value = (cell_value(table.columns[i], row[i]) for i in (along, across))
        if place is None or value is None:
            continue  # not measured here: the line runs on to the next that is
        here = Here(Scope(component.id, component.file), axis="along")
        pair = evaluator.amount(place, here), evaluator.amount(value, here._replace(axis="across"))
        for amount, node in zip(pair, (place, value), strict=True):
            if amount.dimension != LENGTH:
                raise trouble(
                    "missing-unit",
                    f"the cells of '{line}' are lengths and need a unit",
                    node.span,
                    help=f"write it in the column's head: {line} [mm]",
                )
        found.append((pair[0].term, pair[1].term, value.span))
    if not found:
        raise trouble("bad-table", f"the line '{line}' is nowhere measured", table.columns[across].span)
    return found
