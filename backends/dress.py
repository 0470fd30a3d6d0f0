"""A part with its lines, its label, its notes and its arrows, as far as they find space on it."""

from itertools import islice
from typing import NamedTuple

from ringwright.backends.beside import APART, GRAIN, directions, place_direction, place_note
from ringwright.backends.drawing import Item, Text
from ringwright.backends.label import Label, label_rows, name_row, place_label
from ringwright.backends.part_lines import (
    Note,
    bevel_arrows,
    hole_notes,
    part_notes,
    part_strokes,
    turned_part,
)
from ringwright.backends.record import Model
from ringwright.backends.room import Room
from ringwright.backends.space import Space, Spots, label_turns, spots
from ringwright.geometry.part import Part
from ringwright.geometry.path import Path, Point


class Dressed(NamedTuple):
    """A part turned as it lies on the sheet, with its lines and all lettering that found space within it.

    label: rows of the label as set, () where even the name found no space. left: those of its rows, as for the
    last copy, that did not fit. missing: notes that did not fit. space: what is left for more lettering.
    targets: where the dot of a leader may lie, first the point with most space about it.
    """

    part: Part
    strokes: tuple[Item, ...]
    label: tuple[Text, ...]
    left: tuple[str, ...]
    words: tuple[Item, ...]
    missing: tuple[Note, ...]
    space: Space
    targets: tuple[Point, ...]


def dress(part: Part, rotation: float, model: Model) -> Dressed:
    """A part turned by `rotation` degrees, with its label, notes and arrows set within it where they fit."""
    body = turned_part(part, rotation)
    arrows = bevel_arrows(body)
    strokes = part_strokes(body, arrows)
    along = [stroke.path for stroke in strokes if stroke.layer not in ("cut", "peel", "bare", "groove")]
    rings = (body.outline, *body.holes)
    rows = label_rows(part, part.quantity, model.revision, model.unit, model.fraction)
    every = part_notes(body, arrows, model.unit, model.fraction)
    notes = [note for note in every if not _is_said(note, arrows, part)]
    # What the label says, or what a ruler tells, stands there only where there is room.
    more = [[note] for note in every if note not in notes] + hole_notes(body, model.unit, model.fraction)

    room = Room(rings, (*body.peels, *body.bared, *(groove.path for groove in body.grooves)), along)
    places, turns = spots(rings, rotation, room), label_turns(body.outline, rotation)

    def letter(room: Room, notes_first: bool) -> tuple[Label, list[Item], list[Note], Room]:
        free = room.copy()
        words, missing = _place_notes(notes, free) if notes_first else ([], [])
        label = place_label(rows, name_row(part), Space(free, places, turns))
        around = 0.0 if notes_first else APART
        for _, box in label.blocks:
            free.take(box._replace(width=box.width + 2 * around, height=box.height + 2 * around))
        if not notes_first:
            words, missing = _place_notes(notes, free)
        return label, words, missing, free

    # Notes have the least choice of place and go first, unless more of the label finds one without them.
    label, words, missing, free = letter(room, True)
    if label.left and words:
        other = letter(room, False)
        if len(other[0].left) < len(label.left):
            label, words, missing, free = other
    ways_of = directions(part, rotation) if label.blocks else []
    if ways_of and ways_of[0].word == GRAIN and not place_direction(ways_of[0], free.copy(), places):
        # The run of the grain goes before large lettering, not before any.
        beside = room.copy()
        grain = place_direction(ways_of[0], beside, places)
        other = letter(beside, True)
        if len(other[0].left) <= len(label.left) and len(other[2]) <= len(missing):
            label, words, missing, free = other
            words, ways_of = words + grain, ways_of[1:]
    for direction in ways_of:
        words += place_direction(direction, free, places)
    # A part too small for its name needs its space for a letter.
    for ways in more if label.blocks else ():
        words += islice((item for note in ways if (item := place_note(note, free))), 1)
    return Dressed(
        body,
        tuple(strokes),
        tuple(label.texts()),
        label.left,
        tuple(words),
        tuple(missing),
        Space(free, places, turns),
        _targets(places, free, body.outline),
    )


def _is_said(note: Note, arrows: dict[int, Path], part: Part) -> bool:
    """Whether an arrow's words stand in the label, which says them of a bevel."""
    return note.beside in arrows.values() and any(note.text in said for said in part.notes)


def _place_notes(notes: list[Note], room: Room) -> tuple[list[Item], list[Note]]:
    """Notes set within a room, and those that find no space there."""
    words: list[Item] = []
    missing = []
    for note in notes:
        item = place_note(note, room)
        if item:
            words.append(item)
        else:
            missing.append(note)
    return words, missing


def _targets(places: Spots, free: Room, outline: Path) -> tuple[Point, ...]:
    """The roomiest point of a part, and of the roomy ones and of all those that lie farthest left, right, down, up.

    Off the lettering, where there is such a point.
    """
    import numpy as np

    if not len(places.points):
        return (outline.points[0],)
    bare = free.clear(places.points, 2.0, 2.0, (1.0, 0.0)) & free.may_bear(places.points)
    points, reach = places.points, places.reach
    if bare.any():
        points, reach = points[bare], reach[bare]
    found = [points[0]]
    for some in (points[reach >= 0.8 * reach.max()], points):
        for axis in (0, 1):
            order = np.lexsort((some[:, 1 - axis], np.round(some[:, axis], 6)))
            found += [some[order[0]], some[order[-1]]]
    return tuple(dict.fromkeys((float(x), float(y)) for x, y in found))
