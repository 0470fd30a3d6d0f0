"""Domes: their profiles, and the two ways to build one from sheet, by rings or by gores."""

import math
from typing import NamedTuple

from ringwright.geometry.bow.cones import Bow, cones
from ringwright.geometry.bow.gore import gore_count
from ringwright.geometry.bow.profile import between, quarter_ellipse
from ringwright.geometry.errors import GeometryError
from ringwright.geometry.numbers import short
from ringwright.geometry.path import Path, bounds


class Ways(NamedTuple):
    """What a dome takes within one tolerance: the rings it can be bent from, or the number of gores."""

    rings: Bow
    gores: int


def dome(diameter: float, depth: float, opening: float = 0.0) -> Path:
    """Profile of half an ellipsoid on a rim of this diameter, `depth` mm high, cut off where its diameter is
    `opening`.

    The opening takes a plug, or a spinner; without one, the last ring of cones comes to a point. With depth
    half the diameter it is a hemisphere. GeometryError 'no-size'.
    """
    if diameter <= 0 or not 0 <= opening < diameter:
        raise GeometryError(
            "no-size",
            f"a dome's diameter must be above 0 and above that of its opening,"
            f" not {short(diameter, 3)} and {short(opening, 3)} mm",
        )
    whole = quarter_ellipse(depth, diameter / 2, 0.0)
    if not opening:
        return whole
    share = opening / diameter
    return between(whole, 0.0, depth * math.sqrt((1 - share) * (1 + share)))


def ways(profile: Path, tolerance: float, fit: str = "middles") -> Ways:
    """How many rings and how many gores a dome takes within a tolerance, mm: the builder chooses.
    GeometryErrors as `cones` and `gore_count`.
    """
    return Ways(cones(profile, tolerance=tolerance), gore_count(bounds(profile)[3], tolerance, fit))
