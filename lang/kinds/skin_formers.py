"""No kind: formers inside skins: how far they are cut inside their outline, and what is said of it on them."""

import math
from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING, NamedTuple

from ringwright.geometry.errors import GeometryError
from ringwright.geometry.numbers import short
from ringwright.geometry.outline import joined
from ringwright.geometry.part import Edge, Mark, Stock
from ringwright.geometry.path import Path, Point, flattened, line
from ringwright.geometry.wrap.inside import Inside, inside, left_by
from ringwright.geometry.wrap.inside import bevel as second_line
from ringwright.geometry.wrap.section import Section, along, mirrored
from ringwright.lang.design.hands import OTHER
from ringwright.lang.design.making import Unsettled
from ringwright.lang.kinds.lengthwise import lean_at, sheeted, slope_at, wanted_hand
from ringwright.lang.kinds.skin import hands, skinned
from ringwright.lang.kinds.skin_parts import LEAST_BEVEL
from ringwright.lang.kinds.tabs import tabs

if TYPE_CHECKING:
    from ringwright.lang.components.tree import Component
    from ringwright.lang.design.making import Maker

TICK = 6.0
JUST = 0.001
"""How far beside a former a skin is looked at to see how it goes on, mm."""
UNEVEN = 0.1
"""From what difference along an edge a bevel has no one width, mm."""


class Met(NamedTuple):
    """A skin that a former lies inside of.

    name: of the skin, with its hand. marked: whether its edges are marked on the former. sides: how it goes on from there
    towards the nose and towards the tail. outer: its outer face at the former. centre: a place inside it there.
    """

    name: str
    stock: Stock
    marked: bool
    found: Inside
    sides: tuple[Inside, Inside]
    outer: Section
    centre: Point


def met(maker: "Maker", component: "Component", skins: tuple[str, ...]) -> Iterator[Met]:
    """Yield the skins round a former, with where it ends in each. Raises GeometryError, Unsettled."""
    for id in skins:
        skin = maker.tree.components[id]
        try:
            yield from (_in_wrap if skin.kind.name == "wrap" else _beside)(maker, component, skin)
        except GeometryError:
            raise Unsettled(id) from None  # reported where the skin is made


def _in_wrap(maker: "Maker", component: "Component", wrap: "Component") -> Iterator[Met]:
    made = skinned(maker, wrap)
    named = next((over for over in made.over if over.former == component.id), None)
    x = maker.number(component, "x") if named is None else named.x
    strip, outer = made.strip_at(x), made.outer_at(x)
    if strip is None or outer is None:
        return
    stock = made.stock
    # A former stands on the inner face of a skin, or on the ground of its groove.
    off = stock.facing if maker.flag(wrap, "grooves") else stock.thickness
    depth = off - (1 - stock.neutral) * stock.thickness
    found = inside(strip.surface, x, depth, off, made.closed)
    sides = []
    for near in (x - JUST, x + JUST):
        goes_on = made.strip_at(near)
        sides.append(found if goes_on is None else inside(goes_on.surface, near, depth, off, made.closed))
    drawn, wanted = hands(maker, wrap, made)
    here = Met(wrap.name, stock, True, found, (sides[0], sides[1]), outer, made.centre_at(x))
    yield from _handed(here, drawn, wanted)


def _handed(here: Met, drawn: str, wanted: str) -> Iterator[Met]:
    """Yield a skin in the hands that are wanted of it."""
    if wanted == "both":
        yield here._replace(name=f"{here.name}.{drawn}")
        yield _mirrored(here)._replace(name=f"{here.name}.{OTHER[drawn]}")
    else:
        yield here if wanted in ("", drawn) else _mirrored(here)


def _mirrored(met_here: Met) -> Met:
    y, z = met_here.centre
    return met_here._replace(
        found=_mirrored_in(met_here.found),
        sides=(_mirrored_in(met_here.sides[0]), _mirrored_in(met_here.sides[1])),
        outer=mirrored(met_here.outer),
        centre=(0.0 - y, z),
    )


def _mirrored_in(found: Inside) -> Inside:
    return found._replace(line=mirrored(found.line), slopes=found.slopes[::-1])


def _beside(maker: "Maker", component: "Component", sheet: "Component") -> Iterator[Met]:
    """Yield a side in its hands, a floor or a deck, where it passes a former: straight from line to line there."""
    made, x = sheeted(maker, sheet), maker.number(component, "x")
    if not made.reach[0] - 1e-6 <= x <= made.reach[1] + 1e-6:
        return
    ends = [(x, line.y(x), line.z(x)) for line in made.lines]
    if sheet.kind.name == "floor":
        ends.reverse()
    outer, lean = along(ends), lean_at(made, x)
    off = made.stock.thickness / math.cos(lean)
    (_, y0, z0), (_, y1, z1) = ends
    long = math.dist(*ends)
    # Run with growing turn, so that the inside is to the right.
    wy, wz = off * (z1 - z0) / long, off * (y0 - y1) / long
    inner = along([(x, y + wy, z + wz) for _, y, z in ends])
    slope = slope_at(made, x)
    found = Inside(inner, off, off, lean, (slope, slope))
    wanted = wanted_hand(maker, sheet)
    here = Met(sheet.name, made.stock, False, found, (found, found), outer, ((y0 + y1) / 2, (z0 + z1) / 2))
    yield from _handed(here, "right", wanted)


def inset_for(maker: "Maker", component: "Component", outline: Path, skins: tuple[str, ...]) -> Path:
    """Return the outline of a former without what its skins take. Raises GeometryError, Unsettled."""
    left = outline
    for skin in met(maker, component, skins):
        left = left_by(left, outline, skin.found, skin.outer.points)
    return left


def with_tabs(maker: "Maker", component: "Component", outline: Path, skins: tuple[str, ...]) -> Path:
    """Return the outline of a former with the tabs that go through its sides, floors and decks."""
    left = outline
    for sheet in (maker.tree.components[id] for id in skins):
        if sheet.kind.name != "wrap":
            for tab in tabs(maker, component, sheet):
                left = joined(left, tab.former)
    return left


class Told(NamedTuple):
    """What a former inside skins has on it."""

    notes: tuple[str, ...]
    marks: tuple[Mark, ...]
    edges: tuple[Edge, ...]


def told(maker: "Maker", component: "Component", skins: tuple[str, ...], outline: Path) -> Told:
    """Return by how much a former of that outline is inset for each skin, where the skin's edges lie, and its edges."""
    from shapely import LineString, Polygon

    sheet = Polygon(flattened(outline, 0.005)).buffer(0.05)
    said: dict[str, list[str]] = {}
    marks, edges = [], []
    x, fore, aft = (maker.number(component, name) for name in ("x", "x_fore", "x_aft"))
    for skin in met(maker, component, skins):
        found = skin.found
        name = skin.name.removesuffix(".left").removesuffix(".right")
        said.setdefault(f"inset {maker.span(found.least, found.most)}", []).append(name)
        bevels = []
        for face, further, on in (("fore", fore - x, skin.sides[0]), ("aft", aft - x, skin.sides[1])):
            # The outline is as large as it is in the plane where it is measured; a face beyond it is smaller where the
            # skin comes in towards it.
            widths = [further * slope for slope in on.slopes]
            if max(widths) < LEAST_BEVEL:
                continue
            bevels.append((face, math.atan2(max(widths), abs(further))))
            even = max(widths) - min(widths) < UNEVEN
            text = f"{'' if even else 'up to '}{maker.length(max(widths))} ({short(math.degrees(bevels[-1][1]), 1)}°)"
            said.setdefault(f"bevel {text} off the {face} face", []).append(name)
            marks += [Mark(path, "bevel", text) for path in second_line(on, further, outline)]
        for face, bevel in bevels or [("", 0.0)]:
            edges.append(Edge("rim", skin.name, bevel, found.length, face))
        if not skin.marked:
            continue  # its edges are those of the former itself
        points = _apart([(y, z) for _, y, z in found.line.points])
        if len(points) < 2:
            continue
        ends = [(points[0], points[1], skin.name)]
        if not found.line.closed:
            ends.append((points[-1], points[-2], ""))
        found_marks = [_edge_mark(at, near, text, skin) for at, near, text in ends]
        # Where another skin lies over it, an edge has no place on the former.
        marks += [mark for mark in found_marks if sheet.contains(LineString(mark.path.points))]
    notes = [f"{text} for {', '.join(dict.fromkeys(names))}" for text, names in said.items()]
    return Told(tuple(notes), tuple(marks), tuple(edges))


def _apart(points: Iterable[Point]) -> list[Point]:
    """The points without those that lie on the one before: where a bend is tight, its inner corners fall together."""
    kept: list[Point] = []
    for at in points:
        if not kept or math.dist(kept[-1], at) > 1e-6:
            kept.append(at)
    return kept


def _edge_mark(at: Point, near: Point, text: str, skin: Met) -> Mark:
    """A tick into the former, square to its rim, where an edge of a skin lies."""
    y0, z0 = skin.centre
    along = math.dist(at, near)
    uy, uz = (near[1] - at[1]) / along, (at[0] - near[0]) / along
    if uy * (y0 - at[0]) + uz * (z0 - at[1]) < 0:
        uy, uz = -uy, -uz
    said = f"{text} seam" if text and skin.found.line.closed else text
    return Mark(line([at, (at[0] + TICK * uy, at[1] + TICK * uz)]), "line", said)
