"""No kind: the seats of wings in the sheets, formers and panels that they meet."""

import math
from collections.abc import Callable, Iterator
from typing import TYPE_CHECKING

from ringwright.geometry import seat as cutting
from ringwright.geometry.errors import GeometryError
from ringwright.geometry.numbers import short
from ringwright.geometry.path import Path, Point, bounds, canonical, closed, flattened, moved
from ringwright.geometry.seat import Seat
from ringwright.geometry.wrap import carry
from ringwright.geometry.wrap.sheet import Sheet
from ringwright.geometry.wrap.surface import facets, skirted
from ringwright.lang.components.ranges import members
from ringwright.lang.design.making import Unsettled
from ringwright.lang.kinds import openings
from ringwright.lang.kinds.lengthwise import Sheeted, sheeted
from ringwright.lang.kinds.sheet_openings import SEEN_FROM_BELOW, SEEN_FROM_SIDE
from ringwright.lang.values.value import Reference, named

if TYPE_CHECKING:
    from ringwright.lang.components.tree import Component
    from ringwright.lang.design.making import Maker
    from shapely import Polygon

SEATED = ("side", "deck", "floor", "former", "panel")
SHEETS = SEATED[:3]
REACH = 1000.0
"""How far out the second section of a seat without a wing is taken, mm."""
LEDGE = 4.0
"""Where less than this would be left over or under a wing, its seat is open, mm. Our choice: the usual least rim."""
MARGIN = 3.0
_CHORDS = 0.005


def seats(maker: "Maker", component: "Component") -> Iterator[tuple["Component", Seat]]:
    """Yield the saddles that may cut a component, with their seats. Raises GeometryError, Unsettled."""
    if component.kind.name not in SEATED:
        return
    for id in maker.saddles:
        saddle = maker.tree.components[id]
        if not _is_on(maker, saddle, component):
            continue
        try:
            found = seat_of(maker, saddle)
        except GeometryError:
            raise Unsettled(id) from None  # reported at the saddle
        yield saddle, found


def seat_of(maker: "Maker", saddle: "Component") -> Seat:
    """Return the seat that a saddle asks for, once however often it is asked for. Raises GeometryError, Unsettled."""
    found = maker.seats.get(saddle.id)
    if found is None:
        found = maker.seats[saddle.id] = _seat(maker, saddle)
    return found


def _seat(maker: "Maker", saddle: "Component") -> Seat:
    inner, outer, span = _sections(maker, saddle)
    seat = Seat(inner, outer, span, maker.word(saddle, "open") or "through", maker.number(saddle, "fit"))
    if maker.word(saddle, "open"):
        return seat
    way = _way_in(maker, saddle, seat)
    maker.default(saddle, "open", way)
    return seat._replace(open=way)


def _sections(maker: "Maker", saddle: "Component") -> tuple[tuple[Point, ...], tuple[Point, ...], float]:
    """Return a wing's sections in the middle and further out, and how far."""
    wing = maker.value(saddle, "wing")
    if (wing is None) == ("outline" not in saddle.properties):
        raise GeometryError(
            "saddle-form", f"saddle '{saddle.name}' needs either a wing, or an outline and its place"
        )
    if isinstance(wing, Reference):
        return _of_wing(maker, maker.tree.components[wing.id])
    outline, place = maker.shape(saddle, "outline"), maker.point(saddle, "place")
    if outline is None:
        raise Unsettled(f"{saddle.id}.outline")
    if place is None:
        raise GeometryError(
            "saddle-form", f"saddle '{saddle.name}' needs a place: that of its outline's origin"
        )
    up = maker.number(saddle, "incidence")
    cos, sin = math.cos(up), math.sin(up)
    inner = tuple(
        (place[0] + x * cos + z * sin, place[2] + z * cos - x * sin) for x, z in flattened(outline, _CHORDS)
    )
    rise = REACH * math.tan(maker.number(saddle, "dihedral"))
    return inner, tuple((x, z + rise) for x, z in inner), REACH


def _of_wing(maker: "Maker", wing: "Component") -> tuple[tuple[Point, ...], tuple[Point, ...], float]:
    from ringwright.geometry.wing.planform import in_frame, sliced
    from ringwright.geometry.wing.profile import at_chord
    from ringwright.lang.kinds.surface import lifted

    of = lifted(maker, wing)
    panel = of.panels[0]
    found = []
    for along in (0.0, panel.long):
        cut = sliced(panel, along, 0.0)
        chord = cut.station.chord
        if cut.station.profile is None:
            thick = maker.stock(wing).thickness / 2
            points: tuple[Point, ...] = ((chord, thick), (0.0, thick), (0.0, -thick), (chord, -thick))
        else:
            points = at_chord(cut.station.profile, chord)
        spots = [of.mount.at(in_frame(cut.flat, cut.drawn(at))) for at in points]
        found.append(tuple((x, z) for x, _, z in spots))
    return found[0], found[1], panel.outer.y


def _way_in(maker: "Maker", saddle: "Component", seat: Seat) -> str:
    """Return which way a seat is open: where little or nothing would be left of the first side or former over or under it."""
    for component in maker.tree.components.values():
        if component.kind.name not in ("side", "former") or not _is_on(maker, saddle, component):
            continue
        if component.kind.name == "side":
            made = sheeted(maker, component)
            shape = cutting.section(seat, _breadth(made)) if _is_beside(made, seat) else None
            if shape is None:
                continue
            x = min(max((shape.bounds[0] + shape.bounds[2]) / 2, made.reach[0]), made.reach[1])
            high, low = made.lines[0].z(x), made.lines[1].z(x)
            span = (shape.bounds[1], shape.bounds[3])
        else:
            faces = maker.number(component, "x_fore"), maker.number(component, "x_aft")
            outline = maker.shape(component, "outline")
            met = cutting.heights(seat, *faces, 0.0)
            if outline is None or met is None:
                continue
            (_, low, _, high), span = bounds(outline), met
        if span[1] < low or span[0] > high:
            continue
        over, under = high - span[1], span[0] - low
        if min(over, under) >= LEDGE:
            return "through"
        return "above" if over <= under else "below"
    return "through"


def _is_beside(made: Sheeted, seat: Seat) -> bool:
    xs = [x for x, _ in seat.inner]
    return min(xs) < made.reach[1] and max(xs) > made.reach[0]


def _is_on(maker: "Maker", saddle: "Component", component: "Component") -> bool:
    """Whether a saddle is cut in a component, if it meets it."""
    value = maker.value(saddle, "on")
    if value is None:
        wing = maker.value(saddle, "wing")
        return not isinstance(wing, Reference) or not f"{component.id}.".startswith(f"{wing.id}.")
    on = named(value)
    stock = maker.evaluator.stock_of(component)
    if stock is not None and stock.id in on:
        return True
    return any(
        component.id == id or component.id.startswith(f"{id}.") or component.id in members(maker.tree, id)
        for id in on
    )


def note(maker: "Maker", saddle: "Component") -> str:
    """Return what a label says of a seat: whose it is."""
    wing = maker.value(saddle, "wing")
    return f"seat of {maker.tree.components[wing.id].name if isinstance(wing, Reference) else saddle.name}"


# -- flat parts -----------------------------------------------------------------------------------


def cut_from(maker: "Maker", component: "Component", outline: Path) -> Iterator[openings.Opening]:
    """Yield what seats take from a former or a panel, in its drawing. Raises GeometryError, Unsettled."""
    for saddle, seat in seats(maker, component):
        for path in _flat(maker, component, seat, outline):
            if openings.crosses(path, outline) or openings.covers(outline, path):
                yield openings.Opening(saddle, path, None)


def _flat(maker: "Maker", component: "Component", seat: Seat, outline: Path) -> Iterator[Path]:
    left, low, right, high = bounds(outline)
    if component.kind.name == "former":
        faces = maker.number(component, "x_fore"), maker.number(component, "x_aft")
        path = cutting.across(seat, *faces, max(abs(left), abs(right)) + 1.0)
        yield from () if path is None else (path,)
        return
    place = maker.point(component, "place")
    if place is None:
        return
    x, y, z = place
    view, thick = maker.word(component, "view"), maker.stock(component).thickness
    if view == "section":
        path = cutting.across(seat, x - thick, x, max(abs(y + left), abs(y + right)) + 1.0)
        yield from () if path is None else (canonical(moved(path, (-y, -z))),)
    elif view == "side":
        # Its port face is at y, and is drawn; the seat clears both.
        shape = cutting.section(seat, lambda _: y)
        if seat.span > abs(y):
            yield canonical(moved(closed(shape.exterior.coords), (-x, -z)))
    else:
        breadth = min(max(abs(y + low), abs(y + high)) + 1.0, seat.span)
        for start, end in cutting.along(
            seat, (x + left - 1.0, x + right + 1.0), lambda _: (z - thick, z), lambda _: breadth
        ):
            yield canonical(_box(start - x, -breadth - y, end - x, breadth - y))


def _box(left: float, low: float, right: float, high: float) -> Path:
    return closed([(left, low), (right, low), (right, high), (left, high)])


# -- bent sheets ----------------------------------------------------------------------------------


def cut_from_sheet(
    maker: "Maker", component: "Component", made: Sheeted, one: Sheet
) -> Iterator[tuple["Component", "Polygon"]]:
    """Yield what seats take from a sheet of a side, a deck or a floor, laid flat. Raises GeometryError, Unsettled."""
    from shapely import Polygon

    found = [(saddle, seat) for saddle, seat in seats(maker, component) if _is_beside(made, seat)]
    if not found:
        return
    view = _view(component, made, one)
    wide = facets(skirted(one.surface, 3 * MARGIN))
    is_side = component.kind.name == "side"
    frame = SEEN_FROM_SIDE if is_side else SEEN_FROM_BELOW
    for saddle, seat in found:
        shapes = [cutting.section(seat, _breadth(made))] if is_side else list(_levels(made, seat))
        for shape in shapes:
            for path in cutting.drawn(shape.intersection(view)):
                left, _, right, _ = bounds(path)
                near = [f for f in wide if _meets(f.space, left - 1.0, right + 1.0)]
                flat = carry.opening_through(near, path, frame, is_side)
                yield saddle, Polygon(flat.points).buffer(0)


def _meets(corners: tuple[tuple[float, float, float], ...], left: float, right: float) -> bool:
    xs = [x for x, _, _ in corners]
    return min(xs) <= right and max(xs) >= left


def _levels(made: Sheeted, seat: Seat) -> Iterator["Polygon"]:
    from shapely import box

    thick = made.stock.thickness
    outer = made.lines[0].z

    def faces(x: float) -> Point:
        return (outer(x), outer(x) + thick) if made.below else (outer(x) - thick, outer(x))

    out = _breadth(made)

    def breadth(x: float) -> float:
        return min(abs(out(x)), seat.span)

    for start, end in cutting.along(seat, made.reach, faces, breadth):
        # Where it runs out at an end of the sheet it runs out past it.
        start, end = (
            at + way * MARGIN if abs(at - stop) < 1e-9 else at
            for at, stop, way in ((start, made.reach[0], -1), (end, made.reach[1], 1))
        )
        yield box(start, -seat.span, end, seat.span)


def _breadth(made: Sheeted) -> Callable[[float], float]:
    """Return how far out the first edge of a sheet lies at a place along x; past its ends as at them."""
    return lambda x: made.lines[0].y(_held(x, made.reach))


def _held(x: float, reach: tuple[float, float]) -> float:
    return min(max(x, reach[0]), reach[1])


def _view(component: "Component", made: Sheeted, one: Sheet) -> "Polygon":
    """A sheet as it is seen from the side or from above, a margin wider all round."""
    spots = [spot[0] for thread in one.surface.space for spot in thread]
    start, end = _held(min(spots), made.reach), _held(max(spots), made.reach)
    count = max(2, int((end - start) / 2.0))
    xs = [start + (end - start) * k / count for k in range(count + 1)]
    first, second = (
        [(x, line.z(x) if component.kind.name == "side" else line.y(x)) for x in xs] for line in made.lines
    )
    return cutting.view_of((first, second), MARGIN)


# -- what is missed -------------------------------------------------------------------------------


def missed(maker: "Maker", saddle: "Component", seat: Seat) -> str:
    """Return by how much a seat misses the nearest of what it may be cut in; '' where it meets any of it."""
    gaps = []
    for component in maker.tree.components.values():
        if component.kind.name not in SEATED or not _is_on(maker, saddle, component):
            continue
        gap = _gap(maker, component, seat)
        if gap == 0.0:
            return ""
        if gap is not None:
            gaps.append((abs(gap), gap, component.id))
    if not gaps:
        return "lies where nothing is that it could be cut in"
    _, gap, id = min(gaps)
    return f"passes {short(abs(gap), 1)} mm {'over' if gap > 0 else 'under'} '{id}', and meets nothing"


def _gap(maker: "Maker", component: "Component", seat: Seat) -> float | None:
    """Return how far a seat is over a component (+) or under it (-), 0 where it meets it, mm; None where it lies elsewhere."""
    try:
        if component.kind.name in SHEETS:
            made = sheeted(maker, component)
            if not _is_beside(made, seat):
                return None
            xs = [x for x, _ in seat.inner]
            low_x, high_x = _held(min(xs), made.reach), _held(max(xs), made.reach)
            span = cutting.heights(seat, low_x, high_x, 0.0)
            ends = [line.z(x) for line in made.lines for x in (low_x, (low_x + high_x) / 2, high_x)]
            low, high = min(ends), max(ends)
            if component.kind.name != "side":
                thick = made.stock.thickness
                low, high = (low, high + thick) if made.below else (low - thick, high)
        elif component.kind.name == "former":
            outline = maker.shape(component, "outline")
            faces = maker.number(component, "x_fore"), maker.number(component, "x_aft")
            span = cutting.heights(seat, *faces, 0.0)
            if outline is None:
                return None
            _, low, _, high = bounds(outline)
        else:
            outline = maker.shape(component, "outline")
            if outline is None:
                return None
            cuts = list(_flat(maker, component, seat, outline))
            met = any(openings.crosses(path, outline) or openings.covers(outline, path) for path in cuts)
            return 0.0 if met else None
    except (GeometryError, Unsettled):
        return None  # reported where it is made
    if span is None:
        return None
    return max(0.0, span[0] - high) or min(0.0, span[1] - low)
