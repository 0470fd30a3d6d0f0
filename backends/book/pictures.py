"""Pictures for the book: parts to scale with their lines as on the sheet, the whole model, joints."""

import math
from collections.abc import Collection, Sequence

from ringwright.backends.book.blocks import Picture
from ringwright.backends.dimension import HEIGHT
from ringwright.backends.drawing import (
    NARROW,
    WIDE,
    Item,
    Stroke,
    Text,
    dashed,
    dashed_spaced,
    lettering,
    moved_item,
    text_box,
)
from ringwright.backends.part_lines import BACK
from ringwright.backends.record import BuildRecord
from ringwright.backends.views.looking import ISOMETRIC
from ringwright.backends.views.model_views import MARGIN, TITLE, three_views, view_of
from ringwright.geometry.numbers import short
from ringwright.geometry.part import Part
from ringwright.geometry.path import bounds, moved, scaled, turned
from ringwright.geometry.solid.mesh import Solid

SCALES = (1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0)
"""Scales of reduction (ISO 5455), the least of which that fits is taken."""
FINE = (1, 2, 3, 4, 5, 6, 8, 10, 12, 15, 20, 25, 30, 40, 50, 60, 80, 100)
"""Reductions of the three views, closer to each other than ISO 5455 has them: a page of a book has little room."""
JOINT = (62.0, 48.0)
"""The field of a joint's picture, mm."""
HIGH = 130.0
"""How high three views may be, mm."""
_ROUND = 46.0
"""What their margins and dimensions take of the width, mm."""
_LAYER = "mark"


def scale_of(parts: Sequence[Part], width: float, height: float) -> float:
    """The scale of reduction at which pictures of all these parts fit into a field, mm."""
    sizes = [_lying(part)[1] for part in parts]
    for scale in SCALES:
        if all(wide / scale <= width and high / scale <= height for wide, high in sizes):
            return scale
    return max(max(wide / width, high / height) for wide, high in sizes)


def scale_words(scale: float) -> str:
    """A scale as it is written: '1:5'."""
    return f"1:{short(scale, 1)}"


def part_picture(part: Part, scale: float) -> Picture:
    """A part with its openings, far cuts, scores and peels, at a scale; long ones lie on their side."""
    angle, (wide, high) = _lying(part)
    left, low, _, _ = bounds(turned(part.outline, angle))
    by = (-left / scale + WIDE / 2, -low / scale + WIDE / 2)
    items: list[Item] = [
        Stroke(_LAYER, moved(scaled(turned(path, angle), 1 / scale), by), width, dashes)
        for path, width, dashes in (
            *((area, NARROW, ()) for area in part.peels),
            *((groove.path, NARROW, ()) for groove in part.grooves),
            *(
                (score.path, NARROW, dashed_spaced(NARROW) if score.side == BACK else dashed(NARROW))
                for score in part.scores
            ),
            *((path, NARROW, ()) for path in part.far),
            *((hole, NARROW, ()) for hole in part.holes),
            (part.outline, WIDE, ()),
        )
    ]
    return Picture(part.name, wide / scale + WIDE, high / scale + WIDE, tuple(items))


def three_view_picture(record: BuildRecord, solids: Sequence[Solid], width: float) -> Picture | None:
    """Three views of the whole model within a width, mm; None where nothing of it has a place."""
    drawn = three_views(record, solids, "", (width - _ROUND, HIGH), FINE)
    if drawn is None:
        return None
    # The book has its title already: of the words under the views it keeps the line with the scale.
    items = [item for group in drawn.groups if group.id != TITLE for item in group.items]
    facts = [
        item.text
        for group in drawn.groups
        if group.id == TITLE
        for item in group.items[1:]
        if isinstance(item, Text)
    ]
    spots = [
        spot for item in items for spot in (item.path.points if isinstance(item, Stroke) else text_box(item))
    ]
    low, high = (choose(y for _, y in spots) for choose in (min, max))
    words = (lettering("info", (MARGIN, HEIGHT), text, HEIGHT) for text in facts)
    lifted = tuple(moved_item(item, (0.0, 4 * HEIGHT - low)) for item in items)
    return Picture("three views of the model", drawn.width, high - low + 6 * HEIGHT, (*lifted, *words))


def joint_picture(
    solids: Sequence[Solid], new: Collection[str], onto: Collection[str], name: str
) -> Picture | None:
    """An isometric picture of parts that are joined, the new ones wide all round; None where none has a place."""
    shown = [solid for solid in solids if solid.part in new or solid.part in onto]
    if not shown:
        return None
    spots = [ISOMETRIC.at(corner) for solid in shown for corner in solid.vertices]
    wide, tall = (max(s[k] for s in spots) - min(s[k] for s in spots) for k in (0, 1))
    width, height = JOINT
    scale = next((s for s in SCALES if wide / s <= width and tall / s <= height), SCALES[-1])
    view = view_of(shown, ISOMETRIC, scale, frozenset(new))
    left, low, right, high = view.box
    by = (WIDE / 2 - left, WIDE / 2 - low)
    return Picture(
        name, right - left + WIDE, high - low + WIDE, tuple(moved_item(each, by) for each in view.strokes)
    )


def _lying(part: Part) -> tuple[float, tuple[float, float]]:
    """The turn by which a part is shown, and how wide and high it then is."""
    left, low, right, high = bounds(part.outline)
    wide, tall = right - left, high - low
    if tall > 1.4 * wide:
        return math.pi / 2, (tall, wide)
    return 0.0, (wide, tall)
