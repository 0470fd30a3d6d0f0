"""No kind: formers that stand in a skin without being named by it: where their edges lie along it."""

from collections.abc import Iterator
from typing import TYPE_CHECKING, NamedTuple

from ringwright.geometry.errors import GeometryError
from ringwright.geometry.part import Stock
from ringwright.geometry.path import Path
from ringwright.geometry.wrap.former import Spot, former_lines, lines_on, plane_at, spots_on
from ringwright.geometry.wrap.surface import Surface
from ringwright.geometry.wrap.touch import Touch, around, beside, touching
from ringwright.lang.design.making import Unsettled
from ringwright.lang.kinds import former

if TYPE_CHECKING:
    from ringwright.lang.components.tree import Component
    from ringwright.lang.design.making import Maker

LEAST_INTO = 0.2
"""How far into a skin a former may reach unsaid, mm: what board gives."""


class Standing(NamedTuple):
    """A former whose edge lies along a sheet.

    component: the former. faces: x of its two faces. runs: places at which its middle plane meets the sheet. touch: those
    beside its edge.
    """

    component: "Component"
    faces: tuple[float, float]
    runs: tuple[tuple[Spot, ...], ...]
    touch: Touch

    def beside(self, path: Path) -> tuple[Path, ...]:
        """Return the stretches of a line of the drawing beside which its edge lies."""
        return beside(path, self.touch.runs, self.runs)

    def around(self, path: Path, width: float) -> tuple[Path, ...]:
        """Return what of a channel lies beside its edge."""
        return around(path, self.touch.runs, self.runs, width)


def others(maker: "Maker", named: frozenset[str], reach: tuple[float, float]) -> tuple["Component", ...]:
    """Return the formers that stand between two places along x, but those named."""
    return tuple(
        component
        for component in maker.tree.components.values()
        if component.kind.name == "former"
        and component.id not in named
        and reach[0] < maker.values.get(f"{component.id}.x_fore", reach[0])
        and maker.values.get(f"{component.id}.x_aft", reach[1]) < reach[1]
    )


def standing(
    maker: "Maker", formers: tuple["Component", ...], surface: Surface, stock: Stock, grooved: bool
) -> Iterator[Standing]:
    """Yield those of some formers whose edge lies along a sheet; what cannot be drawn is reported where it is made."""
    floor = stock.thickness - stock.facing if grooved else 0.0
    below = stock.neutral * stock.thickness
    for component in formers:
        fore, aft = (maker.number(component, name) for name in ("x_fore", "x_aft"))
        runs = spots_on(surface, plane_at((fore + aft) / 2))
        if not runs:
            continue
        try:
            outline = maker.outline(component, former.drawn)
        except (GeometryError, Unsettled):
            continue
        found = touching(runs, outline, stock.thickness - below, below, below - floor)
        if found.runs:
            yield Standing(component, (fore, aft), runs, found)


def face_lines(faces: tuple[float, float], surface: Surface, stock: Stock) -> Iterator[Path]:
    """Yield the lines of both faces of a former on the inside of a sheet, or the one of a station, whose faces are one."""
    fore, aft = faces
    depth = stock.neutral * stock.thickness
    if aft > fore:
        for face in former_lines(surface, plane_at((fore + aft) / 2), aft - fore, depth):
            yield from face
    else:
        yield from lines_on(surface, plane_at(fore), depth)


def reaches_in(maker: "Maker", skin: "Component", found: Standing) -> None:
    """Report a former that reaches into a skin: as far as its outline goes, not a millimetre of it was left out for it."""
    if found.touch.into <= LEAST_INTO:
        return
    name = found.component.name
    ways = "name it among its sections, `over`, or " if skin.kind.name == "wrap" else ""
    maker.warn(
        "former-in-skin",
        f"'{name}' reaches {maker.length(found.touch.into)} into '{skin.id}', which makes no room for it",
        found.component.span,
        f"{ways}give '{name}' an inset, such as inset = {maker.stock(skin).name}.thickness",
    )
