"""A curved profile as cones: where to join them, and how near they come."""

import math
from itertools import pairwise
from typing import NamedTuple

from ringwright.geometry.along import place_at
from ringwright.geometry.bow.course import Course, course, gaps, point_at, spot, steep
from ringwright.geometry.bow.joints import best_of_samples, polished, sample
from ringwright.geometry.bow.tube import nearest_joints
from ringwright.geometry.errors import GeometryError
from ringwright.geometry.meet import distance_to, share_on
from ringwright.geometry.numbers import rounded, short, snap
from ringwright.geometry.path import Path, Point, piece_length, piece_point

MOST = 60
"""More cones than that are no bow but a mistake."""

_PLACES = 6
_ROUNDING = 2e-6
"""What the rounding of joints alone can put between cones and profile, mm."""


class Bow(NamedTuple):
    """Cones in place of a profile.

    joints: (along, radius) of all rims from start to end, mm, one more than cones. inside, outside: how far
    the cones lie within the profile and without, at most, mm. across: whether that is measured across the wall
    (the profile leans by more than 60° somewhere) or along the radius.
    """

    joints: tuple[Point, ...]
    inside: float
    outside: float
    across: bool

    @property
    def number(self) -> int:
        """Number of cones."""
        return len(self.joints) - 1

    @property
    def deviation(self) -> float:
        """Greatest distance between cones and profile, mm."""
        return max(self.inside, self.outside)

    @property
    def sizes(self) -> tuple[tuple[float, float, float], ...]:
        """(start diameter, end diameter, length) of each cone, mm."""
        return tuple(
            (2 * r, 2 * q, b - a) for (a, r), (b, q) in zip(self.joints, self.joints[1:], strict=False)
        )


def cones(
    profile: Path,
    count: int | None = None,
    tolerance: float | None = None,
    nearest: bool = False,
    across: bool | None = None,
) -> Bow:
    """The cones that come nearest to a profile: `count` of them, or the fewest within `tolerance` mm of it.

    Joints lie on the profile, so that its diameters are the plan's; with `nearest` all but the two ends may
    leave it, which brings the cones closer by a third to a half. across: as in `Bow`; chosen by the profile
    where it is None.

    GeometryError 'no-size' unless there is one of count and tolerance, above 0; 'too-many' where more than 60
    cones are asked or needed; 'profile-too-winding' where joints off a profile that winds so cannot be found.
    """
    asked = [given for given in (count, tolerance) if given is not None]
    if len(asked) != 1 or not asked[0] > 0:
        raise GeometryError("no-size", "cones need a count of 1 or more, or a tolerance above 0")
    if count is not None and count > MOST:
        raise GeometryError("too-many", f"{count} cones: at most {MOST} make sense")
    way = course(profile, steep(profile) if across is None else across)
    best = math.inf
    runs = sample(way)
    samples = [point_at(way, run) for run in runs]
    for number, (rough, indices) in enumerate(best_of_samples(samples, way.across), 1):
        if number > MOST:
            break
        # Samples promise a little less than the joints between them keep.
        hopeful = tolerance is not None and rough <= (2 if nearest else 1.1) * tolerance
        if number == count or hopeful:
            limit, places = polished(way, [runs[index] for index in indices])
            made = _on(way, places)
            if nearest and number > 1:
                made = _off(way, number, limit) or made
            best = made.deviation
            if number == count or (tolerance is not None and snap(best) <= tolerance):
                return made
        else:
            best = rough
    raise GeometryError(
        "too-many",
        f"even {MOST} cones stay {short(best, 3)} mm from the profile: allow more than"
        f" {short(tolerance or 0.0, 3)} mm",
    )


def _on(way: Course, places: tuple[float, ...]) -> Bow:
    """Cones with their joints on the profile."""
    joints = [point_at(way, place) for place in places]
    return _measured(way, _tidy(joints), places)


def _off(way: Course, count: int, limit: float) -> Bow | None:
    """Cones with their joints off the profile; None where none is nearer than the limit."""
    runs = sample(way)
    points, tangents = [], []
    for run in runs:
        index, share = spot(way, run)
        point, tangent = piece_point(way.pieces[index], share)
        points.append(point)
        tangents.append(tangent)
    ux, uy = 1.0, 0.0
    if way.across:
        # Along the line from end to end no part of a nose stands square to it.
        dx, dy = points[-1][0] - points[0][0], points[-1][1] - points[0][1]
        ux, uy = dx / math.hypot(dx, dy), dy / math.hypot(dx, dy)
    middle = [(ux * x + uy * y, ux * y - uy * x) for x, y in points]
    if any(b[0] <= a[0] for a, b in pairwise(middle)):
        raise GeometryError(
            "profile-too-winding",
            "joints off this profile cannot be found: it winds too much; leave them on it, or split it",
        )
    normals = [(uy * tx - ux * ty, ux * tx + uy * ty) if way.across else (0.0, 1.0) for tx, ty in tangents]
    found = nearest_joints(middle, normals, count, limit)
    if found is None:
        return None
    joints = _tidy([(ux * x - uy * y, uy * x + ux * y) for x, y in found])
    if any(b[0] <= a[0] for a, b in pairwise(joints)) or min(r for _, r in joints) < 0:
        return None
    made = _measured(way, joints, tuple(_foot(way, joint) for joint in joints))
    return made if made.deviation < limit else None


def _tidy(joints: list[Point]) -> tuple[Point, ...]:
    return tuple((rounded(x, _PLACES), rounded(r, _PLACES)) for x, r in joints)


def _measured(way: Course, joints: tuple[Point, ...], places: tuple[float, ...]) -> Bow:
    """Cones through joints, with their distances from the profile; places: where on it each joint belongs."""
    low = high = 0.0
    for a, b, first, last in zip(joints, joints[1:], places, places[1:], strict=False):
        least, most = gaps(way, a, b, first, last)
        low, high = min(low, least), max(high, most)
    if way.across:
        for joint, place in zip(joints, places, strict=True):
            x, r = point_at(way, place)
            away = math.dist(joint, (x, r))
            low, high = (min(low, -away), high) if joint[1] > r else (low, max(high, away))
    inside, outside = (rounded(off, _PLACES) if off > _ROUNDING else 0.0 for off in (high, -low))
    return Bow(joints, inside, outside, way.across)


def _foot(way: Course, joint: Point) -> float:
    """Length along the profile at which a joint belongs: beside it across the wall, or at its place along the
    axis.
    """
    if way.across:
        index = min(range(len(way.pieces)), key=lambda i: (snap(distance_to(way.pieces[i], joint)), i))
        share = min(1.0, max(0.0, share_on(way.pieces[index], joint)))
    else:
        points = tuple(piece[0] for piece in way.pieces) + (way.pieces[-1][1],)
        index, share = place_at(Path(points, tuple(piece[2] for piece in way.pieces), False), joint[0])
    return way.runs[index] + share * piece_length(way.pieces[index])
