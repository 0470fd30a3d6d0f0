"""Dimensions on request: overall sizes, and where round holes lie from the nearer edges, as in ISO 129-1.

A dimension stands outside its part where the sheet has room for it, else within, and nowhere where it would lie on a
line or on lettering: the label's check sizes are there in any case, and openings have their diameters beside them.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import TYPE_CHECKING, NamedTuple

from ringwright.backends.beside import row_box, set_in
from ringwright.backends.drawing import NARROW, Item, Stroke, Text, text_box
from ringwright.backends.part_lines import arrow
from ringwright.backends.room import Box, crossed, near, segments, stacked, turn, upright
from ringwright.backends.sizes import check_words
from ringwright.geometry.numbers import fixed
from ringwright.geometry.part import Part
from ringwright.geometry.path import Path, Point, flattened, line
from ringwright.geometry.within import circle_of

if TYPE_CHECKING:
    from ringwright.backends.room import Floats

HEIGHT = 2.5
LEAST = 18.0
"""Shorter ones find no room for arrows and words, mm."""
OUTSIDE = (8.0, 6.0, 11.0, 15.0, 20.0)
INSIDE = tuple(4.0 + 3.0 * step for step in range(20))
"""How far from a part's farthest point a dimension line lies, mm, best first."""
BESIDE = (4.0, 8.0, 12.0, 18.0, 25.0)
"""How far from a hole's rim the line lies that tells where its middle is, mm, best first."""
OWN = 4.0
"""How far about a hole its centre lines reach, mm."""
EDGE = 1.0
OFF, BEYOND = 1.0, 1.5
"""An extension line begins so far from the part, and ends so far beyond the dimension line, mm."""
_LIFT = 0.8


class Drawn(NamedTuple):
    """What has been dimensioned: the items, and all lines that later ones keep clear of."""

    items: list[Item]
    lines: Floats


def dimensioned(part: Part, rotation: float, unit: str, lines: Floats, sheet: tuple[float, float]) -> Drawn:
    """Dimensions of a part as it lies on the sheet.

    rotation: of its own axes, degrees. unit: 'mm' or 'in'. lines: all that is drawn, lettering as boxes.
    sheet: its width and height, mm.
    """
    items: list[Item] = []
    frame = _Frame(part, rotation)
    for axis in (0, 1):
        found = _overall(frame, axis, unit, lines, sheet)
        if found:
            items += found
            lines = stacked([lines, segments(_paths(found))])
    for axis in (0, 1):
        told: set[str] = set()
        for centre, radius in frame.holes:
            words = fixed(centre[axis], 1)
            if words in told:  # holes in a row are dimensioned once
                continue
            found = _position(frame, axis, (centre, radius), unit, lines, sheet)
            if found:
                told.add(words)
                items += found
                lines = stacked([lines, segments(_paths(found))])
    return Drawn(items, lines)


def drawn_lines(items: list[Item]) -> Floats:
    """All that some items take up, as segments."""
    return segments(_paths(items))


def _paths(items: list[Item]) -> Iterator[Path]:
    for item in items:
        if isinstance(item, Text):
            low_left, low_right, high_right, high_left = text_box(item)
            yield Path((low_left, low_right, high_right, high_left), (0.0,) * 4, True)
        else:
            yield item.path


class _Frame:
    """A part's own axes on the sheet, and its outline in them."""

    def __init__(self, part: Part, rotation: float) -> None:
        self.rotation = rotation
        self.c, self.s = turn(rotation)
        self.points = [self.own(point) for point in flattened(part.outline, 0.02)]
        round_ones = (found for hole in part.holes if (found := circle_of(hole)) is not None)
        self.holes = sorted((self.own(centre), radius) for centre, radius in round_ones)

    def own(self, point: Point) -> Point:
        """A place on the sheet along the part's axes."""
        x, y = point
        return self.c * x + self.s * y, self.c * y - self.s * x

    def on_sheet(self, u: float, v: float) -> Point:
        return self.c * u - self.s * v, self.s * u + self.c * v


def _overall(
    frame: _Frame, axis: int, unit: str, lines: Floats, sheet: tuple[float, float]
) -> list[Item] | None:
    """The size along one of the part's axes: below or above it, or at its left or right."""
    along = [point[axis] for point in frame.points]
    across = [point[1 - axis] for point in frame.points]
    low, high, least, most = min(along), max(along), min(across), max(across)
    if high - low < LEAST:
        return None
    words = size_text(high - low, unit)
    levels = [least - off for off in OUTSIDE] + [most + off for off in OUTSIDE]
    levels.sort(key=lambda level: OUTSIDE.index(round(least - level if level < least else level - most, 6)))
    levels += [level for off in INSIDE if off < (most - least) / 2 for level in (least + off, most - off)]
    for level in levels:
        ends = [(side, _nearest(frame, axis, side, level)) for side in (low, high)]
        found = _dimension(frame, axis, ends, level, words, lines)
        if found and _on_sheet(found, sheet):
            return found
    return None


def _position(
    frame: _Frame, axis: int, hole: tuple[Point, float], unit: str, lines: Floats, sheet: tuple[float, float]
) -> list[Item] | None:
    """How far the middle of a hole lies from an edge along one of the part's axes, the nearer edge first."""
    import numpy as np

    centre, radius = hole
    along = [point[axis] for point in frame.points]
    at, beside = centre[axis], centre[1 - axis]
    # The hole's own rim and centre lines may be crossed by the line that leads away from its middle.
    x, y = frame.on_sheet(*centre)
    starts, stops = (np.hypot(lines[:, i] - x, lines[:, i + 1] - y) for i in (0, 2))
    own = np.maximum(starts, stops) < radius + OWN
    for side in sorted((min(along), max(along)), key=lambda side: abs(side - at)):
        words = size_text(abs(side - at), unit)
        for off in BESIDE:
            for level in (beside - radius - off, beside + radius + off):
                ends = sorted([(side, _nearest(frame, axis, side, level)), (at, beside)])
                found = _dimension(frame, axis, ends, level, words, lines[~own])
                if found and _on_sheet(found, sheet):
                    return found
    return None


def _nearest(frame: _Frame, axis: int, side: float, level: float) -> float:
    """Where the part reaches a side, as near to a level as it does."""
    ends = zip(frame.points, frame.points[1:] + frame.points[:1], strict=True)
    there = [
        min(max(level, min(a[1 - axis], b[1 - axis])), max(a[1 - axis], b[1 - axis]))
        for a, b in ends
        if abs(a[axis] - side) < 0.03 and abs(b[axis] - side) < 0.03
    ]
    there += [point[1 - axis] for point in frame.points if abs(point[axis] - side) < 0.03]
    return min(there, key=lambda at: abs(at - level))


def _dimension(
    frame: _Frame, axis: int, ends: list[tuple[float, float]], level: float, words: str, lines: Floats
) -> list[Item] | None:
    """A dimension line at a level with its extension lines, arrows and words; None where it lies on something."""

    def place(along: float, across: float) -> Point:
        return frame.on_sheet(along, across) if axis == 0 else frame.on_sheet(across, along)

    (low, from_low), (high, from_high) = ends
    slope = upright(frame.rotation + 90.0 * axis)
    start, end = place(low, level), place(high, level)
    middle = ((start[0] + end[0]) / 2, (start[1] + end[1]) / 2)
    text = row_box(words, HEIGHT, (0.0, 0.0), slope)
    tall = 2 * (text.height + 2 * _LIFT)
    strip = Box(middle, high - low - 1.0, 1.4, slope)
    box = text._replace(centre=Box(middle, 0.0, 0.0, slope).place(0.0, text.height / 2 + _LIFT))
    close = near(lines, _corners(Box(middle, high - low, tall, slope)), max(OUTSIDE) + 20.0)
    if text.width + 8.0 > high - low or _meets(strip, close) or _meets(_wider(box, 1.0), close):
        return None
    items: list[Item] = []
    for at, begin in ((low, from_low), (high, from_high)):
        way = math.copysign(1.0, level - begin)
        if abs(level - begin) <= OFF + 0.5:
            continue
        extension = line([place(at, begin + way * OFF), place(at, level + way * BEYOND)])
        if _meets(_along(extension), close):
            return None
        items.append(Stroke("text", extension, NARROW))
    items += arrow(line([middle, start]), "text")
    items += arrow(line([middle, end]), "text")
    return [*items, set_in(box, words, HEIGHT)]


def _on_sheet(items: list[Item], sheet: tuple[float, float]) -> bool:
    """Whether items lie on a sheet, off its edge."""
    points = [point for path in _paths(items) for point in path.points]
    return all(
        EDGE <= x <= width - EDGE
        for axis, width in enumerate(sheet)
        for x in (point[axis] for point in points)
    )


def size_text(size: float, unit: str) -> str:
    """A size as it stands on a dimension line."""
    return check_words(size, unit) + (" in" if unit == "in" else "")


def _along(path: Path) -> Box:
    """The thin box about a straight line."""
    (x0, y0), (x1, y1) = path.points
    slope = math.degrees(math.atan2(y1 - y0, x1 - x0))
    return Box(((x0 + x1) / 2, (y0 + y1) / 2), math.dist((x0, y0), (x1, y1)), 0.5, slope)


def _wider(box: Box, by: float) -> Box:
    return box._replace(width=box.width + by, height=box.height + by)


def _corners(box: Box) -> Floats:
    import numpy as np

    return np.array(box.corners())


def _meets(box: Box, lines: Floats) -> bool:
    import numpy as np

    return bool(crossed(lines, np.array([box.centre]), box.width, box.height, turn(box.rotation))[0])
