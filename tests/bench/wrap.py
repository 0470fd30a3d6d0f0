"""How long a skin takes: rulings between two sections, strips over many, sheets; and a hundred of them in one spec.

    python tests/bench/wrap.py

Times in this process, the median of seven runs, and as ratios to a loop of plain sums that takes about 10 ms on
a machine of 2024. Exit status 1 where a goal is missed.
"""

import math
import sys
from functools import partial

from measuring import Row, report
from ringwright.geometry import outline
from ringwright.geometry.wrap.rulings import aligned, rulings
from ringwright.geometry.wrap.section import Section, across, closed_through
from ringwright.geometry.wrap.sheet import sheets
from ringwright.geometry.wrap.strip import skin
from ringwright.geometry.wrap.surface import threads_of, unrolled
from ringwright.lang.pipeline import compile_spec
from scale import timed


def ring(x: float, count: int, pinch: float, turn: float = 0.0) -> Section:
    """Return a section of so many chords, hollow where `pinch` is over 0.2."""
    points = []
    for k in range(count):
        t = 2 * math.pi * k / count
        r = (50 - x / 10) * (1 - pinch * math.cos(2 * (t - turn)))
        points.append((x, r * math.sin(t), r * math.cos(t)))
    return closed_through(points, (1.0, 0.0, 0.0))


def loft(first: Section, second: Section) -> None:
    """Lay the skin between two sections flat."""
    unrolled(threads_of(rulings(first, aligned(first, second))))


def sums() -> float:
    """Work a while at plain floats: the yardstick."""
    total = 0.0
    for k in range(100_000):
        total += k * 0.5
    return total


def many(count: int) -> str:
    """Return a spec of so many skins, no two alike."""
    stock = "stock card { kind = card, thickness = 0.4 mm, sheet = 600 mm by 400 mm, mass = 300 g/m2 }\n"
    skins = (
        f"wrap w{k} {{ over = [({k} mm, circle(100 mm)), ({k + 60} mm, superellipse({90 + k / 100} mm, 80 mm, 2.5))],"
        " stock = card }\n"
        for k in range(count)
    )
    return f'model many {{ title = "Many" }}\n{stock}{"".join(skins)}'


def compiled(text: str) -> None:
    """Compile a spec: all its parts, none of its sheets."""
    encoded = text.encode()
    found = compile_spec("many.wright", lambda _: encoded)
    assert found.design is not None, found.findings


def main() -> int:
    """Measure and print."""
    body = [
        across(
            outline.superellipse(60 + 40 * math.sin(x / 200), 50 + 50 * math.sin(x / 200), 2.5), x, math.pi
        )
        for x in (0.0, 80.0, 160.0, 260.0, 380.0, 500.0, 600.0)
    ]
    strip = skin(body[:2]).strips[0].surface
    works = [
        ("two convex sections of 200 corners", partial(loft, ring(0, 200, 0.1), ring(90, 200, 0.15)), 0.15),
        ("two hollow sections of 200 corners", partial(loft, ring(0, 200, 0.3), ring(90, 200, 0.25)), 0.15),
        (
            "the same, seam and shape turned",
            partial(loft, ring(0, 200, 0.3, 0.2), ring(90, 200, 0.25, 0.3)),
            0.5,
        ),
        ("two hollow sections of 400 corners", partial(loft, ring(0, 400, 0.3), ring(90, 400, 0.25)), 0.5),
        ("a body of seven sections", partial(skin, body, 5.0, 1.0), 3.0),
        ("the same in one piece", partial(skin, body, 5.0, 1.0, "none"), 3.0),
        ("the sheets of one bay", partial(sheets, strip), 0.1),
    ]
    yard = timed(sums)
    rows = []
    for what, work, goal in works:
        taken = timed(work)
        rows.append(
            Row(what, f"{taken:.3f} s, {taken / yard:.1f} times the yardstick", f"{goal} s", taken <= goal)
        )
    few, hundred = (timed(partial(compiled, many(count)), 1) for count in (25, 100))
    rows.append(
        Row(
            "100 skins in one spec",
            f"{hundred:.2f} s, {hundred / few:.2f} times 25 of them",
            "4.6 times 25 of them",
            hundred / few <= 4.6,
        )
    )
    return report(rows)


if __name__ == "__main__":
    sys.exit(main())
