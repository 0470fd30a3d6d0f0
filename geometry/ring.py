"""Rings bent from thick sheet, cones and barrels, and the plates that close them: all sizes from the outside
ones.

mm and rad. R a radius outside, h the length along the axis, t the wall, k the neutral fraction (0 inner face
… 1 outer):

    half angle a = atan2(|R1 - R2|, h)        slant = hypot(h, R1 - R2), the same for every layer
    inside  R - t / cos a                     neutral layer  R_n = R - (1 - k) t / cos a
    cone    radii of the blank R_n / sin a, its angle 2 pi sin a        barrel  length 2 pi R_n, width h
    area    pi (R_n1 + R_n2) slant            bevel of both rims a, against square

Rims lie in the planes across the axis. Derived here; checked against facets laid out flat, see the tests.
"""

import math
from typing import NamedTuple

from ringwright.geometry.errors import GeometryError
from ringwright.geometry.numbers import finite, short

ALMOST_BARREL = 1e-7
"""Half angle, rad, below which a ring counts as a barrel: its blank's radii would pass 1e7 times its own."""


class Ring(NamedTuple):
    """A cone or barrel of thick sheet, as the language names its sizes; diameters outside unless called
    inside.

    wall: thickness of the sheet. neutral: fraction 0 … 1. blank_inner_radius, blank_outer_radius,
    blank_angle: of a cone's blank, None for a barrel; blank_length, blank_width: of a barrel's, None for a
    cone. area: of the blank, mm2.
    """

    start: float
    end: float
    length: float
    wall: float
    neutral: float
    half_angle: float
    slant: float
    start_inside: float
    end_inside: float
    bevel: float
    blank_inner_radius: float | None
    blank_outer_radius: float | None
    blank_angle: float | None
    blank_length: float | None
    blank_width: float | None
    area: float

    @property
    def start_neutral(self) -> float:
        """Radius of the neutral layer in the start rim's plane."""
        return self.start / 2 - (1 - self.neutral) * self.wall / math.cos(self.half_angle)

    @property
    def end_neutral(self) -> float:
        """Radius of the neutral layer in the end rim's plane."""
        return self.end / 2 - (1 - self.neutral) * self.wall / math.cos(self.half_angle)

    @property
    def bevel_width(self) -> float:
        """How far the bevel of a rim runs back on the sheet, mm."""
        return self.wall * math.tan(self.half_angle)

    @property
    def square_cut_allowance(self) -> tuple[float, float]:
        """What a blank cut square and bevelled later needs beyond its lines, mm: at its outer arc, at its
        inner arc.

        The bevel leans the same way at both, so the outer face reaches further out, the inner face further
        in.
        """
        return (1 - self.neutral) * self.bevel_width, self.neutral * self.bevel_width

    @property
    def is_cone(self) -> bool:
        """Whether the blank is part of a disc, not a rectangle."""
        return self.blank_angle is not None


def ring(start: float, end: float, length: float, thickness: float, neutral: float) -> Ring:
    """Ring with the given outside diameters at its start and end, mm, length along the axis, wall and neutral
    fraction.

    GeometryError 'impossible-cone' for sizes that are no ring, 'wall-too-thick' where nothing is left inside.
    """
    for value, what in ((start, "a ring's start"), (end, "a ring's end"), (length, "a ring's length")):
        finite(value, what)
        if value <= 0:
            raise GeometryError("impossible-cone", f"{what} must be above 0, not {short(value, 3)} mm")
    if thickness < 0 or not 0 <= neutral <= 1:
        raise GeometryError(
            "impossible-cone", "a wall's thickness must not be below 0, its neutral fraction 0 to 1"
        )
    lean = abs(start - end) / 2
    half_angle = math.atan2(lean, length)
    if half_angle < ALMOST_BARREL:
        half_angle, lean = 0.0, 0.0
    slant = math.hypot(length, lean)
    across = thickness * slant / length
    if min(start, end) / 2 - across <= 0:
        raise GeometryError(
            "wall-too-thick",
            f"a wall of {short(thickness, 2)} mm takes {short(across, 2)} mm across the axis:"
            f" nothing is left in {short(min(start, end), 2)} mm, it needs {short(2 * across, 2)} mm",
        )
    first, second = (diameter / 2 - (1 - neutral) * across for diameter in (start, end))
    sizes = (start, end, length, thickness, neutral, half_angle, slant, start - 2 * across, end - 2 * across)
    if lean:
        sine = lean / slant
        inner = min(first, second) / sine
        area = math.pi * (first + second) * slant
        return Ring(*sizes, half_angle, inner, inner + slant, 2 * math.pi * sine, None, None, area)
    around = 2 * math.pi * (first + second) / 2
    return Ring(*sizes, 0.0, None, None, None, around, length, around * length)


def wall_volume(made: Ring) -> float:
    """Volume of the mitred wall, mm3: thickness by the area of the layer midway, exact whatever the half
    angle.
    """
    across = made.wall * made.slant / made.length
    return math.pi * ((made.start + made.end) / 2 - across) * made.slant * made.wall


def joint_step(first: Ring, second: Ring) -> float:
    """Step inside where two rings meet flush outside, mm: worth a note above 0.5."""
    return abs(first.wall / math.cos(first.half_angle) - second.wall / math.cos(second.half_angle))


class InsidePlate(NamedTuple):
    """Plate within a ring. Diameters of the face nearer the end it sits at, and of the other; bevel of its
    rim, rad.
    """

    diameter_outer_face: float
    diameter_inner_face: float
    bevel: float

    @property
    def diameter(self) -> float:
        """What is cut, before the bevel: the larger face."""
        return max(self.diameter_outer_face, self.diameter_inner_face)


def inside_plate(
    d: float,
    half_angle: float,
    widens: bool,
    wall: float,
    plate_thickness: float,
    neighbour_length: float,
    set_back: float = 0.0,
) -> InsidePlate:
    """Plate seated in a ring, flush with the end of outside diameter `d` or set back from it. mm, rad.

    widens: whether the ring widens going in from that end. GeometryError 'plate-too-thick' where it would
    pass the ring's other rim, 'wall-too-thick' where no plate is left.
    """
    if set_back + plate_thickness > neighbour_length + 1e-9:
        over = set_back + plate_thickness - neighbour_length
        raise GeometryError(
            "plate-too-thick",
            f"the plate reaches {short(set_back + plate_thickness, 2)} mm into a ring that is"
            f" {short(neighbour_length, 2)} mm long: {short(over, 2)} mm too far",
        )
    slope = math.tan(half_angle) * (1 if widens else -1)
    outer = d - 2 * wall / math.cos(half_angle) + 2 * set_back * slope
    inner = outer + 2 * plate_thickness * slope
    if min(outer, inner) <= 0:
        raise GeometryError(
            "wall-too-thick",
            f"nothing is left for a plate inside: it would be {short(min(outer, inner), 2)} mm across",
        )
    return InsidePlate(outer, inner, half_angle)


class StraddlePlate(NamedTuple):
    """Plate that lies half in each of two rings. Diameters in the joint's plane and of both faces; bevel of
    each half.

    gap: how much wider, in diameter, the roomier ring is in the joint's plane.
    """

    diameter_joint: float
    diameter_before_face: float
    diameter_after_face: float
    bevel_before: float
    bevel_after: float
    gap: float

    @property
    def diameter(self) -> float:
        """What is cut, before the bevels: the largest of the three."""
        return max(self.diameter_joint, self.diameter_before_face, self.diameter_after_face)


def straddle_plate(before: Ring, after: Ring, plate_thickness: float) -> StraddlePlate:
    """Plate centred on the plane where `before` ends and `after` starts, mm.

    In that plane it takes the smaller of the two inside diameters; from there each half follows the slope of
    its own ring. GeometryError 'diameters-differ', 'plate-too-thick', 'wall-too-thick'.
    """
    if abs(before.end - after.start) > 0.01:
        raise GeometryError(
            "diameters-differ",
            f"the rings that the plate joins end at {short(before.end, 2)}"
            f" and start at {short(after.start, 2)} mm",
        )
    half = plate_thickness / 2
    if half > min(before.length, after.length) + 1e-9:
        raise GeometryError("plate-too-thick", "half the plate is thicker than a ring that it joins is long")
    joint = min(before.end_inside, after.start_inside)
    before_face = joint + half * (before.start - before.end) / before.length
    after_face = joint + half * (after.end - after.start) / after.length
    if min(before_face, after_face) <= 0:
        raise GeometryError("wall-too-thick", "nothing is left for a plate inside these rings")
    gap = abs(before.end_inside - after.start_inside)
    return StraddlePlate(joint, before_face, after_face, before.half_angle, after.half_angle, gap)
