"""How long files take and how large they are, a part: each format, with the layout given.

    python tests/bench/files.py

Parts of 100 points on one large sheet, in the environment at hand. Exit status 1 where a goal is missed.
"""

import math
import sys
import time
from collections.abc import Callable
from statistics import median

from measuring import Row, refuse_without_bytecode, report
from ringwright.backends.book.content import book_of
from ringwright.backends.book.html import html_text
from ringwright.backends.book.paper import pages_of
from ringwright.backends.drawing import Drawing
from ringwright.backends.dxf import dxf_bytes
from ringwright.backends.manifest import manifest
from ringwright.backends.paper import paper_of
from ringwright.backends.pdf import pdf_bytes
from ringwright.backends.record import BuildRecord, Model
from ringwright.backends.sheet import for_eyes, for_machines, sheet_content, template_of
from ringwright.backends.svg import svg_text
from ringwright.backends.tiles import tiled
from ringwright.backends.viewer.scene import scene_of
from ringwright.geometry.part import Cutting, MassProperties, Part, Placed, Sheet, Stock
from ringwright.geometry.path import as_hole, canonical, closed

POINTS = 100
FEW, MANY = 100, 1000
PITCH = 70.0
RUNS = 3


def part(number: int, stock: Stock) -> Part:
    """A wavy disc of 100 points with an opening, no two alike."""
    waves, depth = 3 + number % 7, 2.0 + number % 3
    turns = [2 * math.pi * i / POINTS for i in range(POINTS)]
    rim = [(r * math.cos(t), r * math.sin(t)) for t in turns for r in (28.0 + depth * math.cos(waves * t),)]
    hole = closed([(-6.0, -16.0), (6.0, -16.0), (6.0, -8.0), (-6.0, -8.0)])
    empty = ((), (), (), (), ())
    name = f"p{number}"
    return Part(
        name, name, name, "", stock, 1, canonical(closed(rim)), (as_hole(hole),), *empty, ("aft face up",), (), "free",
        None, MassProperties(2400.0, 1.0, 200.0, None),
    )  # fmt: skip


def record_of(count: int) -> BuildRecord:
    """That many parts on one sheet, in rows."""
    columns = math.ceil(math.sqrt(2 * count))
    width, height = columns * PITCH, math.ceil(count / columns) * PITCH
    stock = Stock("board", "", "foamboard", 4.8, width, height, "none", None, 0.3, None, "peeled", 1.0, 25.0)
    parts = tuple(part(number, stock) for number in range(count))
    placed = tuple(
        Placed(each.id, 1, PITCH * (i % columns + 0.5), PITCH * (i // columns + 0.5), 0.0)
        for i, each in enumerate(parts)
    )
    model = Model("large", "Large", "A", 1.0, "mm")
    return BuildRecord(
        "0",
        model,
        (),
        (),
        (),
        tuple(sorted(parts)),
        (Sheet(stock, 1, placed, 0.5),),
        Cutting(8.0, 4.0, 0.0),
        (),
    )


def timed(make: Callable[[], bytes]) -> tuple[float, int]:
    """Median time of some runs, s, and the bytes that were made."""
    times, size = [], 0
    for _ in range(RUNS):
        start = time.perf_counter()
        size = len(make())
        times.append(time.perf_counter() - start)
    return median(times), size


def measured(count: int) -> dict[str, tuple[float, int]]:
    """Time and bytes of each step and format for that many parts."""
    record = record_of(count)
    sheet = record.sheets[0]
    start = time.perf_counter()
    content = sheet_content(record, sheet)
    found = {"lettering": (time.perf_counter() - start, 0)}
    machine: Drawing = for_machines(record, sheet, content)
    page = for_eyes(record, sheet, content, "")
    template = template_of(record, sheet, content, "")
    found["svg"] = timed(lambda: svg_text(machine).encode())
    found["svg, outlines"] = timed(lambda: svg_text(machine, True).encode())
    found["pdf"] = timed(lambda: pdf_bytes((page,), "Large", ""))
    found["dxf"] = timed(lambda: dxf_bytes(machine))
    found["tiles"] = timed(lambda: pdf_bytes(tiled(template, paper_of("a4")), "Large", ""))
    found["book, page"] = timed(lambda: html_text(book_of(record, ""), scene_of(record)).encode())
    book = book_of(record, "")
    found["book, pdf"] = timed(lambda: pdf_bytes(pages_of(book, paper_of("a4")), "Large", ""))
    found["manifest"] = timed(lambda: manifest(record, {}).encode())
    return found


def main() -> int:
    """Print times and sizes a part, and how they grow."""
    refuse_without_bytecode()
    few, many = measured(FEW), measured(MANY)
    rows = []
    for name, (taken, size) in many.items():
        growth = taken / few[name][0] * FEW / MANY
        kilobytes = f"{size / MANY / 1000:6.2f} kB, " if size else ""
        rows.append(
            Row(
                f"{name}, a part of {MANY}",
                f"{kilobytes}{1000 * taken / MANY:6.2f} ms, {growth:.2f} times that of {FEW}",
                "growth <= 1.5",
                growth <= 1.5,
            )
        )
    whole = sum(many[name][0] for name in ("svg", "pdf", "dxf"))
    rows.append(Row(f"{MANY} parts in SVG, PDF and DXF", f"{whole:.2f} s", "10 s", whole <= 10.0))
    everything = whole + many["lettering"][0]
    rows.append(Row("the same with their lettering", f"{everything:.2f} s"))
    return report(rows)


if __name__ == "__main__":
    sys.exit(main())
