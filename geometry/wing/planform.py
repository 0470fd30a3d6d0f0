"""The stations of a wing, tail or fin, the straight panels between them, and where both lie in space.

A surface has a frame of its own: X along the root's chord, Y out along the span, Z to the upper side. A station is a
section at a Y; between two neighbours everything runs straight. A panel that rises is square to its own line, so its
sections lean; where two panels meet at an angle they meet in the plane midway, the joint.
"""

import math
from collections.abc import Sequence
from itertools import pairwise
from typing import NamedTuple

from ringwright.geometry.numbers import total
from ringwright.geometry.part import Flat, Vector
from ringwright.geometry.path import Point
from ringwright.geometry.place import in_space
from ringwright.geometry.wing.profile import Profile, blended
from ringwright.geometry.wrap.vector import cross, plus, times

LEVEL = 1e-7
"""Angles nearer than this are one, rad."""


def upwards(lean: float) -> Vector:
    """The way up in a plane that leans so from upright, rad: square to a panel where it leans by its rise."""
    return 0.0, 0.0 - math.sin(lean), math.cos(lean)


def outwards(lean: float) -> Vector:
    """The way out of such a plane: along a panel's own line where it leans by its rise."""
    return 0.0, math.cos(lean), math.sin(lean)


class Station(NamedTuple):
    """A section of a surface.

    name: as the text calls it. y: out from the root, mm, as it flies. chord: mm. back: of its leading edge behind the
    root's, mm. up: of its leading edge over the root's, mm. twist: rad, nose up above 0. profile: None for a flat plate.
    """

    name: str
    y: float
    chord: float
    back: float
    up: float
    twist: float
    profile: Profile | None = None


class Panel(NamedTuple):
    """What lies between two neighbouring stations. lean_in, lean_out: of the planes that it ends in, rad from upright."""

    inner: Station
    outer: Station
    lean_in: float
    lean_out: float

    @property
    def rise(self) -> float:
        """Its dihedral, rad."""
        return math.atan2(self.outer.up - self.inner.up, self.outer.y - self.inner.y)

    @property
    def long(self) -> float:
        """Its length along its own line, mm."""
        return math.hypot(self.outer.y - self.inner.y, self.outer.up - self.inner.up)


class Mount(NamedTuple):
    """Where a surface's frame sits in the aircraft: its origin, the root's leading edge, and its three unit vectors."""

    origin: Vector
    x: Vector
    y: Vector
    z: Vector

    def at(self, place: Vector) -> Vector:
        """Place in the aircraft of a place in the surface's frame."""
        return plus(self.origin, self.way(place))

    def way(self, along: Vector) -> Vector:
        """Direction in the aircraft of a direction in the surface's frame."""
        a, b, c = along
        return (
            a * self.x[0] + b * self.y[0] + c * self.z[0],
            a * self.x[1] + b * self.y[1] + c * self.z[1],
            a * self.x[2] + b * self.y[2] + c * self.z[2],
        )


def level(origin: Vector, incidence: float = 0.0) -> Mount:
    """Mount of a wing's right half: Y to starboard, set at an incidence (rad, nose up) about its root's leading edge."""
    cos, sin = math.cos(incidence), math.sin(incidence)
    return Mount(origin, (cos, 0.0, 0.0 - sin), (0.0, 1.0, 0.0), (sin, 0.0, cos))


def upright(origin: Vector) -> Mount:
    """Mount of a fin: Y up, its upper side to port."""
    return Mount(origin, (1.0, 0.0, 0.0), (0.0, 0.0, 1.0), (0.0, -1.0, 0.0))


def panels(stations: Sequence[Station], meets_itself: bool) -> tuple[Panel, ...]:
    """The panels between stations, root first. meets_itself: at the root it meets its own mirror image."""
    plain = [Panel(a, b, 0.0, 0.0) for a, b in pairwise(stations)]
    rises = [panel.rise for panel in plain]
    leans = [
        0.0 if meets_itself else rises[0],
        *((a + b) / 2 for a, b in pairwise(rises)),
        rises[-1],
    ]
    return tuple(
        panel._replace(lean_in=low, lean_out=high)
        for panel, (low, high) in zip(plain, pairwise(leans), strict=True)
    )


def straight(of: Sequence[Panel]) -> tuple[tuple[Panel, ...], ...]:
    """The panels in runs of one dihedral, each of which can be built flat, root first."""
    runs: list[list[Panel]] = []
    for panel in of:
        if runs and abs(runs[-1][-1].rise - panel.rise) < 1e-6:
            runs[-1].append(panel)
        else:
            runs.append([panel])
    return tuple(map(tuple, runs))


def at(of: Sequence[Panel], y: float) -> tuple[Panel, float]:
    """The panel at a place out from the root, mm as it flies, and the distance along its line from its inner end."""
    panel = next((p for p in of if y <= p.outer.y + 1e-9), of[-1])
    return panel, (y - panel.inner.y) * panel.long / (panel.outer.y - panel.inner.y)


def station_at(panel: Panel, along: float) -> Station:
    """The section of a panel at a distance along its line, mm."""
    share = along / panel.long
    a, b = panel.inner, panel.outer

    def between(low: float, high: float) -> float:
        return low + share * (high - low)

    chord = between(a.chord, b.chord)
    profile = a.profile
    if a.profile is not None and b.profile is not None and a.profile != b.profile:
        # Straight lines join like places of both sections: in the smaller one's share of the chord.
        profile = blended(a.profile, b.profile, share * b.chord / chord)
    return Station(
        "", between(a.y, b.y), chord, between(a.back, b.back), between(a.up, b.up), between(a.twist, b.twist), profile
    )  # fmt: skip


def between(panel: Panel, low: float, high: float) -> Panel:
    """The part of a panel between two distances along its line, mm; where it is cut, it is cut square."""
    ends = [(low, panel.inner, panel.lean_in), (high, panel.outer, panel.lean_out)]
    found = []
    for along, station, lean in ends:
        whole = along <= 1e-9 if station is panel.inner else along >= panel.long - 1e-9
        found.append((station, lean) if whole else (station_at(panel, along), panel.rise))
    (inner, lean_in), (outer, lean_out) = found
    return Panel(inner, outer, lean_in, lean_out)


class Slice(NamedTuple):
    """A plane through a panel: where its section's drawing lies in the surface's frame, and how that is stretched.

    flat: of the drawing, x along the chord from the leading edge, y to the upper side. lean: of the plane, rad from
    upright. stretch: of heights in the plane, over those square to the panel.
    """

    station: Station
    flat: Flat
    lean: float
    stretch: float

    def drawn(self, point: Point) -> Point:
        """A point of the section, square to the panel, in this plane's drawing."""
        if self.stretch == 1.0:
            return point
        cos, sin = math.cos(self.station.twist), math.sin(self.station.twist)
        x, z = point[0] * cos + point[1] * sin, (point[1] * cos - point[0] * sin) * self.stretch
        return x * cos - z * sin, x * sin + z * cos


def sliced(panel: Panel, along: float, lean: float | None = None) -> Slice:
    """A panel cut at a distance along its line, mm, by a plane that leans so (square to the panel where None)."""
    here = station_at(panel, along)
    tilt = panel.rise if lean is None else lean
    up = upwards(tilt)
    cos, sin = math.cos(here.twist), math.sin(here.twist)
    u = (cos, 0.0 - sin * up[1], 0.0 - sin * up[2])
    v = (sin, cos * up[1], cos * up[2])
    off = abs(tilt - panel.rise)
    stretch = 1.0 if off < LEVEL else 1 / math.cos(off)
    return Slice(here, Flat((here.back, here.y, here.up), u, v), tilt, stretch)


def in_frame(flat: Flat, point: Point, off: float = 0.0) -> Vector:
    """Place in the surface's frame of a point of a drawing; off: mm along u × v from the drawing's plane."""
    return plus(in_space(flat, point), times(cross(flat.u, flat.v), off))


def mounted(mount: Mount, flat: Flat, off: float = 0.0) -> Flat:
    """A drawing's place in the aircraft; off: mm that it is moved along u × v."""
    return Flat(mount.at(in_frame(flat, (0.0, 0.0), off)), mount.way(flat.u), mount.way(flat.v))


class Planform(NamedTuple):
    """What is reckoned of a surface's outline as seen square to it: one half, mm and mm2.

    mean_chord: the aerodynamic one, (2/S) ∫ c² dy over the half; mean_chord_back: of its leading edge behind the root's;
    mean_chord_y: how far out it lies.
    """

    area: float
    mean_chord: float
    mean_chord_back: float
    mean_chord_y: float


def planform(stations: Sequence[Station]) -> Planform:
    """Area and mean aerodynamic chord of one half: exact, as all runs straight between stations."""
    pairs = list(pairwise(stations))
    area = total((b.y - a.y) * (a.chord + b.chord) / 2 for a, b in pairs)

    def mean(first: Sequence[float]) -> float:
        """∫ c f dy / area, f given at the stations."""
        return (
            total(
                (b.y - a.y) * (2 * a.chord * f + a.chord * g + b.chord * f + 2 * b.chord * g) / 6
                for (a, b), (f, g) in zip(pairs, pairwise(first), strict=True)
            )
            / area
        )

    return Planform(
        area,
        mean([s.chord for s in stations]),
        mean([s.back for s in stations]),
        mean([s.y for s in stations]),
    )
