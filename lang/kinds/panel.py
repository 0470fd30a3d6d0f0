"""Any flat part, drawn as it is cut."""

from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING

from ringwright.geometry.errors import GeometryError
from ringwright.geometry.mass import measure
from ringwright.geometry.part import Edge, Flat, Part, Score
from ringwright.geometry.path import Path, bounds, canonical, centroid, flattened, length, line
from ringwright.geometry.place import AFT, STARBOARD, UP
from ringwright.lang.design.hands import in_hands
from ringwright.lang.design.making import Refusal, Unsettled
from ringwright.lang.kinds import element, openings
from ringwright.lang.kinds.former import grain_of
from ringwright.lang.kinds.kind import Kind, Measure, Property

if TYPE_CHECKING:
    from ringwright.lang.components.tree import Component
    from ringwright.lang.design.making import Maker

# How each view lies in the aircraft: right and up on the drawing, the face one looks at, and the hand that is drawn
# where both are wanted (y grows to starboard; from the side one looks at the port side).
VIEWS = {
    "section": (STARBOARD, UP, "aft face up", "right"),
    "side": (AFT, UP, "port face up", "left"),
    "top": (AFT, STARBOARD, "top face up", "right"),
}


def drawn(maker: "Maker", component: "Component") -> Path:
    """Return the panel's outline. Raises GeometryError."""
    outline = maker.shape(component, "outline")
    if outline is None and "outline" not in component.properties:
        raise Unsettled(f"{component.id}.outline")
    if outline is None:
        raise GeometryError("missing-property", f"panel '{component.id}' has no outline")
    return canonical(outline)


def parts(maker: "Maker", component: "Component") -> Iterable[Part]:
    """Yield the panel, in the hands that are wanted: as drawn, and as a mirror shows it."""
    part = _part(maker, component)
    wanted = maker.word(component, "hand")
    yield from in_hands(part, _hand_drawn(maker, component, part), wanted) if wanted else (part,)


def _hand_drawn(maker: "Maker", component: "Component", part: Part) -> str:
    """Return which hand a panel is as drawn: of the side on which it lies; in the middle, of the one that its view shows."""
    view = maker.word(component, "view")
    place = maker.point(component, "place")
    middle = centroid(part.outline)
    y = (0.0 if place is None else place[1]) + {"section": middle[0], "side": 0.0, "top": middle[1]}[view]
    if abs(y) < 0.05:
        return VIEWS[view][3]
    return "right" if y > 0 else "left"


def _score(maker: "Maker", child: "Component", outline: Path) -> Score:
    from shapely import LineString, Polygon

    ends = [maker.point(child, name) for name in ("from", "to")]
    assert ends[0] is not None
    assert ends[1] is not None
    wanted = LineString([ends[0][:2], ends[1][:2]])
    if wanted.length < 0.1:
        raise Refusal(
            "score-outside", f"score '{child.name}' begins where it ends: give it a length", child.span
        )
    inside = wanted.intersection(Polygon(flattened(outline, 0.005)))
    if inside.length < wanted.length - 0.05:
        raise Refusal(
            "score-outside",
            f"score '{child.name}' runs over the panel's edge: shorten it, or end it on the edge",
            child.span,
        )
    bend = maker.number(child, "bend") if maker.has(child, "bend") else 0.0
    return Score(line([(ends[0][0], ends[0][1]), (ends[1][0], ends[1][1])]), bend, maker.word(child, "side"))


def _part(maker: "Maker", component: "Component") -> Part:
    stock = maker.stock(component)
    right, up, face, _ = VIEWS[maker.word(component, "view")]
    opened = openings.opened(maker, component, maker.outline(component, drawn))
    place = maker.point(component, "place")
    placement = None if place is None else Flat((place[0], place[1], place[2]), right, up)
    return Part(
        id=component.id, name=component.id, component=component.id, hand="", stock=stock,
        quantity=maker.count(component, "quantity") or 1, outline=opened.outline, holes=opened.holes, far=(),
        scores=tuple(_score(maker, child, opened.outline) for child in maker.children(component, "score")), peels=(),
        marks=(), centres=opened.centres, notes=(face, *opened.notes, *openings.fits(maker, component)), edges=(Edge("rim", "", 0.0, length(opened.outline)),),
        grain=maker.word(component, "grain") or grain_of(stock.grain, opened.outline), placement=placement,
        properties=measure(opened.outline, opened.holes, (), (), stock, placement),
    )  # fmt: skip


def measures(maker: "Maker", component: "Component") -> Mapping[str, float]:
    """Return the width and height of the panel as drawn."""
    x0, y0, x1, y1 = bounds(maker.outline(component, drawn))
    return {"width": x1 - x0, "height": y1 - y0}


KIND = Kind(
    "panel",
    "any flat part",
    (
        Property(
            "outline", "shape", "as it is cut", "outline = rect(80 mm, 60 mm)", axis="across", required=True
        ),
        Property("stock", "stock", "what it is cut from", "stock = board"),
        Property(
            "view",
            "word",
            "how it is drawn: in section (y, z), from the side (x, z) or from the top (x, y)",
            "view = side",
            default="section",
            shown="section",
            choices=("section", "side", "top"),
        ),
        Property(
            "place", "point3", "where its drawing's origin stands: (x, y, z)", "place = (118 mm, 0 mm, 20 mm)"
        ),
        Property(
            "quantity", "count", "how many of each hand", "quantity = 2", default=1.0, shown="1", high=1000.0
        ),
        Property(
            "hand",
            "word",
            "left, right, or both: the one its view shows and its mirror image",
            "hand = both",
            choices=("left", "right", "both"),
        ),
        Property(
            "grain",
            "word",
            "which way its drawing lies on a stock with grain",
            "grain = across",
            choices=("along", "across", "free"),
        ),
    ),
    children=("hole", "holes", "slot", "score"),
    forward=(
        Measure("width", "width as drawn", needs=("outline",)),
        Measure("height", "height as drawn", needs=("outline",)),
        *element.MEASURES,
    ),
    parts=parts,
    measures=measures,
    example="panel floor {\n    outline = rect(120 mm, 60 mm)\n    stock = board\n    view = top\n}\n",
)
