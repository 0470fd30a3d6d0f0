"""A sheet and what is cut from it as a drawing, worked out once for all formats.

For machines the page is the stock and nothing else. For eyes the stock stands in a page with a title block, a
legend and bars to measure (`page.py`).
"""

from typing import NamedTuple

from ringwright.backends.beside import directions, place_direction, place_note, row_box, set_in
from ringwright.backends.drawing import Drawing, Group, Item, Stroke, Text, lettering, moved_item
from ringwright.backends.label import (
    Spots,
    copy_words,
    label_rows,
    name_row,
    place_label,
    set_rows,
    spots,
)
from ringwright.backends.outside import Waste, label_outside, sheet_line, word_in_opening
from ringwright.backends.page import framed
from ringwright.backends.part_lines import Note, bevel_arrows, part_notes, part_strokes, shifted, turned_part
from ringwright.backends.record import BuildRecord
from ringwright.backends.room import Room
from ringwright.geometry.numbers import short
from ringwright.geometry.part import Part, Placed, Sheet
from ringwright.geometry.path import Path, Point, moved


class Dressed(NamedTuple):
    """A part turned as it lies on the sheet, with its lines and all lettering that found space within it.

    label: rows of the label, () where even the name did not fit. missing: notes that did not fit.
    targets: where the dot of a leader may lie, first the point with most space about it.
    """

    part: Part
    strokes: tuple[Item, ...]
    label: tuple[Text, ...]
    words: tuple[Item, ...]
    missing: tuple[Note, ...]
    targets: tuple[Point, ...]


class Content(NamedTuple):
    """What lies on a sheet, in the sheet's own frame.

    key: letter and label of parts that bear a letter alone.
    """

    groups: tuple[Group, ...]
    key: tuple[tuple[str, str], ...]
    waste: Waste


def sheet_drawing(record: BuildRecord, sheet: Sheet, eyes: bool, date: str) -> Drawing:
    """The drawing of a sheet: for eyes with title block, legend and check bars, for machines the stock alone.

    date: what the title block says, '' for none.
    """
    content = sheet_content(record, sheet)
    return _for_eyes(record, sheet, content, date) if eyes else _for_machines(record, sheet, content)


def sheet_drawings(record: BuildRecord, sheet: Sheet, date: str) -> tuple[Drawing, Drawing]:
    """The drawings of a sheet for machines and for eyes, with one search for the places of the lettering."""
    content = sheet_content(record, sheet)
    return _for_machines(record, sheet, content), _for_eyes(record, sheet, content, date)


def sheet_content(record: BuildRecord, sheet: Sheet) -> Content:
    """Every part of a sheet with its lettering: within the parts first, then beside them in the waste."""
    parts = {part.id: part for part in record.parts}
    dressed: dict[tuple[str, float], Dressed] = {}
    bodies: list[tuple[Placed, Dressed, Part]] = []
    for placed in sheet.placements:
        case = (placed.part, placed.rotation)
        if case not in dressed:
            dressed[case] = dress(parts[placed.part], placed.rotation, record)
        body = dressed[case]
        bodies.append((placed, body, shifted(body.part, (placed.x, placed.y))))

    rings = [ring for _, _, part in bodies for ring in (part.outline, *part.holes)]
    crosses = [
        moved(item.path, (placed.x, placed.y))
        for placed, body, _ in bodies
        for item in body.strokes
        if isinstance(item, Stroke) and item.dashes and item.layer == "mark"
    ]
    waste = Waste(sheet.stock.width, sheet.stock.height, rings, crosses)
    groups: list[Group] = []
    key: list[tuple[str, str]] = []
    for number, (placed, body, part) in enumerate(bodies, 1):
        by = (placed.x, placed.y)
        rows = label_rows(parts[placed.part], placed.copy, record.model.revision, record.model.unit)
        items = [moved_item(item, by) for item in (*body.strokes, *body.words)]
        items += [moved_item(_copy_of(text, part.quantity, placed.copy), by) for text in body.label]
        items += _beside_part(part, body, by, rows, waste, key)
        title = name_row(part)
        if part.quantity > 1:
            title += f", {copy_words(placed.copy, part.quantity)}"
        groups.append(Group(f"{_xml_name(part.id)}-{number}", title, "; ".join(rows), tuple(items)))
    return Content(tuple(groups), tuple(key), waste)


def dress(part: Part, rotation: float, record: BuildRecord) -> Dressed:
    """A part turned by `rotation` degrees, with its label, notes and arrows set within it where they fit."""
    body = turned_part(part, rotation)
    arrows = bevel_arrows(body)
    strokes = part_strokes(body, arrows)
    along = [stroke.path for stroke in strokes if stroke.layer not in ("cut", "peel")]
    rings = (body.outline, *body.holes)
    rows = label_rows(part, part.quantity, record.model.revision, record.model.unit)
    notes = part_notes(body, arrows)

    # Notes have the least choice of place and go first, unless the name then finds none.
    room = Room(rings, body.peels, along)
    places = spots(rings, rotation, room)
    words, missing = _place_notes(notes, room)
    label = place_label(rows, name_row(part), body.outline, room, places, rotation)
    if label:
        room.take(label[1])
    elif words:
        room = Room(rings, body.peels, along)
        label = place_label(rows, name_row(part), body.outline, room, places, rotation)
        if label:
            room.take(label[1])
        words, missing = _place_notes(notes, room)

    texts: tuple[Text, ...] = ()
    if label:
        form, box = label
        texts = tuple(form.texts(box))
        if len(form.rows) > 1:
            for direction in directions(part, rotation):
                words += place_direction(direction, room, places)
    return Dressed(body, tuple(strokes), texts, tuple(words), tuple(missing), _targets(places, body.outline))


def _place_notes(notes: list[Note], room: Room) -> tuple[list[Item], list[Note]]:
    """Notes set within a room, and those that find no space there."""
    words: list[Item] = []
    missing = []
    for note in notes:
        item = place_note(note, room)
        if item:
            words.append(item)
        else:
            missing.append(note)
    return words, missing


def _beside_part(
    part: Part, body: Dressed, by: Point, rows: tuple[str, ...], waste: Waste, key: list[tuple[str, str]]
) -> list[Item]:
    """What stands in the waste for a part: lettering that found no space in it, 'waste' in its openings.

    What finds no space there either goes into the key, a label under a letter that the part bears.
    """
    items: list[Item] = []
    targets = [(x + by[0], y + by[1]) for x, y in body.targets]
    if not body.label:
        forms = [
            set_rows(rows, 3.5, 2.5),
            set_rows(rows[:2], 2.5, 2.5),
            set_rows((name_row(part),), 2.5, 2.5),
        ]
        found = label_outside(forms, targets, part.outline, waste)
        if found is None:
            letter = _letter(len(key))
            key.append((letter, _BETWEEN.join(rows[:2])))
            found = _letter_within(letter, targets[0], part)
        items += found
    for note in body.missing:
        found = label_outside(
            [set_rows((note.text,), 2.5, 2.5)], [_anchor(note.beside, by)], part.outline, waste
        )
        if found is None:
            key.append((part.name, note.text))
        else:
            items += found
    words = (word_in_opening(hole, waste) for hole in part.holes)
    return items + [word for word in words if word]


def sheet_count(record: BuildRecord, sheet: Sheet) -> int:
    """How many sheets of the same stock there are."""
    return sum(1 for other in record.sheets if other.stock.name == sheet.stock.name)


def sheet_words(record: BuildRecord, sheet: Sheet) -> str:
    """One line that tells a sheet from all others."""
    model = record.model
    revision = f" rev {model.revision}" if model.revision else ""
    return _BETWEEN.join(
        (
            f"{model.title or model.name}{revision}",
            f"{sheet.stock.name} {short(sheet.stock.thickness, 2)}",
            f"sheet {sheet.index} of {sheet_count(record, sheet)}",
        )
    )


_BETWEEN = " · "


def _for_machines(record: BuildRecord, sheet: Sheet, content: Content) -> Drawing:
    words = sheet_words(record, sheet)
    item = sheet_line(words, content.waste)
    groups = content.groups
    if item:
        groups += (Group("sheet", words, "", (item,)),)
    key = "; ".join(f"{letter} is {label}" for letter, label in content.key)
    return Drawing(sheet.stock.width, sheet.stock.height, words, key, groups)


def _for_eyes(record: BuildRecord, sheet: Sheet, content: Content, date: str) -> Drawing:
    words = sheet_words(record, sheet)
    drawing = Drawing(sheet.stock.width, sheet.stock.height, words, "", content.groups)
    return framed(drawing, record.model, sheet, sheet_count(record, sheet), content.key, date)


def _copy_of(text: Text, quantity: int, copy: int) -> Text:
    """The row of a label that was set for the last copy, for another copy."""
    words = text.text.replace(copy_words(quantity, quantity), copy_words(copy, quantity))
    return lettering(text.layer, text.at, words, text.height, text.rotation, text.anchor)


def _targets(places: Spots, outline: Path) -> tuple[Point, ...]:
    """The roomiest point of a part, and those nearly as roomy that lie farthest left, right, down and up."""
    if not len(places.points):
        return (outline.points[0],)
    points = [(float(x), float(y)) for x, y in places.points[places.reach >= 0.8 * places.reach.max()]]
    first = (float(places.points[0][0]), float(places.points[0][1]))
    ends = [choose(points, key=lambda p: (round(p[axis], 6), p)) for axis in (0, 1) for choose in (min, max)]
    return tuple(dict.fromkeys([first, *ends]))


def _letter(index: int) -> str:
    """A, B … Z, AA, AB …"""
    letters = ""
    index += 1
    while index:
        index, rest = divmod(index - 1, 26)
        letters = chr(ord("A") + rest) + letters
    return letters


def _letter_within(letter: str, middle: Point, part: Part) -> list[Item]:
    """A letter in the middle of a part; smaller than 2.5 mm only where nothing else would stand."""
    room = Room((part.outline, *part.holes))
    for height in (3.5, 2.5, 1.8):
        box = row_box(letter, height, middle, 0.0)
        if room.first([box], 0.3):
            return [set_in(box, letter, height)]
    return []


def _anchor(path: Path, by: Point) -> Point:
    x, y = path.points[len(path.points) // 2]
    return x + by[0], y + by[1]


def _xml_name(text: str) -> str:
    """A valid XML name from an id: other characters than ASCII letters, digits, '.', '-' become '_'."""
    return "part-" + "".join(c if c.isascii() and (c.isalnum() or c in ".-_") else "_" for c in text)
