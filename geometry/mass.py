"""What a part weighs and where its mass lies.

Area is that of the blank as drawn; bending moves no mass, but the centroid in space is that of the layer
midway through the sheet. For bent walls the moments are boundary integrals (Green): with q along the slant, r
= m0 + m1 q the radius of the middle layer and T the turn,

    area  ∮ (∫ r dq) dT      along the axis  ∮ (∫ q r dq) dT length/slant      to the top  ∮ (∫ r² dq) cos T
    dT

Inner integrals are polynomials, the outer ones eight-point Gauss–Legendre on stretches of half a radian:
exact to rounding for whole rings, flaps and holes alike. A whole cone gives h (R1 + 2 R2) / 3 (R1 + R2).
"""

import math
from collections.abc import Callable, Iterator, Sequence
from typing import NamedTuple

from ringwright.geometry.errors import GeometryError
from ringwright.geometry.numbers import ceil_safe, short, total
from ringwright.geometry.part import Flat, MassProperties, Placement, Rolled, Stock, Vector
from ringwright.geometry.path import (
    Path,
    Point,
    canonical,
    centroid,
    length,
    piece_length,
    pieces,
    signed_area,
    sweep_of,
    tracer,
)
from ringwright.geometry.place import about_axis, in_space, unroller
from ringwright.geometry.remember import remembered

GAUSS = (
    (0.1834346424956498, 0.3626837833783620),
    (0.5255324099163290, 0.3137066458778873),
    (0.7966664774136267, 0.2223810344533745),
    (0.9602898564975363, 0.1012285362903763),
)
"""Places (both signs) and weights of the eight-point Gauss–Legendre rule."""

Moments = tuple[float, float, float, float]
"""Weight of a bent area, mm2, and its moments along the axis, to the top and to the right, mm3."""


class Weights(NamedTuple):
    """What a stock weighs, g per mm2. sheet: all of it, 1 where that is not said. foam: what goes where its foam is taken
    away, paper: where one facing is; both 0 where the stock does not say what a facing weighs.
    """

    sheet: float
    foam: float
    paper: float


def weights(stock: Stock) -> Weights:
    """What a stock and its layers weigh."""
    sheet, paper = stock.areal_mass, stock.facing_mass
    if sheet is None or paper is None:
        return Weights(1.0 if sheet is None else sheet, 0.0, 0.0)
    return Weights(sheet, sheet - paper, paper)


def measure(
    outline: Path,
    holes: Sequence[Path],
    far: Sequence[Path],
    peels: Sequence[Path],
    stock: Stock,
    placement: Placement | None = None,
    bared: bool = False,
) -> MassProperties:
    """Mass properties of one copy of a part.

    bared: one facing has been taken off all of it, so as to bend it.

    Mass is by the stock's areal mass; peels weigh one paper face where the stock says what that weighs, else
    the whole sheet. The centroid is None without a placement, and for a bent sheet (`wrap/weigh.py` finds that); without an areal mass it is that of the sheet's
    area.
    """
    area = total([abs(signed_area(outline)), *(-abs(signed_area(hole)) for hole in holes)])
    cut = total(length(path) for path in (outline, *holes, *far))
    per_area, lost, paper = weights(stock)
    peeled = total(abs(signed_area(peel)) for peel in peels)
    facings = peeled if paper else 0.0
    if bared and paper:
        # What is peeled down to one facing has none to lose.
        per_area, lost = per_area - paper, lost - paper
        facings -= area - peeled
    layers = [
        (outline, per_area),
        *((hole, -per_area) for hole in holes),
        *((peel, -lost) for peel in peels if lost),
    ]
    weight = total(density * abs(signed_area(path)) for path, density in layers)
    where = None
    if isinstance(placement, Flat):
        where = _flat_centre(layers, weight, placement, stock.thickness)
    elif isinstance(placement, Rolled):
        where = _rolled_centre(layers, placement, stock)
    return MassProperties(area, weight if stock.areal_mass is not None else None, cut, where, facings)


def _flat_centre(
    layers: Sequence[tuple[Path, float]], weight: float, placement: Flat, thickness: float
) -> Vector:
    """Centre of gravity of a flat part, half its thickness behind the face that is drawn."""
    shares = [(density * abs(signed_area(path)) / weight, centroid(path)) for path, density in layers]
    middle = (total(share * at[0] for share, at in shares), total(share * at[1] for share, at in shares))
    x, y, z = in_space(placement, middle)
    (ux, uy, uz), (vx, vy, vz) = placement.u, placement.v
    back = thickness / 2
    return (
        x - back * (uy * vz - uz * vy),
        y - back * (uz * vx - ux * vz),
        z - back * (ux * vy - uy * vx),
    )


def _rolled_centre(layers: Sequence[tuple[Path, float]], placement: Rolled, stock: Stock) -> Vector:
    """Centre of gravity of a bent part, from the moments of its middle layer."""
    inward = (stock.neutral - 0.5) * stock.thickness * placement.slant / placement.length
    sums = [[density * value for value in bent_moments(path, placement, inward)] for path, density in layers]
    weight, along, top, right = (total(column) for column in zip(*sums, strict=True))
    up, side = top / weight, right / weight
    return about_axis(placement, along / weight, math.hypot(up, side), math.atan2(side, up))


@remembered(2048)
def bent_moments(path: Path, placement: Rolled, inward: float) -> Moments:
    """Moments of the area within a closed path once it is bent, on the layer `inward` mm nearer the axis than
    the drawn one.

    Measured across the axis; weights are positive whichever way the path runs.
    """
    m0 = placement.start_radius - inward
    m1 = (placement.end_radius - placement.start_radius) / placement.slant
    height, slant = placement.length, placement.slant
    terms: list[Moments] = []
    for q, turn, step in bent_around(canonical(path), placement):
        area = q * (m0 + m1 * q / 2)
        along = q * q * (m0 / 2 + m1 * q / 3) * height / slant
        radial = q * (m0 * m0 + m1 * q * (m0 + m1 * q / 3))
        terms.append(
            (area * step, along * step, radial * math.cos(turn) * step, radial * math.sin(turn) * step)
        )
    weight, along, top, right = (total(column) for column in zip(*terms, strict=True))
    sign = math.copysign(1.0, weight)
    return sign * weight, sign * along, sign * top, sign * right


def bent_around(path: Path, placement: Rolled) -> Iterator[tuple[float, float, float]]:
    """(q, turn, step of turn) at the quadrature points round a closed path."""
    unroll, turning = unroller(placement), _turning(placement)
    for piece in pieces(path):
        size = piece_length(piece)
        if not size:
            continue
        bend = abs(sweep_of(piece[2])) + abs(unroll(piece[0])[1] - unroll(piece[1])[1])
        stretches = max(1, ceil_safe(bend / 0.5))
        half = 0.5 / stretches
        trace = tracer(piece)
        for stretch in range(stretches):
            middle = (2 * stretch + 1) * half
            for place, weight in GAUSS:
                for share in (middle - half * place, middle + half * place):
                    point, tangent = trace(share)
                    q, turn = unroll(point)
                    yield q, turn, turning(point, tangent) * size * weight * half


def _turning(placement: Rolled) -> Callable[[Point, Point], float]:
    """How fast the turn grows at a point along a direction in the drawing, rad per mm."""
    way = math.copysign(1.0, placement.sweep)
    to_apex, radius = placement.to_apex, placement.start_radius
    if not to_apex:
        return lambda _, tangent: way * tangent[0] / radius

    def at(point: Point, tangent: Point) -> float:
        (x, y), (dx, dy) = point, tangent
        return way * (x * dy - y * dx) / (x * x + y * y) * to_apex / radius

    return at


def balance_point(masses: Sequence[tuple[float, Vector]]) -> Vector:
    """Centre of gravity of masses (g) at places (mm). GeometryError 'no-mass' where they weigh nothing
    together.
    """
    weight = total(mass for mass, _ in masses)
    if weight <= 0:
        raise GeometryError("no-mass", "nothing that has both a mass and a place: no balance point")
    x, y, z = (total(mass * at[axis] for mass, at in masses) / weight for axis in range(3))
    return x, y, z


def ballast(masses: Sequence[tuple[float, float]], target: float, at: float) -> float:
    """Mass in g which at x = `at` brings the balance point of (g, x in mm) to x = `target`.

    Below 0 where the balance point is already beyond the target on that side: none is needed there.
    GeometryError 'ballast-at-target' within 1 mm of it.
    """
    if abs(target - at) < 1:
        raise GeometryError(
            "ballast-at-target",
            f"ballast at {short(at, 1)} mm cannot move the balance point to {short(target, 1)} mm:"
            " it would lie there itself",
        )
    return total(mass * (x - target) for mass, x in masses) / (target - at)
