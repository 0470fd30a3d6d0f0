"""Ribs: a section less the skins that lie on it, cut off for edge stock and control surfaces, with its slots.

Drawn in the rib's plane, square to its panel: x along the chord from the leading edge, y to the upper side.
"""

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, NamedTuple

from ringwright.geometry.curve import thinned
from ringwright.geometry.errors import GeometryError
from ringwright.geometry.numbers import short
from ringwright.geometry.path import Path, Point, canonical, closed
from ringwright.geometry.remember import remembered

if TYPE_CHECKING:
    from shapely import Polygon

THINNEST = 0.8
"""Where a rib's tail is thinner it is cut off, mm. Our choice: no tool cuts it, and no glue holds it."""

SHORTEST = 10.0
"""A section that is shorter holds no rib, mm. Our choice."""

_CHORDS = 0.01
_ARC = 32


class Body(NamedTuple):
    """What is left inside a section's skins. shape: a polygon of shapely's, in the section's drawing, mm."""

    shape: "Polygon"

    @property
    def ends(self) -> Point:
        """Where it begins and ends along the chord, mm."""
        low, _, high, _ = self.shape.bounds
        return float(low), float(high)

    def heights(self, start: float, end: float) -> Point | None:
        """The lowest and the highest place of a bar between two places along the chord; None where it stands out."""
        found = [self._at(x) for x in (start, (start + end) / 2, end)]
        known = [pair for pair in found if pair is not None]
        if len(known) < len(found):
            return None
        return max(low for low, _ in known), min(high for _, high in known)

    def seen(self, place: Callable[[float, float], Point]) -> "Body":
        """The same where each of its places is somewhere else."""
        from shapely import Polygon

        return Body(Polygon([place(float(x), float(y)) for x, y in self.shape.exterior.coords]))

    def _at(self, x: float) -> Point | None:
        from shapely import LineString

        _, low, _, high = self.shape.bounds
        line = self.shape.intersection(LineString([(x, low - 1.0), (x, high + 1.0)]))
        if line.is_empty or line.length <= 0:
            return None
        bottom, top = line.bounds[1], line.bounds[3]
        return float(bottom), float(top)


@remembered(128)
def body(
    around: Sequence[Point], covers: Sequence[Sequence[Point]], thickness: float, start: float, end: float
) -> Body:
    """What skins of a thickness, mm, leave of a section, from one place along its chord to another, mm.

    around: the section's points, going round from the upper trailing edge. covers: the lines that skins lie on. The tail
    ends where it grows too thin. GeometryError 'skin-too-thick'.
    """
    from shapely import LineString, Polygon, box

    _check_size(around)
    shape = Polygon(around).buffer(0)
    whole = shape.bounds
    for cover in covers:
        if thickness > 0:
            shape = shape.difference(LineString(cover).buffer(thickness, quad_segs=_ARC))
    shape = _largest(shape)
    if shape is None:
        raise GeometryError(
            "skin-too-thick",
            f"nothing is left inside the skins here: the section is {short(whole[3] - whole[1], 2)} mm deep, and"
            f" {'each' if len(covers) > 1 or _is_around(covers, around) else 'the'} skin {short(thickness, 2)} mm thick",
        )
    shape = _largest(shape.intersection(box(start, whole[1] - 1.0, end, whole[3] + 1.0)))
    if shape is None or shape.bounds[2] - shape.bounds[0] < THINNEST:
        raise GeometryError(
            "no-size",
            f"nothing is left of the section here between {short(start, 2)} and {short(end, 2)} mm behind its leading edge",
        )
    found = Body(shape)
    tail = _tail(found)
    low, _, high, _ = shape.bounds
    if tail < high - 1e-6:
        cut = _largest(shape.intersection(box(low - 1.0, whole[1] - 1.0, tail, whole[3] + 1.0)))
        return Body(cut) if cut is not None else found
    return found


def common(bodies: Sequence[Body]) -> Body:
    """What several bodies have in common."""
    shape = bodies[0].shape
    for other in bodies[1:]:
        kept = _largest(shape.intersection(other.shape))
        shape = shape if kept is None else kept
    return Body(shape)


def _check_size(around: Sequence[Point]) -> None:
    """Refuse a section that is too small to cut. GeometryError 'no-size'."""
    long = max(x for x, _ in around) - min(x for x, _ in around)
    if long < SHORTEST:
        raise GeometryError(
            "no-size",
            f"a section {short(long, 2)} mm long holds no rib: let the ribs end further in, or give the tip a chord",
        )


def _is_around(covers: Sequence[Sequence[Point]], around: Sequence[Point]) -> bool:
    return any(len(cover) == len(around) for cover in covers)


def _tail(of: Body) -> float:
    """Where it begins to be thinner than can be cut, towards its tail."""
    low, high = of.ends
    start = low + 0.5 * (high - low)

    def deep(x: float) -> float:
        pair = of.heights(x, x)
        return 0.0 if pair is None else pair[1] - pair[0]

    if deep(high - 1e-6) >= THINNEST or deep(start) < THINNEST:
        return high
    for _ in range(40):
        middle = (start + high) / 2
        start, high = (middle, high) if deep(middle) >= THINNEST else (start, middle)
    return start


def _largest(shape) -> "Polygon | None":  # type: ignore[no-untyped-def]
    kept = [p for p in getattr(shape, "geoms", [shape]) if p.geom_type == "Polygon" and p.area > 0.01]
    return max(kept, key=lambda p: (round(p.area, 6), -p.bounds[0])) if kept else None


class Notch(NamedTuple):
    """A slot: from one place along the chord to another, and from one height to another, mm."""

    start: float
    end: float
    low: float
    high: float


class Cut(NamedTuple):
    """A rib with its slots cut: its outline, and the slots that lie within it."""

    outline: Path
    holes: tuple[Path, ...]


def cut(of: Body, notches: Sequence[Notch]) -> Cut:
    """A rib with slots. GeometryError 'apart' where they cut it in pieces."""
    from shapely import Polygon, box

    shape = of.shape
    for notch in notches:
        shape = shape.difference(box(notch.start, notch.low, notch.end, notch.high))
    kept = [p for p in getattr(shape, "geoms", [shape]) if p.geom_type == "Polygon" and p.area > 1.0]
    if len(kept) != 1:
        raise GeometryError(
            "apart", "the slots cut this rib in pieces: make them shallower, or move them apart"
        )
    whole: Polygon = kept[0]
    return Cut(outline_of(whole.exterior.coords), tuple(outline_of(hole.coords) for hole in whole.interiors))


def outline_of(points: Sequence[Point]) -> Path:
    """A canonical outline through points, without those that it does not need within 0.01 mm."""
    ring = [(float(x), float(y)) for x, y in points]
    if ring[0] == ring[-1]:
        ring.pop()
    first = min(range(len(ring)), key=lambda k: ring[k])
    ring = [*ring[first:], *ring[:first], ring[first]]
    return canonical(closed([ring[k] for k in thinned(ring, _CHORDS)]))
