"""Lines of a table of offsets: what its columns are called, what its cells say, and the fair line through them."""

from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING

from ringwright.geometry.curve import fair_line, line_at
from ringwright.geometry.errors import GeometryError
from ringwright.geometry.numbers import short
from ringwright.lang.diagnostics.diagnostic import Diagnostic, Label
from ringwright.lang.diagnostics.suggest import suggest
from ringwright.lang.solve.algebra import evaluate, unknowns_of
from ringwright.lang.solve.terms import Forward, Term
from ringwright.lang.source import Span
from ringwright.lang.syntax import nodes
from ringwright.lang.units import LENGTH
from ringwright.lang.values.value import Amount

if TYPE_CHECKING:
    from ringwright.lang.components.tree import Component
    from ringwright.lang.values.evaluate import Evaluator

LINES = ("half", "top", "bottom", "half_bottom")
PAIR = ("half", "height")


def column_faults(table: nodes.Table) -> Iterator[Diagnostic]:
    """Yield what is wrong with the head of a table of offsets."""
    seen: dict[str, Span] = {}
    for column in table.columns:
        if column.name in seen:
            yield Diagnostic(
                "given-twice",
                "error",
                f"column '{column.name}' is given twice",
                column.span,
                (Label(seen[column.name], "first given here"),),
            )
        seen.setdefault(column.name, column.span)
        if not _is_known(column.name):
            near = suggest(column.name, ("station", "x", *LINES))
            yield Diagnostic(
                "bad-table",
                "error",
                f"a table of offsets has no column '{column.name}'",
                column.span,
                (),
                f"did you mean '{near}'?"
                if near
                else "its columns are station, x, half, top, bottom, half_bottom, and LINE.half and LINE.height for a line of your own",
            )
    for needed in ("station", "x"):
        if needed not in seen:
            yield Diagnostic(
                "bad-table",
                "error",
                f"this table has no column '{needed}'",
                table.columns[0].span,
                (),
                "its first columns are station and x",
            )


def _is_known(name: str) -> bool:
    line, _, last = name.rpartition(".")
    return name in ("station", "x", *LINES) or (last in PAIR and line.isidentifier())


def cell_value(column: nodes.Column, cell: nodes.Cell) -> nodes.Expression | None:
    """Return what a cell says, with the unit and the @ of its column."""
    value = cell.value
    if value is None or column.unit is None:
        return value
    grouped = nodes.Group((value,), column.unit, cell.span)
    return nodes.Measured(grouped, cell.span) if column.measured else grouped


def line_names(component: "Component") -> tuple[str, ...]:
    """Return the lines of a table."""
    table = component.table
    return () if table is None else tuple(c.name for c in table.columns if c.name not in ("station", "x"))


def troubles(evaluator: "Evaluator", component: "Component") -> Iterator[Diagnostic]:
    """Yield what is wrong in the cells of a table; the x of a station is reported with the station."""
    from ringwright.lang.values.evaluate import Trouble

    for name in line_names(component):
        try:
            _points(evaluator, component, name)
        except Trouble as trouble:
            yield trouble.finding


def look_up(evaluator: "Evaluator", component: "Component", line: str, at: Amount) -> Amount:
    """Return the value of a line of the offsets at a place along x, found when the place is. Raises Trouble."""
    points = _points(evaluator, component, line)
    terms = [term for pair in points for term in pair]
    inputs = tuple(sorted({*unknowns_of(*terms), *unknowns_of(at.term)}))

    def value(values: Mapping[str, float]) -> float:
        return _along(
            component.id,
            line,
            [(evaluate(x, values), evaluate(y, values)) for x, y in points],
            evaluate(at.term, values),
        )

    return Amount(
        Forward(f"the fair line '{line}' through the offsets of {component.id}", inputs, value), LENGTH
    )


def _along(id: str, line: str, points: list[tuple[float, float]], at: float) -> float:
    places = sorted(points)
    first, last = places[0][0], places[-1][0]
    if not first - 1e-9 <= at <= last + 1e-9:
        raise GeometryError(
            "off-the-line",
            f"'{id}.{line}' is measured from {short(first, 2)} to {short(last, 2)} mm, not at {short(at, 2)} mm",
        )
    if len(places) == 1:
        return places[0][1]
    return line_at(fair_line([x for x, _ in places], [y for _, y in places]), at)[0]


def _points(evaluator: "Evaluator", component: "Component", line: str) -> list[tuple[Term, Term]]:
    from ringwright.lang.components.names import Scope
    from ringwright.lang.values.evaluate import Here, Trouble

    table = component.table
    assert table is not None
    names = [column.name for column in table.columns]
    if "x" not in names:
        raise Trouble(Diagnostic("bad-table", "error", "this table has no column 'x'", table.columns[0].span))
    across, along = names.index(line), names.index("x")
    axis = "across"
    found = []
    for row in table.rows:
        place, value = (cell_value(table.columns[i], row[i]) for i in (along, across))
        if place is None or value is None:
            continue  # not measured here: the line runs on to the next that is
        here = Here(Scope(component.id, component.file), axis="along")
        pair = evaluator.amount(place, here), evaluator.amount(value, here._replace(axis=axis))
        for amount, node in zip(pair, (place, value), strict=True):
            if amount.dimension != LENGTH:
                raise Trouble(
                    Diagnostic(
                        "missing-unit",
                        "error",
                        f"the cells of '{line}' are lengths and need a unit",
                        node.span,
                        (),
                        f"write it in the column's head: {line} [mm]",
                    )
                )
        found.append((pair[0].term, pair[1].term))
    if not found:
        raise Trouble(
            Diagnostic(
                "bad-table", "error", f"the line '{line}' is nowhere measured", table.columns[across].span
            )
        )
    return found
