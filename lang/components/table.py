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
