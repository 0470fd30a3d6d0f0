"""The pictures of the README, drawn from the Marsh Heron as it compiles now.

    python specs/pictures.py          writes them into specs/pictures/

They go through the same drawings and the same SVG as the sheets, on a white ground, so that they read in any
colour scheme. A test compares the files with what is drawn here.
"""

import math
from collections.abc import Iterator
from pathlib import Path as File

from ringwright.backends.drawing import (
    NARROW,
    WIDE,
    Drawing,
    Group,
    Item,
    Stroke,
    lettering,
    long_dash_dot,
    moved_item,
)
from ringwright.backends.part_lines import arrow, dot
from ringwright.backends.record import BuildRecord
from ringwright.backends.sheet import sheet_drawing
from ringwright.backends.svg import svg_text
from ringwright.geometry.nest.nest import nest
from ringwright.geometry.numbers import short
from ringwright.geometry.path import Path, Point, arc, line
from ringwright.lang.commands.record import record_of
from ringwright.lang.components.project import reader
from ringwright.lang.design.design import Design
from ringwright.lang.pipeline import compile_spec

HERE = File(__file__).parent
SPEC = "marsh-heron.wright"
SMALL_SHEET = (452.0, 310.0)

HATCH = 2.2
SMALL, DATA, TITLE = 2.5, 3.5, 5.0
NAMES = {
    "drum": (-24.0, 46.0),
    "mid": (-58.0, 42.0),
    "lip": (-81.0, 34.0),
    "back": (-15.0, -14.0),
    "front": (-81.0, -14.0),
}
"""Where the name of each part of the cowl stands in the section: x, r of the middle of its baseline."""

OVERSHOOT = 1.5
"""How far a projection line runs past its dimension line, mm."""


def pictures() -> dict[str, str]:
    """Every picture by its file name."""
    compiled = compile_spec(SPEC, reader(HERE / "marsh-heron"))
    design = compiled.design
    if design is None or compiled.failed:
        raise SystemExit(f"{SPEC} has errors: `ringwright check` says which")
    record = record_of(compiled, design, nest(design.parts, design.cutting))
    board = next(sheet for sheet in record.sheets if sheet.stock.name == "board")
    drawings = {
        "board-sheet.svg": sheet_drawing(record, board, True, ""),
        "cowl-parts.svg": cowl_parts(record, design),
        "cowl-section.svg": cowl_section(design),
    }
    return {name: on_white(svg_text(drawing)) for name, drawing in drawings.items()}


def on_white(svg: str) -> str:
    """The picture on a white ground."""
    return svg.replace("\n<g ", '\n<rect width="100%" height="100%" fill="white" />\n<g ', 1)


def cowl_parts(record: BuildRecord, design: Design) -> Drawing:
    """The parts of the cowl alone, laid on a small sheet."""
    width, height = SMALL_SHEET
    parts = tuple(
        part._replace(stock=part.stock._replace(width=width, height=height))
        for part in record.parts
        if part.id.startswith("cowl.")
    )
    (sheet,) = nest(parts, design.cutting)
    return sheet_drawing(record._replace(parts=parts, sheets=(sheet,)), sheet, True, "")


# -- the section ------------------------------------------------------------------------------------------


def cowl_section(design: Design) -> Drawing:
    """The cowl cut along its axis, true size, nose to the left; in brackets what was found."""
    section = _Section(design)
    left, low, width, height = 166.0, 104.0, 212.0, 206.0
    items = [
        *section.walls(),
        *section.edges_behind(),
        *section.axis(),
        *section.lengths(),
        *section.diameters(),
        *section.angles(),
        *section.names(),
    ]
    shifted = [moved_item(item, (left, low)) for item in items]
    scale = _plain(design.scale.along)
    rows = (
        (18.5, f"{design.about.title}: the cowl", TITLE),
        (
            12.0,
            f"Section along the axis, true size. Outside sizes are those of the plan, times {scale}.",
            SMALL,
        ),
        (7.0, "Plain numbers are given in the spec; those in brackets were found.", SMALL),
    )
    words = [lettering("text", (8.0, y), text, height) for y, text, height in rows]
    groups = (
        Group("cowl", "The cowl in section", "", tuple(shifted)),
        Group("words", "Title", "", tuple(words)),
    )
    return Drawing(
        width, height, "The cowl in section", "Walls and plates of the cowl with their sizes, mm", groups
    )


class _Section:
    """The cowl in its own frame: x aft from the firewall, r up from the axis."""

    def __init__(self, design: Design) -> None:
        self.design = design
        self.rings = ("drum", "mid", "lip")
        self.nose = self.of("lip", "x_end")

    def of(self, part: str, name: str) -> float:
        return self.design.values[f"cowl.{part}.{name}"]

    def shown(self, name: str, sign: str = "") -> str:
        """A solved value as it is lettered: in brackets where no statement gives it."""
        value = self.design.values[name]
        angle = name.endswith("angle")
        words = f"{sign}{_plain(math.degrees(value) if angle else value)}{'°' if angle else ''}"
        return words if self.design.solution.because[name].provenance == "measured" else f"({words})"

    def areas(self) -> Iterator[tuple[float, tuple[Point, ...]]]:
        """What the cut meets above the axis: slope of the hatching, corners."""
        for ring, slope in zip(self.rings, (1.0, -1.0, 1.0), strict=True):
            a, b = self.of(ring, "x_start"), self.of(ring, "x_end")
            outer = (self.of(ring, "start") / 2, self.of(ring, "end") / 2)
            inner = (self.of(ring, "start_inside") / 2, self.of(ring, "end_inside") / 2)
            yield slope, ((a, outer[0]), (b, outer[1]), (b, inner[1]), (a, inner[0]))
        for plate, hole in (("back", "motor"), ("front", "inlet")):
            a, b = self.of(plate, "x_start"), self.of(plate, "x_end")
            r = self.of(plate, f"{hole}.diameter") / 2
            if plate == "back":
                start = end = self.of(plate, "diameter") / 2
            else:
                start, end = (self.of(plate, f"diameter_{face}_face") / 2 for face in ("inner", "outer"))
            yield -1.0, ((a, start), (b, end), (b, r), (a, r))

    def walls(self) -> Iterator[Item]:
        for slope, corners in self.areas():
            for side in (1.0, -1.0):
                area = tuple((x, side * r) for x, r in corners)
                yield Stroke("cut", Path(area, (0.0,) * len(area), True), WIDE)
                for stripe in hatched(area, slope):
                    yield Stroke("peel", stripe, NARROW)

    def edges_behind(self) -> Iterator[Item]:
        """Edges that are seen behind the cut: joints inside, and the rims of the two openings."""
        for ring in ("drum", "mid"):
            r = self.of(ring, "end_inside") / 2
            yield Stroke("info", line([(self.of(ring, "x_end"), -r), (self.of(ring, "x_end"), r)]), NARROW)
        for plate, hole in (("back", "motor"), ("front", "inlet")):
            r = self.of(plate, f"{hole}.diameter") / 2
            for name in ("x_start", "x_end"):
                x = self.of(plate, name)
                yield Stroke("info", line([(x, -r), (x, r)]), NARROW)

    def axis(self) -> Iterator[Item]:
        yield Stroke("mark", line([(self.nose - 6.0, 0.0), (6.0, 0.0)]), NARROW, long_dash_dot(NARROW))

    def lengths(self) -> Iterator[Item]:
        top = self.of("drum", "start") / 2
        chain = top + 11.0
        for ring in ("back", *self.rings):
            low, high = sorted((self.of(ring, "x_start"), self.of(ring, "x_end")))
            yield from level((low, high), chain, self.shown(f"cowl.{ring}.length"))
        yield from level((self.nose, 0.0), chain + 9.0, self.shown("cowl.overall"))
        for x, r, reach in (
            (0.0, top, 9.0),
            (self.of("drum", "x_start"), top, 0.0),
            (self.of("mid", "x_start"), top, 0.0),
            (self.of("lip", "x_start"), self.of("lip", "start") / 2, 0.0),
            (self.nose, self.of("lip", "end") / 2, 9.0),
        ):
            yield Stroke("info", line([(x, r + 1.0), (x, chain + reach + OVERSHOOT)]), NARROW)

    def diameters(self) -> Iterator[Item]:
        nose = self.nose
        for from_x, name, at in (
            (nose, "cowl.front.inlet.diameter", nose - 12.0),
            (nose, "cowl.front.diameter_outer_face", nose - 21.0),
            (nose, "cowl.lip.end", nose - 30.0),
            (self.of("lip", "x_start"), "cowl.mid.end", nose - 39.0),
            (0.0, "cowl.back.motor.diameter", 14.0),
            (0.0, "cowl.drum.diameter", 25.0),
            (self.of("front", "x_start"), "cowl.front.diameter_inner_face", nose + 16.0),
        ):
            r = self.design.values[name] / 2
            # Within the cowl the number stands clear of its axis.
            yield from upright(at, r, self.shown(name, "ø"), 16.0 if nose < at < 0.0 else 0.0)
            way = 1.0 if at > from_x else -1.0
            for side in (r, -r):
                yield Stroke("info", line([(from_x + way, side), (at + way * OVERSHOOT, side)]), NARROW)

    def angles(self) -> Iterator[Item]:
        """Half angles, from the line along the axis to the wall, below the section."""
        for ring in ("mid", "lip"):
            x, r = self.of(ring, "x_start"), self.of(ring, "start") / 2
            half = self.of(ring, "half_angle")
            if ring == "mid":  # the lip's line is that of its diameter
                yield Stroke("info", line([(x, -r), (x - 34.0, -r)]), NARROW)
            yield Stroke("info", arc((x, -r), 26.0, math.pi - half, half), NARROW)
            words = self.shown(f"cowl.{ring}.half_angle")
            yield lettering("text", (x - 17.0, -r - 4.5), words, DATA, 0.0, "middle")

    def names(self) -> Iterator[Item]:
        """Names of the parts, inside, each with a leader that ends in a dot in its part."""
        for part, corners in zip(
            (*self.rings, "back", "front"), (area for _, area in self.areas()), strict=True
        ):
            x, r = NAMES[part]
            middle = sum(corner[0] for corner in corners) / 4
            if part in self.rings:
                target = (middle, sum(corner[1] for corner in corners) / 4)
                near = (x, r + 4.5)
            else:
                target = (middle, -corners[2][1] - 6.0)
                near = (x, r - 1.5)
            yield dot(target, "info")
            yield Stroke("info", line([near, target]), NARROW)
            yield lettering("text", (x, r), part, DATA, 0.0, "middle")


def hatched(area: tuple[Point, ...], slope: float) -> Iterator[Path]:
    """Lines at 45 degrees, rising for a slope of 1 and falling for -1, across a convex area."""
    step = HATCH * math.sqrt(2.0)
    heights = [y - slope * x for x, y in area]
    for row in range(math.ceil(min(heights) / step), math.floor(max(heights) / step) + 1):
        level = row * step
        met = []
        for (x0, y0), (x1, y1) in zip(area, (*area[1:], area[0]), strict=True):
            before, after = y0 - slope * x0 - level, y1 - slope * x1 - level
            if (before > 0.0) != (after > 0.0):
                share = before / (before - after)
                met.append((x0 + share * (x1 - x0), y0 + share * (y1 - y0)))
        if len(met) == 2 and math.dist(*met) > 0.2:
            yield line(sorted(met))


def level(ends: tuple[float, float], y: float, words: str) -> Iterator[Item]:
    """A dimension along the axis; a narrow one is pointed at from outside, its number to the right."""
    a, b = ends
    if b - a > 12.0:
        middle = (a + b) / 2
        yield from (item for end in ends for item in arrow(line([(middle, y), (end, y)]), "info"))
        yield lettering("text", (middle, y + 1.2), words, DATA, 0.0, "middle")
        return
    yield Stroke("info", line([(a, y), (b, y)]), NARROW)
    yield from arrow(line([(a - 7.0, y), (a, y)]), "info")
    yield from arrow(line([(b + 7.0, y), (b, y)]), "info")
    yield lettering("text", (b + 8.5, y - 1.2), words, DATA)


def upright(x: float, r: float, words: str, above: float) -> Iterator[Item]:
    """A diameter across the axis, read from the right; its number stands so far above the axis."""
    yield from (item for end in (r, -r) for item in arrow(line([(x, 0.0), (x, end)]), "info"))
    yield lettering("text", (x - 1.2, above), words, DATA, 90.0, "middle")


def _plain(value: float) -> str:
    return short(value, 3)


def main() -> None:
    """Write every picture beside the others."""
    folder = HERE / "pictures"
    folder.mkdir(exist_ok=True)
    for name, svg in pictures().items():
        (folder / name).write_text(svg, encoding="utf-8", newline="\n")


if __name__ == "__main__":
    main()
