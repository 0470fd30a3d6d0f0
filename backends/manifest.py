"""The manifest of a build, for scripts, `compare` and version control: schema `ringwright.build/1`.

Every key is always there; what is not known is null. One dimension, source, edge or placement stands on a
line, a part is a block whose outline is one line, so that a small change of the design is a small change of
the file. `manifest.schema.json` beside this file is the same in JSON Schema.
"""

import json
import math
import os
import stat
from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path
from typing import Any

from ringwright.backends.drawing import Rectangle
from ringwright.backends.offcuts import left_over
from ringwright.backends.record import BuildRecord, Dimension, Finding, Place
from ringwright.geometry.numbers import rounded, short, total
from ringwright.geometry.part import Edge, Groove, Mark, Offcut, Part, Placed, Score, Sheet, Vector
from ringwright.geometry.path import Path as Line
from ringwright.geometry.path import Point, bounds, flattened

MANIFEST = "manifest.json"
SCHEMA = "ringwright.build/1"
FLATNESS = 0.02  # mm that a straight piece may miss an arc by
_DECIMALS = {"mm": 6, "rad": 9, "g": 6, "mm2": 3, "": 9}
_MOST_BYTES = 256_000_000
_NULL = "null"
_Mass = tuple[float | None, Vector | None]


def manifest(
    record: BuildRecord,
    files: Mapping[str, str],
    sheet_files: Mapping[Place, Mapping[str, str]] | None = None,
) -> str:
    """The text of manifest.json, with a final newline.

    files: what the build wrote once ('pdf', 'book', 'cut_list' …) to its path below the folder.
    sheet_files: the same for each sheet ('svg', 'dxf'), by its place. Raises GeometryError 'not-finite' for NaN and infinity.
    """
    of_sheet = sheet_files or {}
    blocks = {
        "schema": _text(SCHEMA),
        "ringwright": _text(record.version),
        "model": _row(
            name=_text(record.model.name),
            title=_text(record.model.title),
            revision=_text(record.model.revision),
            unit=_text(record.model.unit),
            plan_scale=short(record.model.plan_scale, 9),
        ),
        "sources": _lines(
            _row(path=_text(source.path), sha256=_text(source.sha256)) for source in sorted(record.sources)
        ),
        "dimensions": _block(
            {item.name: _dimension(item) for item in sorted(record.dimensions, key=lambda d: d.name)}
        ),
        "parts": _lines(_part(part) for part in sorted(record.parts, key=lambda p: p.id)),
        "sheets": _lines(
            _sheet(sheet, of_sheet.get(sheet.place, {}), left_over(record, sheet))
            for sheet in sorted(record.sheets, key=lambda s: s.place)
        ),
        "files": _paths(files),
        "defaults": _block({name: _text(value) for name, value in sorted(record.defaults)}),
        "mass": _mass(record),
        "diagnostics": _lines(_finding(finding) for finding in record.findings),
    }
    return _block(blocks) + "\n"


def read_manifest(folder: Path) -> dict[str, Any] | None:
    """The manifest of a build folder; None where the folder holds none of schema `ringwright.build/1`.

    Only its being JSON and its schema's name are looked at. Never follows a link, never waits on a pipe.
    """
    path = folder / MANIFEST
    try:
        status = os.lstat(path)
        if not stat.S_ISREG(status.st_mode) or status.st_size > _MOST_BYTES:
            return None
        found = json.loads(path.read_bytes())
    except (OSError, ValueError, RecursionError):
        return None
    return found if isinstance(found, dict) and found.get("schema") == SCHEMA else None


def listed_files(found: Mapping[str, Any]) -> frozenset[str]:
    """Paths below the build folder of all files that a manifest lists, itself not included."""
    sheets = found.get("sheets")
    of_sheets = [sheet.get("files") for sheet in _dicts(sheets if isinstance(sheets, list) else ())]
    groups = [found.get("files"), *of_sheets]
    return frozenset(path for group in _dicts(groups) for path in group.values() if isinstance(path, str))


def part_label(part: Part) -> str:
    """What is written on a part, in one line: its name, LEFT or RIGHT, and its notes."""
    hand = f" {part.hand.upper()}" if part.hand in ("left", "right") else ""
    return " · ".join([part.name + hand, *part.notes])


def part_size(part: Part) -> tuple[float, float]:
    """Width and height of a part as it is drawn, along its own frame, mm."""
    left, low, right, high = bounds(part.outline)
    return right - left, high - low


def _dicts(values: Iterable[object]) -> list[dict[str, Any]]:
    return [value for value in values if isinstance(value, dict)]


def _dimension(item: Dimension) -> str:
    decimals = _DECIMALS.get(item.unit, 9)
    spread = _NULL
    if item.plus_minus is not None:
        rss, worst = item.plus_minus
        spread = _row(rss=short(rss, decimals), worst=short(worst, decimals))
    return _row(
        value=short(item.value, decimals),
        unit=_text(item.unit),
        plus_minus=spread,
        **{"from": _text(item.source)},
        because=_text(item.because),
        at=_text(item.at),
    )


def _part(part: Part) -> str:
    width, height = part_size(part)
    holes, scores = sorted(part.holes, key=_order), sorted(part.scores, key=lambda s: _order(s.path))
    members = {
        "id": _text(part.id),
        "label": _text(part_label(part)),
        "stock": _text(part.stock.name),
        "quantity": str(part.quantity),
        "area_mm2": short(part.properties.area, 3),
        "cut_length_mm": short(part.properties.cut_length, 6),
        "width_mm": short(width, 6),
        "height_mm": short(height, 6),
        "outline": _coordinates(part.outline),
        "holes": _lines(map(_coordinates, holes)),
        "scores": _lines(map(_score, scores)),
        "far": _lines(map(_coordinates, sorted(part.far, key=_order))),
        "peels": _lines(map(_coordinates, sorted(part.peels, key=_order))),
        "bared": _lines(map(_coordinates, sorted(part.bared, key=_order))),
        "grooves": _lines(map(_groove, sorted(part.grooves, key=lambda g: _order(g.path)))),
        "marks": _lines(map(_mark, sorted(part.marks, key=lambda m: (_order(m.path), m.kind, m.text)))),
        "edges": _lines(map(_edge, sorted(part.edges))),
        "mass_g": _maybe(part.properties.mass, 6),
        "centroid_mm": _place(part.properties.centroid),
    }
    return _block(members)


def _score(score: Score) -> str:
    return _row(line=_coordinates(score.path), angle_deg=_degrees(score.angle), side=_text(score.side))


def _groove(groove: Groove) -> str:
    return _row(
        line=_coordinates(groove.path),
        depth_mm=short(groove.depth, 6),
        width_mm=short(groove.width, 6),
        text=_text(groove.text),
    )


def _mark(mark: Mark) -> str:
    return _row(line=_coordinates(mark.path), kind=_text(mark.kind), text=_text(mark.text))


def _edge(edge: Edge) -> str:
    return _row(
        name=_text(edge.name),
        mate=_text(edge.mate),
        bevel_deg=_degrees(edge.bevel),
        bevel_face=_text(edge.face),
        length_mm=short(edge.length, 6),
    )


def _sheet(sheet: Sheet, files: Mapping[str, str], left_over: Iterable[Rectangle]) -> str:
    width, height = sheet.size
    members = {
        "stock": _text(sheet.stock.name),
        "index": str(sheet.index),
        "offcut": _NULL if sheet.offcut is None else _offcut(sheet.offcut),
        "width_mm": short(width, 6),
        "height_mm": short(height, 6),
        "files": _paths(files),
        "placements": _lines(map(_placed, sorted(sheet.placements))),
        "used": short(sheet.used, 4),
        "left_over": _lines(map(_rectangle, left_over)),
    }
    return _block(members)


def _offcut(offcut: Offcut) -> str:
    return _row(
        name=_text(offcut.name),
        outline=_coordinates(offcut.outline),
        holes=f"[{', '.join(map(_coordinates, offcut.holes))}]",
    )


def _rectangle(box: Rectangle) -> str:
    left, low, right, high = box
    return _row(
        x_mm=short(left, 3),
        y_mm=short(low, 3),
        width_mm=short(right - left, 3),
        height_mm=short(high - low, 3),
    )


def _placed(placed: Placed) -> str:
    return _row(
        part=_text(placed.part),
        copy=str(placed.copy),
        x_mm=short(placed.x, 6),
        y_mm=short(placed.y, 6),
        rotation_deg=short(placed.rotation, 6),
    )


def _finding(finding: Finding) -> str:
    return _row(
        code=_text(finding.code),
        severity=_text(finding.severity),
        message=_text(finding.message),
        file=_text(finding.file),
        line=str(finding.line),
        column=str(finding.column),
        end_line=str(finding.end_line),
        end_column=str(finding.end_column),
        help=_text(finding.help),
    )


def _mass(record: BuildRecord) -> str:
    """Mass and balance of all copies of all parts and of the loads, and of each component and load."""
    by: dict[str, list[_Mass]] = {}
    for name, each in _masses(record):
        by.setdefault(name, []).append(each)
    mass, balance = weight_and_balance(record)
    rows = [(name, *_weighed(masses)) for name, masses in sorted(by.items())]
    members = {
        "total_g": _maybe(mass, 6),
        "cg_mm": _place(balance),
        "by": _lines(
            _row(name=_text(name), mass_g=_maybe(one, 6), cg_mm=_place(at)) for name, one, at in rows
        ),
    }
    return _block(members)


def weight_and_balance(record: BuildRecord) -> _Mass:
    """What the whole model weighs, g, and its centre of gravity, mm; None where nothing is known of it."""
    return _weighed([each for _, each in _masses(record)])


def _masses(record: BuildRecord) -> Iterator[tuple[str, _Mass]]:
    """What weighs, by the component it belongs to: all copies of each part, and the loads."""
    for part in record.parts:
        one = part.properties
        yield part.component, (None if one.mass is None else one.mass * part.quantity, one.centroid)
    for load in record.loads:
        yield load.name, (load.mass, load.at)


def _weighed(masses: Iterable[_Mass]) -> _Mass:
    """Sum of the masses that are known, and the centre of gravity of those of them that have a place."""
    known = [(mass, at) for mass, at in masses if mass is not None]
    placed = [(mass, at) for mass, at in known if at is not None]
    weight = total(mass for mass, _ in placed)
    balance = None
    if weight > 0:
        x, y, z = (total(mass * at[axis] for mass, at in placed) / weight for axis in range(3))
        balance = (x, y, z)
    return total(mass for mass, _ in known) if known else None, balance


def _order(line: Line) -> tuple[Point, ...]:
    """Lines are sorted by their corners as they are written, never by the last bit of a float."""
    return tuple((rounded(x, 3), rounded(y, 3)) for x, y in line.points)


def _coordinates(line: Line) -> str:
    corners = [f"[{short(x, 3)}, {short(y, 3)}]" for x, y in flattened(line, FLATNESS)]
    return "[" + ", ".join(corners) + "]"


def _place(at: Vector | None) -> str:
    return _NULL if at is None else "[" + ", ".join(short(value, 6) for value in at) + "]"


def _maybe(value: float | None, decimals: int) -> str:
    return _NULL if value is None else short(value, decimals)


def _degrees(angle: float) -> str:
    return short(math.degrees(angle), 6)


def _paths(files: Mapping[str, str]) -> str:
    return _row(**{use: _text(path) for use, path in sorted(files.items())})


def _text(value: str) -> str:
    return json.dumps(value, ensure_ascii=False)


def _row(**members: str) -> str:
    """An object on one line; values are JSON already."""
    return "{" + ", ".join(f"{_text(name)}: {value}" for name, value in members.items()) + "}"


def _block(members: Mapping[str, str]) -> str:
    """An object with a member a line."""
    return _over_lines("{", [f"{_text(name)}: {value}" for name, value in members.items()], "}")


def _lines(rows: Iterable[str]) -> str:
    """A list with an element a line."""
    return _over_lines("[", list(rows), "]")


def _over_lines(start: str, rows: list[str], end: str) -> str:
    # JSON text holds no line break within a string, so every one may be indented.
    inner = ",\n".join(rows).replace("\n", "\n  ")
    return f"{start}\n  {inner}\n{end}" if rows else start + end
