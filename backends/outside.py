"""Lettering on what is left over of a sheet: labels with leaders, the word 'waste', the sheet's own line."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING

from ringwright.backends.beside import row_box, set_in
from ringwright.backends.drawing import NARROW, Item, Stroke
from ringwright.backends.label import Form, spots
from ringwright.backends.part_lines import dot
from ringwright.backends.room import Box, Room, crossed, inside, segments
from ringwright.geometry.path import Path, Point, bounds, line

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray
    from ringwright.backends.room import Floats, Truths

    Counts = NDArray[np.int64]

EDGE = 2.0
"""Lettering keeps this far from the edge of the sheet, mm."""
APART = 2.5
"""Space about a label in the waste, mm."""

STEP = 4.0
CELL = 3.0
TRIES = 40
REACHES = (25.0, 60.0)
"""How far about a part space is looked for: near for every form of the label before farther off, mm."""


class Waste:
    """What lies between the parts of a sheet, and what of it is still free.

    Places are first looked up in a raster of the cells that some line touches: a rectangle that covers such a
    cell whole is not free, and only those that cover none are tried against the lines themselves.
    """

    def __init__(self, width: float, height: float, rings: Sequence[Path], others: Sequence[Path]) -> None:
        """width, height: of the sheet, mm.

        rings: all outlines and holes. others: more lines to keep clear of.
        """
        self.width, self.height = width, height
        self.rings = segments(rings)
        self.lines = segments([*rings, *others])
        self._touched: Counts | None = None

    def keep_clear(self, *paths: Path) -> None:
        """Keep clear of more lines from now on."""
        import numpy as np

        self.lines = np.concatenate([self.lines, segments(paths)])
        self._touched = None

    def keep_box(self, box: Box) -> None:
        """Keep clear of a box, and of its middle lines so that nothing is set within it."""
        u, v = box.width / 2, box.height / 2
        self.keep_clear(
            Path(box.corners(), (0.0,) * 4, True),
            line([box.place(-u, 0.0), box.place(u, 0.0)]),
            line([box.place(0.0, -v), box.place(0.0, v)]),
        )

    def is_waste(self, points: Floats) -> Truths:
        """Whether each point lies in no part."""
        return ~inside(self.rings, points)

    def free(self, points: Floats, width: float, height: float) -> Floats:
        """Those of some points about which a level rectangle lies wholly in the waste and on the sheet."""
        across, up = width / 2 + EDGE, height / 2 + EDGE
        x, y = points[:, 0], points[:, 1]
        points = points[(x >= across) & (x <= self.width - across) & (y >= up) & (y <= self.height - up)]
        points = points[self._covers_none(points, width, height)]
        if len(points):
            lines = near(self.lines, points, max(width, height))
            points = points[~crossed(lines, points, width, height, 0.0)]
        if len(points):
            points = points[self.is_waste(points)]
        return points

    def _covers_none(self, points: Floats, width: float, height: float) -> Truths:
        """Whether no cell that a line touches lies wholly within the rectangle about each point."""
        import numpy as np

        if self._touched is None:
            self._touched = _touched_cells(self.lines, self.width, self.height)
        sums = self._touched
        most = np.array([sums.shape[1] - 1, sums.shape[0] - 1])
        half = np.array([width / 2, height / 2])
        low = np.clip(np.ceil((points - half) / CELL), 0, most).astype(int)
        high = np.clip(np.floor((points + half) / CELL), 0, most).astype(int)
        high = np.maximum(low, high)
        x0, y0, x1, y1 = low[:, 0], low[:, 1], high[:, 0], high[:, 1]
        none: Truths = sums[y1, x1] - sums[y0, x1] - sums[y1, x0] + sums[y0, x0] == 0
        return none


def _touched_cells(lines: Floats, width: float, height: float) -> Counts:
    """Number of touched cells below and left of each corner of the raster."""
    import numpy as np

    columns, rows = math.ceil(width / CELL), math.ceil(height / CELL)
    along = lines[:, 2:] - lines[:, :2]
    counts = (np.ceil(np.abs(along).max(axis=1) / (CELL / 2)) + 1).astype(int)
    which = np.repeat(np.arange(len(lines)), counts)
    step = np.arange(len(which)) - np.repeat(np.cumsum(counts) - counts, counts)
    share = (step / np.maximum(counts - 1, 1)[which])[:, None]
    cells = np.floor((lines[which, :2] + share * along[which]) / CELL).astype(int)
    cells = cells[((cells >= 0) & (cells < (columns, rows))).all(axis=1)]
    sums: Counts = np.zeros((rows + 1, columns + 1), dtype=np.int64)
    sums[cells[:, 1] + 1, cells[:, 0] + 1] = 1
    return sums.cumsum(axis=0).cumsum(axis=1)


def label_outside(
    forms: Sequence[Form], targets: Sequence[Point], outline: Path, waste: Waste
) -> list[Item] | None:
    """A label in the waste near a part, with a leader to a dot within it; None where no place is free.

    forms: fullest first. targets: points within the part where the dot may lie. What is set is taken from the
    waste.
    """
    around = [_around(targets, bounds(outline), reach) for reach in REACHES]
    least = forms[-1]
    if not len(waste.free(around[-1], least.width + 2 * APART, least.height + 2 * APART)):
        return None
    own = segments([outline])
    others = near(waste.lines, around[-1], 0.0)
    others = others[~(others[:, None] == own[None]).all(axis=2).any(axis=1)]
    for places, form in [(places, form) for places in around for form in forms]:
        for x, y in waste.free(places, form.width + 2 * APART, form.height + 2 * APART)[:TRIES]:
            box = form.box((float(x), float(y)), 0.0)
            leader = min((_leader(box, target) for target in targets), key=_rounded_length)
            if _crosses(leader, others):
                continue
            waste.keep_box(box)
            waste.keep_clear(leader)
            return [Stroke("text", leader, NARROW), dot(leader.points[1]), *form.texts(box)]
    return None


def word_in_opening(hole: Path, waste: Waste) -> Item | None:
    """The word 'waste' in what falls out of an opening, when it fits well and no part lies there."""
    import numpy as np

    left, low, right, high = bounds(hole)
    if min(right - left, high - low) < 12.0:
        return None
    corners = np.array([(left, low), (right, high)])
    room = Room([hole])
    room.add_segments(near(waste.lines, corners, 0.0))
    places = spots((hole,), 0.0, room, 40)
    points = places.points[waste.is_waste(places.points)]
    for height in (3.5, 2.5):
        flat = row_box("waste", height, (0.0, 0.0), 0.0)
        clear = points[room.clear(points, flat.width + 4.0, flat.height + 4.0, 0.0)]
        if len(clear):
            box = flat._replace(centre=(float(clear[0, 0]), float(clear[0, 1])))
            waste.keep_box(box)
            return set_in(box, "waste", height, "info")
    return None


def sheet_line(text: str, waste: Waste) -> Item | None:
    """The sheet's own line, in the first free place from below; None where there is none."""
    import numpy as np

    for height in (3.5, 2.5):
        flat = row_box(text, height, (0.0, 0.0), 0.0)
        across, up = flat.width / 2 + EDGE, flat.height / 2 + EDGE
        columns = int((waste.width - 2 * across) / 8.0) + 1
        rows = [up, waste.height - up]
        rows += [up + 8.0 * i for i in range(1, int((waste.height - 2 * up) / 8.0))]
        for y in rows:
            centres = np.array([(across + 8.0 * i, y) for i in range(columns)]).reshape(-1, 2)
            places = waste.free(centres, flat.width + 2, flat.height + 2)
            if len(places):
                centre = (float(places[0, 0]), float(places[0, 1]))
                return set_in(flat._replace(centre=centre), text, height, "info")
    return None


def _around(targets: Sequence[Point], box: tuple[float, float, float, float], reach: float) -> Floats:
    """Points about a part on a grid through the first target, nearest to a target first, (n, 2)."""
    import numpy as np

    left, low, right, high = box
    x0, y0 = targets[0]
    columns = range(math.floor((left - x0 - reach) / STEP), math.ceil((right - x0 + reach) / STEP))
    rows = range(math.floor((low - y0 - reach) / STEP), math.ceil((high - y0 + reach) / STEP))
    x = np.repeat(x0 + STEP * np.array(columns), len(rows))
    y = np.tile(y0 + STEP * np.array(rows), len(columns))
    square = np.full(len(x), np.inf)
    for tx, ty in targets:
        square = np.minimum(square, (x - tx) * (x - tx) + (y - ty) * (y - ty))
    order = np.lexsort((-x, -y, np.round(square, 3)))
    return np.stack([x, y], axis=1)[order]


def _leader(box: Box, target: Point) -> Path:
    """From the nearest point of a level box to the target."""
    u, v = box.width / 2 + 0.8, box.height / 2 + 0.8
    dx, dy = target[0] - box.centre[0], target[1] - box.centre[1]
    return line([box.place(min(u, max(-u, dx)), min(v, max(-v, dy))), target])


def _rounded_length(path: Path) -> float:
    return round(math.dist(*path.points), 6)


def _crosses(leader: Path, lines: Floats) -> bool:
    """Whether a leader comes near any of the lines."""
    import numpy as np

    (x0, y0), (x1, y1) = leader.points
    slope = math.degrees(math.atan2(y1 - y0, x1 - x0))
    middle = np.array([((x0 + x1) / 2, (y0 + y1) / 2)])
    return bool(crossed(lines, middle, math.dist(*leader.points), 0.6, slope)[0])


def near(lines: Floats, points: Floats, reach: float) -> Floats:
    """The segments that come within `reach` of the rectangle that holds the points."""
    import numpy as np

    low, high = points.min(axis=0) - reach, points.max(axis=0) + reach
    first, last = np.minimum(lines[:, :2], lines[:, 2:]), np.maximum(lines[:, :2], lines[:, 2:])
    found: Floats = lines[((first <= high) & (last >= low)).all(axis=1)]
    return found
