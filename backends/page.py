"""The page for eyes: the stock at true size, title block, legend, and two bars to measure before anything is
cut."""

from collections.abc import Iterator
from typing import NamedTuple

from ringwright.backends.drawing import (
    NARROW,
    WIDE,
    Drawing,
    Group,
    Item,
    Stroke,
    dashed,
    dashed_spaced,
    lettering,
    long_dash_dot,
    moved_group,
    moved_item,
    rectangle,
)
from ringwright.backends.lettering import broken, shortened, text_width
from ringwright.backends.part_lines import BARE_STEP, GROOVE_STEP, HATCH_STEP, hatching, prick
from ringwright.backends.record import Model
from ringwright.backends.sizes import INCH, thickness_words
from ringwright.geometry.part import Sheet, Stock
from ringwright.geometry.path import Point, line

STRIP = 24.0
SIDE = 15.0
LEAST_WIDTH = 260.0
BAR = 100.0
BLOCK = 180.0
"""Width of the title block (ISO 7200), mm, where the page has room for it."""

MEASURE = "Measure this bar before you cut: 100 mm"
INCHES = 4
AND_INCHES = f", below it {INCHES} in"
"""What the bars of a model in inches show as well."""
CAUTION = "Blades cut: steel rule, light passes, fingers clear of the line. See README."

BOARD = "offcut"
"""The group of lines about the board of an offcut."""

_SMALL, _DATA = 2.5, 3.5
_ROW = 5.2
SAMPLE = 11.0


def framed(
    stock: Drawing, model: Model, sheet: Sheet, of: int, key: tuple[tuple[str, str], ...], date: str
) -> Drawing:
    """The page about a sheet. of: number of sheets of this stock. key: letters that stand for labels."""
    width = max(LEAST_WIDTH, SIDE + stock.width)
    block = min(BLOCK, width - SIDE - BAR - 8.0)
    left = width - block
    legend, extra = _legend(stock.groups, key, left, width)
    height = STRIP + max(stock.height, BAR + 2.0)
    items: list[Item] = [
        Stroke("info", rectangle(SIDE, STRIP, SIDE + stock.width, STRIP + stock.height), NARROW),
        *level_bar((SIDE, 17.0)),
        lettering("info", (SIDE, 12.2), MEASURE + (AND_INCHES if model.unit == "in" else ""), _SMALL),
        *upright_bar((10.0, STRIP)),
        *(inch_bars((SIDE, 17.0), (10.0, STRIP)) if model.unit == "in" else ()),
        *legend,
        *title_block(left, block, sheet_fields(model, sheet, of, date, block)),
        *_side_words(height - STRIP),
    ]
    frame = Group("page", "Title block, legend and check bars", "", tuple(items))
    groups = [moved_group(group, (SIDE, STRIP + extra)) for group in stock.groups]
    groups.append(moved_group(frame, (0.0, extra)))
    return Drawing(width, height + extra, stock.title, stock.description, tuple(groups))


def level_bar(at: Point) -> Iterator[Item]:
    """A bar 100 mm long with ticks each 10 mm over it, from its left end."""
    x, y = at
    yield Stroke("info", line([(x, y), (x + BAR, y)]), WIDE)
    for i in range(11):
        tall = 4.0 if i in (0, 5, 10) else 2.5
        yield Stroke("info", line([(x + 10.0 * i, y), (x + 10.0 * i, y + tall)]), NARROW)


def upright_bar(at: Point) -> Iterator[Item]:
    """A bar 100 mm high with ticks each 10 mm at its left, from its lower end."""
    x, y = at
    yield Stroke("info", line([(x, y), (x, y + BAR)]), WIDE)
    for i in range(11):
        tall = 4.0 if i in (0, 5, 10) else 2.5
        yield Stroke("info", line([(x, y + 10.0 * i), (x - tall, y + 10.0 * i)]), NARROW)


def inch_bars(level: Point, upright: Point) -> Iterator[Item]:
    """Four inches on the other side of the two bars, with ticks each half inch."""
    for (x, y), (ux, uy) in ((level, (1.0, 0.0)), (upright, (0.0, 1.0))):
        end = INCHES * INCH
        yield Stroke("info", line([(x + BAR * ux, y + BAR * uy), (x + end * ux, y + end * uy)]), NARROW)
        for i in range(2 * INCHES + 1):
            along, long = i * INCH / 2, 0.8 if i % 2 else 1.3
            foot = (x + along * ux, y + along * uy)
            yield Stroke("info", line([foot, (foot[0] + long * uy, foot[1] - long * ux)]), NARROW)


def _side_words(height: float) -> Iterator[Item]:
    """What stands above the upright bar, or beside it where the sheet is low."""
    above = height - BAR - 8.0
    for words in (f"{MEASURE}. {CAUTION}", CAUTION):
        if text_width(words, _SMALL) <= above:
            yield lettering("info", (10.0, STRIP + BAR + 6.0), words, _SMALL, 90.0)
            return
    yield lettering("info", (13.8, STRIP), shortened(CAUTION, _SMALL, height), _SMALL, 90.0)


def _legend(
    groups: tuple[Group, ...], key: tuple[tuple[str, str], ...], left: float, width: float
) -> tuple[list[Item], float]:
    """The line types that this sheet uses and its letters, and how much deeper the strip must be.

    They stand between the bar and the title block and under the bar; what finds no space there stands below.
    """
    rows = [(SIDE + BAR + 6.0, left - 3.0, 18.6 - i * _ROW) for i in range(4)]
    rows += [(SIDE, SIDE + BAR, 7.2), (SIDE, SIDE + BAR, 2.0)]
    starts = [start for start, _, _ in rows]
    entries = list(line_types(groups))
    entries += [
        ([], row)
        for letter, words in key
        for row in broken(f"{letter} = {words}", _SMALL, width - SIDE - 3.0)
    ]
    items: list[Item] = []
    deepest = 0
    for sample, words in entries:
        indent = SAMPLE + 2.0 if sample else 0.0
        words = shortened(words, _SMALL, width - SIDE - 3.0 - indent)
        wide = indent + text_width(words, _SMALL)
        if all(start + wide > end for start, (_, end, _) in zip(starts, rows, strict=True)):
            deepest += 1
            rows.append((SIDE, width - 3.0, 2.0 - deepest * _ROW))
            starts.append(SIDE)
        i = next(i for i, (_, end, _) in enumerate(rows) if starts[i] + wide <= end)
        y = rows[i][2]
        items.extend(moved_item(stroke, (starts[i], y + _SMALL / 2)) for stroke in sample)
        items.append(lettering("info", (starts[i] + indent, y), words, _SMALL))
        starts[i] += wide + 6.0
    return items, deepest * _ROW


def line_types(groups: tuple[Group, ...]) -> Iterator[tuple[list[Stroke], str]]:
    """A sample of each type of line that some groups use, and what it means."""
    used = {
        (item.layer, item.dashes)
        for group in groups
        for item in group.items
        if isinstance(item, Stroke) and not item.filled
    }
    flat = line([(0.0, 0.0), (SAMPLE, 0.0)])
    if ("cut", ()) in used:
        yield [Stroke("info", flat, WIDE)], "cut on the middle of the line"
    if any(group.id == BOARD for group in groups):
        yield [Stroke("info", flat, NARROW)], "edge of the offcut, and damage in it"
    if ("far", ()) in used:
        ticks = [line([(x, -1.0), (x, 1.0)]) for x in (0.5, SAMPLE - 0.5)]
        yield (
            [Stroke("info", flat, WIDE), *(Stroke("info", tick, NARROW) for tick in ticks)],
            "cut to the far paper",
        )
    if ("score", dashed(NARROW)) in used:
        yield [Stroke("info", flat, NARROW, dashed(NARROW))], "score on this face and bend"
    if ("mark", dashed_spaced(NARROW)) in used:
        pricks = [prick((x, 0.0), "info") for x in (1.0, SAMPLE - 1.0)]
        yield (
            [Stroke("info", flat, NARROW, dashed_spaced(NARROW)), *pricks],
            "prick the dots through, score on the back",
        )
    if ("groove", ()) in used:
        sides = [line([(0.0, y), (SAMPLE, y)]) for y in (-1.6, 1.6)]
        stripes = hatching(rectangle(0.0, -1.6, SAMPLE, 1.6), GROOVE_STEP)
        yield (
            [Stroke("info", path, NARROW) for path in (*sides, *stripes)],
            "groove from this face, as deep as written",
        )
    if ("peel", ()) in used:
        patch = rectangle(0.0, -1.6, SAMPLE, 1.6)
        stripes = hatching(patch, HATCH_STEP)
        yield [Stroke("info", path, NARROW) for path in (patch, *stripes)], "peel the foam away"
    if ("bare", ()) in used:
        patch = rectangle(0.0, -1.6, SAMPLE, 1.6)
        stripes = hatching(patch, BARE_STEP, -1)
        yield (
            [Stroke("info", path, NARROW) for path in (patch, *stripes)],
            "peel the paper off, keep the foam",
        )
    if ("mark", ()) in used:
        yield [Stroke("info", flat, NARROW)], "mark, do not cut"
    if ("mark", long_dash_dot(NARROW)) in used:
        yield [Stroke("info", flat, NARROW, long_dash_dot(NARROW))], "centre"


class Fields(NamedTuple):
    """Two rows of a title block: name, value and width in mm of each field, 0 for one that takes what is left."""

    above: tuple[tuple[str, str, float], ...]
    below: tuple[tuple[str, str, float], ...]


class Template(NamedTuple):
    """A drawing to be printed. fields: of its title block. key: letters that stand for labels. unit: in which its model is read."""

    drawing: Drawing
    fields: Fields
    key: tuple[tuple[str, str], ...] = ()
    unit: str = "mm"


def sheet_fields(model: Model, sheet: Sheet, of: int, date: str, width: float = BLOCK) -> Fields:
    """The fields of ISO 7200 that a sheet has: title, revision, sheet, stock as material, number, date."""
    stock = sheet.stock
    number = "-".join(
        part for part in (model.name, model.revision, stock.name, sheet.number.replace(" ", "-")) if part
    )
    below: list[tuple[str, str, float]] = []
    if width >= 140.0:
        below.append(("Number", number, width * 0.36))
    if date:
        below.append(("Date", date, 28.0))
    room = width - sum(size for _, _, size in below) - 3.0
    below.insert(0, ("Stock", _stock_words(stock, model, room), 0.0))
    return Fields(
        title_row(model, sheet.offcut.name if sheet.offcut else f"{sheet.index} of {of}"), tuple(below)
    )


def _stock_words(stock: Stock, model: Model, room: float) -> str:
    """What a stock is called, in the spec too where there is room for both, and what it was taken to be."""
    title = stock.title or stock.name
    both = (f"{title} ({stock.name})", title) if title != stock.name else (title,)
    thick = thickness_words(stock, model.unit, model.fraction)
    said = [f"{name}, {thick}: measure yours" for name in (*both, stock.name)]
    return next((words for words in said if text_width(words, _SMALL) <= room), said[-1])


def title_row(model: Model, sheet: str) -> tuple[tuple[str, str, float], ...]:
    """The upper row of a title block. sheet: which of how many."""
    return (
        ("Title", model.called, 0.0),
        ("Revision", model.revision or "–", 22.0),
        ("Sheet", sheet, 24.0),
    )


def title_block(left: float, width: float, rows: Fields) -> Iterator[Item]:
    """A title block that stands on the lower edge of a page, mm."""
    yield Stroke("info", rectangle(left, WIDE / 2, left + width - WIDE / 2, STRIP - 2.0), WIDE)
    middle = (STRIP - 2.0) / 2
    yield Stroke("info", line([(left, middle), (left + width, middle)]), NARROW)
    for fields, y in ((rows.above, middle), (rows.below, 0.0)):
        rest = width - sum(size for _, _, size in fields)
        x = left
        for name, value, size in fields:
            size = size or rest
            if x > left:
                yield Stroke("info", line([(x, y), (x, y + middle)]), NARROW)
            yield lettering("info", (x + 1.5, y + middle - 3.8), name, _SMALL)
            fitted = shortened(value, _DATA, size - 3.0)
            height = _DATA
            if fitted != value:
                fitted, height = shortened(value, _SMALL, size - 3.0), _SMALL
            yield lettering("info", (x + 1.5, y + 1.7), fitted, height)
            x += size
