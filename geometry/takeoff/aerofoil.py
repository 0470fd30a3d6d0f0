"""An aerofoil at its chord: outline, both surfaces, and what a wing asks of them. All mm.

x runs aft from the leading edge of the chord line, y up. A cambered section may reach a little ahead of x = 0:
its foremost point is the leading edge of the outline.
"""

import math
from typing import NamedTuple

from ringwright.geometry.along import cut, height_at, turns_back
from ringwright.geometry.crossing import simple
from ringwright.geometry.errors import GeometryError
from ringwright.geometry.numbers import finite, short
from ringwright.geometry.path import (
    Path,
    Piece,
    Point,
    bounds,
    canonical,
    piece_point,
    pieces,
    reversed_path,
    sweep_of,
)
from ringwright.geometry.remember import remembered


class Aerofoil(NamedTuple):
    """One section at its chord.

    name: as given. outline: canonical. upper, lower: open lines from the leading edge aft. trailing_edge: its
    thickness. notes: sentences about what was mended in a text.
    """

    name: str
    chord: float
    outline: Path
    upper: Path
    lower: Path
    trailing_edge: float
    notes: tuple[str, ...] = ()

    @property
    def leading_edge(self) -> Point:
        """The foremost point."""
        return self.upper.points[0]


class Heights(NamedTuple):
    """The two surfaces at one place, mm: upper and lower y, what is between, and the middle (the camber)."""

    upper: float
    lower: float

    @property
    def thickness(self) -> float:
        """From surface to surface, square to the chord line."""
        return self.upper - self.lower

    @property
    def camber(self) -> float:
        """Height of the middle over the chord line."""
        return (self.upper + self.lower) / 2


def heights_at(section: Aerofoil, x: float) -> Heights:
    """Both surfaces of a section at x mm aft of its chord's leading edge. GeometryError 'beyond-line' where it has
    none.
    """
    return Heights(_height(section.upper, x), _height(section.lower, x))


def _height(surface: Path, x: float) -> float:
    # A cambered section's surfaces end a little apart: the shorter one is its own end there.
    last = surface.points[-1]
    return (
        last[1]
        if last[0] < x <= last[0] + 0.01 * (last[0] - surface.points[0][0])
        else height_at(surface, x)[0]
    )


def thickest(section: Aerofoil) -> tuple[float, float]:
    """Where a section is thickest, x mm, and how thick it is there, within 1e-4 of its chord."""
    first, last = section.leading_edge[0], min(section.upper.points[-1][0], section.lower.points[-1][0])
    low, high = first, last
    best = low
    for _ in range(5):
        steps = [low + (high - low) * k / 40 for k in range(41)]
        best = max(steps, key=lambda x: (heights_at(section, x).thickness, -x))
        low, high = max(first, best - (high - low) / 20), min(last, best + (high - low) / 20)
    return best, heights_at(section, best).thickness


@remembered(32)
def section_of(name: str, chord: float, around: Path, notes: tuple[str, ...] = ()) -> Aerofoil:
    """Section from an open line that runs from the trailing edge over the top to the front and back below, mm.

    GeometryError 'no-size' for a chord that is none; 'not-an-aerofoil' where a surface turns back or the lower
    passes the upper.
    """
    finite(chord, "a chord")
    start, end = around.points[0], around.points[-1]
    blunt = abs(start[1] - end[1])
    sharp = blunt < 1e-6 and abs(start[0] - end[0]) < 1e-6
    if sharp:
        closed = Path(around.points[:-1], around.bulges, True)
    else:
        closed = Path(around.points, (*around.bulges, 0.0), True)
    upper, lower = _split(around)
    for surface, side in ((upper, "upper"), (lower, "lower")):
        back = turns_back(surface)
        if back is not None:
            raise GeometryError(
                "not-an-aerofoil",
                f"the {side} surface of {name} turns back {short(back[0], 2)} mm aft of the leading edge",
            )
    made = Aerofoil(name, chord, canonical(simple(closed)), upper, lower, 0.0 if sharp else blunt, notes)
    last = min(upper.points[-1][0], lower.points[-1][0])
    for k in range(1, 200):
        x = made.leading_edge[0] + (last - made.leading_edge[0]) * k / 200
        if heights_at(made, x).thickness <= 0:
            raise GeometryError(
                "not-an-aerofoil",
                f"the lower surface of {name} passes the upper {short(x, 2)} mm aft of its leading edge",
            )
    return made


def _split(around: Path) -> tuple[Path, Path]:
    """Upper and lower surface from the foremost point aft."""
    every = list(pieces(around))
    front = bounds(around)[0]
    upper: list[Piece] = []
    for index, piece in enumerate(every):
        least = bounds(Path((piece[0], piece[1]), (piece[2],), False))[0]
        if least <= front + 1e-12:
            share = _foremost(piece)
            parts = [cut(piece, 0.0, share), cut(piece, share, 1.0)]
            upper.extend(part for part in parts[:1] if share > 1e-9)
            below = [part for part in parts[1:] if share < 1 - 1e-9] + every[index + 1 :]
            return reversed_path(_joined(upper)), _joined(below)
        upper.append(piece)
    raise GeometryError("not-an-aerofoil", "this outline has no front")


def _foremost(piece: Piece) -> float:
    """Share of a piece's length at which it reaches furthest forward."""
    if not piece[2]:
        return 0.0 if piece[0][0] <= piece[1][0] else 1.0
    # where its tangent stands straight across x, if it does within the piece
    (ax, ay), (bx, _) = piece_point(piece, 0.0)[1], piece_point(piece, 1.0)[1]
    if ax * bx >= 0:
        return 0.0 if piece[0][0] <= piece[1][0] else 1.0
    turn = math.atan2(-ax, -ay) if piece[2] > 0 else math.atan2(ax, ay)
    return abs(turn / sweep_of(piece[2]))


def _joined(parts: list[Piece]) -> Path:
    return Path(tuple(part[0] for part in parts) + (parts[-1][1],), tuple(part[2] for part in parts), False)
