"""No kind: the splices of a side, a floor or a deck: where they cut it, and what may not lie there."""

from collections.abc import Iterator, Sequence
from itertools import pairwise
from typing import TYPE_CHECKING, NamedTuple

from ringwright.geometry.errors import GeometryError
from ringwright.geometry.path import bounds
from ringwright.geometry.wrap.surface import Surface, thread_at, widths
from ringwright.lang.design.making import BUTT, Refusal, SeamChoice, blaming
from ringwright.lang.kinds.joints import Joint
from ringwright.lang.kinds.openings import Opening, called

if TYPE_CHECKING:
    from ringwright.lang.components.tree import Component
    from ringwright.lang.design.making import Maker


def seam_of(maker: "Maker", component: "Component", sheet: str) -> SeamChoice:
    """Return how the pieces of a sheet meet, asked of it or of one of its splices. sheet: what it is called. Raises
    GeometryError for a lap or a flap, which would lie on the outside.
    """
    seam = maker.seam(component) or BUTT
    if seam.kind not in ("butt", "strap", "scarf"):
        raise GeometryError(
            "seam-outside", f"the pieces of a {sheet} meet by butt, strap(width) or scarf(width)"
        )
    return seam


def joints(maker: "Maker", component: "Component", surface: Surface) -> tuple[Joint, ...]:
    """Return the joints that the splices of a sheet ask for, nose first. Raises Refusal where one has no room, Unsettled."""
    found = []
    walked = _walked(surface)
    for splice in maker.children(component, "splice"):
        x = maker.number(splice, "at")
        with blaming(splice.span):
            seam = seam_of(maker, splice, component.kind.name)
        joint = Joint(_width_at(surface, walked, x), seam, splice)
        low, high = walked[0] + joint.reach, walked[-1] - joint.reach
        if not low < x < high:
            long = f", and takes {maker.length(joint.reach)} to either side" if joint.reach else ""
            raise Refusal(
                "splice-outside",
                f"splice '{splice.name}' is at x = {maker.length(x)}{long}:"
                f" '{component.id}' runs from {maker.span(walked[0], walked[-1])}",
                splice.properties["at"].value.span,
            )
        found.append(joint)
    found.sort(key=lambda joint: joint.at)
    for one, other in pairwise(found):
        apart, least = other.at - one.at, one.reach + other.reach
        if apart <= max(least, 0.01) and one.splice is not None and other.splice is not None:
            raise Refusal(
                "splices-meet",
                f"splices '{one.splice.name}' and '{other.splice.name}' are {maker.length(apart)} apart:"
                + (
                    f" together they take {maker.length(least)}" if least else " nothing is left between them"
                ),
                other.splice.properties["at"].value.span,
            )
    return tuple(found)


def _walked(surface: Surface) -> list[float]:
    """Where along x the middle of each thread lies."""
    return [(thread[0][0] + thread[-1][0]) / 2 for thread in surface.space]


def _width_at(surface: Surface, walked: Sequence[float], x: float) -> float:
    """How far from the first thread the one lies whose middle is at a place along x, mm."""
    far = widths(surface)
    for (a, b), (low, high) in zip(pairwise(walked), pairwise(far), strict=True):
        if a <= x <= b and b > a:
            return low + (high - low) * (x - a) / (b - a)
    return 0.0 if x < walked[0] else far[-1]


class Zone(NamedTuple):
    """What a splice takes of a sheet. ends: from where to where along x each end of a piece runs there; reach: from where
    to where its doubler or its tapers lie.
    """

    splice: "Component"
    seam: SeamChoice
    ends: tuple[tuple[float, float], ...]
    reach: tuple[float, float]


def zones(surface: Surface, all_joints: Sequence[Joint]) -> tuple[Zone, ...]:
    """Return what the splices among some joints take of a sheet."""
    found = []
    for joint in all_joints:
        if joint.splice is None:
            continue
        sides = (-1, 1) if joint.overlap else (0,)
        ends = tuple(_across(surface, joint.at + side * joint.overlap / 2) for side in sides)
        around = [x for side in (-1, 1) for x in _across(surface, joint.at + side * joint.reach)]
        found.append(Zone(joint.splice, joint.seam, ends, (min(around), max(around))))
    return tuple(found)


def _across(surface: Surface, width: float) -> tuple[float, float]:
    """From where to where along x a sheet is cut at a width from its first thread."""
    k, share = thread_at(surface, width)
    places = [
        surface.space[k][row][0] + share * (surface.space[k + 1][row][0] - surface.space[k][row][0])
        for row in (0, -1)
    ]
    return min(places), max(places)


def check_opening(maker: "Maker", taken: Sequence[Zone], opening: Opening) -> None:
    """Refuse a splice that cuts an opening, given as seen from the side or above; warn of one that lies under a joint.
    Raises Refusal.
    """
    left, _, right, _ = bounds(opening.outline)
    name = called(opening.component)[0]
    for zone in _under(taken, left, right):
        low, high = zone.reach
        clear = (left - (high - low) / 2, right + (high - low) / 2)
        if any(fore < right and aft > left for fore, aft in zone.ends):
            raise Refusal(
                "splice-through",
                f"splice '{zone.splice.name}' runs through {name}, which reaches from {maker.span(left, right)}:"
                f" put it forward of {maker.length(clear[0])}, or aft of {maker.length(clear[1])}",
                zone.splice.properties["at"].value.span,
            )
        _crowded(maker, zone, name, left, right)


def check_former(maker: "Maker", taken: Sequence[Zone], name: str, faces: tuple[float, float]) -> None:
    """Warn of a former that stands where a doubler lies inside the sheet."""
    for zone in _under(taken, *faces):
        if zone.seam.kind == "strap":
            _crowded(maker, zone, f"'{name}'", *faces)


def _under(taken: Sequence[Zone], left: float, right: float) -> Iterator[Zone]:
    for zone in taken:
        spots = [zone.reach, *zone.ends]
        if any(low < right and high > left for low, high in spots):
            yield zone


def _crowded(maker: "Maker", zone: Zone, name: str, left: float, right: float) -> None:
    low, high = zone.reach
    what = "doubler" if zone.seam.kind == "strap" else "scarf"
    maker.warn(
        "splice-crowded",
        f"the {what} of splice '{zone.splice.name}' lies from {maker.span(low, high)}, and {name} from"
        f" {maker.span(left, right)}",
        zone.splice.properties["at"].value.span,
        f"put it forward of {maker.length(left - (high - low) / 2)}, or aft of {maker.length(right + (high - low) / 2)}"
        + (", or cut the doubler to go round" if what == "doubler" else ""),
    )
