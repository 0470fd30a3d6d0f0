"""A plan at true size to build over: every part where it sits in the aircraft, from port and from above."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, NamedTuple

from ringwright.backends.drawing import (
    NARROW,
    WIDE,
    Drawing,
    Group,
    Item,
    Rectangle,
    Stroke,
    lettering,
    long_dash_dot,
)
from ringwright.backends.label import name_row
from ringwright.backends.page import Fields, Template, title_row
from ringwright.backends.part_lines import cross
from ringwright.backends.plan_names import place_names
from ringwright.backends.record import BuildRecord, loads_in_place
from ringwright.backends.silhouette import Shape, shape_of
from ringwright.geometry.part import Vector
from ringwright.geometry.path import Path, Point, closed, line, moved

if TYPE_CHECKING:
    from shapely import Geometry

MARGIN = 15.0
APART = 30.0
_STATION_ROOM = 22.0


class View(NamedTuple):
    """A way to look at the aircraft. right, up: axes of the drawing by their number in space; axis: of sight."""

    name: str
    right: int
    up: int
    axis: str

    def seen(self, place: Vector) -> Point:
        """A place in the aircraft as it is seen."""
        return place[self.right], place[self.up]


SIDE = View("side view, from port", 0, 2, "datum line")
TOP = View("top view", 0, 1, "centre line")


def plan_of(record: BuildRecord, date: str) -> Template | None:
    """The plan of a build; None where no part has a place. Parts that look alike are named together."""
    seen = {view: _shapes(record, view) for view in (SIDE, TOP)}
    if not seen[SIDE]:
        return None
    left, _, right, _ = _extent([shape for shapes in seen.values() for shape, _ in shapes])
    groups: list[Group] = []
    key: dict[str, str] = {}
    floor, width = MARGIN, right - left + 2 * MARGIN
    for view in (TOP, SIDE):
        _, low, _, high = _extent([shape for shape, _ in seen[view]])
        room = _STATION_ROOM if view is SIDE else 0.0
        by = (MARGIN - left, floor + room - low)
        groups.append(_drawn(record, view, seen[view], by, width, key))
        floor += room + high - low + APART
    model = record.model
    words = f"{model.heading} · plan"
    number = "-".join(word for word in (model.name, model.revision, "plan") if word)
    below = (("Number", number, 0.0), *((("Date", date, 28.0),) if date else ()))
    drawing = Drawing(width, floor - APART + MARGIN, words, "side view and top view", tuple(groups))
    return Template(drawing, Fields(title_row(model, "plan"), below), tuple(_key_rows(key)), model.unit)


def _key_rows(key: dict[str, str]) -> Iterator[tuple[str, str]]:
    """Letters that stand for names, and the names that found no room at all."""
    yield from sorted((letter, name) for name, letter in key.items() if letter)
    crowded = sorted(name for name, letter in key.items() if not letter)
    if crowded:
        yield "not named", ", ".join(crowded)


def _shapes(record: BuildRecord, view: View) -> list[tuple[Shape, str]]:
    """What is seen of each part, with its name; parts of which the same is seen share one."""
    found: dict[bytes, tuple[Shape, list[str]]] = {}
    for part in sorted(record.parts, key=lambda part: part.id):
        shape = shape_of(part, view.seen)
        if shape is not None:
            found.setdefault(shape.outline.wkb, (shape, []))[1].append(name_row(part))
    return [(shape, ", ".join(names)) for shape, names in found.values()]


def _extent(shapes: list[Shape]) -> Rectangle:
    boxes = [shape.outline.bounds for shape in shapes]
    return (
        min(box[0] for box in boxes),
        min(box[1] for box in boxes),
        max(box[2] for box in boxes),
        max(box[3] for box in boxes),
    )


def _drawn(
    record: BuildRecord,
    view: View,
    shapes: list[tuple[Shape, str]],
    by: Point,
    width: float,
    key: dict[str, str],
) -> Group:
    """A view moved by (x, y): outlines, inner lines, axis, loads, stations, names. key: gets letters for names."""
    items: list[Item] = []
    for shape, _ in shapes:
        for ring in _rings(shape.outline):
            items.append(Stroke("mark", moved(ring, by), WIDE))
        items += [Stroke("mark", moved(inner, by), NARROW) for inner in shape.inner]
    items.append(Stroke("mark", line([(5.0, by[1]), (width - 5.0, by[1])]), NARROW, long_dash_dot(NARROW)))
    loads = [(view.seen(load.at), load.name) for load in loads_in_place(record) if load.at is not None]
    for (x, y), _ in loads:
        items += cross((x + by[0], y + by[1]), 4.0)
    low = min(shape.outline.bounds[1] for shape, _ in shapes) + by[1]
    if view is SIDE:
        items += _stations(record, by[0], low - 4.0, width)
    named = [(shape.outline, name, by) for shape, name in shapes]
    named += [(_point(at), name, by) for at, name in loads]
    top = max(shape.outline.bounds[3] for shape, _ in shapes) + by[1]
    items.append(lettering("text", (5.0, top + 6.0), view.name, 3.5))
    below = 3.5 if view is SIDE else 12.0
    items += place_names(named, list(items), (2.0, low - below, width - 2.0, top + 12.0), key)
    return Group(f"view-{'side' if view is SIDE else 'top'}", view.name, "", tuple(items))


def _point(at: Point) -> Geometry:
    from shapely import Point as Dot

    return Dot(at).buffer(1.0)


def _rings(shape: Geometry) -> Iterator[Path]:
    """The rings of what is seen, outer and inner."""
    for polygon in getattr(shape, "geoms", [shape]):
        for ring in (polygon.exterior, *polygon.interiors):
            yield closed(ring.coords)


def _stations(record: BuildRecord, dx: float, y: float, width: float) -> Iterator[Item]:
    """Ticks at the stations under the side view, with their names; where they crowd, names stand aside."""
    places = sorted(
        (dimension.value, dimension.name.split(".")[1])
        for dimension in record.dimensions
        if dimension.name.startswith("station.") and dimension.name.endswith(".x")
    )
    last = -4.0
    for x, name in places:
        at = x + dx
        if not 0.0 <= at <= width:
            continue
        beside = max(at, last + 4.0)
        last = beside
        yield Stroke("mark", line([(at, y), (at, y - 3.0), (beside, y - 6.0)]), NARROW)
        yield lettering("text", (beside + 1.25, y - 7.0), name, 2.5, 90.0, "end")
