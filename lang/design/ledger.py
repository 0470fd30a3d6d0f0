"""All that weighs something, each with its mass as a term of what was given, and where it lies."""

from collections.abc import Iterable, Iterator, Sequence
from typing import NamedTuple, TypeAlias

from ringwright.geometry.errors import GeometryError
from ringwright.geometry.numbers import total
from ringwright.geometry.part import Part, Vector
from ringwright.lang.components.tree import Component, Tree
from ringwright.lang.design.hands import hands_of
from ringwright.lang.design.making import Maker, Unsettled
from ringwright.lang.kinds.load import along_across_up, mass_of
from ringwright.lang.solve.algebra import add, divide, multiply, negate
from ringwright.lang.solve.terms import Constant, Term, Unknown
from ringwright.lang.units import AREAL_MASS, LINEAR_MASS
from ringwright.lang.values.value import Amount, Pair, Value, named

Shares: TypeAlias = tuple[tuple[Term, float], ...]
"""A mass as a sum: each term is taken so many times."""


class Entry(NamedTuple):
    """Something that weighs.

    name: the part's id, or that of the load or allowance. owner: id of the component. sort: 'part', 'strip', 'load',
    'allowance' or 'ballast'. stock: what it is cut from, '' for what is not cut. mass: g, of all copies. at: its middle, mm; None
    where it has no place. shares: the mass as a sum. place: its x, y and z as terms, where they are more than numbers.
    part: whose form it has. size: of a load, mm. slides: of what slides, the ends of its range along x as terms; rail:
    its y and its z at both.
    """

    name: str
    owner: str
    sort: str
    stock: str
    mass: float
    at: Vector | None
    shares: Shares
    place: tuple[Term, Term, Term] | None = None
    part: Part | None = None
    size: Vector | None = None
    slides: tuple[Term, Term] | None = None
    rail: tuple[tuple[Term, Term], tuple[Term, Term]] | None = None


def ledger(tree: Tree, maker: Maker, parts: Sequence[Part]) -> tuple[Entry, ...]:
    """Return all that weighs: parts by their stock, loads and bought parts, allowances. What slides has no place yet.

    Parts of a stock without a mass are left out; so is what has an error, which has been reported.
    """
    found = [entry for part in parts if (entry := _of_part(maker, part)) is not None]
    for component in tree.components.values():
        try:
            if component.kind.name in ("load", "buy"):
                found.extend(_of_load(maker, component))
            elif component.kind.name == "piece":
                found.extend(_of_piece(maker, component))
            elif component.kind.name == "allowance":
                found.extend(_of_allowance(maker, component, parts))
        except Unsettled:
            continue
    return tuple(found)


# -- parts ----------------------------------------------------------------------------------------


def _of_part(maker: Maker, part: Part) -> Entry | None:
    one = part.properties
    if one.mass is None:
        return None
    mass = one.mass * part.quantity
    shares = tuple(_shares(maker, part, mass)) if mass else ()
    return Entry(part.id, part.component, "part", part.stock.name, mass, one.centroid, shares, part=part)


def _shares(maker: Maker, part: Part, mass: float) -> Iterator[tuple[Term, float]]:
    """Yield what makes up the mass of all copies of a part: its weighing, or areas of sheet and of bare paper."""
    weighed = weighed_by(maker, part)
    if weighed is not None:
        name = f"{weighed.id}.weighed"
        yield Unknown(name), mass / maker.values[name]
        return
    stock = maker.tree.components[part.stock.name]
    sheet, facing = part.stock.areal_mass, part.stock.facing_mass
    if not sheet:
        yield Constant(mass), 1.0
        return
    # What was peeled weighs one paper face, and where a paper was taken off, one less.
    area, paper = mass / sheet, part.properties.paper * part.quantity
    if facing and paper:
        area -= facing * paper / sheet
        yield Unknown(f"{stock.id}.facing_mass"), paper
    yield _areal_mass(stock, part), area


def _areal_mass(stock: Component, part: Part) -> Term:
    """Return the mass per area of a stock as a term of what it was given."""
    if "mass" in stock.properties:
        return Unknown(f"{stock.id}.mass")
    if "density" in stock.properties:
        return multiply(Unknown(f"{stock.id}.density"), Unknown(f"{stock.id}.thickness"))
    return divide(Unknown(f"{stock.id}.sheet_mass"), Constant(part.stock.width * part.stock.height))


def weighed_by(maker: Maker, part: Part) -> Component | None:
    """Return what was weighed of a part: the outermost of what it belongs to; None where nothing was."""
    found = None
    current: Component | None = maker.tree.components[part.component]
    while current is not None:
        if maker.values.get(f"{current.id}.weighed"):
            found = current
        current = maker.tree.components.get(current.parent)
    return found


def as_weighed(maker: Maker, owner: Component, parts: Sequence[Part]) -> tuple[Part, ...]:
    """Return the parts of a component, their masses drawn to what the scale says of one of it."""
    weighed = maker.values.get(f"{owner.id}.weighed")
    if weighed is None or not parts:
        return tuple(parts)
    one = [part for part in parts if part.hand == parts[0].hand]
    copies = min(part.quantity for part in one)
    if owner.kind.name == "stack":
        copies = maker.count(owner, "quantity") or 1

    def size(part: Part) -> float:
        return part.properties.area if part.properties.mass is None else part.properties.mass

    whole = total(size(part) * part.quantity for part in one) / copies
    return tuple(
        part._replace(properties=part.properties._replace(mass=size(part) * weighed / whole))
        for part in parts
    )


def stacks_as_weighed(tree: Tree, maker: Maker, parts: Sequence[Part]) -> list[Part]:
    """Return all parts, those of stacks that were weighed as a whole drawn to that."""
    found = list(parts)
    for component in tree.components.values():
        if component.kind.name == "stack" and "weighed" in component.properties:
            inside = [number for number, part in enumerate(found) if _is_of(part, component.id)]
            drawn = as_weighed(maker, component, [found[number] for number in inside])
            for number, part in zip(inside, drawn, strict=True):
                found[number] = part
    return found


def _is_of(part: Part, id: str) -> bool:
    """Whether a part is cut from that stock, or belongs to that component."""
    return id in (part.component, part.stock.name) or part.component.startswith(id + ".")


# -- loads and allowances ---------------------------------------------------------------------------


def _of_load(maker: Maker, component: Component) -> Iterator[Entry]:
    """Yield a load or a bought part that weighs something: once, or for either hand."""
    mass = mass_of(component)
    if mass.name not in maker.values:
        return
    copies = maker.count(component, "quantity" if component.kind.name == "load" else "count") or 1
    entry = Entry(
        component.id, component.id, "load", "", maker.values[mass.name] * copies, None, ((mass, float(copies)),),
        size=_box(maker, component),
    )  # fmt: skip
    at = maker.value(component, "at")
    if isinstance(at, Pair):
        (x0, y0, z0), (x1, y1, z1) = (_terms(end) for end in (at.first, at.second))
        yield entry._replace(slides=(x0, x1), rail=((y0, y1), (z0, z1)))
        return
    if at is None:
        yield entry
        return
    x, y, z = (maker.number(component, name) for name in ("x", "y", "z"))
    along, across, up = (Unknown(f"{component.id}.{name}") for name in ("x", "y", "z"))
    entry = entry._replace(at=(x, y, z), place=(along, across, up))
    if "both" in hands_of(maker, component.id):
        yield entry._replace(name=f"{component.id}.right")
        yield entry._replace(name=f"{component.id}.left", at=(x, -y, z), place=(along, negate(across), up))
    else:
        yield entry


def _terms(end: Value) -> tuple[Term, Term, Term]:
    """Return the place of one end of a range."""
    found = along_across_up(end)
    assert found is not None
    return found


def _of_piece(maker: Maker, piece: Component) -> Iterator[Entry]:
    """Yield what a piece of strip weighs, for either hand."""
    from ringwright.lang.kinds import strips

    strip = maker.tree.components[piece.parent]
    try:
        course, by = strips.course_of(maker, piece), strips.density(maker, strip)
    except GeometryError:
        return  # reported where it is made
    if by is None:
        return
    name, times = f"{strip.id}.{by[0]}", by[1] * course.long * (maker.count(piece, "quantity") or 1)
    found = strips.hands(maker, piece, course)
    entry = Entry(
        piece.id, piece.id, "strip", strip.id, maker.values[name] * times, course.at, ((Unknown(name), times),),
        size=course.size,
    )  # fmt: skip
    if course.at is None:
        times *= len(found)
        yield entry._replace(mass=entry.mass * len(found), shares=((Unknown(name), times),))
        return
    x, y, z = course.at
    for side in found:
        hand = "" if len(found) == 1 else ".right" if side * y > 0 else ".left"
        yield entry._replace(name=piece.id + hand, at=(x, side * y, z))


def _box(maker: Maker, component: Component) -> Vector | None:
    size = maker.point(component, "size") if component.kind.name == "load" else None
    return None if size is None else (size[0], size[1], size[2])


def _of_allowance(maker: Maker, component: Component, parts: Sequence[Part]) -> Iterator[Entry]:
    """Yield the share of an allowance that goes on each part."""
    value, term = maker.value(component, "mass"), Unknown(f"{component.id}.mass")
    if not isinstance(value, Amount):
        raise Unsettled(term.name)
    mass = maker.number(component, "mass")
    wanted = named(maker.value(component, "on"))
    on = [part for part in parts if not wanted or any(_is_of(part, id) for id in wanted)]
    sizes = [_size(maker, component, value, part) for part in on]
    if value.dimension not in (AREAL_MASS, LINEAR_MASS):
        whole = total(sizes)
        sizes = [size / whole for size in sizes]
    for part, size in zip(on, sizes, strict=True):
        if size:
            yield Entry(
                component.id, component.id, "allowance", "", mass * size, part.properties.centroid,
                ((term, size),), part=part,
            )  # fmt: skip


def _size(maker: Maker, component: Component, mass: Amount, part: Part) -> float:
    """Return the area, mm2, or the length of edges, mm, on which an allowance goes, of all copies of a part."""
    if mass.dimension != LINEAR_MASS:
        return part.properties.area * part.quantity * (maker.count(component, "faces") or 1)
    along = maker.word(component, "along")
    lengths = []
    for edge in part.edges:
        if along == "edges" or edge.name == "seam":
            lengths.append(edge.length)
        elif along == "joints" and edge.mate:
            lengths.append(edge.length / 2)  # the other half is the other part's
    return total(lengths) * part.quantity


# -- sums -----------------------------------------------------------------------------------------


def weight_of(entries: Sequence[Entry]) -> float:
    """Return what entries weigh together, g."""
    return total(entry.mass for entry in entries)


def moment_of(entries: Sequence[Entry], axis: int) -> float:
    """Return the moment of entries with a place about an axis' origin, g mm."""
    return total(entry.mass * entry.at[axis] for entry in entries if entry.at is not None)


def mass_term(entries: Sequence[Entry]) -> Term:
    """Return what entries weigh together as a term: each stock and load once."""
    return _summed((term, times) for entry in entries for term, times in entry.shares)


def moment_term(entries: Sequence[Entry], axis: int) -> Term:
    """Return the moment of entries with a place as a term."""
    numbers, terms = [], []
    for entry in entries:
        if entry.at is None:
            continue
        if entry.place is None:
            numbers += [(term, times * entry.at[axis]) for term, times in entry.shares]
        else:
            terms.append(multiply(mass_term((entry,)), entry.place[axis]))
    return add(_summed(numbers), *terms)


def _summed(shares: Iterable[tuple[Term, float]]) -> Term:
    times: dict[Term, list[float]] = {}
    for term, number in shares:
        times.setdefault(term, []).append(number)
    return add(*(multiply(Constant(total(numbers)), term) for term, numbers in times.items()))
