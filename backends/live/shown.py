"""What the live page shows of a build, as plain values for JSON."""

import math
import os
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from ringwright.backends.record import BuildRecord
from ringwright.backends.svg import path_data
from ringwright.backends.viewer.scene import scene_of
from ringwright.geometry.part import Part, Placed, Sheet
from ringwright.geometry.path import moved, turned

FILES = {"": "page.html", "page.css": "page.css", "page.js": "page.js"}


def file(name: str) -> str:
    """The text of one of the page's own files."""
    with open(os.path.join(os.path.dirname(__file__), name), encoding="utf-8") as opened:
        return opened.read()


def shown(
    record: BuildRecord,
    before: BuildRecord | None,
    changed: Sequence[str],
    drawings: Mapping[tuple[str, int, str], tuple[str, str]],
) -> dict[str, Any]:
    """What is shown of a build beside its text.

    before: the last good build, of which those parts are drawn that are in `changed` or gone. drawings: of each sheet,
    by its place, the path below the build folder and the SVG.
    """
    gone = {part.id for part in before.parts} - {part.id for part in record.parts} if before else set()
    return {
        "title": record.model.title or record.model.name,
        "sheets": [
            _sheet(sheet, record, before, {*changed, *gone}, *drawings.get(sheet.place, ("", "")))
            for sheet in record.sheets
        ],
        "changed": [part.id for part in record.parts if part.id in changed],
        "scene": scene_of(record),
    }


def _sheet(
    sheet: Sheet, record: BuildRecord, before: BuildRecord | None, changed: set[str], path: str, svg: str
) -> dict[str, Any]:
    was = [old for old in before.sheets if old.place == sheet.place] if before else []
    width, height = sheet.size
    return {
        "key": f"{sheet.stock.name} {sheet.number}",
        "width": width,
        "height": height,
        "file": path,
        "svg": svg,
        "places": _places(sheet, record.parts, sheet.placements),
        "was": [
            place
            for old in was
            for place in _places(old, before.parts if before else (), old.placements)
            if place["part"] in changed
        ],
    }


def _places(sheet: Sheet, parts: Iterable[Part], placed: Iterable[Placed]) -> list[dict[str, str]]:
    by_id = {part.id: part for part in parts}
    found = []
    for place in placed:
        part = by_id[place.part]
        lines = [part.outline, *part.holes]
        paths = [moved(turned(line, math.radians(place.rotation)), (place.x, place.y)) for line in lines]
        found.append({"part": part.id, "d": "".join(path_data(path, sheet.size[1]) for path in paths)})
    return found
