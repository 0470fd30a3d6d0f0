"""Words beside lines, and arrows within parts: where they fit."""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import islice
from typing import TYPE_CHECKING, NamedTuple

from ringwright.backends.drawing import Item, lettering
from ringwright.backends.lettering import text_extents, text_width
from ringwright.backends.part_lines import Note, arrow
from ringwright.backends.room import Box, Room, turn, upright
from ringwright.backends.space import Spots, fine_points
from ringwright.geometry.numbers import snap
from ringwright.geometry.part import Flat, Part, Rolled
from ringwright.geometry.path import Path, Point, length, line, point_at

if TYPE_CHECKING:
    from ringwright.backends.room import Axis, Floats

NOTE_HEIGHT = 2.5
GRAIN = "grain"
GAP = 0.8
APART = 1.6
"""Space that is kept about a note besides that about other lettering, mm."""
_STATIONS = (0.5, 0.35, 0.65, 0.2, 0.8, 0.1, 0.9)


class Direction(NamedTuple):
    """An arrow with a word at its tail.

    slope: degrees anticlockwise on the sheet, None for away from the origin. both: a head at either end.
    """

    word: str
    slope: float | None
    both: bool


def row_box(text: str, height: float, centre: Point, rotation: float) -> Box:
    """The box of one row's ink about a centre."""
    bottom, top = text_extents(text, height)
    return Box(centre, text_width(text, height), top - bottom, rotation)


def set_in(box: Box, text: str, height: float, layer: str = "text") -> Item:
    """One row of lettering in the box that was measured for it."""
    bottom, _ = text_extents(text, height)
    return lettering(layer, box.place(0.0, -box.height / 2 - bottom), text, height, box.rotation, "middle")


def place_note(note: Note, room: Room) -> Item | None:
    """A note beside its line, taken from the room; None where there is no space."""
    import numpy as np

    flat = row_box(note.text, NOTE_HEIGHT, (0.0, 0.0), 0.0)
    wide, high = flat.width + 1.5 * GAP, flat.height + 1.5 * GAP
    places, some = _about(note, flat), 12
    while tried := list(islice(places, some)):
        spots = np.array([(x, y, *turn(rotation)) for x, y, rotation in tried])
        found = room.first(spots[:, :2], wide, high, (spots[:, 2:3], spots[:, 3:]))
        if found is not None:
            x, y, rotation = tried[found]
            box = flat._replace(centre=(x, y), rotation=rotation)
            # A label that comes later keeps a row's height off, so that the note is no row of it.
            room.take(box._replace(width=box.width + 2 * APART, height=box.height + 2 * APART))
            return set_in(box, note.text, NOTE_HEIGHT)
        some = 48
    return None


def directions(part: Part, rotation: float) -> list[Direction]:
    """Up and aft on a part that stands upright, fore on one that lies level, the axis of a rolled one, and the run of
    the grain.
    """
    found = []
    if part.stock.grain != "none" and part.grain != "free":
        found.append(Direction(GRAIN, 0.0 if part.stock.grain == "along_width" else 90.0, True))
    if isinstance(part.placement, Rolled):
        # Along a barrel's y; on a cone every line to its apex, which is the origin.
        slope = None if part.placement.to_apex else rotation + 90.0
        found.append(Direction("axis", slope, True))
    if isinstance(part.placement, Flat):
        u, v = part.placement.u, part.placement.v
        upright_ways = (("up", 2, 1.0), ("aft", 0, 1.0))
        stands = abs(v[2]) >= 0.95 or abs(u[2]) >= 0.95
        for word, axis, way in upright_ways if stands else (("fore", 0, -1.0),):
            for component, slope in ((way * u[axis], 0.0), (way * v[axis], 90.0)):
                if abs(component) > 0.95:
                    found.append(Direction(word, rotation + slope + (180.0 if component < 0 else 0.0), False))
    return found


def place_direction(direction: Direction, room: Room, places: Spots) -> list[Item]:
    """An arrow with its word, in the widest space left: the word at its tail, or over it; nothing where there is none."""
    word = row_box(direction.word, NOTE_HEIGHT, (0.0, 0.0), 0.0)
    wide = places.points[places.reach >= word.height / 2 + GAP]
    for points in (wide, fine_points(room)):
        axis = _outward(points) if direction.slope is None else turn(direction.slope)
        for form in _arrow_forms(word, direction.both):
            found = room.first(points, form.width + 2 * GAP, form.height + 2 * GAP, axis)
            if found is not None:
                x, y = points[found].tolist()
                slope = direction.slope
                if slope is None:
                    slope = upright(snap(math.degrees(math.atan2(y, x))))
                whole = Box((x, y), form.width, form.height, slope)
                room.take(whole)
                return _arrow_items(direction, form, whole)
    return []


class _ArrowForm(NamedTuple):
    """How an arrow and its word lie in a box: its size, tail and tip, and the middle of the word, mm from its centre."""

    width: float
    height: float
    tail: Point
    tip: Point
    word: Point


def _arrow_forms(word: Box, both: bool) -> Iterator[_ArrowForm]:
    """The word before the arrow, before a shorter one, and over it."""
    for shaft in (14.0, 9.0) if both else (9.0, 6.0):
        long = word.width + 1.2 + shaft
        start = -long / 2 + word.width
        yield _ArrowForm(
            long, word.height, (start + 1.2, 0.0), (long / 2, 0.0), (start - word.width / 2, 0.0)
        )
    long, high = max(word.width, 9.0), word.height + 2.0
    foot = 0.6 - high / 2
    yield _ArrowForm(long, high, (-4.5, foot), (4.5, foot), (0.0, (high - word.height) / 2))


def _arrow_items(direction: Direction, form: _ArrowForm, whole: Box) -> list[Item]:
    """An arrow and its word in a box."""
    tail, tip = whole.place(*form.tail), whole.place(*form.tip)
    box = row_box(direction.word, NOTE_HEIGHT, whole.place(*form.word), upright(whole.rotation))
    items: list[Item] = [set_in(box, direction.word, NOTE_HEIGHT), *arrow(line([tail, tip]))]
    if direction.both:
        items.extend(arrow(line([tip, tail]))[1:])
    return items


def _outward(points: Floats) -> Axis:
    """Cosine and sine, each (n, 1), of the slopes of lines from the origin to some points."""
    import numpy as np

    x, y = points[:, :1], points[:, 1:]
    away = np.sqrt(x * x + y * y)
    far = np.where(away > 0.0, away, 1.0)
    return np.where(away > 0.0, x / far, 1.0), y / far


def _about(note: Note, flat: Box) -> Iterator[tuple[float, float, float]]:
    """Centres and turns to try for a note's box: along its line on either side, then about its middle and ends."""
    path = note.beside
    whole = length(path)
    off = flat.height / 2 + GAP
    if whole >= flat.width:
        for share in _STATIONS:
            (x, y), (tx, ty) = point_at(path, share * whole)
            rotation = _slope(tx, ty)
            for side in (1.0, -1.0):
                for more in (0.6, 0.0, 1.5, 4.0):
                    reach = side * (off + more)
                    yield x - reach * ty, y + reach * tx, rotation
    # Far from its tick the name of a mate would be anybody's.
    yield from _round_about(path, whole, flat, 4.0 if note.rim else 16.0)


def _round_about(path: Path, whole: float, flat: Box, most: float) -> Iterator[tuple[float, float, float]]:
    """The same about a short line's middle and ends, square to it first, steeply falling ones last; `most` mm off."""
    ends = [point_at(path, share * whole) for share in (0.5, 0.0, 1.0)]
    tx, ty = ends[0][1]
    slopes = sorted(
        dict.fromkeys((_slope(-ty, tx), 0.0, 90.0, _slope(tx, ty))), key=lambda slope: slope < -60
    )
    near = [(slopes[0], more) for more in (0.0, 2.0, 4.0)]
    for rotation, more in (
        *near,
        *((slope, m) for m in (0.0, 2.0, 4.0, 7.0, 11.0, 16.0) if m <= most for slope in slopes),
    ):
        for (x, y), (tx, ty) in ends:
            for ux, uy in ((-ty, tx), (ty, -tx), (tx, ty), (-tx, -ty)):
                reach = _half_extent(flat, rotation, ux, uy) + GAP + more
                yield x + reach * ux, y + reach * uy, rotation


def _half_extent(box: Box, rotation: float, ux: float, uy: float) -> float:
    """How far a box reaches from its centre in a direction."""
    c, s = turn(rotation)
    return box.width / 2 * abs(c * ux + s * uy) + box.height / 2 * abs(c * uy - s * ux)


def _slope(tx: float, ty: float) -> float:
    return upright(snap(math.degrees(math.atan2(ty, tx))))
