"""Aerofoils as points of a chord of 1 that go round: from the upper trailing edge to the front and back below.

All profiles have as many points, at like places, so that those of two sections of a wing can be joined one by one.
"""

import math
from collections.abc import Sequence
from typing import TypeAlias

from ringwright.geometry.errors import GeometryError
from ringwright.geometry.numbers import short
from ringwright.geometry.path import Point, on_way
from ringwright.geometry.takeoff.aerofoil import Aerofoil, heights_at

Profile: TypeAlias = tuple[Point, ...]

STEPS = 160
"""Places on either surface, close together at both ends: within 0.02 mm of a section with a chord of 300 mm."""


def profile_of(section: Aerofoil) -> Profile:
    """The profile of an aerofoil: its foremost point is in the middle."""
    front, high = section.leading_edge
    last = min(section.upper.points[-1][0], section.lower.points[-1][0])
    upper, lower = [], []
    for step in range(1, STEPS + 1):
        x = front + (last - front) * (1 - math.cos(math.pi * step / STEPS)) / 2
        both = heights_at(section, min(x, last))
        upper.append((x / section.chord, both.upper / section.chord))
        lower.append((x / section.chord, both.lower / section.chord))
    return (*reversed(upper), (front / section.chord, high / section.chord), *lower)


def blended(first: Profile, second: Profile, share: float) -> Profile:
    """The profile between two."""
    return tuple(on_way(a, b, share) for a, b in zip(first, second, strict=True))


def at_chord(profile: Profile, chord: float) -> tuple[Point, ...]:
    """The points of a profile at a chord, mm."""
    return tuple((x * chord, y * chord) for x, y in profile)


def heights(around: Sequence[Point], x: float) -> Point:
    """(lower, upper) height of a line of points that goes round like a profile, at x. GeometryError 'beyond-line'."""
    middle = len(around) // 2
    return _height(around[middle:], x), _height(around[middle::-1], x)


def _height(surface: Sequence[Point], x: float) -> float:
    """Height of a surface that runs aft."""
    low, high = 0, len(surface) - 1
    if not surface[0][0] - 1e-9 <= x <= surface[-1][0] + 1e-9:
        raise GeometryError(
            "beyond-line",
            f"this section runs from {short(surface[0][0], 2)} to {short(surface[-1][0], 2)} mm, not to {short(x, 2)} mm",
        )
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (middle, high) if surface[middle][0] <= x else (low, middle)
    (x0, y0), (x1, y1) = surface[low], surface[high]
    return y0 if x1 - x0 < 1e-12 else y0 + (y1 - y0) * (x - x0) / (x1 - x0)
