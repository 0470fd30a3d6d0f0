"""No kind: the openings of sides, floors and decks, given in the side view or from above, carried to their sheets."""

from collections.abc import Iterator
from typing import TYPE_CHECKING

from ringwright.geometry.errors import GeometryError
from ringwright.geometry.part import Facet, Flat
from ringwright.geometry.path import Path, Point, canonical
from ringwright.geometry.place import AFT, STARBOARD, UP
from ringwright.geometry.wrap import carry
from ringwright.lang.design.making import blaming
from ringwright.lang.kinds import openings, splices

if TYPE_CHECKING:
    from ringwright.lang.components.tree import Component
    from ringwright.lang.design.making import Maker

BELOW = -1e5
"""Where a view from below begins, mm."""
SEEN_FROM_SIDE = Flat((0.0, 0.0, 0.0), AFT, UP)
SEEN_FROM_BELOW = Flat((0.0, 0.0, BELOW), AFT, STARBOARD)
"""How the openings of sides are given, and those of floors and decks."""


def opened(
    maker: "Maker", component: "Component", bent: list[tuple[Facet, ...]], taken: tuple[splices.Zone, ...]
) -> list[list[openings.Opening]]:
    """Return the openings of each sheet, laid flat: they are given in the side view, or from above."""
    found: list[list[openings.Opening]] = [[] for _ in bent]
    for child in maker.children(component, "hole", "holes", "slot"):
        with blaming(child.span):
            for opening in openings.openings(maker, child, None):
                splices.check_opening(maker, taken, opening)
                for number, carried in _carried(component, opening, bent):
                    found[number].append(carried)
    for slot in _slots(maker, component):
        opening = openings.Opening(component, slot, None)
        splices.check_opening(maker, taken, opening)
        for number, carried in _carried(component, opening, bent):
            found[number].append(carried)
    return found


def _slots(maker: "Maker", component: "Component") -> Iterator[Path]:
    """Yield the slots for the tabs of formers, in the sheet's own view."""
    from ringwright.lang.kinds.tabs import tabs

    for id in maker.evaluator.formers_in(component):
        for tab in tabs(maker, maker.tree.components[id], component):
            yield tab.slot
            break  # of both hands of a side one is worked out


def _carried(
    component: "Component", opening: openings.Opening, bent: list[tuple[Facet, ...]]
) -> list[tuple[int, openings.Opening]]:
    """Return the sheets that have an opening, more than one where they lie over each other, and its form in the flat of
    each. Raises GeometryError.
    """
    from_inside = component.kind.name == "side"
    frame = SEEN_FROM_SIDE if from_inside else SEEN_FROM_BELOW
    found = []
    trouble: GeometryError | None = None
    for number, triangles in enumerate(bent):
        try:
            path = canonical(carry.opening_through(triangles, opening.outline, frame, from_inside))
        except GeometryError as error:
            trouble = error
            continue
        round = _round(opening, triangles, from_inside)
        found.append((number, opening._replace(outline=path, round=round)))
    if trouble is not None and not found:
        raise trouble
    return found


def _round(
    opening: openings.Opening, triangles: tuple[Facet, ...], from_inside: bool
) -> tuple[Point, float] | None:
    """Return where the centre cross of a round opening comes to lie."""
    if opening.round is None:
        return None
    (a, b), radius = opening.round
    origin, way = ((a, 0.0, b), (0.0, 1.0, 0.0)) if from_inside else ((a, b, BELOW), (0.0, 0.0, 1.0))
    at = carry.hit(triangles, origin, way)
    return None if at is None else (at, radius)
