"""The first page of a tiled drawing: which page goes where, how to join them, and bars to measure."""

from collections.abc import Iterator

from ringwright.backends.drawing import (
    NARROW,
    WIDE,
    Drawing,
    Group,
    Item,
    Stroke,
    Text,
    lettering,
    moved_item,
    rectangle,
)
from ringwright.backends.lettering import broken, text_width
from ringwright.backends.page import (
    AND_INCHES,
    BAR,
    BLOCK,
    CAUTION,
    MEASURE,
    SAMPLE,
    STRIP,
    Template,
    inch_bars,
    level_bar,
    line_types,
    title_block,
    upright_bar,
)
from ringwright.backends.paper import Grid, Paper, cell_name
from ringwright.backends.part_lines import hatching
from ringwright.geometry.numbers import short
from ringwright.geometry.path import Path, Point, moved, scaled

_SMALL, _DATA, _NAME = 2.5, 3.5, 5.0
_ROW = 5.2
_HATCH = 2.0
_LEAST_MAP, _LEAST_WORDS = 100.0, 60.0
"""How wide a map and a column of words must be to stand beside the bars, mm."""
_OF_ROLL = 250.0
"""Length of the map on a roll, mm."""
_HIGH = 150.0
"""How high the page must be for words over the bars, mm."""


def map_page(
    template: Template,
    paper: Paper,
    grid: Grid,
    kept: tuple[tuple[int, int], ...],
) -> Drawing:
    """The map of a drawing's pages. kept: those that are printed; the others are hatched."""
    drawing, fields, key, unit = template
    edge = paper.margin / paper.stretch
    page_width, page_height = grid.page_width, grid.page_height
    if paper.is_roll:  # of which no more is taken than is needed
        page_width, page_height = paper.width / paper.stretch, min(_OF_ROLL, max(page_width, page_height))
    left, right = edge, page_width - edge
    wide = right - left
    items: list[Item] = [
        moved_item(item, (0.0, edge))
        for item in title_block(right - min(BLOCK, wide), min(BLOCK, wide), fields)
    ]
    floor, top = edge + STRIP + 3.0, page_height - edge
    rows = _rows(paper, grid, kept, drawing, key)
    beside = left + BAR + 24.0
    if right - beside >= _LEAST_MAP and top - floor >= _HIGH:
        # The map at the right; at the left words from above and bars from below.
        laid, depth = _laid(rows, left, left + BAR + 14.0)
        items += [moved_item(item, (0.0, top - _SMALL)) for item in laid]
        bars, room = floor, (beside, floor, right, top)
    elif right - beside >= _LEAST_WORDS:
        laid, depth = _laid(rows, beside, right)
        items += [moved_item(item, (0.0, floor + max(BAR, depth) - _SMALL)) for item in laid]
        bars, room = floor, (left, floor + max(BAR, depth) + 6.0, right, top)
    else:
        laid, depth = _laid(rows, left, right)
        items += [moved_item(item, (0.0, floor + depth - _SMALL)) for item in laid]
        bars, room = floor + depth, (left, floor + depth + BAR + 6.0, right, top)
    level, upright = (left + 14.0, bars), (left + 6.0, bars)
    items += [*level_bar(level), *upright_bar(upright)]
    if unit == "in":
        items += inch_bars(level, upright)
    measure = MEASURE + (AND_INCHES if unit == "in" else "")
    items.append(lettering("info", (left + 14.0, bars + 6.5), measure, _SMALL))
    items += _heading(drawing, paper, (left + 14.0, bars + 13.0), BAR)
    items += _map(drawing, grid, kept, room)
    title = f"{drawing.title} · pages"
    group = Group("page", "Which page goes where", "", tuple(items))
    return Drawing(page_width, page_height, drawing.title, title, (group,), 0, paper.stretch)


def _heading(drawing: Drawing, paper: Paper, at: Point, room: float) -> Iterator[Item]:
    """What stands over the level bar, from below upwards."""
    x, y = at
    words = ["Print at 100 %, not fitted to the page."]
    if paper.stretch != 1.0:
        words.append(f"Put right for a printer whose bar measured {short(100 / paper.stretch, 2)} mm.")
    for row in (*words, *broken(drawing.title, _DATA, room)[::-1]):
        height = _DATA if row not in words else _SMALL
        yield lettering("info", (x, y), row, height)
        y += 1.5 * height + 1.0


def _rows(
    paper: Paper,
    grid: Grid,
    kept: tuple[tuple[int, int], ...],
    drawing: Drawing,
    key: tuple[tuple[str, str], ...],
) -> list[tuple[list[Stroke], str]]:
    """Legend, key and how to join the pages: a sample of a line, if any, and words."""
    rows = list(line_types(drawing.groups))
    rows += [([], f"{letter} = {words}") for letter, words in key]
    if len(kept) > 1:
        across = grid.window_width - grid.overlap
        up = grid.window_height - grid.overlap
        joined = [f"{short(across, 1)} mm across"] if grid.across > 1 else []
        joined += [f"{short(up, 1)} mm up"] if grid.down > 1 else []
        rows.append(
            ([], "Join: cut two edges of a page along its marks, lay it on the next, cross on cross.")
        )
        rows.append(([], f"The crosses of a page are {' and '.join(joined)} apart: measure them, too."))
    if len(kept) < grid.across * grid.down:
        rows.append(([], "Hatched pages are blank and left out."))
    rows.append(([], CAUTION))
    return rows


def _laid(rows: list[tuple[list[Stroke], str]], start: float, end: float) -> tuple[list[Item], float]:
    """Rows one under the other from y = 0 down, and how deep they reach."""
    items: list[Item] = []
    y = 0.0
    for sample, words in rows:
        indent = SAMPLE + 2.0 if sample else 0.0
        items += [moved_item(stroke, (start, y + _SMALL / 2)) for stroke in sample]
        for row in broken(words, _SMALL, end - start - indent):
            items.append(lettering("info", (start + indent, y), row, _SMALL))
            y -= _ROW
    return items, -y


def _map(
    drawing: Drawing, grid: Grid, kept: tuple[tuple[int, int], ...], room: tuple[float, float, float, float]
) -> Iterator[Item]:
    """The pages and what is cut, small, in a rectangle (left, low, right, high)."""
    left, low, right, high = room
    wide = grid.across * (grid.window_width - grid.overlap) + grid.overlap
    tall = grid.down * (grid.window_height - grid.overlap) + grid.overlap
    factor = min((right - left) / wide, (high - low) / tall, 0.5)
    x0, y0 = (left + right - factor * wide) / 2, high - factor * tall

    def small(path: Path) -> Path:
        place = (x0 - factor * grid.left, y0 - factor * (grid.top - tall))
        return moved(scaled(path, factor), place)

    for group in drawing.groups:
        for item in group.items:
            if isinstance(item, Stroke) and item.width == WIDE:
                yield Stroke("info", small(item.path), NARROW)
    half = grid.overlap / 2
    for cell in grid.cells():
        window = grid.window(*cell)
        core = small(rectangle(window[0] + half, window[1] + half, window[2] - half, window[3] - half))
        if cell not in kept:
            for stripe in hatching(core, _HATCH):
                yield Stroke("info", stripe, NARROW)
        yield Stroke("info", core, WIDE)
        (a, b), (c, d) = core.points[0], core.points[2]
        height = next((h for h in (_NAME, _DATA, _SMALL) if 4 * h < min(c - a, d - b)), _SMALL)
        name = cell_name(*cell)
        if cell in kept and text_width(name, height) < c - a - 1.0:
            yield _in_corner(name, height, (a, d))


def _in_corner(name: str, height: float, corner: Point) -> Text:
    return lettering("info", (corner[0] + 1.2, corner[1] - height - 1.2), name, height)
