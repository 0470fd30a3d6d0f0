"""Profiles: the curve of radius along the axis that a plan shows, and the diameters that follow from it.

What an element does not say of its diameters the stack's profile says: one way only, from the lengths before it.
"""

from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import contextmanager
from typing import TYPE_CHECKING

from ringwright.geometry.along import height_at
from ringwright.geometry.errors import GeometryError
from ringwright.geometry.numbers import short, total
from ringwright.geometry.path import Path, moved
from ringwright.lang.design import takeoff
from ringwright.lang.design.making import Maker, Refusal, Unsettled, blaming
from ringwright.lang.kinds.cutting import HABITS
from ringwright.lang.kinds.kind import Property
from ringwright.lang.solve.terms import Forward, Term, Unknown
from ringwright.lang.units import LENGTH
from ringwright.lang.values.value import ShapeOf, unknowns_within

if TYPE_CHECKING:
    from ringwright.lang.components.tree import Component
    from ringwright.lang.design.elaborate import Elaboration

NEAR = 0.01
"""How far a place may lie beyond a profile's end and still mean it, mm: as near as what is said twice agrees."""

PROFILE = Property(
    "profile",
    "shape",
    "the curve of (along, radius) from its start: diameters left out are the profile's at that place",
    "profile = curve[(0, 66), (40, 62), (104, 46)] mm",
    axis="plane",
)


def given(component: "Component") -> bool:
    """Return whether the text gives a component a profile, sound or not."""
    node = component.properties.get("profile")
    return node is not None and getattr(node.value, "name", "") != "auto"


def drawn(maker: Maker, value: ShapeOf) -> Path:
    """Return a profile as written: an open path of (along, radius), mm. Raises GeometryError."""
    with blaming(value.span):
        if value.function not in ("moved", "joined"):
            return takeoff.profile(maker, value)
        first, second = value.arguments
        assert isinstance(first, ShapeOf)
        if isinstance(second, ShapeOf):
            return _after(drawn(maker, first), drawn(maker, second))
        assert second is not None
        return moved(drawn(maker, first), maker.point_of(second))


def _after(first: Path, second: Path) -> Path:
    """Return two profiles as one: the second begins where the first ends, and must begin at its radius."""
    (x, r), (a, s) = first.points[-1], second.points[0]
    if abs(r - s) > NEAR:
        raise GeometryError(
            "diameters-differ",
            f"the first profile ends at a radius of {short(r, 2)} mm, and the next begins at {short(s, 2)} mm",
        )
    rest = moved(second, (x - a, r - s))
    from ringwright.geometry.bow import profile as curves

    return curves.profile(Path((*first.points, *rest.points[1:]), (*first.bulges, *rest.bulges), False))


def of(maker: Maker, component: "Component") -> Path:
    """Return the profile of a stack or of a dome, which has one. Raises GeometryError."""
    value = maker.value(component, "profile")
    assert isinstance(value, ShapeOf)
    return drawn(maker, value)


def radius_at(path: Path, place: float) -> float:
    """Return a profile's radius at a place, mm; just beyond an end it runs straight on. GeometryError 'beyond-line'."""
    inside = min(max(place, path.points[0][0]), path.points[-1][0])
    radius, (along, out) = height_at(path, inside if abs(place - inside) <= NEAR else place)
    return radius + (place - inside) * (out / along if along > 0.1 else 0.0)


def stretch(path: Path, start: float, end: float) -> Path:
    """Return the part of a profile between two places, begun anew at 0. GeometryError 'beyond-line'."""
    for place in (start, end):
        radius_at(path, place)
    first, last = path.points[0][0], path.points[-1][0]
    from ringwright.geometry.bow import profile as curves

    cut = curves.between(path, max(start, first), min(end, last))
    return moved(cut, (-cut.points[0][0], 0.0))


@contextmanager
def of_stack(maker: Maker, stack: "Component") -> Iterator[Path]:
    """Give the profile of a stack, and say of what is asked for beyond its ends how far the stack reaches."""
    path = of(maker, stack)
    try:
        yield path
    except GeometryError as error:
        if error.code != "beyond-line":
            raise
        lengths = [maker.values.get(f"{stack.id}.{child}.length") for child in stack.children]
        known = [length for length in lengths if length is not None]
        reach = f", which is {short(total(known), 2)} mm long," if len(known) == len(lengths) else ""
        first, last = path.points[0][0], path.points[-1][0]
        raise GeometryError(
            "beyond-line",
            f"the profile of '{stack.id}' runs from {short(first, 2)} to {short(last, 2)} mm only, and elements of the"
            f" stack{reach} take their diameters from beyond that",
        ) from None


def along(maker: Maker, element: "Component") -> float:
    """Return where an element starts, mm from the start of its stack. Raises Unsettled."""
    lengths = []
    for other in maker.children(maker.parent(element)):
        if other.id == element.id:
            break
        if other.kind.name != "plate" or maker.word(other, "seat") == "cap":
            lengths.append(maker.number(other, "length"))
    return total(lengths)


def of_element(maker: Maker, element: "Component") -> Path:
    """Return the part of its stack's profile that an element takes up, begun anew at 0. Raises GeometryError."""
    stack = maker.parent(element)
    start = along(maker, element)
    with of_stack(maker, stack) as path:
        return stretch(path, start, start + maker.number(element, "length"))


# -- before solving ---------------------------------------------------------------------------------


def inputs(elaboration: "Elaboration", component: "Component") -> tuple[str, ...]:
    """Return the unknowns in the profile of a stack or dome."""
    return tuple(dict.fromkeys(unknowns_within(elaboration.value(component, "profile"))))


def look(elaboration: "Elaboration", component: "Component") -> None:
    """Report at once what is wrong with a profile that needs no solving."""
    value = elaboration.value(component, "profile")
    if not isinstance(value, ShapeOf) or inputs(elaboration, component):
        return
    try:
        drawn(Maker(elaboration.tree, elaboration.evaluator, {}, HABITS["knife"]), value)
    except Refusal as refused:
        elaboration.say(refused.code, str(refused), refused.span)
        elaboration.breaks(component, "profile")


def diameter(
    elaboration: "Elaboration", stack: "Component", before: Iterable["Component"], where: str
) -> Term:
    """Return the profile's diameter behind the elements `before`, as a term that is known once their lengths are."""
    lengths = [elaboration.unknown(element, "length").name for element in before]

    def found(maker: Maker) -> float:
        with of_stack(maker, stack) as path:
            return 2 * radius_at(path, total(maker.values[name] for name in lengths))

    return _term(elaboration, stack, where, lengths, found)


def rim(elaboration: "Elaboration", component: "Component", at_end: bool, where: str) -> Term:
    """Return the diameter at which a component's own profile starts or ends."""
    return _term(elaboration, component, where, (), lambda maker: 2 * of(maker, component).points[-at_end][1])


def length(elaboration: "Elaboration", component: "Component") -> Term:
    """Return how far a component's own profile runs along the axis."""

    def found(maker: Maker) -> float:
        points = of(maker, component).points
        return points[-1][0] - points[0][0]

    return _term(elaboration, component, "from its start to its end", (), found)


def _term(
    elaboration: "Elaboration",
    component: "Component",
    where: str,
    names: Iterable[str],
    found: Callable[[Maker], float],
) -> Term:
    """Return what is read off a component's profile; where that means nothing (reported elsewhere) nothing follows."""
    broken = f"{component.id}.profile"
    if broken in elaboration.broken:
        elaboration.register(broken, LENGTH, component.span)
        return Unknown(broken)

    return forward(
        elaboration,
        f"the profile of {component.id}, {where}",
        (*names, *inputs(elaboration, component)),
        found,
    )


def forward(
    elaboration: "Elaboration", text: str, names: tuple[str, ...], found: Callable[[Maker], float]
) -> Forward:
    """Return a term that is read off shapes once the names that it needs are known."""

    def compute(values: Mapping[str, float]) -> float:
        try:
            return found(Maker(elaboration.tree, elaboration.evaluator, values, HABITS["knife"]))
        except Unsettled as unsettled:
            raise GeometryError("not-known", f"{text} needs '{unsettled}', which nothing says") from None

    return Forward(text, names, compute)
