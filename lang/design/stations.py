"""Sections of a table of offsets, drawn at a place once the design is solved."""

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING

from ringwright.geometry.breadths import NEEDS, OVAL, Sizes, section_outline
from ringwright.geometry.errors import GeometryError
from ringwright.geometry.path import Path, Point
from ringwright.lang.components.table import LINES
from ringwright.lang.values.offsets import traced
from ringwright.lang.values.value import Amount, Items, TableLine, Value, Word

if TYPE_CHECKING:
    from ringwright.lang.design.making import Maker


def drawn_section(maker: "Maker", arguments: Sequence[Value | None]) -> Path:
    """Return the outline that `values/sections.py` describes by its arguments. Raises GeometryError, Unsettled.

    A line that has ended there is not there, unless the shape cannot do without it.
    """
    shape, *lines, power, listed = arguments
    assert isinstance(shape, Word)
    assert isinstance(listed, Items)
    known: dict[str, float] = {}
    for name, value in zip(LINES, lines, strict=True):
        if value is None:
            continue
        try:
            known[name] = maker.amount(value)
        except GeometryError as error:
            if error.code != "off-the-line" or name in NEEDS[shape.name]:
                raise
    points = [_point(maker, item) for item in listed.items if isinstance(item, Items)]
    return section_outline(
        shape.name,
        Sizes(
            known.get("half"),
            known.get("top"),
            known.get("bottom"),
            known.get("half_bottom"),
            tuple(point for point in points if point is not None),
        ),
        maker.amount(power) if isinstance(power, Amount) else OVAL,
    )


def _point(maker: "Maker", item: Items) -> Point | None:
    """Return where a line of one's own passes; None where it has ended."""
    try:
        return maker.amount(item.items[0]), maker.amount(item.items[1])
    except GeometryError as error:
        if error.code != "off-the-line":
            raise
        return None


def reach(maker: "Maker", line: TableLine) -> tuple[float, float]:
    """Return from where to where a line of the offsets was measured, mm. Raises Unsettled."""
    places = [[maker.known(x) for x, _ in points] for points in line[1:] if points]
    return max(min(of) for of in places), min(max(of) for of in places)


def line_in_space(maker: "Maker", line: TableLine) -> Callable[[float], Point]:
    """Return the half breadth and the height of a line of the offsets at each place along x, mm. Raises Unsettled.

    What it returns raises GeometryError 'off-the-line' where the line has ended.
    """
    half, height = ([(maker.known(x), maker.known(value)) for x, value in points] for points in line[1:])
    across = traced(line.name, half) if half else None
    up = traced(line.name, height)
    return lambda x: (0.0 if across is None else across(x), up(x))
