"""Lettering on what is left over of a sheet: labels with leaders, letters with a key, the word 'waste', the
sheet's own line.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING, NamedTuple

from ringwright.backends.beside import row_box, set_in
from ringwright.backends.drawing import NARROW, Item, Stroke
from ringwright.backends.dress import Dressed
from ringwright.backends.label import LEAST, Form, copy_words, name_row, outside_forms, set_rows
from ringwright.backends.part_lines import cross, dot
from ringwright.backends.room import Room, crossed, near, segments, stacked
from ringwright.backends.space import middles
from ringwright.backends.waste import EDGE, Waste
from ringwright.geometry.part import Part, Rolled
from ringwright.geometry.path import Path, Point, bounds, length, line, point_at

if TYPE_CHECKING:
    from ringwright.backends.room import Floats, Truths

_BETWEEN = " · "
APART = 2.5
"""Space about a label in the waste, mm."""

STEP = 4.0
TRIES, MOST_TRIES = 40, 400
REACHES = (25.0, 60.0)
"""How far about a part space is looked for: near for every form of the label before farther off, mm."""


class Key:
    """What stands on or by a part for words that found no space, and those words."""

    def __init__(self) -> None:
        self._letters: dict[str, tuple[str, str]] = {}
        self._words: dict[tuple[str, str], None] = {}

    def letter(self, part: Part, words: str) -> str:
        """The letter that stands for a part's label: the same one for every copy."""
        if part.id not in self._letters:
            self._letters[part.id] = (_letter(len(self._letters)), words)
        return self._letters[part.id][0]

    def add(self, name: str, words: str) -> None:
        """Words that stand beside the name of their part."""
        self._words[name, words] = None

    def entries(self) -> tuple[tuple[str, str], ...]:
        """What stands there, and what it stands for."""
        return (*self._letters.values(), *self._words)


def label_beside(
    part: Part, body: Dressed, by: Point, rows: tuple[str, ...], waste: Waste, key: Key, alike: int
) -> list[Item]:
    """Rows of a label that found no space on the part: in the waste with a leader, else in the key.

    rows: all of the label, or what its part does not bear. A part that bears not even its name gets a letter where
    there is no space, or where more than two alike lie on the sheet.
    """
    name = name_row(part)
    at = aim(part, body, by)
    if body.label or alike <= 2:
        found = label_outside(list(outside_forms(rows, name)), at, waste)
        if found is not None:
            return found
    if body.label:
        key.add(name, _BETWEEN.join(rows))
        return []
    # In the key stands what all copies have in common.
    letter = key.letter(part, _BETWEEN.join(_without_copy(row, part.quantity) for row in rows))
    return _letter_items(letter, body, by, at, waste)


def notes_beside(part: Part, body: Dressed, by: Point, waste: Waste, key: Key) -> list[Item]:
    """Notes that found no space on the part: in the waste with a leader to their line, else in the key."""
    items: list[Item] = []
    for note in body.missing:
        form = set_rows((note.text,), LEAST, LEAST)
        found = label_outside([form], aim(part, body, by, [_middle(note.beside, by)]), waste)
        if found is None:
            key.add(name_row(part), note.text)
        else:
            items += found
    return items


def _letter_items(letter: str, body: Dressed, by: Point, at: Aim, waste: Waste) -> list[Item]:
    """A letter on its part, else beside it with a leader; smaller than 2.5 mm only where nothing else stands."""
    for height in (3.5, LEAST, 1.8):
        if height < LEAST:
            outside = label_outside([set_rows((letter,), LEAST, LEAST)], at, waste)
            if outside is not None:
                return outside
        flat = row_box(letter, height, (0.0, 0.0), 0.0)
        found = body.space.fit(flat.width + 1.0, flat.height + 1.0)
        if found:
            (x, y), rotation = found
            box = flat._replace(centre=(x + by[0], y + by[1]), rotation=rotation)
            waste.keep_box(box)
            return [set_in(box, letter, height)]
    return []


class Aim(NamedTuple):
    """What a leader points to, in the sheet's frame.

    targets: where its dot may lie. outline: of the part. over: lines of the part that it may cross: its outline
    and its centre lines. clear: lines that it must not: about the lettering on the part.
    """

    targets: tuple[Point, ...]
    outline: Path
    over: Floats
    clear: Floats


def aim(part: Part, body: Dressed, by: Point, targets: Sequence[Point] = ()) -> Aim:
    """What a leader to a part points to: its own targets, or some in the sheet's frame."""
    shift = (*by, *by)
    centres = [stroke.path for stroke in body.strokes if isinstance(stroke, Stroke) and stroke.dashes]
    boxes = [Path(box.corners(), (0.0,) * 4, True) for box in body.space.room.taken]
    return Aim(
        tuple(targets) or tuple((x + by[0], y + by[1]) for x, y in body.targets),
        part.outline,
        stacked([segments([part.outline]), segments(centres) + shift]),
        segments(boxes) + shift,
    )


def label_outside(forms: Sequence[Form], at: Aim, waste: Waste) -> list[Item] | None:
    """A label in the waste near a part, with a leader to a dot within it; None where no place is free.

    forms: fullest first. What is set is taken from the waste.
    """
    import numpy as np

    around = [_around(at.targets, bounds(at.outline), reach) for reach in REACHES]
    narrow, low = min(form.width for form in forms), min(form.height for form in forms)
    if not len(waste.free(around[-1], narrow + 2 * APART, low + 2 * APART)):
        return None
    others = near(waste.lines, around[-1], 0.0)
    same = np.abs(others[:, None] - at.over[None]).max(axis=2) < 1e-6
    others = stacked([others[~same.any(axis=1)], at.clear])
    for places, form in [(places, form) for places in around for form in forms]:
        free = waste.free(places, form.width + 2 * APART, form.height + 2 * APART)
        for start in range(0, min(len(free), MOST_TRIES), TRIES):
            centres = free[start : start + TRIES]
            leaders = _leaders(centres, form, at.targets)
            for found in np.flatnonzero(~_crossing(leaders, others))[:1]:
                box = form.box((float(centres[found, 0]), float(centres[found, 1])), 0.0)
                leader = line(leaders[found].tolist())
                waste.keep_box(box)
                waste.keep_clear(leader)
                return [Stroke("text", leader, NARROW), dot(leader.points[1]), *form.texts(box)]
    return None


def compass_point(part: Part, at: Point, waste: Waste) -> list[Item]:
    """A cross where a compass draws the rims of a cone's blank, with the part's name; nothing where that is no waste."""
    import numpy as np

    if not isinstance(part.placement, Rolled) or not part.placement.to_apex:
        return []
    arm = 3.0
    if not len(waste.free(np.array([at]), 2 * arm + 2.0, 2 * arm + 2.0)):
        return []
    words = f"centre of {name_row(part)}"
    flat = row_box(words, LEAST, (0.0, 0.0), 0.0)
    aside, up = arm + 1.5 + flat.width / 2, arm + 1.5 + flat.height / 2
    centres = np.array(
        [(at[0] + aside, at[1]), (at[0] - aside, at[1]), (at[0], at[1] + up), (at[0], at[1] - up)]
    )
    free = waste.free(centres, flat.width + 2.0, flat.height + 2.0).tolist()
    if not free:
        return []
    x, y = free[0]
    box = flat._replace(centre=(x, y))
    crossing = [stroke._replace(layer="info") for stroke in cross(at, arm)]
    waste.keep_box(box)
    waste.keep_clear(*(stroke.path for stroke in crossing))
    return [*crossing, set_in(box, words, LEAST, "info")]


def word_in_opening(hole: Path, waste: Waste, most: float) -> Item | None:
    """The word 'waste' in what falls out of an opening, when it fits well and nothing lies there.

    most: height that its lettering stays below, as far as it can: that of the part's name, mm.
    """
    import numpy as np

    left, low, right, high = bounds(hole)
    if min(right - left, high - low) < 12.0:
        return None
    corners = np.array([(left, low), (right, high)])
    room = Room([hole])
    room.add_segments(near(waste.lines, corners, 0.0))
    points = np.array(middles((hole,), 0.0))
    # Not in a part that lies in the opening, nor in an opening of that one.
    own = len(waste.holding(*hole.points[0]))
    for height in (3.5, LEAST) if most > 3.5 else (LEAST,):
        flat = row_box("waste", height, (0.0, 0.0), 0.0)
        for x, y in points[room.clear(points, flat.width + 4.0, flat.height + 4.0, (1.0, 0.0))].tolist():
            if waste.is_waste(np.array([(x, y)]))[0] and len(waste.holding(x, y)) == own:
                box = flat._replace(centre=(x, y))
                waste.keep_box(box)
                return set_in(box, "waste", height, "info")
    return None


def sheet_line(text: str, heights: tuple[float, ...], waste: Waste) -> Item | None:
    """A line that belongs to no part, in the first free place from below; None where there is none."""
    import numpy as np

    for height in heights:
        flat = row_box(text, height, (0.0, 0.0), 0.0)
        across, up = flat.width / 2 + EDGE, flat.height / 2 + EDGE
        columns = int((waste.width - 2 * across) / 8.0) + 1
        rows = [up, waste.height - up]
        rows += [up + 8.0 * i for i in range(1, int((waste.height - 2 * up) / 8.0))]
        for y in rows:
            centres = np.array([(across + 8.0 * i, y) for i in range(columns)]).reshape(-1, 2)
            for x, y in waste.free(centres, flat.width + 2, flat.height + 2).tolist():
                # What falls out of an opening does not stay with the sheet.
                if not waste.holding(x, y):
                    box = flat._replace(centre=(x, y))
                    waste.keep_box(box)
                    return set_in(box, text, height, "info")
    return None


def _without_copy(row: str, quantity: int) -> str:
    """A row without the words that tell which copy it is; the name of its stock alone is left of such a row."""
    for copy in range(1, quantity + 1):
        row = row.removesuffix(f"{_BETWEEN}{copy_words(copy, quantity)}")
    return row


def _letter(index: int) -> str:
    """A, B … Z, AA, AB …"""
    letters = ""
    index += 1
    while index:
        index, rest = divmod(index - 1, 26)
        letters = chr(ord("A") + rest) + letters
    return letters


def _middle(path: Path, by: Point) -> Point:
    (x, y), _ = point_at(path, length(path) / 2)
    return x + by[0], y + by[1]


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


def _leaders(centres: Floats, form: Form, targets: Sequence[Point]) -> Floats:
    """From the nearest point of a form about each centre to the target that is nearest: ends, (n, 2, 2)."""
    import numpy as np

    half = np.array([form.width / 2 + 0.8, form.height / 2 + 0.8])
    run = np.array(targets) - centres[:, None]
    left = run - np.minimum(np.maximum(run, -half), half)
    which = np.round(left[:, :, 0] * left[:, :, 0] + left[:, :, 1] * left[:, :, 1], 6).argmin(axis=1)
    run, left = run[np.arange(len(centres)), which], left[np.arange(len(centres)), which]
    ends: Floats = np.stack([centres + run - left, centres + run], axis=1)
    return ends


def _crossing(leaders: Floats, lines: Floats) -> Truths:
    """Which leaders come near any of the lines."""
    import numpy as np

    run = leaders[:, 1] - leaders[:, 0]
    long = np.sqrt(run[:, :1] * run[:, :1] + run[:, 1:] * run[:, 1:])
    safe = np.where(long > 0.0, long, 1.0)
    axis = (np.where(long > 0.0, run[:, :1] / safe, 1.0), run[:, 1:] / safe)
    return crossed(lines, (leaders[:, 0] + leaders[:, 1]) / 2, long, 0.6, axis)
