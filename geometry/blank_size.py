"""The smallest rectangle of sheet that a part can be cut from."""

import math

from ringwright.geometry.path import Path, Point, bounds, doubled_area, flattened

FLATNESS = 0.02
"""How far a chord may lie from its arc, mm."""


def blank_size(outline: Path, turns: bool) -> tuple[float, float]:
    """Longer and shorter side of the least rectangle round an outline, mm.

    turns: whether it may lie askew on the sheet; where the grain forbids that, width and height as it is drawn, in
    that order. One side of the least rectangle lies along an edge of the convex hull (Freeman and Shapira, 1975; from memory).
    """
    left, low, right, high = bounds(outline)
    if not turns:
        return right - left, high - low
    best = (right - left, high - low)
    hull = _hull(flattened(outline, FLATNESS))
    for (ax, ay), (bx, by) in zip(hull, hull[1:] + hull[:1], strict=True):
        length = math.hypot(bx - ax, by - ay)
        if length < 1e-9:
            continue
        ux, uy = (bx - ax) / length, (by - ay) / length
        along = [x * ux + y * uy for x, y in hull]
        across = [y * ux - x * uy for x, y in hull]
        size = (max(along) - min(along), max(across) - min(across))
        if size[0] * size[1] < best[0] * best[1] - 1e-6:
            best = size
    return max(best), min(best)


def _hull(points: tuple[Point, ...]) -> list[Point]:
    """Corners of the convex hull, anticlockwise (Andrew's monotone chain)."""
    found = sorted(set(points))

    def half(way: list[Point]) -> list[Point]:
        kept: list[Point] = []
        for point in way:
            while len(kept) > 1 and doubled_area(kept[-2], kept[-1], point) <= 0:
                kept.pop()
            kept.append(point)
        return kept[:-1]

    return half(found) + half(found[::-1])
