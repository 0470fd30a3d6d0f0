"""The neutral drawing: strokes and texts in mm on named layers, y up, origin at the lower left corner.

Every file format is written from this one value, so that a sheet looks alike in all of them. Layers are named
by the operation, in plain words. Line widths and dash
lengths follow ISO 128-2, a wide line being twice as wide as a narrow one.
"""

import math
from collections.abc import Iterator
from typing import NamedTuple, TypeAlias

from ringwright.backends.lettering import text_extents, text_width
from ringwright.geometry.numbers import ceil_safe
from ringwright.geometry.path import (
    Path,
    Piece,
    Point,
    bulge_of,
    flattened,
    piece_point,
    pieces,
    sweep_of,
)

LAYERS = ("cut", "far", "score", "groove", "peel", "bare", "mark", "text", "info")
CUTTING_ORDER = tuple(reversed(LAYERS))
"""In which a cutter does its work: what is drawn first, then part depths, and what sets a part free last of all."""

WIDE = 0.35
NARROW = 0.18


Rectangle: TypeAlias = tuple[float, float, float, float]
"""(left, low, right, high), mm."""


class Stroke(NamedTuple):
    """A line of even width, mm. dashes: lengths of dash and gap in turn, () for a continuous line.

    phase: mm of the dash pattern that lie before the path's start. filled: the (closed) path is filled as
    well.
    """

    layer: str
    path: Path
    width: float
    dashes: tuple[float, ...] = ()
    phase: float = 0.0
    filled: bool = False


class Text(NamedTuple):
    """One row of lettering.

    at: on the baseline, where `anchor` ('start', 'middle' or 'end') says. height: of a capital, mm. rotation:
    degrees anticlockwise. width: mm, by the metrics of the lettering.
    """

    layer: str
    at: Point
    text: str
    height: float
    rotation: float
    anchor: str
    width: float


Item: TypeAlias = Stroke | Text


class Group(NamedTuple):
    """What belongs together, a part as a rule.

    id: a valid XML name, unique. title, description: for people. clip: (left, low, right, high) of what is shown of
    it, in formats with pages.
    """

    id: str
    title: str
    description: str
    items: tuple[Item, ...]
    clip: Rectangle | None = None


class Bookmark(NamedTuple):
    """Where a reader of a PDF can go. level: 0 for the uppermost. y: height on the page, mm."""

    title: str
    level: int
    y: float


class Drawing(NamedTuple):
    """A page, mm. title and description are kept whole, whatever characters they hold.

    level: of its bookmark, 0 for the uppermost; bookmarks: where it has others than its title, () for none. colours: names of those layers that
    are not black. stretch: what a page must be multiplied by so that a printer that is
    a little off prints it true.
    """

    width: float
    height: float
    title: str
    description: str
    groups: tuple[Group, ...]
    level: int = 0
    stretch: float = 1.0
    bookmarks: tuple[Bookmark, ...] | None = None
    colours: tuple[tuple[str, str], ...] = ()


def dashed(width: float) -> tuple[float, ...]:
    """Dash and gap of a dashed line (ISO 128-2 line type 02): 12 d, 3 d."""
    return (12 * width, 3 * width)


def dashed_spaced(width: float) -> tuple[float, ...]:
    """Dash and gap of a dashed spaced line (ISO 128-2 line type 03): 12 d, 18 d."""
    return (12 * width, 18 * width)


def long_dash_dot(width: float) -> tuple[float, ...]:
    """Long dash, gap, dot and gap of a centre line (ISO 128-2 line type 04): 24 d, 3 d, 0.5 d, 3 d."""
    return (24 * width, 3 * width, 0.5 * width, 3 * width)


def circle(centre: Point, radius: float) -> Path:
    """A full circle, anticlockwise."""
    x, y = centre
    return Path(((x - radius, y), (x + radius, y)), (1.0, 1.0), True)


def lettering(
    layer: str, at: Point, text: str, height: float, rotation: float = 0.0, anchor: str = "start"
) -> Text:
    """A text with its width worked out."""
    return Text(layer, at, text, height, rotation, anchor, text_width(text, height))


def rectangle(left: float, low: float, right: float, high: float) -> Path:
    """A closed path, anticlockwise from its lower left."""
    return Path(((left, low), (right, low), (right, high), (left, high)), (0.0,) * 4, True)


def moved_group(group: Group, by: Point) -> Group:
    """A group moved by (x, y) mm, what is shown of it with it."""
    clip = group.clip
    if clip is not None:
        (left, low, right, high), (dx, dy) = clip, by
        clip = (left + dx, low + dy, right + dx, high + dy)
    return group._replace(items=tuple(moved_item(item, by) for item in group.items), clip=clip)


def moved_item(item: Item, by: Point) -> Item:
    """A stroke or text moved by (x, y) mm."""
    dx, dy = by
    if isinstance(item, Stroke):
        points, bulges, closed = item.path
        return item._replace(path=Path(tuple([(x + dx, y + dy) for x, y in points]), bulges, closed))
    return item._replace(at=(item.at[0] + dx, item.at[1] + dy))


def text_box(text: Text) -> tuple[Point, Point, Point, Point]:
    """The four corners of the ink of a text, anticlockwise from its lower left."""
    bottom, top = text_extents(text.text, text.height)
    left = {"start": 0.0, "middle": -text.width / 2, "end": -text.width}[text.anchor]
    right = left + text.width
    c, s = math.cos(math.radians(text.rotation)), math.sin(math.radians(text.rotation))
    x, y = text.at

    def corner(u: float, v: float) -> Point:
        return (x + c * u - s * v, y + s * u + c * v)

    return corner(left, bottom), corner(right, bottom), corner(right, top), corner(left, top)


def short_pieces(path: Path, most: float = math.pi / 2) -> Iterator[Piece]:
    """The pieces of a path in turn, arcs of more than `most` rad cut into equal shorter ones.

    Short arcs keep their place when a file rounds their ends: half a circle of radius 100 mm with its ends
    0.0005 mm out of place may lie 0.2 mm off, a quarter less than 0.002 mm.
    """
    for piece in pieces(path):
        start, end, bulge = piece
        sweep = sweep_of(bulge) if bulge else 0.0
        count = ceil_safe(abs(sweep) / most) if bulge else 1
        if count <= 1:
            yield piece
            continue
        inner = [piece_point(piece, step / count)[0] for step in range(1, count)]
        for here, there in zip([start, *inner], [*inner, end], strict=True):
            yield here, there, bulge_of(sweep / count)


def collisions(drawing: Drawing) -> list[str]:
    """What is wrong with the lettering of a drawing, one sentence each; empty when nothing is.

    No text may touch a line that is cut, scored, peeled or marked, nor another text, nor leave the page.
    """
    import shapely

    texts = [item for group in drawing.groups for item in group.items if isinstance(item, Text)]
    boxes = [shapely.Polygon(text_box(text)) for text in texts]
    lines = [
        (item.layer, shapely.LineString(_whole(item.path)).buffer(item.width / 2, quad_segs=2))
        for group in drawing.groups
        for item in group.items
        if isinstance(item, Stroke)
        and item.layer in ("cut", "far", "score", "groove", "peel", "bare", "mark")
    ]
    found = []
    page = shapely.box(0, 0, drawing.width, drawing.height)
    for text, box in zip(texts, boxes, strict=True):
        if not page.contains(box):
            found.append(f"text {text.text!r} leaves the page")
    for i, j in sorted(map(tuple, shapely.STRtree([line for _, line in lines]).query(boxes, "intersects").T)):
        found.append(f"text {texts[i].text!r} lies on a line of layer {lines[j][0]}")
    for i, j in sorted(map(tuple, shapely.STRtree(boxes).query(boxes, "intersects").T)):
        if i < j:
            found.append(f"texts {texts[i].text!r} and {texts[j].text!r} lie on each other")
    return found


def _whole(path: Path) -> tuple[Point, ...]:
    """Points along a path, its first repeated at the end of a closed one."""
    points = flattened(path, 0.01)
    return points + points[:1] if path.closed else points
