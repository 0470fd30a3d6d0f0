"""Where lines, circles and pieces meet, and how far apart they are. All mm."""

import math
from typing import TypeAlias

from ringwright.geometry.path import Piece, Point, piece_centre, piece_point, piece_radius, sweep_of

_SHALLOW = 1e-4
"""Bulge up to which an arc is taken along its chord: its centre is too far off to measure from."""

Ray: TypeAlias = tuple[Point, Point]
"""A point of a line and the unit vector along it."""


def lines_meet(a: Ray, b: Ray) -> Point | None:
    """Where two lines meet; None when parallel."""
    (ax, ay), (ux, uy) = a
    (bx, by), (wx, wy) = b
    cross = ux * wy - uy * wx
    if abs(cross) < 1e-12:
        return None
    along = ((bx - ax) * wy - (by - ay) * wx) / cross
    return ax + along * ux, ay + along * uy


def line_meets_circle(ray: Ray, centre: Point, radius: float) -> list[Point]:
    """Where a line, run on both ways, meets a circle."""
    (x, y), (ux, uy) = ray
    foot = (centre[0] - x) * ux + (centre[1] - y) * uy
    fx, fy = x + foot * ux, y + foot * uy
    square = radius * radius - (fx - centre[0]) ** 2 - (fy - centre[1]) ** 2
    if square < 0:
        return []
    half = math.sqrt(square)
    return [(fx - half * ux, fy - half * uy), (fx + half * ux, fy + half * uy)]


def circles_meet(a: Point, radius_a: float, b: Point, radius_b: float) -> list[Point]:
    """Where two circles meet."""
    apart = math.dist(a, b)
    if apart < 1e-12:
        return []
    ux, uy = (b[0] - a[0]) / apart, (b[1] - a[1]) / apart
    foot = (apart + (radius_a - radius_b) * (radius_a + radius_b) / apart) / 2
    square = radius_a * radius_a - foot * foot
    if square < 0:
        return []
    half = math.sqrt(square)
    fx, fy = a[0] + foot * ux, a[1] + foot * uy
    return [(fx + half * uy, fy - half * ux), (fx - half * uy, fy + half * ux)]


def supports_meet(a: Piece, b: Piece) -> list[Point]:
    """Where the lines or circles that two pieces lie on meet, wherever on them."""
    if not a[2] and not b[2]:
        met = lines_meet(piece_point(a, 0.0), piece_point(b, 0.0))
        return [] if met is None else [met]
    if not a[2]:
        return line_meets_circle(piece_point(a, 0.0), piece_centre(b), piece_radius(b))
    if not b[2]:
        return line_meets_circle(piece_point(b, 0.0), piece_centre(a), piece_radius(a))
    return circles_meet(piece_centre(a), piece_radius(a), piece_centre(b), piece_radius(b))


def share_on(piece: Piece, point: Point) -> float:
    """Share of a piece's length at which a point of its line or circle lies: 0 … 1 on the piece itself.

    Beyond an arc's ends the nearer end counts: the share is below 0 before its start, above 1 past its end.
    """
    (x0, y0), (x1, y1), bulge = piece
    if abs(bulge) <= _SHALLOW:
        square = (x1 - x0) ** 2 + (y1 - y0) ** 2
        return ((point[0] - x0) * (x1 - x0) + (point[1] - y0) * (y1 - y0)) / square
    (cx, cy), sweep = piece_centre(piece), sweep_of(bulge)
    ax, ay, bx, by = x0 - cx, y0 - cy, point[0] - cx, point[1] - cy
    angle = math.atan2(ax * by - ay * bx, ax * bx + ay * by)
    past_middle = math.remainder(angle - sweep / 2, 2 * math.pi)
    return 0.5 + past_middle / sweep


def distance_to(piece: Piece, point: Point) -> float:
    """Least distance of a point from a piece."""
    share = share_on(piece, point)
    if share <= 0 or share >= 1:
        return min(math.dist(point, piece[0]), math.dist(point, piece[1]))
    if abs(piece[2]) > _SHALLOW:
        return abs(math.dist(point, piece_centre(piece)) - piece_radius(piece))
    (x, y), (dx, dy) = piece_point(piece, share)
    return abs(dx * (point[1] - y) - dy * (point[0] - x))
