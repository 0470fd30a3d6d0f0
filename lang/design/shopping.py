"""What is bought for a model and what it costs, by the price of a sheet or of a piece."""

from typing import NamedTuple

from ringwright.geometry.errors import GeometryError
from ringwright.geometry.lengths import Bar
from ringwright.geometry.part import Vector
from ringwright.lang.components.tree import Component, Tree
from ringwright.lang.design.making import Maker, Unsettled
from ringwright.lang.values.value import Amount


class Bought(NamedTuple):
    """Something to buy.

    id: of a stock or a `buy`. title: what to ask for. count: how many pieces; of sheets the layout says. price: of one;
    None where it is not said. currency: its ISO 4217 code, '' without a price. bars: of strip, how each length is cut.
    sizes: the thickness of sheet; the section of strip, width and height, and how long it is; else (), mm.
    """

    id: str
    title: str
    sheet: bool
    count: int  # type: ignore[assignment]
    price: float | None
    currency: str
    bars: tuple[Bar, ...] = ()
    sizes: tuple[float, ...] = ()


def shopping(tree: Tree, maker: Maker) -> tuple[Bought, ...]:
    """Return stocks and bought parts, in the order of the text."""
    found = []
    for component in tree.components.values():
        sheet = component.kind.name == "stock"
        if component.kind.name not in ("stock", "strip", "buy"):
            continue
        try:
            value = maker.value(component, "price")
            price = maker.amount(value) if isinstance(value, Amount) else None
            currency = value.dimension.currency if isinstance(value, Amount) else ""
            cut = _bars(maker, component)
            count = (
                len(cut)
                if component.kind.name == "strip"
                else 0
                if sheet
                else maker.count(component, "count") or 1
            )
            sizes = _sizes(maker, component)
            title = maker.text(component, "title") or component.name
        except (Unsettled, GeometryError):
            continue
        found.append(Bought(component.id, title, sheet, count, price, currency, cut, sizes))
    return tuple(found)


def _bars(maker: Maker, component: Component) -> tuple[Bar, ...]:
    """Return how the pieces of a strip are cut from the lengths that are bought."""
    if component.kind.name != "strip":
        return ()
    from ringwright.lang.kinds.strips import cut_list

    return cut_list(maker, component)


def _sizes(maker: Maker, component: Component) -> tuple[float, ...]:
    if component.kind.name == "strip":
        return (*maker.size(component, "section"), maker.number(component, "length"))
    return (maker.number(component, "thickness"),) if component.kind.name == "stock" else ()


class Piece(NamedTuple):
    """A piece of strip. id: its component's. strip: what it is cut from. long, section: mm. mass: g of one, None where unknown.

    bars: the lengths, by number from 1, that copies are cut from. runs: of each hand the places along its middle, mm; ()
    where nothing says where it lies. is_bent: it lies along a line.
    """

    id: str
    strip: str
    quantity: int
    long: float
    section: tuple[float, float]
    mass: float | None
    bars: tuple[int, ...]
    runs: tuple[tuple[Vector, ...], ...] = ()
    is_bent: bool = False


def pieces(tree: Tree, maker: Maker) -> tuple[Piece, ...]:
    """Return the pieces of all strips, sorted by id."""
    found = []
    for strip in tree.components.values():
        if strip.kind.name != "strip":
            continue
        from ringwright.lang.kinds import strips

        try:
            cut, section, by = (
                strips.cut_list(maker, strip),
                maker.size(strip, "section"),
                strips.density(maker, strip),
            )
            for piece in maker.children(strip, "piece"):
                course = strips.course_of(maker, piece)
                mass = None if by is None else maker.number(strip, by[0]) * by[1] * course.long
                own = tuple(
                    n for n, bar in enumerate(cut, 1) if any(name == piece.name for name, _ in bar.pieces)
                )
                quantity = strips.copies(maker, piece, course)
                runs = tuple(
                    tuple((x, hand * y, z) for x, y, z in course.spots)
                    for hand in strips.hands(maker, piece, course)
                    if course.spots
                )
                is_bent = "along" in piece.properties
                found.append(
                    Piece(piece.id, strip.id, quantity, course.long, section, mass, own, runs, is_bent)
                )
        except (Unsettled, GeometryError):
            continue  # reported where it is made
    return tuple(sorted(found))
