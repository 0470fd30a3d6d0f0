"""Where parts sit in the aircraft: x aft, y to starboard, z up, mm.

A flat part is a rigid frame; its drawn face is the one that u × v looks out of. A ring's blank is bent with
its drawn face in: seen from the axis the drawing is as it lies on the table. From that follows which way it
runs. With e the direction of a turn, the drawn face looks along -e, so x × y = -e; for y along the axis that
makes x run with growing turn when axis × top = -right (an axis that runs aft) and against it when axis × top
= right. A cone's y points to its larger rim and its angle runs against x.
"""

import math
from collections.abc import Callable

from ringwright.geometry.blank import Blank
from ringwright.geometry.part import Bent, Flat, Placement, Rolled, Vector
from ringwright.geometry.path import Point

FORWARD: Vector = (-1.0, 0.0, 0.0)
AFT: Vector = (1.0, 0.0, 0.0)
STARBOARD: Vector = (0.0, 1.0, 0.0)
UP: Vector = (0.0, 0.0, 1.0)


def section_frame(x: float, y: float = 0.0, z: float = 0.0) -> Flat:
    """Frame of a former or plate whose aft face, which is drawn, stands at x: drawing right is starboard, up
    is up.
    """
    return Flat((x, y, z), STARBOARD, UP)


def side_frame(y: float) -> Flat:
    """Frame of a part drawn as seen from port (x right, z up), its port face at y."""
    return Flat((0.0, y, 0.0), AFT, UP)


def top_frame(z: float) -> Flat:
    """Frame of a part drawn as seen from above (x right, y up), its upper face at z."""
    return Flat((0.0, 0.0, z), AFT, STARBOARD)


def in_space(placement: Placement, point: Point) -> Vector:
    """Place in the aircraft of a point of a part's drawing, on the layer that is drawn."""
    if isinstance(placement, Flat):
        (x, y), u, v = point, placement.u, placement.v
        ox, oy, oz = placement.origin
        return ox + x * u[0] + y * v[0], oy + x * u[1] + y * v[1], oz + x * u[2] + y * v[2]
    if isinstance(placement, Bent):
        from ringwright.geometry.wrap.carry import in_space as on_facet

        return on_facet(placement.facets, point)
    along, turn = unrolled(placement, point)
    share = along / placement.slant
    radius = placement.start_radius + share * (placement.end_radius - placement.start_radius)
    return about_axis(placement, share * placement.length, radius, turn)


def about_axis(placement: Rolled, along: float, radius: float, turn: float) -> Vector:
    """Place in the aircraft at a length along a ring's axis from its start, a radius and a turn."""
    up, side = radius * math.cos(turn), radius * math.sin(turn)
    ox, oy, oz = (
        o + along * a + up * t + side * r
        for o, a, t, r in zip(placement.origin, placement.axis, placement.top, placement.right, strict=True)
    )
    return ox, oy, oz


def unrolled(placement: Rolled, point: Point) -> tuple[float, float]:
    """(length along the slant from the start rim in mm, turn about the axis in rad) of a point of a ring's
    blank.
    """
    return unroller(placement)(point)


def unroller(placement: Rolled) -> Callable[[Point], tuple[float, float]]:
    """What `unrolled` says of one ring, ready to be asked for many points."""
    to_apex, radius, seam = placement.to_apex, placement.start_radius, placement.turn_at_seam
    way = math.copysign(1.0, placement.sweep)
    if not to_apex:
        return lambda point: (point[1], seam + way * point[0] / radius)
    sine = radius / to_apex
    half = abs(placement.sweep) * sine / 2
    widens = placement.end_radius > radius

    def of(point: Point) -> tuple[float, float]:
        x, y = point
        along = math.hypot(x, y) - to_apex
        angle = math.atan2(-x, y) + half
        return along if widens else -along, seam + way * angle / sine

    return of


def rolled(
    blank: Blank, origin: Vector, axis: Vector, top: Vector, right: Vector, seam_at: float
) -> tuple[Rolled, ...]:
    """Placement of each piece of a ring's blank, the first starting at turn `seam_at` (rad).

    origin: centre of the start rim, mm; axis (start to end), top and right: unit vectors, square to each
    other.
    """
    made = blank.ring
    start, end = made.start_neutral, made.end_neutral
    to_apex = (made.blank_inner_radius if start < end else made.blank_outer_radius) or 0.0
    if not to_apex:
        start = end = (start + end) / 2
    ax, ay, az = axis
    tx, ty, tz = top
    hand = (ay * tz - az * ty) * right[0] + (az * tx - ax * tz) * right[1] + (ax * ty - ay * tx) * right[2]
    sweep = math.copysign(2 * math.pi / blank.pieces, hand if start < end else -hand)
    seams = (seam_at + piece * sweep for piece in range(blank.pieces))
    return tuple(
        Rolled(origin, axis, top, right, start, end, made.length, made.slant, to_apex, seam, sweep)
        for seam in seams
    )
