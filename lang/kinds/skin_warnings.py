"""No kind: what there is to say of a skin: where it is cut and why, and what it asks of its sheet and its sections."""

import math
from collections.abc import Callable, Iterable, Sequence
from typing import TYPE_CHECKING

from ringwright.geometry.numbers import short
from ringwright.geometry.part import Stock, Vector
from ringwright.geometry.wrap.bend import Bends
from ringwright.geometry.wrap.strip import MOST_STRAIN, NOTICE_STRAIN
from ringwright.lang.kinds.skin import Skinned, overs
from ringwright.lang.kinds.skin_marks import passed
from ringwright.lang.kinds.standing import reaches_in, standing

if TYPE_CHECKING:
    from ringwright.lang.components.tree import Component
    from ringwright.lang.design.making import Maker


SMALLEST_GAP = 0.05
"""What shows as 0.1 mm."""
NEAR_RADIUS = 0.97
"""What of the least radius is still taken for it: chords tell a radius no better."""


def warn(maker: "Maker", component: "Component", made: Skinned) -> None:
    """Report all of it."""
    _cuts(maker, component, made)
    _stretch(maker, component, made)
    tight_bend(maker, component, made.stock, made.made.bends, lambda at: _near(maker, made, at))
    _hollows(maker, component, made)
    _bare_formers(maker, component, made)
    grooved, others = maker.flag(component, "grooves"), passed(maker, made)
    for strip in made.made.strips:
        for found in standing(maker, others, strip.surface, made.stock, grooved):
            reaches_in(maker, component, found)
    if made.stock.grain != "none" and maker.word(component, "grain") == "along":
        maker.warn(
            "grain-across-bend",
            f"the grain of '{component.id}' would run round the bend: {made.stock.name} breaks that way",
            component.properties["grain"].value.span,
            "leave 'grain' out: then it runs along the bend",
        )


def _bare_formers(maker: "Maker", component: "Component", made: Skinned) -> None:
    """Tell of a former at an end of a skin that stands outside of it, so that no skin lies on its edge."""
    for over, face, other in ((made.over[0], 0, "fore"), (made.over[-1], 1, "aft")):
        out = (over.x - over.faces[0], over.faces[1] - over.x)[face]
        former = maker.tree.components.get(over.former)
        if former is None or out <= (over.faces[1] - over.faces[0]) / 2 + 1e-6:
            continue
        if not any(_reaches(maker, id, over.x, face) for id in maker.evaluator.skins_of(former)):
            maker.note(
                "bare-former",
                f"'{component.id}' ends at the near face of '{former.name}' and leaves its edge bare: with"
                f" face = {other} on '{former.name}' it would lie on it",
                component.span,
            )


def _reaches(maker: "Maker", id: str, x: float, face: int) -> bool:
    """Whether a skin goes on past a place along x, to the nose (face 0) or to the tail (1)."""
    skin = maker.tree.components[id]
    if skin.kind.name != "wrap":
        return False
    reached = [over.x for over in overs(maker, skin)]
    return min(reached) < x - 1e-6 if face == 0 else max(reached) > x + 1e-6


def _cuts(maker: "Maker", component: "Component", made: Skinned) -> None:
    """Tell why a skin is cut across, where nobody asked for it."""
    if maker.word(component, "cut_at") == "each":
        return
    cuts = made.made.cuts
    if not cuts:
        return
    places = [made.over[cut.section].called(maker.length) for cut in cuts]
    where = places[0] if len(places) == 1 else f"{', '.join(places[:-1])} and {places[-1]}"
    strains = [cut.strain for cut in cuts if cut.strain is not None and cut.strain < 1]
    said = f"'{component.id}' is cut at {where}: one piece over {'it' if len(cuts) == 1 else 'them'} would "
    if strains:
        said += f"stretch {_range([strain * 100 for strain in strains], 2)} %, more than {short(MOST_STRAIN * 100, 2)} %"
    else:
        said += "not lie flat at all"
    gaps = [cut.gap for cut in cuts]
    if max(gaps) >= SMALLEST_GAP:
        said += f"; laid side by side there, two sheets would gape {maker.span(min(gaps), max(gaps))}"
    maker.note("skin-cut", said, component.span)


def _range(values: Sequence[float], decimals: int) -> str:
    low, high = short(min(values), decimals), short(max(values), decimals)
    return low if low == high else f"{low} to {high}"


def _stretch(maker: "Maker", component: "Component", made: Skinned) -> None:
    for strip in made.made.strips:
        first, last = (made.over[end].called(maker.length) for end in (strip.first, strip.last))
        between = f"between {first} and {last}"
        help = (
            "say cut_at = each, so that it is cut at every section, or "
            if strip.last - strip.first > 1
            else ""
        )
        stretches(maker, component, strip.strain, between, f"{help}put another section between them")


def stretches(maker: "Maker", component: "Component", strain: float, where: str, help: str) -> None:
    """Report a sheet that would have to stretch more than paper does."""
    if strain > NOTICE_STRAIN:
        said = f"'{component.id}' would have to stretch {short(strain * 100, 2)} % {where}: paper and card hardly give"
        maker.warn("skin-stretches", said, component.span, help)


def _near(maker: "Maker", made: Skinned, at: Vector) -> str:
    """Return what a builder calls a place on a skin: the section that it lies at, or its x."""
    nearest = min(made.over, key=lambda over: (abs(over.x - at[0]), over.x))
    near = abs(nearest.x - at[0]) < 1.0
    return f"at {nearest.called(maker.length) if near else f'x = {maker.length(at[0])}'}"


def tight_bend(
    maker: "Maker",
    component: "Component",
    stock: Stock,
    bends: Iterable[Bends],
    where: Callable[[Vector], str],
) -> None:
    """Report the tightest bend where the stock does not take it; `where` says where a place on the skin is."""
    found = (bend.tightest for bend in bends if bend.tightest is not None)
    tightest = min(found, key=lambda bend: bend.radius, default=None)
    if tightest is not None and tightest.radius < NEAR_RADIUS * stock.min_radius:
        maker.warn(
            "tight-bend",
            f"'{component.id}' is bent to a radius of {maker.length(tightest.radius)} {where(tightest.at)};"
            f" {stock.name} takes {maker.length(stock.min_radius)}",
            component.span,
            ("peel or score it, or " if stock.bend == "plain" else "")
            + "give the stock the min_radius that you found by trying",
        )


def _hollows(maker: "Maker", component: "Component", made: Skinned) -> None:
    hollow = min(
        (bend for b in made.made.bends for bend in b.hollow), key=lambda bend: bend.angle, default=None
    )
    if hollow is not None:
        maker.warn(
            "hollow-section",
            f"the outline is hollow {_near(maker, made, hollow.at)}, by {short(math.degrees(-hollow.angle), 1)}° in all: '{component.id}' "
            "is laid into the hollow, but left to itself it bridges it",
            component.span,
            "glue it down there, or draw the outline without the hollow",
        )
