"""What the viewer shows, as plain values for JSON: each part's solids in space, its flat, and a few facts."""

import base64
import math
from array import array
from collections.abc import Iterable, Mapping
from sys import byteorder
from typing import Any

from ringwright.backends.drawing import rectangle
from ringwright.backends.manifest import part_size, weight_and_balance
from ringwright.backends.record import BuildRecord, Piece, loads_in_place, sheets_of_parts
from ringwright.backends.sizes import length_words, thickness_words
from ringwright.backends.svg import path_data
from ringwright.backends.views.model_views import bars_of
from ringwright.geometry.numbers import short
from ringwright.geometry.part import Part, Vector, number_of
from ringwright.geometry.path import Path, bounds
from ringwright.geometry.solid.edges import edges_of
from ringwright.geometry.solid.mesh import Solid, solids_of

STEPS = 65535
"""Places along the longest side of the model that its corners are set to."""


def scene_of(record: BuildRecord) -> dict[str, Any]:
    """The scene of a build: of all parts, those without a place as flats alone.

    Corners are 16-bit numbers, three a corner, of `step` mm from `origin`; faces three and edges two of them; little-endian, in base64.
    """
    parts = sorted(record.parts, key=lambda part: part.id)
    strips = [piece for piece in record.pieces if piece.runs]
    solids = {part.id: solids_of(part) for part in parts} | {piece.id: bars_of(piece) for piece in strips}
    corners = [corner for each in solids.values() for solid in each for corner in solid.vertices]
    low: Vector = (0.0, 0.0, 0.0)
    step = 1.0
    if corners:
        xs, ys, zs = zip(*corners, strict=True)
        low = (min(xs), min(ys), min(zs))
        step = max(max(xs) - low[0], max(ys) - low[1], max(zs) - low[2], 1.0) / STEPS
    mass, balance = weight_and_balance(record)
    sheets = sheets_of(record)
    said = [] if mass is None else [["mass", f"{short(mass, 1)} g"]]
    if balance is not None:
        said.append(["balance", f"at x = {length_words(balance[0], record.model.unit)}"])
    return {
        "title": record.model.called,
        "origin": [round(value, 6) for value in low],
        "step": step,
        "parts": [
            {**facts, "solids": [_solid(solid, low, step) for solid in solids[facts["id"]]]}
            for facts in (
                *(_part(part, record, sheets) for part in parts),
                *(_strip(piece, record.model.unit) for piece in strips),
            )
        ],
        "loads": [
            {"name": load.name, "at": _place(load.at)}
            for load in loads_in_place(record)
            if load.at is not None and load.name not in solids
        ],
        "balance": None if balance is None else _place(balance),
        "facts": said,
    }


def sheets_of(record: BuildRecord) -> dict[str, str]:
    """On which sheets each part lies: 'board 1, board 2'."""
    return {
        id: ", ".join(f"{place[0]} {number_of(place)}" for place in places)
        for id, places in sheets_of_parts(record.sheets).items()
    }


def _place(at: Vector) -> list[float]:
    return [round(value, 3) + 0.0 for value in at]


def _part(part: Part, record: BuildRecord, sheets: Mapping[str, str]) -> dict[str, Any]:
    unit, one = record.model.unit, part.properties
    wide, high = part_size(part)
    title = part.stock.title or part.stock.name
    facts = [
        ["stock", f"{title}, {thickness_words(part.stock, unit, record.model.fraction)}"],
        ["size", f"{length_words(wide, unit)} × {length_words(high, unit)}"],
    ]
    if part.quantity > 1:
        facts.append(["copies", str(part.quantity)])
    if one.mass is not None:
        facts.append(["mass", f"{short(one.mass, 2)} g{' each' if part.quantity > 1 else ''}"])
    if part.id in sheets:
        facts.append(["sheet", sheets[part.id]])
    mates = dict.fromkeys(edge.mate for edge in part.edges if edge.mate)
    if mates:
        facts.append(["meets", ", ".join(mates)])
    if part.notes:
        facts.append(["notes", "; ".join(part.notes)])
    hand = f" ({part.hand})" if part.hand else ""
    return {
        "id": part.id,
        "label": part.name if part.name.endswith(f".{part.hand}") else part.name + hand,
        "kind": part.stock.kind,
        "facts": facts,
        "flat": _flat(part),
    }


def _strip(piece: Piece, unit: str) -> dict[str, Any]:
    """A piece of strip; its flat is what the saw cuts off."""
    width, height = piece.section
    facts = [
        ["strip", piece.strip],
        ["section", f"{length_words(width, unit)} × {length_words(height, unit)}"],
        ["long", length_words(piece.long, unit)],
    ]
    if piece.quantity > 1:
        facts.append(["copies", str(piece.quantity)])
    if piece.mass is not None:
        facts.append(["mass", f"{short(piece.mass, 2)} g{' each' if piece.quantity > 1 else ''}"])
    cut = rectangle(0.0, 0.0, piece.long, width)
    box = [0.0, -round(width, 3), round(piece.long, 3), round(width, 3)]
    flat = {"box": box, "lines": {"cut": _data((cut,))}}
    return {"id": piece.id, "label": piece.id, "kind": "strip", "facts": facts, "flat": flat}


def _flat(part: Part) -> dict[str, Any]:
    """A part as it is drawn, y down: its box, and its lines by what is done along them."""
    left, low, right, high = bounds(part.outline)
    lines = {
        "peel": _data(part.peels),
        "groove": _data(groove.path for groove in part.grooves),
        "cut": _data((part.outline, *part.holes)),
        "far": _data(part.far),
        "score": _data(score.path for score in part.scores),
        "mark": _data(mark.path for mark in part.marks),
    }
    box = [round(value, 3) + 0.0 for value in (left, -high, right - left, high - low)]
    return {"box": box, "lines": {name: data for name, data in lines.items() if data}}


def _data(paths: Iterable[Path]) -> str:
    return "".join(path_data(path, 0.0) for path in paths)


def _solid(solid: Solid, low: Vector, step: float) -> dict[str, Any]:
    edges = edges_of(solid)
    wide = len(solid.vertices) > STEPS
    at = [
        min(STEPS, max(0, math.floor((value - least) / step + 0.5)))
        for corner in solid.vertices
        for value, least in zip(corner, low, strict=True)
    ]
    lines: list[int] = edges.ends[edges.creased].ravel().tolist()
    return {
        "at": _packed(at, False),
        "faces": _packed([corner for face in solid.triangles for corner in face], wide),
        "edges": _packed(lines, wide),
        **({"wide": True} if wide else {}),
    }


def _packed(numbers: list[int], wide: bool) -> str:
    made = array("I" if wide else "H", numbers)
    if byteorder == "big":
        made.byteswap()
    return base64.b64encode(made.tobytes()).decode("ascii")
