"""No kind: the skins of built-up and folded surfaces as parts, with what is drawn on them."""

import math
from collections.abc import Callable, Iterable, Iterator, Sequence
from itertools import pairwise
from typing import TYPE_CHECKING, NamedTuple

from ringwright.geometry import outline as shapes
from ringwright.geometry.errors import GeometryError
from ringwright.geometry.numbers import short
from ringwright.geometry.part import Bent, Edge, Mark, Part, Score, Stock
from ringwright.geometry.path import Path, Point, canonical, closed, flattened, line
from ringwright.geometry.wing.cover import (
    SIDES,
    Cover,
    across_plane,
    along_plane,
    cover,
    lines_along,
    mounted,
    section_of,
)
from ringwright.geometry.wing.planform import Panel, between
from ringwright.geometry.wing.profile import at_chord, heights
from ringwright.geometry.wrap import score
from ringwright.geometry.wrap.former import lines_on
from ringwright.geometry.wrap.peel import bent_zones
from ringwright.geometry.wrap.rims import at_share, spot_on, ticks
from ringwright.geometry.wrap.sheet import Sheet, Trims, sheet
from ringwright.geometry.wrap.surface import facets, part
from ringwright.geometry.wrap.weigh import weighed
from ringwright.lang.kinds import skin_warnings
from ringwright.lang.kinds.rib_places import ribs_of
from ringwright.lang.kinds.skin_parts import fits_sheet, papers, peeling
from ringwright.lang.kinds.surface import Lifted, stock_named

if TYPE_CHECKING:
    from ringwright.lang.design.making import Maker

EVENNESS = 0.5
"""How far scored facets may leave a section's nose, mm. Our choice."""
PLAIN = 150.0
"""Radius from which board bends as bought, mm: common practice, no published source."""
SHARES = (0.2, 0.8)
PAST = 20.0
THICK = 1.0
"""From what thickness on a sheet's edge is bevelled to meet another, mm."""


class Covered(NamedTuple):
    """A skin of a panel, or of some bays of it. number: of the panel, from 0. piece: what it lies on; start: how far along the panel
    that begins, mm; nth: which of the
    skins on its side it is, from 0, root first. side: around, upper or lower.
    """

    panel: Panel
    number: int
    piece: Panel
    start: float
    nth: int
    side: str
    made: Cover
    stock: Stock


class Drawn(NamedTuple):
    """What is drawn on skins: ribs (number of the panel, distance along it, name), and bars (number of the panel, places
    along the chord at its two ends, name).
    """

    ribs: Sequence[tuple[int, float, str]]
    bars: Sequence[tuple[int, float, float, str]]


def sides(maker: "Maker", of: Lifted) -> tuple[tuple[str, ...], Stock | None]:
    """Return on which sides skins lie, and of what stock; none where a surface is left open."""
    folded = maker.word(of.component, "build") == "folded"
    stock = maker.stock(of.component) if folded else stock_named(maker, of.component, "skin")
    word = maker.word(of.component, "skins")
    return {"around": SIDES[:1], "both": SIDES[1:], "upper": SIDES[1:2]}[
        word
    ] if stock is not None else (), stock


def covers(maker: "Maker", of: Lifted) -> tuple[Covered, ...]:
    """Return the skins of all panels laid flat, once. Raises GeometryError."""
    if of.component.id not in maker.covers:
        where, stock = sides(maker, of)
        if stock is not None:
            _check_room(of, len(where) * (2 if where == SIDES[:1] else 1), stock)
        ribs = ribs_of(maker, of) if where else []
        found = []
        for side in where:
            assert stock is not None
            index = 0
            for number, panel in enumerate(of.panels):
                joints = [rib.along for rib in ribs if rib.number == number and rib.lean is None]
                start = 0.0
                for piece, made in _fitting(maker, panel, side, stock, joints):
                    found.append(Covered(panel, number, piece, start, index, side, made, stock))
                    index += 1
                    start += piece.long
        maker.covers[of.component.id] = tuple(found)
    return maker.covers[of.component.id]


def _check_room(of: Lifted, layers: int, stock: Stock) -> None:
    """Refuse skins that are thicker than what they go round. Raises GeometryError."""
    for station in of.stations:
        assert station.profile is not None
        around = at_chord(station.profile, station.chord)
        deep = max(y for _, y in around) - min(y for _, y in around)
        if layers * stock.thickness >= deep and station.chord > 0:
            raise GeometryError(
                "skin-too-thick",
                f"the skins of '{of.component.id}' are {short(layers * stock.thickness, 2)} mm thick together at its"
                f" {station.name if station.name in ('root', 'tip') else repr(station.name)}, and the section there is"
                f" {short(deep, 2)} mm deep",
            )


def _fitting(
    maker: "Maker", panel: Panel, side: str, stock: Stock, joints: Sequence[float]
) -> list[tuple[Panel, Cover]]:
    """Return the skin of a panel in the fewest pieces that fit its sheet, joined on ribs; where none fits, in one."""
    whole: list[tuple[Panel, Cover]] = []
    for count in range(1, len(joints) + 2):
        stops = [0.0]
        for k in range(1, count):
            wanted = panel.long * k / count
            near = min(
                (j for j in joints if j > stops[-1] + 1e-6), key=lambda j: abs(j - wanted), default=None
            )
            if near is not None:
                stops.append(near)
        made = [
            (piece, cover(piece, side, stock.thickness, stock.neutral))
            for piece in (between(panel, *pair) for pair in pairwise((*stops, panel.long)))
        ]
        whole = whole or made
        outlines = [sheet(one.surface, Trims()).outline for _, one in made]
        if all(fits_sheet(outline, stock, maker.cutting.margin, False) for outline in outlines):
            return made
    return whole


def lines_at(every: Sequence[Covered], number: int, along: float) -> dict[str, tuple[Point, ...]]:
    """Return the lines of the skins' outer faces at a distance along a panel, mm, in the section there, by side."""
    found: dict[str, tuple[Point, ...]] = {}
    for one in every:
        if one.number == number and one.start - 1e-6 <= along <= one.start + one.piece.long + 1e-6:
            within = min(max(along - one.start, 0.0), one.piece.long)
            found.setdefault(one.side, section_of(one.piece, one.made, within))
    return found


def parts(
    maker: "Maker", of: Lifted, drawn: Drawn, cut: "Sequence[tuple[float, float, Callable[[float], float]]]"
) -> Iterator[Part]:
    """Yield the skins. cut: of each control surface from where to where it runs, mm out, and how deep it is at a place out."""
    every = covers(maker, of)
    for one in every:
        _warn(maker, of, one, name_of(of, one, every))
        yield _part(of, one, every, drawn, cut)


def name_of(of: Lifted, one: Covered, every: Sequence[Covered]) -> str:
    """Return the id of a skin, but for its hand."""
    side = "" if one.side == "around" else f".{one.side}"
    number = f".{one.nth + 1}" if len([c for c in every if c.side == one.side]) > 1 else ""
    return f"{of.component.id}.skin{side}{number}"


def _part(
    of: Lifted,
    one: Covered,
    every: Sequence[Covered],
    drawn: Drawn,
    cut: "Sequence[tuple[float, float, Callable[[float], float]]]",
) -> Part:
    made, stock = one.made, one.stock
    plain: Sheet = sheet(made.surface, Trims())
    outline = plain.outline
    for low, high, deep in cut:
        for hole in _cut_out(one, low, high, deep):
            outline = shapes.minus(outline, hole)
    surface = mounted(made.surface, of.mount)
    scores = _scores(one)
    bared, all_bared = peeling(surface, stock)
    notes = ["inside up", *_notes(one, bool(scores)), *papers(bared, all_bared)]
    name = name_of(of, one, every)
    marks = (*_lines(one, drawn), *_leading(one), *_tail(one), *_joints(of, one, every))
    rise = one.panel.rise
    out = of.mount.way((0.0, math.cos(rise), math.sin(rise)))
    lengths = plain.lengths
    return Part(
        id=name, name=name, component=of.component.id, hand="", stock=stock, quantity=1,
        outline=outline, holes=(), far=(), scores=scores, peels=(),
        marks=tuple(_within(marks, outline)), centres=(), notes=tuple(notes),
        edges=(
            Edge("inner rim", of.component.id, abs(rise - one.piece.lean_in), lengths.start),
            Edge("outer rim", of.component.id, abs(rise - one.piece.lean_out), lengths.end),
            Edge("rear edge", "", 0.0, lengths.first), Edge("other edge", "", 0.0, lengths.last),
        ),
        grain="across" if stock.grain != "none" else "free", placement=Bent(facets(surface)),
        bared=() if all_bared else bared,
        properties=weighed(surface, outline, (), (), (), stock, plane=out, bared=bared),
    )  # fmt: skip


def _lines(one: Covered, drawn: Drawn) -> Iterator[Mark]:
    """Yield where ribs and bars lie on the inside of a skin, each with its name once."""
    depth = one.stock.neutral * one.stock.thickness
    for number, along, name in drawn.ribs:
        if number == one.number and 1.0 < along < one.panel.long - 1.0:
            for count, path in enumerate(lines_on(one.made.surface, across_plane(one.panel, along), depth)):
                yield Mark(path, "line", name if count == 0 else "")
    for number, start, end, name in drawn.bars:
        if number == one.number:
            plane = along_plane(one.panel, start, end)
            for count, ends in enumerate(lines_along(one.made.surface, plane, depth)):
                yield Mark(line(ends), "line", name if count == 0 else "")


def _within(marks: Iterable[Mark], outline: Path) -> Iterator[Mark]:
    """Yield what of marks lies on a sheet: a control surface may have been cut off it."""
    from shapely import LineString, Polygon

    sheet_ = Polygon(flattened(outline, 0.01)).buffer(0.01)
    for mark in marks:
        kept = LineString(mark.path.points).intersection(sheet_)
        pieces = [piece for piece in getattr(kept, "geoms", [kept]) if piece.length > 1.0]
        text = mark.text
        for piece in pieces:
            kind = mark.kind if piece is pieces[0] else "line"  # one arrow to the edge is enough
            yield Mark(line([(float(x), float(y)) for x, y in piece.coords]), kind, text)
            text = ""


def _leading(one: Covered) -> Iterator[Mark]:
    """Yield the leading edge of a skin; where it goes round that, which side is the upper one, too."""
    threads = one.made.surface.flat
    if one.side != "around":
        edge = threads[-1] if one.side == "upper" else threads[0]
        (x0, y0), (x1, y1) = _middle(edge), _middle(threads[len(threads) // 2])
        long = math.dist((x0, y0), (x1, y1))
        end = (x0 + 6.0 * (x1 - x0) / long, y0 + 6.0 * (y1 - y0) / long)
        yield Mark(line([(x0, y0), end]), "datum", "leading edge")
        return
    front = min(range(len(threads)), key=lambda k: (one.made.surface.space[k][0][0], k))
    yield Mark(line(threads[front]), "line", "leading edge")
    (x0, y0), (x1, y1) = _middle(threads[0]), _middle(threads[front])
    long = math.dist((x0, y0), (x1, y1))
    tick = min(8.0, long / 4)
    end = (x0 + tick * (x1 - x0) / long, y0 + tick * (y1 - y0) / long)
    yield Mark(line([(x0, y0), end]), "datum", "upper")


def _middle(thread: Sequence[Point]) -> Point:
    (x0, y0), (x1, y1) = thread[0], thread[-1]
    return (x0 + x1) / 2, (y0 + y1) / 2


def _scores(one: Covered) -> tuple[Score, ...]:
    """Return the scores by which a skin bends, where its stock is scored."""
    if one.stock.bend != "scored":
        return ()
    surface = one.made.surface
    zones = bent_zones(surface, PLAIN)
    return tuple(each for zone in zones for each in score.scores(part(surface, *zone), EVENNESS).scores)


def _around(one: Covered, outer: bool) -> Sequence[Point]:
    """Return the points of a skin's section at its inner or outer end."""
    station = one.piece.outer if outer else one.piece.inner
    assert station.profile is not None
    return at_chord(station.profile, station.chord)


def _tail(one: Covered) -> Iterator[Mark]:
    """Yield the lines from which thick skins are bevelled on their inside, to come together at the trailing edge."""
    if one.stock.thickness < THICK:
        return
    places = [_thin_from(_around(one, outer), 2 * one.stock.thickness) for outer in (False, True)]
    depth = one.stock.neutral * one.stock.thickness
    found = lines_along(one.made.surface, along_plane(one.piece, places[0], places[1]), depth)
    for count, ends in enumerate(found):
        yield Mark(line(ends), "bevel", "inside bevelled to the edge" if count == 0 else "")


def _thin_from(around: Sequence[tuple[float, float]], thick: float) -> float:
    """Return from where a section is thinner than that, up to its trailing edge, mm."""
    front, last = around[len(around) // 2][0], min(around[0][0], around[-1][0])
    low, high = front + 0.4 * (last - front), last
    for _ in range(40):
        middle = (low + high) / 2
        bottom, top = heights(around, middle)
        low, high = (middle, high) if top - bottom >= thick else (low, middle)
    return low


def _joints(of: Lifted, one: Covered, every: Sequence[Covered]) -> Iterator[Mark]:
    """Yield match marks where a skin meets that of the next panel, or that of the other half."""
    ends = [(0, one.nth - 1), (-1, one.nth + 1)]
    for row, other in ends:
        mate = next((c for c in every if c.nth == other and c.side == one.side), None)
        if mate is not None:
            text = "to " + name_of(of, mate, every)
        elif row == 0 and of.twofold and one.nth == 0:
            text = "to the other half"
        else:
            continue
        for count, share in enumerate(SHARES, 1):
            spot = spot_on(one.made.surface, row, at_share(one.made.surface, row, share))
            if spot is not None:
                yield from ticks(spot, count, text)
                text = ""


def _cut_out(one: Covered, low: float, high: float, deep: Callable[[float], float]) -> Iterator[Path]:
    """Yield what a control surface takes from a skin, in its drawing: of each of its rear edges."""
    panel, surface = one.piece, one.made.surface
    begin, finish = max(low, panel.inner.y), min(high, panel.outer.y)
    if finish - begin < 1e-6:
        return

    shares = [(y - panel.inner.y) / (panel.outer.y - panel.inner.y) for y in (begin, finish)]
    for first in (True, False):
        if (first and one.side == "lower") or (not first and one.side == "upper"):
            continue
        points = surface.flat if first else surface.flat[::-1]
        spaces = surface.space if first else surface.space[::-1]
        corners = []
        for y, share in zip((begin, finish), shares, strict=True):
            edge = _mix(points[0][0], points[0][-1], share)
            rear = _mix(spaces[0][0], spaces[0][-1], share)
            inside = edge
            for k in range(1, len(points)):
                here = _mix(points[k][0], points[k][-1], share)
                back = rear[0] - _mix(spaces[k][0], spaces[k][-1], share)[0]
                if back >= deep(y):
                    before = rear[0] - _mix(spaces[k - 1][0], spaces[k - 1][-1], share)[0]
                    part_way = (deep(y) - before) / (back - before)
                    last = _mix(points[k - 1][0], points[k - 1][-1], share)
                    inside = _mix(last, here, part_way)
                    break
            long = math.dist(edge, inside)
            past = tuple(e + PAST * (e - i) / long for e, i in zip(edge, inside, strict=True))
            corners.append((inside, (past[0], past[1])))
        (a, b), (d, c) = corners
        # At the very ends of the panel what is cut off runs on a little.
        if shares[0] < 1e-9:
            a, b = _beyond(a, d), _beyond(b, c)
        if shares[1] > 1 - 1e-9:
            d, c = _beyond(d, a), _beyond(c, b)
        yield canonical(closed([a, b, c, d]))


def _beyond(end: Point, other: Point) -> Point:
    long = math.dist(end, other)
    return end[0] + (end[0] - other[0]) / long, end[1] + (end[1] - other[1]) / long


def _mix(a: Sequence[float], b: Sequence[float], share: float) -> Point:
    """The first two numbers of a place between two, of the drawing or in space."""
    return a[0] + share * (b[0] - a[0]), a[1] + share * (b[1] - a[1])


def _notes(one: Covered, scored: bool) -> Iterator[str]:
    if one.side != "around":
        yield f"{one.side} side"
    if one.side == "around":
        if one.stock.bend == "peeled":
            yield "creased along the leading edge"
        elif scored:
            yield "bent at its scores"


def _warn(maker: "Maker", of: Lifted, one: Covered, name: str) -> None:
    """Tell what a skin asks of its sheet. Round a nose that is peeled or scored it is creased, and not bent."""
    skin_warnings.stretches(
        maker, of.component, one.made.strain, f"in {name}", "less washout, or a section between, would help"
    )
    if one.side != "around" or one.stock.bend == "plain":
        skin_warnings.tight_bend(
            maker, of.component, one.stock, [one.made.bends], lambda _: f"at its nose, in {name}"
        )
