"""The text of a layout file, `NAME.layout` beside the spec: one statement a line, in an order of its own.

    layout 1
    effort quick
    lay F2 1 on board 1 at 12.5 8 turned 90 shape 1f3ab2c4d5e6
    lay F3 1 on board offcut window at 3 3 turned 0 shape 20c45e07a1bb
    built F2 {…}

A line knows nothing of the others: what a merge left or a hand spoiled is ignored, and the rest holds.
"""

import hashlib
import math
import sys
from array import array
from collections.abc import Iterable, Mapping
from typing import NamedTuple

from ringwright.geometry.numbers import short
from ringwright.geometry.part import Part
from ringwright.geometry.path import Path

HEAD = """\
# Where each part of this model lies on its sheets, and what is built of it. Keep it in git beside the spec.
# `ringwright build` reads and writes it, and leaves each part where it lies; `build --relayout` starts afresh.
"""
VERSION = "1"
EFFORTS = ("quick", "normal", "thorough")
LARGEST = 64 * 1024 * 1024
"""Bytes of a layout file that are read."""

_MOST = 1e6
"""mm that a part may lie from its sheet's corner, and degrees that it may be turned by: more is no layout."""


class On(NamedTuple):
    """A sheet: its stock, and its number among the whole sheets of that, or the name of an offcut and 0."""

    stock: str
    number: int
    offcut: str = ""

    def __str__(self) -> str:
        """As the file and messages call it."""
        return f"{self.stock} offcut {self.offcut}" if self.offcut else f"{self.stock} {self.number}"


class Lay(NamedTuple):
    """Where one copy of a part lies.

    x, y: mm, turn: degrees, as of a `geometry.part.Placed`. shape: mark of the part's shape, by `shape_mark`.
    """

    part: str
    copy: int
    on: On
    x: float
    y: float
    turn: float
    shape: str


class Layout(NamedTuple):
    """All that a layout file says.

    effort: that the layout was found with. stopped: whether the search for it was stopped before its end. lays: by part
    and copy. built: what was recorded of parts on the wall, by id, as JSON on a line (`built.py` knows what it means).
    """

    effort: str = EFFORTS[0]
    stopped: bool = False
    lays: tuple[Lay, ...] = ()
    built: Mapping[str, str] = {}


class Spoiled(NamedTuple):
    """A line that says nothing, and why, in words that follow 'line 7 is ignored: '."""

    line: int
    why: str


class NoLayout(Exception):
    """A file that is no layout file at all; the message says why, without a full stop."""


def shape_mark(part: Part) -> str:
    """Return a mark of a part's shape: another where a line of it moved by more than 0.001 mm, or nearly so."""
    found = hashlib.sha256()
    for path in (part.outline, *part.holes):
        steps = array("q", _steps(path))
        if sys.byteorder == "big":
            steps.byteswap()
        found.update(steps.tobytes() + b";")
    return found.hexdigest()[:12]


def _steps(path: Path) -> Iterable[int]:
    """Yield corners in steps of 0.001 mm, and bulges in steps of a millionth."""
    for (x, y), bulge in zip(path.points, path.bulges, strict=False):
        yield round(x * 1e3)
        yield round(y * 1e3)
        yield round(bulge * 1e6)


def layout_text(layout: Layout) -> str:
    """Return the file's text: sorted, so that one part that moves is one line that changes."""
    lines = [HEAD, f"layout {VERSION}\n", f"effort {layout.effort}{' stopped' if layout.stopped else ''}\n"]
    lines += [_lay_line(lay) for lay in sorted(layout.lays, key=lambda lay: (lay.part, lay.copy))]
    lines += [f"built {part} {record}\n" for part, record in sorted(layout.built.items())]
    return "".join(lines)


def _lay_line(lay: Lay) -> str:
    x, y, turn = (short(value, 6) for value in (lay.x, lay.y, lay.turn))
    return f"lay {lay.part} {lay.copy} on {lay.on} at {x} {y} turned {turn} shape {lay.shape}\n"


def read_layout(data: bytes) -> tuple[Layout, tuple[Spoiled, ...]]:
    """Return what a layout file says, and the lines of it that say nothing.

    A part that is laid twice lies where the first line says. Raises NoLayout where it is no text, of a version that
    is not known, or says nothing of the sort at all: such a file is somebody else's.
    """
    try:
        text = data.decode("utf-8").removeprefix("\ufeff")
    except UnicodeDecodeError:
        raise NoLayout("it is no text") from None
    reading = _Reading()
    for number, line in enumerate(text.split("\n"), 1):
        words = line.split()
        if words and not words[0].startswith("#"):
            try:
                reading.take(words, line)
            except _Fault as fault:
                reading.spoiled.append(Spoiled(number, str(fault)))
    if not reading.version and text.strip():
        if not (reading.lays or reading.built):
            raise NoLayout("it does not say 'layout 1'")
        reading.spoiled.insert(0, Spoiled(1, "somewhere it should say 'layout 1'"))
    lays = tuple(sorted(reading.lays.values(), key=lambda lay: (lay.part, lay.copy)))
    return Layout(reading.effort, reading.stopped, lays, reading.built), tuple(reading.spoiled)


class _Fault(Exception):
    """What is wrong with a line."""


class _Reading:
    def __init__(self) -> None:
        self.version = ""
        self.effort = EFFORTS[0]
        self.stopped = False
        self.lays: dict[tuple[str, int], Lay] = {}
        self.built: dict[str, str] = {}
        self.spoiled: list[Spoiled] = []

    def take(self, words: list[str], line: str) -> None:
        """Take what one line says. Raises _Fault."""
        match words:
            case ["layout", version]:
                if version != VERSION:
                    raise NoLayout(f"it is of version {version!a}, and only {VERSION} is known here")
                self.version = version
            case ["effort", effort, *rest] if effort in EFFORTS and rest in ([], ["stopped"]):
                self.effort, self.stopped = effort, bool(rest)
            case ["lay", part, copy, "on", *on, "at", x, y, "turned", turn, "shape", shape]:
                name = (part, _count(copy, "copy"))
                if name in self.lays:
                    raise _Fault(f"{part} copy {copy} is laid by a line above")
                self.lays[name] = Lay(*name, _on(on), _number(x), _number(y), _number(turn), shape)
            case ["built", part, record, *_]:
                if not record.startswith("{"):
                    raise _Fault(f"what was built of {part} cannot be read")
                if part in self.built:
                    raise _Fault(f"{part} is recorded by a line above")
                self.built[part] = line[line.index("{") :].rstrip()
            case _:
                raise _Fault("it says nothing that is known")


def _on(words: list[str]) -> On:
    match words:
        case [stock, number] if number != "offcut":
            return On(stock, _count(number, "sheet"))
        case [stock, "offcut", name]:
            return On(stock, 0, name)
    raise _Fault("it names no sheet")


def _count(word: str, what: str) -> int:
    if not (word.isascii() and word.isdigit()) or len(word) > 6 or int(word) < 1:
        raise _Fault(f"{word!a} is no number of a {what}")
    return int(word)


def _number(word: str) -> float:
    try:
        value = float(word)
    except ValueError:
        value = math.nan
    if not abs(value) <= _MOST or len(word) > 32:
        raise _Fault(f"{word!a} is no place on a sheet")
    return value
