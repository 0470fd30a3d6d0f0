"""What hangs on the wall: parts as they were cut, a line each in the layout file, so that later recuts count from them."""

import json
from collections.abc import Iterable, Mapping
from typing import Any

from ringwright.geometry.compare import Cut, Tagged
from ringwright.geometry.numbers import rounded
from ringwright.geometry.path import Path
from ringwright.lang.compare.side import Piece, Side, Unfit

_LARGEST = 1e6
"""mm, degrees and grams: more is no part of a model."""


def recorded(piece: Piece) -> str:
    """Return a part as JSON on one line: lengths in mm, bevels in degrees, mass in g; a corner is [x, y] or [x, y, bulge].

    chords: stands there where arcs are lost, because it is recorded from a build folder.
    """
    found = {
        "label": piece.label,
        "stock": piece.stock,
        "thickness": None if piece.thickness is None else rounded(piece.thickness, 6),
        "quantity": piece.quantity,
        "outline": _corners(piece.cut.outline),
        "holes": [_corners(hole) for hole in piece.cut.holes],
        "half": _tagged(piece.half),
        "marks": _tagged(piece.marks),
        "bevels": sorted([edge, rounded(angle, 6)] for edge, angle in piece.bevels),
        "mass": None if piece.mass is None else rounded(piece.mass, 6),
        "at": None if piece.at is None else [rounded(value, 6) for value in piece.at],
        **({"chords": True} if piece.chords else {}),
    }
    return json.dumps(found, ensure_ascii=False, allow_nan=False)


def read_record(id: str, text: str) -> Piece:
    """Return the part that a line records. Raises Unfit where it says none."""
    try:
        found = json.loads(text)
        return Piece(
            id,
            _text(found["label"]),
            _text(found["stock"]),
            _maybe(found["thickness"]),
            _count(found["quantity"]),
            Cut(_path(found["outline"]), tuple(_path(hole) for hole in found["holes"])),
            _lines(found["half"]),
            _lines(found["marks"]),
            tuple((_text(edge), _number(angle)) for edge, angle in found["bevels"]),
            _maybe(found["mass"]),
            None if found["at"] is None else _place(found["at"]),
            chords=found.get("chords") is True,
        )
    except (ValueError, KeyError, TypeError, IndexError, RecursionError):
        raise Unfit(f"what the layout file records as built of '{id}' cannot be read") from None


def pieces_built(built: Mapping[str, str]) -> tuple[dict[str, Piece], tuple[str, ...]]:
    """Return the parts on the wall by id, and what is to be said of records that cannot be read."""
    found, said = {}, []
    for id, text in sorted(built.items()):
        try:
            found[id] = read_record(id, text)
        except Unfit as unfit:
            said.append(str(unfit))
    return found, tuple(said)


def as_built(side: Side, pieces: Mapping[str, Piece]) -> Side:
    """Return a state of a model in which the parts on the wall are as they were cut."""
    return side._replace(pieces=dict(sorted({**side.pieces, **pieces}.items())))


def wall(name: str, pieces: Mapping[str, Piece]) -> Side:
    """Return the side that is what hangs on the wall, and nothing else: no dimension, no mass, no sheet."""
    return Side(name, "as built", "", "mm", None, {}, dict(sorted(pieces.items())), None, None, {}, {})


def _corners(path: Path) -> list[Any]:
    """Return the corners of a path; those of an open one stand behind the word for it."""
    bulges = (*path.bulges, *(0.0,) * (len(path.points) - len(path.bulges)))
    found: list[Any] = [] if path.closed else ["open"]
    for (x, y), bulge in zip(path.points, bulges, strict=True):
        bent = rounded(bulge, 9)
        found.append([rounded(x, 6), rounded(y, 6), *([bent] if bent else [])])
    return found


def _tagged(lines: Iterable[Tagged] | None) -> list[Any] | None:
    """Return lines with their tags in one order, which an open and a closed one of a tag have no other way to take."""
    return None if lines is None else sorted(([tag, _corners(path)] for tag, path in lines), key=json.dumps)


def _path(found: list[Any]) -> Path:
    is_closed = found[0] != "open"
    corners = found if is_closed else found[1:]
    points = tuple((_number(corner[0]), _number(corner[1])) for corner in corners)
    bulges = tuple(_number(corner[2]) if len(corner) > 2 else 0.0 for corner in corners)
    if len(points) < 2:
        raise ValueError
    return Path(points, bulges if is_closed else bulges[:-1], is_closed)


def _lines(found: list[Any] | None) -> tuple[Tagged, ...] | None:
    return None if found is None else tuple((_text(tag), _path(path)) for tag, path in found)


def _text(found: object) -> str:
    if not isinstance(found, str):
        raise TypeError
    return found


def _number(found: object) -> float:
    if isinstance(found, bool) or not isinstance(found, int | float) or not abs(found) <= _LARGEST:
        raise ValueError
    return float(found)


def _maybe(found: object) -> float | None:
    return None if found is None else _number(found)


def _count(found: object) -> int:
    if isinstance(found, bool) or not isinstance(found, int) or found < 1:
        raise ValueError
    return found


def _place(found: list[Any]) -> tuple[float, float, float]:
    x, y, z = (_number(value) for value in found)
    return x, y, z
