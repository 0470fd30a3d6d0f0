"""Tables: lines of bars taken apart into a head, columns and cells."""

import re
from collections.abc import Callable, Iterator
from itertools import pairwise
from typing import TYPE_CHECKING, NamedTuple

from ringwright.lang.diagnostics.diagnostic import Label
from ringwright.lang.diagnostics.suggest import suggest
from ringwright.lang.source import Span
from ringwright.lang.syntax import nodes
from ringwright.lang.syntax.slips import MAX_DEPTH, MAX_NAME, quote
from ringwright.lang.units import UNITS, find_unit

if TYPE_CHECKING:
    from ringwright.lang.syntax.node_builder import NodeBuilder

MAX_COLUMNS = 50
MAX_ROWS = 200
# A bar inside a string is none; a string that is not closed ends with its row.
_BARS = re.compile(r'"(?:\\.|[^"\\])*"?|\|')
_HEAD = re.compile(r"([A-Za-z][A-Za-z0-9_]*(?:\.[A-Za-z0-9_]+)*)\s*(?:\[\s*(@?)\s*([^\s@\]]*)\s*\])?")


class Row(NamedTuple):
    """One line of bars, not yet taken apart."""

    text: str
    span: Span


class OpenTable:
    """A table whose rows are still coming. sound: its head could be read, and it is not too large."""

    def __init__(self, columns: tuple[nodes.Column, ...], head: Span, sound: bool) -> None:
        self.columns = columns
        self.head = head
        self.sound = sound
        self.rows: list[tuple[nodes.Cell, ...]] = []
        self.end = head.end

    @property
    def span(self) -> Span:
        """The table from its head to its last row."""
        return Span(self.head.source, self.head.start, self.end)

    def closed(self) -> nodes.Table | None:
        """Return the whole table, None where it is not sound."""
        return nodes.Table(self.columns, tuple(self.rows), self.span) if self.sound else None


def read_head(builder: "NodeBuilder", row: Row) -> OpenTable:
    """Return a table of the columns that its first row names."""
    columns: list[nodes.Column] = []
    for text, span in _cells(builder, row):
        if len(columns) == MAX_COLUMNS:
            builder.spoil("table-too-large", f"a table has at most {MAX_COLUMNS} columns", span)
            break
        columns.append(nodes.Column("", None, False, span))
        match = _HEAD.fullmatch(text)
        if match is None:
            builder.spoil(
                "bad-column",
                f"{quote(text)} is no column's head" if text else "this column has no head",
                span,
                "write a name and, where its numbers are bare, their unit: half [mm]",
            )
            continue
        name, mark, unit = match.group(1), match.group(2), match.group(3)
        if max(map(len, name.split("."))) > MAX_NAME:
            builder.spoil("name-too-long", f"a name has at most {MAX_NAME} characters", span)
            continue
        if unit and find_unit(unit) is None:
            nearest = suggest(unit, UNITS)
            start = span.start + match.start(3)
            builder.spoil(
                "unknown-unit",
                f"there is no unit {quote(unit)}",
                Span(span.source, start, start + len(unit)),
                f"did you mean '{nearest}'?" if nearest else "",
            )
        columns[-1] = nodes.Column(name, unit or None, bool(mark), span)
    return OpenTable(tuple(columns), row.span, sound=not _spoilt(builder, row))


def read_row(
    builder: "NodeBuilder",
    row: Row,
    table: OpenTable,
    read_cell: "Callable[[NodeBuilder, int, int], nodes.Expression | None]",
) -> None:
    """Add a row to its table. One with another number of cells than the head is an error."""
    table.end = row.span.end
    if len(table.rows) >= MAX_ROWS:
        if table.sound:
            builder.report("table-too-large", f"a table has at most {MAX_ROWS} rows", row.span)
        table.sound = False
        return
    cells = list(_cells(builder, row))
    wanted = len(table.columns)
    if table.sound and not builder.bad and len(cells) != wanted:
        builder.report(
            "ragged-row",
            f"this row has {len(cells)} cells, its table has {wanted} columns",
            row.span,
            "a cell that is not given stays empty between its bars",
            (Label(table.head, "the columns"),),
        )
        builder.unread.append(row.span)
        return
    values = []
    for text, span in cells:
        value = read_cell(builder, span.start, span.end) if text else None
        if value is not None and len(text) > MAX_DEPTH:
            builder.check_depth(value)
        values.append(nodes.Cell(value, span))
    if not _spoilt(builder, row):
        table.rows.append(tuple(values))


def _spoilt(builder: "NodeBuilder", row: Row) -> bool:
    if not builder.bad or builder.bad[-1] < row.span.start:
        return False
    builder.forget(row.span.start)
    builder.unread.append(row.span)
    return True


def _cells(builder: "NodeBuilder", row: Row) -> Iterator[tuple[str, Span]]:
    """Yield each cell's text without blanks around it, and where it stands.

    An empty cell stands between its bars.
    """
    text, where = row
    bars = [match.start() for match in _BARS.finditer(text) if match[0] == "|"]
    if bars[-1] != len(text) - 1 or len(bars) == 1:
        start = where.start + bars[-1]
        builder.spoil(
            "row-not-closed",
            "this row does not end with a bar",
            Span(where.source, start, where.end),
            "put | behind its last cell",
        )
        return
    for left, right in pairwise(bars):
        inner = text[left + 1 : right]
        plain = inner.strip(" \t")
        start = where.start + left + 1
        if plain:
            start += inner.index(plain[0])
        yield plain, Span(where.source, start, start + len(plain or inner))
