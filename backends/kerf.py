"""Lines moved by half of what the cutter takes away, so that parts come out as large as they are drawn.

Outlines grow and openings shrink; the border of a peel area moves into what is thrown away, and runs on to the
cut lines on which it ends. All other lines stay where they are.
"""

import math

from ringwright.backends.drawing import Group, Item, Stroke
from ringwright.geometry.errors import GeometryError
from ringwright.geometry.numbers import short
from ringwright.geometry.offset import alongside, inset
from ringwright.geometry.path import (
    Path,
    Piece,
    Point,
    as_hole,
    bulge_of,
    flattened,
    length,
    piece_radius,
    pieces,
    point_at,
    signed_area,
    sweep_of,
)

_PROBE = 0.05
"""How far beside a line is looked for what it borders, mm."""
_FLATNESS = 0.01


def compensated(group: Group, kerf: float) -> Group:
    """A part's group with its cut and far lines moved for a cut `kerf` mm wide.

    GeometryError where nothing is left of an opening, or a gap in an outline closes.
    """
    if not kerf:
        return group
    strokes = [item for item in group.items if isinstance(item, Stroke)]
    peels = [stroke.path for stroke in strokes if stroke.layer == "peel" and stroke.path.closed]
    try:
        items = tuple(_moved(item, kerf / 2, peels) for item in group.items)
    except GeometryError as error:
        raise GeometryError(
            error.code, f"a kerf of {short(kerf, 2)} mm does not go into {group.title}: {error}"
        ) from None
    return group._replace(items=items)


def _moved(item: Item, half: float, peels: list[Path]) -> Item:
    if not isinstance(item, Stroke):
        return item
    if item.layer == "cut" and item.path.closed:
        return item._replace(path=_ring(item.path, half))
    if item.layer == "far" and not item.path.closed:
        return item._replace(path=_border(item.path, half, peels))
    return item


def _ring(ring: Path, half: float) -> Path:
    """An outline, which runs anticlockwise, grown; an opening, which runs clockwise, shrunk."""
    return inset(ring, -half) if signed_area(ring) > 0 else as_hole(inset(ring, half))


def _border(line: Path, half: float, peels: list[Path]) -> Path:
    """A far line moved to the side on which a peel area lies; where on neither or both, it stays."""
    (x, y), (tx, ty) = point_at(line, length(line) / 2)
    left, right = (
        any(_holds(area, (x - side * ty, y + side * tx)) for area in peels) for side in (_PROBE, -_PROBE)
    )
    if left == right:
        return line
    return _run_on(alongside(line, half if left else -half), half)


def _run_on(line: Path, by: float) -> Path:
    """A line made longer by so much at either end, in its own bend."""
    every = list(pieces(line))
    first, last = _longer(_turned_round(every[0]), by), _longer(every[-1], by)
    points = (first[1], *line.points[1:-1], last[1])
    bulges = list(line.bulges)
    if len(every) == 1:
        whole = sweep_of(every[0][2]) if every[0][2] else 0.0
        more = 2 * by / piece_radius(every[0]) if whole else 0.0
        bulges = [bulge_of(whole + math.copysign(more, whole)) if whole else 0.0]
    else:
        bulges[0], bulges[-1] = -first[2], last[2]
    return Path(points, tuple(bulges), False)


def _turned_round(piece: Piece) -> Piece:
    return piece[1], piece[0], -piece[2]


def _longer(piece: Piece, by: float) -> Piece:
    """A piece that runs on past its end."""
    (x0, y0), (x1, y1), bulge = piece
    if not bulge:
        run = math.dist(piece[0], piece[1])
        return piece[0], (x1 + by * (x1 - x0) / run, y1 + by * (y1 - y0) / run), 0.0
    radius, sweep = piece_radius(piece), sweep_of(bulge)
    new = sweep + math.copysign(by / radius, sweep)
    slope = math.atan2(y1 - y0, x1 - x0) - sweep / 2 + new / 2
    chord = 2 * radius * abs(math.sin(new / 2))
    return piece[0], (x0 + chord * math.cos(slope), y0 + chord * math.sin(slope)), bulge_of(new)


def _holds(area: Path, point: Point) -> bool:
    """Whether a point lies within a closed path."""
    x, y = point
    corners = flattened(area, _FLATNESS)
    within = False
    for (x0, y0), (x1, y1) in zip(corners, (*corners[1:], corners[0]), strict=True):
        if (y0 > y) != (y1 > y) and x < x0 + (y - y0) * (x1 - x0) / (y1 - y0):
            within = not within
    return within
