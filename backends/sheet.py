"""A sheet and what is cut from it as a drawing, worked out once for all formats.

For machines the page is the stock and nothing else. For eyes the stock stands in a page with a title block, a
legend and bars to measure (`page.py`).
"""

from collections import Counter
from collections.abc import Iterator
from typing import NamedTuple

from ringwright.backends.beside import row_box, set_in
from ringwright.backends.drawing import (
    NARROW,
    Drawing,
    Group,
    Item,
    Stroke,
    Text,
    lettering,
    long_dash_dot,
    moved_item,
    rectangle,
    text_box,
)
from ringwright.backends.dress import Dressed, dress
from ringwright.backends.kerf import compensated
from ringwright.backends.label import LEAST, copy_words, label_rows, name_row
from ringwright.backends.offcuts import edges, left_over
from ringwright.backends.on_waste import key_line, sheet_line, word_in_opening
from ringwright.backends.outside import Key, compass_point, words_beside
from ringwright.backends.page import BOARD, Template, framed, sheet_fields
from ringwright.backends.part_lines import shifted
from ringwright.backends.record import BuildRecord
from ringwright.backends.sizes import size_words, stock_words
from ringwright.backends.waste import Waste
from ringwright.geometry.part import Part, Placed, Sheet
from ringwright.geometry.path import Path, length, moved, point_at
from ringwright.geometry.recall import recalled

_BETWEEN = " · "
MANY = 6
"""Parts on a sheet from which on drawing it takes longer than to remember it."""


class Content(NamedTuple):
    """What lies on a sheet, in the sheet's own frame.

    key: what stands on or by a part, and the words that it stands for. left_over: names of offcuts.
    """

    groups: tuple[Group, ...]
    key: tuple[tuple[str, str], ...]
    waste: Waste
    left_over: tuple[Item, ...] = ()


def sheet_drawing(record: BuildRecord, sheet: Sheet, eyes: bool, date: str) -> Drawing:
    """The drawing of a sheet: for eyes with title block, legend and check bars, for machines the stock alone.

    date: what the title block says, '' for none.
    """
    content = sheet_content(record, sheet)
    return for_eyes(record, sheet, content, date) if eyes else for_machines(record, sheet, content)


def sheet_drawings(record: BuildRecord, sheet: Sheet, date: str) -> tuple[Drawing, Drawing]:
    """The drawings of a sheet for machines and for eyes, with one search for the places of the lettering."""
    content = sheet_content(record, sheet)
    return for_machines(record, sheet, content), for_eyes(record, sheet, content, date)


class Drawn(NamedTuple):
    """A sheet for machines, and for eyes; None for what is not asked for."""

    machine: Drawing | None
    eyes: Drawing | None


def drawn(record: BuildRecord, sheet: Sheet, wanted: tuple[bool, bool], dimensions: bool, date: str) -> Drawn:
    """A sheet drawn for machines, for eyes or both, with one search for the places of the lettering.

    Where many parts lie on it that search is long: a memory that is at hand keeps what came of it.
    """
    draw = _recalled_drawn if len(sheet.placements) >= MANY else _drawn
    return draw(_concerning(record, sheet), sheet, wanted, dimensions, date)


def _concerning(record: BuildRecord, sheet: Sheet) -> BuildRecord:
    """What of a record a sheet is drawn from: its parts, the model, how it is cut, and how many sheets there are."""
    there = {placed.part for placed in sheet.placements}
    return BuildRecord(
        "",
        record.model,
        (),
        (),
        (),
        tuple(part for part in record.parts if part.id in there),
        tuple(
            other._replace(placements=(), used=0.0) for other in record.sheets if other.stock == sheet.stock
        ),
        record.cutting,
        (),
        colours=record.colours,
    )


def _drawn(
    record: BuildRecord, sheet: Sheet, wanted: tuple[bool, bool], dimensions: bool, date: str
) -> Drawn:
    content = sheet_content(record, sheet, dimensions)
    machine, eyes = wanted
    return Drawn(
        for_machines(record, sheet, content) if machine else None,
        for_eyes(record, sheet, content, date) if eyes else None,
    )


_recalled_drawn = recalled(_drawn)


def sheet_content(record: BuildRecord, sheet: Sheet, dimensions: bool = False) -> Content:
    """Every part of a sheet with its lettering: within the parts first, then beside them in the waste.

    dimensions: whether sizes are drawn, where they find room.
    """
    parts = {part.id: part for part in record.parts}
    dressed: dict[tuple[str, float], Dressed] = {}
    bodies: list[tuple[Placed, Dressed, Part]] = []
    for placed in sheet.placements:
        case = (placed.part, placed.rotation)
        if case not in dressed:
            dressed[case] = dress(parts[placed.part], placed.rotation, record.model)
        body = dressed[case]
        bodies.append((placed, body, shifted(body.part, (placed.x, placed.y))))

    waste = _waste(sheet, bodies)
    key = Key()
    alike = Counter(placed.part for placed in sheet.placements)
    drawn = []
    for placed, body, part in bodies:
        by = (placed.x, placed.y)
        items = [moved_item(item, by) for item in (*body.strokes, *body.words)]
        items = [item for item in items if not _lies_on_another(item, part, waste)]
        items += [moved_item(_copy_of(text, part.quantity, placed.copy), by) for text in body.label]
        rows = tuple(_copied(row, part.quantity, placed.copy) for row in body.left)
        items += words_beside(part, body, by, rows, waste, key, alike[part.id])
        drawn.append(items)

    for (placed, _, part), items in zip(bodies, drawn, strict=True):
        items += compass_point(part, (placed.x, placed.y), waste)

    if dimensions:
        _dimension(record, bodies, drawn, waste)

    groups = []
    for number, ((placed, body, part), items) in enumerate(zip(bodies, drawn, strict=True), 1):
        # 'Waste' is least needed and stands where nothing else does.
        most = max((text.height for text in body.label), default=0.0)
        words = (word_in_opening(hole, waste, most) for hole in part.holes)
        items += [word for word in words if word]
        title = name_row(part)
        if part.quantity > 1:
            title += f", {copy_words(placed.copy, part.quantity)}"
        rows = label_rows(
            parts[placed.part], placed.copy, record.model.revision, record.model.unit, record.model.fraction
        )
        groups.append(Group(f"{_xml_name(part.id)}-{number}", title, "; ".join(rows), tuple(items)))
    return Content(tuple(groups), key.entries(), waste, tuple(_left_over_names(record, sheet, waste)))


def _dimension(
    record: BuildRecord,
    bodies: list[tuple[Placed, Dressed, Part]],
    drawn: list[list[Item]],
    waste: Waste,
) -> None:
    """Add dimensions to what is drawn of each part, and take their places from the waste."""
    from ringwright.backends.dimension import dimensioned, drawn_lines

    lines = drawn_lines([item for items in drawn for item in items])
    seen: set[str] = set()
    for (placed, _, part), items in zip(bodies, drawn, strict=True):
        if part.id in seen:  # one of several like pieces says it for all
            continue
        seen.add(part.id)
        size = (waste.width, waste.height)
        found, lines = dimensioned(part, placed.rotation, record.model.unit, lines, size)
        items += found
        for item in found:
            if isinstance(item, Text):
                waste.keep_clear(Path(text_box(item), (0.0,) * 4, True))
            else:
                waste.keep_clear(item.path)


def _left_over_names(record: BuildRecord, sheet: Sheet, waste: Waste) -> Iterator[Item]:
    """What is worth keeping of a sheet, with its size, where it lies."""
    import numpy as np

    for left, low, right, high in left_over(record, sheet):
        words = f"offcut {size_words(right - left, high - low, record.model.unit)}"
        flat = row_box(words, 3.5, (0.0, 0.0), 0.0)
        steps = (0.5, 0.35, 0.65, 0.2, 0.8)
        centres = [(left + a * (right - left), low + b * (high - low)) for b in steps for a in steps]
        free = waste.free(np.array(centres), flat.width + 2.0, flat.height + 2.0).tolist()
        if free:
            box = flat._replace(centre=(free[0][0], free[0][1]))
            waste.keep_box(box)
            yield set_in(box, words, 3.5, "info")


def for_machines(record: BuildRecord, sheet: Sheet, content: Content) -> Drawing:
    """The stock alone, with one line on the waste that tells the sheet from all others.

    Lines that are cut are moved for the kerf, and parts that lie in openings of others come before those. Raises
    GeometryError where the kerf leaves nothing of an opening.
    """
    words = sheet_words(record, sheet)
    groups = [compensated(group, record.cutting.kerf) for group in _inner_first(content)]
    groups += _board(sheet)
    key = [f"{letter} = {label}" for letter, label in content.key]
    waste = content.waste.copy()
    found = [*content.left_over, *sheet_line(words, (3.5, LEAST), waste)]
    for letter, label in content.key:
        found += key_line(letter, label, waste)
    if found:
        groups.append(Group("sheet", words, "", tuple(found)))
    return Drawing(*sheet.size, words, "; ".join(key), tuple(groups), colours=record.colours)


def for_eyes(record: BuildRecord, sheet: Sheet, content: Content, date: str) -> Drawing:
    """The stock in a page with title block, legend and check bars."""
    words = sheet_words(record, sheet)
    groups = (*content.groups, *_board(sheet))
    if content.left_over:
        groups = (*groups, Group("sheet", words, "", content.left_over))
    drawing = Drawing(*sheet.size, words, "", groups)
    return framed(drawing, record.model, sheet, sheet_count(record, sheet), content.key, date)


def template_of(record: BuildRecord, sheet: Sheet, content: Content, date: str) -> Template:
    """The stock with its edge, to be printed on pages."""
    words = sheet_words(record, sheet)
    edge = Stroke("info", rectangle(0.0, 0.0, *sheet.size), NARROW)
    groups = (*content.groups, *_board(sheet), Group("edge", "Edge of the sheet", "", (edge,)))
    fields = sheet_fields(record.model, sheet, sheet_count(record, sheet), date)
    return Template(Drawing(*sheet.size, words, "", groups), fields, content.key, record.model.unit)


def _board(sheet: Sheet) -> Iterator[Group]:
    """The edge of an offcut and the damage in it, so that it can be laid where the drawing has it."""
    if sheet.offcut is not None and edges(sheet):
        lines = (sheet.offcut.outline, *sheet.offcut.holes)
        strokes = tuple(Stroke("info", path, NARROW) for path in lines)
        yield Group(BOARD, f"Edge and damage of {sheet.number}", "", strokes)


def sheet_count(record: BuildRecord, sheet: Sheet) -> int:
    """How many whole sheets of the same stock there are, those counted that a layout left empty in between."""
    return max(other.index for other in record.sheets if other.stock.name == sheet.stock.name)


def sheet_words(record: BuildRecord, sheet: Sheet) -> str:
    """One line that tells a sheet from all others."""
    model = record.model
    return _BETWEEN.join(
        (
            model.heading,
            stock_words(sheet.stock, model.unit, model.fraction),
            sheet.number if sheet.offcut else f"sheet {sheet.index} of {sheet_count(record, sheet)}",
        )
    )


def _inner_first(content: Content) -> list[Group]:
    """The parts of a sheet, those within others first: what is cut out already cannot be cut into."""

    def depth(group: Group) -> int:
        outline = next(item for item in reversed(group.items) if item.layer == "cut")
        assert isinstance(outline, Stroke)
        (x, y), (tx, ty) = point_at(outline.path, length(outline.path) / 2)
        return len(content.waste.holding(x - 0.05 * ty, y + 0.05 * tx))

    return sorted(content.groups, key=lambda group: -depth(group))


def _waste(sheet: Sheet, bodies: list[tuple[Placed, Dressed, Part]]) -> Waste:
    """What is left over of a sheet; centre lines that run over a part's edge are kept clear of too."""
    crosses = [
        moved(item.path, (placed.x, placed.y))
        for placed, body, _ in bodies
        for item in body.strokes
        if isinstance(item, Stroke) and item.dashes and item.layer == "mark"
    ]
    parts = [(part.outline, *part.holes) for _, _, part in bodies]
    return Waste(*sheet.size, parts, crosses, edges(sheet))


def _lies_on_another(item: Item, part: Part, waste: Waste) -> bool:
    """Whether an item is a centre line in an opening, over a part that is cut from what falls out there."""
    if not part.holes or not isinstance(item, Stroke) or item.dashes != long_dash_dot(NARROW):
        return False
    (x0, y0), (x1, y1) = item.path.points
    x, y = (x0 + x1) / 2, (y0 + y1) / 2
    # Inside its own outline alone it is on the part itself, or over what falls out.
    return len(waste.holding(x, y)) > 1 and waste.is_on_part(x, y)


def _copy_of(text: Text, quantity: int, copy: int) -> Text:
    """The row of a label that was set for the last copy, for another copy."""
    words = _copied(text.text, quantity, copy)
    if words == text.text:
        return text
    return lettering(text.layer, text.at, words, text.height, text.rotation, text.anchor)


def _copied(row: str, quantity: int, copy: int) -> str:
    return row.replace(copy_words(quantity, quantity), copy_words(copy, quantity))


def _xml_name(text: str) -> str:
    """A valid XML name from an id: other characters than ASCII letters, digits, '.', '-' become '_'."""
    return "part-" + "".join(c if c.isascii() and (c.isalnum() or c in ".-_") else "_" for c in text)
