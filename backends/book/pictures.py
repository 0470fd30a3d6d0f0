"""Pictures of parts to scale, for the cut list: their lines as on the sheet, without words."""

from collections.abc import Sequence

from ringwright.backends.book.blocks import Picture, placed
from ringwright.backends.drawing import NARROW, WIDE, Item, Stroke, dashed, dashed_spaced
from ringwright.backends.part_lines import BACK
from ringwright.geometry.numbers import short
from ringwright.geometry.part import Part
from ringwright.geometry.path import bounds, turned

SCALES = (1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0)
"""Scales of reduction (ISO 5455), the least of which that fits is taken."""
_LAYER = "mark"
_QUARTER = 1.5707963267948966


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
        Stroke(_LAYER, placed(turned(path, angle), 1 / scale, by), width, dashes)
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


def _lying(part: Part) -> tuple[float, tuple[float, float]]:
    """The turn by which a part is shown, and how wide and high it then is."""
    left, low, right, high = bounds(part.outline)
    wide, tall = right - left, high - low
    if tall > 1.4 * wide:
        return _QUARTER, (tall, wide)
    return 0.0, (wide, tall)
