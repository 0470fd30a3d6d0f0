"""The elements of a drawing as subpaths: basic shapes (SVG 1.1, 9), transforms (7.6), groups, and uses of either."""

import math
import re
from functools import cache
from itertools import pairwise

from ringwright.geometry.path import Point
from ringwright.geometry.takeoff.drawing import MOST_ELEMENTS, Drawing, Element, refused
from ringwright.geometry.takeoff.pathdata import MOST_STROKES, figure, figures, traces
from ringwright.geometry.takeoff.strokes import (
    PLAIN,
    Matrix,
    Round,
    Straight,
    Stroke,
    Trace,
    arc_between,
    moved,
)

SHAPES = ("path", "rect", "circle", "ellipse", "polygon", "polyline", "line")
_DEEPEST_USE = 16
_MOST_TRACES = 1_000

# Units of a length, in user units (CSS: 96 to the inch)
_UNITS = {"": 1.0, "px": 1.0, "in": 96.0, "mm": 96 / 25.4, "cm": 96 / 2.54, "pt": 96 / 72, "pc": 16.0}


def limb(drawing: Drawing, index: int) -> list[Trace]:
    """All subpaths of an element and what stands in it, in the units of the whole drawing, y down.

    GeometryError 'drawing-refused'.
    """
    matrix = PLAIN
    parent = drawing.elements[index].parent
    while parent > 0:
        element = drawing.elements[parent]
        if element.tag == "svg":
            raise refused("what is traced stands in a drawing within the drawing: take it out of there")
        matrix = _transform(element).after(matrix)
        parent = element.parent
    found: list[Trace] = []
    visits = 0
    waiting = [(index, matrix, 0)]
    while waiting:
        index, matrix, uses = waiting.pop()
        element = drawing.elements[index]
        visits += 1
        if visits > MOST_ELEMENTS or uses > _DEEPEST_USE:
            raise refused("the uses in the drawing go round in a circle, or draw more than anyone can cut")
        own = matrix.after(_transform(element))
        if element.tag in SHAPES:
            found += [moved(trace, own) for trace in _shape(element)]
            strokes = sum(len(trace.strokes) for trace in found)
            if strokes > MOST_STROKES or len(found) > _MOST_TRACES:
                raise refused(
                    f"what is traced has more than {MOST_STROKES} strokes or {_MOST_TRACES} lines: simplify it"
                )
        elif element.tag == "use":
            target = drawing.ids.get(element.attributes.get("href", "").strip().removeprefix("#"))
            if target is None:
                raise refused(f"{_named(element)} uses something that the drawing does not hold")
            shift = Matrix(1, 0, 0, 1, _length(element, "x"), _length(element, "y"))
            waiting.append((target, own.after(shift), uses + 1))
        elif element.tag in ("g", "a", "symbol"):
            waiting.extend((child, own, uses) for child in reversed(drawing.children[index]))
    return found


def _named(element: Element) -> str:
    name = element.attributes.get("id")
    return f'"{name[:40]}"' if name else f"a {element.tag}"


@cache
def _call() -> re.Pattern[str]:
    return re.compile(r"\s*,?\s*([A-Za-z]+)\s*\(([^()]*)\)")


def _transform(element: Element) -> Matrix:
    """The transform of an element. GeometryError 'drawing-refused' where it is not understood."""
    style = element.attributes.get("style", "").replace(" ", "").lower()
    if any(part.startswith("transform:") for part in style.split(";")):
        raise refused(f"{_named(element)} has its transform in its style: write it as an attribute")
    text = element.attributes.get("transform", "")
    matrix, place = PLAIN, 0
    while text[place:].strip():
        match = _call().match(text, place)
        step = _step(match.group(1), figures(match.group(2), "a transform")) if match else None
        if match is None or step is None:
            raise refused(
                f"the transform of {_named(element)} is not understood: {text[place : place + 30]!r}"
            )
        matrix = matrix.after(step)
        place = match.end()
    return matrix


def _step(name: str, v: list[float]) -> Matrix | None:
    """One step of a transform; None where there is none with that name and that many figures."""
    count = len(v)
    if name == "matrix" and count == 6:
        return Matrix(*v)
    if name == "translate" and count in (1, 2):
        return Matrix(1, 0, 0, 1, v[0], v[1] if count == 2 else 0.0)
    if name == "scale" and count in (1, 2):
        return Matrix(v[0], 0, 0, v[-1], 0, 0)
    if name == "rotate" and count in (1, 3):
        cos, sin = _cos_sin(v[0])
        turn = Matrix(cos, sin, -sin, cos, 0, 0)
        if count == 1:
            return turn
        return Matrix(1, 0, 0, 1, v[1], v[2]).after(turn).after(Matrix(1, 0, 0, 1, -v[1], -v[2]))
    if name in ("skewX", "skewY") and count == 1 and abs(v[0]) % 180 != 90:
        lean = math.tan(math.radians(v[0]))
        return Matrix(1, 0, lean, 1, 0, 0) if name == "skewX" else Matrix(1, lean, 0, 1, 0, 0)
    return None


def _cos_sin(degrees: float) -> Point:
    if degrees % 90 == 0:
        return ((1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0))[int(degrees // 90) % 4]
    return math.cos(math.radians(degrees)), math.sin(math.radians(degrees))


def _length(element: Element, name: str) -> float:
    """A length of an element in user units, 0 where it is left out. GeometryError 'drawing-refused'."""
    text = element.attributes.get(name, "").strip()
    if not text:
        return 0.0
    digits = text.rstrip("abcdefghijklmnopqrstuvwxyz%")
    unit = _UNITS.get(text[len(digits) :])
    found = figures(digits, f"the {name} of {_named(element)}")
    if unit is None or len(found) != 1:
        raise refused(f"the {name} of {_named(element)} is not understood: {text[:20]!r}")
    return figure(repr(found[0] * unit), name)


def _shape(element: Element) -> list[Trace]:
    tag = element.tag
    if tag == "path":
        return traces(element.attributes.get("d", ""), f"the path {_named(element)}")
    if tag in ("polygon", "polyline"):
        values = figures(element.attributes.get("points", ""), f"the points of {_named(element)}")
        corners = list(zip(values[::2], values[1::2], strict=False))
        return _lines(corners, tag == "polygon")
    if tag == "line":
        ends = [(_length(element, f"x{k}"), _length(element, f"y{k}")) for k in (1, 2)]
        return _lines(ends, False)
    if tag == "rect":
        return _rect(element)
    rx, ry = (
        (_length(element, "r"),) * 2 if tag == "circle" else (_length(element, "rx"), _length(element, "ry"))
    )
    if rx <= 0 or ry <= 0:
        return []
    x, y = _length(element, "cx"), _length(element, "cy")
    start = (x + rx, y)
    return [Trace((Round(start, start, (x, y), (rx, 0.0), (0.0, ry), 0.0, 2 * math.pi),), True)]


def _lines(corners: list[Point], closed: bool) -> list[Trace]:
    strokes: list[Stroke] = [Straight(a, b) for a, b in pairwise(corners)]
    if closed and strokes:
        strokes.append(Straight(corners[-1], corners[0]))
    return [Trace(tuple(strokes), closed)] if strokes else []


def _rect(element: Element) -> list[Trace]:
    x, y, width, height = (_length(element, name) for name in ("x", "y", "width", "height"))
    if width <= 0 or height <= 0:
        return []
    given = [name for name in ("rx", "ry") if element.attributes.get(name, "auto").strip() != "auto"]
    radii = {name: _length(element, name) for name in given}
    rx = min(radii.get("rx", radii.get("ry", 0.0)), width / 2)
    ry = min(radii.get("ry", radii.get("rx", 0.0)), height / 2)
    if rx <= 0 or ry <= 0:
        return _lines([(x, y), (x + width, y), (x + width, y + height), (x, y + height)], True)
    right, low = x + width, y + height
    corners = [
        ((right - rx, y), (right, y + ry)),
        ((right, low - ry), (right - rx, low)),
        ((x + rx, low), (x, low - ry)),
        ((x, y + ry), (x + rx, y)),
    ]
    strokes: list[Stroke] = []
    before = corners[-1][1]
    for start, end in corners:
        strokes.append(Straight(before, start))
        strokes.append(arc_between(start, end, rx, ry, 0.0, False, True))
        before = end
    return [Trace(tuple(strokes), True)]
