"""No kind: what there is to say of a skin: where it is cut and why, and what it asks of its sheet and its sections."""

import math
from typing import TYPE_CHECKING

from ringwright.geometry.numbers import short
from ringwright.geometry.part import Vector
from ringwright.geometry.wrap.strip import NOTICE_STRAIN
from ringwright.lang.kinds.skin import Skinned

if TYPE_CHECKING:
    from ringwright.lang.components.tree import Component
    from ringwright.lang.design.making import Maker


NEAR_RADIUS = 0.97
"""What of the least radius is still taken for it: chords tell a radius no better."""


def warn(maker: "Maker", component: "Component", made: Skinned) -> None:
    """Report all of it."""
    _cuts(maker, component, made)
    _stretch(maker, component, made)
    _tight_bends(maker, component, made)
    _hollows(maker, component, made)
    if made.stock.grain != "none" and maker.word(component, "grain") == "along":
        maker.warn(
            "grain-across-bend",
            f"the grain of '{component.id}' would run round the bend: {made.stock.name} breaks that way",
            component.properties["grain"].value.span,
            "leave 'grain' out: then it runs along the bend",
        )


def _cuts(maker: "Maker", component: "Component", made: Skinned) -> None:
    """Tell why a skin is cut across, where nobody asked for it."""
    if maker.word(component, "cut_at") == "each":
        return
    for cut in made.made.cuts:
        said = f"'{component.id}' is cut at {made.over[cut.section].called}: {cut.reason}"
        if cut.gap >= 0.05:
            said += f"; laid side by side there, the two would gape {short(cut.gap, 1)} mm"
        maker.note("skin-cut", said, component.span)


def _stretch(maker: "Maker", component: "Component", made: Skinned) -> None:
    for strip in made.made.strips:
        if strip.strain <= NOTICE_STRAIN:
            continue
        between = f"{made.over[strip.first].called} and {made.over[strip.last].called}"
        maker.warn(
            "skin-stretches",
            f"'{component.id}' would have to stretch {short(strip.strain * 100, 2)} % between {between}:"
            " paper and card hardly give",
            component.span,
            "let cut_at = each cut it at every section, or put a section between them"
            if strip.last - strip.first > 1
            else "put another section between them",
        )


def _near(made: Skinned, at: Vector) -> str:
    """Return what a builder calls a place on a skin: the section that it lies at, or its x."""
    nearest = min(made.over, key=lambda over: (abs(over.x - at[0]), over.x))
    return f"at {nearest.called}" if abs(nearest.x - at[0]) < 1.0 else f"at x = {short(at[0], 1)} mm"


def _tight_bends(maker: "Maker", component: "Component", made: Skinned) -> None:
    stock = made.stock
    tightest = min(
        (b.tightest for b in made.made.bends if b.tightest is not None),
        key=lambda bend: bend.radius,
        default=None,
    )
    if tightest is not None and tightest.radius < NEAR_RADIUS * stock.min_radius:
        maker.warn(
            "tight-bend",
            f"'{component.id}' is bent to a radius of {short(tightest.radius, 1)} mm {_near(made, tightest.at)};"
            f" {stock.name} takes {short(stock.min_radius, 1)} mm",
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
            f"the outline is hollow {_near(made, hollow.at)}, by {short(math.degrees(-hollow.angle), 1)}° in all: '{component.id}' "
            "is laid into the hollow, but left to itself it bridges it",
            component.span,
            "glue it down there, or draw the outline without the hollow",
        )
