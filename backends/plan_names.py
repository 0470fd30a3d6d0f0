"""Names on a plan: within what they name where there is room, else beside it with a leader."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ringwright.backends.beside import row_box, set_in
from ringwright.backends.drawing import NARROW, Item, Rectangle, Stroke, text_box
from ringwright.backends.outside import letter_of
from ringwright.backends.part_lines import dot
from ringwright.backends.room import Box, crossed, near, segments, stacked, turn
from ringwright.geometry.path import Path, Point, line

if TYPE_CHECKING:
    from ringwright.backends.room import Floats
    from shapely import Geometry

HEIGHTS = (3.5, 2.5)
STEP = 4.0
REACH = 90.0
CLEAR = 1.0


def place_names(
    named: list[tuple[Geometry, str, Point]], items: list[Item], room: Rectangle, key: dict[str, str]
) -> list[Item]:
    """Names for shapes (shape, name, how it is moved on the drawing), clear of all lines that are drawn.

    The smallest shapes have the least choice and are named first. room: on the drawing, within which names stay. key:
    gets the letter that stands for a name that finds no room, '' where even that finds none.
    """
    lines = segments(item.path for item in items if isinstance(item, Stroke))
    lines = stacked([lines, segments(_boxes(items))])
    boxes: Floats = segments(())
    placed: list[Item] = []
    for shape, name, by in sorted(named, key=lambda each: (round(each[0].area, 3), each[1])):
        found = _name(shape, name, by, lines, boxes, room)
        if found is None:
            letter = key.get(name) or letter_of(sum(1 for each in key.values() if each))
            found = _name(shape, letter, by, lines, boxes, room)
            key[name] = "" if found is None else letter
        if found is None:
            continue
        drawn, taken = found
        placed += drawn
        lines, boxes = stacked([lines, segments(taken)]), stacked([boxes, segments(taken)])
    return placed


def _boxes(items: list[Item]) -> list[Path]:
    texts = [item for item in items if not isinstance(item, Stroke)]
    return [Path(text_box(text), (0.0,) * 4, True) for text in texts]


def _name(
    shape: Geometry, name: str, by: Point, lines: Floats, boxes: Floats, room: Rectangle
) -> tuple[list[Item], list[Path]] | None:
    """A name in its place, and what it takes up."""
    import numpy as np
    import shapely
    from shapely.affinity import translate

    here = translate(shape, *by)
    middle = here.representative_point()
    around = _grid((middle.x, middle.y))
    close = near(lines, around, REACH)
    left, low, right, high = here.bounds
    upright = (90.0, 0.0) if high - low > 2 * (right - left) else (0.0, 90.0)
    for height in HEIGHTS:
        for rotation in upright:
            flat = row_box(name, height, (0.0, 0.0), rotation)
            wide, tall = (flat.width, flat.height) if not rotation else (flat.height, flat.width)
            x, y = around[:, 0], around[:, 1]
            fits = (x >= room[0] + wide / 2) & (x <= room[2] - wide / 2)
            fits &= (y >= room[1] + tall / 2) & (y <= room[3] - tall / 2)
            within = around[fits]
            free = within[
                ~crossed(close, within, flat.width + 2 * CLEAR, flat.height + 2 * CLEAR, turn(rotation))
            ]
            inside = shapely.contains_xy(here, free[:, 0], free[:, 1])
            for x, y in free[inside][:1].tolist():
                box = flat._replace(centre=(x, y))
                return [set_in(box, name, height)], [_outline(box)]
            if height != HEIGHTS[-1] or rotation != 0.0:
                continue
            for x, y in free[~inside][:200].tolist():
                box = flat._replace(centre=(x, y))
                leader = _leader(box, here)
                ends = np.array([leader])
                centre, run = ends.mean(axis=1), ends[:, 1] - ends[:, 0]
                long = float(np.hypot(*run[0]))
                axis = (float(run[0, 0]) / long, float(run[0, 1]) / long) if long else (1.0, 0.0)
                if not crossed(boxes, centre, long, 0.6, axis).any():
                    path = line(leader)
                    drawn: list[Item] = [Stroke("text", path, NARROW), dot(path.points[1])]
                    return [*drawn, set_in(box, name, height)], [_outline(box), path]
    return None


def _grid(centre: Point) -> Floats:
    """Points about a place, nearest first."""
    import numpy as np

    count = int(REACH / STEP)
    steps = STEP * np.arange(-count, count + 1)
    x, y = np.repeat(steps, len(steps)), np.tile(steps, len(steps))
    order = np.lexsort((x, -y, np.round(x * x + y * y, 3)))
    return np.stack([centre[0] + x, centre[1] + y], axis=1)[order]


def _leader(box: Box, shape: Geometry) -> tuple[Point, Point]:
    """From the side of a level box to the point of a shape that is nearest to it."""
    import shapely

    low, high = box.corners()[0], box.corners()[2]
    frame = shapely.box(low[0] - 0.6, low[1] - 0.6, high[0] + 0.6, high[1] + 0.6)
    start, end = shapely.shortest_line(frame, shape).coords
    return (start[0], start[1]), (end[0], end[1])


def _outline(box: Box) -> Path:
    grown = box._replace(width=box.width + CLEAR, height=box.height + CLEAR)
    return Path(grown.corners(), (0.0,) * 4, True)
