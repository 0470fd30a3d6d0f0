"""A table of offsets as it is written: what its columns may be called, and what a cell says."""

from collections.abc import Iterator

from ringwright.lang.diagnostics.diagnostic import Diagnostic, Label
from ringwright.lang.diagnostics.suggest import suggest
from ringwright.lang.source import Span
from ringwright.lang.syntax import nodes

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


def as_meant(table: nodes.Table) -> nodes.Table:
    """Return a table whose head has faults as it was probably meant, so that nothing else is missed in it.

    Columns have the names that are nearest, those with nothing near are left out; cells that lack a unit are mm.
    """
    bare, taken = _without_unit(table), {column.name for column in table.columns}
    kept = []
    for i, column in enumerate(table.columns):
        near = column.name if _is_known(column.name) else suggest(column.name, ("station", "x", *LINES))
        if near is not None and (near == column.name or near not in taken):
            kept.append((i, column._replace(name=near, unit="mm" if column in bare else column.unit)))
    return table._replace(
        columns=tuple(column for _, column in kept),
        rows=tuple(tuple(row[i] for i, _ in kept) for row in table.rows),
    )


def unit_faults(table: nodes.Table) -> Iterator[Diagnostic]:
    """Yield the heads of columns whose cells are bare numbers: the unit is missing once, not in each cell."""
    bare = _without_unit(table)
    if bare:
        names = " and ".join(f"'{column.name}'" for column in bare)
        first = bare[0]
        yield Diagnostic(
            "missing-unit",
            "error",
            f"the cells of {names} are lengths and need a unit",
            first.span,
            tuple(Label(column.span, "and here") for column in bare[1:]),
            f"write it in the column's head: {first.name} [mm], or [@mm] where it is measured on the plan",
        )


def _without_unit(table: nodes.Table) -> list[nodes.Column]:
    bare = []
    for i, column in enumerate(table.columns):
        cells = [value for row in table.rows if (value := row[i].value) is not None]
        if column.unit is None and cells and column.name != "station" and all(map(_is_bare, cells)):
            bare.append(column)
    return bare


def _is_bare(node: nodes.Expression) -> bool:
    inner = node.operand if isinstance(node, nodes.Sign) else node
    return isinstance(inner, nodes.Number) and inner.unit is None


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


def own_lines(table: nodes.Table) -> tuple[str, ...]:
    """Return the lines of one's own that both a half breadth and a height are given for, in the order of the text."""
    names = [column.name for column in table.columns]
    lines = [name.removesuffix(".half") for name in names if name.endswith(".half")]
    return tuple(line for line in lines if f"{line}.height" in names)


def line_names(table: nodes.Table) -> tuple[str, ...]:
    """Return the lines of a table."""
    return tuple(c.name for c in table.columns if c.name not in ("station", "x"))
