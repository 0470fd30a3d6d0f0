"""No kind: surfaces built up from ribs, spars and skins, and those folded from one sheet over a spar."""

import math
from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, NamedTuple

from ringwright.geometry.part import Edge, Mark, Part, Stock
from ringwright.geometry.path import Path, Point, canonical, length, line
from ringwright.geometry.wing.cover import part_of
from ringwright.geometry.wing.planform import Panel, Slice, Station, at, mounted, sliced, station_at, straight
from ringwright.geometry.wing.plate import plate, x_at
from ringwright.geometry.wing.profile import at_chord
from ringwright.geometry.wing.rib import Body, Notch, body, common, cut
from ringwright.lang.design.making import Refusal, blaming
from ringwright.lang.kinds import bars, controls, covered, joiners
from ringwright.lang.kinds.rib_places import Rib, is_twisted, ribs_of
from ringwright.lang.kinds.surface import (
    Lifted,
    Piece,
    behind_edge,
    degrees,
    flat_part,
    handed,
)

if TYPE_CHECKING:
    from ringwright.lang.components.tree import Component
    from ringwright.lang.design.making import Maker

CLOSE = 1e-6
TWISTED = 0.05
"""How much further in ribs are cut under a skin whose rulings run askew, mm: it is drawn in flat facets. Our choice."""


class Moving(NamedTuple):
    """A control surface: from where to where it runs, mm out as it flies.

    hinge: its two ends, and rear: the corners of the trailing edge, root first: (behind the root's leading edge, out), mm.
    """

    component: "Component"
    low: float
    high: float
    hinge: tuple[Point, Point]
    rear: tuple[Point, ...]

    def depth_at(self, y: float) -> float:
        """Return how deep it is at a place out, mm; 0 beside it."""
        return self.deep(y) if self.low + CLOSE < y < self.high - CLOSE else 0.0

    def deep(self, y: float) -> float:
        """Return how far the trailing edge lies behind its hinge line at a place out, mm."""
        return x_at(self.rear, y) - x_at(self.hinge, y)


class Frame(NamedTuple):
    """What all pieces of a built-up surface are made from."""

    maker: "Maker"
    of: Lifted
    stock: Stock
    sides: tuple[str, ...]
    skin: float
    front: float
    rear: float
    moving: tuple[Moving, ...]

    def body_at(self, panel: Panel, along: float, whole: bool = False) -> Body:
        """Return what skins and edge stock leave of the section at a distance along a panel. Raises GeometryError.

        whole: as if there were no edge stock and no control surfaces.
        """
        here = station_at(panel, along)
        assert here.profile is not None
        around: Sequence[Point] = at_chord(here.profile, here.chord)
        lines = [part_of(around, side) for side in self.sides]
        first, last = around[len(around) // 2][0], max(around[0][0], around[-1][0])
        if self.sides and is_twisted(panel):
            by_side = covered.lines_at(
                covered.covers(self.maker, self.of), self.of.panels.index(panel), along
            )
            lines = list(by_side.values())
            halves = [by_side.get(side) or part_of(around, side) for side in ("upper", "lower")]
            around = by_side.get("around") or (*halves[0], *halves[1][1:])
        room = TWISTED if self.sides and is_twisted(panel) else 0.0
        if not whole:
            cut_off = max((m.depth_at(here.y) for m in self.moving), default=0.0)
            first, last = first + (self.skin + self.front if self.front else 0.0), last - cut_off
            if self.rear:
                last = min(
                    last, body(around, lines, self.skin + room, first, last + cut_off).ends[1] - self.rear
                )
        return body(around, lines, self.skin + room, first, last)


def parts(maker: "Maker", of: Lifted) -> Iterator[Part]:
    """Yield ribs, bars, joiners, control surfaces and skins. Raises GeometryError."""
    component = of.component
    for child in maker.children(component, "hole", "holes", "slot"):
        message = f"{child.kind.name} '{child.name}' is cut into a plate, and '{component.id}' is none"
        raise Refusal("hole-form", message, child.span)
    sides, skin = covered.sides(maker, of)
    moving = tuple(_moving(maker, of, child) for child in maker.children(component, "control"))
    frame = Frame(
        maker, of, maker.stock(component), sides, 0.0 if skin is None else skin.thickness,
        bars.edge_width(maker, component, "front"), bars.edge_width(maker, component, "rear"), moving,
    )  # fmt: skip
    ribs = ribs_of(maker, of)
    laid = [bars.laid(frame, child) for child in maker.children(component, "spar")]
    braces = [bars.brace(frame, child) for child in maker.children(component, "joiner")]
    for count, rib in enumerate(ribs, 1):
        name = f"rib.{count:0{len(str(len(ribs)))}d}" if len(ribs) > 9 else f"rib.{count}"
        yield from handed(maker, of, _rib(frame, rib, name, laid, braces))
    for one in laid:
        for part in bars.parts(frame, one, ribs):
            yield from handed(maker, of, part)
    for brace in braces:
        made = joiners.part_in_ribs(maker, of, brace)
        yield from (made.part,) if made.in_middle else handed(maker, of, made.part)
    for one_moving in moving:
        with blaming(one_moving.component.span):
            part = _control(frame, one_moving)
        yield from handed(maker, of, part)
    drawn = covered.Drawn(
        [(rib.number, rib.along, f"rib {count}") for count, rib in enumerate(ribs, 1) if rib.lean is None],
        [
            (number, bar.start[0], bar.end[0], one.component.name)
            for one in laid
            for number, bar in enumerate(one.bars)
            if one.seat not in ("front", "rear")
        ],
    )
    for part in covered.parts(maker, of, drawn, [(m.low, m.high, m.deep) for m in moving]):
        yield from handed(maker, of, part)


# -- ribs -----------------------------------------------------------------------------------------


def _rib(
    frame: Frame, rib: Rib, name: str, laid: "Sequence[bars.Laid]", braces: "Sequence[joiners.InRibs]"
) -> Part:
    panel = frame.of.panels[rib.number]
    here = sliced(panel, rib.along, rib.lean)
    inside = _inside(frame, panel, rib, here)
    notches: list[Notch] = []
    ticks: list[Mark] = []
    for one in laid:
        if one.seat not in ("front", "rear"):
            notches.append(bars.notch(frame, one, one.bars[rib.number], rib.along, inside, name))
    for brace in braces:
        found = bars.brace_notch(frame, brace, rib.number, rib.along)
        if found is not None:
            notches.append(found)
    made = cut(inside, notches)
    outline, *holes = (_leaned(here, path) for path in (made.outline, *made.holes))
    for x, way in zip(inside.ends, (1.0, -1.0), strict=True):
        pair = inside.heights(x + way * 2.0, x + way * 2.0)
        if pair is not None and pair[0] < 0.0 < pair[1]:
            ticks.append(
                Mark(line([(x + way * 1.0, 0.0), (x + way * 6.0, 0.0)]), "datum", "chord" if way > 0 else "")
            )
    notes = ["inner face up"]
    lean = 0.0 if rib.lean is None else abs(panel.rise - rib.lean)
    if frame.stock.thickness * math.tan(lean) >= 0.1:
        notes.append(f"edges lean {degrees(lean)}")
    piece = Piece(
        name, canonical(outline), tuple(holes), (), tuple(ticks), (), tuple(notes),
        (Edge("rim", frame.of.component.id, lean, length(outline)),),
    )  # fmt: skip
    off = frame.stock.thickness / 2
    return flat_part(frame.of, piece, frame.stock, mounted(frame.of.mount, here.flat, off))


def _inside(frame: Frame, panel: Panel, rib: Rib, here: Slice) -> Body:
    """Return what there is of a rib in both its faces and midway: cut square, it passes no skin that leans."""
    lean = math.tan(panel.rise - (panel.rise if rib.lean is None else rib.lean))
    cos, sin = math.cos(here.station.twist), math.sin(here.station.twist)
    found: list[Body] = []
    for off in (0.0, -frame.stock.thickness / 2, frame.stock.thickness / 2):
        along = min(max(rib.along + off, 0.0), panel.long)
        there = station_at(panel, along)
        own_cos, own_sin = math.cos(there.twist), math.sin(there.twist)

        def seen(
            x: float, y: float, there: Station = there, cs: Point = (own_cos, own_sin), off: float = off
        ) -> Point:
            """A place of that section in the drawing of the one midway."""
            level = x * cs[0] + y * cs[1] + there.back - here.station.back
            high = y * cs[0] - x * cs[1] + off * lean
            return level * cos - high * sin, level * sin + high * cos

        found.append(frame.body_at(panel, along).seen(seen))
    return common(found)


def _leaned(here: Slice, path: Path) -> Path:
    return path if here.stretch == 1.0 else path._replace(points=tuple(here.drawn(at) for at in path.points))


# -- control surfaces -----------------------------------------------------------------------------


def _moving(maker: "Maker", of: Lifted, child: "Component") -> Moving:
    with blaming(child.span):
        low, high = controls.reach(maker, of, child)
        run = _run(of, low)
        if high > run[-1].outer.y + CLOSE:
            raise controls.over_joint(child, high - run[-1].outer.y)
    controls.unjoined(maker, child)
    hinge = []
    for y in (low, high):
        here = station_at(*at(of.panels, y))
        hinge.append((here.back + here.chord - behind_edge(maker, child, "chord", here.chord), y))
    rear = tuple((station.back + station.chord, station.y) for station in of.stations)
    return Moving(child, low, high, (hinge[0], hinge[1]), rear)


def _run(of: Lifted, y: float) -> Sequence[Panel]:
    """The panels of one dihedral in which something begins, root first."""
    runs = straight(of.panels)
    return next((run for run in runs if y + CLOSE < run[-1].outer.y), runs[-1])


def _control(frame: Frame, moving: Moving) -> Part:
    """Return a control surface of a built-up wing: a plate behind the hinge line, in the plane of the chords there."""
    of, child = frame.of, moving.component
    run = _run(of, moving.low)
    sheet = plate(run)
    stretch = 1 / math.cos(run[0].rise)
    start, end = ((y - run[0].inner.y) * stretch for y in (moving.low, moving.high))
    gap = frame.maker.number(child, "gap")
    ends = (start + gap, end if moving.high > of.half - CLOSE else end - gap)
    a, d = ((x - run[0].inner.back, along) for (x, _), along in zip(moving.hinge, (start, end), strict=True))
    front = controls.front(a, d, ends, gap)
    corners = (front[0], *controls.rear(sheet, *ends), front[1])
    hinged = controls.Hinged(child, 0, corners, (), False, front, start, stretch)
    # It turns with the section it hangs on.
    middle = (moving.low + moving.high) / 2
    here = station_at(*at(of.panels, middle))
    drop = -math.sin(here.twist) * (here.chord - moving.deep(middle) / 2)
    x, y, z = sheet.flat.origin
    rise = run[0].rise
    flat = sheet.flat._replace(origin=(x, y - drop * math.sin(rise), z + drop * math.cos(rise)))
    return controls.part(frame.maker, of, flat, hinged)
