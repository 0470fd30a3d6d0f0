"""What is built as one: the parts of a component, and the assembly that they belong to."""

from collections.abc import Iterator, Mapping, Sequence
from typing import NamedTuple

from ringwright.geometry.part import Bent, Flat, Part, Vector
from ringwright.geometry.path import flattened
from ringwright.geometry.place import in_space
from ringwright.geometry.wrap.vector import cross, minus, times
from ringwright.lang.book import surfaces
from ringwright.lang.components.tree import Component, Tree
from ringwright.lang.kinds.element import neighbours, seat_of
from ringwright.lang.syntax import nodes

FUSELAGE = " fuselage"
"""The assembly of formers and skins: an id that no component can have."""
FORMERS = "formers"
"""The unit of all formers of a fuselage."""
TOUCH = 1.5
"""How near flat parts lie when they are taken to be joined, the gap of a hinge included, mm."""
LENGTHWISE = ("body", "floor", "side", "deck", "wrap")
"""Skins in the order in which they go on: what closes the body off comes last."""


class Unit(NamedTuple):
    """The parts of one component, or of all formers of a fuselage.

    id: of the component, or 'formers'. inside: ids of the units that it sits in, as a plate in a barrel. meets: ids of
    the components that it meets, those in `beside` with flat faces alone. low, high: corners
    of the box that it takes up, mm; None where it has no place.
    """

    id: str
    kind: str
    assembly: str
    parts: tuple[Part, ...]
    inside: tuple[str, ...]
    meets: frozenset[str]
    beside: frozenset[str]
    low: Vector | None
    high: Vector | None


def units_of(tree: Tree, parts: Sequence[Part]) -> tuple[Unit, ...]:
    """Return what is built as one, sorted by id."""
    owners: dict[str, list[Part]] = {}
    for part in parts:
        owners.setdefault(part.component, []).append(part)
    mates = {id: frozenset(_mates(id, own, owners)) for id, own in owners.items()}
    touching = {other for found in mates.values() for other in found}
    assemblies = {id: _assembly(tree.components[id], tree, mates[id], touching) for id in owners}
    groups: dict[str, list[str]] = {}
    for id in sorted(owners):
        of_body = tree.components[id].kind.name == "former" and assemblies[id] == FUSELAGE
        groups.setdefault(FORMERS if of_body else id, []).append(id)
    near = _against(owners)
    unit_of = {id: name for name, ids in groups.items() for id in ids}
    found: list[Unit] = []
    for name, ids in sorted(groups.items()):
        own = tuple(part for id in ids for part in sorted(owners[id], key=lambda part: part.id))
        kind = tree.components[ids[0]].kind.name
        inside = tuple(sorted({unit_of[host] for id in ids for host in _hosts(tree, id) if host in unit_of}))
        met = {other for id in ids for other in mates[id]} | {id for id in owners if mates[id] & set(ids)}
        against = {other for id in ids for other in near[id]} - met
        unit = Unit(
            name, kind, assemblies[ids[0]], own, inside, frozenset(met - set(ids)), frozenset(against - set(ids)),
            *box_of(own),
        )  # fmt: skip
        found += _surface(tree, unit) if kind in surfaces.KINDS else [unit]
    return tuple(sorted(found, key=lambda unit: unit.id))


def _surface(tree: Tree, whole: Unit) -> Iterator[Unit]:
    """Yield what of a wing, a tail or a fin is built as one; all of it meets all else of it."""
    for id, (kind, parts) in surfaces.split(tree, whole.id, whole.parts).items():
        meets = whole.meets | {whole.id}
        yield Unit(id, kind, whole.assembly, tuple(parts), (), meets, whole.beside, *box_of(parts))


def box_of(parts: Sequence[Part]) -> tuple[Vector | None, Vector | None]:
    """Return the corners of the box that parts take up where they have a place, mm."""
    corners = [corner for part in parts for corner in _corners(part)]
    if not corners:
        return None, None
    low, high = (tuple(choose(c[axis] for c in corners) for axis in range(3)) for choose in (min, max))
    return (low[0], low[1], low[2]), (high[0], high[1], high[2])


def _corners(part: Part) -> Iterator[Vector]:
    if isinstance(part.placement, Bent):
        yield from (corner for facet in part.placement.facets for corner in facet.space)
    elif part.placement is not None:
        for point in flattened(part.outline, 0.1):
            yield in_space(part.placement, point)
    if isinstance(part.placement, Flat):
        through = times(cross(part.placement.u, part.placement.v), part.stock.thickness)
        for point in part.outline.points:
            yield minus(in_space(part.placement, point), through)


def _against(owners: Mapping[str, Sequence[Part]]) -> dict[str, set[str]]:
    """Return which components with flat parts lie against one another, by the boxes that these take up."""
    boxes = [
        (id, low, high)
        for id, own in sorted(owners.items())
        for low, high in (box_of((part,)) for part in own if isinstance(part.placement, Flat))
        if low is not None and high is not None
    ]
    found: dict[str, set[str]] = {id: set() for id in owners}
    for i, (one, low, high) in enumerate(boxes):
        for other, base, top in boxes[i + 1 :]:
            if one != other and all(
                a - TOUCH <= d and c - TOUCH <= b for a, b, c, d in zip(low, high, base, top, strict=True)
            ):
                found[one].add(other)
                found[other].add(one)
    return found


def _mates(id: str, own: Sequence[Part], owners: Mapping[str, Sequence[Part]]) -> Iterator[str]:
    """Yield the components that the edges of a component's parts meet; a mate is named as near as can be."""
    for part in own:
        for edge in part.edges:
            if edge.mate:
                found = _owner(edge.mate, id, owners)
                if found and found != id:
                    yield found


def _owner(mate: str, id: str, owners: Mapping[str, Sequence[Part]]) -> str:
    """Return the component that a mate is, named as it stands seen from another: near it, or wherever there is but one."""
    names = [mate]
    while "." in names[-1]:
        names.append(names[-1].rpartition(".")[0])
    place = id
    while place:
        place = place.rpartition(".")[0]
        for name in names:
            if (found := f"{place}.{name}" if place else name) in owners:
                return found
    for name in names:
        elsewhere = [owner for owner in owners if owner.endswith(f".{name}")]
        if len(elsewhere) == 1:
            return elsewhere[0]
    return ""


def _assembly(component: Component, tree: Tree, mates: frozenset[str], touching: set[str]) -> str:
    """Return the outermost component that one belongs to, or the fuselage, which has no component of its own."""
    kind = component.kind.name
    if kind in ("former", *LENGTHWISE[1:]) and (
        kind == "former" or mates or component.id in touching or kind != "wrap"
    ):
        return FUSELAGE
    outer = component
    while outer.parent in tree.components:
        outer = tree.components[outer.parent]
    return outer.id


def _hosts(tree: Tree, id: str) -> tuple[str, ...]:
    """Return the rings that a plate sits in; none where it is no plate, or caps its stack."""
    component = tree.components[id]
    if component.kind.name != "plate":
        return ()
    seat = _word(component, "seat")
    if seat == "straddle":
        return tuple(each.id for each in neighbours(tree, component) if each is not None)
    if seat != "inside":
        return ()
    named = _word(component, "within")
    host, _ = seat_of(tree, component, f"{component.parent}.{named}" if named else "")
    return () if host is None else (host.id,)


def _word(component: Component, name: str) -> str:
    """Return a word or name that a property is given in the text, '' where it is not."""
    property = component.properties.get(name)
    value = None if property is None else property.value
    return value.parts[-1] if isinstance(value, nodes.Name) else ""
