"""The `d` of an SVG path, and the lists of figures in other attributes, as strokes (SVG 1.1, 8.3 and F.6)."""

import math
import re
from collections.abc import Iterator
from functools import cache

from ringwright.geometry.path import Point
from ringwright.geometry.takeoff.drawing import refused
from ringwright.geometry.takeoff.strokes import Cubic, Straight, Stroke, Trace, arc_between, quadratic

MOST_STROKES = 5_000
LARGEST = 1e7

_TAKES = {"M": 2, "L": 2, "H": 1, "V": 1, "C": 6, "S": 4, "Q": 4, "T": 2, "A": 7, "Z": 0}


@cache
def _number() -> re.Pattern[str]:
    return re.compile(r"[+-]?(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE][+-]?[0-9]+)?")


def figure(word: str, what: str) -> float:
    """A finite figure of reasonable size. GeometryError 'drawing-refused'."""
    value = float(word)
    if not math.isfinite(value) or abs(value) > LARGEST:
        raise refused(f"{what} holds a figure beyond all measure: {word[:20]}")
    return value


def figures(text: str, what: str) -> list[float]:
    """The figures of a list. GeometryError 'drawing-refused' where there is something else between them."""
    found, place = [], 0
    for match in _number().finditer(text):
        if text[place : match.start()].strip(" ,\t\r\n\f"):
            break
        found.append(figure(match.group(), what))
        place = match.end()
    rest = text[place:].strip(" ,\t\r\n\f")
    if rest:
        raise refused(f"{what} is not understood from {rest[:20]!r} on")
    return found


def traces(data: str, what: str) -> list[Trace]:
    """The subpaths of a path's data; `what` names the path. GeometryError 'drawing-refused'."""
    found: list[Trace] = []
    strokes: list[Stroke] = []
    here = start = (0.0, 0.0)
    mirror: Point | None = None
    smooth = ""
    count = 0
    for command, values in _commands(data, what):
        upper = command.upper()
        if not found and not strokes and count == 0 and upper != "M":
            raise refused(f"{what} does not begin with a move")
        count += 1
        if count > MOST_STROKES:
            raise refused(f"{what} has more than {MOST_STROKES} strokes: simplify it")
        bx, by = here if command.islower() else (0.0, 0.0)
        if upper == "Z":
            if math.dist(here, start) > 0:
                strokes.append(Straight(here, start))
            if strokes:
                found.append(Trace(tuple(strokes), True))
            strokes, here, smooth = [], start, ""
            continue
        if upper == "M":
            if strokes:
                found.append(Trace(tuple(strokes), False))
            here = start = (bx + values[0], by + values[1])
            strokes, smooth = [], ""
            continue
        end = _end(upper, values, here, (bx, by))
        reflected = here if mirror is None else (2 * here[0] - mirror[0], 2 * here[1] - mirror[1])
        first = (bx + values[0], by + values[1]) if len(values) > 1 else end
        if upper in "CS":
            control = first if upper == "C" else (reflected if smooth in ("C", "S") else here)
            second = (bx + values[-4], by + values[-3])
            strokes.append(Cubic(here, control, second, end))
            mirror = second
        elif upper in "QT":
            control = first if upper == "Q" else (reflected if smooth in ("Q", "T") else here)
            strokes.append(quadratic(here, control, end))
            mirror = control
        elif upper == "A":
            rx, ry, turn, large, positive = values[:5]
            strokes.append(arc_between(here, end, rx, ry, math.radians(turn), large != 0, positive != 0))
        else:
            strokes.append(Straight(here, end))
        here, smooth = end, upper
    if strokes:
        found.append(Trace(tuple(strokes), False))
    return found


def _end(upper: str, values: list[float], here: Point, base: Point) -> Point:
    if upper == "H":
        return base[0] + values[0], here[1]
    if upper == "V":
        return here[0], base[1] + values[0]
    return base[0] + values[-2], base[1] + values[-1]


def _commands(data: str, what: str) -> Iterator[tuple[str, list[float]]]:
    """Each command with its figures, repeats written out; the two flags of an arc may stand without a gap."""
    number = _number()
    place, command = 0, ""
    fresh = False
    while True:
        while place < len(data) and data[place] in " ,\t\r\n\f":
            place += 1
        if place == len(data):
            if fresh and _TAKES[command.upper()]:
                raise refused(f"{what} ends in the middle of its last stroke")
            return
        if data[place].upper() in _TAKES:
            if fresh and _TAKES[command.upper()]:
                raise refused(f"{what} holds a stroke without figures at character {place + 1}")
            command, fresh = data[place], True
            place += 1
            if command in "Zz":
                yield command, []
                fresh = False
            continue
        if not command or command in "Zz":
            raise refused(f"{what} is not understood at character {place + 1}: {data[place : place + 12]!r}")
        values: list[float] = []
        while len(values) < _TAKES[command.upper()]:
            while place < len(data) and data[place] in " ,\t\r\n\f":
                place += 1
            flag = command in "Aa" and len(values) in (3, 4)
            match = None if flag else number.match(data, place)
            if flag and data[place : place + 1] in ("0", "1"):
                values.append(float(data[place]))
                place += 1
            elif match:
                values.append(figure(match.group(), what))
                place = match.end()
            else:
                raise refused(
                    f"{what} is not understood at character {place + 1}: {data[place : place + 12]!r}"
                )
        yield command, values
        fresh = False
        # What follows a move without a command of its own are lines.
        command = {"M": "L", "m": "l"}.get(command, command)
