"""The flat blank of a ring, in one piece or several, with its seam.

Drawn inside up, on the neutral layer. A cone's blank has its apex at the origin and lies symmetric about +y;
a barrel's has its lower left corner at the origin, x along the circumference, y from the start rim to the end
rim. The seam's strip stands on the edge where the blank ends: at the end of the angle (anticlockwise), at the
end of the length.
"""

import math
from typing import NamedTuple

from ringwright.geometry.errors import GeometryError
from ringwright.geometry.numbers import short
from ringwright.geometry.path import Path, Point, bounds, bulge_of, canonical, closed, line, turned
from ringwright.geometry.remember import remembered
from ringwright.geometry.ring import Ring

FLAP_TRIM = 1.0
"""How far a flap keeps back from the rims at its free corners, mm, so that it does not show. Our choice."""

MOST_PIECES = 24


class Seam(NamedTuple):
    """How a ring closes. kind: 'butt', 'lap', 'flap' or 'strap'; width: of its strip, mm, 0 for a butt."""

    kind: str
    width: float = 0.0

    @property
    def strip(self) -> float:
        """Width of sheet added to each piece."""
        return self.width if self.kind in ("lap", "flap") else 0.0


class Blank(NamedTuple):
    """One piece of a ring's blank; all pieces are alike.

    pieces: how many make the ring. outline: with the seam's strip. far: where the sheet runs on past the
    seam, cut to the far paper. peels: the strip, whose foam goes. strap: outline of the strap, a part of its
    own, or None. first_edge, last_edge: the straight edges on the neutral layer, start rim first.
    """

    ring: Ring
    seam: Seam
    pieces: int
    outline: Path
    far: tuple[Path, ...]
    peels: tuple[Path, ...]
    strap: Path | None
    first_edge: tuple[Point, Point]
    last_edge: tuple[Point, Point]

    @property
    def start_edge(self) -> float:
        """Length of the start rim of one piece as drawn, mm, without the strip."""
        return 2 * math.pi * self.ring.start_neutral / self.pieces

    @property
    def end_edge(self) -> float:
        """Length of the end rim of one piece as drawn, mm, without the strip."""
        return 2 * math.pi * self.ring.end_neutral / self.pieces


class Room(NamedTuple):
    """Sheet that a piece must fit: width and height as bought, and the margin kept free all round, mm."""

    width: float
    height: float
    margin: float = 0.0


def angle_with_strip(made: Ring, seam: Seam) -> float:
    """Angle of a cone's blank in one piece with its strip, rad, taken at the inner arc where it is widest; 0
    for a barrel.
    """
    if made.blank_angle is None or made.blank_inner_radius is None:
        return 0.0
    return made.blank_angle + seam.strip / made.blank_inner_radius


def blank(made: Ring, seam: Seam, pieces: int | None = None, room: Room | None = None) -> Blank:
    """Blank of a ring in so many pieces, or in the fewest that fit the room at some turn (tried every ¼°).

    Blanks that would overlap themselves are split whatever fits. GeometryError 'sheet-too-small',
    'too-few-pieces', 'seam-too-wide'.
    """
    if seam.strip < 0 or seam.strip > 0.5 * 2 * math.pi * min(made.start_neutral, made.end_neutral):
        raise GeometryError(
            "seam-too-wide", f"a seam {short(seam.width, 2)} mm wide goes over half way round"
        )
    least = _least_pieces(made, seam)
    if pieces is not None:
        if pieces < least:
            raise GeometryError(
                "too-few-pieces",
                f"in {pieces} the blank would overlap itself: it needs {least} pieces at least",
            )
        return _piece(made, seam, pieces)
    for count in range(least, MOST_PIECES + 1):
        made_piece = _piece(made, seam, count)
        if room is None or fits(made_piece.outline, room):
            return made_piece
    raise GeometryError(
        "sheet-too-small",
        f"not even {MOST_PIECES} pieces of this ring fit a sheet of {_size(room)}:"
        f" its slant is {short(made.slant, 1)} mm",
    )


def _size(room: Room | None) -> str:
    return f"{short(room.width, 1)} by {short(room.height, 1)} mm" if room else "any size"


def _least_pieces(made: Ring, seam: Seam) -> int:
    """Fewest pieces that do not overlap themselves in the flat."""
    if made.blank_angle is None or made.blank_inner_radius is None:
        return 1
    count = 1
    while made.blank_angle / count + seam.strip / made.blank_inner_radius > 2 * math.pi - 1e-9:
        count += 1
    return count


@remembered(512)
def fits(outline: Path, room: Room) -> bool:
    """Whether an outline fits the room at some turn, in steps of ¼°; exact with arcs."""
    wide, high = room.width - 2 * room.margin + 1e-9, room.height - 2 * room.margin + 1e-9
    for step in range(720):
        left, low, right, top = bounds(turned(outline, math.radians(step / 4)))
        if right - left <= wide and top - low <= high:
            return True
    return False


def _piece(made: Ring, seam: Seam, pieces: int) -> Blank:
    if made.is_cone:
        return _cone_piece(made, seam, pieces)
    return _barrel_piece(made, seam, pieces)


def _strap(made: Ring, seam: Seam) -> Path | None:
    if seam.kind != "strap":
        return None
    width, high = seam.width, made.slant
    return canonical(closed([(0.0, 0.0), (width, 0.0), (width, high), (0.0, high)]))


def _cone_piece(made: Ring, seam: Seam, pieces: int) -> Blank:
    inner, outer, angle = made.blank_inner_radius, made.blank_outer_radius, made.blank_angle
    assert inner is not None
    assert outer is not None
    assert angle is not None
    half = angle / pieces / 2
    width = seam.strip
    sin, cos = math.sin(half), math.cos(half)

    def on_edge(along: float, beyond: float = 0.0) -> Point:
        """A point of the last edge so far from the apex, or so far beyond it."""
        return -along * sin - beyond * cos, along * cos - beyond * sin

    def rim_end(radius: float) -> tuple[Point, float]:
        """Where a lap leaves a rim and how much further the rim runs: on the next piece's own rim if it
        reaches it.
        """
        along = math.sqrt(radius * radius - width * width) if radius > width else radius
        return on_edge(along, width), math.atan2(width, along) if radius > width else 0.0

    first = ((inner * sin, inner * cos), (outer * sin, outer * cos))
    last = (on_edge(inner), on_edge(outer))
    far: tuple[Path, ...] = ()
    peels: tuple[Path, ...] = ()
    strip: list[Point] = [last[1], last[0]]
    more_out = more_in = 0.0
    if seam.kind == "lap" and width:
        (high_end, more_out), (low_end, more_in) = rim_end(outer), rim_end(inner)
        strip = [high_end, low_end] if more_in else [high_end, low_end, last[0]]
    elif seam.kind == "flap" and width:
        low, high = inner + FLAP_TRIM, math.sqrt(max(0.0, outer * outer - width * width)) - FLAP_TRIM
        if high <= low:
            raise GeometryError(
                "seam-too-wide", f"a flap {short(width, 2)} mm wide does not fit between the rims"
            )
        strip = [last[1], on_edge(high, width), on_edge(low, width), last[0]]
        far, peels = (line(last),), (canonical(closed(strip)),)
    straight = [0.0] * (len(strip) - 1)
    bulges = [0.0, bulge_of(2 * half + more_out), *straight, -bulge_of(2 * half + more_in)]
    outline = Path((*first, *strip), tuple(bulges), True)
    if made.start > made.end:
        first, last = first[::-1], last[::-1]
    return Blank(made, seam, pieces, canonical(outline), far, peels, _strap(made, seam), first, last)


def _barrel_piece(made: Ring, seam: Seam, pieces: int) -> Blank:
    assert made.blank_length is not None
    along, high, width = made.blank_length / pieces, made.slant, seam.strip
    first, last = ((0.0, 0.0), (0.0, high)), ((along, 0.0), (along, high))
    far: tuple[Path, ...] = ()
    peels: tuple[Path, ...] = ()
    right: list[Point] = list(last)
    if seam.kind == "lap" and width:
        right = [(along + width, 0.0), (along + width, high)]
    elif seam.kind == "flap" and width:
        if high <= 2 * FLAP_TRIM:
            raise GeometryError("seam-too-wide", f"a flap does not fit a ring {short(high, 2)} mm long")
        strip = [last[0], (along + width, FLAP_TRIM), (along + width, high - FLAP_TRIM), last[1]]
        right, far, peels = strip, (line(last),), (canonical(closed(strip)),)
    outline = canonical(closed([first[0], *right, first[1]]))
    return Blank(made, seam, pieces, outline, far, peels, _strap(made, seam), first, last)
