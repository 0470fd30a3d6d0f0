"""No kind: how the pieces of a side, a floor or a deck meet end to end: by a doubler inside, or by a scarf."""

from collections.abc import Iterator, Sequence
from itertools import pairwise
from typing import TYPE_CHECKING, NamedTuple

from ringwright.geometry.errors import GeometryError
from ringwright.geometry.part import Mark
from ringwright.geometry.path import Path, line
from ringwright.geometry.wrap.peel import zone_outline
from ringwright.geometry.wrap.sheet import Sheet
from ringwright.geometry.wrap.surface import Surface, part, thread_at, widths
from ringwright.lang.design.making import BUTT, SeamChoice

if TYPE_CHECKING:
    from ringwright.lang.components.tree import Component
    from ringwright.lang.design.making import Maker


class Joint(NamedTuple):
    """Where and how two pieces meet. at: width from the first thread of the whole sheet, mm. splice: what asks for it,
    None where the size of the sheet does.
    """

    at: float
    seam: SeamChoice
    splice: "Component | None" = None

    @property
    def reach(self) -> float:
        """How far its doubler or its tapers reach to either side, mm."""
        return self.seam.width / 2 if self.seam.kind in ("strap", "scarf") else 0.0

    @property
    def overlap(self) -> float:
        """How far one piece lies over the next, mm."""
        return self.seam.width if self.seam.kind == "scarf" else 0.0


Ends = tuple[SeamChoice, SeamChoice]
"""How the fore and the aft end of a piece are joined, an end of the whole by a butt."""


def evenly(surface: Surface, pieces: int, seam: SeamChoice) -> tuple[Joint, ...]:
    """Return the joints of a sheet in so many pieces of one length, nose first."""
    whole = widths(surface)[-1]
    return tuple(Joint(whole * k / pieces, seam) for k in range(1, pieces))


def cut(surface: Surface, joints: Sequence[Joint]) -> tuple[Surface, ...]:
    """Return the pieces of a sheet, nose first, each lying over the next by the length of a scarf, mm. Raises
    GeometryError.
    """
    if not joints:
        return (surface,)
    whole = widths(surface)[-1]
    stops = [Joint(0.0, BUTT), *joints, Joint(whole, BUTT)]
    if any(b.at - a.at <= a.reach + b.reach for a, b in pairwise(stops)):
        raise GeometryError("strip-too-wide", "the joints of a piece run into each other: make them shorter")
    return tuple(part(surface, a.at - a.overlap / 2, b.at + b.overlap / 2) for a, b in pairwise(stops))


def ends_of(joints: Sequence[Joint], piece: int) -> Ends:
    """Return how the two ends of a piece are joined, counted from 0."""
    return (
        joints[piece - 1].seam if piece > 0 else BUTT,
        joints[piece].seam if piece < len(joints) else BUTT,
    )


def joint_lines(sheet: Sheet, ends: Ends) -> Iterator[Mark]:
    """Yield where the doublers at the joined ends of a piece reach to, or where their tapers begin."""
    for (low, high), seam in _zones(sheet, ends):
        k, share = thread_at(sheet.surface, high if low == 0.0 else low)
        across = [
            (p[0] + share * (q[0] - p[0]), p[1] + share * (q[1] - p[1]))
            for p, q in zip(sheet.surface.flat[k], sheet.surface.flat[k + 1], strict=True)
        ]
        yield Mark(line([across[0], across[-1]]), "line", seam.kind)


def tapers(sheet: Sheet, ends: Ends) -> tuple[Path, ...]:
    """Return the areas of a piece of which a scarf leaves half."""
    return tuple(
        zone_outline(sheet.surface, zone) for zone, seam in _zones(sheet, ends) if seam.kind == "scarf"
    )


def _zones(sheet: Sheet, ends: Ends) -> Iterator[tuple[tuple[float, float], SeamChoice]]:
    """Yield from where to where the joint of each end reaches on a piece, widths from its first thread, and that joint."""
    whole = widths(sheet.surface)[-1]
    first_is_fore = sheet.surface.space[0][0][0] <= sheet.surface.space[-1][0][0]
    for is_fore, seam in zip((True, False), ends, strict=True):
        reach = {"strap": seam.width / 2, "scarf": seam.width}.get(seam.kind, 0.0)
        if reach:
            yield ((0.0, reach) if is_fore == first_is_fore else (whole - reach, whole)), seam


def said(maker: "Maker", ends: Ends) -> Iterator[str]:
    """Yield what a piece's label says of its joints: the piece before lies outside, so it loses its inside."""
    straps = [(end, seam) for end, seam in zip(("fore", "aft"), ends, strict=True) if seam.kind == "strap"]
    if len(straps) == 2 and ends[0] == ends[1]:
        yield f"joints on straps {maker.length(ends[0].width)}"
    elif len(straps) == 2:
        for end, seam in straps:
            yield f"{end} joint on a strap {maker.length(seam.width)}"
    elif straps:
        yield f"joint on a strap {maker.length(straps[0][1].width)}"
    for end, face, seam in zip(("fore", "aft"), ("outside", "inside"), ends, strict=True):
        if seam.kind == "scarf":
            yield f"scarf {maker.length(seam.width)} {end} end: taper the {face}"
