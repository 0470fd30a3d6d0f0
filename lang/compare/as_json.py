"""A comparison for scripts."""

import json
from typing import Any

from ringwright.geometry.numbers import rounded
from ringwright.geometry.part import Vector
from ringwright.lang.compare.comparison import Comparison
from ringwright.lang.compare.drivers import Driver

_DECIMALS = {"mm": 6, "rad": 9, "g": 6, "mm2": 3, "": 9}


def as_json(found: Comparison) -> str:
    """Return a comparison as JSON, with a final newline; lists of parts in the order of the spec."""
    return json.dumps(facts(found), indent=2, ensure_ascii=False, allow_nan=False) + "\n"


def facts(found: Comparison) -> dict[str, Any]:
    """Return a comparison as plain values: lengths in mm, angles in rad, masses in g; what is not known is None."""

    def number(name: str, value: float | None) -> float | None:
        size = found.new.sizes.get(name) or found.old.sizes.get(name)
        return None if value is None else rounded(value, _DECIMALS.get(size.unit if size else "", 9))

    return {
        "dimensions": [
            {
                "name": size.name,
                "old": number(size.name, size.old),
                "new": number(size.name, size.new),
                "because": [_driver(driver) for driver in size.drivers],
            }
            for size in found.sizes
        ],
        "parts": {
            "added": list(found.added),
            "removed": list(found.removed),
            "changed": list(found.changed),
            "renamed": [{"old": old, "new": new} for old, new in found.renamed],
            "moved": list(found.moved),
            "resheeted": list(found.elsewhere),
        },
        "verdicts": {one.id: one.word for one in found.verdicts},
        "reasons": {one.id: one.reason for one in found.verdicts if one.reason},
        "differences_mm": {one.id: rounded(one.by, 3) for one in found.verdicts if one.by},
        "sheets": [
            {"stock": stock, "index": index, **({"offcut": offcut} if offcut else {})}
            for stock, index, offcut in found.sheets
        ],
        "mass": {"old": found.old.mass, "new": found.new.mass},
        "balance": {"old": _place(found.old.balance), "new": _place(found.new.balance)},
        "notes": list(found.notes),
    }


def _driver(driver: Driver) -> dict[str, Any]:
    return {"name": driver.name, "at": driver.at, "chain": list(driver.chain)}


def _place(at: Vector | None) -> list[float] | None:
    return None if at is None else list(at)
