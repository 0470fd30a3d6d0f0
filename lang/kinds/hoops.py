"""The rings of a stack that are bent from sheet: barrels and cones, one each, and those that a bow or dome is made as."""

from typing import TYPE_CHECKING, NamedTuple

from ringwright.geometry.ring import ring
from ringwright.lang.design.making import blaming
from ringwright.lang.kinds import bows

if TYPE_CHECKING:
    from ringwright.lang.components.tree import Component
    from ringwright.lang.design.making import Maker


class Hoop(NamedTuple):
    """One bent ring. name: within its stack ('mid', 'bow.2'). start, end: outside diameters; length, offset: along the
    axis, offset from the start of its element; all mm. number, of: the how-manieth of how many its element is made as.
    """

    component: "Component"
    id: str
    name: str
    start: float
    end: float
    length: float
    offset: float = 0.0
    number: int = 1
    of: int = 1


class Rim(NamedTuple):
    """What a plate inside meets at a rim: inside diameter there, how much wider that gets for each mm further in, and the
    wall's half angle, rad.
    """

    inside: float
    taper: float
    half_angle: float


def of_element(maker: "Maker", component: "Component") -> tuple[Hoop, ...]:
    """Return the bent rings that an element is made as, in the order of the stack. Raises GeometryError."""
    if component.kind.name in ("barrel", "cone"):
        start, end, length = (maker.number(component, name) for name in ("start", "end", "length"))
        return (Hoop(component, component.id, component.name, start, end, length),)
    if not bows.bends(component):
        return ()
    found, offset = [], 0.0
    with blaming(component.span):
        every = bows.sizes(maker, component)
    for number, (start, end, length) in enumerate(every, 1):
        name = f"{component.name}.{number}"
        id = f"{component.id}.{number}"
        found.append(Hoop(component, id, name, start, end, length, offset, number, len(every)))
        offset += length
    return tuple(found)


def of_stack(maker: "Maker", stack: "Component") -> tuple[Hoop, ...]:
    """Return all bent rings of a stack, in their order. Raises GeometryError."""
    return tuple(made for child in maker.children(stack) for made in of_element(maker, child))


def rim_of(maker: "Maker", host: "Component", at_end: bool, thickness: float) -> Rim:
    """Return what a plate inside meets at the start or the end of a bow or a dome of cones. Raises GeometryError."""
    at = of_element(maker, host)[-1 if at_end else 0]
    made = ring(at.start, at.end, at.length, thickness, 1.0)
    wider = (made.start_inside - made.end_inside) / made.length
    if at_end:
        return Rim(made.end_inside, wider, made.half_angle)
    return Rim(made.start_inside, -wider, made.half_angle)
