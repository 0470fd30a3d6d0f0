"""Lettering on what is left over of a sheet: labels with leaders, the word 'waste', the sheet's own line."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, NamedTuple

from ringwright.backends.beside import row_box, set_in
from ringwright.backends.drawing import NARROW, Item, Stroke
from ringwright.backends.label import Form, set_rows, spots
from ringwright.backends.part_lines import dot
from ringwright.backends.room import Box, Room, crossed, inside, segments
from ringwright.geometry.path import Path, Point, bounds, line

if TYPE_CHECKING:
    from ringwright.backends.room import Floats

EDGE = 2.0
"""Lettering keeps this far from the edge of the sheet, mm."""
APART = 2.5
"""Space about a label in the waste, mm."""

STEP = 4.0
REACHES = (25.0, 60.0)
"""How far about a part space is looked for: near for every form of the label before farther off, mm."""


class Waste(NamedTuple):
    """What lies between the parts of a sheet. width, height: of the sheet. rings: all outlines and holes.

    lines: everything to keep clear of.
    """

    width: float
    height: float
    rings: Floats
    lines: Floats


def waste_of(width: float, height: float, rings: list[Path], others: list[Path]) -> Waste:
    """The waste of a sheet: outside an odd number of `rings`, clear of them and of the `others`."""
    import numpy as np

    within = segments(rings)
    return Waste(width, height, within, np.concatenate([within, segments(others)]))


def kept_clear(waste: Waste, *paths: Path) -> Waste:
    """The waste, with more lines to keep clear of."""
    import numpy as np

    return waste._replace(lines=np.concatenate([waste.lines, segments(paths)]))


def kept_box(waste: Waste, box: Box) -> Waste:
    """The waste, with a box to keep clear of."""
    return kept_clear(waste, Path(box.corners(), (0.0,) * 4, True))


def free(waste: Waste, centres: list[Point], width: float, height: float) -> list[Point]:
    """Those centres about which a level rectangle lies wholly in the waste and on the sheet."""
    import numpy as np

    across, up = width / 2 + EDGE, height / 2 + EDGE
    points = np.array(
        [(x, y) for x, y in centres if across <= x <= waste.width - across and up <= y <= waste.height - up]
    )
    if not len(points):
        return []
    near = _near(waste.lines, points, max(width, height))
    points = points[~crossed(near, points, width, height, 0.0)]
    if not len(points):
        return []
    points = points[~inside(waste.rings, points)]
    return [(float(x), float(y)) for x, y in points]


def label_outside(
    forms: list[Form], targets: tuple[Point, ...], outline: Path, waste: Waste
) -> tuple[list[Item], Waste] | None:
    """A label in the waste near a part, with a leader to a dot within it; None where no place is free.

    targets: points within the part where the dot may lie.
    """
    own = segments([outline])
    others = waste.lines[~(waste.lines[:, None] == own[None]).all(axis=2).any(axis=1)]
    for form, reach in [(form, reach) for reach in REACHES for form in forms]:
        around = _around(targets, bounds(outline), reach)
        for centre in free(waste, around, form.width + 2 * APART, form.height + 2 * APART):
            box = form.box(centre, 0.0)
            leader = min((_leader(box, target) for target in targets), key=_rounded_length)
            if _crosses(leader, others):
                continue
            kept = kept_clear(kept_box(waste, box), leader)
            items: list[Item] = [Stroke("text", leader, NARROW), dot(leader.points[1])]
            items.extend(form.texts(box))
            return items, kept
    return None


def word_in_opening(hole: Path, waste: Waste) -> Item | None:
    """The word 'waste' in what falls out of an opening, when it fits well and no part lies there."""
    import numpy as np

    if min(_size(hole)) < 12.0:
        return None
    left, low, right, high = bounds(hole)
    middle = np.array([((left + right) / 2, (low + high) / 2)])
    room = Room([hole])
    room.add_segments(_near(waste.lines, middle, max(right - left, high - low)))
    places = spots((hole,), 0.0, room, 40)
    for height in (3.5, 2.5):
        form = set_rows(("waste",), height, height)
        for x, y in places.points:
            box = form.box((float(x), float(y)), 0.0)
            if room.first([box], 2.0) and not inside(waste.rings, np.array([box.centre]))[0]:
                return set_in(row_box("waste", height, box.centre, 0.0), "waste", height, "info")
    return None


def sheet_line(text: str, waste: Waste) -> Item | None:
    """The sheet's own line, in the first free place from below; None where there is none."""
    for height in (3.5, 2.5):
        flat = row_box(text, height, (0.0, 0.0), 0.0)
        across, up = flat.width / 2 + EDGE, flat.height / 2 + EDGE
        rows = [up, waste.height - up]
        rows += [up + 8.0 * i for i in range(1, int((waste.height - 2 * up) / 8.0))]
        columns = int((waste.width - 2 * across) / 8.0) + 1
        for y in rows:
            centres = [(across + 8.0 * i, y) for i in range(columns)]
            places = free(waste, centres, flat.width + 2, flat.height + 2)
            if places:
                return set_in(flat._replace(centre=places[0]), text, height, "info")
    return None


def _around(targets: tuple[Point, ...], box: tuple[float, float, float, float], reach: float) -> list[Point]:
    """Points about a part on a grid through the first target, nearest to a target first."""
    left, low, right, high = box
    x0, y0 = targets[0]

    def nearness(place: Point) -> tuple[float, float, float]:
        near = min((place[0] - x) ** 2 + (place[1] - y) ** 2 for x, y in targets)
        return round(near, 6), round(-place[1], 6), round(-place[0], 6)

    return sorted(
        (
            (x0 + i * STEP, y0 + j * STEP)
            for i in range(math.floor((left - x0 - reach) / STEP), math.ceil((right - x0 + reach) / STEP))
            for j in range(math.floor((low - y0 - reach) / STEP), math.ceil((high - y0 + reach) / STEP))
        ),
        key=nearness,
    )


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


def _near(lines: Floats, points: Floats, reach: float) -> Floats:
    """The segments that come within `reach` of the rectangle that holds the points."""
    import numpy as np

    low, high = points.min(axis=0) - reach, points.max(axis=0) + reach
    first, last = np.minimum(lines[:, :2], lines[:, 2:]), np.maximum(lines[:, :2], lines[:, 2:])
    near: Floats = lines[((first <= high) & (last >= low)).all(axis=1)]
    return near


def _size(path: Path) -> tuple[float, float]:
    left, low, right, high = bounds(path)
    return right - left, high - low
