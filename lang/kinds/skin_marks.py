"""No kind: what is drawn on a skin that is not cut through: places of formers, grooves, match marks."""

from collections.abc import Iterator
from typing import TYPE_CHECKING, NamedTuple

from ringwright.geometry.part import Groove, Mark, Stock
from ringwright.geometry.path import Path, line
from ringwright.geometry.wrap.former import grooves, plane_at
from ringwright.geometry.wrap.rims import (
    SHARES,
    at_share,
    highest,
    lies_along,
    on_edge,
    seam_spot,
    spot_on,
    ticks,
)
from ringwright.geometry.wrap.sheet import Sheet
from ringwright.geometry.wrap.strip import Strip
from ringwright.geometry.wrap.surface import rim
from ringwright.lang.kinds.skin import Skinned
from ringwright.lang.kinds.skin_mates import Meeting
from ringwright.lang.kinds.standing import face_lines, others, standing

if TYPE_CHECKING:
    from ringwright.lang.components.tree import Component
    from ringwright.lang.design.making import Maker
    from ringwright.lang.kinds.skin_parts import Laid

LONG_SEAM = 40.0
"""Length from which a seam has two groups of ticks, mm; a shorter one has a tick in its middle."""

LEAST_GROOVE = 1.0
"""Width under which a groove is no more than the fit of a former in the next strip, mm."""


class OfFormers(NamedTuple):
    """What formers leave on a sheet."""

    marks: tuple[Mark, ...]
    grooves: tuple[Groove, ...]


def former_marks(
    maker: "Maker", component: "Component", made: Skinned, strip: Strip, sheet: Sheet
) -> OfFormers:
    """Return where each former or station lies on the inner face of a sheet, with its name, and its groove."""
    stock, grooved = made.stock, maker.flag(component, "grooves")
    begins, ends = made.over[strip.first].x - stock.thickness, made.over[strip.last].x + stock.thickness
    marks: list[Mark] = []
    channels: list[Groove] = []
    for over in made.over:
        if over.shape is None or not over.name:
            continue
        fore, aft = over.faces
        if aft < begins or fore > ends:
            continue
        if over.former and grooved:
            channels.extend(_channels(over.name, over.faces, sheet, stock))
        else:
            marks.extend(_named(_lines(over.faces, sheet, stock), over.name))
    for found in standing(maker, passed(maker, made), sheet.surface, stock, grooved):
        name, faces = found.component.name, found.faces
        if grooved:
            channels.extend(
                groove._replace(path=path)
                for groove in _channels(name, faces, sheet, stock)
                for path in found.around(groove.path, groove.width)
            )
        else:
            lines = _lines(faces, sheet, stock)
            marks.extend(_named([part for path in lines for part in found.beside(path)], name))
    return OfFormers(tuple(marks), tuple(channels))


def passed(maker: "Maker", made: Skinned) -> "tuple[Component, ...]":
    """Return the formers that stand between the ends of a skin and are none of its sections."""
    named = frozenset(over.former for over in made.over)
    return others(maker, named, (made.over[0].x, made.over[-1].x))


def _channels(name: str, faces: tuple[float, float], sheet: Sheet, stock: Stock) -> list[Groove]:
    """Return the grooves that take a former."""
    fore, aft = faces
    found = grooves(
        sheet.surface, plane_at((fore + aft) / 2), aft - fore, stock.thickness, stock.neutral, stock.facing
    )
    return [groove._replace(text=name) for groove in found if groove.width >= LEAST_GROOVE]


def _lines(faces: tuple[float, float], sheet: Sheet, stock: Stock) -> list[Path]:
    """Return the lines of both faces of a former, or the one of a station; none where it is the sheet's rim."""
    paths = face_lines(faces, sheet.surface, stock)
    return [path for path in paths if not any(lies_along(path, sheet.surface, row) for row in (0, -1))]


def _named(paths: list[Path], name: str) -> list[Mark]:
    return [Mark(path, "line", name if k == 0 else "") for k, path in enumerate(paths)]


def joint_marks(
    component: "Component",
    made: Skinned,
    laid: "tuple[Laid, ...]",
    one: "Laid",
    laps: tuple[bool, bool],
    met: "tuple[Meeting, ...]",
) -> tuple[Mark, ...]:
    """Return ticks at the top of a sheet's rims, and along the rims at which it meets the next strip or another skin.

    laps: whether a strip of it lies over the next piece, and over the next strip; a line shows from where.
    """
    strips = made.made.strips
    surface = one.sheet.surface
    found: list[Mark] = [Mark(line(surface.flat[-1]), "line")] if laps[0] else []
    if laps[1]:
        found.append(Mark(line(rim(surface, -1)), "line"))
    for row, other in ((0, one.strip - 1), (-1, one.strip + 1)):
        whole = strips[one.strip].surface
        top = highest(whole, row)
        spot = None if top is None else spot_on(surface, row, top)
        if spot is not None and not on_edge(surface, row, spot):
            found.extend(Mark(tick.path, "top", "top" if row else "") for tick in ticks(spot, 1))
        if not 0 <= other < len(strips):
            for meeting in met:
                if meeting.row == row:
                    found.extend(meeting.marks(surface, made.stock.thickness))
            continue
        mates = [k + 1 for k, laid_one in enumerate(laid) if laid_one.strip == other]
        text = "to " + " and ".join(f"{component.id}.{mate}" for mate in mates)
        for count, share in enumerate(SHARES, 1):
            spot = spot_on(surface, row, at_share(whole, row, share))
            if spot is not None:
                found.extend(ticks(spot, count, text))
                text = ""
    return (*found, *_seam_marks(component, made, laid, one))


def _seam_marks(
    component: "Component", made: Skinned, laid: "tuple[Laid, ...]", one: "Laid"
) -> Iterator[Mark]:
    """Yield ticks across the seams along a sheet: the same on both edges, at the same lengths."""
    for is_last, piece in ((False, one.piece - 1), (True, one.piece + 1)):
        if not made.closed and not 0 <= piece < one.of:
            continue
        mate = next(k for k, o in enumerate(laid, 1) if (o.strip, o.piece) == (one.strip, piece % one.of))
        text = "seam" if one.of == 1 else f"to {component.id}.{mate}"
        long = one.sheet.lengths.last if is_last else one.sheet.lengths.first
        for count, share in enumerate(SHARES if long > LONG_SEAM else (0.5,), 1):
            yield from ticks(seam_spot(one.sheet.surface, is_last, share), count, text)
            text = ""
