"""The cut list: a row a part, as a table for spreadsheets and as one for the terminal."""

import unicodedata
from typing import NamedTuple

from ringwright.backends.manifest import part_label, part_size
from ringwright.backends.record import BuildRecord, Piece, Place, sheets_of_parts
from ringwright.backends.sizes import INCH
from ringwright.geometry.numbers import counted, fixed, total
from ringwright.geometry.part import Part, number_of

COLUMNS = (
    "part", "label", "hand", "stock", "quantity",
    "width_mm", "height_mm", "area_cm2", "cut_length_mm", "mass_g", "sheets",
)  # fmt: skip
_FORMULA = "=+-@＝＋－＠"  # what a spreadsheet takes for the start of a formula, wide forms too
_GAP = "  "


def cut_list_csv(record: BuildRecord) -> str:
    r"""The cut list as comma-separated values (RFC 4180, UTF-8 without a mark), a part a row, sorted by id; behind them the pieces of strip.

    Lines end in '\n', not in the CRLF of that memo: readers take both, and version control then leaves the
    bytes as they are, as with all texts of a build. Sizes, area, length and mass are of one copy; the mass
    is empty where the stock has none. `sheets` names those that hold a copy as their files do ('board-1
    board-2').
    """
    sheets = sheets_of_parts(sorted(record.sheets, key=lambda sheet: sheet.place))
    rows = [
        COLUMNS,
        *(_row(part, sheets.get(part.id, ())) for part in sorted(record.parts, key=lambda p: p.id)),
        *(_of_strip(piece) for piece in record.pieces),
    ]
    return "".join(",".join(map(_quoted, row)) + "\n" for row in rows)


def cut_list_table(record: BuildRecord, width: int = 80) -> str:
    """The cut list for the terminal: aligned, sizes in the model's unit, sums in the last line.

    It is no wider than `width` columns: where there is no room, first the mass and then the sheets are left
    out, then long ids and at last names of stock lose their beginning.
    """
    sheets = sheets_of_parts(sorted(record.sheets, key=lambda sheet: sheet.place))
    unit, scale, decimals = ("in", INCH, 2) if record.model.unit == "in" else ("mm", 1.0, 1)
    parts = sorted(record.parts, key=lambda p: p.id)
    columns = [
        _Column("part", [part.id for part in parts], False),
        _Column("copies", [str(part.quantity) for part in parts], True),
        _Column("stock", [part.stock.name for part in parts], False),
        *(
            _Column(head, [fixed(part_size(part)[axis] / scale, decimals) for part in parts], True)
            for axis, head in enumerate((f"width {unit}", f"height {unit}"))
        ),
        _Column("sheets", [_numbers(sheets.get(part.id, ())) for part in parts], False),
        _Column("mass g", [_or_dash(part.properties.mass) for part in parts], True),
    ]
    while len(columns) > 5 and _wide(columns) > width:
        columns.pop()
    for index in (0, 2):
        columns[index] = columns[index].narrowed(columns[index].width() - (_wide(columns) - width))
    lines = [_GAP.join(row).rstrip() for row in zip(*(column.filled() for column in columns), strict=True)]
    return "\n".join([*lines, _sums(record)]) + "\n"


class _Column(NamedTuple):
    """A column of the table; figures stand to the right."""

    head: str
    cells: list[str]
    right: bool

    def width(self) -> int:
        """Columns of the terminal that it takes."""
        return max(map(columns_of, [self.head, *self.cells]))

    def filled(self) -> list[str]:
        """Head and cells, filled up to the column's width."""
        width = self.width()
        texts = [(" " * (width - columns_of(text)), text) for text in [self.head, *self.cells]]
        return [fill + text if self.right else text + fill for fill, text in texts]

    def narrowed(self, width: int) -> "_Column":
        """No wider than that: a long text keeps its end, which tells the parts of a component apart."""
        room = max(width, columns_of(self.head))
        return self._replace(cells=[_end_of(text, room) for text in self.cells])


def columns_of(text: str) -> int:
    """Columns of a terminal that a text takes: none for a combining mark, two for a wide character."""
    if text.isascii():
        return len(text)
    return sum(
        0 if unicodedata.combining(sign) or unicodedata.category(sign) in ("Mn", "Me", "Cf")
        else 2 if unicodedata.east_asian_width(sign) in ("W", "F")
        else 1
        for sign in text
    )  # fmt: skip


def _end_of(text: str, width: int) -> str:
    if columns_of(text) <= width:
        return text
    while columns_of(text) > width - 1:
        text = text[1:]
    return "…" + text


def _wide(columns: list[_Column]) -> int:
    return sum(column.width() for column in columns) + len(_GAP) * (len(columns) - 1)


def _or_dash(mass: float | None) -> str:
    return "–" if mass is None else fixed(mass, 1)


def _numbers(sheets: tuple[Place, ...]) -> str:
    """Numbers of whole sheets, behind the names of offcuts."""
    offcuts = [number_of(sheet) for sheet in sheets if sheet[2]]
    whole = _ranges([index for _, index, offcut in sheets if not offcut])
    return ", ".join([*offcuts, *([whole] if whole else [])])


def _ranges(numbers: list[int]) -> str:
    """Whole numbers in rising order, runs of three and more as '2–5'."""
    runs: list[list[int]] = []
    for number in numbers:
        if runs and number == runs[-1][-1] + 1:
            runs[-1].append(number)
        else:
            runs.append([number])
    return ", ".join(f"{run[0]}–{run[-1]}" if len(run) > 2 else ", ".join(map(str, run)) for run in runs)


def _sums(record: BuildRecord) -> str:
    copies = sum(part.quantity for part in record.parts)
    masses = [p.properties.mass * p.quantity for p in record.parts if p.properties.mass is not None]
    weight = f", {fixed(total(masses), 1)} g" if masses else ""
    return f"{counted(copies, 'piece')} on {counted(len(record.sheets), 'sheet')}{weight}"


def _row(part: Part, sheets: tuple[Place, ...]) -> tuple[str, ...]:
    width, height = part_size(part)
    own = part.properties
    return (
        _safe(part.id),
        _safe(part_label(part)),
        _safe(part.hand),
        _safe(part.stock.name),
        str(part.quantity),
        fixed(width, 2),
        fixed(height, 2),
        fixed(own.area / 100, 2),
        fixed(own.cut_length, 1),
        "" if own.mass is None else fixed(own.mass, 2),
        _safe(" ".join(f"{sheet[0]}-{number_of(sheet).replace(' ', '-')}" for sheet in sheets)),
    )


def _of_strip(piece: Piece) -> tuple[str, ...]:
    """The row of a piece of strip: its length and its section's width, its area in the saw's view left empty."""
    return (
        _safe(piece.id), _safe(piece.id), "", _safe(piece.strip), str(piece.quantity),
        fixed(piece.long, 2), fixed(piece.section[0], 2), "", "",
        "" if piece.mass is None else fixed(piece.mass, 2),
        _safe(" ".join(f"{piece.strip}-{bar}" for bar in piece.bars)),
    )  # fmt: skip


def _safe(text: str) -> str:
    """A text that a spreadsheet would run as a formula, with an apostrophe before it."""
    return "'" + text if text.lstrip()[:1] in tuple(_FORMULA) or text[:1] in ("\t", "\r", "\n") else text


def _quoted(cell: str) -> str:
    return '"' + cell.replace('"', '""') + '"' if set(cell) & set(',"\r\n') else cell
