"""The lines of one part: cut, far, score, groove, peel, mark and centre lines, in the order in which they are cut or
drawn."""

import math
from collections.abc import Callable, Iterable, Iterator, Sequence
from typing import NamedTuple

from ringwright.backends.drawing import NARROW, WIDE, Stroke, circle, dashed, dashed_spaced, long_dash_dot
from ringwright.backends.room import FLATNESS
from ringwright.backends.sizes import bare_words
from ringwright.geometry.numbers import short
from ringwright.geometry.part import Mark, Part, Score
from ringwright.geometry.path import (
    Path,
    Point,
    bounds,
    flattened,
    length,
    line,
    moved,
    pieces,
    point_at,
    turned,
)
from ringwright.geometry.within import circle_of

TICK_STEP = 10.0
HATCH_STEP = 3.0
GROOVE_STEP = 1.5
"""Between the stripes of a groove, mm: closer than those of a peel, so that the two are told apart."""
BARE_STEP = 6.0
"""Between the stripes where the paper alone comes off, mm: wider than those of a peel, and the other way."""
SHORTEST_STRIPE = 0.2
"""What is shorter of a stripe, or of a border that a hole has cut, is not drawn, mm."""
BACK = "back"
"""The side of a score that is cut from the face that is not drawn."""
PRICK_INSET = 3.0
"""How far from the end of a score on the back its line is pricked through, mm."""
SHORTEST_DASHED = 50 * NARROW
"""Lines shorter than two long dashes are drawn continuous, as ISO 128-2 allows in small circles."""


class Note(NamedTuple):
    """A few words that stand beside a line.

    key: what they are where they cannot stand there: 'to drum at the upper edge'. rim: for a line that starts at the
    edge of the part, the place just inside that a leader reaches, from outside alone.
    """

    text: str
    beside: Path
    key: str
    rim: Point | None = None


def turned_part(part: Part, rotation: float) -> Part:
    """The part with all its lines turned anticlockwise by `rotation` degrees about its origin."""
    return _mapped(part, lambda path: turned(path, math.radians(rotation)))


def part_strokes(part: Part, arrows: dict[int, Path]) -> list[Stroke]:
    """All lines of a part, holes before the outline. arrows: shafts, from `bevel_arrows`."""
    strokes = [Stroke("cut", hole, WIDE) for hole in part.holes]
    strokes.append(Stroke("cut", part.outline, WIDE))
    for path in part.far:
        strokes.append(Stroke("far", path, WIDE))
        strokes.extend(Stroke("mark", tick, NARROW) for tick in _ticks(path))
    for score in part.scores:
        strokes.extend(_score(score))
    for groove in part.grooves:
        strokes.extend(_hatched("groove", groove.path, GROOVE_STEP, 1, part.holes))
    for area in part.bared:
        strokes.extend(_hatched("bare", area, BARE_STEP, -1, part.holes))
    for area in part.peels:
        strokes.extend(_hatched("peel", area, HATCH_STEP, 1, part.holes))
    strokes.extend(Stroke("mark", mark.path, NARROW) for mark in part.marks)
    for shaft in arrows.values():
        strokes.extend(arrow(shaft))
    for centre in part.centres:
        strokes.extend(cross(centre.at, centre.arm))
    return strokes


def part_notes(
    part: Part, arrows: dict[int, Path], unit: str = "mm", fraction: int | None = None
) -> list[Note]:
    """What is lettered beside the lines: marks' own texts, width and depth of grooves, the angle and side of
    scores.

    Scores that say the same thing are lettered once, with their number. unit: 'mm' or 'in'.
    """
    notes = [
        _mark_note(part, mark, arrows.get(i, mark.path)) for i, mark in enumerate(part.marks) if mark.text
    ]
    for groove in part.grooves:
        wide, deep = (bare_words(size, unit, fraction) for size in (groove.width, groove.depth))
        size = f"{wide} × {deep} deep"
        words = f"{groove.text} · {size}" if groove.text else size
        notes.append(Note(words, _half(groove.path), f"groove {words}"))
    scores: dict[str, list[Path]] = {}
    for score in part.scores:
        bend = f"{short(math.degrees(score.angle), 1)}°" if score.angle else "score"
        words = f"{bend} {score.side}".strip()
        scores.setdefault(words, []).append(score.path)
    for words, paths in scores.items():
        count = f"{len(paths)} × " if len(paths) > 1 else ""
        notes.append(Note(count + words, paths[0], f"score {count}{words.removeprefix('score ')}"))
    return notes


def _mark_note(part: Part, mark: Mark, beside: Path) -> Note:
    """The words of a mark, with the edge at which it stands."""
    if mark.kind == "bevel":
        return Note(mark.text, beside, f"bevel {mark.text} as its arrow shows")
    if mark.path.closed:
        return Note(mark.text, beside, mark.text)
    start = mark.path.points[0]
    _, (ux, uy) = point_at(mark.path, 0.0)
    rings = [part.outline, *part.holes]
    if min(math.dist(_nearest(start, ring), start) for ring in rings) > 2 * FLATNESS:
        return Note(mark.text, beside, f"{mark.text} line" if mark.kind == "top" else mark.text)
    inset = min(1.0, length(mark.path) / 2)
    rim = (start[0] + inset * ux, start[1] + inset * uy)
    return Note(mark.text, beside, f"{mark.text} at the {_edge_name(ux, uy)}", rim)


def _edge_name(ux: float, uy: float) -> str:
    """Which edge of a part, as it lies on the sheet, one comes in by along a direction."""
    if abs(uy) >= abs(ux) - 1e-6:
        return "upper edge" if uy < 0 else "lower edge"
    return "right edge" if ux < 0 else "left edge"


def hole_notes(part: Part, unit: str, fraction: int | None = None) -> list[list[Note]]:
    """Diameters of the round holes, as cut: for each size the notes of which one is to be set."""
    sizes: dict[str, list[Note]] = {}
    for hole in part.holes:
        round = circle_of(hole)
        if round is None:
            continue
        (x, y), radius = round
        words = f"ø {bare_words(2 * radius, unit, fraction)}"
        for slope in (math.pi / 4, 3 * math.pi / 4):
            # Turned so that it starts off the arms of its centre cross.
            rim = moved(turned(circle((0.0, 0.0), radius), slope), (x, y))
            sizes.setdefault(words, []).append(Note(words, rim, words))
    return [
        [note._replace(text=f"{len(notes) // 2} × {note.text}") for note in notes]
        if len(notes) > 2
        else notes
        for notes in sizes.values()
    ]


def _half(ring: Path) -> Path:
    """Half of the way round a closed path: one side of a channel."""
    return line(ring.points[: len(ring.points) // 2 + 1])


def cross(at: Point, arm: float) -> Iterator[Stroke]:
    """A centre cross of two long dash dot lines that meet in dashes; continuous where it is small."""
    x, y = at
    pattern = long_dash_dot(NARROW) if 2 * arm >= SHORTEST_DASHED else ()
    phase = (pattern[0] / 2 - arm) % sum(pattern) if pattern else 0.0
    for ends in (((x - arm, y), (x + arm, y)), ((x, y - arm), (x, y + arm))):
        yield Stroke("mark", line(ends), NARROW, pattern, phase)


def arrow(shaft: Path, layer: str = "mark") -> list[Stroke]:
    """A narrow line with a filled head at its end."""
    tip, (ux, uy) = point_at(shaft, length(shaft))
    head_length, half_width = 2.5, 0.6

    def back(along: float, aside: float) -> Point:
        return tip[0] - along * ux - aside * uy, tip[1] - along * uy + aside * ux

    head = Path((tip, back(head_length, half_width), back(head_length, -half_width)), (0.0,) * 3, True)
    return [Stroke(layer, shaft, NARROW), Stroke(layer, head, NARROW, filled=True)]


def _score(score: Score) -> Iterator[Stroke]:
    """A bend line; one on the back is not to be cut from here: dots near its ends are pricked through to find it."""
    if score.side != BACK:
        yield Stroke("score", score.path, NARROW, dashed(NARROW))
        return
    yield Stroke("mark", score.path, NARROW, dashed_spaced(NARROW))
    whole = length(score.path)
    inset = min(PRICK_INSET, whole / 4)
    for along in (inset, whole - inset):
        yield prick(point_at(score.path, along)[0])


def prick(at: Point, layer: str = "mark") -> Stroke:
    """A dot to prick through."""
    return Stroke(layer, circle(at, 0.5), NARROW, filled=True)


def dot(at: Point, layer: str = "text") -> Stroke:
    """The filled dot in which a leader ends within a part (ISO 128-2)."""
    return Stroke(layer, circle(at, 0.6), NARROW, filled=True)


def bevel_arrows(part: Part) -> dict[int, Path]:
    """Shafts of the arrows to the sharp edge, by the index of the bevel's mark.

    A shaft runs from within the part over the bevel line to the nearest cut line, where no other mark is
    near.
    """
    arrows: dict[int, Path] = {}
    for i, mark in enumerate(part.marks):
        if mark.kind != "bevel":
            continue
        # The last share is the first again: what is kept where no place is clear.
        others = [other.path for other in part.marks if other.kind != "bevel"] + list(arrows.values())
        whole = length(mark.path)
        shafts = (
            _shaft(mark.path, share * whole, part) for share in (0.4, 0.6, 0.3, 0.7, 0.5, 0.2, 0.8, 0.4)
        )
        for shaft in shafts:
            arrows[i] = shaft
            if _apart(shaft, others):
                break
    return arrows


def _hatched(layer: str, area: Path, step: float, way: int, holes: Sequence[Path]) -> Iterator[Stroke]:
    """An area with its border, as far as holes leave it."""
    met = [hole for hole in holes if _boxes_meet(area, hole)]
    for border in _outside(area, met) if met else (area,):
        yield Stroke(layer, border, NARROW)
    for stripe in hatching(area, step, way, met):
        yield Stroke(layer, stripe, NARROW)


def _boxes_meet(one: Path, other: Path) -> bool:
    a, b = bounds(one), bounds(other)
    return a[0] < b[2] and b[0] < a[2] and a[1] < b[3] and b[1] < a[3]


def _outside(area: Path, holes: Sequence[Path]) -> tuple[Path, ...]:
    """The border of an area where it runs through no hole: itself where it meets none."""
    from shapely import LineString, Polygon, union_all

    ring = flattened(area, FLATNESS)
    cut = union_all([Polygon(flattened(hole, FLATNESS)) for hole in holes])
    border = LineString([*ring, ring[0]])
    if not border.intersects(cut):
        return (area,)
    left = border.difference(cut)
    runs = sorted(
        [tuple(run.coords) for run in getattr(left, "geoms", (left,)) if run.length > SHORTEST_STRIPE]
    )
    return tuple(line(run) for run in runs)


def hatching(area: Path, step: float, way: int = 1, holes: Sequence[Path] = ()) -> list[Path]:
    """Lines `step` mm apart at 45 degrees to the longest side of a closed path, clipped to it and kept out of holes; way:
    1 to the left of that side, -1 to its right.
    """
    (x0, y0), (x1, y1), _ = max(pieces(area), key=lambda piece: round(math.dist(piece[0], piece[1]), 6))
    slope = math.atan2(y1 - y0, x1 - x0) + way * math.pi / 4
    c, s = math.cos(slope), math.sin(slope)
    ring, *gaps = (
        [(c * x + s * y, c * y - s * x) for x, y in flattened(path, FLATNESS)] for path in (area, *holes)
    )
    low, high = min(v for _, v in ring), max(v for _, v in ring)
    stripes = []
    for row in range(math.ceil(low / step), math.floor(high / step) + 1):
        v = row * step
        spans = _spans(ring, v)
        for gap in gaps:
            for start, end in _spans(gap, v):
                spans = [
                    span
                    for a, b in spans
                    for span in ((a, min(b, start)), (max(a, end), b))
                    if span[1] > span[0]
                ]
        for start, end in spans:
            if end - start > SHORTEST_STRIPE:
                stripes.append(line([(c * u - s * v, s * u + c * v) for u in (start, end)]))
    return stripes


def _spans(ring: Sequence[Point], v: float) -> list[tuple[float, float]]:
    """From where to where along u a level line lies within a ring of (u, v)."""
    crossings = sorted(
        u0 + (v - v0) * (u1 - u0) / (v1 - v0)
        for (u0, v0), (u1, v1) in zip(ring, [*ring[1:], ring[0]], strict=True)
        if (v0 > v) != (v1 > v)
    )
    return list(zip(crossings[::2], crossings[1::2], strict=True))


def shifted(part: Part, by: Point) -> Part:
    """The part with all its lines moved."""
    return _mapped(part, lambda path: moved(path, by))


def _mapped(part: Part, change: Callable[[Path], Path]) -> Part:
    def all_of(paths: Iterable[Path]) -> tuple[Path, ...]:
        return tuple(change(path) for path in paths)

    return part._replace(
        outline=change(part.outline),
        holes=all_of(part.holes),
        far=all_of(part.far),
        scores=tuple(score._replace(path=change(score.path)) for score in part.scores),
        peels=all_of(part.peels),
        bared=all_of(part.bared),
        grooves=tuple(groove._replace(path=change(groove.path)) for groove in part.grooves),
        marks=tuple(mark._replace(path=change(mark.path)) for mark in part.marks),
        centres=tuple(centre._replace(at=change(line([centre.at])).points[0]) for centre in part.centres),
    )


def _ticks(path: Path) -> Iterator[Path]:
    """Short cross ticks each 10 mm along a path, set evenly from its middle."""
    whole = length(path)
    count = max(1, math.floor(whole / TICK_STEP))
    for i in range(count):
        (x, y), (tx, ty) = point_at(path, whole / 2 + (i - (count - 1) / 2) * TICK_STEP)
        yield line([(x + ty, y - tx), (x - ty, y + tx)])


def _shaft(bevel: Path, along: float, part: Part) -> Path:
    (x, y), (tx, ty) = point_at(bevel, along)
    edge = min(
        (_nearest((x, y), ring) for ring in (part.outline, *part.holes)),
        key=lambda point: round(math.dist(point, (x, y)), 6),
    )
    gap = math.dist(edge, (x, y))
    ux, uy = ((edge[0] - x) / gap, (edge[1] - y) / gap) if gap > 1e-6 else (ty, -tx)
    return line([(x - 5 * ux, y - 5 * uy), edge])


def _apart(shaft: Path, others: list[Path]) -> bool:
    """Whether a shaft keeps 5 mm from other lines, as far as its ends and theirs tell."""
    (x0, y0), (x1, y1) = shaft.points
    own = ((x0, y0), ((x0 + x1) / 2, (y0 + y1) / 2), (x1, y1))
    return all(math.dist(_nearest(point, other), point) > 5.0 for other in others for point in own)


def _nearest(point: Point, ring: Path) -> Point:
    """The point of a path, taken as closed, that lies nearest."""
    corners = flattened(ring, FLATNESS)
    best, least = corners[0], math.inf
    for (x0, y0), (x1, y1) in zip(corners, (*corners[1:], corners[0]), strict=True):
        dx, dy = x1 - x0, y1 - y0
        square = dx * dx + dy * dy
        share = ((point[0] - x0) * dx + (point[1] - y0) * dy) / square if square else 0.0
        share = min(1.0, max(0.0, share))
        foot = (x0 + share * dx, y0 + share * dy)
        distance = round(math.dist(foot, point), 9)
        if distance < least:
            best, least = foot, distance
    return best
