"""Aerofoils of the four- and five-digit series of the National Advisory Committee for Aeronautics.

Four digits (E. N. Jacobs, K. E. Ward, R. M. Pinkerton, NACA Report 460, 1933): camber m in hundredths of the chord,
its place p in tenths, thickness t in hundredths. Five digits (E. N. Jacobs, R. M. Pinkerton, NACA Report 537, 1935):
mean lines with their camber far forward, plain (third digit 0) or reflexed (1). Both take the thickness

    y_t = 5 t (0.2969 √x - 0.1260 x - 0.3516 x² + 0.2843 x³ - 0.1015 x⁴)

laid off square to the mean line. It leaves the trailing edge open by 0.0021 t on either side, as the tables print
it; with -0.1036 in place of -0.1015 it closes, and the last tenth of the chord is thinner than in the tables.
"""

import math
from collections.abc import Callable
from typing import NamedTuple

from ringwright.geometry import curve
from ringwright.geometry.errors import GeometryError
from ringwright.geometry.numbers import short
from ringwright.geometry.path import Point
from ringwright.geometry.remember import remembered
from ringwright.geometry.takeoff.aerofoil import Aerofoil, section_of

_PLAIN = {
    1: (0.0580, 361.400),
    2: (0.1260, 51.640),
    3: (0.2025, 15.957),
    4: (0.2900, 6.643),
    5: (0.3910, 3.230),
}
_REFLEXED = {
    2: (0.1300, 51.990, 0.000764),
    3: (0.2170, 15.793, 0.006770),
    4: (0.3180, 6.520, 0.030300),
    5: (0.4410, 3.191, 0.135500),
}


class Mean(NamedTuple):
    """A mean line: height, slope and rate of the slope at x (all of the chord), and where its two parts meet."""

    at: Callable[[float], tuple[float, float, float]]
    joint: float


@remembered(32)
def naca(digits: str, chord: float, closed: bool = False) -> Aerofoil:
    """Aerofoil of four or five digits at its chord, mm, arcs within 0.002 mm.

    closed: with a sharp trailing edge in place of the published, slightly open one. GeometryError
    'no-such-aerofoil', 'no-size'.
    """
    mean, thickness = _read(digits)
    if not chord > 0:
        raise GeometryError("no-size", f"a chord must be above 0, not {short(chord, 3)} mm")

    def traced(turn: float) -> tuple[Point, Point]:
        (x, y), (dx, dy) = _surface(mean, thickness, -turn, closed)
        return (chord * x, chord * y), (-dx, -dy)

    # From the upper trailing edge (-pi) to the leading edge (0) and on to the lower one (pi).
    joint = math.acos(1 - 2 * mean.joint)
    stops = {0.0, math.pi / 2, math.pi, *([joint] if joint > 0.1 else [])}
    around = curve.arcs(traced, sorted({sign * stop for stop in stops for sign in (-1, 1)}))
    return section_of(f"NACA {digits}", chord, around)


def naca_points(digits: str, count: int, closed: bool = False) -> tuple[tuple[Point, Point], ...]:
    """(upper, lower) points of a section of chord 1 for `count` stations of its mean line, close together at both
    ends: x = (1 - cos u) / 2 for even steps of u, from 0 to 1.

    GeometryError 'no-such-aerofoil'; 'too-few-points' under two.
    """
    mean, thickness = _read(digits)
    if count < 2:
        raise GeometryError("too-few-points", f"a surface needs two stations, not {count}")
    turns = [math.pi * k / (count - 1) for k in range(count)]
    return tuple(
        (_surface(mean, thickness, turn, closed)[0], _surface(mean, thickness, -turn, closed)[0])
        for turn in turns
    )


def station(digits: str, x: float, closed: bool = False) -> tuple[Point, Point]:
    """(upper, lower) point of a section of chord 1 square to its mean line at x, 0 … 1.

    GeometryErrors 'no-such-aerofoil', 'beyond-line'.
    """
    mean, thickness = _read(digits)
    if not 0 <= x <= 1:
        raise GeometryError("beyond-line", f"a chord runs from 0 to 1, not to {short(x, 4)}")
    turn = math.acos(1 - 2 * x)
    return _surface(mean, thickness, turn, closed)[0], _surface(mean, thickness, -turn, closed)[0]


def nose_radius(digits: str) -> float:
    """Radius of the leading edge of a section of chord 1: 1.1019 t². GeometryError 'no-such-aerofoil'."""
    return 1.1019 * _read(digits)[1] ** 2


def _read(digits: str) -> tuple[Mean, float]:
    """Mean line and thickness of a section by its digits."""
    if not (digits.isascii() and digits.isdigit() and len(digits) in (4, 5)):
        raise GeometryError(
            "no-such-aerofoil",
            f'"{digits}" is no section of the four- or five-digit series: write "2412" or "23012"',
        )
    thickness = int(digits[-2:]) / 100
    if not 0.01 <= thickness <= 0.4:
        raise GeometryError(
            "no-such-aerofoil", f"the last two digits of {digits} are its thickness in percent: 01 to 40"
        )
    return (_mean_of_four(digits) if len(digits) == 4 else _mean_of_five(digits)), thickness


def _mean_of_four(digits: str) -> Mean:
    camber, place = int(digits[0]) / 100, int(digits[1]) / 10
    if (camber == 0) != (place == 0):
        raise GeometryError(
            "no-such-aerofoil",
            f"the first two digits of {digits} are its camber and where that is: both 0, or neither",
        )

    def at(x: float) -> tuple[float, float, float]:
        if not camber:
            return 0.0, 0.0, 0.0
        if x < place:
            rate = camber / place**2
            return rate * x * (2 * place - x), 2 * rate * (place - x), -2 * rate
        rate = camber / (1 - place) ** 2
        return rate * (1 - 2 * place + x * (2 * place - x)), 2 * rate * (place - x), -2 * rate

    return Mean(at, place)


def _mean_of_five(digits: str) -> Mean:
    lift, place, reflexed = int(digits[0]), int(digits[1]), digits[2]
    known = {"0": sorted(_PLAIN), "1": sorted(_REFLEXED)}.get(reflexed, [])
    if place not in known or not lift:
        raise GeometryError(
            "no-such-aerofoil",
            f"{digits}: the first digit is 1 to 9, the second and third one of"
            " 10, 20, 30, 40, 50 or, reflexed, 21, 31, 41, 51",
        )
    scale = lift / 2  # the constants are those of a lift coefficient of 0.3
    if reflexed == "0":
        (m, k), ratio = _PLAIN[place], None
    else:
        m, k, ratio = _REFLEXED[place]
    k = scale * k / 6

    def plain(x: float) -> tuple[float, float, float]:
        if x < m:
            return (
                k * x * (x * x - 3 * m * x + m * m * (3 - m)),
                k * (3 * x * x - 6 * m * x + m * m * (3 - m)),
                6 * k * (x - m),
            )
        return k * m**3 * (1 - x), -k * m**3, 0.0

    def bent(x: float) -> tuple[float, float, float]:
        assert ratio is not None
        share = 1.0 if x < m else ratio
        level = ratio * (1 - m) ** 3 + m**3
        u = x - m
        return k * (share * u**3 - level * x + m**3), k * (3 * share * u * u - level), 6 * k * share * u

    return Mean(plain if ratio is None else bent, m)


def _surface(mean: Mean, thickness: float, turn: float, closed: bool) -> tuple[Point, Point]:
    """Point of the surface and its change by the turn: x = (1 - cos turn) / 2 on the mean line, above it for a turn
    over 0, below it for one under 0, round the nose without a kink.
    """
    root, half_cos = math.sin(turn / 2), math.cos(turn / 2)
    x, dx = root * root, root * half_cos
    last = 0.1036 if closed else 0.1015
    rest = x * (-0.1260 + x * (-0.3516 + x * (0.2843 - x * last)))
    rate = -0.1260 + x * (-0.7032 + x * (0.8529 - 4 * x * last))
    side = 1.0 if turn > 0 else -1.0
    y = 5 * thickness * (0.2969 * root + side * rest)
    dy = 5 * thickness * (0.2969 * half_cos / 2 + side * rate * dx)
    height, slope, bend = mean.at(x)
    size = math.hypot(1.0, slope)
    sin, cos = slope / size, 1.0 / size
    lean = bend * dx * cos * cos
    return (x - y * sin, height + y * cos), (
        dx - dy * sin - y * cos * lean,
        slope * dx + dy * cos - y * sin * lean,
    )
