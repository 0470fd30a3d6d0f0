"""How much of the board the nester uses, and how long it takes.

    python tests/bench/nest.py FILE… [--effort quick|normal|thorough] [--out FILE]

Each FILE is an instance as in tests/bench/nesting: pieces for a strip of given width and any length, or for
sheets. A line for
each: density of the strip up to where it is used, seconds, and ratio to the density that spyrrow (an
optimiser that stops on the clock) reached in 10 s where the file has it. For sheets their number and the height used on the last.
--out writes the placements: rotation about the item's own origin, then translation; the strip's width runs along y.
"""

import argparse
import json
import math
import sys
import time
from pathlib import Path
from typing import Any, NamedTuple

from ringwright.geometry.nest.nest import EFFORTS, nest
from ringwright.geometry.nest.verify import verify
from ringwright.geometry.numbers import rounded
from ringwright.geometry.part import Cutting, MassProperties, Part, Sheet, Stock
from ringwright.geometry.path import as_hole, bounds, canonical, closed, turned


class Instance(NamedTuple):
    """An instance as it is nested: demand of one type each is a part of so many copies."""

    name: str
    parts: tuple[Part, ...]
    cutting: Cutting
    stock: Stock
    strip: bool
    area: float
    reference: float | None
    turns: dict[str, list[float]]


def read(path: Path, sets: int = 1) -> Instance:
    """Read an instance. Of a strip the width lies along x, its length, as much as could be needed, along y."""
    data: dict[str, Any] = json.loads(path.read_text("utf-8"))
    strip = "strip_width" in data
    turns = [item.get("allowed_rotations_deg", data.get("allowed_rotations_deg")) for item in data["items"]]
    grains = ["along" if set(allowed) <= {0, 180} else "free" for allowed in turns]
    ours = {
        item["id"]: [(turn + 90.0 * strip) % 360.0 for turn in allowed]
        for item, allowed in zip(data["items"], turns, strict=True)
    }
    cutting = Cutting(data.get("margin_mm", 0.0), data.get("gap_mm", 0.0), 0.0)
    outlines = [canonical(closed([(x, y) for x, y in item["polygon"]])) for item in data["items"]]
    if strip:
        boxes = [bounds(outline) for outline in outlines]
        longest = max(math.hypot(x1 - x0, y1 - y0) for x0, y0, x1, y1 in boxes)
        width, height = data["strip_width"], 2.0 * data["total_area"] / data["strip_width"] + 4.0 * longest
    else:
        width, height = data["sheet_mm"]
    # What may be turned by 0 and 180 in the strip lies across in ours, whose length runs up.
    stock = Stock(
        "board", "board", "balsa", 5.0, width, height, "along_width" if not strip else "along_height",
        None, 0.0, None, "plain", 0.5, 0.0,
    )  # fmt: skip
    parts = tuple(
        Part(
            item["id"], item["id"], "", "", stock, sets * item["demand"], outline,
            tuple(as_hole(closed([(x, y) for x, y in hole])) for hole in item["holes"]),
            (), (), (), (), (), (), (), grain, None, MassProperties(0.0, None, 0.0, None),
        )
        for item, outline, grain in zip(data["items"], outlines, grains, strict=True)
    )  # fmt: skip
    area = data["total_area"] if strip else sets * data["total_area_mm2"]
    return Instance(data["name"], parts, cutting, stock, strip, area, data.get("spyrrow_10s"), ours)


def used_to(sheet: Sheet, parts: tuple[Part, ...]) -> float:
    """Up to where a sheet is used, mm."""
    known = {part.id: part for part in parts}
    return max(
        placed.y + bounds(turned(known[placed.part].outline, math.radians(placed.rotation)))[3]
        for placed in sheet.placements
    )


def placements(instance: Instance, sheets: tuple[Sheet, ...]) -> list[dict[str, Any]]:
    """Placements as the instance has them: of a strip laid down, its length along x."""
    found = []
    for sheet in sheets:
        for placed in sheet.placements:
            row: dict[str, Any] = {"item": placed.part}
            if instance.strip:
                x, y, turn = placed.y, instance.stock.width - placed.x, (placed.rotation - 90.0) % 360.0
            else:
                x, y, turn = placed.x, placed.y, placed.rotation
                row["sheet"] = sheet.index
            found.append({**row, "x": rounded(x, 6), "y": rounded(y, 6), "rotation_deg": turn})
    return found


def main(arguments: list[str]) -> int:
    """Nest, print and write; 1 where a layout is wrong."""
    parser = argparse.ArgumentParser(description="Nest instances and say how well.")
    parser.add_argument("files", nargs="+", type=Path, metavar="FILE")
    parser.add_argument("--effort", choices=tuple(EFFORTS), default="quick")
    parser.add_argument("--out", type=Path, metavar="FILE")
    parser.add_argument("--sets", type=int, default=1, help="how many of each set of parts, for sheets")
    chosen = parser.parse_args(arguments)
    results, ratios, wrong = [], [], 0
    for path in chosen.files:
        instance = read(path, chosen.sets)
        begun = time.perf_counter(), time.process_time()
        sheets = nest(instance.parts, instance.cutting, chosen.effort, turns=instance.turns)
        seconds, cpu = time.perf_counter() - begun[0], time.process_time() - begun[1]
        faults = verify(sheets, instance.parts, instance.cutting)
        wrong += bool(faults)
        used = used_to(sheets[-1], instance.parts)
        length = used if instance.strip else (len(sheets) - 1) * instance.stock.height + used
        density = instance.area / (instance.stock.width * length)
        line = f"{instance.name:<16} density {density:.4f}  {seconds:6.1f} s ({cpu:.1f} s of the processor)"
        if instance.reference is not None and instance.strip:
            ratios.append(density / instance.reference)
            line += f"  ratio {ratios[-1]:.4f}"
        if not instance.strip:
            line += f"  {len(sheets)} sheets, the last to {used:.1f} mm"
        print(line + "".join(f"\n  WRONG: {fault}" for fault in faults), flush=True)
        results.append(
            {
                "instance": instance.name, "width": instance.stock.width, "length": rounded(length, 6),
                "density": rounded(density, 6), "seconds": rounded(seconds, 2),
                "placements": placements(instance, sheets),
            }
        )  # fmt: skip
    if len(ratios) > 1:
        print(f"mean ratio {sum(ratios) / len(ratios):.4f}, least {min(ratios):.4f}")
    if chosen.out is not None:
        chosen.out.write_text(json.dumps(results, indent=1) + "\n", "utf-8")
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
