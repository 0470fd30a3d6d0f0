"""Barrels and cones to parts: the blank, its seam, its marks and its place."""

import math
from collections.abc import Iterable, Mapping, Sequence
from typing import TYPE_CHECKING

from ringwright.geometry import blank as blanks
from ringwright.geometry.blank import Blank
from ringwright.geometry.errors import GeometryError
from ringwright.geometry.mark import rim_marks, rim_point, top_marks
from ringwright.geometry.mass import measure
from ringwright.geometry.numbers import short
from ringwright.geometry.part import Centre, Edge, Mark, Part, Rolled, Stock
from ringwright.geometry.path import Path, as_hole, line, moved, turned
from ringwright.geometry.path import arc as arc_path
from ringwright.geometry.place import rolled
from ringwright.geometry.ring import Ring, ring
from ringwright.lang.design.making import blaming
from ringwright.lang.kinds import bows, hoops, openings, stacked
from ringwright.lang.kinds.hoops import Hoop
from ringwright.lang.kinds.kind import Measure
from ringwright.lang.units import ANGLE

if TYPE_CHECKING:
    from ringwright.lang.components.tree import Component
    from ringwright.lang.design.making import Maker

OF_EACH = (
    Measure("start", "outside diameter where it starts"),
    Measure("end", "outside diameter where it ends"),
    Measure("length", "length along the axis"),
    Measure("half_angle", "of the wall against the axis", ANGLE),
    Measure("slant", "length of the wall along its slope"),
    Measure("start_inside", "inside diameter where it starts"),
    Measure("end_inside", "inside diameter where it ends"),
    Measure("bevel", "of its rims, against square", ANGLE),
    Measure("x_start", "where it starts along the axis"),
    Measure("x_end", "where it ends along the axis"),
    Measure("blank_inner_radius", "inner radius of the flat blank"),
    Measure("blank_outer_radius", "outer radius of the flat blank"),
    Measure("blank_angle", "angle of the flat blank, without its seam", ANGLE),
    Measure("blank_length", "of one that is a barrel: length of the flat blank round the ring"),
    Measure("blank_width", "of one that is a barrel: width of the flat blank along the axis"),
)
"""What is known of each of the cones that a bow or dome is made as."""

# Common practice, no published source: mm.
FLAPS = ((70.0, 10.0), (200.0, 15.0), (math.inf, 20.0))
LAPS = {"card": 6.0, "paper": 4.0}
LEAST_BEVEL = 0.25
"""What is less than this cannot be bevelled, and is not spoken of, mm."""


def made_ring(maker: "Maker", made: Hoop) -> Ring:
    """Return the ring as bent. Raises GeometryError."""
    stock = maker.stock(made.component)
    return ring(made.start, made.end, made.length, stock.thickness, stock.neutral)


def seam_of(maker: "Maker", component: "Component", made: Ring, stock: Stock) -> blanks.Seam:
    """Return the seam as given, or the habit of the stock."""
    given = maker.seam(component)
    if given is not None:
        return blanks.Seam(given.kind, given.width)
    if stock.kind == "foamboard":
        width = next(width for limit, width in FLAPS if max(made.start, made.end) <= limit)
        seam = blanks.Seam("flap", width)
    elif stock.kind in LAPS:
        seam = blanks.Seam("lap", LAPS[stock.kind])
    else:
        seam = blanks.Seam("butt", 0.0)
    shown = seam.kind if seam.kind == "butt" else f"{seam.kind}({short(seam.width, 1)} mm)"
    maker.default(component, "seam", shown)
    return seam


def made_blank(maker: "Maker", hoop: Hoop) -> tuple[Blank, Stock]:
    """Return the blank of a barrel or cone, in the pieces that fit its sheet. Raises GeometryError."""
    if hoop.id not in maker.blanks:
        with blaming(hoop.component.span):  # its neighbours' marks ask for it, too
            maker.blanks[hoop.id] = _blank(maker, hoop)
    return maker.blanks[hoop.id]


def _blank(maker: "Maker", hoop: Hoop) -> tuple[Blank, Stock]:
    component = hoop.component
    made, stock = made_ring(maker, hoop), maker.stock(component)
    room = blanks.Room(stock.width, stock.height, maker.cutting.margin)
    seam = seam_of(maker, component, made, stock)
    return blanks.blank(made, seam, maker.count(component, "pieces"), room), stock


def parts(maker: "Maker", component: "Component") -> Iterable[Part]:
    """Yield the pieces of all rings that an element is made as, and the straps of their seams."""
    if bows.bends(component):
        bows.counted(maker, component)
        _report(maker, component)
    rings = hoops.of_element(maker, component)
    made = [part for hoop in rings for part in _pieces(maker, hoop)]
    _warn_of_bends(maker, component, rings)
    yield from made


def _pieces(maker: "Maker", hoop: Hoop) -> Iterable[Part]:
    component = hoop.component
    stack = maker.parent(component)
    stand = stacked.stand(maker, stack)
    blank, stock = made_blank(maker, hoop)
    made = blank.ring
    start, end = stacked.places_of(maker, hoop)
    turn = stacked.seam_turn(maker, hoop)
    placed = rolled(blank, stand.at(start), stand.axis, stand.top, stand.right, turn)
    before, after = stacked.mates_of(maker, hoop)
    marks = [list(of_piece) for of_piece in top_marks(blank, placed, stand.side)]
    near, far = stacked.meets(maker, component)
    for rim, diameter, mate, meeting in (
        ("start", made.start, before, near if hoop.number == 1 else None),
        ("end", made.end, after, far if hoop.number == hoop.of else None),
    ):
        groups = stacked.joint_turns(maker, stack, diameter, meeting)
        for piece, found in enumerate(rim_marks(blank, placed, rim, groups, f"to {mate}" if mate else "")):
            marks[piece].extend(found)
    bores = _holes(maker, hoop, blank, placed, (start, end))
    bared = is_bared(made, stock)
    quantity = maker.count(stack, "quantity") or 1
    for piece, placement in enumerate(placed):
        id = hoop.id if blank.pieces == 1 else f"{hoop.id}.{piece + 1}"
        holes, centres = bores[piece]
        lines = (*_bevel_lines(maker, blank), *_lap_line(blank))
        yield Part(
            id=id,
            name=id,
            component=component.id,
            hand="",
            stock=stock,
            quantity=quantity,
            outline=blank.outline,
            holes=holes,
            far=blank.far,
            scores=(),
            peels=blank.peels,
            marks=(*marks[piece], *lines),
            centres=centres,
            notes=(
                *_notes(maker, blank, piece, hoop),
                *(("inner paper off",) if bared else ()),
                *openings.fits(maker, component),
            ),
            edges=_edges(blank, before, after),
            grain="free",
            placement=placement if stand.placed else None,
            properties=measure(
                blank.outline,
                holes,
                blank.far,
                blank.peels,
                stock,
                placement if stand.placed else None,
                bared,
            ),
        )
    if blank.strap is not None:
        yield _strap(hoop, blank, stock, quantity)


def is_bared(made: Ring, stock: Stock) -> bool:
    """Return whether the inner paper comes off a ring, because it is bent tighter than its stock takes with it: square to
    its wall, as a skin round the same sections.
    """
    return min(made.start, made.end) / 2 < stock.plain_radius * math.cos(made.half_angle)


def _report(maker: "Maker", component: "Component") -> None:
    """Say how near the cones of a bow or dome come to its profile."""
    found = bows.bow(maker, component)
    what, other = "the profile", ""
    if component.kind.name == "dome":
        what = "the dome"
        other = bows.by_gores(bows.path_of(maker, component), found.deviation, maker.word(component, "fit"))
    elif maker.flag(component, "nearest"):
        kept = bows.nearest_cones(bows.path_of(maker, component), found.number, None).deviation
        other = f"; with their joints on it up to {short(kept, 2)} mm"
    across = ", across the wall" if found.across and found.deviation else ""
    many = f"{found.number} cones" if found.number > 1 else "one cone"
    message = f"the {many} of '{component.id}' lie {bows.how_near(found.inside, found.outside, what)}{across}{other}"
    maker.note("how-near", message, component.span)


def _strap(hoop: Hoop, blank: Blank, stock: Stock, quantity: int) -> Part:
    assert blank.strap is not None
    id = f"{hoop.id}.strap"
    return Part(
        id=id, name=id, component=hoop.component.id, hand="", stock=stock,
        quantity=quantity * blank.pieces, outline=blank.strap, holes=(), far=(), scores=(), peels=(), marks=(), centres=(),
        notes=("inside the seam",), edges=(), grain="free", placement=None,
        properties=measure(blank.strap, (), (), (), stock, None),
    )  # fmt: skip


def _warn_of_bends(maker: "Maker", component: "Component", rings: Sequence[Hoop]) -> None:
    """Warn of the tightest bend of an element, where its sheet does not take it."""
    stock = maker.stock(component)
    made = min(rings, key=lambda made: min(made.start, made.end))
    tightest = min(made.start, made.end) / 2
    if tightest < stock.min_radius - 1e-9:
        maker.warn(
            "tight-bend",
            f"'{made.id}' is bent to a radius of {short(tightest, 2)} mm; {stock.name} takes {short(stock.min_radius, 2)} mm",
            component.span,
            ("peel or score it, or " if stock.bend == "plain" else "")
            + "give the stock the min_radius that you found by trying",
        )


def _holes(
    maker: "Maker",
    hoop: Hoop,
    blank: Blank,
    placed: tuple[Rolled, ...],
    ends: tuple[float, float],
) -> list[tuple[tuple[Path, ...], tuple[Centre, ...]]]:
    """Return holes and centre crosses of each piece; a hole in a bent wall is drawn where its middle comes to lie."""
    found: list[list[openings.Opening]] = [[] for _ in placed]
    component = hoop.component
    for child in maker.children(component, "hole"):
        if _is_in_another(maker, child, hoop, ends):
            continue
        with blaming(child.span):
            piece, opening = _bent_hole(maker, child, blank, placed, ends)
        found[piece].append(opening)
    made = []
    for of_piece in found:
        openings.check(maker, component, blank.outline, of_piece)
        made.append(
            (
                tuple(as_hole(opening.outline) for opening in of_piece),
                tuple(
                    Centre(o.round[0], o.round[1] + openings.CROSS_PAST_RIM)
                    for o in of_piece
                    if o.round is not None
                ),
            )
        )
    return made


def _is_in_another(maker: "Maker", child: "Component", hoop: Hoop, ends: tuple[float, float]) -> bool:
    """Whether a hole lies in another of the rings that its element is made as; the first answers for none of them."""
    at = maker.point(child, "at")
    if at is None:
        return hoop.number > 1
    low, high = sorted(ends)
    whole = sorted(stacked.places(maker, hoop.component))
    if not whole[0] < at[0] < whole[1]:
        return hoop.number > 1
    return not low <= at[0] <= high


def _bent_hole(
    maker: "Maker", child: "Component", blank: Blank, placed: tuple[Rolled, ...], ends: tuple[float, float]
) -> tuple[int, openings.Opening]:
    """Return the piece that a hole lies in, and the hole as drawn there."""
    at, (start, end) = maker.point(child, "at"), ends
    if at is None:
        raise GeometryError(
            "hole-form",
            f"hole '{child.name}' in a bent wall needs its place: at = (place along the axis, angle)",
        )
    share = (at[0] - start) / (end - start)
    if not 0.0 < share < 1.0:
        raise GeometryError(
            "hole-outside",
            f"hole '{child.name}' is at {short(at[0], 2)} mm; the wall reaches from {short(start, 2)} to {short(end, 2)} mm",
        )
    low, high = (rim_point(blank, placed, rim, at[1]) for rim in ("start", "end"))
    place = tuple(a + share * (b - a) for a, b in zip(low.at, high.at, strict=True))
    along = math.atan2(high.at[1] - low.at[1], high.at[0] - low.at[0]) - math.pi / 2
    opening = openings.hole(maker, child, (0.0, 0.0), None)
    drawn = moved(turned(opening.outline, along), (place[0], place[1]))
    round = None if opening.round is None else ((place[0], place[1]), opening.round[1])
    return low.piece, openings.Opening(child, drawn, round)


def _lap_line(blank: Blank) -> tuple[Mark, ...]:
    """Return the line that the other edge is laid to: on the drawn face, which the lap turns to it from outside."""
    return (Mark(line(blank.last_edge), "line", "lap"),) if blank.seam.kind == "lap" else ()


def _bevel_lines(maker: "Maker", blank: Blank) -> tuple[Mark, ...]:
    """Return the line of the inner face at the large rim: it is drawn inside up, and the bevel runs from it to the edge."""
    made = blank.ring
    if made.blank_angle is None or made.blank_outer_radius is None or made.blank_inner_radius is None:
        return ()
    inward = made.neutral * made.wall * math.tan(made.half_angle)
    radius = made.blank_outer_radius - inward
    if inward < LEAST_BEVEL or radius <= made.blank_inner_radius:
        return ()
    sweep = made.blank_angle / blank.pieces
    inner = arc_path((0.0, 0.0), radius, math.pi / 2 - sweep / 2, sweep)
    return (Mark(inner, "bevel", _bevel_text(maker, made)),)


def _bevel_text(maker: "Maker", made: Ring) -> str:
    lean = made.wall * math.tan(made.half_angle)
    return f"{maker.length(lean)} ({short(math.degrees(made.half_angle), 1)}°)"


def _notes(maker: "Maker", blank: Blank, piece: int, hoop: Hoop) -> tuple[str, ...]:
    made, seam = blank.ring, blank.seam
    notes = ["inside up"]
    if hoop.of > 1:
        notes.append(f"cone {hoop.number} of {hoop.of}")
    if blank.pieces > 1:
        notes.append(f"piece {piece + 1} of {blank.pieces}")
    if seam.kind == "flap":
        notes.append(f"flap {maker.length(seam.width)}, to the far paper")
    elif seam.kind == "lap":
        notes.append(f"lap {maker.length(seam.width)}, outside")
    elif seam.kind == "strap":
        notes.append(f"seam on a strap {maker.length(seam.width)}")
    lean = made.wall * math.tan(made.half_angle)
    if lean >= LEAST_BEVEL:
        notes.append(f"bevel {_bevel_text(maker, made)} both rims")
        extra = [
            f"{maker.length(more)} at the {rim} rim"
            for more, rim in ((made.neutral * lean, "small"), ((1.0 - made.neutral) * lean, "large"))
            if more >= LEAST_BEVEL
        ]
        if extra:
            notes.append(f"cut square? leave {', '.join(extra)}")
    return tuple(notes)


def _edges(blank: Blank, before: str, after: str) -> tuple[Edge, ...]:
    made = blank.ring
    return (
        Edge("start rim", before, made.bevel, blank.start_edge),
        Edge("end rim", after, made.bevel, blank.end_edge),
        Edge("seam", "", 0.0, made.slant),
    )


def measures(maker: "Maker", component: "Component") -> Mapping[str, float]:
    """Return the sizes of a blank without its seam, by name; of each of several behind its number, and how near they
    come to their profile.
    """
    rings = hoops.of_element(maker, component)
    if not bows.bends(component):
        return _blank_sizes(made_ring(maker, rings[0]))
    found = {"worst_deviation": bows.bow(maker, component).deviation}
    for hoop in rings:
        made = made_ring(maker, hoop)
        start, end = stacked.places_of(maker, hoop)
        sizes = {
            "start": made.start,
            "end": made.end,
            "length": made.length,
            "half_angle": made.half_angle,
            "slant": made.slant,
            "start_inside": made.start_inside,
            "end_inside": made.end_inside,
            "bevel": made.bevel,
            "x_start": start,
            "x_end": end,
            **_blank_sizes(made),
        }
        found |= {f"{hoop.number}.{name}": value for name, value in sizes.items()}
    return found


def _blank_sizes(made: Ring) -> dict[str, float]:
    found = {
        "blank_inner_radius": made.blank_inner_radius,
        "blank_outer_radius": made.blank_outer_radius,
        "blank_angle": made.blank_angle,
        "blank_length": made.blank_length,
        "blank_width": made.blank_width,
    }
    return {name: value for name, value in found.items() if value is not None}
