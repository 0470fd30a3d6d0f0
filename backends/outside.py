"""Lettering on what is left over of a sheet: labels and notes with leaders, letters and what goes into the key."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING, NamedTuple

from ringwright.backends.beside import row_box, set_in
from ringwright.backends.drawing import NARROW, Item, Stroke
from ringwright.backends.dress import Dressed
from ringwright.backends.label import LEAST, Form, copy_words, name_row, outside_forms, set_rows
from ringwright.backends.part_lines import Note, cross, dot
from ringwright.backends.room import crossed, near, segments, stacked
from ringwright.backends.waste import Waste
from ringwright.geometry.part import Part, Rolled
from ringwright.geometry.path import Path, Point, bounds, length, line, point_at

if TYPE_CHECKING:
    from ringwright.backends.room import Floats, Truths

_BETWEEN = " · "
APART = 2.5
"""Space about a label in the waste, mm."""

SMALLEST = 1.8
"""Height of lettering on the waste where nothing larger finds a place, mm."""
STEP = 4.0
TRIES, MOST_TRIES = 40, 400
RIM_END = 2.2
"""So much of a leader's end may lie on the rim that it comes to, mm."""
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
            self._letters[part.id] = (letter_of(len(self._letters)), words)
        return self._letters[part.id][0]

    def add(self, name: str, words: str) -> None:
        """Words that stand beside the name of their part."""
        self._words[name, words] = None

    def copy(self) -> Key:
        """The same key, to which something else may be added."""
        other = Key()
        other._letters, other._words = dict(self._letters), dict(self._words)
        return other

    def has(self, part: Part) -> bool:
        """Whether a letter stands for a part's label."""
        return part.id in self._letters

    def become(self, other: Key) -> None:
        """Say what another key does."""
        self._letters, self._words = other._letters, other._words

    def size(self) -> tuple[int, int]:
        """How many letters stand for labels, and how many other words there are."""
        return len(self._letters), len(self._words)

    def entries(self) -> tuple[tuple[str, str], ...]:
        """What stands there, and what it stands for."""
        return (*self._letters.values(), *self._words)


def words_beside(
    part: Part, body: Dressed, by: Point, rows: tuple[str, ...], waste: Waste, key: Key, alike: int
) -> list[Item]:
    """What found no space on a part: its notes, and rows of its label; in the order that leaves the key shorter.

    Notes go first where it is the same: they have less choice of place.
    """
    best: tuple[tuple[bool, int, int], list[Item], Waste, Key] | None = None
    for notes_first in (True, False) if rows and body.missing else (True,):
        here, said = waste.copy(), key.copy()
        notes = notes_beside(part, body, by, here, said) if notes_first else []
        items = label_beside(part, body, by, rows, here, said, alike) if rows else []
        if not notes_first:
            notes = notes_beside(part, body, by, here, said)
        if notes_first and rows and body.missing and said.has(part):
            continue  # a letter on the part might come on the leader of a note
        nameless = bool(rows) and not (items or body.label)
        rank = (nameless, *said.size())
        if best is None or rank < best[0]:
            best = rank, [*notes, *items], here, said
        if not nameless and said.size() == key.size():
            break
    assert best is not None
    waste.become(best[2])
    key.become(best[3])
    return best[1]


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
        found = label_outside([form], _aim_of(note, part, body, by), waste)
        if found is None:
            key.add(name_row(part), note.key)
        else:
            items += found
    return items


def _letter_items(letter: str, body: Dressed, by: Point, at: Aim, waste: Waste) -> list[Item]:
    """A letter on its part, else beside it with a leader; smaller than 2.5 mm only where nothing else stands."""
    for height, around in ((3.5, 1.0), (LEAST, 1.0), (SMALLEST, 1.0), (SMALLEST, 0.5)):
        if (height, around) == (SMALLEST, 1.0):
            outside = label_outside([set_rows((letter,), LEAST, LEAST)], at, waste)
            if outside is not None:
                return outside
        flat = row_box(letter, height, (0.0, 0.0), 0.0)
        found = body.space.fit(flat.width + around, flat.height + around)
        if found:
            (x, y), rotation = found
            box = flat._replace(centre=(x + by[0], y + by[1]), rotation=rotation)
            waste.keep_box(box)
            return [set_in(box, letter, height)]
    return []


class Aim(NamedTuple):
    """What a leader points to, in the sheet's frame.

    targets: where its dot may lie. outline: of the part. over: lines of the part that it may cross: its outline
    and its centre lines. clear: lines that it must not: about the lettering on the part. marks: those that it does not
    cross where it can be helped. free: how much of its end may lie on any line, mm.
    """

    targets: tuple[Point, ...]
    outline: Path
    over: Floats
    clear: Floats
    marks: Floats
    free: float = 0.0


def aim(part: Part, body: Dressed, by: Point, targets: Sequence[Point] = ()) -> Aim:
    """What a leader to a part points to: its own targets, or some in the sheet's frame."""
    shift = (*by, *by)
    centres = [stroke.path for stroke in body.strokes if isinstance(stroke, Stroke) and stroke.dashes]
    boxes = [Path(box.corners(), (0.0,) * 4, True) for box in body.space.room.taken]
    marks = [mark.path for mark in body.part.marks if mark.kind != "bevel"]
    marks += [score.path for score in body.part.scores]
    return Aim(
        tuple(targets) or tuple((x + by[0], y + by[1]) for x, y in body.targets),
        part.outline,
        stacked([segments([part.outline]), segments(centres) + shift]),
        segments(boxes) + shift,
        segments(marks) + shift,
    )


def _aim_of(note: Note, part: Part, body: Dressed, by: Point) -> Aim:
    """What a leader from a note points to: a line at a rim from outside that rim, so that it is not taken for another."""
    if note.rim is None:
        whole = aim(part, body, by, [_middle(note.beside, by)])
    else:
        whole = aim(part, body, by, [(note.rim[0] + by[0], note.rim[1] + by[1])])
        whole = whole._replace(over=whole.over[:0], free=RIM_END)
    own = segments([note.beside]) + (*by, *by)
    return whole._replace(marks=whole.marks[~_are_among(whole.marks, own)])


def _are_among(lines: Floats, others: Floats) -> Truths:
    """Which of some lines are among others."""
    import numpy as np

    same: Truths = (np.abs(lines[:, None] - others[None]).max(axis=2) < 1e-6).any(axis=1)
    return same


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
    others = stacked([others[~_are_among(others, at.over)], at.clear])
    ways = [(places, form, stacked([others, at.marks])) for places in around for form in forms]
    if len(at.marks):
        ways += [(places, form, others) for places in around for form in forms]
    for places, form, lines in ways:
        free = waste.free(places, form.width + 2 * APART, form.height + 2 * APART)
        for start in range(0, min(len(free), MOST_TRIES), TRIES):
            centres = free[start : start + TRIES]
            leaders = _leaders(centres, form, at.targets)
            for found in np.flatnonzero(~_crossing(_without_end(leaders, at.free), lines))[:1]:
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


def _without_copy(row: str, quantity: int) -> str:
    """A row without the words that tell which copy it is; the name of its stock alone is left of such a row."""
    for copy in range(1, quantity + 1):
        row = row.removesuffix(f"{_BETWEEN}{copy_words(copy, quantity)}")
    return row


def letter_of(index: int) -> str:
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


def _without_end(leaders: Floats, less: float) -> Floats:
    """Leaders without the last `less` mm; of short ones half is left."""
    import numpy as np

    run = leaders[:, 1] - leaders[:, 0]
    long = np.maximum(np.sqrt(run[:, 0] * run[:, 0] + run[:, 1] * run[:, 1]), 1e-9)
    share = np.maximum(0.5, 1.0 - less / long)
    return np.stack([leaders[:, 0], leaders[:, 0] + run * share[:, None]], axis=1)


def _crossing(leaders: Floats, lines: Floats) -> Truths:
    """Which leaders come near any of the lines."""
    import numpy as np

    run = leaders[:, 1] - leaders[:, 0]
    long = np.sqrt(run[:, :1] * run[:, :1] + run[:, 1:] * run[:, 1:])
    safe = np.where(long > 0.0, long, 1.0)
    axis = (np.where(long > 0.0, run[:, :1] / safe, 1.0), run[:, 1:] / safe)
    return crossed(lines, (leaders[:, 0] + leaders[:, 1]) / 2, long, 0.6, axis)
