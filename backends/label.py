"""What is lettered on a part, and where: the largest form of its label that fits the free space within it.

Heights are 5 mm for the name, 3.5 for its data, at least 2.5. Forms are tried from the fullest to the name
alone; a part that cannot bear its name at 2.5 mm is lettered outside (see `outside.py`).
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import TYPE_CHECKING, NamedTuple

from ringwright.backends.drawing import Text, lettering
from ringwright.backends.lettering import text_extents, text_width
from ringwright.backends.room import FLATNESS, Box, Room, turn, upright
from ringwright.geometry.numbers import fixed, short, snap
from ringwright.geometry.part import Part
from ringwright.geometry.path import Path, Point, bounds, centroid, flattened

if TYPE_CHECKING:
    from ringwright.backends.room import Floats

LONG = 2.2
"""A part this many times as long as wide bears its label along its length."""

_BETWEEN = " · "
_SIZES = ((5.0, 3.5), (3.5, 2.5), (2.5, 2.5))


class Form(NamedTuple):
    """Rows of lettering set one under the other. rows: (text, height, baseline below the top, mm)."""

    rows: tuple[tuple[str, float, float], ...]
    width: float
    height: float

    def box(self, centre: Point, rotation: float) -> Box:
        """The rectangle that the form takes."""
        return Box(centre, self.width, self.height, rotation)

    def texts(self, box: Box, layer: str = "text") -> list[Text]:
        """The rows, centred in a box."""
        return [
            lettering(layer, box.place(0.0, box.height / 2 - below), text, height, box.rotation, "middle")
            for text, height, below in self.rows
        ]


def label_rows(part: Part, copy: int, revision: str, unit: str) -> tuple[str, ...]:
    """The rows of a part's label, most needed first: name, hand and revision; stock and copy; notes; check
    sizes.

    unit: 'mm' or 'in', for the check sizes. With one piece of a part, there is no copy to tell.
    """
    name = name_row(part) + (f"{_BETWEEN}rev {revision}" if revision else "")
    stock = f"{part.stock.name} {short(part.stock.thickness, 2)}"
    if part.quantity > 1:
        stock += _BETWEEN + copy_words(copy, part.quantity)
    left, low, right, high = bounds(part.outline)
    if unit == "in":
        sizes = f"{fixed((right - left) / 25.4, 2)} × {fixed((high - low) / 25.4, 2)} in"
    else:
        sizes = f"{fixed(right - left, 1)} × {fixed(high - low, 1)}"
    return (name, stock, *part.notes, sizes)


def name_row(part: Part) -> str:
    """Name and hand: the least that stands on a part."""
    return f"{part.name} {part.hand.upper()}" if part.hand in ("left", "right") else part.name


def copy_words(copy: int, quantity: int) -> str:
    """Which of several like pieces this is."""
    return f"{copy} of {quantity}"


def set_rows(rows: tuple[str, ...], first: float, rest: float) -> Form:
    """Rows in one block, the first `first` mm high and the others `rest` mm."""
    below = text_extents(rows[0], first)[1]
    laid = [(rows[0], first, below)]
    above = first
    for row in rows[1:]:
        below += 0.29 * above + 1.35 * rest
        laid.append((row, rest, below))
        above = rest
    text, height, baseline = laid[-1]
    bottom = baseline - text_extents(text, height)[0]
    return Form(tuple(laid), max(text_width(text, height) for text, height, _ in laid), bottom)


def full_forms(rows: tuple[str, ...], name: str) -> Iterator[Form]:
    """Forms that say everything, in each of the layouts of `_layouts`; largest lettering first."""
    for first, rest in _SIZES:
        for layout in _layouts(rows, name):
            yield set_rows(layout, first, rest if len(layout) > 1 else first)


def short_forms(rows: tuple[str, ...], name: str) -> Iterator[Form]:
    """Forms that leave out what is least needed, down to the name alone."""
    for count in range(len(rows) - 1, 1, -1):
        for layout in _layouts(rows[:count], name):
            yield set_rows(layout, 2.5, 2.5)
    for row in dict.fromkeys((rows[0], name)):
        for first, _ in _SIZES:
            yield set_rows((row,), first, first)


def _layouts(rows: tuple[str, ...], name: str) -> Iterator[tuple[str, ...]]:
    """The words in a stack, in a narrower one (revision by the stock), with data in pairs, in one row."""
    yield rows
    revision = rows[0].removeprefix(name).removeprefix(_BETWEEN)
    if len(rows) > 1 and revision:
        yield (name, _BETWEEN.join((revision, rows[1])), *rows[2:])
    if len(rows) > 2:
        yield (rows[0], *(_BETWEEN.join(rows[i : i + 2]) for i in range(1, len(rows), 2)))
    if len(rows) > 1:
        yield (_BETWEEN.join(rows),)


def clearance(form: Form) -> float:
    """Space to leave about lettering, mm."""
    return max(0.8, 0.35 * form.rows[0][1])


class Spots(NamedTuple):
    """Points within a part, widest space first: points (n, 2) mm, reach (n,) mm to the nearest line."""

    points: Floats
    reach: Floats


def spots(rings: tuple[Path, ...], rotation: float, room: Room, count: int = 180) -> Spots:
    """Points to try: the middles of the part and of its cross sections, and a grid of about `count`.

    rings: outline, then holes. rotation: of the part on the sheet, degrees.
    """
    import numpy as np

    left, low, right, high = bounds(rings[0])
    width, height = max(right - left, 1e-6), max(high - low, 1e-6)
    columns = min(count // 5, max(5, math.ceil(math.sqrt(count * width / height))))
    rows = max(5, count // columns)
    grid = [
        (left + (i + 0.5) / columns * width, low + (j + 0.5) / rows * height)
        for j in range(rows)
        for i in range(columns)
    ]
    middles = _middles(rings, rotation)
    points = np.array(middles + grid)
    bear = room.may_bear(points)
    points, favoured = points[bear], (np.arange(len(points)) < len(middles))[bear]
    reach = room.clearance(points)
    order = np.argsort(-np.round(np.where(favoured, 1.15, 1.0) * reach, 3), kind="stable")
    return Spots(points[order], reach[order])


def fit(form: Form, room: Room, places: Spots, rotations: tuple[float, ...], pad: float) -> Box | None:
    """The first box in which a form fits with `pad` mm about it: by turn, then by space."""
    wide = places.reach >= form.height / 2 + pad
    if not wide.any():
        return None
    points = places.points[wide]
    for rotation in rotations:
        free = room.clear(points, form.width + 2 * pad, form.height + 2 * pad, rotation)
        if free.any():
            x, y = points[int(free.argmax())]
            return form.box((float(x), float(y)), rotation)
    return None


def place_label(
    rows: tuple[str, ...], name: str, outline: Path, room: Room, places: Spots, rotation: float
) -> tuple[Form, Box] | None:
    """The fullest form of a label that fits and where; None where the name does not fit at 2.5 mm.

    rotation: degrees by which the part is turned on the sheet.
    """
    first, others = label_turns(outline, rotation)
    for turns, forms in (
        (first, full_forms(rows, name)),
        (others, full_forms(rows, name)),
        (first + others, short_forms(rows, name)),
    ):
        for form in forms:
            box = fit(form, room, places, turns, clearance(form))
            if box:
                return form, box
    return None


def label_turns(outline: Path, rotation: float) -> tuple[tuple[float, ...], tuple[float, ...]]:
    """Turns of lettering to try, good ones and others: along a long part, else level, else upright."""
    axis, slimness = long_axis(outline, rotation)
    level = (0.0, upright(rotation), 90.0)
    good = (axis, *level) if slimness >= LONG else (*level, axis)
    first = tuple(dict.fromkeys(good))
    others = (upright(rotation + 30.0 * step) for step in range(1, 6))
    return first, tuple(angle for angle in others if angle not in first)


def long_axis(outline: Path, rotation: float) -> tuple[float, float]:
    """Turn of the smallest rectangle about an outline, upright, and its length over its width.

    Each 15 degrees is tried, and the direction of the longest piece.
    """
    import numpy as np

    x, y = np.array(flattened(outline, 0.5)).T
    ends = list(zip(outline.points, (*outline.points[1:], outline.points[0]), strict=True))
    longest = max(ends, key=lambda piece: round(math.dist(*piece), 6))
    (x0, y0), (x1, y1) = longest
    turns = [rotation + 15.0 * step for step in range(12)]
    turns.append(math.degrees(math.atan2(y1 - y0, x1 - x0)))
    best = (math.inf, 0.0, 1.0)
    for angle in turns:
        c, s = turn(angle)
        along, aside = c * x + s * y, c * y - s * x
        wide, high = float(along.max() - along.min()), float(aside.max() - aside.min())
        if round(wide * high, 3) < best[0]:
            if high > wide:
                angle, wide, high = angle + 90.0, high, wide
            best = (round(wide * high, 3), upright(angle), wide / max(high, 1e-9))
    return best[1], best[2]


def _middles(rings: tuple[Path, ...], rotation: float) -> list[Point]:
    """Middles and quarters of the stretches of material on lines through the outline's centroid.

    The lines run along the part's axes and the sheet's.
    """
    centre = centroid(rings[0])
    corners = [flattened(ring, FLATNESS) for ring in rings]
    found = [centre]
    for angle in dict.fromkeys(snap(slope % 180.0) for slope in (rotation, rotation + 90.0, 0.0, 90.0)):
        c, s = turn(angle)
        level = c * centre[1] - s * centre[0]
        crossings = []
        for points in corners:
            local = [(c * x + s * y, c * y - s * x) for x, y in points]
            for (u0, v0), (u1, v1) in zip(local, [*local[1:], local[0]], strict=True):
                if (v0 > level) != (v1 > level):
                    crossings.append(u0 + (level - v0) * (u1 - u0) / (v1 - v0))
        crossings.sort()
        for start, end in zip(crossings[::2], crossings[1::2], strict=True):
            for share in (0.5, 0.25, 0.75):
                along = start + share * (end - start)
                found.append((c * along - s * level, s * along + c * level))
    return found
