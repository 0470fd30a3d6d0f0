"""What stands on the waste and belongs to no part alone: the sheet's own line, its key, the word 'waste'."""

from __future__ import annotations

import math
from collections.abc import Sequence

from ringwright.backends.beside import row_box, set_in
from ringwright.backends.drawing import Item
from ringwright.backends.label import LEAST, Form, set_rows
from ringwright.backends.outside import MOST_TRIES, SMALLEST, STEP
from ringwright.backends.room import Room, near
from ringwright.backends.space import middles
from ringwright.backends.waste import EDGE, Waste
from ringwright.geometry.path import Path, bounds

_BETWEEN = " · "


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


def sheet_line(text: str, heights: tuple[float, ...], waste: Waste) -> list[Item]:
    """A line that belongs to no part, in the first free place from below; nothing where there is none."""
    return _on_waste([set_rows((text,), height, height) for height in heights], waste, (True,))


def key_line(letter: str, words: str, waste: Waste) -> list[Item]:
    """What stands for a letter, on the waste: in one row or in several; where that finds no place, the name alone.

    Last of all in what falls out of an opening, and smaller.
    """
    full, name = f"{letter} = {words}", f"{letter} = {words.split(_BETWEEN)[0]}"
    for text, height in ((full, LEAST), (full, SMALLEST), (name, LEAST), (name, SMALLEST)):
        forms = [set_rows(rows, height, height) for rows in _broken(text)]
        if found := _on_waste(forms, waste, (True, False)):
            return found
    return []


def _broken(text: str) -> list[tuple[str, ...]]:
    """A text in one row, in two, in three … of about the same length, broken between words."""
    words = text.split(" ")
    found = []
    for count in range(1, min(len(words), 12) + 1):
        rows, most = [""], math.ceil(len(text) / count) + 2
        for word in words:
            if rows[-1] and len(rows[-1]) + 1 + len(word) > most:
                rows.append(word)
            else:
                rows[-1] = f"{rows[-1]} {word}".strip()
        found.append(tuple(rows))
    return list(dict.fromkeys(found))


def _on_waste(forms: Sequence[Form], waste: Waste, keeps: Sequence[bool]) -> list[Item]:
    """The first of some forms that finds a place on the waste, from below.

    keeps: whether in what stays with the sheet, or in what falls out of openings.
    """
    import numpy as np

    for stays, form in [(stays, form) for stays in keeps for form in forms]:
        wide, high = form.width + 2.0, form.height + 2.0
        across, up = wide / 2 + EDGE, high / 2 + EDGE
        columns = int((waste.width - 2 * across) / STEP) + 1
        rows = [up, waste.height - up]
        rows += [up + STEP * i for i in range(1, int((waste.height - 2 * up) / STEP))]
        places = [across + STEP * i for i in range(columns)]
        start, count = 0, 1
        # Most find their place in the first row: more are looked at together the further it goes.
        while start < len(rows) and places:
            centres = np.array([(x, y) for y in rows[start : start + count] for x in places])
            start, count = start + count, min(2 * count, max(1, MOST_TRIES // columns))
            free = waste.free(centres, wide, high)
            for x, y in free[waste.stays(free) == stays][:1].tolist():
                box = form.box((x, y), 0.0)
                waste.keep_box(box)
                return [*form.texts(box, "info")]
    return []
