"""Any flat part, drawn as it is cut."""

from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING

from ringwright.geometry import outline as shapes
from ringwright.geometry.errors import GeometryError
from ringwright.geometry.mass import measure
from ringwright.geometry.part import Centre, Edge, Flat, Part, Score, Vector
from ringwright.geometry.path import Path, as_hole, bounds, canonical, flattened, length, line, mirrored
from ringwright.geometry.place import AFT, FORWARD, STARBOARD, UP
from ringwright.lang.kinds import element, openings
from ringwright.lang.kinds.former import grain_of
from ringwright.lang.kinds.kind import Kind, Measure, Property

if TYPE_CHECKING:
    from ringwright.lang.making import Maker
    from ringwright.lang.tree import Component

# How each view lies in the aircraft: right and up on the drawing, and the face one looks at.
VIEWS = {
    "section": (STARBOARD, UP, "aft face up"),
    "side": (AFT, UP, "port face up"),
    "top": (AFT, STARBOARD, "top face up"),
}
MIRRORED = {"section": "fore face up", "side": "starboard face up", "top": "bottom face up"}
BACKWARDS = {
    "section": ((0.0, -1.0, 0.0), UP),
    "side": (FORWARD, UP),
    "top": (FORWARD, STARBOARD),
}


def drawn(maker: "Maker", component: "Component") -> Path:
    """Return the panel's outline. Raises GeometryError."""
    outline = maker.shape(component, "outline")
    if outline is None:
        raise GeometryError("missing-property", f"panel '{component.id}' has no outline")
    return canonical(outline)


def parts(maker: "Maker", component: "Component") -> Iterable[Part]:
    """Yield the panel, or its two hands; the left one is drawn, the right one is its mirror image."""
    opened = openings.opened(maker, component, drawn(maker, component))
    scores = tuple(_score(maker, child, opened.outline) for child in maker.children(component, "score"))
    hand = maker.word(component, "hand")
    for side in ("left", "right") if hand == "both" else (hand,):
        yield _part(maker, component, opened, scores, side, hand == "both")


def _score(maker: "Maker", child: "Component", outline: Path) -> Score:
    from shapely import LineString, Polygon

    ends = [maker.point(child, name) for name in ("from", "to")]
    assert ends[0] is not None
    assert ends[1] is not None
    wanted = LineString([ends[0][:2], ends[1][:2]])
    inside = wanted.intersection(Polygon(flattened(outline, 0.005)))
    if inside.length < wanted.length - 0.05:
        raise GeometryError(
            "score-outside", f"score '{child.name}' runs over the panel's edge: shorten it, or end it on the edge"
        )
    bend = maker.number(child, "bend") if maker.has(child, "bend") else 0.0
    return Score(line([(ends[0][0], ends[0][1]), (ends[1][0], ends[1][1])]), bend, maker.word(child, "side"))


def _part(
    maker: "Maker",
    component: "Component",
    opened: openings.Opened,
    scores: tuple[Score, ...],
    side: str,
    both: bool,
) -> Part:
    stock = maker.stock(component)
    view = maker.word(component, "view")
    right, up, face = VIEWS[view]
    outline, holes, centres = opened.outline, opened.holes, opened.centres
    if both and side == "right":
        outline = canonical(shapes.mirrored(outline))
        holes = tuple(as_hole(mirrored(hole)) for hole in holes)
        centres = tuple(Centre((-centre.at[0], centre.at[1]), centre.arm) for centre in centres)
        scores = tuple(score._replace(path=mirrored(score.path)) for score in scores)
        (right, up), face = BACKWARDS[view], MIRRORED[view]
    place = maker.point(component, "place")
    placement = None if place is None else _frame(place, right, up, both and side == "right")
    grain = maker.word(component, "grain") or grain_of(stock.grain, outline)
    id = f"{component.id}.{side}" if both else component.id
    return Part(
        id=id, name=id, component=component.id, hand=side, stock=stock, quantity=maker.count(component, "quantity") or 1,
        outline=outline, holes=holes, far=(), scores=scores, peels=(), marks=(), centres=centres, notes=(face,),
        edges=(Edge("rim", "", 0.0, length(outline)),), grain=grain, placement=placement,
        properties=measure(outline, holes, (), (), stock, placement),
    )  # fmt: skip


def _frame(place: tuple[float, ...], right: Vector, up: Vector, other: bool) -> Flat:
    """Return where the panel's origin stands; that of the other hand is the mirror image across the aircraft."""
    x, y, z = place[0], place[1], place[2]
    return Flat((x, -y if other else y, z), right, up)


def measures(maker: "Maker", component: "Component") -> Mapping[str, float]:
    """Return the width and height of the panel as drawn."""
    x0, y0, x1, y1 = bounds(drawn(maker, component))
    return {"width": x1 - x0, "height": y1 - y0}


KIND = Kind(
    "panel",
    "any flat part",
    (
        Property("outline", "shape", "as it is cut", "outline = rect(80 mm, 60 mm)", axis="across", required=True),
        Property("stock", "stock", "what it is cut from", "stock = board"),
        Property(
            "view", "word", "how it is drawn: in section (y, z), from the side (x, z) or from the top (x, y)", "view = side",
            default="section", shown="section", choices=("section", "side", "top"),
        ),
        Property("place", "point3", "where its drawing's origin stands: (x, y, z)", "place = (118 mm, 0 mm, 20 mm)"),
        Property("quantity", "count", "how many of each hand", "quantity = 2", default=1.0, shown="1"),
        Property("hand", "word", "left, right, or both as mirror images", "hand = both", choices=("left", "right", "both")),
        Property(
            "grain", "word", "which way its drawing lies on a stock with grain", "grain = across", choices=("along", "across", "free")
        ),
    ),
    children=("hole", "holes", "slot", "score"),
    forward=(Measure("width", "width as drawn"), Measure("height", "height as drawn"), *element.MEASURES),
    parts=parts,
    measures=measures,
    example="panel floor {\n    outline = rect(120 mm, 60 mm)\n    stock = board\n    view = top\n}\n",
)
