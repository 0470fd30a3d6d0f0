"""Openings of flat parts: holes, patterns and slots, cut from an outline and checked for what is left around them."""

from collections.abc import Iterator
from typing import TYPE_CHECKING, NamedTuple

from ringwright.geometry import outline as shapes
from ringwright.geometry.errors import GeometryError
from ringwright.geometry.holes import RIM, hole_clearance, on_circle, on_rect, rim_hole
from ringwright.geometry.numbers import short
from ringwright.geometry.part import Centre
from ringwright.geometry.path import Path, Point, as_hole, canonical, flattened, moved, turned
from ringwright.lang.design.making import Refusal, blaming
from ringwright.lang.kinds.thrust import notes, shift
from ringwright.lang.values.value import ShapeOf

if TYPE_CHECKING:
    from ringwright.lang.components.tree import Component
    from ringwright.lang.design.making import Maker
    from ringwright.lang.source import Span

# Common practice, no published source: mm.
ROOM = {"rod": 0.2, "tube": 0.3, "sleeve": 0.5}
THIN_RIM = 4.0
CROSS_PAST_RIM = 3.0


class Opening(NamedTuple):
    """An opening as cut, anticlockwise; round: it is drawn with a centre cross there, of that radius."""

    component: "Component"
    outline: Path
    round: tuple[Point, float] | None


class Opened(NamedTuple):
    """An outline after its openings: notched where a slot crosses it, the holes in it, and their centres.

    notes: what a label says of them.
    """

    outline: Path
    holes: tuple[Path, ...]
    centres: tuple[Centre, ...]
    notes: tuple[str, ...] = ()


def opened(
    maker: "Maker",
    component: "Component",
    outline: Path,
    more: tuple[Opening, ...] = (),
    rim: Path | None = None,
) -> Opened:
    """Cut the openings that stand in a component, and `more`, from its outline. Raises GeometryError.

    rim: what a hole leaves a rim of, where that is not the outline.
    """
    found = [*more, *_of_drawing(maker, component)]
    notes: dict[str, None] = {}
    if maker.saddles:
        from ringwright.lang.kinds import seats

        for taken in seats.cut_from(maker, component, outline):
            notes[seats.note(maker, taken.component)] = None
            if not crosses(taken.outline, outline):
                # What another seat has taken already is no hole.
                found += [taken] if covers(outline, taken.outline) else []
                continue
            # What leaves a rim leaves it of what the seat has left.
            rim = None if rim is None else _notched(rim, taken, component.id)
            outline = _notched(outline, taken, component.id)
    for child, off in cut_in(maker, component):
        with blaming(child.span):
            found.extend(_moved(opening, off) for opening in openings(maker, child, rim or outline))
    holes = []
    for opening in found:
        if opening.component.kind.name == "slot" and crosses(opening.outline, outline):
            outline = _notched(outline, opening, component.id)
        else:
            holes.append(opening)
    check(maker, component, outline, holes)
    return Opened(
        outline,
        tuple(as_hole(hole.outline) for hole in holes),
        tuple(
            Centre(at, radius + CROSS_PAST_RIM)
            for at, radius in (hole.round for hole in holes if hole.round is not None)
        ),
        tuple(notes),
    )


def cut_in(maker: "Maker", component: "Component") -> Iterator[tuple["Component", Point]]:
    """Yield what stands in a component to be cut from it, and how far it lies off where it is written."""
    for child in maker.children(component, "hole", "holes", "slot"):
        yield child, (0.0, 0.0)
    for leaning in maker.children(component, "thrust"):
        off = shift(maker, leaning)
        for child in maker.children(leaning, "hole", "holes", "slot"):
            yield child, (0.0, 0.0) if "rim" in child.properties else off


def _moved(opening: Opening, off: Point) -> Opening:
    if off == (0.0, 0.0):
        return opening
    round = opening.round
    if round is not None:
        (x, y), radius = round
        round = (x + off[0], y + off[1]), radius
    return opening._replace(outline=canonical(moved(opening.outline, off)), round=round)


def thrust(maker: "Maker", component: "Component") -> tuple[str, ...]:
    """Return what a firewall's label says of its thrust."""
    found: list[str] = []
    for leaning in maker.children(component, "thrust"):
        y, z = shift(maker, leaning)
        bolts = [
            (y + at[0], z + at[1])
            for child in maker.children(leaning, "holes")
            for at in _pattern(maker, child, _middle(maker, child))
        ]
        found += notes(maker, leaning, bolts)
    return tuple(found)


def _middle(maker: "Maker", child: "Component") -> Point:
    at = maker.point(child, "at") or (0.0, 0.0)
    return at[0], at[1]


def _of_drawing(maker: "Maker", component: "Component") -> list[Opening]:
    """Return the holes that came with the drawing of a component's outline."""
    if not any(property.name == "outline" for property in component.kind.properties):
        return []
    return [Opening(component, canonical(hole), None) for hole in maker.holes(component, "outline")]


def _notched(outline: Path, slot: Opening, called: str) -> Path:
    try:
        return canonical(shapes.minus(outline, slot.outline))
    except GeometryError as error:
        saddle, name = slot.component.kind.name == "saddle", slot.component.name
        if saddle and error.code in ("apart", "nothing-left"):
            cure = "look at its height" if "open" in slot.component.properties else "open it above or below"
            raise Refusal(
                "seat-cuts-through",
                f"the seat '{name}' leaves {'nothing' if error.code == 'nothing-left' else 'two pieces'} of '{called}':"
                f" {cure}, or name with 'on' what it is cut in",
                slot.component.span,
            ) from None
        said = f"slot '{name}' cuts its part in pieces: shorten it" if error.code == "apart" else str(error)
        raise Refusal(error.code, said, slot.component.span) from None


def openings(maker: "Maker", child: "Component", outline: Path | None) -> list[Opening]:
    """Return what a hole, a pattern or a slot cuts from a part of that outline; None where it is bent."""
    centre = _middle(maker, child)
    if child.kind.name == "slot":
        return [Opening(child, _slot(maker, child, centre), None)]
    if child.kind.name == "holes":
        diameter = maker.number(child, "diameter") + ROOM.get(maker.word(child, "fit"), 0.0)
        return [
            Opening(child, moved(shapes.circle(diameter), place), (place, diameter / 2))
            for place in _pattern(maker, child, centre)
        ]
    return [hole(maker, child, centre, outline)]


def hole(maker: "Maker", child: "Component", centre: Point, outline: Path | None) -> Opening:
    """Return one hole about `centre`; `outline` is needed where it leaves a rim."""
    said = [name for name in ("diameter", "outline", "rim") if name in child.properties]
    if len(said) != 1:
        raise GeometryError(
            "hole-form",
            f"hole '{child.name}' needs one of diameter, outline and rim, and has {' and '.join(said) or 'none'}",
        )
    if said == ["diameter"]:
        diameter = maker.number(child, "diameter") + ROOM.get(maker.word(child, "fit"), 0.0)
        return Opening(child, moved(shapes.circle(diameter), centre), (centre, diameter / 2))
    if said == ["outline"]:
        drawn = maker.shape(child, "outline")
        if drawn is None:
            raise GeometryError(
                "hole-form", f"hole '{child.name}' has no outline: draw it, such as rect(20 mm, 12 mm)"
            )
        return Opening(child, canonical(moved(drawn, centre)), None)
    if outline is None:
        raise GeometryError(
            "hole-form", f"hole '{child.name}' lies in a bent wall: give it a diameter or an outline"
        )
    return Opening(child, canonical(rim_hole(outline, maker.number(child, "rim"))), None)


def _slot(maker: "Maker", child: "Component", centre: Point) -> Path:
    if (maker.value(child, "takes") is None) == ("width" not in child.properties):
        raise GeometryError(
            "slot-width", f"slot '{child.name}' needs either a width or the stock that it takes"
        )
    flat = shapes.slot(maker.number(child, "length"), maker.number(child, "width"))
    return canonical(moved(turned(flat, maker.number(child, "turned")), centre))


def _pattern(maker: "Maker", child: "Component", centre: Point) -> list[Point]:
    on = maker.value(child, "on")
    if not isinstance(on, ShapeOf) or on.function not in ("circle", "rect"):
        raise GeometryError("hole-form", f"holes '{child.name}' lie on a circle(d) or a rect(w, h)")
    sizes = [maker.amount(argument) for argument in on.arguments if argument is not None]
    count = maker.count(child, "count") or 4
    if on.function == "circle":
        places = on_circle(count, sizes[0], maker.number(child, "first"))
    else:
        if count != 4:
            raise GeometryError("hole-form", f"holes '{child.name}': a rect has 4 corners, not {count}")
        places = on_rect(sizes[0], sizes[1])
    return [(centre[0] + x, centre[1] + y) for x, y in places]


def crosses(opening: Path, outline: Path) -> bool:
    """Return whether an opening reaches over an outline's edge, yet has some of it inside."""
    from shapely import Polygon

    sheet = Polygon(flattened(outline, 0.005))
    flat = Polygon(flattened(opening, 0.005))
    return bool(sheet.intersects(flat) and not sheet.contains(flat))


def covers(outline: Path, opening: Path) -> bool:
    """Return whether an opening lies wholly within an outline, or the outline within it."""
    from shapely import Polygon

    sheet, cut = Polygon(flattened(outline, 0.005)), Polygon(flattened(opening, 0.005))
    return bool(sheet.contains(cut) or cut.contains(sheet))


def fits(maker: "Maker", component: "Component") -> tuple[str, ...]:
    """Return what a label says of the holes that something is put through: as cut, and for what."""
    found = []
    for child, _ in cut_in(maker, component):
        if child.kind.name == "slot":
            continue
        fit = maker.word(child, "fit")
        if ROOM.get(fit) and "diameter" in child.properties:
            through = maker.number(child, "diameter")
            found.append(f"{child.name} ø {maker.length(through + ROOM[fit])}: {fit} {maker.length(through)}")
    return tuple(found)


def check(maker: "Maker", component: "Component", outline: Path, holes: list[Opening]) -> None:
    """Warn of thin rims, once for each opening or pattern; refuse what cannot be cut. Raises GeometryError."""
    if not holes:
        return
    thinnest: dict[str, tuple[float, str, Opening]] = {}
    for opening, clearance in zip(
        holes, hole_clearance(outline, [opening.outline for opening in holes]), strict=True
    ):
        child = opening.component
        other = "the edge" if clearance.to == RIM else called(holes[clearance.to].component)[0]
        if clearance.to != RIM and holes[clearance.to].component is child:
            other = "the next hole of the " + ("drawing" if child is component else "pattern")
        if clearance.distance <= 0.0:
            named, span, plural = called(child)
            if clearance.distance > -0.005:
                missing = f"touch{'' if plural else 'es'}"
            else:
                missing = f"reach{'' if plural else 'es'} {short(-clearance.distance, 2)} mm over"
            raise Refusal("hole-outside", f"{named} {missing} {other}: nothing is left around it", span)
        if clearance.distance < min(THIN_RIM, thinnest.get(child.id, (THIN_RIM,))[0]):
            thinnest[child.id] = (clearance.distance, other, opening)
    for left, other, opening in thinnest.values():
        named, span, _ = called(opening.component)
        maker.warn(
            "thin-rim",
            f"only {short(left, 2)} mm is left between {named} and {other}",
            span,
            f"make it smaller, or move it {short(THIN_RIM - left, 2)} mm away where there is room;"
            f" {short(THIN_RIM, 0)} mm is a usual least",
        )


def called(child: "Component") -> tuple[str, "Span", bool]:
    """Return what an opening is called, where it is written, and whether it is more than one."""
    if child.kind.name == "stack":
        return f"the bore of '{child.name}'", child.properties["bore"].span, False
    if child.kind.name in ("side", "floor", "deck"):
        return f"the slot for a tab in '{child.name}'", child.span, False
    if child.kind.name == "ring":
        return f"the inside of ring '{child.name}'", child.span, False
    if child.kind.name in ("former", "panel"):
        return "a hole of the drawing", child.properties["outline"].span, False
    return f"{child.kind.name} '{child.name}'", child.span, child.kind.name == "holes"
