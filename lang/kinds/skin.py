"""No kind: skins as their text gives them, laid flat by geometry/wrap, for wraps and for the formers inside them."""

import math
from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING, NamedTuple

from ringwright.geometry.errors import GeometryError
from ringwright.geometry.part import Stock
from ringwright.geometry.path import Path, Point, bounds
from ringwright.geometry.wrap.former import inside_outline, plane_at
from ringwright.geometry.wrap.section import Limit, Section, across, point
from ringwright.geometry.wrap.strip import Skin, Strip, skin
from ringwright.geometry.wrap.surface import Surface, threads_of
from ringwright.lang.design.hands import hands_of
from ringwright.lang.design.making import Refusal, Unsettled
from ringwright.lang.design.stations import line_in_space
from ringwright.lang.values.value import Amount, Items, Pair, Reference, ShapeOf, TableLine

if TYPE_CHECKING:
    from ringwright.lang.components.tree import Component
    from ringwright.lang.design.making import Maker

TURNS = {"top": 0.0, "right": math.pi / 2, "bottom": math.pi, "left": -math.pi / 2}


class Over(NamedTuple):
    """What a skin is bent round at a place: an outline, or the point to which it comes together.

    name: of the former or station, '' for a shape. former: its id, '' where there is none. faces: x of its two faces.
    """

    name: str
    x: float
    shape: Path | None
    tip: Point | None
    former: str
    faces: tuple[float, float]

    def called(self, length: Callable[[float], str]) -> str:
        """What a builder calls it: by its name, or by its place; length: how that is said."""
        return self.name or f"x = {length(self.x)}"

    @property
    def centre(self) -> Point:
        """What turns are counted about: the middle of the outline's box."""
        if self.shape is None:
            assert self.tip is not None
            return self.tip
        left, low, right, high = bounds(self.shape)
        return (left + right) / 2, (low + high) / 2


class Skinned(NamedTuple):
    """A skin laid flat: what it is bent round, fore to aft, with what lies between those, and its strips.

    hand: of the skin as it is worked out, '' where it lies on both sides.
    """

    over: tuple[Over, ...]
    made: Skin
    stock: Stock
    closed: bool
    hand: str

    def strip_at(self, x: float) -> Strip | None:
        """Return the strip that reaches to a place along x, the nearer to the nose where two meet there."""
        for strip in self.made.strips:
            if self.over[strip.first].x - 1e-6 <= x <= self.over[strip.last].x + 1e-6:
                return strip
        return None

    def outer_at(self, x: float) -> Section | None:
        """Return the outer face at a place along x, where the skin goes past; None where it does not."""
        for section, over in zip(self.made.sections, self.over, strict=True):
            if abs(over.x - x) < 1e-9:
                return section
        strip = self.strip_at(x)
        if strip is None:
            return None
        bay = strip.bays[0]
        for k, one in enumerate(strip.bays[1:], 1):
            if self.over[strip.first + k].x <= x:
                bay = one
        return inside_outline(Surface(threads_of(bay), ()), plane_at(x), 0.0, self.closed)

    def centre_at(self, x: float) -> Point:
        """Return what turns are counted about at a place along x, mm: between two sections as they lie."""
        before = max((o for o in self.over if o.x <= x), key=lambda o: o.x, default=self.over[0])
        after = min((o for o in self.over if o.x >= x), key=lambda o: o.x, default=self.over[-1])
        share = (x - before.x) / (after.x - before.x) if after.x > before.x else 0.0
        (y0, z0), (y1, z1) = before.centre, after.centre
        return y0 + share * (y1 - y0), z0 + share * (z1 - z0)


def skinned(maker: "Maker", component: "Component") -> Skinned:
    """Return a wrap laid flat, once however often it is asked for. Raises GeometryError, Unsettled."""
    if component.id not in maker.skins:
        maker.skins[component.id] = _skinned(maker, component)
    return maker.skins[component.id]


def _skinned(maker: "Maker", component: "Component") -> Skinned:
    stock = maker.stock(component)
    over = overs(maker, component)
    for between in over[1:-1]:
        if between.shape is None:
            raise GeometryError(
                "point-within",
                f"the skin comes to a point at {between.called(maker.length)}, between other sections: it cannot go on from there",
            )
    seam = maker.bearing(component, "seam_at", TURNS)
    limits, hand = _limits(maker, component)
    sections = tuple(_section(o, math.pi if seam is None else seam, limits) for o in over)
    made = skin(sections, stock.thickness, stock.neutral, maker.word(component, "cut_at"))
    return Skinned(over, made, stock, limits is None, hand)


def hands(maker: "Maker", component: "Component", made: Skinned) -> tuple[str, str]:
    """Return the hand in which a wrap is worked out, and that in which it is wanted, 'both' for two; '' where it has none.

    What is given a hand as a whole gets it there, unless the wrap says one, too.
    """
    usual = "both" if made.hand and not hands_of(maker, component.id) else ""
    wanted = maker.word(component, "hand") or usual
    return made.hand or (wanted if wanted in ("left", "right") else "right"), wanted


def _section(over: Over, seam: float, limits: "Limits | None") -> Section:
    if over.shape is None:
        assert over.tip is not None
        return point((over.x, *over.tip))
    arc = None if limits is None else limits(over)
    return across(over.shape, over.x, seam, arc, over.centre)


def overs(maker: "Maker", component: "Component") -> tuple[Over, ...]:
    """Return what a wrap is bent round, fore to aft. Raises GeometryError, Unsettled."""
    found = maker.value(component, "over")
    if not isinstance(found, Items):
        raise Unsettled(f"{component.id}.over")
    made = [_over(maker, item) for item in found.items if isinstance(item, Items)]
    return tuple(sorted(made, key=lambda over: over.x))


def _over(maker: "Maker", item: Items) -> Over:
    place, shape, *rest = item.items
    named = rest[0] if rest and isinstance(rest[0], Reference) else None
    x = maker.amount(place)
    if named is not None and not isinstance(shape, ShapeOf):
        raise Unsettled(f"{named.id}.outline")
    outline = maker.drawn(shape) if isinstance(shape, ShapeOf) else None
    tip = None if outline is not None else maker.point_of(shape)
    if named is None:
        return Over("", x, outline, tip, "", (x, x))
    component = maker.tree.components[named.id]
    if len(rest) == 1:
        return Over(component.name, x, outline, None, "", (x, x))
    faces = maker.amount(rest[1]), maker.amount(rest[2])
    return Over(component.name, x, outline, None, component.id, faces)


Limits = Callable[[Over], tuple[Limit, Limit]]
"""The two ends of an arc of an outline, run with growing turn."""


def _limits(maker: "Maker", component: "Component") -> tuple[Limits | None, str]:
    """Return where an open skin begins and ends, and the hand that it has; none where it goes all round."""
    arc = maker.value(component, "arc")
    if not isinstance(arc, Pair):
        return None, ""
    if isinstance(arc.first, TableLine) and isinstance(arc.second, TableLine):
        return _between_lines(maker, arc.first, arc.second)
    assert isinstance(arc.first, Amount)
    assert isinstance(arc.second, Amount)
    low, high = maker.amount(arc.first), maker.amount(arc.second)
    if not 1e-6 < high - low < 2 * math.pi - 1e-6:
        swapped = "; swap the two" if 1e-6 < low - high < 2 * math.pi - 1e-6 else ""
        raise Refusal(
            "no-arc",
            "an arc runs from a smaller angle to a larger one, less than all round, such as -60 deg to 60 deg"
            + swapped,
            component.properties["arc"].value.span,
        )
    hand = "right" if low >= -1e-9 and high <= math.pi + 1e-9 else ""
    hand = "left" if high <= 1e-9 and low >= -math.pi - 1e-9 else hand
    return lambda _: (low, high), hand


def _between_lines(maker: "Maker", first: TableLine, second: TableLine) -> tuple[Limits, str]:
    """An arc between two lines to starboard; over the top, from left to right, where both are one."""
    lines = line_in_space(maker, first), line_in_space(maker, second)
    if first == second:
        return lambda over: ((-lines[0](over.x)[0], lines[0](over.x)[1]), lines[0](over.x)), ""

    def limits(over: Over) -> tuple[Limit, Limit]:
        y0, z0 = over.centre
        ends = sorted((line(over.x) for line in lines), key=lambda at: math.atan2(at[0] - y0, at[1] - z0))
        return ends[0], ends[1]

    return limits, "right"


def measures(maker: "Maker", component: "Component") -> Mapping[str, float]:
    """Return how well a skin lies: worst deviation (mm), strain (a share) and twist (rad)."""
    made = skinned(maker, component).made
    return {
        "worst_deviation": made.worst_deviation,
        "worst_strain": made.worst_strain,
        "worst_twist": made.worst_twist,
    }
