"""What is lettered on a part, and where: its label in one block, or in a few that hang together.

Heights are 5 mm for the name, 3.5 for its data, at least 2.5. One block in large lettering is best; then two;
then small lettering; then more blocks. Rows that find no space on the part are handed back for the waste
(see `outside.py`): none is left out.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from functools import lru_cache
from typing import NamedTuple

from ringwright.backends.drawing import Text, lettering
from ringwright.backends.lettering import text_extents, text_width
from ringwright.backends.room import Box
from ringwright.backends.sizes import check_words, stock_words
from ringwright.backends.space import Space
from ringwright.geometry.part import Part, Rolled
from ringwright.geometry.path import Path, Point, bounds, centroid

LEAST = 2.5
"""Least height of lettering, mm."""

_BETWEEN = " · "
_SIZES = ((5.0, 3.5), (3.5, 2.5), (LEAST, LEAST))
_ANY = 99
_WAYS = (
    (1, _SIZES[0]),
    (1, _SIZES[1]),
    (2, _SIZES[0]),
    (2, _SIZES[1]),
    (1, _SIZES[2]),
    (3, _SIZES[1]),
    (_ANY, _SIZES[2]),
)
"""Number of blocks and sizes of lettering, best first."""


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


class Label(NamedTuple):
    """A label in its place: blocks, and the rows that found none."""

    blocks: tuple[tuple[Form, Box], ...]
    left: tuple[str, ...]

    def texts(self) -> list[Text]:
        """All rows that found a place."""
        return [text for form, box in self.blocks for text in form.texts(box)]


def label_rows(
    part: Part, copy: int, revision: str, unit: str, fraction: int | None = None
) -> tuple[str, ...]:
    """The rows of a part's label, most needed first: name, hand and revision; stock and copy; notes; check
    sizes.

    unit: 'mm' or 'in', for thickness and check sizes; fraction: of an inch, for the thickness. With one piece of a part, there is no copy to tell.
    """
    name = name_row(part) + (f"{_BETWEEN}rev {revision}" if revision else "")
    stock = stock_words(part.stock, unit, fraction)
    if part.quantity > 1:
        stock += _BETWEEN + copy_words(copy, part.quantity)
    return (name, stock, *part.notes, _check_sizes(part, unit))


def _check_sizes(part: Part, unit: str) -> str:
    """What a ruler laid on the part shows: width and height, the diameter of a disc, radii and chord of a cone's blank."""
    if isinstance(part.placement, Rolled) and part.placement.to_apex:
        large, small, chord = _sized(cone_sizes(part.placement), unit)
        words = f"R {large} and {small}{_BETWEEN}chord {chord}"
    else:
        left, low, right, high = bounds(part.outline)
        sizes = (right - left, high - low)
        shown = _sized(sizes, unit)
        words = f"ø {shown[0]}" if _is_disc(part.outline, sizes) else " × ".join(shown)
    return words + (" in" if unit == "in" else "")


def _sized(sizes: tuple[float, ...], unit: str) -> list[str]:
    return [check_words(size, unit) for size in sizes]


def cone_sizes(cone: Rolled) -> tuple[float, float, float]:
    """Radii of the larger and the smaller rim on a cone's blank, and the chord of the larger, mm."""
    widens = cone.end_radius > cone.start_radius
    large = cone.to_apex + cone.slant if widens else cone.to_apex
    half = abs(cone.sweep) * cone.start_radius / cone.to_apex / 2
    return large, large - cone.slant, 2 * large * abs(math.sin(half))


def _is_disc(outline: Path, sizes: tuple[float, float]) -> bool:
    """Whether an outline is one circle: as wide as high, and every corner on it with no straight piece."""
    radius = sizes[0] / 2
    if abs(sizes[0] - sizes[1]) > 1e-6 or 0.0 in outline.bulges:
        return False
    x, y = centroid(outline)
    return all(abs(math.dist((x, y), point) - radius) < 1e-6 for point in outline.points)


def name_row(part: Part) -> str:
    """Name and hand: the least that stands on a part."""
    return f"{part.name} {part.hand.upper()}" if part.hand in ("left", "right") else part.name


def copy_words(copy: int, quantity: int) -> str:
    """Which of several like pieces this is."""
    return f"{copy} of {quantity}"


@lru_cache(maxsize=1024)
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


def outside_forms(rows: tuple[str, ...], name: str) -> Iterator[Form]:
    """Forms of what finds no place on a part, with the name larger where it is among the rows."""
    for first in (3.5, LEAST) if rows[0].startswith(name) else (LEAST,):
        yield from _forms(rows, name, first, LEAST)


def full_forms(rows: tuple[str, ...], name: str) -> Iterator[Form]:
    """Forms that say everything in one block, in each of the layouts; largest lettering first."""
    for first, rest in _SIZES:
        yield from _forms(rows, name, first, rest)


def _forms(rows: tuple[str, ...], name: str, first: float, rest: float) -> Iterator[Form]:
    for layout in _layouts(rows, name):
        yield set_rows(layout, first, rest if len(layout) > 1 else first)


def _layouts(rows: tuple[str, ...], name: str) -> Iterator[tuple[str, ...]]:
    """The words in a stack, in a narrower one (revision by the stock), with data in pairs, in one row."""
    yield rows
    revision = rows[0].removeprefix(name).removeprefix(_BETWEEN)
    if len(rows) > 1 and revision and rows[0].startswith(name):
        yield (name, _BETWEEN.join((revision, rows[1])), *rows[2:])
    if len(rows) > 2:
        yield (rows[0], *(_BETWEEN.join(rows[i : i + 2]) for i in range(1, len(rows), 2)))
    if len(rows) > 1:
        yield (_BETWEEN.join(rows),)


def clearance(form: Form) -> float:
    """Space to leave about lettering, mm."""
    return max(0.8, 0.35 * form.rows[0][1])


def place_label(rows: tuple[str, ...], name: str, space: Space) -> Label:
    """The best way to set a label in a space; without blocks where the name does not fit at 2.5 mm."""
    label = Label((), rows)
    for most, sizes in _WAYS:
        label = _in_blocks(rows, name, space, most, sizes)
        if not label.left:
            break
    return label if label.blocks else Label((), rows)


def _in_blocks(
    rows: tuple[str, ...], name: str, space: Space, most: int, sizes: tuple[float, float]
) -> Label:
    """Rows in at most so many blocks: in each as many rows as fit, the others as near the first as may be.

    Where their number is open, a row that finds no place is broken at its points, and what even then finds none
    is left. Without the first row there are no blocks.
    """
    blocks: list[tuple[Form, Box]] = []
    left: list[str] = []
    while rows and len(blocks) < most:
        least = len(rows) if len(blocks) == most - 1 else 1
        found = _largest(rows, name, space, sizes if not blocks else (sizes[1], sizes[1]), least, blocks)
        if found:
            count, form, box = found
            blocks.append((form, box))
            space, rows = space.taking(box), rows[count:]
        elif most < _ANY:
            break
        elif _BETWEEN in rows[0]:
            rows = (*rows[0].split(_BETWEEN), *rows[1:])
        elif blocks:
            left, rows = [*left, rows[0]], rows[1:]
        else:
            break
    return Label(tuple(blocks), (*left, *rows))


def _largest(
    rows: tuple[str, ...],
    name: str,
    space: Space,
    sizes: tuple[float, float],
    least: int,
    blocks: list[tuple[Form, Box]],
) -> tuple[int, Form, Box] | None:
    """A form of as many rows as fit, from all down to `least`: how many, the form, where.

    Best where one reads on from the last block, else anywhere near it.
    """
    beside = blocks[-1][1] if blocks else None
    for count in range(len(rows), least - 1, -1):
        for after in (True, False) if beside else (False,):
            for form in _forms(rows[:count], name, *sizes):
                pad = clearance(form)
                found = space.fit(form.width + 2 * pad, form.height + 2 * pad, beside, after)
                if found:
                    return count, form, form.box(*found)
    return None
