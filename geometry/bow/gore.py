"""Domes of gores: N petals, each bent along the meridian only, so that a cut across the dome is a regular N-gon.

r the profile's radius at x along the axis. The middle line of a gore runs at m r, and it is flat across:

    s = arc length of the line (x, m r)         half width = m r tan(pi / N)         corners at m r / cos(pi / N)

    fit        m                        off the surface
    middles    1                        corners outside by r (sec(pi/N) - 1)
    corners    cos(pi/N)                middles inside by r (1 - cos(pi/N))
    balanced   2 / (1 + sec(pi/N))      both by r (1 - cos(pi/N)) / (1 + cos(pi/N))

A layer d under the outside is d n_r nearer the axis, n the line's normal, and shorter by d for each radian that
the line turns. (An arc pi r / N in place of the half width is the development of nothing.) Derived here.
"""

import math
from itertools import pairwise
from typing import NamedTuple

from ringwright.geometry import curve
from ringwright.geometry.bow.course import Course, corners, course, spot
from ringwright.geometry.bow.tabs import tabbed
from ringwright.geometry.crossing import simple
from ringwright.geometry.errors import GeometryError
from ringwright.geometry.numbers import ceil_safe, short
from ringwright.geometry.path import (
    Path,
    Point,
    bounds,
    length,
    mirrored,
    piece_point,
    reversed_path,
)

FITS = ("middles", "corners", "balanced")
MOST = 120

# Points and weights of Gauss's rule on -1 … 1, from the roots of the Legendre polynomial of degree 5.
_INNER, _OUTER = (math.sqrt(5 + sign * 2 * math.sqrt(10 / 7)) / 3 for sign in (-1, 1))
GAUSS = (
    (0.0, 128 / 225),
    (-_INNER, (322 + 13 * math.sqrt(70)) / 900),
    (_INNER, (322 + 13 * math.sqrt(70)) / 900),
    (-_OUTER, (322 - 13 * math.sqrt(70)) / 900),
    (_OUTER, (322 - 13 * math.sqrt(70)) / 900),
)


class Gore(NamedTuple):
    """One petal of a dome, flat; all mm.

    number: how many make the dome. outline: with its tabs, the rim along x (of the end that is the wider), the
    meridian along +y, its middle on x = 0. side: the right seam as a line from the rim up; edge: the same where tabs
    are folded along it, None without tabs. seam: length of a seam. meridian: length of the middle. width: at the rim.
    outside, inside: how far corners and middles lie off the profile's surface.
    """

    number: int
    fit: str
    outline: Path
    edge: Path | None
    seam: float
    meridian: float
    width: float
    outside: float
    inside: float
    side: Path


def gore_count(radius: float, tolerance: float, fit: str = "middles") -> int:
    """Fewest gores that stay within a tolerance of a surface of greatest radius, both mm; at least 3.

    GeometryError 'no-size'; 'too-many' above 120.
    """
    _known(fit)
    if radius <= 0 or tolerance <= 0:
        raise GeometryError("no-size", "a dome's radius and a tolerance must both be above 0")
    cosine = {
        "middles": radius / (radius + tolerance),
        "corners": (radius - tolerance) / radius,
        "balanced": (radius - tolerance) / (radius + tolerance),
    }[fit]
    count = 3 if cosine <= 0.5 else ceil_safe(math.pi / math.acos(cosine))
    if count > MOST:
        raise GeometryError(
            "too-many",
            f"{count} gores would be needed to stay within {short(tolerance, 3)} mm; at most {MOST} make sense",
        )
    return count


def _known(fit: str) -> None:
    if fit not in FITS:
        raise GeometryError("no-such-fit", f"gores fit by {', '.join(FITS)}, not by {fit}")


def gore(
    profile: Path,
    count: int | None = None,
    tolerance: float | None = None,
    fit: str = "middles",
    depth: float = 0.0,
    tab: float = 0.0,
    pitch: float = 6.0,
) -> Gore:
    """One of the gores of a dome with this profile: `count` of them, or the fewest within `tolerance` mm.

    fit: 'middles' of the gores on the surface, their 'corners', or 'balanced' between the two. depth: how far
    the layer that keeps its length lies under the outside, mm: (1 - k) t. tab: depth of the tabs along the
    right seam, 0 for none; pitch: how far apart they are notched.

    GeometryErrors as `gore_count`; 'wall-too-thick' where the layer leaves no gore; 'crosses-itself' where its
    outline would.
    """
    _known(fit)
    if (count is None) == (tolerance is None) or (count is not None and count < 3):
        raise GeometryError("no-size", "a dome needs three gores or more, or a tolerance")
    widest = bounds(profile)[3]
    if count is None:
        count = gore_count(widest, tolerance or 0.0, fit)
    if count > MOST:
        raise GeometryError("too-many", f"{count} gores: at most {MOST} make sense")
    cosine, scale = math.cos(math.pi / count), scale_of(fit, count)
    line = _Line(course(profile, False), scale, math.tan(math.pi / count), depth)
    right = _right(line)
    if profile.points[0][1] < profile.points[-1][1]:
        right = _turned_over(right)
    seam, meridian = length(right), right.points[-1][1]
    edge, bare = (None, right) if not tab else (right, tabbed(right, tab, pitch))
    outline = _closed(right, bare)
    off = widest * scale / cosine - widest, widest - widest * scale
    return Gore(
        count,
        fit,
        simple(outline),
        edge,
        seam,
        meridian,
        2 * right.points[0][0],
        max(0.0, off[0]),
        max(0.0, off[1]),
        right,
    )


def scale_of(fit: str, count: int) -> float:
    """What the radii of the profile are multiplied by for the middle line of a gore."""
    cosine = math.cos(math.pi / count)
    return {"middles": 1.0, "corners": cosine, "balanced": 2 / (1 + 1 / cosine)}[fit]


class _Line(NamedTuple):
    """The middle line of a gore: the profile with its radii scaled, and what turns its radius into a half
    width.
    """

    way: Course
    scale: float
    tangent: float
    depth: float


def _step(line: _Line, index: int, share: float) -> tuple[float, float, float, float]:
    """(m r, dx, m dr, size) at a place: the unit tangent of the profile, its radius part scaled, and its size."""
    (_, r), (dx, dr) = piece_point(line.way.pieces[index], share)
    return line.scale * r, dx, line.scale * dr, math.hypot(dx, line.scale * dr)


def _arc(line: _Line, index: int, start: float, end: float) -> float:
    """Length of the middle line along a part of one piece of the profile."""
    whole = line.way.runs[index + 1] - line.way.runs[index]
    if line.scale == 1.0:
        return whole * (end - start)
    parts = 4
    half = (end - start) / parts / 2
    values = [
        weight * _step(line, index, start + (2 * part + 1 + place) * half)[3]
        for part in range(parts)
        for place, weight in GAUSS
    ]
    return whole * half * math.fsum(values)


def _right(line: _Line) -> Path:
    """Right edge of a flat gore along its meridian, from the profile's start to its end."""
    sums = [0.0]
    for index in range(len(line.way.pieces)):
        sums.append(sums[-1] + _arc(line, index, 0.0, 1.0))
    heading = _heading(line, 0, 0.0)

    def traced(run: float) -> tuple[Point, Point]:
        index, share = spot(line.way, run)
        radius, dx, dr, size = _step(line, index, share)
        along = sums[index] + _arc(line, index, 0.0, share)
        turned = _heading(line, index, share) - heading  # below 0 where the dome rounds in
        half = (radius - line.depth * dx / size) * line.tangent
        return (half, along + line.depth * turned), (dr * line.tangent, size)

    last = line.way.length
    first = 0.0
    if traced(last)[0][0] < 0:
        last = _tip(traced, 0.0, last)
    elif traced(first)[0][0] < 0:
        first = _tip(traced, last, first)
    stops = [first, *(run for run in corners(line.way) if first < run < last), last]
    drawn = _runs(traced, stops)
    base = drawn.points[0][1]
    points = tuple((0.0 if abs(x) < 1e-9 else x, y - base) for x, y in drawn.points)
    return Path(points, drawn.bulges, False)


def _runs(traced: curve.Traced, stops: list[float]) -> Path:
    """Arcs from stop to stop; each stretch keeps its own tangents where it meets the next at a corner."""
    points: list[Point] = []
    bulges: list[float] = []
    for low, high in pairwise(stops):
        near = (high - low) * 1e-9

        def within(run: float, low: float = low + near, high: float = high - near) -> tuple[Point, Point]:
            return traced(min(max(run, low), high))

        drawn = curve.arcs(within, (low, high))
        points.extend(drawn.points[1:] if points else drawn.points)
        bulges.extend(drawn.bulges)
    return Path(tuple(points), tuple(bulges), False)


def _heading(line: _Line, index: int, share: float) -> float:
    _, dx, dr, _ = _step(line, index, share)
    return math.atan2(dr, dx)


def _tip(traced: curve.Traced, wide: float, pointed: float) -> float:
    """Where the layer's edges meet, short of the profile's own tip."""
    if traced(wide)[0][0] <= 0:
        raise GeometryError("wall-too-thick", "the sheet is thicker than the dome: no gore is left inside")
    for _ in range(60):
        middle = (wide + pointed) / 2
        if traced(middle)[0][0] > 0:
            wide = middle
        else:
            pointed = middle
    return wide


def _turned_over(edge: Path) -> Path:
    """An edge that runs from the tip to the rim, laid the other way up: the rim on the x axis."""
    top = edge.points[-1][1]
    flipped = Path(tuple((x, top - y) for x, y in edge.points), tuple(-bulge for bulge in edge.bulges), False)
    return reversed_path(flipped)


def _closed(right: Path, bare: Path) -> Path:
    """Outline from the right edge, with tabs or without, and the mirrored left one."""
    left = reversed_path(mirrored(right))
    points, bulges = list(bare.points), list(bare.bulges)
    pointed = right.points[-1][0] < 1e-6
    if pointed:
        points[-1:] = left.points[:1]
    else:
        points.append(left.points[0])
        bulges.append(0.0)
    points.extend(left.points[1:])
    bulges.extend(left.bulges)
    return Path(tuple(points), (*bulges, 0.0), True)
