"""A plate across the axis, at a station."""

import math
from collections.abc import Iterable, Mapping, Sequence
from functools import reduce
from typing import TYPE_CHECKING

from ringwright.geometry.errors import GeometryError
from ringwright.geometry.mass import measure
from ringwright.geometry.outline import inset
from ringwright.geometry.part import Centre, Edge, Mark, Part
from ringwright.geometry.path import Path, bounds, canonical, length, line, turned
from ringwright.geometry.place import section_frame
from ringwright.geometry.within import level_crossings, room_about
from ringwright.lang.components.names import station_of
from ringwright.lang.components.tree import property_of
from ringwright.lang.design.making import Unsettled
from ringwright.lang.kinds import element, openings
from ringwright.lang.kinds.kind import Kind, Measure, Property, Solved
from ringwright.lang.solve.algebra import add, divide, subtract
from ringwright.lang.solve.terms import Apply, Constant, Term, Unknown
from ringwright.lang.values.trouble import Trouble

if TYPE_CHECKING:
    from ringwright.lang.components.tree import Component
    from ringwright.lang.design.elaborate import Elaboration
    from ringwright.lang.design.making import Maker

DATUM_TICK = 8.0
LEAST_TICK = 1.0
CROSS = 5.0
LEAST_CROSS = 2.0
OUTLINE = "its outline as seen from behind, skin included"


def equations(elaboration: "Elaboration", component: "Component") -> None:
    """`at` is the face that `face` names; the other lies a thickness away."""
    _say_no_outline(elaboration, component)
    at = elaboration.unknown(component, "at")
    if "at" not in component.properties:
        station = station_of(elaboration.tree, component)
        if station is None:
            elaboration.say(
                "missing-property",
                f"nothing says where this former stands, and there is no station '{component.name}'",
                component.span,
                "write, for example: at = 118 mm",
            )
            elaboration.breaks(component, "at")
            return
        elaboration.rule(component, at, Unknown(f"{station}.x"), "a former stands at the station of its name")
    _inset(elaboration, component)
    fore, aft, x = (elaboration.unknown(component, name) for name in ("x_fore", "x_aft", "x"))
    elaboration.rule(component, x, at, "a former is measured at the face that `at` names")
    thickness = elaboration.thickness(component)
    elaboration.rule(component, aft, add(fore, thickness), "a former is as thick as its stock")
    given = {"fore": fore, "aft": aft, "centre": subtract(aft, divide(thickness, Constant(2.0)))}
    elaboration.rule(
        component, given[elaboration.word(component, "face")], at, "`at` names a face of the former"
    )


def _inset(elaboration: "Elaboration", component: "Component") -> None:
    """Where the text does not say how far a former is inset, the skins round it do: the thickest of them."""
    if elaboration.states(component, "inset"):
        return
    found: list[Term] = []
    for id in elaboration.evaluator.skins_of(component):
        wrap = elaboration.tree.components[id]
        room: Term = elaboration.thickness(wrap)
        if wrap.kind.name == "wrap" and elaboration.value(wrap, "grooves") is True:
            stock = elaboration.stock(wrap)
            has_facing = stock is not None and elaboration.states(stock, "facing")
            room = elaboration.unknown(stock, "facing") if stock is not None and has_facing else Constant(0.0)
        if room not in found:
            found.append(room)
    if not found:
        spec = property_of(component.kind, "inset")
        elaboration.default(component, spec._replace(shown="0 mm"), 0.0)
    else:
        text = "a former makes room for the skin that is bent round it"
        thickest = reduce(lambda thick, room: Apply("max", (thick, room)), found)
        elaboration.rule(component, elaboration.unknown(component, "inset"), thickest, text)


def _say_no_outline(elaboration: "Elaboration", component: "Component") -> None:
    if "outline" in component.properties:
        return
    try:
        if elaboration.evaluator.property(component, "outline") is not None:
            return
        elaboration.say(
            "missing-property",
            f"this former needs 'outline': {OUTLINE}",
            component.span,
            "write, for example: outline = @half[(0, 60), (40, 0), (0, -50)] mm; or let it stand at a station of the"
            " offsets",
        )
    except Trouble:
        pass  # reported with its properties
    elaboration.breaks(component, "outline")


def drawn(maker: "Maker", component: "Component") -> Path:
    """Return the outline of a former, inset for its skin, with its tabs. Raises GeometryError."""
    outline = bare(maker, component)
    if maker.value(component, "inset") is None and (skins := maker.evaluator.skins_of(component)):
        from ringwright.lang.kinds.skin_formers import with_tabs

        return canonical(with_tabs(maker, component, outline, skins))
    return outline


def bare(maker: "Maker", component: "Component") -> Path:
    """Return the outline of a former, inset for its skin, without tabs. Raises GeometryError."""
    outline = maker.shape(component, "outline")
    if outline is None and "outline" not in component.properties:
        raise Unsettled(f"{component.id}.outline")
    if outline is None:
        raise GeometryError(
            "missing-property",
            f"former '{component.id}' has no outline: draw it, for example with half[…] mm",
        )
    if maker.value(component, "inset") is None and (skins := maker.evaluator.skins_of(component)):
        from ringwright.lang.kinds.skin_formers import inset_for

        return canonical(inset_for(maker, component, outline, skins))
    depth = maker.number(component, "inset")
    return canonical(inset(outline, depth) if depth else outline)


def parts(maker: "Maker", component: "Component") -> Iterable[Part]:
    """Yield the former, its aft face up."""
    stock = maker.stock(component)
    rimmed = any("rim" in child.properties for child in maker.children(component, "hole"))
    opened = openings.opened(
        maker, component, maker.outline(component, drawn), rim=bare(maker, component) if rimmed else None
    )
    placement = section_frame(maker.number(component, "x_aft"))
    notes, marks, edges = _inside_skins(maker, component, opened.outline)
    yield Part(
        id=component.id, name=component.id, component=component.id, hand="", stock=stock,
        quantity=maker.count(component, "quantity") or 1, outline=opened.outline, holes=opened.holes, far=(), scores=(),
        peels=(), marks=(*datum_marks(opened.outline, opened.holes), *marks), centres=(*_origin(opened), *opened.centres),
        notes=("aft face up", *notes, *opened.notes, *openings.thrust(maker, component), *openings.fits(maker, component)), edges=edges, grain=grain_of(stock.grain, opened.outline),
        placement=placement, properties=measure(opened.outline, opened.holes, (), (), stock, placement),
    )  # fmt: skip


def _inside_skins(
    maker: "Maker", component: "Component", outline: Path
) -> tuple[tuple[str, ...], tuple[Mark, ...], tuple[Edge, ...]]:
    """Return notes, marks and edges of a former: its one rim, or what its skins make of it."""
    rim = Edge("rim", "", 0.0, length(outline))
    skins = maker.evaluator.skins_of(component)
    if not skins or maker.value(component, "inset") is not None:
        return (), (), (rim,)
    from ringwright.lang.kinds.skin_formers import told

    notes, marks, edges = told(maker, component, skins, outline)
    covered = sum(edge.length for edge in edges)
    bare = (rim._replace(length=rim.length - covered),) if rim.length - covered > 1.0 else ()
    return notes, marks, (*edges, *bare)


def _origin(opened: openings.Opened) -> tuple[Centre, ...]:
    """Return a cross on the datum line where it lies on the sheet with room around it."""
    arm = min(CROSS, room_about(opened.outline, opened.holes, (0.0, 0.0)) - 1.0)
    return (Centre((0.0, 0.0), arm),) if arm >= LEAST_CROSS else ()


def datum_marks(outline: Path, holes: Sequence[Path] = ()) -> tuple[Mark, ...]:
    """Return ticks at the rim: at top and bottom centre, and on the datum line left and right.

    On a narrow sheet or rim they are shorter.
    """
    found = []
    for rim, inner, is_upper in _ends([turned(path, -math.pi / 2) for path in (outline, *holes)]):
        kind, text = ("top", "top") if is_upper else ("line", "")
        found.append(Mark(line([(0.0, rim), (0.0, inner)]), kind, text))
    for rim, inner, is_right in _ends([outline, *holes]):
        found.append(Mark(line([(rim, 0.0), (inner, 0.0)]), "datum", "" if is_right else "datum"))
    return tuple(found)


def _ends(paths: Sequence[Path]) -> list[tuple[float, float, bool]]:
    """Return the ticks at either end of the level line through the middle of a sheet: from where to where, at the rim
    first, and whether it is the upper end.

    paths: outline, then holes.
    """
    crossings = sorted(x for path in paths for x in level_crossings(path, 0.0))
    if not crossings:
        return []
    (low, low_end), (high_end, high) = crossings[:2], crossings[-2:]
    # Two ticks share a stretch without an opening, and leave half of it free.
    share = 0.25 if len(crossings) == 2 else 0.5
    ends = [
        (high, high - min(DATUM_TICK, share * (high - high_end)), True),
        (low, low + min(DATUM_TICK, share * (low_end - low)), False),
    ]
    return [end for end in ends if abs(end[0] - end[1]) >= LEAST_TICK]


def grain_of(stock_grain: str, outline: Path) -> str:
    """Return which way the grain runs on a part of a stock that has one: along its longer dimension."""
    if stock_grain == "none":
        return "free"
    x0, y0, x1, y1 = bounds(outline)
    return "along" if x1 - x0 >= y1 - y0 else "across"


def measures(maker: "Maker", component: "Component") -> Mapping[str, float]:
    """Return the width and height of the former as cut."""
    x0, y0, x1, y1 = bounds(maker.outline(component, drawn))
    return {"width": x1 - x0, "height": y1 - y0}


KIND = Kind(
    "former",
    "a plate across the aircraft's axis",
    (
        Property(
            "at",
            "place",
            "where it stands: the station of its name unless given",
            "at = 118 mm",
            axis="along",
        ),
        Property(
            "face",
            "word",
            "which of its faces stands there",
            "face = aft",
            default="fore",
            shown="fore",
            choices=("fore", "aft", "centre"),
        ),
        Property("stock", "stock", "what it is cut from", "stock = board"),
        Property(
            "outline",
            "shape",
            OUTLINE,
            "outline = @half[(0, 60), (40, 0), (0, -50)] mm",
            axis="across",
            at_station=True,
        ),
        Property(
            "inset",
            "amount",
            "how far it is cut inside its outline; unless given by the skins that are bent round it: all round, or along"
            " their arcs, and further where they slope",
            "inset = card.thickness",
            optional=True,
            low=-1e3,
            high=1e3,
        ),
        Property(
            "tab",
            "amount",
            "width of a tab in the middle of each edge that a side, a floor or a deck passes, on a short edge half of that;"
            " those get a slot for it",
            "tab = 20 mm",
            optional=True,
            low=0.0,
            high=1e4,
        ),
        Property("quantity", "count", "how many of it", "quantity = 2", default=1.0, shown="1", high=1000.0),
    ),
    children=("hole", "holes", "slot", "thrust"),
    solved=(
        Solved("x", "the plane at which it stands"),
        Solved("x_fore", "its face nearer the nose"),
        Solved("x_aft", "its face nearer the tail"),
    ),
    forward=(
        Measure("width", "width as cut", needs=("outline", "inset")),
        Measure("height", "height as cut", needs=("outline", "inset")),
        *element.MEASURES,
    ),
    equations=equations,
    parts=parts,
    measures=measures,
    example="former F2 {\n    at = 118 mm\n    stock = board\n    outline = @half[(0, 60), (40, 0), (0, -50)] mm\n}\n",
)
