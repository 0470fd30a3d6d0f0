"""Profiles of noses and bows: an open path of (along, radius), mm, that runs on along the axis."""

import math
from collections.abc import Iterable, Sequence
from typing import NamedTuple

from ringwright.geometry import along as lines
from ringwright.geometry import curve
from ringwright.geometry.errors import GeometryError
from ringwright.geometry.numbers import ceil_safe, finite, short, snap
from ringwright.geometry.path import Path, Point, bounds, bulge_of, line

TOLERANCE = 0.0005
"""How near the arcs of a profile lie to its ellipse, mm: nearer than those of what is drawn."""


class Layer(NamedTuple):
    """One disc of a ring built up from sheet, mm: where it lies along the axis, and the profile's radii there.

    greatest is the radius to cut it at, least the one to which it will be carved.
    """

    start: float
    end: float
    start_radius: float
    end_radius: float
    greatest: float
    least: float


def profile(path: Path) -> Path:
    """An open path of (along, radius) itself, where it can be a profile.

    GeometryError 'profile-turns-back' unless it runs on along the axis, 'profile-below-axis' where its radius
    falls below 0, 'too-few-points'.
    """
    if path.closed or len(path.points) < 2:
        raise GeometryError("too-few-points", "a profile is an open line through two points or more")
    back = lines.turns_back(path)
    if back is not None:
        raise GeometryError(
            "profile-turns-back",
            f"the profile turns back or stands still along its axis after {_named(back)}:"
            " list its points in order, and further ones where it turns sharply",
        )
    if snap(bounds(path)[1]) < 0:
        lowest = min(path.points, key=lambda point: point[1])
        raise GeometryError(
            "profile-below-axis",
            f"the profile passes below its axis near {_named(lowest)}: a radius must be 0 or more",
        )
    return path


def _named(point: Point) -> str:
    return f"({short(point[0], 2)}, {short(point[1], 2)}) mm"


def smooth(points: Sequence[Point], corners: Iterable[int] = ()) -> Path:
    """Profile as a smooth line through (along, radius), mm; it breaks at the points whose index is in
    `corners`.

    GeometryErrors as `profile`.
    """
    return profile(curve.through(points, False, corners))


def straight(points: Iterable[Point]) -> Path:
    """Profile of straight lines through (along, radius), mm. GeometryErrors as `profile`."""
    return profile(line(points))


def quarter_ellipse(depth: float, start: float, end: float) -> Path:
    """Profile that goes from one radius to another over `depth`, mm, as a quarter of an ellipse.

    It leaves the larger radius along the axis and arrives at the smaller square to it. A circle is one arc;
    an ellipse arcs within 0.0005 mm. GeometryError 'no-size'.
    """
    finite(depth, "a profile's depth")
    if depth <= 0 or min(start, end) < 0 or start == end:
        raise GeometryError(
            "no-size", "a quarter of an ellipse needs a depth above 0 and two radii, 0 or more, that differ"
        )
    tall = abs(start - end)
    turn = bulge_of(math.pi / 2)
    if snap(tall - depth) == 0:
        return profile(Path(((0.0, start), (depth, end)), (-turn,), False))

    def traced(angle: float) -> tuple[Point, Point]:
        cos, sin = math.cos(angle), math.sin(angle)
        if start > end:
            return (depth * sin, end + tall * cos), (depth * cos, -tall * sin)
        return (depth * (1 - cos), start + tall * sin), (depth * sin, tall * cos)

    drawn = curve.arcs(traced, (0.0, math.pi / 4, math.pi / 2), TOLERANCE)
    return profile(Path(((0.0, start), *drawn.points[1:-1], (depth, end)), drawn.bulges, False))


def radius_at(path: Path, place: float) -> float:
    """Radius of a profile at a place along its axis, mm. GeometryError 'beyond-line'."""
    return lines.height_at(path, place)[0]


def between(path: Path, start: float, end: float) -> Path:
    """The part of a profile between two places along its axis, mm. GeometryErrors 'beyond-line',
    'no-length'.
    """
    return lines.stretch(path, start, end)


def layers(path: Path, thickness: float) -> tuple[Layer, ...]:
    """The discs of sheet, `thickness` mm each, that a profile is carved from; the last may stand beyond its
    end.

    GeometryError 'no-size'; 'too-many' above 500 discs.
    """
    if thickness <= 0:
        raise GeometryError("no-size", f"a layer's thickness must be above 0, not {short(thickness, 3)} mm")
    first, last = path.points[0][0], path.points[-1][0]
    count = max(1, ceil_safe((last - first - 1e-6) / thickness))
    if count > 500:
        raise GeometryError("too-many", f"{count} layers of {short(thickness, 3)} mm: at most 500 make sense")
    found = []
    for index in range(count):
        start, end = first + index * thickness, min(first + (index + 1) * thickness, last)
        part = between(path, start, end)
        _, least, _, greatest = bounds(part)
        found.append(
            Layer(start, start + thickness, part.points[0][1], part.points[-1][1], greatest, max(0.0, least))
        )
    return tuple(found)
