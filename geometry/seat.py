"""The seat of a wing: what must be cut from a body's sheets so that the wing goes in. mm, rad.

A seat is the wing's section, a little larger all round, in two upright planes along the aircraft: in the middle, and
further out. Between them all runs straight, and both halves of the wing are alike. It may be open upwards or downwards,
the way the wing is put in: then all that lies above or below the section goes, too.
"""

from collections.abc import Callable, Sequence
from itertools import pairwise
from typing import TYPE_CHECKING, NamedTuple

from ringwright.geometry.path import Path, Point, canonical, closed, flattened, on_way

if TYPE_CHECKING:
    from shapely import Polygon

FAR = 1e5
"""How far an open seat reaches up or down, mm."""
_STEP = 1.0
_NEAR = 1e-4
_ROUND = 16
_THIN = 0.01


class Seat(NamedTuple):
    """A wing's section in the middle and `span` mm further out, point by point, as (x, z) in the aircraft.

    open: 'above', 'below' or 'through'. fit: room all round, mm.
    """

    inner: tuple[Point, ...]
    outer: tuple[Point, ...]
    span: float
    open: str
    fit: float


def section(seat: Seat, y: Callable[[float], float]) -> "Polygon":
    """What is cut from an upright sheet along the aircraft, in the side view; y: how far out it stands at a place along x."""
    from shapely import Polygon

    points = []
    for near, far in zip(seat.inner, seat.outer, strict=True):
        points.append(on_way(near, far, min(abs(y(near[0])), seat.span) / seat.span))
    grown = Polygon(points).buffer(0).buffer(seat.fit, quad_segs=_ROUND, join_style="mitre", mitre_limit=2.0)
    if grown.geom_type != "Polygon":
        grown = max(grown.geoms, key=lambda piece: piece.area)
    return _opened(list(grown.exterior.coords)[:-1], seat.open)


def _opened(ring: list[Point], way: str) -> "Polygon":
    """A section with all above or below it."""
    from shapely import Polygon

    if way == "through":
        return Polygon(ring)
    if Polygon(ring).exterior.is_ccw is False:
        ring = ring[::-1]
    first, last = ring.index(min(ring)), ring.index(max(ring))
    if way == "above":  # along the underside, aft
        chain, end = _around(ring, first, last), FAR
    else:  # along the upper side, forward
        chain, end = _around(ring, last, first), -FAR
    return Polygon([*chain, (chain[-1][0], end), (chain[0][0], end)]).buffer(0)


def _around(ring: Sequence[Point], start: int, end: int) -> list[Point]:
    count = (end - start) % len(ring)
    return [ring[(start + k) % len(ring)] for k in range(count + 1)]


def heights(seat: Seat, fore: float, aft: float, y: float) -> Point | None:
    """The lowest and the highest place of a seat between two planes across the aircraft; None where it has none there."""
    from shapely import box

    cut = section(seat, lambda _: y).intersection(box(fore, -2 * FAR, aft, 2 * FAR))
    return None if cut.is_empty else (float(cut.bounds[1]), float(cut.bounds[3]))


def across(seat: Seat, fore: float, aft: float, breadth: float) -> Path | None:
    """What is cut from a sheet across the aircraft, (y, z), between its two faces and so far to either side.

    None where the seat doesn't meet it. It follows the dihedral, and clears both faces.
    """
    wide = min(breadth, seat.span)
    middle, out = heights(seat, fore, aft, 0.0), heights(seat, fore, aft, wide)
    if middle is None and out is None:
        return None
    low, high = middle or out or (0.0, 0.0)
    low_out, high_out = out or middle or (0.0, 0.0)
    ring = [(-wide, low_out), (0.0, low), (wide, low_out), (wide, high_out), (0.0, high), (-wide, high_out)]
    return canonical(closed(ring))


def along(
    seat: Seat,
    reach: tuple[float, float],
    faces: Callable[[float], tuple[float, float]],
    breadth: Callable[[float], float],
) -> tuple[tuple[float, float], ...]:
    """The stretches along x on which a seat meets a level sheet, all across.

    reach: where the sheet begins and ends. faces: the heights of its lower and its upper face, breadth: half of its
    width, at a place along x.
    """
    start, end = reach
    middle = section(seat, lambda _: 0.0)
    out = section(seat, breadth)
    left = max(start, min(middle.bounds[0], out.bounds[0]))
    right = min(end, max(middle.bounds[2], out.bounds[2]))
    if right - left < _NEAR:
        return ()

    def meets(x: float) -> bool:
        spans = [span for span in (_column(middle, x), _column(out, x)) if span is not None]
        if not spans:
            return False
        low, high = faces(x)
        # Between the middle and the edge the seat rises evenly: it meets what lies in either, or between.
        return min(span[0] for span in spans) < high and max(span[1] for span in spans) > low

    count = max(2, int((right - left) / _STEP) + 1)
    xs = [left + (right - left) * k / count for k in range(count + 1)]
    return _stretches(xs, meets)


def _stretches(xs: Sequence[float], meets: Callable[[float], bool]) -> tuple[tuple[float, float], ...]:
    known = [meets(x) for x in xs]
    found: list[tuple[float, float]] = []
    begun = xs[0] if known[0] else None
    for (low, before), (high, after) in pairwise(zip(xs, known, strict=True)):
        if before == after:
            continue
        change = _edge(low, high, before, meets)
        if begun is None:
            begun = change
        else:
            found.append((begun, change))
            begun = None
    return tuple(found) if begun is None else (*found, (begun, xs[-1]))


def _edge(low: float, high: float, before: bool, meets: Callable[[float], bool]) -> float:
    while high - low > _NEAR:
        middle = (low + high) / 2
        if meets(middle) == before:
            low = middle
        else:
            high = middle
    return (low + high) / 2


def _column(shape: "Polygon", x: float) -> tuple[float, float] | None:
    from shapely import LineString

    line = shape.intersection(LineString([(x, -2 * FAR), (x, 2 * FAR)]))
    return None if line.is_empty else (float(line.bounds[1]), float(line.bounds[3]))


class Remnant(NamedTuple):
    """What is left of a sheet in one piece: its outline and the holes in it, and which of its openings are still in it."""

    outline: Path
    holes: tuple[Path, ...]
    kept: tuple[int, ...]


def remnants(
    outline: Path, openings: Sequence[Path], cuts: Sequence["Polygon"], least: float
) -> list[Remnant]:
    """What cuts leave of a flat sheet with openings, fore to aft: pieces under `least` mm2 are waste.

    An opening that a cut reaches becomes part of it.
    """
    from shapely import Polygon, unary_union

    holes = [Polygon(flattened(opening, 0.005)) for opening in openings]
    gone = unary_union([*cuts, *(hole for hole in holes if any(hole.intersects(cut) for cut in cuts))])
    left = Polygon(flattened(outline, 0.005)).difference(gone)
    found = []
    for piece in getattr(left, "geoms", [left]):
        if piece.area < least:
            continue
        kept = tuple(k for k, hole in enumerate(holes) if piece.contains(hole.representative_point()))
        rings = [closed(ring.coords) for ring in piece.interiors]
        found.append((piece.bounds[0], Remnant(canonical(closed(piece.exterior.coords)), tuple(rings), kept)))
    found.sort(key=lambda each: (round(each[0], 6), round(each[1].outline.points[0][1], 6)))
    return [remnant for _, remnant in found]


def view_of(edges: tuple[Sequence[Point], Sequence[Point]], margin: float) -> "Polygon":
    """A sheet as it is seen, a margin wider all round: its two edges, fore to aft, in the view."""
    from shapely import Polygon

    return Polygon([*edges[0], *reversed(edges[1])]).buffer(margin, join_style="mitre", mitre_limit=2.0)


def drawn(cut: "Polygon") -> list[Path]:
    """A cut as paths, each with points close enough together to be bent with its sheet."""
    return [
        closed(piece.simplify(_THIN).segmentize(5.0).exterior.coords)
        for piece in getattr(cut, "geoms", [cut])
        if piece.geom_type == "Polygon" and piece.area > 1e-6
    ]
