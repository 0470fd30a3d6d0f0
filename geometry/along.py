"""Lines that run along x and never turn back: their height at a place, a stretch of one. All mm."""

import math

from ringwright.geometry.errors import GeometryError
from ringwright.geometry.meet import share_on
from ringwright.geometry.numbers import short
from ringwright.geometry.path import (
    Path,
    Piece,
    Point,
    bulge_of,
    piece_centre,
    piece_point,
    piece_radius,
    pieces,
    sweep_of,
)

_SLACK = 1e-6
_SHALLOW = 1e-4


def turns_back(path: Path) -> Point | None:
    """Where an open path first stops growing in x; None for a line that has one height at every place.

    Tangents straight across x are allowed where a piece starts or ends, as at a round nose.
    """
    for piece in pieces(path):
        (x0, _), (x1, _), bulge = piece
        (first, _), (last, _) = piece_point(piece, 0.0)[1], piece_point(piece, 1.0)[1]
        if x1 - x0 <= 1e-9 or min(first, last) < -1e-9 or abs(bulge) > 1 + 1e-9:
            return piece[0]
    return None


def place_at(path: Path, x: float) -> tuple[int, float]:
    """Index of the piece of a line that never turns back at a place, and the share (0 … 1) of its length.

    GeometryError 'beyond-line' past its ends by more than 1e-6 mm.
    """
    first, last = path.points[0][0], path.points[-1][0]
    if not first - _SLACK <= x <= last + _SLACK:
        raise GeometryError(
            "beyond-line",
            f"the line runs from {short(first, 2)} to {short(last, 2)} mm, not to {short(x, 2)} mm",
        )
    every = list(pieces(path))
    index = 0
    while index < len(every) - 1 and x > every[index][1][0]:
        index += 1
    return index, min(1.0, max(0.0, _share_at(every[index], x)))


def _share_at(piece: Piece, x: float) -> float:
    """Share of a piece's length at x: straight from its circle, or by Newton's steps where it is almost
    straight and its centre too far off.
    """
    (x0, _), (x1, _), bulge = piece
    share = (x - x0) / (x1 - x0)
    if abs(bulge) > _SHALLOW:
        (cx, cy), radius = piece_centre(piece), piece_radius(piece)
        height = math.sqrt(max(0.0, radius * radius - (x - cx) ** 2))
        # A line that runs towards +x takes the lower half of a circle anticlockwise, the upper clockwise.
        return share_on(piece, (x, cy - math.copysign(height, bulge)))
    for _ in range(4 if bulge else 0):
        (there, _), (dx, _) = piece_point(piece, share)
        share += (x - there) / (dx * (x1 - x0))
    return share


def height_at(path: Path, x: float) -> tuple[float, Point]:
    """Height of a line that never turns back at a place, and the unit tangent there. GeometryError
    'beyond-line'.
    """
    index, share = place_at(path, x)
    (_, y), tangent = piece_point(list(pieces(path))[index], share)
    return y, tangent


def cut(piece: Piece, start: float, end: float) -> Piece:
    """The part of a piece between two shares (0 … 1) of its length."""
    bulge = bulge_of((end - start) * sweep_of(piece[2])) if piece[2] else 0.0
    first = piece[0] if start == 0 else piece_point(piece, start)[0]
    last = piece[1] if end == 1 else piece_point(piece, end)[0]
    return first, last, bulge


def stretch(path: Path, start: float, end: float) -> Path:
    """The part of a line that never turns back between two places.

    GeometryError 'beyond-line'; 'no-length' unless it is longer than 1e-6 mm.
    """
    if end - start <= _SLACK:
        raise GeometryError("no-length", f"from {short(start, 2)} to {short(end, 2)} mm there is no length")
    every = list(pieces(path))
    (first, begin), (last, finish) = place_at(path, start), place_at(path, end)
    kept = []
    for index in range(first, last + 1):
        low, high = begin if index == first else 0.0, finish if index == last else 1.0
        if high - low > 1e-12:
            kept.append(cut(every[index], low, high))
    points = tuple(piece[0] for piece in kept) + (kept[-1][1],)
    return Path(points, tuple(piece[2] for piece in kept), False)
