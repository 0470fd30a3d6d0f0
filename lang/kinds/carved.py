"""Rings that are carved to a profile: each layer is cut to its own size, as large as it will be once carved and what is
left to carve.
"""

import math
from collections.abc import Iterable
from typing import TYPE_CHECKING

from ringwright.geometry import outline as shapes
from ringwright.geometry.bow import profile as curves
from ringwright.geometry.bow.profile import Layer
from ringwright.geometry.errors import GeometryError
from ringwright.geometry.numbers import short
from ringwright.geometry.part import Mark, Part
from ringwright.geometry.path import canonical
from ringwright.lang.kinds import disc, openings, profile, stacked

if TYPE_CHECKING:
    from ringwright.lang.components.tree import Component
    from ringwright.lang.design.making import Maker

LEAST_OPENING = 4.0
"""Diameter of an opening below which a layer is left whole, mm: nothing smaller is worth a cut. Our choice."""


def parts(maker: "Maker", component: "Component") -> Iterable[Part]:
    """Yield the layers of a ring that follows its stack's profile, a part each. Raises GeometryError."""
    stack = maker.parent(component)
    stock = maker.stock(component)
    layers = curves.layers(profile.of_element(maker, component), stock.thickness)
    carve = maker.number(component, "carve") if maker.has(component, "carve") else 0.0
    cut = [2 * (layer.greatest + carve) for layer in layers]
    start, end = stacked.places(maker, component)
    ends, names = stacked.mates(maker, component), stacked.names(maker, component)
    joint = maker.number(component, "start")
    for index, (layer, size) in enumerate(zip(layers, cut, strict=True)):
        faces = disc.Faces(size, size, 0.0, False, joint)
        opening = _opening(maker, component, layer, index + 1)
        round = () if opening is None else (openings.Opening(component, shapes.circle(opening), None),)
        opened = openings.opened(maker, component, canonical(shapes.circle(size)), round)
        way = math.copysign(1.0, end - start)
        between = stacked.between(ends, names, index + 1)
        made = disc.Layer(
            f"{component.id}.{index + 1}",
            (start + way * layer.start, start + way * layer.end),
            between,
            _notes(maker, layer, index + 1, len(layers), between),
        )
        marks = () if index + 1 == len(cut) else _mate(cut[index + 1], size, names[index + 1])
        quantity = maker.count(stack, "quantity") or 1
        yield disc.part(maker, component, opened, faces, marks, quantity, made)


def _opening(maker: "Maker", component: "Component", layer: Layer, number: int) -> float | None:
    """Return the diameter of a layer's opening: as given, or what the rim leaves; None where it stays whole."""
    if maker.has(component, "inside"):
        inside = maker.number(component, "inside")
        if inside >= 2 * layer.least:
            raise GeometryError(
                "hole-outside",
                f"the inside of ring '{component.name}', {short(inside, 2)} mm, reaches through layer {number}, which is"
                f" carved to {short(2 * layer.least, 2)} mm",
            )
        return inside
    if not maker.has(component, "rim"):
        return None
    inside = 2 * (layer.least - maker.number(component, "rim"))
    return inside if inside >= LEAST_OPENING else None


def _notes(maker: "Maker", layer: Layer, number: int, count: int, mates: tuple[str, str]) -> tuple[str, ...]:
    carved = ", ".join(
        f"ø {maker.length(2 * radius).removesuffix(' mm')} {f'to {mate}' if mate else 'on the free face'}"
        for radius, mate in zip((layer.start_radius, layer.end_radius), mates, strict=True)
    )
    return f"layer {number} of {count}", f"carve: {carved}"


def _mate(size: float, own: float, name: str) -> tuple[Mark, ...]:
    """Return the line along which the next layer is glued on, where it is the smaller."""
    if size > own - 0.4:
        return ()
    return (Mark(canonical(shapes.circle(size)), "mate", name),)
