"""No kind: what is drawn on a skin that is not cut through: places of formers, grooves, match marks."""

from typing import TYPE_CHECKING, NamedTuple

from ringwright.geometry.part import Groove, Mark, Stock
from ringwright.geometry.path import line
from ringwright.geometry.wrap.former import former_lines, grooves, lines_on, plane_at
from ringwright.geometry.wrap.rims import at_share, highest, lies_along, on_edge, spot_on, ticks
from ringwright.geometry.wrap.sheet import Sheet
from ringwright.geometry.wrap.strip import Strip
from ringwright.lang.kinds.skin import Over, Skinned

if TYPE_CHECKING:
    from ringwright.lang.components.tree import Component
    from ringwright.lang.design.making import Maker
    from ringwright.lang.kinds.skin_parts import Laid

SHARES = (0.25, 0.75)
"""Where two strips of a skin have their match marks along their common rim: one tick, then two."""


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
    stock = made.stock
    begins, ends = made.over[strip.first].x - stock.thickness, made.over[strip.last].x + stock.thickness
    marks: list[Mark] = []
    channels: list[Groove] = []
    for over in made.over:
        if over.shape is None or not over.name:
            continue
        fore, aft = over.faces
        if aft < begins or fore > ends:
            continue
        if over.former and maker.flag(component, "grooves"):
            middle = plane_at((fore + aft) / 2)
            channels.extend(
                groove._replace(text=over.name)
                for groove in grooves(
                    sheet.surface, middle, aft - fore, stock.thickness, stock.neutral, stock.facing
                )
                if groove.width >= LEAST_GROOVE
            )
        else:
            marks.extend(_lines(over, sheet, stock))
    return OfFormers(tuple(marks), tuple(channels))


def _lines(over: Over, sheet: Sheet, stock: Stock) -> list[Mark]:
    """Return the lines of both faces of a former, or the one of a station; none where it is the sheet's rim."""
    depth = stock.neutral * stock.thickness
    fore, aft = over.faces
    if over.former:
        paths = [
            path
            for side in former_lines(sheet.surface, plane_at((fore + aft) / 2), aft - fore, depth)
            for path in side
        ]
    else:
        paths = list(lines_on(sheet.surface, plane_at(over.x), depth))
    kept = [path for path in paths if not any(lies_along(path, sheet.surface, row) for row in (0, -1))]
    return [Mark(path, "line", over.name if k == 0 else "") for k, path in enumerate(kept)]


def joint_marks(
    component: "Component", made: Skinned, laid: "tuple[Laid, ...]", one: "Laid", lapped: bool
) -> tuple[Mark, ...]:
    """Return ticks at the top of a sheet's rims, and along the rims at which it meets the next strip.

    lapped: the next piece covers a strip of it; a line shows how far.
    """
    strips = made.made.strips
    surface = one.sheet.surface
    found: list[Mark] = [Mark(line(surface.flat[-1]), "line")] if lapped else []
    for row, other in ((0, one.strip - 1), (-1, one.strip + 1)):
        whole = strips[one.strip].surface
        top = highest(whole, row)
        spot = None if top is None else spot_on(surface, row, top)
        if spot is not None and not on_edge(surface, row, spot):
            found.extend(Mark(tick.path, "top", "top" if row else "") for tick in ticks(spot, 1))
        if not 0 <= other < len(strips):
            continue
        mates = [k + 1 for k, laid_one in enumerate(laid) if laid_one.strip == other]
        text = "to " + " and ".join(f"{component.id}.{mate}" for mate in mates)
        for count, share in enumerate(SHARES, 1):
            spot = spot_on(surface, row, at_share(whole, row, share))
            if spot is not None:
                found.extend(ticks(spot, count, text))
                text = ""
    return tuple(found)
