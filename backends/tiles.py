"""A drawing of any size on pages of paper: a map of the pages, then the pages, to be cut and joined.

Every page shows its window of the drawing, which overlaps its neighbours' by as much as the paper says. Crosses near
the corners of a window fall on those of its neighbours; short marks beyond its edges are in line with them, to
lay a ruler on. Pages on which there is nothing are left out.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, NamedTuple

from ringwright.backends.drawing import (
    NARROW,
    Drawing,
    Group,
    Item,
    Rectangle,
    Stroke,
    lettering,
    moved_group,
    text_box,
)
from ringwright.backends.lettering import shortened, text_width
from ringwright.backends.page import Template
from ringwright.backends.page_map import map_page
from ringwright.backends.paper import BAND, Grid, Paper, cell_name, grids
from ringwright.backends.room import crossed, near, segments
from ringwright.geometry.path import Path, bounds, line

if TYPE_CHECKING:
    from ringwright.backends.room import Floats

_SMALL, _NAME = 2.5, 3.5
_EDGE = 2.0
"""Space about what is drawn, mm."""

Cell = tuple[int, int]


def tiled(template: Template, paper: Paper) -> tuple[Drawing, ...]:
    """The map of a drawing's pages, and those of its pages on which something is drawn.

    The paper lies portrait or landscape, whichever takes fewer pages. GeometryError 'no-size' where the paper is too
    small.
    """
    groups = template.drawing.groups
    lines = _drawn(groups)
    box = _extent(lines, template.drawing)
    ways = [(grid, _kept(grid, lines)) for grid in grids(paper, box)]
    grid, kept = min(
        ways, key=lambda way: (len(way[1]), len(way[1]) * way[0].page_width * way[0].page_height)
    )
    pages = [map_page(template, paper, grid, kept)]
    boxed = [_boxed(group) for group in groups if group.items]
    pages += [_page(template.drawing.title, boxed, paper, grid, kept, cell) for cell in kept]
    return tuple(pages)


def _drawn(groups: tuple[Group, ...]) -> Floats:
    """All that belongs to parts as segments: lines, and the boxes of lettering."""
    items = [item for group in groups for item in group.items if item.layer != "info"]
    return segments(_line_of(item) for item in items)


def _line_of(item: Item) -> Path:
    return item.path if isinstance(item, Stroke) else Path(text_box(item), (0.0,) * 4, True)


def _extent(lines: Floats, drawing: Drawing) -> Rectangle:
    """What the pages must cover."""
    if not len(lines):
        return 0.0, 0.0, drawing.width, drawing.height
    xs, ys = lines[:, ::2], lines[:, 1::2]
    left, low, right, high = (float(side) for side in (xs.min(), ys.min(), xs.max(), ys.max()))
    return left - _EDGE, low - _EDGE, right + _EDGE, high + _EDGE


def _kept(grid: Grid, lines: Floats) -> tuple[Cell, ...]:
    """The pages on which something is drawn that is not theirs and a neighbour's alike."""
    import numpy as np

    def bears(cell: Cell) -> bool:
        left, low, right, high = _core(grid, cell)
        close = near(lines, np.array([(left, low), (right, high)]), 0.0)
        middle = np.array([((left + right) / 2, (low + high) / 2)])
        return bool(crossed(close, middle, right - left, high - low, (1.0, 0.0))[0])

    return tuple(cell for cell in grid.cells() if not len(lines) or bears(cell))


def _core(grid: Grid, cell: Cell) -> Rectangle:
    """What of a page is left when all are cut in the middles of their overlaps."""
    left, low, right, high = grid.window(*cell)
    column, row = cell
    half = grid.overlap / 2
    return (
        left + half * (column > 0),
        low + half * (row < grid.down - 1),
        right - half * (column < grid.across - 1),
        high - half * (row > 0),
    )


def _page(
    words: str,
    boxed: list[_Boxed],
    paper: Paper,
    grid: Grid,
    kept: tuple[Cell, ...],
    cell: Cell,
) -> Drawing:
    """One page of a drawing of that title. boxed: its groups."""
    window = grid.window(*cell)
    edge = paper.margin / paper.stretch + BAND
    by = (edge - window[0], edge - window[1])
    shown = []
    for each in boxed:
        if not _meet(each.box, window):
            continue
        pairs = zip(each.group.items, each.boxes, strict=True)
        items = tuple(item for item, box in pairs if _meet(box, window))
        if items:
            shown.append(moved_group(each.group._replace(items=items, clip=window), by))
    name = cell_name(*cell)
    frame = (edge, edge, edge + grid.window_width, edge + grid.window_height)
    items = (*_join_marks(frame, grid, cell), *_names(frame, grid, kept, cell, words))
    shown.append(Group("page", f"Page {name}: how it joins its neighbours", "", items))
    title = f"{words} · page {name}"
    return Drawing(grid.page_width, grid.page_height, title, "", tuple(shown), 1, paper.stretch)


class _Boxed(NamedTuple):
    """A group with the rectangles that its items take up, and the one that it takes up itself."""

    group: Group
    boxes: tuple[Rectangle, ...]
    box: Rectangle


def _boxed(group: Group) -> _Boxed:
    boxes = tuple(map(_box, group.items))
    lefts, lows, rights, highs = zip(*boxes, strict=True)
    return _Boxed(group, boxes, (min(lefts), min(lows), max(rights), max(highs)))


def _box(item: Item) -> Rectangle:
    if isinstance(item, Stroke):
        return bounds(item.path)
    xs, ys = zip(*text_box(item), strict=True)
    return min(xs), min(ys), max(xs), max(ys)


def _meet(box: Rectangle, window: Rectangle) -> bool:
    return box[0] <= window[2] and window[0] <= box[2] and box[1] <= window[3] and window[1] <= box[3]


def _join_marks(frame: Rectangle, grid: Grid, cell: Cell) -> Iterator[Item]:
    """Crosses where the page meets others, and marks beyond its window in line with the edges to be joined."""
    left, low, right, high = frame
    column, row = cell
    inset = grid.overlap / 2
    xs = ((left + inset, column > 0), (right - inset, column < grid.across - 1))
    ys = ((low + inset, row < grid.down - 1), (high - inset, row > 0))
    for x, joins in xs:
        for y, joins_too in ys:
            if joins or joins_too:
                yield Stroke("info", line([(x - 3.0, y), (x + 3.0, y)]), NARROW)
                yield Stroke("info", line([(x, y - 3.0), (x, y + 3.0)]), NARROW)
    for x, joins in xs:
        if joins:
            yield Stroke("info", line([(x, low - BAND + 1.0), (x, low - 0.5)]), NARROW)
            yield Stroke("info", line([(x, high + 0.5), (x, high + BAND - 1.0)]), NARROW)
    for y, joins in ys:
        if joins:
            yield Stroke("info", line([(left - BAND + 1.0, y), (left - 0.5, y)]), NARROW)
            yield Stroke("info", line([(right + 0.5, y), (right + BAND - 1.0, y)]), NARROW)


def _names(frame: Rectangle, grid: Grid, kept: tuple[Cell, ...], cell: Cell, title: str) -> Iterator[Item]:
    """The page's own name and the sheet's over the window, the neighbours' at its edges."""
    left, low, right, high = frame
    column, row = cell
    middle, centre = (left + right) / 2, (low + high) / 2
    start = left + grid.overlap / 2 + 3.0
    own = cell_name(column, row)
    up = high + 1.4
    yield lettering("info", (start, up), own, _NAME)
    after = start + text_width(own, _NAME) + 3.0
    places = (
        ((column, row - 1), (middle, up), 0.0),
        ((column, row + 1), (middle, low - 1.4 - _SMALL), 0.0),
        ((column - 1, row), (left - 1.4, centre), 90.0),
        ((column + 1, row), (right + 1.4 + _SMALL, centre), 90.0),
    )
    for (across, down), at, rotation in places:
        if 0 <= across < grid.across and 0 <= down < grid.down:
            blank = "" if (across, down) in kept else ", blank"
            yield lettering("info", at, f"{cell_name(across, down)}{blank}", _SMALL, rotation, "middle")
    room = middle - 14.0 - after if row > 0 else right - grid.overlap / 2 - 3.0 - after
    words = shortened(title, _SMALL, room)
    if words:
        yield lettering("info", (after, up), words, _SMALL)
