"""Tables of a spec with their bars in line."""

import re
from collections.abc import Sequence
from itertools import pairwise

from ringwright.lang.tidy.scan import scan, width
from ringwright.lang.tidy.spacing import spaced

# A bar inside a string is none.
_BARS = re.compile(r'"(?:\\.|[^"\\])*"?|\|')
_PLAIN = re.compile(r"[+-]?\d+(?:\.\d+)?")


def aligned(rows: Sequence[str]) -> list[str]:
    """Return the lines of one table, bars and decimal points in line.

    rows: as written, the head first, all of as many cells.
    """
    cells = [cells_of(row, head=number == 0) for number, row in enumerate(rows)]
    columns = [_column(list(column)) for column in zip(*cells, strict=True)]
    return [f"| {' | '.join(row)} |" for row in zip(*columns, strict=True)]


def cells_of(row: str, head: bool) -> list[str]:
    """Return the cells of a row, blanks as they ought to be inside each."""
    bars = [match.start() for match in _BARS.finditer(row) if match[0] == "|"]
    parts = [row[left + 1 : right].strip() for left, right in pairwise(bars)]
    return [_head(part) if head else _cell(part) for part in parts]


def _head(text: str) -> str:
    """A name, with its unit in brackets where it has one."""
    name, bracket, unit = text.partition("[")
    return f"{name.strip()} [{''.join(unit.split())}" if bracket else text


def _cell(text: str) -> str:
    return text if _PLAIN.fullmatch(text) else spaced(scan(text))


def _column(cells: list[str]) -> list[str]:
    """Fill the cells of a column to one width, with decimal points in line where all are numbers."""
    numbers = [_PLAIN.fullmatch(cell) for cell in cells[1:]]
    if all(number or not cell for number, cell in zip(numbers, cells[1:], strict=True)):
        cells[1:] = _by_points(cells[1:])
    room = max(map(width, cells))
    return [cell + " " * (room - width(cell)) for cell in cells]


def _by_points(cells: Sequence[str]) -> list[str]:
    """Shift numbers (and empty cells) to the right so that their decimal points stand in line."""
    before = [len(cell.partition(".")[0]) for cell in cells]
    most = max(before, default=0)
    return [" " * (most - length) + cell if cell else "" for cell, length in zip(cells, before, strict=True)]
