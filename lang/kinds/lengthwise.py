"""No kind: sides, floors and decks: sheets bent along the fuselage between two lines of the offsets."""

import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import TYPE_CHECKING, NamedTuple

from ringwright.geometry import seat
from ringwright.geometry.errors import GeometryError
from ringwright.geometry.part import Bent, Centre, Edge, Facet, Mark, Part, Stock
from ringwright.geometry.path import Path, as_hole, bounds, flattened, line
from ringwright.geometry.place import STARBOARD, UP
from ringwright.geometry.wrap import carry, score
from ringwright.geometry.wrap.bend import bends
from ringwright.geometry.wrap.peel import shared
from ringwright.geometry.wrap.sheet import Sheet, sheet
from ringwright.geometry.wrap.side import SpaceLine, deck, floor, side
from ringwright.geometry.wrap.strip import Strip
from ringwright.geometry.wrap.surface import facets, level
from ringwright.geometry.wrap.weigh import weighed
from ringwright.lang.components import ranges
from ringwright.lang.components.names import Scope
from ringwright.lang.components.passing import stations_of, table_along
from ringwright.lang.design.hands import hands_of, in_hands
from ringwright.lang.design.making import Refusal, Unsettled
from ringwright.lang.design.stations import line_in_space, reach
from ringwright.lang.kinds import openings, sheet_openings, splices
from ringwright.lang.kinds.joints import Joint, cut, ends_of, evenly, joint_lines, said, tapers
from ringwright.lang.kinds.skin_parts import MOST_PIECES, fits_sheet, papers, peeling, strap
from ringwright.lang.kinds.skin_warnings import stretches, tight_bend
from ringwright.lang.kinds.standing import face_lines, others, reaches_in, standing
from ringwright.lang.values.value import TableLine

if TYPE_CHECKING:
    from ringwright.lang.components.tree import Component
    from ringwright.lang.design.making import Maker
    from shapely import Polygon

UPWARDS = {"side": UP, "deck": (0.0, -1.0, 0.0), "floor": STARBOARD}
"""What is up on the drawing of each, x to the right and the inside towards the eye."""
WASTE = 25.0
"""What a seat leaves of a sheet that is smaller is not cut out, mm2. Our choice."""


class Sheeted(NamedTuple):
    """A sheet between two lines, laid flat. lines: half breadth and height of its two edges at a place along x, the
    upper of a side first, the left of others; reach: from where to where it runs, mm. below: whether it is a floor.
    """

    lines: tuple[SpaceLine, SpaceLine]
    reach: tuple[float, float]
    strip: Strip
    stock: Stock
    below: bool


def sheeted(maker: "Maker", component: "Component") -> Sheeted:
    """Return a side to starboard, a floor or a deck, laid flat. Raises GeometryError, Unsettled."""
    found = maker.sheeted.get(component.id)
    if found is None:
        found = maker.sheeted[component.id] = _sheeted(maker, component)
    return found


def _sheeted(maker: "Maker", component: "Component") -> Sheeted:
    stock = maker.stock(component)
    named = [maker.value(component, name) for name in lines_named(component)]
    given = [line for line in named if isinstance(line, TableLine)]
    if len(given) < len(named):
        raise Unsettled(f"{component.id}.{lines_named(component)[0]}")
    reaches = [reach(maker, line) for line in given]
    start = (
        maker.number(component, "from") if maker.has(component, "from") else max(low for low, _ in reaches)
    )
    end = maker.number(component, "to") if maker.has(component, "to") else min(high for _, high in reaches)
    places = sorted({maker.known(x) for line in given for pairs in line[1:] for x, _ in pairs})
    if component.kind.name == "side":
        upper, lower = (_traced(maker, line, 1, 0.0) for line in given)
        strip = side(lower, upper, start, end, stock.thickness, stock.neutral, places)
        return Sheeted((upper, lower), (start, end), strip, stock, False)
    inset = maker.number(component, "inset")
    left, right = (_traced(maker, given[0], hand, inset) for hand in (-1, 1))
    across = deck if component.kind.name == "deck" else floor
    strip = across(left, right, start, end, stock.thickness, stock.neutral, places)
    return Sheeted((left, right), (start, end), strip, stock, across is floor)


def lines_named(component: "Component") -> tuple[str, ...]:
    """Return the properties that name the lines of a side, a floor or a deck."""
    return ("upper", "lower") if component.kind.name == "side" else ("between",)


def _traced(maker: "Maker", line: TableLine, hand: int, inset: float) -> SpaceLine:
    at = line_in_space(maker, line)
    return SpaceLine(lambda x: hand * (at(x)[0] - inset), lambda x: at(x)[1])


class Laid(NamedTuple):
    """The sheets that one is cut as, nose first, and the joints between them."""

    sheets: tuple[Sheet, ...]
    joints: tuple[Joint, ...]


def laid_out(maker: "Maker", component: "Component") -> Laid:
    """Return the sheets of it: cut at its splices, else in as many pieces as are asked for or the fewest that fit. Raises
    GeometryError, Unsettled.
    """
    made, wanted = sheeted(maker, component), maker.count(component, "pieces")
    surface, seam = made.strip.surface, splices.seam_of(maker, component, component.kind.name)

    def laid(joints: tuple[Joint, ...]) -> Laid:
        up = UPWARDS[component.kind.name]
        return Laid(tuple(sheet(level(piece, up)) for piece in cut(surface, joints)), joints)

    given = splices.joints(maker, component, surface)
    if given:
        return laid(given)
    for count in range(1, MOST_PIECES + 1) if wanted is None else (wanted,):
        found = laid(evenly(surface, count, seam))
        # Its drawing lies along the grain.
        if wanted or all(
            fits_sheet(one.outline, made.stock, maker.cutting.margin, True) for one in found.sheets
        ):
            return found
    raise GeometryError(
        "sheet-too-small", f"'{component.id}' fits its sheet not even in {MOST_PIECES} pieces"
    )


def measures(maker: "Maker", component: "Component") -> Mapping[str, float]:
    """Return the size of the largest sheet, and how well it lies."""
    boxes = [bounds(one.outline) for one in laid_out(maker, component).sheets]
    strip = sheeted(maker, component).strip
    return {
        "width": max(right - left for left, _, right, _ in boxes),
        "height": max(high - low for _, low, _, high in boxes),
        "worst_deviation": strip.deviation,
        "worst_strain": strip.strain,
        "worst_twist": strip.twist,
    }


def parts(maker: "Maker", component: "Component") -> Iterator[Part]:
    """Yield the sheets; a side in the hands that are wanted."""
    made, laid = sheeted(maker, component), laid_out(maker, component)
    taken = splices.zones(made.strip.surface, laid.joints)
    _warn(maker, component, made, taken)
    wanted = wanted_hand(maker, component)
    for part in _parts(maker, component, made, laid, taken):
        yield from in_hands(part, "right", wanted) if wanted else (part,)


def wanted_hand(maker: "Maker", component: "Component") -> str:
    """Return the hand in which a sheet is wanted, 'both' for two; '' for a floor or a deck, which has none."""
    if component.kind.name != "side" or (
        "hand" not in component.properties and hands_of(maker, component.id)
    ):
        return ""
    return maker.word(component, "hand")


def _parts(
    maker: "Maker", component: "Component", made: Sheeted, laid: Laid, taken: tuple[splices.Zone, ...]
) -> Iterator[Part]:
    stock, (all_sheets, joints) = made.stock, laid
    bent = [facets(one.surface) for one in all_sheets]
    opened = sheet_openings.opened(maker, component, bent, taken)
    found = [
        (number, left)
        for number, one in enumerate(all_sheets)
        for left in _left(maker, component, made, one, opened[number])
    ]
    names = ("lower edge", "upper edge") if component.kind.name == "side" else ("right edge", "left edge")
    for count, (number, left) in enumerate(found):
        one, triangles = all_sheets[number], bent[number]
        id = component.id if len(found) == 1 else f"{component.id}.{count + 1}"
        reach = _run(left.outline, triangles) if len(found) > 1 else made.reach
        notes = ["inside up", f"x = {maker.span(*reach)}"]
        if len(found) > 1:
            notes.append(f"piece {count + 1} of {len(found)}")
        ends = ends_of(joints, number)
        notes += said(maker, ends)
        marks = [*_marks(maker, component, one, stock), *joint_lines(one, ends)]
        lengths = one.lengths
        bared, all_bared = peeling(one.surface, stock)
        if not left.is_whole:
            bared = tuple(zone for each in bared for zone in shared(each, (left.outline,)))
        yield Part(
            id=id, name=id, component=component.id, hand="", stock=stock, quantity=1, outline=left.outline, holes=left.holes,
            far=(), scores=score.corners(one.surface), peels=(), marks=left.marked(marks),
            centres=left.centres, notes=(*notes, *left.notes, *papers(bared, all_bared)),
            edges=(
                Edge(names[0], "", 0.0, lengths.start), Edge(names[1], "", 0.0, lengths.end),
                Edge("fore end", "", 0.0, lengths.first), Edge("aft end", "", 0.0, lengths.last),
            ),
            grain="free" if stock.grain == "none" else "along", placement=Bent(triangles),
            bared=() if all_bared else bared,
            properties=weighed(
                one.surface, left.outline, left.holes, (), (), stock, bared=bared, halved=tapers(one, ends),
            ),
        )  # fmt: skip
        if ends[1].kind == "strap" and number not in [other for other, _ in found[count + 1 :]]:
            splice = joints[number].splice
            named, doubler = (id, stock) if splice is None else (splice.id, maker.stock(splice))
            yield strap(component, named, doubler, ends[1].width, lengths.last)


def _run(outline: Path, triangles: tuple[Facet, ...]) -> tuple[float, float]:
    """Return from where to where along x a piece of a sheet runs."""
    places = [carry.in_space(triangles, at)[0] for at in outline.points]
    return min(places), max(places)


class Left(NamedTuple):
    """What is cut of a sheet, in one piece: all of it, or what seats leave."""

    outline: Path
    holes: tuple[Path, ...]
    centres: tuple[Centre, ...]
    notes: tuple[str, ...] = ()
    is_whole: bool = True

    def marked(self, marks: Sequence[Mark]) -> tuple[Mark, ...]:
        """Return the marks as far as they lie on it."""
        if self.is_whole:
            return tuple(marks)
        from shapely import LineString, Polygon

        sheet = Polygon(flattened(self.outline, 0.005), [flattened(hole, 0.005) for hole in self.holes])
        found = []
        for mark in marks:
            on_it = sheet.intersection(LineString(flattened(mark.path, 0.005)))
            runs = [run for run in getattr(on_it, "geoms", [on_it]) if run.length > 1.0]
            found += [
                mark._replace(path=line(run.coords), text=mark.text if number == 0 else "")
                for number, run in enumerate(runs)
            ]
        return tuple(found)


def _left(
    maker: "Maker", component: "Component", made: Sheeted, one: Sheet, cut: Sequence[openings.Opening]
) -> Iterator[Left]:
    """Yield what is left of a sheet after its openings and the seats of wings."""
    if maker.saddles:
        from ringwright.lang.kinds import seats

        taken = list(seats.cut_from_sheet(maker, component, made, one))
        if taken:
            yield from _remnants(maker, component, one, cut, taken)
            return
    openings.check(maker, component, one.outline, list(cut))
    yield Left(one.outline, tuple(as_hole(opening.outline) for opening in cut), _centres(cut))


def _centres(cut: Sequence[openings.Opening]) -> tuple[Centre, ...]:
    rounds = [opening.round for opening in cut if opening.round is not None]
    return tuple(Centre(at, radius + openings.CROSS_PAST_RIM) for at, radius in rounds)


def _remnants(
    maker: "Maker",
    component: "Component",
    one: Sheet,
    cut: Sequence[openings.Opening],
    taken: "Sequence[tuple[Component, Polygon]]",
) -> Iterator[Left]:
    from ringwright.lang.kinds.seats import note

    shapes = [shape for _, shape in taken]
    left = seat.remnants(one.outline, [opening.outline for opening in cut], shapes, WASTE)
    notes = tuple(dict.fromkeys(note(maker, saddle) for saddle, _ in taken))
    if not left:
        raise Refusal(
            "seat-cuts-through", f"nothing of '{component.id}' is left by the seat", taken[0][0].span
        )
    for piece in left:
        kept = [cut[number] for number in piece.kept]
        openings.check(maker, component, piece.outline, kept)
        holes = (*(as_hole(opening.outline) for opening in kept), *(as_hole(hole) for hole in piece.holes))
        yield Left(piece.outline, holes, _centres(kept), notes, False)


def _marks(maker: "Maker", component: "Component", sheet: Sheet, stock: Stock) -> Iterator[Mark]:
    """Yield a line at each station with its name: of both faces where a former of that name stands there, and of the
    other formers whose edges lie along the sheet.
    """
    made = sheeted(maker, component)
    at_stations = _places(maker, component)
    for place in at_stations:
        yield from _lines(place.faces, place.name, sheet, stock, lambda path: (path,))
    named = frozenset(place.former for place in at_stations)
    for found in standing(maker, others(maker, named, made.reach), sheet.surface, stock, False):
        yield from _lines(found.faces, found.component.name, sheet, stock, found.beside)


def _lines(
    faces: tuple[float, float],
    name: str,
    sheet: Sheet,
    stock: Stock,
    beside: Callable[[Path], tuple[Path, ...]],
) -> Iterator[Mark]:
    paths = face_lines(faces, sheet.surface, stock)
    kept = [part for path in paths if not _is_end(path, sheet) for part in beside(path)]
    for k, path in enumerate(kept):
        yield Mark(path, "line", name if k == 0 else "")


def _is_end(path: Path, sheet: Sheet) -> bool:
    """Whether a line across lies so near an end of the sheet that both could not be told apart."""
    return any(
        max(math.dist(path.points[k], end[k]) for k in (0, -1)) < 1.0
        for end in (sheet.surface.flat[0], sheet.surface.flat[-1])
    )


class Place(NamedTuple):
    """What stands at a station of the table: its name, its two faces, and the former's id, '' where there is none."""

    name: str
    faces: tuple[float, float]
    former: str


def _places(maker: "Maker", component: "Component") -> list[Place]:
    """Return what stands at each station of the table, fore to aft."""
    found = []
    for station in stations_of(maker.tree, table_along(maker.tree, component)):
        id = ranges.former_at(maker.tree, Scope("", component.file), station.id)
        x = maker.number(station, "x")
        if id == station.id:
            found.append(Place(station.name, (x, x), ""))
        else:
            former = maker.tree.components[id]
            faces = maker.number(former, "x_fore"), maker.number(former, "x_aft")
            found.append(Place(station.name, faces, id))
    return sorted(found, key=lambda place: (place.faces[0], place.name))


def _warn(maker: "Maker", component: "Component", made: Sheeted, taken: tuple[splices.Zone, ...]) -> None:
    help = "bring its two lines nearer to one another's course, or make it of two sheets"
    stretches(maker, component, made.strip.strain, "to lie along both of its lines", help)
    found = (bends(bay) for bay in made.strip.bays)
    tight_bend(maker, component, made.stock, found, lambda at: f"at x = {maker.length(at[0])}")
    at_stations = _places(maker, component)
    for place in at_stations:
        if place.former:
            splices.check_former(maker, taken, place.former, place.faces)
    named = frozenset(place.former for place in at_stations)
    for here in standing(maker, others(maker, named, made.reach), made.strip.surface, made.stock, False):
        reaches_in(maker, component, here)
        splices.check_former(maker, taken, here.component.id, here.faces)


def lean_at(made: Sheeted, x: float) -> float:
    """How far a sheet leans against the axis at a place along x, rad: of its middle in plan, or from the side."""
    return abs(math.atan(slope_at(made, x)))


def slope_at(made: Sheeted, x: float) -> float:
    """By how much a sheet comes nearer to the axis a mm further aft, at a place along x: its middle, in plan or from the
    side.
    """
    low, high = max(made.reach[0], x - 0.5), min(made.reach[1], x + 0.5)
    (y0, z0), (y1, z1) = (
        (math.fsum(line.y(at) for line in made.lines) / 2, math.fsum(line.z(at) for line in made.lines) / 2)
        for at in (low, high)
    )
    if abs(made.lines[0].z(x) - made.lines[1].z(x)) > abs(made.lines[0].y(x) - made.lines[1].y(x)):
        return (y0 - y1) / (high - low)
    return (z1 - z0 if made.below else z0 - z1) / (high - low)
