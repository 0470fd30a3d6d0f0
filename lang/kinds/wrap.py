"""A skin bent round sections: formers, stations, shapes at places."""

from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING

from ringwright.geometry.path import bounds
from ringwright.lang.kinds import element, skin, skin_parts
from ringwright.lang.kinds.kind import Kind, Measure, Property
from ringwright.lang.units import ANGLE, NUMBER

if TYPE_CHECKING:
    from ringwright.geometry.part import Part
    from ringwright.lang.components.tree import Component
    from ringwright.lang.design.making import Maker

CUTS = ("auto", "each", "none")


def parts(maker: "Maker", component: "Component") -> Iterable["Part"]:
    """Yield the sheets of a wrap, of each hand that is wanted."""
    yield from skin_parts.parts(maker, component)


def measures(maker: "Maker", component: "Component") -> Mapping[str, float]:
    """Return the size of the largest sheet of a wrap, and how well it lies."""
    made = skin_parts.laid_out(maker, component)
    boxes = [bounds(one.sheet.outline) for one in made]
    return {
        "width": max(right - left for left, _, right, _ in boxes),
        "height": max(high - low for _, low, _, high in boxes),
        **skin.measures(maker, component),
    }


SIZES = (
    Measure("width", "width of its largest sheet, seams and tabs counted"),
    Measure("height", "height of its largest sheet, seams and tabs counted"),
    Measure("worst_deviation", "how far it passes a section by that it does not go through"),
    Measure("worst_strain", "how much it has to stretch, as a share", NUMBER),
    Measure("worst_twist", "how much it twists along a ruling before it is evened out", ANGLE),
)

KIND = Kind(
    "wrap",
    "a skin bent round sections, closed or open",
    (
        Property(
            "over",
            "sections",
            "what it is bent round: formers, stations with a section, (place, shape), (place, point) where it comes to a"
            " point, or a range of stations; a former stands for the station of its name",
            "over = [F1, F2, (180 mm, circle(60 mm))]",
            required=True,
        ),
        Property("stock", "stock", "what it is cut from", "stock = card"),
        Property(
            "arc",
            "arc",
            "the part of each section that it covers: from one angle to another, counted from the top and positive to the"
            " right, or between two lines of the offsets; left out it goes all round",
            "arc = -60 deg to 60 deg",
        ),
        Property(
            "edges",
            "edges",
            "what it has beyond its free edges: flush, tab(5 mm), tab(5 mm, notched) or lap(6 mm)",
            "edges = tab(5 mm, notched)",
        ),
        Property(
            "sides",
            "edges",
            "what an open one has beyond its two long edges, where that is not what its `edges` say",
            "sides = flush",
        ),
        Property(
            "seam",
            "seam",
            "how its edges meet: butt, lap(w), flap(w) or strap(w)",
            "seam = lap(6 mm)",
        ),
        Property(
            "seam_at",
            "bearing",
            "where the seam of a closed one is",
            "seam_at = bottom",
            default="bottom",
            shown="bottom",
            choices=element.SIDES,
        ),
        Property(
            "pieces",
            "count",
            "in how many pieces each strip is cut; the fewest that fit unless given",
            "pieces = 2",
            high=24.0,
        ),
        Property(
            "cut_at",
            "word",
            "at which sections it is cut across: where one piece would not lie flat, at each, or at none",
            "cut_at = each",
            default="auto",
            shown="auto",
            choices=CUTS,
        ),
        Property(
            "cut_seam",
            "seam",
            "how two strips meet where it is cut across, the one ahead over the other: butt, lap(w), flap(w) or strap(w);"
            " butt unless given",
            "cut_seam = lap(5 mm)",
        ),
        Property(
            "grooves",
            "flag",
            "whether formers stand in channels cut from inside, at its ends in rebates",
            "grooves = yes",
            default=False,
            shown="no",
        ),
        Property(
            "evenness",
            "amount",
            "how far the flats between two scores may stand off the curve, where the stock is scored to bend",
            "evenness = 0.5 mm",
            default=0.3,
            shown="0.3 mm",
            low=0.001,
            high=50.0,
        ),
        Property(
            "grain",
            "word",
            "which way its drawing lies on a stock with grain: across unless given, so that the grain runs along the bend",
            "grain = across",
            choices=("along", "across", "free"),
        ),
        Property(
            "hand",
            "word",
            "left, right or both: the one and its mirror image; both where its arc lies on one side alone",
            "hand = both",
            choices=("left", "right", "both"),
        ),
    ),
    inside=("", "body"),
    children=("hole",),
    forward=(*SIZES, *element.MEASURES),
    parts=parts,
    measures=measures,
    example=(
        "former F1 { at = 0 mm, stock = board, outline = circle(80 mm) }\n"
        "former F2 { at = 90 mm, face = aft, stock = board, outline = circle(100 mm) }\n"
        "wrap deck { over = [F1, F2], stock = card, arc = -60 deg to 60 deg }\n"
    ),
)
