"""Where the mass of a dome of gores lies on its axis.

A gore is a strip of width w(s) = 2 (m r - d n_r) tan(pi / N) along its middle line (see `gore.py`); its middle layer
lies half a thickness under the outside. Round the axis the gores balance; along it the mass lies at ∫ x w ds / ∫ w ds.
A thin hemisphere's lies half its radius above the rim, whatever N.
"""

import math

from ringwright.geometry.bow.course import course
from ringwright.geometry.bow.gore import GAUSS, scale_of
from ringwright.geometry.errors import GeometryError
from ringwright.geometry.numbers import total
from ringwright.geometry.path import Path, tracer

_PARTS = 8


def centre_along(profile: Path, count: int, fit: str, thickness: float, neutral: float) -> float:
    """Place along the axis, from where the profile has its 0, at which the mass of all gores of a dome lies, mm.

    Of the sheet between the seams, tabs apart. GeometryError 'wall-too-thick' where no gore is left.
    """
    scale, under = scale_of(fit, count), (1.0 - neutral) * thickness
    way = course(profile, False)
    weights: list[float] = []
    moments: list[float] = []
    for index, piece in enumerate(way.pieces):
        trace = tracer(piece)
        half = 0.5 / _PARTS
        whole = way.runs[index + 1] - way.runs[index]
        for part in range(_PARTS):
            for place, weight in GAUSS:
                (x, r), (dx, dr) = trace((2 * part + 1 + place) * half)
                size = math.hypot(dx, scale * dr)
                wide = max(0.0, scale * r - under * dx / size) * size * weight * half * whole
                weights.append(wide)
                moments.append(wide * (x + thickness / 2 * scale * dr / size))
    area = total(weights)
    if area <= 0:
        raise GeometryError("wall-too-thick", "the sheet is thicker than the dome: no gore is left inside")
    return total(moments) / area
