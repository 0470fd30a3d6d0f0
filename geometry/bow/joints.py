"""Where to break a profile into straight cones so that the greatest deviation is least, joints on the
profile.

Among samples exactly, by a table of all chords; then between them, by a march: from each joint to the furthest
place whose chord stays within a limit, and the limit halved until it no longer reaches the end.
"""

import math
from collections.abc import Iterator, Sequence
from itertools import pairwise

from ringwright.geometry.bow.course import Course, corners, off_chord
from ringwright.geometry.numbers import snap
from ringwright.geometry.path import Point

SAMPLES = 201
_HALVINGS = 30
_EVEN = 1e-9
"""What a chord's length adds to its deviation, so that cones which are all as near come out even."""
_REACH = 3
"""How many samples to either side of the best one the march looks for a joint."""


def deviation(
    samples: Sequence[Point], first: int, last: int, across: bool, limit: float = math.inf
) -> float:
    """Greatest deviation of the samples between two of them from their chord, mm; `inf` once it passes the
    limit.

    across: square to the chord, else along the radius.
    """
    (x0, y0), (x1, y1) = samples[first], samples[last]
    dx, dy = x1 - x0, y1 - y0
    size = math.hypot(dx, dy) if across else dx
    most, allowed = 0.0, limit * size
    middle = (first + last) // 2
    for index in (*range(middle, last), *range(middle - 1, first, -1)):
        x, y = samples[index]
        off = abs(dx * (y - y0) - dy * (x - x0))
        if off > most:
            if off > allowed:
                return math.inf
            most = off
    return most / size + _EVEN * abs(dx)


def best_of_samples(samples: Sequence[Point], across: bool) -> Iterator[tuple[float, tuple[int, ...]]]:
    """For 1, 2, 3 … cones in turn: the least greatest deviation, mm, and the samples to join at, both ends
    included.

    Exact among the samples; among equals the cones are the more even ones.
    """
    last = len(samples) - 1
    row = [0.0] + [deviation(samples, 0, j, across) for j in range(1, last + 1)]
    back: list[list[int]] = []
    yield row[last], (0, last)
    for count in range(2, last + 1):
        fresh, origin = list(row), list(range(last + 1))
        start = count - 1
        for j in range(count, last + 1):
            best, who = math.inf, start
            for i in (start, *range(count - 1, j)):
                if row[i] < best:
                    most = max(row[i], deviation(samples, i, j, across, best))
                    if most < best - 1e-12:
                        best, who = most, i
            fresh[j], origin[j], start = best, who, who
        back.append(origin)
        row = fresh
        found = [last]
        for origin in reversed(back):
            found.append(origin[found[-1]])
        yield row[last], (0, *reversed(found))


def sample(way: Course) -> list[float]:
    """Lengths along the profile at which it is sampled: equal steps, and its corners."""
    steps = [way.length * k / (SAMPLES - 1) for k in range(SAMPLES)]
    tight = way.length / (SAMPLES - 1) * 1e-3
    extra = [run for run in corners(way) if all(abs(run - step) > tight for step in steps)]
    return sorted([*steps, *extra])


def polished(way: Course, joints: Sequence[float]) -> tuple[float, tuple[float, ...]]:
    """Joints, as lengths along the profile with both its ends, moved off the samples as far as that helps.

    Returns the greatest deviation, mm, and the joints.
    """
    best, kept = _worst(way, joints), tuple(joints)
    low, high = 0.0, best
    for _ in range(_HALVINGS if len(joints) > 2 else 0):
        limit = (low + high) / 2
        found = _march(way, joints, limit)
        if found is None:
            low = limit
        else:
            high = limit
            worst = _worst(way, found)
            if worst < best:
                best, kept = worst, tuple(found)
    return best, kept


def _worst(way: Course, joints: Sequence[float]) -> float:
    return max(off_chord(way, a, b) for a, b in pairwise(joints))


def _march(way: Course, joints: Sequence[float], limit: float) -> list[float] | None:
    """From each joint to the furthest place near the next whose chord stays within a limit; None where it
    doesn't reach the end.
    """
    reach = _REACH * way.length / (SAMPLES - 1)
    found = [joints[0]]
    for near in joints[1:-1]:
        low, high = max(found[-1] + reach / 100, near - reach), min(near + reach, joints[-1])
        if off_chord(way, found[-1], low) > limit:
            return None
        if off_chord(way, found[-1], high) > limit:
            for _ in range(_HALVINGS):
                middle = (low + high) / 2
                if off_chord(way, found[-1], middle) > limit:
                    high = middle
                else:
                    low = middle
        else:
            low = high
        found.append(low)
    return [*found, joints[-1]] if snap(off_chord(way, found[-1], joints[-1]) - limit) <= 0 else None
