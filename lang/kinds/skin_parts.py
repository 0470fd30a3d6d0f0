"""No kind: the sheets of a skin as parts, with their seams, openings, scores and notes."""

import math
from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING, NamedTuple

from ringwright.geometry.blank import Room, fits
from ringwright.geometry.errors import GeometryError
from ringwright.geometry.mass import measure
from ringwright.geometry.numbers import short
from ringwright.geometry.part import Bent, Centre, Edge, Facet, Mark, Part, Score, Stock
from ringwright.geometry.path import Path, as_hole, bounds, canonical, closed
from ringwright.geometry.wrap import carry, score
from ringwright.geometry.wrap.peel import bent_zones, zone_outline
from ringwright.geometry.wrap.rims import bevelled_face, greatest_lean, is_even
from ringwright.geometry.wrap.sheet import FLUSH, Sheet, Trim, Trims, sheets
from ringwright.geometry.wrap.strip import Strip
from ringwright.geometry.wrap.surface import Surface, facets, rim, widths
from ringwright.geometry.wrap.weigh import weighed
from ringwright.lang.design.hands import in_hands
from ringwright.lang.design.making import BUTT, SeamChoice, blaming
from ringwright.lang.kinds import openings, skin_marks, skin_mates, skin_warnings
from ringwright.lang.kinds.rolled import FLAPS, LAPS
from ringwright.lang.kinds.skin import Skinned, hands, skinned
from ringwright.lang.values.value import Seam

if TYPE_CHECKING:
    from ringwright.lang.components.tree import Component
    from ringwright.lang.design.making import Maker

MOST_PIECES = 24
LEAST_BEVEL = 0.2
"""Least width of a bevel that is worth a word, mm. Our choice."""
NEARLY_ALL = 0.9
"""Share of a sheet that is bent from which the paper of all of it comes off."""


class Laid(NamedTuple):
    """One sheet of a skin. strip, piece: which it is, each counted from 0; of: how many pieces its strip has."""

    sheet: Sheet
    strip: int
    piece: int
    of: int


def laid_out(maker: "Maker", component: "Component") -> tuple[Laid, ...]:
    """Return the sheets of a wrap, fore to aft, and in each strip with growing turn; once. Raises GeometryError."""
    if component.id not in maker.sheets:
        maker.sheets[component.id] = _laid_out(maker, component)
    return maker.sheets[component.id]


def _laid_out(maker: "Maker", component: "Component") -> tuple[Laid, ...]:
    made = skinned(maker, component)
    found = []
    for index, strip in enumerate(made.made.strips):
        pieces = _pieces(maker, component, made, index, strip)
        found += [Laid(sheet, index, piece, len(pieces)) for piece, sheet in enumerate(pieces)]
    return tuple(found)


def _pieces(
    maker: "Maker", component: "Component", made: Skinned, index: int, strip: Strip
) -> tuple[Sheet, ...]:
    """Return the sheets of a strip: as many as are asked for, else the fewest that fit."""
    ends = _trim(maker, component, "edges")
    seam = seam_of(maker, component, made)
    joint = Trim(seam.kind, seam.width, seam=True) if seam.kind in ("lap", "flap") else FLUSH
    sides = _trim(maker, component, "sides" if maker.has(component, "sides") else "edges")
    across = cut_seam(maker, component)
    meeting = Trim(across.kind, across.width, seam=True) if across.kind in ("lap", "flap") else FLUSH
    trims = Trims(
        ends if index == 0 else FLUSH,
        joint,
        ends if index == len(made.made.strips) - 1 else meeting,
        FLUSH,
    )
    outermost = None if made.closed else (sides, sides)
    wanted = maker.count(component, "pieces")
    if wanted is not None:
        return sheets(strip.surface, trims, wanted, outermost=outermost)
    trouble: GeometryError | None = None
    for count in range(1, MOST_PIECES + 1):
        try:
            found = sheets(strip.surface, trims, count, outermost=outermost)
        except GeometryError as error:
            if error.code != "overlaps-itself":
                raise
            trouble = error
            continue
        if all(fits_sheet(sheet.outline, made.stock, maker.cutting.margin, False) for sheet in found):
            return found
    raise trouble or GeometryError(
        "sheet-too-small",
        f"'{component.id}' fits a sheet of {maker.length(made.stock.width)} by {maker.length(made.stock.height)} not even in"
        f" {MOST_PIECES} pieces",
    )


def fits_sheet(outline: Path, stock: Stock, margin: float, level: bool) -> bool:
    """Return whether an outline fits a sheet of its stock. level: its x runs along the grain, else its y."""
    if stock.grain == "none":
        return fits(outline, Room(stock.width, stock.height, margin))
    left, low, right, high = bounds(outline)
    sheet = stock.width - 2 * margin, stock.height - 2 * margin
    along, across = sheet if stock.grain == "along_width" else sheet[::-1]
    size = right - left, high - low
    long, wide = size if level else size[::-1]
    return long <= along + 1e-9 and wide <= across + 1e-9


def _trim(maker: "Maker", component: "Component", name: str) -> Trim:
    found = maker.value(component, name)
    if not isinstance(found, Seam) or found.width is None:
        return FLUSH
    return Trim(found.kind.removeprefix("notched "), maker.amount(found.width), found.kind == "notched tab")


def cut_seam(maker: "Maker", component: "Component") -> SeamChoice:
    """Return how the strips of a wrap meet at the sections where it is cut."""
    return maker.seam(component, "cut_seam") or BUTT


def seam_of(maker: "Maker", component: "Component", made: Skinned) -> SeamChoice:
    """Return the seam of a wrap as given, or the habit of its stock."""
    given = maker.seam(component)
    if given is not None:
        return given
    stock = made.stock
    if stock.kind == "foamboard":
        shapes = [bounds(over.shape) for over in made.over if over.shape is not None]
        broad = max(max(right - left, high - low) for left, low, right, high in shapes)
        seam = SeamChoice("flap", next(width for limit, width in FLAPS if broad <= limit))
    elif stock.kind in LAPS:
        seam = SeamChoice("lap", LAPS[stock.kind])
    else:
        seam = BUTT
    shown = seam.kind if seam.kind == "butt" else f"{seam.kind}({short(seam.width, 1)} mm)"
    maker.default(component, "seam", shown)
    return seam


def parts(maker: "Maker", component: "Component") -> Iterator[Part]:
    """Yield the sheets of a wrap in the hands that are wanted, and the straps of its seams."""
    made = skinned(maker, component)
    skin_warnings.warn(maker, component, made)
    drawn, wanted = hands(maker, component, made)
    for part in _parts(maker, component, made):
        yield from in_hands(part, drawn, wanted) if wanted else (part,)


def _parts(maker: "Maker", component: "Component", made: Skinned) -> Iterator[Part]:
    all_laid = laid_out(maker, component)
    bent = [facets(one.sheet.surface) for one in all_laid]
    cut = _openings(maker, component, made, all_laid, bent)
    seam, across = seam_of(maker, component, made), cut_seam(maker, component)
    meetings = tuple(skin_mates.meetings(maker, component, made))
    for number, (one, triangles) in enumerate(zip(all_laid, bent, strict=True)):
        id = component.id if len(all_laid) == 1 else f"{component.id}.{number + 1}"
        strip = made.made.strips[one.strip]
        joined = made.closed or one.piece < one.of - 1
        lapped = joined and seam.kind == "lap"
        met = one.strip < len(made.made.strips) - 1
        laps = (lapped, met and across.kind == "lap")
        sheet, stock = one.sheet, made.stock
        scores, closing = _scores(maker, component, stock, sheet)
        drawn = skin_marks.former_marks(maker, component, made, strip, sheet)
        holes, centres = cut[number]
        bared, all_bared = peeling(sheet.surface, stock)
        widest = max((_trim(maker, component, name).width for name in ("edges", "sides")), default=0.0)
        yield Part(
            id=id, name=id, component=component.id, hand="", stock=stock, quantity=1, outline=sheet.outline,
            holes=holes, far=sheet.far, scores=(*sheet.folds, *scores), peels=sheet.peels,
            marks=(*drawn.marks, *(Mark(path, "line") for path in sheet.laps), *skin_marks.joint_marks(component, made, all_laid, one, laps, meetings)), centres=centres,
            notes=(
                *_notes(maker, made, strip, one, seam, len(scores), closing),
                *_meeting(maker, across if met else BUTT),
                *(f"edge lap {maker.length(width)}" for width in _lap_widths(maker, component, sheet)),
                *papers(bared, all_bared),
            ),
            edges=_edges(component, made, all_laid, one, number), grain=_grain(maker, component, stock),
            placement=Bent(triangles), grooves=drawn.grooves, bared=() if all_bared else bared,
            properties=weighed(
                sheet.surface, sheet.outline, holes, sheet.far, (*sheet.peels, *(g.path for g in drawn.grooves)), stock,
                max(widest, seam.width if joined else 0.0, across.width if met else 0.0), bared=bared,
            ),
        )  # fmt: skip
        if seam.kind == "strap" and joined:
            yield strap(component, id, stock, seam.width, sheet.lengths.last)
        if across.kind == "strap" and met:
            yield strap(component, f"{id}.aft", stock, across.width, sheet.lengths.end)


def _lap_widths(maker: "Maker", component: "Component", sheet: Sheet) -> Iterator[float]:
    """Yield the widths of the laps beyond a sheet's free edges, each once."""
    if sheet.laps:
        trims = [_trim(maker, component, name) for name in ("edges", "sides")]
        yield from dict.fromkeys(trim.width for trim in trims if trim.kind == "lap")


def peeling(surface: Surface, stock: Stock) -> tuple[tuple[Path, ...], bool]:
    """Return the areas of a sheet that are bent tighter than it takes with both papers on, and whether that is all of it."""
    zones = bent_zones(surface, stock.plain_radius) if stock.plain_radius else ()
    whole = widths(surface)[-1]
    return (
        tuple(zone_outline(surface, zone) for zone in zones),
        math.fsum(high - low for low, high in zones) > NEARLY_ALL * whole,
    )


def papers(bared: tuple[Path, ...], all_bared: bool) -> tuple[str, ...]:
    """Return the note on the paper that comes off: where it is all of it, no hatching says so."""
    return () if not bared else ("inner paper off" if all_bared else "inner paper off where hatched",)


def strap(component: "Component", id: str, stock: Stock, width: float, long: float) -> Part:
    """Return the strip inside a seam."""
    outline = canonical(closed([(0.0, 0.0), (width, 0.0), (width, long), (0.0, long)]))
    return Part(
        id=f"{id}.strap", name=f"{id}.strap", component=component.id, hand="", stock=stock, quantity=1, outline=outline,
        holes=(), far=(), scores=(), peels=(), marks=(), centres=(), notes=("inside the seam",), edges=(), grain="free",
        placement=None, properties=measure(outline, (), (), (), stock, None),
    )  # fmt: skip


def _grain(maker: "Maker", component: "Component", stock: Stock) -> str:
    """Return how the drawing lies on a stock with grain: its rulings, which go up it, along the grain."""
    return maker.word(component, "grain") or ("free" if stock.grain == "none" else "across")


def _scores(
    maker: "Maker", component: "Component", stock: Stock, sheet: Sheet
) -> tuple[tuple[Score, ...], int]:
    """Return the scores of a sheet, and how many of them close when cut as wide as the cutter cuts."""
    if stock.bend != "scored":
        return score.corners(sheet.surface), 0
    evenness, wide = maker.number(component, "evenness"), maker.cutting.kerf
    thick, facing = (stock.thickness, stock.facing) if wide else (0.0, 0.0)
    made = score.scores(sheet.surface, evenness, thick, facing, wide)
    return made.scores, made.closing


def _openings(
    maker: "Maker",
    component: "Component",
    made: Skinned,
    laid: tuple[Laid, ...],
    bent: list[tuple[Facet, ...]],
) -> list[tuple[tuple[Path, ...], tuple[Centre, ...]]]:
    """Return holes and centre crosses of each sheet: each opening on the sheet that has its middle."""
    found: list[list[openings.Opening]] = [[] for _ in laid]
    for child in maker.children(component, "hole"):
        with blaming(child.span):
            number, opening = _opening(maker, child, made, bent)
        found[number].append(opening)
    cut = []
    for one, of_sheet in zip(laid, found, strict=True):
        openings.check(maker, component, one.sheet.outline, of_sheet)
        cut.append(
            (
                tuple(as_hole(opening.outline) for opening in of_sheet),
                tuple(
                    Centre(o.round[0], o.round[1] + openings.CROSS_PAST_RIM)
                    for o in of_sheet
                    if o.round is not None
                ),
            )
        )
    return cut


def _opening(
    maker: "Maker", child: "Component", made: Skinned, bent: Iterable[tuple[Facet, ...]]
) -> tuple[int, openings.Opening]:
    """Return the sheet that has the middle of an opening, and the opening as drawn there."""
    at = maker.point(child, "at")
    if at is None:
        raise GeometryError(
            "hole-form",
            f"hole '{child.name}' in a skin needs its place: at = (place along x, angle from the top)",
        )
    x, turn = at[0], at[1]
    about = made.centre_at(x)
    for number, triangles in enumerate(bent):
        place = carry.hit(triangles, (x, *about), (0.0, math.sin(turn), math.cos(turn)))
        if place is None:
            continue
        hole = openings.hole(maker, child, (0.0, 0.0), None)
        drawn = canonical(carry.opening(triangles, hole.outline, place))
        return number, openings.Opening(child, drawn, None if hole.round is None else (place, hole.round[1]))
    raise GeometryError(
        "off-skin",
        f"hole '{child.name}' is at {maker.length(x)}, {short(math.degrees(turn), 1)}° from the top: the skin is not there",
    )


def _notes(
    maker: "Maker", made: Skinned, strip: Strip, one: Laid, seam: SeamChoice, scores: int, closing: int
) -> Iterator[str]:
    yield "inside up"
    first, last = (made.over[end].called(maker.length) for end in (strip.first, strip.last))
    yield f"{first} to {last}"
    if one.of > 1:
        yield f"piece {one.piece + 1} of {one.of}"
    if made.closed or one.piece < one.of - 1:
        width = maker.length(seam.width)
        said = {
            "flap": f"flap {width}, to the far paper",
            "lap": f"lap {width}",
            "strap": f"seam on a strap {width}",
        }
        if seam.kind in said:
            yield said[seam.kind]
    surface = one.sheet.surface
    for row, end in ((0, "fore"), (-1, "aft")):
        if len(rim(surface, row)) > 1:
            yield from _bevel(maker, made.stock, surface, row, end)
    if scores and made.stock.bend == "scored":
        yield f"{scores} scores" + (f", {closing} close" if closing else "")


def _meeting(maker: "Maker", across: SeamChoice) -> Iterator[str]:
    """Yield what a label says of how a strip meets the next."""
    width = maker.length(across.width)
    said = {
        "lap": f"aft rim laps {width} over the next",
        "flap": f"flap {width} at the aft rim, to the far paper",
        "strap": f"aft rim on a strap {width}",
    }
    if across.kind in said:
        yield said[across.kind]


def _bevel(maker: "Maker", stock: Stock, surface: Surface, row: int, end: str) -> Iterator[str]:
    """Yield what there is to say of a rim that is not cut square: how wide the bevel is, of which face it takes, and how
    far the other reaches beyond the drawn line.
    """
    lean, face = greatest_lean(surface, row), bevelled_face(surface, row)
    wide = stock.thickness * math.tan(lean)
    if wide < LEAST_BEVEL:
        return
    upto = "" if is_even(surface, row) else "up to "
    said = f"bevel {upto}{maker.length(wide)} ({short(math.degrees(lean), 1)}°) {end} rim"
    beyond = wide * {"outside": stock.neutral, "inside": 1 - stock.neutral}.get(face, 0.0)
    said += f", {face}" if face else ""
    yield said + (f": leave {maker.length(beyond)}" if beyond >= LEAST_BEVEL else "")


def _edges(
    component: "Component", made: Skinned, laid: tuple[Laid, ...], one: Laid, number: int
) -> tuple[Edge, ...]:
    strip, lengths, surface = made.made.strips[one.strip], one.sheet.lengths, one.sheet.surface
    last = len(made.made.strips) - 1
    ends = []
    for name, index, row, long, joined in (
        ("start rim", strip.first, 0, lengths.start, one.strip > 0),
        ("end rim", strip.last, -1, lengths.end, one.strip < last),
    ):
        mate = made.over[index].former
        if not mate and joined:
            mate = component.id
        ends.append(Edge(name, mate, greatest_lean(surface, row), long, bevelled_face(surface, row)))
    if made.closed or one.of > 1:
        return (*ends, Edge("seam", "", 0.0, lengths.last))
    return (*ends, Edge("left edge", "", 0.0, lengths.first), Edge("right edge", "", 0.0, lengths.last))
