"""No kind: skins that meet end to end at a section: where both have the same ticks, with the other's name beside them."""

from collections.abc import Iterator
from typing import TYPE_CHECKING, NamedTuple

from ringwright.geometry.errors import GeometryError
from ringwright.geometry.part import Mark, Vector
from ringwright.geometry.wrap.rims import SHARES, along_line, on_edge, passes, spot_on, ticks
from ringwright.geometry.wrap.section import length
from ringwright.geometry.wrap.surface import Surface
from ringwright.lang.design.making import Unsettled
from ringwright.lang.kinds.skin import Skinned, hands, skinned

if TYPE_CHECKING:
    from ringwright.lang.components.tree import Component
    from ringwright.lang.design.making import Maker

SAME = 1e-6


class Meeting(NamedTuple):
    """Places of the outer face of a skin at which it meets another, at its fore end (row 0) or its aft one (row -1).

    text: what stands beside the first.
    """

    row: int
    places: tuple[Vector, ...]
    text: str

    def marks(self, surface: Surface, thickness: float) -> Iterator[Mark]:
        """Yield the ticks of one sheet of the skin: one at the first place, two at the second."""
        text = self.text
        for count, place in enumerate(self.places, 1):
            spot = spot_on(surface, self.row, place, 1.5 * thickness)
            if spot is not None and not on_edge(surface, self.row, spot):
                yield from ticks(spot, count, text)
                text = ""


def meetings(maker: "Maker", component: "Component", made: Skinned) -> Iterator[Meeting]:
    """Yield where a skin meets others that begin or end where it ends or begins."""
    for other in maker.tree.components.values():
        if other.kind is not component.kind or other.id == component.id:
            continue
        try:
            mate = skinned(maker, other)
        except (GeometryError, Unsettled):
            continue  # reported where it is made
        for row in (0, -1):
            here, there = made.made.sections[row], mate.made.sections[-1 - row]
            if here.is_point or there.is_point or abs(made.over[row].x - mate.over[-1 - row].x) > SAME:
                continue
            is_mine = (length(here), component.id) < (length(there), other.id)
            own, in_hands = hands(maker, component, made)
            drawn, wanted = hands(maker, other, mate)
            # In hands it meets its mate of the same hand; what has none meets each hand that is wanted.
            sides = [own if in_hands else drawn]
            if wanted and not in_hands:
                sides = ["left", "right"] if wanted == "both" else [wanted]
            for hand in sides:
                mirror = bool(wanted) and hand != drawn
                theirs = _mirrored(there.points) if mirror else there.points
                line = here.points if is_mine else there.points
                places = tuple(along_line(line, share) for share in SHARES)
                if mirror and not (is_mine and in_hands):
                    places = _mirrored(places)
                if all(passes(face, place) for face in (here.points, theirs) for place in places):
                    yield Meeting(
                        row, places, f"to {other.id}.{hand}" if len(sides) > 1 else f"to {other.id}"
                    )


def _mirrored(places: tuple[Vector, ...]) -> tuple[Vector, ...]:
    return tuple((x, 0.0 - y, z) for x, y, z in places)
