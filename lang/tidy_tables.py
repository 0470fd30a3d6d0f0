"""Tables of a spec with their bars in line."""

import re
from collections.abc import Sequence

from ringwright.lang.tidy_scan import scan, width
from ringwright.lang.tidy_spacing import spaced

# A bar inside a string is none.
_BARS = re.compile(r'"(?:\\.|[^"\\])*"?|\|')
_PLAIN = re.compile(r"[+-]?(\d+)(\.\d+)?")


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
    parts = [row[left + 1 : right].strip() for left, right in zip(bars, bars[1:], strict=False)]
    return [_head(part) if head else _cell(part) for part in parts]


def _head(text: str) -> str:
    """A name, with its unit in brackets where it has one."""
    name, bracket, unit = text.partition("[")
    return f"{name.strip()} [{''.join(unit.split())}" if bracket else text


def _cell(text: str) -> str:
    return text if _PLAIN.fullmatch(text) else spaced(scan(text))


def _column(cells: list[str]) -> list[str]:
    """Fill the cells of a column to one width: numbers from the right by their points, all else from the left."""
    matches = [_PLAIN.fullmatch(cell) for cell in cells[1:]]
    if any(matches) and all(match or not cell for match, cell in zip(matches, cells[1:], strict=True)):
        behind = [len(match[2] or "") if match else 0 for match in matches]
        most = max(behind)
        cells[1:] = [cell + " " * (most - length) for cell, length in zip(cells[1:], behind, strict=True)]
        room = max(map(width, cells))
        return [cells[0] + " " * (room - width(cells[0])), *(cell.rjust(room) for cell in cells[1:])]
    room = max(map(width, cells))
    return [cell + " " * (room - width(cell)) for cell in cells]
