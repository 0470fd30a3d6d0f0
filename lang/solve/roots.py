"""Zeros of a function inside bounds: all that a scan can find, each closed in from both sides."""

import math
from collections.abc import Callable
from typing import TypeAlias

Function: TypeAlias = Callable[[float], float]

PER_DECADE = 12
"""Points of the scan per power of ten, where a bound is far away."""

EVEN_STEPS = 36
"""Points of the scan where both bounds are near (angles)."""

TOWARDS_EDGE = (0.25, 0.5, 0.75, 0.9, 0.98)
"""Points between the last one that is defined and the edge behind it, in parts of the way."""

SAME = 1e-7
"""Two zeros nearer than this (relative, and absolute below one) are one."""


def scan_points(low: float, high: float, start: float) -> list[float]:
    """Return where to look, ascending: evenly for angles and fractions, by powers of ten for lengths."""
    if math.isfinite(low) and math.isfinite(high) and high - low <= 1000:
        points = [low + (high - low) * i / EVEN_STEPS for i in range(EVEN_STEPS + 1)]
    else:
        sizes = [10 ** (exponent / PER_DECADE) for exponent in range(-4 * PER_DECADE, 7 * PER_DECADE + 1)]
        base = low if math.isfinite(low) and low > 0 else 0.0
        points = [base, *(base + size for size in sizes), *(-size for size in sizes)]
    points.append(start)
    points.extend(bound for bound in (low, high) if math.isfinite(bound))
    return sorted({point for point in points if low <= point <= high})


def zeros(function: Function, low: float, high: float, start: float) -> list[float]:
    """Return the zeros found in [low, high], ascending; poles are not zeros.

    The function may give nan where it is not defined. Touching zeros (no change of sign) are found as well.
    """
    points, heights = _with_edges(function, scan_points(low, high, start))
    found = [point for point, height in zip(points, heights, strict=True) if height == 0.0]
    for i in range(1, len(points)):
        if heights[i - 1] * heights[i] < 0:
            found.extend(_between(function, points[i - 1], points[i], heights[i - 1], heights[i]))
        if i >= 2 and _dips(heights[i - 2], heights[i - 1], heights[i]):
            found.extend(_in_dip(function, points[i - 2], points[i], heights[i - 1]))
    return _distinct(sorted(found))


def _with_edges(function: Function, points: list[float]) -> tuple[list[float], list[float]]:
    """Return the points and their heights, with a point right at each edge of where the function is
    defined, and some on the way there, where roots make it steep."""
    heights = [function(point) for point in points]
    edges = {}
    for i in range(1, len(points)):
        if math.isnan(heights[i - 1]) != math.isnan(heights[i]):
            inside, outside = (i, i - 1) if math.isnan(heights[i - 1]) else (i - 1, i)
            edge, height = _edge(function, points[inside], points[outside], heights[inside])
            edges[edge] = height
            for part in TOWARDS_EDGE:
                between = points[inside] + part * (edge - points[inside])
                edges[between] = function(between)
    if edges:
        edges.update(zip(points, heights, strict=True))
        points = sorted(edges)
        heights = [edges[point] for point in points]
    return points, heights


def _edge(function: Function, inside: float, outside: float, height: float) -> tuple[float, float]:
    """Return the last point that is defined on the way from one that is to one that is not, and its
    height."""
    for _ in range(24):  # to a ten-millionth of the gap
        middle = (inside + outside) / 2
        if middle in (inside, outside):
            break
        found = function(middle)
        if math.isnan(found):
            outside = middle
        else:
            inside, height = middle, found
    return inside, height


def _distinct(values: list[float]) -> list[float]:
    kept: list[float] = []
    for value in values:
        if not kept or value - kept[-1] > SAME * max(1.0, abs(value)):
            kept.append(value)
    return kept


def _dips(before: float, here: float, after: float) -> bool:
    """Say whether three heights of one sign come nearest to nought in the middle."""
    return before * here > 0 and after * here > 0 and abs(here) <= min(abs(before), abs(after))


def _in_dip(function: Function, low: float, high: float, height: float) -> list[float]:
    """Return the zeros in a dip towards nought: two where it goes through, one where it touches."""
    sign = math.copysign(1.0, height)
    ratio = (math.sqrt(5) - 1) / 2
    a, b = low, high
    left, right = b - ratio * (b - a), a + ratio * (b - a)
    at_left, at_right = sign * function(left), sign * function(right)
    lowest, depth = left, at_left
    for _ in range(80):
        lowest, depth = (left, at_left) if at_left <= at_right else (right, at_right)
        if depth <= 0 or not b - a > 1e-12 * max(1.0, abs(a)):
            break
        if at_left <= at_right:
            b, right, at_right = right, left, at_left
            left = b - ratio * (b - a)
            at_left = sign * function(left)
        else:
            a, left, at_left = left, right, at_right
            right = a + ratio * (b - a)
            at_right = sign * function(right)
    if depth < 0:
        below = sign * depth
        return [
            *_between(function, low, lowest, function(low), below),
            *_between(function, lowest, high, below, function(high)),
        ]
    return [lowest] if depth <= 1e-9 * abs(height) else []


def _between(function: Function, low: float, high: float, at_low: float, at_high: float) -> list[float]:
    """Return the zero between two points of opposite sign, or nothing where there is a pole or a gap.

    Inverse quadratic steps where they are safe, bisection elsewhere (Chandrupatla 1997).
    """
    outside = max(abs(at_low), abs(at_high))
    a, at_a, b, at_b = low, at_low, high, at_high
    part = 0.5
    for _ in range(200):
        point = a + part * (b - a)
        height = function(point)
        if math.isnan(height):
            return []
        if (height < 0) == (at_a < 0):
            c, at_c = a, at_a
        else:
            c, at_c, b, at_b = b, at_b, a, at_a
        a, at_a = point, height
        least = (2e-16 * abs(a) + 1e-300) / abs(b - c)
        if at_a == 0.0 or least > 0.25 or abs(b - a) <= 4e-16 * abs(a):
            break
        shape, rise = (a - b) / (c - b), (at_a - at_b) / (at_c - at_b)
        if rise * rise < shape and (1 - rise) ** 2 < 1 - shape:
            part = at_a / (at_b - at_a) * at_c / (at_b - at_c)
            part += (c - a) / (b - a) * at_a / (at_c - at_a) * at_b / (at_c - at_b)
        else:
            part = 0.5
        part = min(1 - least, max(least, part))
    best, lowest = (a, at_a) if abs(at_a) <= abs(at_b) else (b, at_b)
    return [best] if abs(lowest) <= 1e-3 * outside else []
