"""The sheet that is cut for a skin: its outline with strips at the edges, in as many pieces as it takes.

Edges, the way round: 'start' along the first section, 'last' up the last thread, 'end' back along the last
section, 'first' down the first thread.
"""

import math
from collections.abc import Sequence
from itertools import pairwise
from typing import NamedTuple

from ringwright.geometry.blank import Room, fits
from ringwright.geometry.crossing import crossing
from ringwright.geometry.curve import thinned
from ringwright.geometry.errors import GeometryError
from ringwright.geometry.numbers import short
from ringwright.geometry.part import Score, Vector
from ringwright.geometry.path import Path, Point, canonical, closed, line, on_way
from ringwright.geometry.remember import remembered
from ringwright.geometry.wrap.surface import Surface, facets, part, upright, widths
from ringwright.geometry.wrap.vector import cross, dot, minus, plus, size

FLAP_TRIM = 1.0
"""How far a flap keeps back at its free corners, mm. Our choice, as for rings."""

MITRE = 2.0
"""How far out the corner of two laps may reach, in widths of the wider. Our choice."""

_IN_LINE = 1e-6

_RIM = 0.005
_MOST_PIECES = 24


class Trim(NamedTuple):
    """What an edge has beyond its line.

    kind: 'flush' nothing; 'lap' a strip of the sheet; 'flap' a strip of its outer facing alone, the foam taken
    off; 'tab' a strip that is folded in over a former. width: mm. notched: tabs cut into teeth, so that they
    fold round a curve. seam: another piece of the sheet, or its own other edge, is glued to it.
    """

    kind: str = "flush"
    width: float = 0.0
    notched: bool = False
    seam: bool = False


FLUSH = Trim()


class Trims(NamedTuple):
    """The trims of a sheet's four edges."""

    start: Trim = FLUSH
    last: Trim = FLUSH
    end: Trim = FLUSH
    first: Trim = FLUSH


class Lengths(NamedTuple):
    """Lengths of a sheet's four edges as drawn, mm, without strips."""

    start: float
    last: float
    end: float
    first: float


class Sheet(NamedTuple):
    """One piece of a skin, ready to be cut.

    surface: where every spot of it goes. outline: with its strips, canonical. far: where foam ends and only the
    facing runs on. peels: strips whose foam goes. folds: where tabs are folded. laps: where laps begin that are
    no seams.
    """

    surface: Surface
    outline: Path
    far: tuple[Path, ...]
    peels: tuple[Path, ...]
    folds: tuple[Score, ...]
    lengths: Lengths
    laps: tuple[Path, ...] = ()


@remembered(64)
def sheet(surface: Surface, trims: Trims | None = None) -> Sheet:
    """The sheet of a skin in one piece. GeometryError 'overlaps-itself' where it lies over itself when flat,
    'strip-too-wide'.
    """
    trims = trims if trims is not None else Trims()
    lines = _edge_lines(surface)
    plain = _outline(surface, [edge[:-1] for edge in lines])
    where = crossing(plain)
    if where is not None:
        raise GeometryError(
            "overlaps-itself",
            f"the skin overlaps itself when laid flat, near ({short(where[0], 1)}, {short(where[1], 1)}) mm:"
            " it must be cut in pieces",
        )
    strips: list[list[Point]] = []
    far: list[Path] = []
    peels: list[Path] = []
    folds: list[Score] = []
    for edge, trim, space in zip(lines, trims, _edges_in_space(surface), strict=True):
        if trim.kind == "flush" or not trim.width:
            strips.append([])
            continue
        strip = _strip(edge, space, trim)
        strips.append(strip)
        if trim.kind == "flap":
            far.append(line(edge))
            peels.append(canonical(closed([*edge[::-1], *strip])))
        elif trim.kind == "tab":
            folds.append(Score(line(edge), math.pi / 2, "inside"))
    laps = tuple(line(edge) for edge, trim in zip(lines, trims, strict=True) if _is_free_lap(trim))
    mitred = [
        _is_free_lap(trims[k - 1]) and _is_free_lap(trim) and _mitre(strips[k - 1], strips[k], lines[k][0])
        for k, trim in enumerate(trims)
    ]
    corners = [
        [
            *([] if is_mitred else edge[:1]),
            *(strip[1:] if is_mitred and strip[0] == strips[k - 1][-1] else strip or edge[1:-1]),
        ]
        for k, (edge, strip, is_mitred) in enumerate(zip(lines, strips, mitred, strict=True))
    ]
    outline = _outline(surface, corners)
    if crossing(outline) is not None:
        widest = max(trim.width for trim in trims)
        raise GeometryError(
            "strip-too-wide",
            f"strips up to {short(widest, 1)} mm wide run into each other: make them narrower",
        )
    walked = [math.fsum(math.dist(a, b) for a, b in pairwise(edge)) for edge in _full_lines(surface)]
    return Sheet(surface, outline, tuple(far), tuple(peels), tuple(folds), Lengths(*walked), laps)


def sheets(
    surface: Surface,
    trims: Trims | None = None,
    pieces: int | None = None,
    room: Room | None = None,
    outermost: tuple[Trim, Trim] | None = None,
) -> tuple[Sheet, ...]:
    """The sheets of a skin in so many pieces, or in the fewest that neither overlap themselves nor pass the
    room.

    Pieces are equally wide; each has the `last` strip towards its neighbour. outermost: the trims of the first
    edge of the first piece and of the last edge of the last, where those meet nothing. GeometryError
    'sheet-too-small', 'overlaps-itself'.
    """
    if pieces is not None:
        return _cut(divided(surface, pieces), trims, outermost)
    trouble: GeometryError | None = None
    for count in range(1, _MOST_PIECES + 1):
        try:
            found = _cut(divided(surface, count), trims, outermost)
        except GeometryError as error:
            if error.code != "overlaps-itself":
                raise
            trouble = error
            continue
        if room is None or all(fits(one.outline, room) for one in found):
            return found
    if trouble is not None and room is None:
        raise trouble
    limits = f"{short(room.width, 1)} by {short(room.height, 1)} mm" if room is not None else "any size"
    raise GeometryError(
        "sheet-too-small", f"not even {_MOST_PIECES} pieces of this skin fit a sheet of {limits}"
    )


def _cut(
    pieces: Sequence[Surface], trims: Trims | None, outermost: tuple[Trim, Trim] | None
) -> tuple[Sheet, ...]:
    usual = trims if trims is not None else Trims()
    found = []
    for number, piece in enumerate(pieces):
        own = usual
        if outermost is not None and number == 0:
            own = own._replace(first=outermost[0])
        if outermost is not None and number == len(pieces) - 1:
            own = own._replace(last=outermost[1])
        found.append(sheet(piece, own))
    return tuple(found)


def divided(surface: Surface, pieces: int) -> tuple[Surface, ...]:
    """The sheet in so many pieces of equal width, each drawn with its own middle upright. GeometryError
    'too-few-pieces'.
    """
    if pieces < 1:
        raise GeometryError("too-few-pieces", f"a skin has one piece at least, not {pieces}")
    if pieces == 1:
        return (surface,)
    whole = widths(surface)[-1]
    return tuple(upright(part(surface, whole * k / pieces, whole * (k + 1) / pieces)) for k in range(pieces))


def _full_lines(surface: Surface) -> list[list[Point]]:
    flat = surface.flat
    return [
        [thread[0] for thread in flat],
        list(flat[-1]),
        [thread[-1] for thread in reversed(flat)],
        list(reversed(flat[0])),
    ]


def _edge_lines(surface: Surface) -> list[list[Point]]:
    """The four edges the way round, with no more corners than 0.005 mm asks for; a section shrunk to a point
    has one.
    """
    found = []
    for edge in _full_lines(surface):
        once = [edge[0]]
        for at in edge[1:]:
            if math.dist(once[-1], at) > 1e-6:
                once.append(at)
        found.append([once[k] for k in thinned(once, _RIM)] if len(once) > 2 else once)
    return [edge if len(edge) > 1 else [edge[0], edge[0]] for edge in found]


def _edges_in_space(surface: Surface) -> list[list[Vector]]:
    space = surface.space
    return [
        [thread[0] for thread in space],
        list(space[-1]),
        [thread[-1] for thread in reversed(space)],
        list(reversed(space[0])),
    ]


def _outline(surface: Surface, corners: Sequence[Sequence[Point]]) -> Path:
    outline = closed([at for edge in corners for at in edge])
    if len(outline.points) < 3:
        raise GeometryError("no-area", "the skin has no area: its sections are lines along its rulings")
    if sum(1 for _ in facets(surface)) == 0:
        raise GeometryError("no-area", "the skin has no area: its sections are lines along its rulings")
    return canonical(outline)


def _strip(edge: Sequence[Point], space: Sequence[Vector], trim: Trim) -> list[Point]:
    """Outer corners of a strip along an edge that is run with the sheet on its left, start to end."""
    walked = [0.0]
    for a, b in pairwise(edge):
        walked.append(walked[-1] + math.dist(a, b))
    whole = walked[-1]
    back = {"tab": min(trim.width, whole / 4), "flap": FLAP_TRIM}.get(trim.kind, 0.0)
    if whole <= 2 * back + 1e-6:
        raise GeometryError(
            "strip-too-wide",
            f"a strip {short(trim.width, 1)} mm wide does not fit an edge of {short(whole, 1)} mm",
        )
    outs = _ways_out(edge)

    def at(along: float, out: float) -> Point:
        k = 0
        while k < len(edge) - 2 and along > walked[k + 1]:
            k += 1
        share = (along - walked[k]) / (walked[k + 1] - walked[k])
        spot, way = (on_way(of[k], of[k + 1], share) for of in (edge, outs))
        return spot[0] + out * way[0], spot[1] + out * way[1]

    def outer(low: float, high: float) -> list[Point]:
        inner = [k for k, place in enumerate(walked) if low + 1e-6 < place < high - 1e-6]
        return [at(low, trim.width), *(at(walked[k], trim.width) for k in inner), at(high, trim.width)]

    found: list[Point] = []
    start = back
    if trim.kind == "tab" and trim.notched:
        for place, mouth in _notches(edge, space, whole, trim.width, back):
            found.extend(outer(start, place - mouth / 2))
            found.append(at(place, 0.0))
            start = place + mouth / 2
    found.extend(outer(start, whole - back))
    if back:
        found.append(edge[-1])
    return found


def _is_free_lap(trim: Trim) -> bool:
    return trim.kind == "lap" and trim.width > 0 and not trim.seam


def _mitre(before: list[Point], after: list[Point], corner: Point) -> bool:
    """Run two strips on to where their outer lines meet, in place, or straight across where that is too far out, and
    return whether the corner between them is left out: not where it points in and a strip is too short.
    """
    (px, py), (qx, qy) = before[-2:]
    (rx, ry), (sx, sy) = after[:2]
    ux, uy, vx, vy = qx - px, qy - py, sx - rx, sy - ry
    sine = (ux * vy - uy * vx) / (math.hypot(ux, uy) * math.hypot(vx, vy))
    if abs(sine) < _IN_LINE:
        return ux * vx + uy * vy > 0
    scale = math.hypot(ux, uy) * math.hypot(vx, vy) * sine
    on_before = ((rx - px) * vy - (ry - py) * vx) / scale
    on_after = ((rx - px) * uy - (ry - py) * ux) / scale
    at = (px + on_before * ux, py + on_before * uy)
    wide = max(math.dist(corner, before[-1]), math.dist(corner, after[0]))
    if sine > 0 and (on_before < 1 or on_after > 0 or math.dist(at, corner) > MITRE * wide):
        return True
    if on_before <= 0 or on_after >= 1:
        return False
    before[-1] = after[0] = at
    return True


def _notches(
    edge: Sequence[Point], space: Sequence[Vector], whole: float, width: float, back: float
) -> list[tuple[float, float]]:
    """(place along the edge, width of its mouth) of each notch of a tab.

    Folded in, the strip's outer line must be shorter than the edge by width times what the edge turns in space
    and in the drawing; a notch takes its share of that and 1 mm of room (our choice).
    """
    pitch = min(max(2 * width, 8.0), 25.0)
    count = max(1, round((whole - 2 * back) / pitch))
    pitch = (whole - 2 * back) / count
    surplus = width * (_turning_in_space(space) + _turning(edge)) * pitch / whole
    mouth = min(max(surplus, 0.0) + 1.0, 0.8 * pitch)
    return [(back + pitch * k, mouth) for k in range(1, count)]


def _turning(edge: Sequence[Point]) -> float:
    """How much a line of the drawing turns to the left, rad."""
    steps = [(b[0] - a[0], b[1] - a[1]) for a, b in pairwise(edge)]
    return math.fsum(
        math.atan2(p[0] * q[1] - p[1] * q[0], p[0] * q[0] + p[1] * q[1]) for p, q in pairwise(steps)
    )


def _turning_in_space(line: Sequence[Vector]) -> float:
    """How much a line turns in space, rad, bends the other way counted off."""
    steps = [minus(b, a) for a, b in pairwise(line) if math.dist(a, b) > 1e-9]
    bends = [cross(p, q) for p, q in pairwise(steps)]
    main: Vector = (0.0, 0.0, 0.0)
    for bend in bends:
        main = plus(main, bend)
    return math.fsum(
        math.copysign(math.atan2(size(bend), dot(p, q)), dot(bend, main))
        for bend, (p, q) in zip(bends, pairwise(steps), strict=True)
    )


def _ways_out(edge: Sequence[Point]) -> list[Point]:
    """To the right of the line at each corner, so long that a strip keeps its width; mitres to twice that."""
    rights = []
    for (x0, y0), (x1, y1) in pairwise(edge):
        long = math.hypot(x1 - x0, y1 - y0)
        rights.append(((y1 - y0) / long, (x0 - x1) / long))
    found = [rights[0]]
    for (ax, ay), (bx, by) in pairwise(rights):
        widen = 1 / max(1 + ax * bx + ay * by, 0.5)
        found.append(((ax + bx) * widen, (ay + by) * widen))
    return [*found, rights[-1]]
