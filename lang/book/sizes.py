"""What to measure after a step, so that a slip shows before the next part hides it."""

from collections.abc import Iterator

from ringwright.geometry.part import Flat, Part
from ringwright.geometry.path import bounds
from ringwright.lang.book.units import FORMERS, Unit
from ringwright.lang.design.design import Design
from ringwright.lang.units import ANGLE, LENGTH


def check(design: Design, unit: Unit) -> str:
    """Return the sizes to measure on a unit once it is built."""
    return "; ".join(_sizes(design, unit))


def _sizes(design: Design, unit: Unit) -> Iterator[str]:
    def shown(name: str) -> str:
        return design.about.shown(round(design.values[f"{unit.id}.{name}"], 1), LENGTH)

    def has(*names: str) -> bool:
        return all(f"{unit.id}.{name}" in design.values for name in names)

    if has("diameter_outer_face", "diameter_inner_face"):
        faces = dict.fromkeys(shown(name) for name in ("diameter_outer_face", "diameter_inner_face"))
        yield f"ø {' on one face, '.join(faces)}{' on the other' if len(faces) > 1 else ''}"
    elif has("start", "end") and unit.kind != "plate":
        ends = dict.fromkeys(shown(name) for name in ("start", "end"))
        yield f"outside ø {' at one rim, '.join(ends)}{' at the other' if len(ends) > 1 else ' at both rims'}"
        if has("length"):
            yield f"{shown('length')} long, square all round"
    elif has("diameter"):
        yield f"ø {shown('diameter')}"
    elif unit.id == FORMERS:
        along = [design.values.get(f"{part.component}.x") for part in unit.parts]
        known = sorted(x for x in along if x is not None)
        if len(known) > 1:
            yield f"{design.about.shown(round(known[-1] - known[0], 1), LENGTH)} from first to last"
    elif all(isinstance(part.placement, Flat | None) for part in unit.parts):
        sides = dict.fromkeys(_sides(design, part) for part in unit.parts)
        if len(sides) == 1:
            yield f"{'each ' if len(unit.parts) > 1 else ''}{next(iter(sides))}"
    elif unit.low is not None and unit.high is not None:
        spans = [
            (round(b - a, 1), word)
            for a, b, word in zip(unit.low, unit.high, ("long", "wide", "high"), strict=True)
        ]
        yield ", ".join(f"{design.about.shown(span, LENGTH)} {word}" for span, word in spans if span > 0.05)
    if has("x_end") and not has("diameter_outer_face"):
        yield f"its far end at x {shown('x_end')}"
    if has("half_angle") and design.values[f"{unit.id}.half_angle"] > 0.01:
        yield f"its wall leans {design.about.shown(round(design.values[f'{unit.id}.half_angle'], 3), ANGLE)}"


def _sides(design: Design, part: Part) -> str:
    """Return how wide and high a part is as it is drawn."""
    left, low, right, high = bounds(part.outline)
    sides = (design.about.shown(round(side, 1), LENGTH) for side in (right - left, high - low))
    return " by ".join(sides)
