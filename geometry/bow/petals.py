"""Where the gores of a dome sit: each bent along the meridian alone, all round the axis.

The drawn layer of a gore is half = r tan(pi / N) wide at each length y along its middle, so its radius follows from its
drawing, and its way along the axis from that: dx² = dy² - dr².
"""

import math
from itertools import pairwise

from ringwright.geometry.bow.gore import Gore, scale_of
from ringwright.geometry.part import Bent, Facet, Vector
from ringwright.geometry.path import Path, Point, flattened, piece_point, pieces
from ringwright.geometry.wrap.vector import cross, plus, times

_CHORD = 0.05


def petals(
    made: Gore, profile: Path, depth: float, origin: Vector, axis: Vector, top: Vector, right: Vector
) -> tuple[Bent, ...]:
    """The places of all gores of a dome.

    profile: of (along, radius), mm; origin: where it has its 0 on the axis; axis: unit vector of growing `along`; top,
    right: unit vectors square to it, the first gore's middle at the top. depth: of the drawn layer under the outside, mm.
    """
    line, towards_tip = _middle(made, profile, depth)
    away = times(axis, towards_tip)
    found = []
    for number in range(made.number):
        turn = 2 * math.pi * number / made.number
        out = plus(times(top, math.cos(turn)), times(right, math.sin(turn)))
        # Drawn face in: x of the drawing runs so that x × y, y towards the tip, looks at the axis.
        across = cross(out, away)
        found.append(Bent(tuple(_facets(line, origin, axis, out, across)), None))
    return tuple(found)


def _middle(made: Gore, profile: Path, depth: float) -> tuple[list[tuple[float, float, float, float]], float]:
    """(half width, y in the drawing, along, radius) up the middle of a gore's drawn layer, and whether the tip lies
    along the profile (+1) or against it (-1).
    """
    every = list(pieces(profile))
    rim_first = profile.points[0][1] >= profile.points[-1][1]
    (along, _), (dx, dr) = piece_point(every[0], 0.0) if rim_first else piece_point(every[-1], 1.0)
    dr *= scale_of(made.fit, made.number)
    along += depth * dr / math.hypot(dx, dr)
    way = 1.0 if rim_first else -1.0
    tangent = math.tan(math.pi / made.number)
    points = flattened(made.side, _CHORD)
    found = [(points[0][0], points[0][1], along, points[0][0] / tangent)]
    for (half, y), (further, higher) in pairwise(points):
        rise = (further - half) / tangent
        along += way * math.sqrt(max(0.0, (higher - y) ** 2 - rise * rise))
        found.append((further, higher, along, further / tangent))
    return found, way


def _facets(
    line: list[tuple[float, float, float, float]], origin: Vector, axis: Vector, out: Vector, across: Vector
) -> list[Facet]:
    found = []
    for below, above in pairwise(line):
        (a, p), (b, q) = _ends(below, origin, axis, out, across)
        (d, s), (c, r) = _ends(above, origin, axis, out, across)
        found.append(Facet((a, b, c), (p, q, r)))
        if above[0] > 1e-6:
            found.append(Facet((a, c, d), (p, r, s)))
    return found


def _ends(
    at: tuple[float, float, float, float], origin: Vector, axis: Vector, out: Vector, across: Vector
) -> tuple[tuple[Point, Vector], tuple[Point, Vector]]:
    half, y, along, radius = at
    middle = plus(plus(origin, times(axis, along)), times(out, radius))
    left, right = plus(middle, times(across, -half)), plus(middle, times(across, half))
    return ((-half, y), left), ((half, y), right)
