"""Flat surfaces: a sheet cut to its planform, drawn as one looks at its upper side, x aft and y out along the sheet."""

from collections.abc import Sequence
from itertools import pairwise
from typing import NamedTuple

from ringwright.geometry.part import Flat
from ringwright.geometry.path import Path, Point
from ringwright.geometry.wing.planform import Panel, outwards
from ringwright.geometry.wing.rib import outline_of


class Plate(NamedTuple):
    """A run of panels of one dihedral as one sheet.

    leading, trailing: its two edges, root first, in the drawing. flat: of the sheet's middle, in the surface's frame.
    """

    leading: tuple[Point, ...]
    trailing: tuple[Point, ...]
    flat: Flat

    @property
    def long(self) -> float:
        """How far out it reaches along the sheet, mm."""
        return self.leading[-1][1]

    def chord_at(self, along: float) -> tuple[float, float]:
        """x of the leading and of the trailing edge at a distance out along the sheet, mm."""
        return x_at(self.leading, along), x_at(self.trailing, along)


def x_at(line: Sequence[Point], y: float) -> float:
    """x of a line that runs up in y; past its end as at it."""
    for (x0, y0), (x1, y1) in pairwise(line):
        if y <= y1 + 1e-9:
            return x0 + (x1 - x0) * (y - y0) / (y1 - y0)
    return line[-1][0]


def run_on(of: Plate, inner: float, outer: float) -> Plate:
    """A plate whose two ends lie further out along its sheet, mm; its edges run on straight."""
    lines = []
    for line in (of.leading, of.trailing):
        (x0, y0), (x1, y1) = line[:2]
        first = (x0 - inner * (x1 - x0) / (y1 - y0), y0 - inner)
        (x0, y0), (x1, y1) = line[-2:]
        lines.append((first, *line[1:-1], (x1 + outer * (x1 - x0) / (y1 - y0), y1 + outer)))
    return of._replace(leading=lines[0], trailing=lines[1])


def plate(run: Sequence[Panel]) -> Plate:
    """The sheet of panels of one dihedral; its drawing begins at the first panel's inner leading edge."""
    first = run[0]
    leading = [(0.0, 0.0)]
    trailing = [(first.inner.chord, 0.0)]
    along = 0.0
    for panel in run:
        along += panel.long
        back = panel.outer.back - first.inner.back
        leading.append((back, along))
        trailing.append((back + panel.outer.chord, along))
    flat = Flat(
        (first.inner.back, first.inner.y, first.inner.up),
        (1.0, 0.0, 0.0),
        outwards(first.rise),
    )
    return Plate(tuple(leading), tuple(trailing), flat)


def outline(of: Plate, both: bool, corner: float = 0.0) -> Path:
    """The outline of a plate, or of both its halves in one; corner: radius of its outermost corners, mm."""
    half = [*of.trailing, *reversed(of.leading)]
    if both:
        half += [(x, -y) for x, y in of.leading[1:]] + [(x, -y) for x, y in reversed(of.trailing[1:])]
    if corner <= 0:
        return outline_of(half)
    from shapely import Polygon, box

    (front, root), (rear, _) = of.leading[0], of.trailing[0]
    # The root of a half is no corner: the sheet is rounded as if it went on there.
    past = [] if both else [(front, root - 4 * corner), (rear, root - 4 * corner)]
    sheet = Polygon([*half, *past])
    whole = sheet.buffer(-corner).buffer(corner, quad_segs=64)
    low, _, high, _ = sheet.bounds
    # Only the tips are rounded: what lies further in than twice the radius stays as it is.
    reach = of.long - 2 * corner
    if reach > (0.0 if both else root):
        whole = whole.union(
            sheet.intersection(box(low - 1, -reach if both else root - 4 * corner, high + 1, reach))
        )
    if not both:
        whole = whole.intersection(box(low - 1, root, high + 1, of.long + 1))
    return outline_of(whole.exterior.coords)


class Strip(NamedTuple):
    """A piece behind a hinge line: its four corners in the plate's drawing, inner front first, the way round."""

    corners: tuple[Point, Point, Point, Point]


def behind(of: Plate, start: float, end: float, depth: tuple[float, float], reach: float = 0.0) -> Strip:
    """What lies within `depth` (inner end, outer end) of a plate's trailing edge, between two distances out, mm.

    reach: how far it runs on behind the trailing edge.
    """
    rear = [of.chord_at(y)[1] for y in (start, end)]
    return Strip(
        (
            (rear[0] - depth[0], start),
            (rear[0] + reach, start),
            (rear[1] + reach, end),
            (rear[1] - depth[1], end),
        )
    )
