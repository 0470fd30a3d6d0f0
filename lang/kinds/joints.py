"""No kind: how the pieces of a side, a floor or a deck meet end to end: by a doubler inside, or by a scarf."""

from collections.abc import Iterator
from typing import TYPE_CHECKING

from ringwright.geometry.errors import GeometryError
from ringwright.geometry.part import Mark
from ringwright.geometry.path import Path, line
from ringwright.geometry.wrap.peel import zone_outline
from ringwright.geometry.wrap.sheet import Sheet
from ringwright.geometry.wrap.surface import Surface, part, thread_at, widths
from ringwright.lang.design.making import SeamChoice

if TYPE_CHECKING:
    from ringwright.lang.design.making import Maker

ENDS = ("fore", "aft")


def overlapping(surface: Surface, pieces: int, scarf: float) -> tuple[Surface, ...]:
    """Return a sheet in so many pieces, nose first, each lying over the next by the length of a scarf, mm. Raises
    GeometryError.
    """
    long = widths(surface)[-1] / pieces
    if pieces > 1 and long <= 2 * scarf:
        raise GeometryError("strip-too-wide", "the scarfs of a piece run into each other: make them shorter")
    half = scarf / 2
    return tuple(
        part(surface, long * k - (half if k else 0.0), long * (k + 1) + (half if k < pieces - 1 else 0.0))
        for k in range(pieces)
    )


def joint_lines(sheet: Sheet, joint: SeamChoice, joined: tuple[bool, bool]) -> Iterator[Mark]:
    """Yield where the doublers at the joined ends of a piece reach to, or where their tapers begin."""
    reach = {"strap": joint.width / 2, "scarf": joint.width}.get(joint.kind, 0.0)
    for low, high in _zones(sheet, reach, joined):
        at = high if low == 0.0 else low
        k, share = thread_at(sheet.surface, at)
        ends = [
            (p[0] + share * (q[0] - p[0]), p[1] + share * (q[1] - p[1]))
            for p, q in zip(sheet.surface.flat[k], sheet.surface.flat[k + 1], strict=True)
        ]
        yield Mark(line([ends[0], ends[-1]]), "line", joint.kind)


def tapers(sheet: Sheet, joint: SeamChoice, joined: tuple[bool, bool]) -> tuple[Path, ...]:
    """Return the areas of a piece of which a scarf leaves half."""
    width = joint.width if joint.kind == "scarf" else 0.0
    return tuple(zone_outline(sheet.surface, zone) for zone in _zones(sheet, width, joined))


def _zones(sheet: Sheet, reach: float, joined: tuple[bool, bool]) -> Iterator[tuple[float, float]]:
    """Yield from where to where a joint reaches at each joined end of a piece, widths from its first thread."""
    whole = widths(sheet.surface)[-1]
    if not reach:
        return
    first_is_fore = sheet.surface.space[0][0][0] <= sheet.surface.space[-1][0][0]
    for fore, is_joined in zip((True, False), joined, strict=True):
        if is_joined:
            yield (0.0, reach) if fore == first_is_fore else (whole - reach, whole)


def said(maker: "Maker", joint: SeamChoice, joined: tuple[bool, bool]) -> Iterator[str]:
    """Yield what a piece's label says of its joints: the piece before lies outside, so it loses its inside."""
    if joint.kind == "strap":
        yield f"joint on a strap {maker.length(joint.width)}"
    if joint.kind == "scarf":
        for end, face, is_joined in zip(ENDS, ("outside", "inside"), joined, strict=True):
            if is_joined:
                yield f"scarf {maker.length(joint.width)} {end} end: taper the {face}"
