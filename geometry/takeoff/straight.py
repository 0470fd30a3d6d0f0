"""Straight runs that a smooth line cannot keep: where it bulges between points that were measured in a line."""

import math
from collections.abc import Iterable, Sequence
from typing import NamedTuple

from ringwright.geometry.curve import Curve, curve_at, splines
from ringwright.geometry.path import Point

IN_LINE = 0.1
"""How near to the line between its neighbours a point lies that was measured on a straight run, mm (our choice)."""

LEAST = 0.2
"""What a bulge is worth a word from, mm (our choice: what shows beside a straight edge)."""


class Bulge(NamedTuple):
    """A straight run that bulges: the points at its ends, as measured, and by how much, mm."""

    first: Point
    last: Point
    by: float


def bulges(points: Sequence[Point], closed: bool = True, corners: Iterable[int] = ()) -> tuple[Bulge, ...]:
    """The runs of three or more points in a line off which the smooth line through all of them bulges, mm.

    As `curve.through` draws it. No run is where a line changes from one bend to the other, as the middle of an S
    does. GeometryError 'too-few-points'.
    """
    found = []
    for curve in splines(points, closed, corners):
        for first, last in _runs(curve):
            spans = range(first, last)
            by = max(_off(curve, span % (len(curve.points) - 1)) for span in spans)
            if by >= LEAST:
                found.append(Bulge(_at(curve, first), _at(curve, last), by))
    return tuple(found)


def _at(curve: Curve, index: int) -> Point:
    """Point of a curve by its number, which runs on past the end of a closed one."""
    return curve.points[index % (len(curve.points) - 1)] if curve.closed else curve.points[index]


def _runs(curve: Curve) -> list[tuple[int, int]]:
    """First and last point of each straight run, longest first where they meet."""
    count = len(curve.points) - 1 if curve.closed else len(curve.points)
    inner = range(count) if curve.closed else range(1, count - 1)
    straight = {index: True for index in inner if _in_line(curve, index)}  # in their order
    if len(straight) == count:
        return []  # all round in a line: a sliver, which is refused elsewhere
    runs: list[tuple[int, int]] = []
    for index in straight:
        before = (index - 1) % count if curve.closed else index - 1
        if before in straight:
            continue
        last = index
        while ((last + 1) % count if curve.closed else last + 1) in straight:
            last += 1
        first, last = index - 1, last + 1
        if _turn(curve, first, count) * _turn(curve, last, count) >= 0:
            runs.append((first, last))
    return runs


def _in_line(curve: Curve, index: int) -> bool:
    (ax, ay), (x, y), (bx, by) = _at(curve, index - 1), _at(curve, index), _at(curve, index + 1)
    chord = math.hypot(bx - ax, by - ay)
    if not chord or (x - ax) * (bx - x) + (y - ay) * (by - y) <= 0:
        return False
    return abs((bx - ax) * (y - ay) - (by - ay) * (x - ax)) <= IN_LINE * chord


def _turn(curve: Curve, index: int, count: int) -> float:
    """Which way the points turn at one of them: positive to the left, 0 at the end of an open line."""
    if not curve.closed and not 0 < index < count - 1:
        return 0.0
    (ax, ay), (x, y), (bx, by) = _at(curve, index - 1), _at(curve, index), _at(curve, index + 1)
    return (x - ax) * (by - y) - (y - ay) * (bx - x)


def _off(curve: Curve, span: int) -> float:
    """How far a curve leaves the straight line between two of its points that follow one another, mm."""
    (ax, ay), (bx, by) = curve.points[span], curve.points[span + 1]
    low, high = curve.knots[span], curve.knots[span + 1]
    chord = math.hypot(bx - ax, by - ay)
    between = (curve_at(curve, low + (high - low) * step / 16)[0] for step in range(1, 16))
    return max(abs((bx - ax) * (y - ay) - (by - ay) * (x - ax)) / chord for x, y in between)
