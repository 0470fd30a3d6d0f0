"""An outline traced in a drawing program: the SVG text in, a true-size outline out.

The outline is found by its id, whatever groups and transforms it stands in, turned so that y points up, and brought
to size by its width or by two points whose places are known.
"""

import math
from collections.abc import Sequence
from typing import NamedTuple

from ringwright.geometry.crossing import simple
from ringwright.geometry.curve import TOLERANCE
from ringwright.geometry.errors import GeometryError
from ringwright.geometry.numbers import finite, short
from ringwright.geometry.path import Path, Point, as_hole, bounds, canonical, flattened, signed_area
from ringwright.geometry.takeoff.drawing import Drawing, read
from ringwright.geometry.takeoff.limbs import SHAPES, limb
from ringwright.geometry.takeoff.strokes import Matrix, Trace, drawn, extent, moved

GAP = 0.01
"""How far apart the ends of a closed outline may lie, mm."""

_LIMBS = (*SHAPES, "g", "a", "use", "symbol")


class Traced(NamedTuple):
    """What was traced, mm, y up.

    outline: the largest line; holes: those within it, by place. scale: mm to one unit of the drawing. notes:
    sentences about what was taken for what.
    """

    outline: Path
    holes: tuple[Path, ...]
    scale: float
    notes: tuple[str, ...]


class Known(NamedTuple):
    """A point of the drawing, in its own units with y down, and where it is, mm."""

    drawn: Point
    place: Point


def traced(text: str, name: str, width: float | None = None, known: Sequence[Known] | None = None) -> Traced:
    """The outline with an id in an SVG text, arcs and curves within 0.005 mm.

    width: its overall width, mm; it then lies with the middle of its bounds in the origin. known: two points of the
    drawing and where they are; they give size, turn and place.

    GeometryErrors: 'drawing-refused' for a text that is not read, 'no-such-id' with the ids that are near,
    'open-outline' where its ends lie apart, 'no-size' unless there is one of width and known, 'apart' where it
    is several outlines side by side, 'crosses-itself'.
    """
    drawing = read(text)
    index = _found(drawing, name)
    every = [trace for trace in limb(drawing, index) if trace.strokes]
    if not every:
        raise GeometryError("open-outline", f'"{name}" holds no line that could be an outline')
    if (width is None) == (known is None):
        raise GeometryError("no-size", "a traced outline needs its width, or two points that are known")
    matrix = _by_known(known) if known is not None else _by_width(every, finite(width or 0.0, "a width"))
    scale = math.hypot(matrix.a, matrix.b)
    # What is many metres wide needs no thousandths: a hostile width would only cost time.
    tolerance = max(TOLERANCE, 1e-6 * scale * _size(every))
    parts = [_closed(moved(trace, matrix), name, tolerance) for trace in every]
    parts.sort(key=lambda part: (-round(abs(signed_area(part)), 6), part.points[0]))
    outline, rest = simple(parts[0]), [simple(part) for part in parts[1:]]
    if not _all_inside(rest, outline):
        raise GeometryError(
            "apart", f'"{name}" holds outlines that lie side by side or cross: give each an id of its own'
        )
    if abs(signed_area(outline)) < 1e-6:
        raise GeometryError("open-outline", f'"{name}" encloses nothing')
    notes = (
        (f'"{name}" holds {len(parts)} lines: the largest is the outline, the others are holes',)
        if rest
        else ()
    )
    holes = sorted((as_hole(part) for part in rest), key=lambda hole: hole.points[0])
    return Traced(outline, tuple(holes), scale, notes)


def _found(drawing: Drawing, name: str) -> int:
    index = drawing.ids.get(name)
    if index is not None:
        if drawing.elements[index].tag in _LIMBS:
            return index
        raise GeometryError(
            "no-such-id", f'"{name}" is no line of the drawing but its {drawing.elements[index].tag}'
        )
    from difflib import get_close_matches

    ids = [
        element.attributes["id"]
        for element in drawing.elements
        if element.tag in _LIMBS and element.attributes.get("id")
    ]
    near = get_close_matches(name.lower(), [found.lower() for found in ids], 3, 0.5)
    meant = [found[:40] for found in ids if found.lower() in near][:3] or [
        found[:40] for found in sorted(ids)[:8]
    ]
    listed = ", ".join(f'"{found}"' for found in meant)
    cure = (
        f"did you mean {listed}" if near else (f"it has {listed}" if ids else "none of its lines has an id")
    )
    raise GeometryError("no-such-id", f'the drawing has no line with the id "{name[:40]}": {cure}')


def _by_width(every: Sequence[Trace], width: float) -> Matrix:
    """The transform that makes all the lines together so wide, the middle of their bounds in the origin."""
    if width <= 0:
        raise GeometryError("no-size", f"a width must be above 0, not {short(width, 3)} mm")
    size = _size(every)
    if size <= 0:
        raise GeometryError("open-outline", "a line without length is no outline")
    boxes = [bounds(drawn(trace.strokes, 1e-6 * size)) for trace in every]
    left, top = min(box[0] for box in boxes), min(box[1] for box in boxes)
    right, low = max(box[2] for box in boxes), max(box[3] for box in boxes)
    if right - left <= 0:
        raise GeometryError("open-outline", "a line without width is no outline")
    scale = width / (right - left)
    return Matrix(scale, 0.0, 0.0, -scale, -scale * (left + right) / 2, scale * (top + low) / 2)


def _size(every: Sequence[Trace]) -> float:
    left, top, right, low = extent(every)
    return max(right - left, low - top)


def _by_known(known: Sequence[Known]) -> Matrix:
    """The transform that brings two points to their places: flipped, scaled, turned and moved."""
    if len(known) != 2:
        raise GeometryError("no-size", f"two points must be known, not {len(known)}")
    (first, there), (second, other) = known
    for point in (first, second, there, other):
        finite(point[0], "a known point")
        finite(point[1], "a known point")
    ux, uy = second[0] - first[0], first[1] - second[1]
    wx, wy = other[0] - there[0], other[1] - there[1]
    square = ux * ux + uy * uy
    if square <= 0 or wx * wx + wy * wy <= 0:
        raise GeometryError(
            "no-size", "the two known points must lie apart, in the drawing and in their places"
        )
    cos, sin = (ux * wx + uy * wy) / square, (ux * wy - uy * wx) / square
    # y is flipped first, then turned and scaled
    turn = Matrix(cos, sin, sin, -cos, 0.0, 0.0)
    at = turn.point(first)
    return turn._replace(e=there[0] - at[0], f=there[1] - at[1])


def _closed(trace: Trace, name: str, tolerance: float) -> Path:
    """A subpath as a canonical outline; GeometryError 'open-outline' where its ends lie apart."""
    path = drawn(trace.strokes, tolerance)
    if len(path.points) < 2:
        raise GeometryError("open-outline", f'"{name}" holds a line without length')
    gap = math.dist(path.points[0], path.points[-1])
    if gap > GAP:
        raise GeometryError(
            "open-outline",
            f'"{name}" is open: its ends lie {short(gap, 2)} mm apart; close it in the drawing',
        )
    return canonical(Path(path.points[:-1], path.bulges, True))


def _all_inside(parts: Sequence[Path], outline: Path) -> bool:
    if not parts:
        return True
    from shapely import Polygon, prepare

    whole = Polygon(flattened(outline, TOLERANCE))
    prepare(whole)
    return all(whole.contains(Polygon(flattened(part, TOLERANCE))) for part in parts)
