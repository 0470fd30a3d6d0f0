"""Spars and joiners: bars that run along a panel through its ribs, as flat pieces, and the slots that they want.

A bar's drawing has x along it, from the panel's inner end out, and y to the upper side; one looks at its aft face.
"""

import math
from collections.abc import Sequence
from typing import NamedTuple

from ringwright.geometry.part import Flat, Vector
from ringwright.geometry.path import Path, Point
from ringwright.geometry.wing.planform import Panel, Slice, in_frame, sliced, upwards
from ringwright.geometry.wing.rib import outline_of
from ringwright.geometry.wrap.vector import between, cross, dot, minus, times, unit


class Bar(NamedTuple):
    """A straight bar in a panel, standing on edge.

    start, end: (along the chord, lowest, highest) in the square sections at the panel's two ends, mm, of its middle.
    """

    panel: Panel
    start: tuple[float, float, float]
    end: tuple[float, float, float]

    @property
    def slant(self) -> float:
        """Angle in plan between the bar and its panel's own line, rad, + where it runs aft outwards."""
        back = self.panel.outer.back - self.panel.inner.back + self.end[0] - self.start[0]
        return math.atan2(back, self.panel.long)

    def along(self, distance: float) -> tuple[float, float, float]:
        """(along the chord, lowest, highest) at a distance along the panel, mm, in the section there."""
        return between(self.start, self.end, distance / self.panel.long)


def slot_width(thickness: float, slant: float, rib: float, fit: float) -> float:
    """Width of the slot that a bar passes through a sheet `rib` mm thick, at a slant in plan, rad; fit: room, mm."""
    return thickness / math.cos(slant) + rib * abs(math.tan(slant)) + fit


class Standing(NamedTuple):
    """A flat piece in a panel: its outline, and where its drawing lies in the surface's frame."""

    outline: Path
    flat: Flat


def standing(bar: Bar, notches: Sequence[tuple[float, float, float]] = (), upper: bool = True) -> Standing:
    """A bar on edge as a flat piece, ends cut in the planes in which its panel ends.

    notches: (middle along the panel, width along the bar, depth) of slots from its upper edge (or its lower one).
    GeometryError 'apart'.
    """
    from shapely import Polygon, box

    panel = bar.panel
    ends = [(sliced(panel, 0.0), bar.start), (sliced(panel, panel.long), bar.end)]
    middle = [_spot(cut, at[0], (at[1] + at[2]) / 2) for cut, at in ends]
    u = unit(minus(middle[1], middle[0]))
    aft = unit(cross(u, upwards(panel.rise)))
    v = unit(cross(aft, u))
    flat = Flat(middle[0], u, v)
    lengthen = 1 / math.cos(bar.slant)
    corners = []
    for (slice_, at), lean in zip(ends, (panel.lean_in, panel.lean_out), strict=True):
        for height in (at[1], at[2]):
            spot = minus(_spot(slice_, at[0], height), flat.origin)
            x, y = dot(spot, u), dot(spot, v)
            off = _height_over(slice_, at[0], height) * math.tan(panel.rise - lean) * lengthen
            corners.append((x + off, y))
    shape = Polygon([corners[0], corners[2], corners[3], corners[1]])
    low, high = min(y for _, y in corners), max(y for _, y in corners)
    for along, width, depth in notches:
        x = along * lengthen
        edge = _edge(corners, x, upper)
        bottom, top = (edge - depth, high + 1.0) if upper else (low - 1.0, edge + depth)
        shape = shape.difference(box(x - width / 2, bottom, x + width / 2, top))
    kept = [p for p in getattr(shape, "geoms", [shape]) if p.area > 1.0]
    whole = max(kept, key=lambda p: round(p.area, 6))
    return Standing(outline_of(whole.exterior.coords), flat)


def _edge(corners: Sequence[Point], x: float, upper: bool) -> float:
    (x0, y0), (x1, y1) = (corners[1], corners[3]) if upper else (corners[0], corners[2])
    return y0 + (y1 - y0) * (x - x0) / (x1 - x0)


def _spot(slice_: Slice, x: float, height: float) -> Vector:
    return in_frame(slice_.flat, (x, height))


def _height_over(slice_: Slice, x: float, height: float) -> float:
    """Height of a place of a section over its panel's line, square to the panel."""
    twist = slice_.station.twist
    return height * math.cos(twist) - x * math.sin(twist)


def lying(panel: Panel, start: tuple[Point, Point], end: tuple[Point, Point]) -> Standing:
    """A strip that lies flat between two lines along a panel: (front, rear) point of each end's section, mm.

    Drawn as one looks at its upper side, x aft and y out; its ends lie in the planes in which its panel ends.
    """
    a, b = sliced(panel, 0.0), sliced(panel, panel.long)
    front_in, rear_in = (in_frame(a.flat, at) for at in start)
    front_out, rear_out = (in_frame(b.flat, at) for at in end)
    u = unit(minus(rear_in, front_in))
    line = minus(front_out, front_in)
    v = unit(minus(line, times(u, dot(line, u))))
    flat = Flat(front_in, u, v)
    (front, rear), (front_far, rear_far) = (
        [(dot(minus(at, front_in), u), dot(minus(at, front_in), v)) for at in pair]
        for pair in ((front_in, rear_in), (front_out, rear_out))
    )
    off_in, off_out = (
        [_height_over(slice_, *at) * math.tan(panel.rise - lean) for at in pair]
        for slice_, pair, lean in ((a, start, panel.lean_in), (b, end, panel.lean_out))
    )
    corners = [
        _run_on(front, front_far, off_in[0]),
        _run_on(rear, rear_far, off_in[1]),
        _run_on(rear_far, rear, off_out[1]),
        _run_on(front_far, front, off_out[0]),
    ]
    return Standing(outline_of(corners), flat)


def _run_on(end: Point, other: Point, by: float) -> Point:
    """An end of an edge moved along it, so far in y."""
    return end[0] + by * (other[0] - end[0]) / (other[1] - end[1]), end[1] + by


def angled(reach: tuple[float, float], angle: float, depth: float) -> Path:
    """A joiner: two arms of the same depth that meet at an angle, the outer one raised by it (rad), mm.

    reach: of the inner arm and of the outer, along their middles from the joint. Drawn with the joint in the origin, the
    inner arm to the left and level.
    """
    half = depth / 2
    mitre = math.tan(angle / 2)
    cos, sin = math.cos(angle), math.sin(angle)

    def out(along: float, height: float) -> Point:
        return along * cos - height * sin, along * sin + height * cos

    inner, outer = reach
    corners = [
        (-inner, -half),
        (half * mitre, -half),
        out(outer, -half),
        out(outer, half),
        (-half * mitre, half),
        (-inner, half),
    ]
    return outline_of(corners)
