"""Both halves of a section measured: the half between them, and where they differ."""

import math
from collections.abc import Iterable, Sequence
from typing import NamedTuple

from ringwright.geometry import outline
from ringwright.geometry.errors import GeometryError
from ringwright.geometry.numbers import finite, short, snap
from ringwright.geometry.outline import CENTRE_LINE
from ringwright.geometry.path import Path, Point


class Halves(NamedTuple):
    """The mean of two measured halves.

    half: its right side from top to bottom, mm. differences: how far each right point lies from its mirrored
    left one, mm; worst: the greatest; worst_point: its index in the half.
    """

    half: tuple[Point, ...]
    differences: tuple[float, ...]
    worst: float
    worst_point: int

    @property
    def where(self) -> Point:
        """The point of the mean half at which both differ most."""
        return self.half[self.worst_point]

    def outline(self, corners: Iterable[int] = (), straight: bool = False) -> Path:
        """The mean half mirrored: a smooth line through it, which breaks at `corners`, or straight ones.

        GeometryErrors as `outline.half_curve`.
        """
        return outline.half(self.half) if straight else outline.half_curve(self.half, corners)


def paired(points: Sequence[Point]) -> tuple[tuple[Point, Point], ...]:
    """The (left, right) pairs of a list that names them in turn from top to bottom, mm.

    A point within 0.25 mm of the centre line stands for both, unless its neighbour in the list is on it, too.
    GeometryError 'halves-do-not-pair' naming the point without a partner.
    """
    pairs: list[tuple[Point, Point]] = []
    index = 0
    while index < len(points):
        left = points[index]
        right = points[index + 1] if index + 1 < len(points) else None
        centred = abs(left[0]) < CENTRE_LINE
        if centred and (right is None or abs(right[0]) >= CENTRE_LINE):
            pairs.append((left, left))
            index += 1
            continue
        if right is None or (not centred and abs(right[0]) < CENTRE_LINE):
            raise GeometryError(
                "halves-do-not-pair",
                f"{_named(left)} has no partner: list the left and the right point of each height in turn",
            )
        pairs.append((left, right))
        index += 2
    return tuple(pairs)


def both(pairs: Sequence[tuple[Point, Point]]) -> Halves:
    """The mean of the (left, right) points of a section from top to bottom: y half their distance, z their mean.

    GeometryError 'too-few-points' under two, 'halves-do-not-pair' where a left point lies to the right, or a right
    one to the left, by 0.25 mm or more.
    """
    if len(pairs) < 2:
        raise GeometryError("too-few-points", "an outline needs two pairs of points or more")
    half: list[Point] = []
    differences: list[float] = []
    for (ly, lz), (ry, rz) in pairs:
        for value in (ly, lz, ry, rz):
            finite(value, "a measured point")
        if ly >= CENTRE_LINE or ry <= -CENTRE_LINE:
            wrong, side = ((ly, lz), "left") if ly >= CENTRE_LINE else ((ry, rz), "right")
            raise GeometryError(
                "halves-do-not-pair",
                f"{_named(wrong)} is listed as a {side} point but lies on the other side of the centre line",
            )
        half.append((max(0.0, (ry - ly) / 2), (lz + rz) / 2))
        differences.append(0.0 if (ly, lz) == (ry, rz) else math.hypot(ry + ly, rz - lz))
    worst = max(range(len(half)), key=lambda i: (snap(differences[i]), -i))
    return Halves(tuple(half), tuple(differences), differences[worst], worst)


def _named(point: Point) -> str:
    return f"({short(point[0], 2)}, {short(point[1], 2)})"
