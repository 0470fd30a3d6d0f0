"""The step in which a whole wing, tail or fin is put in its place on the aircraft. Common practice, no published source."""

from collections.abc import Iterator, Sequence

from ringwright.geometry.part import Part
from ringwright.lang.book import surfaces
from ringwright.lang.book.craft import glue
from ringwright.lang.book.step import Step
from ringwright.lang.book.touching import Touching
from ringwright.lang.book.units import Unit
from ringwright.lang.book.words import named
from ringwright.lang.design.design import Design
from ringwright.lang.units import ANGLE, LENGTH

SQUARE = {
    "wing": "Set it square: both tips as far from the tail end, and as high above the table.",
    "tail": "Set it square: both tips as far from the nose, and level with the wing.",
    "fin": "Stand it upright, along the middle line.",
}


def ready(
    units: Sequence[Unit], built: Sequence[Unit], touch: Touching, seated: Sequence[str]
) -> Iterator[tuple[tuple[Unit, ...], tuple[Part, ...]]]:
    """Yield the surfaces that can be put in their places: their units, and the parts that they then lie against.

    Of two surfaces that meet, the one that is whole first waits for nothing, and the other is put onto it.
    """
    whole = [each for each in _surfaces(units) if all(unit in built for unit in each)]
    for own in whole:
        if own[0].assembly in seated:
            continue
        fixed = [part for unit in own if unit.kind != "control" for part in unit.parts]
        others = [
            unit
            for unit in units
            if unit.assembly != own[0].assembly
            and unit.kind != "control"
            and (unit.kind not in surfaces.ORDER or unit.assembly in seated)
        ]
        met = {unit.id: touch.of(fixed, _placed(unit, touch)) for unit in others}
        if all(unit in built for unit in others if met[unit.id]):
            onto = tuple(part for unit in others for part in met[unit.id])
            # What meets nothing that is cut here comes when all the rest stands.
            if onto or (len(built) == len(units) and len(own) < len(units)):
                yield own, onto


def seating(design: Design, own: Sequence[Unit], onto: Sequence[Part], touch: Touching) -> Step:
    """Return the step in which a surface is put onto parts that stand. own: all its units."""
    surface = own[0].assembly
    kind = design.tree.components[surface].kind.name
    name = surfaces.title(design, surface, surface)
    parts = [part for unit in own for part in unit.parts]
    places = [(axis, design.values.get(f"{surface}.{axis}")) for axis in "xz"]
    nose = ", ".join(
        f"{axis} {design.about.shown(round(at, 1), LENGTH)}" for axis, at in places if at is not None
    )
    where = f": the nose of its root lies at {nose}" if nose else ""
    first = (
        f"Put it on {named(onto)}."
        if onto
        else f"Fix it where the plan has it{where}. No part on the sheets meets it."
    )
    lines = [first, SQUARE[kind]]
    if kind == "wing":
        lines.append("Leave the glue out where it should come off again, held by bands or screws.")
    incidence = design.values.get(f"{surface}.incidence", 0.0)
    angle = f"incidence {design.about.shown(round(incidence, 6), ANGLE)}" if abs(incidence) > 1e-4 else ""
    return Step(
        f"{name}: in its place",
        name,
        tuple(lines),
        glue({part.stock.kind for part in (*touch.of(onto, parts), *onto)}) if onto else "",
        angle,
        (),
        tuple(dict.fromkeys(part.id for part in (*parts, *onto))),
        False,
    )


def _surfaces(units: Sequence[Unit]) -> Iterator[tuple[Unit, ...]]:
    found: dict[str, list[Unit]] = {}
    for unit in units:
        if unit.kind in surfaces.ORDER:
            found.setdefault(unit.assembly, []).append(unit)
    yield from (tuple(own) for own in found.values())


def _placed(unit: Unit, touch: Touching) -> Sequence[Part]:
    return tuple(part for part in unit.parts if part.id in touch.placed)
