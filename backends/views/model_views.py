"""The assembled model as drawings: three views to scale with the centre of gravity and the main sizes, and an isometric
picture.
"""

from collections.abc import Iterable, Iterator, Sequence
from typing import NamedTuple

from ringwright.backends.dimension import HEIGHT, size_text
from ringwright.backends.drawing import (
    NARROW,
    WIDE,
    Drawing,
    Group,
    Item,
    Stroke,
    circle,
    lettering,
    long_dash_dot,
    moved_group,
)
from ringwright.backends.lettering import text_width
from ringwright.backends.manifest import weight_and_balance
from ringwright.backends.part_lines import arrow
from ringwright.backends.record import BuildRecord, Model, Piece
from ringwright.backends.sizes import length_words
from ringwright.backends.views.looking import FRONT, ISOMETRIC, SIDE, TOP, Look
from ringwright.backends.views.seen import seen
from ringwright.geometry.numbers import short
from ringwright.geometry.part import Vector
from ringwright.geometry.path import Path, Point, line, scaled
from ringwright.geometry.solid.bar import bar
from ringwright.geometry.solid.mesh import Solid, solids_of

SCALES = (1, 2, 5, 10, 20, 50, 100)
"""Reductions that ISO 5455 recommends."""
WIDEST, HIGHEST = 390.0, 240.0
"""What three views may take up, mm: of A3, with room for words."""
MARGIN = 12.0
APART = 16.0
TITLE = "words"
"""The group of the title and the line under it."""
WORDS = 14.0
"""Room for the title and a line under it, mm."""
OFF = 9.0
"""How far a dimension line lies from what it measures, mm."""


class View(NamedTuple):
    """A view to scale: its strokes about the aircraft's origin, and how far they reach: left, low, right, high, mm."""

    look: Look
    strokes: tuple[Stroke, ...]
    box: tuple[float, float, float, float]


def solids_in(record: BuildRecord) -> tuple[Solid, ...]:
    """The solids of all parts of a build that have a place, and behind them its pieces of strip."""
    parts = (solid for part in sorted(record.parts, key=lambda part: part.id) for solid in solids_of(part))
    return (*parts, *(solid for piece in record.pieces for solid in bars_of(piece)))


def bars_of(piece: Piece) -> tuple[Solid, ...]:
    """A piece of strip as the solids of its hands, where it has a place."""
    return tuple(bar(piece.id, number, run, piece.section) for number, run in enumerate(piece.runs, 1))


def view_of(solids: Sequence[Solid], look: Look, scale: float, bold: frozenset[str] | None = None) -> View:
    """What is seen of solids, lines within narrow and rims wide; drawn `scale` times smaller.

    bold: ids of the parts that have their own rims wide, the others narrow; None: the whole model's.
    """
    found = seen(solids, look)
    rims = found.rims
    strokes = [Stroke("mark", scaled(path, 1 / scale), NARROW) for path in found.lines]
    if bold is None:
        strokes += [Stroke("mark", scaled(path, 1 / scale), WIDE) for path in rims]
    else:
        strokes += [Stroke("mark", scaled(path, 1 / scale), NARROW) for path in rims]
        about = [solid for solid in solids if solid.part in bold]
        own = seen(about, look).rims
        strokes += [
            Stroke("mark", scaled(path, 1 / scale), WIDE) for path in _not_behind(own, solids, about, look)
        ]
    points = [point for stroke in strokes for point in stroke.path.points]
    xs, ys = [x for x, _ in points], [y for _, y in points]
    return View(look, tuple(strokes), (min(xs), min(ys), max(xs), max(ys)))


def three_views(
    record: BuildRecord,
    solids: Sequence[Solid],
    date: str = "",
    room: tuple[float, float] = (WIDEST, HIGHEST),
    scales: Sequence[int] = SCALES,
) -> Drawing | None:
    """Side view, top view under it and front view at its right (first-angle projection), on one scale; None where no
    part has a place. room: what the views may take up, mm. scales: reductions to choose from.
    """
    if not solids:
        return None
    low, high = _box(solids)
    long, wide, tall = (b - a for a, b in zip(low, high, strict=True))
    scale = next(
        (
            s
            for s in scales
            if (long + wide) / s + APART <= room[0] and (tall + wide) / s + 2 * APART <= room[1]
        ),
        scales[-1],
    )
    side, top, front = (view_of(solids, look, scale) for look in (SIDE, TOP, FRONT))
    _, balance = weight_and_balance(record)
    shift = MARGIN + OFF + 6.0 - min(side.box[0], top.box[0])
    level = MARGIN + top.box[3] - top.box[1] + APART + 2 * OFF
    places = {
        "top": (top, (shift, MARGIN - top.box[1])),
        "side": (side, (shift, level - side.box[1])),
        "front": (front, (shift + max(side.box[2], top.box[2]) + APART - front.box[0], level - front.box[1])),
    }
    # Seen from the front, where the aircraft is least, the sign must not hide it.
    radius = max(0.8, min(2.5, 0.06 * min(wide, tall) / scale))
    groups = []
    for name, (view, by) in places.items():
        left, _, _, upper = view.box
        items = [*view.strokes, *_axis(view), *_dimensions(view, balance, scale, record.model.unit)]
        if balance is not None:
            x, y = view.look.at(balance)
            items += balance_sign((x / scale, y / scale), radius)
        items.append(lettering("text", (left, upper + 5.0), view.look.name, HEIGHT))
        groups.append(moved_group(Group(f"view-{name}", view.look.name, "", tuple(items)), by))
    return _page(groups, record.model, "three views", scale, _said(record, balance), date)


def isometric(record: BuildRecord, solids: Sequence[Solid], date: str = "") -> Drawing | None:
    """The model as an isometric picture; None where no part has a place."""
    if not solids:
        return None
    low, high = _box(solids)
    corners = [
        ISOMETRIC.at((x, y, z))
        for x in (low[0], high[0])
        for y in (low[1], high[1])
        for z in (low[2], high[2])
    ]
    wide, tall = (max(c[k] for c in corners) - min(c[k] for c in corners) for k in (0, 1))
    scale = next((s for s in SCALES if wide / s <= 260.0 and tall / s <= 170.0), SCALES[-1])
    view = view_of(solids, ISOMETRIC, scale)
    _, balance = weight_and_balance(record)
    items: list[Item] = list(view.strokes)
    if balance is not None:
        x, y = ISOMETRIC.at(balance)
        items += balance_sign((x / scale, y / scale))
    left, bottom, _, _ = view.box
    group = moved_group(
        Group("view-isometric", ISOMETRIC.name, "", tuple(items)), (MARGIN - left, MARGIN - bottom)
    )
    return _page([group], record.model, "isometric view", scale, _said(record, balance), date)


def balance_sign(at: Point, radius: float = 2.5) -> Iterator[Item]:
    """The sign of a centre of gravity: a circle with two quarters filled."""
    x, y = at
    yield Stroke("mark", circle(at, radius), NARROW)
    for turn in (1.0, -1.0):
        quarter = Path(
            ((x, y), (x + turn * radius, y), (x, y + turn * radius)), (0.0, 0.41421356237309503, 0.0), True
        )
        yield Stroke("mark", quarter, NARROW, filled=True)


def _not_behind(
    rims: Iterable[Path], solids: Sequence[Solid], about: Sequence[Solid], look: Look
) -> tuple[Path, ...]:
    """Rims of some solids as far as they are seen among all."""
    import shapely

    visible = seen(solids, look, about)
    shown = shapely.union_all([shapely.LineString(path.points) for path in (*visible.rims, *visible.lines)])
    near = shapely.buffer(shown, 0.05)
    found = []
    for path in rims:
        kept = shapely.intersection(shapely.LineString(path.points), near)
        found += [
            line(each.coords)
            for each in getattr(kept, "geoms", (kept,))
            if each.geom_type == "LineString" and each.length > 0.3
        ]
    return tuple(found)


def _box(solids: Sequence[Solid]) -> tuple[Vector, Vector]:
    xs, ys, zs = zip(*(corner for solid in solids for corner in solid.vertices), strict=True)
    return (min(xs), min(ys), min(zs)), (max(xs), max(ys), max(zs))


def _axis(view: View) -> Iterator[Item]:
    """The datum line, or the centre line of what is seen from above or from the front."""
    left, low, right, high = view.box
    if view.look is not FRONT and low < 0.0 < high:
        yield Stroke("mark", line([(left - 4.0, 0.0), (right + 4.0, 0.0)]), NARROW, long_dash_dot(NARROW))
    if view.look is FRONT:
        yield Stroke("mark", line([(0.0, low - 4.0), (0.0, high + 4.0)]), NARROW, long_dash_dot(NARROW))


def _dimensions(view: View, balance: Vector | None, scale: float, unit: str) -> Iterator[Item]:
    """Length and height at the side view with the place of the balance, span at the top view."""
    left, low, right, high = view.box
    if view.look is SIDE:
        yield from _dimension((left, low), (right, low), -OFF - (6.0 if balance else 0.0), scale, unit)
        yield from _dimension((left, low), (left, high), -OFF, scale, unit)
        if balance is not None and left <= balance[0] / scale <= right and abs(balance[0]) / scale > 4.0:
            yield from _dimension((0.0, low), (balance[0] / scale, low), -OFF, scale, unit)
    elif view.look is TOP:
        yield from _dimension((left, low), (left, high), -OFF, scale, unit)


def _dimension(start: Point, end: Point, off: float, scale: float, unit: str) -> Iterator[Item]:
    """A dimension between two places, level or upright, its line `off` mm up or to the right of them (ISO 129-1)."""
    upright = start[0] == end[0]
    (a, b), across = sorted((start, end)), (0 if upright else 1)
    level = start[across] + off

    def at(point: Point, where: float) -> Point:
        return (where, point[1]) if upright else (point[0], where)

    way = 1.0 if off > 0 else -1.0
    for point in (a, b):
        yield Stroke(
            "text", line([at(point, point[across] + way * 1.0), at(point, level + way * 1.5)]), NARROW
        )
    first, last = at(a, level), at(b, level)
    size = abs(b[1 - across] - a[1 - across])
    words = size_text(size * scale, unit)
    middle = ((first[0] + last[0]) / 2, (first[1] + last[1]) / 2)
    if size < text_width(words, HEIGHT) + 8.0:
        # Too short for arrows and words between its extension lines: both stand outside.
        for tip, other in ((first, last), (last, first)):
            back = 6.0 / max(size, 1e-9)
            tail = (tip[0] + back * (tip[0] - other[0]), tip[1] + back * (tip[1] - other[1]))
            yield from arrow(line([tail, tip]), "text")
        if upright:
            yield lettering("text", (last[0] - 0.8, last[1] + 7.0), words, HEIGHT, 90.0)
        else:
            yield lettering("text", (last[0] + 7.0, last[1] - HEIGHT / 2), words, HEIGHT)
        return
    yield from arrow(line([middle, first]), "text")
    yield from arrow(line([middle, last]), "text")
    if upright:
        yield lettering("text", (middle[0] - 0.8, middle[1]), words, HEIGHT, 90.0, "middle")
    else:
        yield lettering("text", (middle[0], middle[1] + 0.8), words, HEIGHT, 0.0, "middle")


def _said(record: BuildRecord, balance: Vector | None) -> str:
    mass, _ = weight_and_balance(record)
    said = [] if mass is None else [f"{short(mass, 1)} g"]
    if balance is not None:
        said.append(f"centre of gravity at x = {length_words(balance[0], record.model.unit)}")
    return ", ".join(said)


def _page(groups: list[Group], model: Model, what: str, scale: float, said: str, date: str) -> Drawing:
    """A page about some groups with a line of words under them."""
    points = [
        point
        for group in groups
        for item in group.items
        for point in (item.path.points if isinstance(item, Stroke) else (item.at,))
    ]
    title = model.heading
    facts = " · ".join(word for word in (what, f"scale 1:{short(scale, 0)}", said, date) if word)
    width = (
        max(max(x for x, _ in points), *(MARGIN + text_width(row, 3.5) for row in (title, facts))) + MARGIN
    )
    rows = (lettering("info", (MARGIN, 14.0), title, 3.5), lettering("info", (MARGIN, 7.5), facts, 3.5))
    lifted = [moved_group(group, (0.0, WORDS)) for group in groups]
    high = max(y for _, y in points) + WORDS + MARGIN
    return Drawing(width, high, f"{title}: {what}", said, (*lifted, Group(TITLE, "Title", "", rows)))
