"""Between the drawing of a bent sheet and space: places, openings, labels. mm."""

import math
from collections.abc import Sequence
from itertools import pairwise

from ringwright.geometry.curve import thinned
from ringwright.geometry.errors import GeometryError
from ringwright.geometry.numbers import short
from ringwright.geometry.part import Facet, Flat, Vector
from ringwright.geometry.path import Path, Point, as_hole, closed, flattened
from ringwright.geometry.recall import recalled
from ringwright.geometry.wrap.former import DRAWN
from ringwright.geometry.wrap.vector import cross, dot, minus, plus, times, unit

_EDGE = 1e-9
_CHORDS = 0.005


def facet_at(sheet: Sequence[Facet], point: Point) -> Facet:
    """The facet that a point of the drawing lies on; the nearest where it lies on none (a strip at an edge)."""
    best: tuple[float, Facet] | None = None
    for facet in sheet:
        out = -min(shares_in(facet, point)) * _size(facet)
        if out <= _EDGE:
            return facet
        if best is None or out < best[0]:
            best = out, facet
    assert best is not None
    return best[1]


def _size(facet: Facet) -> float:
    return max(math.dist(a, b) for a, b in pairwise((*facet.flat, facet.flat[0])))


def shares_in(facet: Facet, point: Point) -> tuple[float, float, float]:
    """Barycentric shares of a point of the drawing in a facet: all of them 0 … 1 within it."""
    (ax, ay), (bx, by), (cx, cy) = facet.flat
    x, y = point
    whole = (bx - ax) * (cy - ay) - (cx - ax) * (by - ay)
    b = ((x - ax) * (cy - ay) - (cx - ax) * (y - ay)) / whole
    c = ((bx - ax) * (y - ay) - (x - ax) * (by - ay)) / whole
    return 1 - b - c, b, c


def in_space(sheet: Sequence[Facet], point: Point) -> Vector:
    """Where a point of the drawing lies in space; beyond the edges the nearest facet runs on."""
    facet = facet_at(sheet, point)
    return spot(facet, point)


def spot(facet: Facet, point: Point) -> Vector:
    """Where a point of the drawing lies on the plane of a facet in space."""
    a, b, c = shares_in(facet, point)
    p, q, r = facet.space
    return plus(plus(times(p, a), times(q, b)), times(r, c))


def outward_of(facet: Facet) -> Vector:
    """Unit normal of a facet in space on the side that is not drawn."""
    a, b, c = facet.space
    return unit(cross(minus(c, a), minus(b, a)))


def hit(sheet: Sequence[Facet], origin: Vector, way: Vector) -> Point | None:
    """The point of the drawing where a line from `origin` along `way` first meets the sheet, within 0.001 mm at
    its edges; None where it does not.
    """
    best: tuple[float, Point] | None = None
    for facet in sheet:
        a, b, c = facet.space
        ab, ac = minus(b, a), minus(c, a)
        normal = cross(ab, ac)
        along = dot(normal, way)
        square = dot(normal, normal)
        if abs(along) <= 1e-12 * math.sqrt(square):
            continue
        reach = dot(normal, minus(a, origin)) / along
        if reach < -1e-9 or (best is not None and reach >= best[0] - 1e-9):
            continue
        to = minus(plus(origin, times(way, reach)), a)
        v = dot(cross(to, ac), normal) / square
        w = dot(cross(ab, to), normal) / square
        slack = 0.001 / _size(facet)
        if min(v, w, 1 - v - w) >= -slack:
            (ax, ay), (bx, by), (cx, cy) = facet.flat
            best = reach, (ax + v * (bx - ax) + w * (cx - ax), ay + v * (by - ay) + w * (cy - ay))
    return best[1] if best is not None else None


def flat_at(sheet: Sequence[Facet], x: float, turn: float, about: Point = (0.0, 0.0)) -> Point:
    """The point of the drawing at a place along the axis and a turn (rad) about (y, z). GeometryError
    'off-skin'.
    """
    found = hit(sheet, (x, *about), (0.0, math.sin(turn), math.cos(turn)))
    if found is None:
        raise GeometryError(
            "off-skin",
            f"the skin has no place at x = {short(x, 2)} mm, {short(math.degrees(turn), 1)} deg from the top",
        )
    return found


def opening(sheet: Sequence[Facet], outline: Path, at: Point, upwards: Vector = (1.0, 0.0, 0.0)) -> Path:
    """An opening of its true size about a point of the drawing, its y axis the way that leads along `upwards`
    in space there. As a hole.
    """
    facet = facet_at(sheet, at)
    a, b, c = facet.space
    # How fast each flat axis leads along `upwards`: the way of steepest rise is the opening's y.
    (ax, ay), (bx, by), (cx, cy) = facet.flat
    rise_b, rise_c = dot(minus(b, a), upwards), dot(minus(c, a), upwards)
    whole = (bx - ax) * (cy - ay) - (cx - ax) * (by - ay)
    gx = (rise_b * (cy - ay) - rise_c * (by - ay)) / whole
    gy = (rise_c * (bx - ax) - rise_b * (cx - ax)) / whole
    steep = math.hypot(gx, gy)
    ux, uy = (gx / steep, gy / steep) if steep > 1e-9 else (0.0, 1.0)
    points = tuple((at[0] + x * uy + y * ux, at[1] - x * ux + y * uy) for x, y in outline.points)
    return as_hole(outline._replace(points=points))


@recalled
def opening_through(sheet: Sequence[Facet], outline: Path, frame: Flat, seen_from_front: bool = True) -> Path:
    """An opening given in a plane of space, carried along that plane's normal to the sheet: as a hole.

    frame: where the outline's drawing sits. Of several layers of a sheet the first from the frame is taken,
    against its drawn face's way out or along it (seen_from_front False). GeometryError 'off-skin'.
    """
    normal = cross(frame.u, frame.v)
    way = times(normal, -1.0) if seen_from_front else normal
    found = []
    for x, y in flattened(outline, _CHORDS):
        origin = plus(frame.origin, plus(times(frame.u, x), times(frame.v, y)))
        at = hit(sheet, origin, way)
        if at is None:
            raise GeometryError(
                "off-skin",
                f"the opening reaches past the edge of the skin at ({short(x, 1)}, {short(y, 1)}) mm",
            )
        found.append(at)
    ring = [*found, found[0]]
    return as_hole(closed([ring[k] for k in thinned(ring, DRAWN)]))
