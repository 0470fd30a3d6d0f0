"""A fit gauge: for each stock a comb with slots a little narrower to a little wider than it is thick, and strips to bend.

Cut from the stock itself, it tells which fit a slot needs and how tight a bend the stock takes: two numbers that
differ from one delivery to the next.
"""

import math
from collections.abc import Iterator

from ringwright.backends.drawing import WIDE, Group, Item, Stroke, lettering
from ringwright.backends.part_lines import arrow
from ringwright.backends.record import BuildRecord
from ringwright.backends.sheet import Content
from ringwright.backends.waste import Waste
from ringwright.geometry.numbers import short
from ringwright.geometry.part import Sheet, Stock
from ringwright.geometry.path import Point, canonical, closed, line

FITS = (-0.2, -0.1, 0.0, 0.1, 0.2, 0.3, 0.4)
"""What the slots are wider than the stock, mm."""

_EDGE = 10.0
_DEEP, _HIGH = 20.0, 46.0
_STRIP_LONG, _STRIP_HIGH = 200.0, 20.0
_BETWEEN = 24.0
_GAP = 8.0
_LEAST_HIGH = 140.0

_SLOTS = "fit of a slot and its width, mm: push an edge of the stock in, and write the fit that holds into the spec"
_BEND = (
    "bend it round jars and tubes, a tighter one each time: the last radius without a crease is min_radius"
)


def gauges(record: BuildRecord) -> tuple[BuildRecord, tuple[Content, ...]]:
    """A record of small sheets, one of each stock that is cut, with a comb and strips on each, drawn like any other."""
    stocks = {sheet.stock.name: sheet.stock for sheet in record.sheets}
    sheets, contents = [], []
    for name in sorted(stocks):
        sheet, content = _gauge(stocks[name])
        sheets.append(sheet)
        contents.append(content)
    title = f"{record.model.called}: fit gauge"
    return record._replace(model=record.model._replace(title=title), sheets=tuple(sheets)), tuple(contents)


def _gauge(stock: Stock) -> tuple[Sheet, Content]:
    strips = _strips(stock)
    wide = max(_comb_width(stock), _STRIP_LONG) + 2 * _EDGE
    high = max(_LEAST_HIGH, 2 * _EDGE + _HIGH + len(strips) * (_STRIP_HIGH + _GAP))
    groups = [_comb(stock, (_EDGE, high - _EDGE - _HIGH))]
    for number, strip in enumerate(strips):
        groups.append(_strip(stock, strip, number, (_EDGE, _EDGE + number * (_STRIP_HIGH + _GAP))))
    key = ((f"+0.1, {short(stock.thickness + 0.1, 2)}", _SLOTS), ("strip", _BEND))
    small = stock._replace(width=wide, height=high)
    cut = [
        item.path
        for group in groups
        for item in group.items
        if isinstance(item, Stroke) and item.layer == "cut"
    ]
    waste = Waste(wide, high, [(path,) for path in cut], ())
    return Sheet(small, 1, (), 0.0), Content(tuple(groups), key, waste)


def _pitch(stock: Stock) -> float:
    return _BETWEEN + stock.thickness


def _comb_width(stock: Stock) -> float:
    return len(FITS) * _pitch(stock) + _BETWEEN / 2


def _comb(stock: Stock, at: Point) -> Group:
    """The comb: slots from its upper edge, each with its fit and its width below it."""
    x, y = at
    pitch, high = _pitch(stock), y + _HIGH
    points = [(x, y), (x + _comb_width(stock), y), (x + _comb_width(stock), high)]
    items: list[Item] = []
    for number, fit in reversed(list(enumerate(FITS))):
        middle = x + _BETWEEN / 4 + (number + 0.5) * pitch
        half = max(stock.thickness + fit, 0.05) / 2
        points += [
            (middle + half, high),
            (middle + half, high - _DEEP),
            (middle - half, high - _DEEP),
            (middle - half, high),
        ]
        sign = "+" if fit > 0 else "−" if fit < 0 else ""
        items.append(
            lettering("text", (middle, high - _DEEP - 6.5), f"{sign}{short(abs(fit), 1)}", 3.5, 0.0, "middle")
        )
        width = short(2 * half, 2)
        items.append(lettering("text", (middle, high - _DEEP - 11.5), width, 2.5, 0.0, "middle"))
    points.append((x, high))
    words = f"{stock.name} {short(stock.thickness, 2)} · fit gauge"
    items.append(lettering("text", (x + 5.0, y + 4.0), words, 3.5))
    title = f"fit gauge of {stock.name}"
    return Group("part-gauge-1", title, words, (Stroke("cut", canonical(closed(points)), WIDE), *items))


def _strips(stock: Stock) -> tuple[str, ...]:
    """Ways to bend the stock that differ: along and across its grain, with and without its inner paper."""
    if stock.grain != "none":
        return "along the grain", "across the grain"
    return ("as bought", "inner paper peeled") if stock.bend == "peeled" else ("as bought",)


def _strip(stock: Stock, along: str, number: int, at: Point) -> Group:
    """A strip to bend; an arrow shows which way the grain must run."""
    x, y = at
    outline = canonical(
        closed([(x, y), (x + _STRIP_LONG, y), (x + _STRIP_LONG, y + _STRIP_HIGH), (x, y + _STRIP_HIGH)])
    )
    words = f"{stock.name} {short(stock.thickness, 2)} · strip to bend, {along}"
    items: list[Item] = [lettering("text", (x + 5.0, y + _STRIP_HIGH / 2 - 1.75), words, 3.5)]
    if along.endswith("grain"):
        turn = 0.0 if along.startswith("along") else math.pi / 2
        items += _grain(turn, (x + _STRIP_LONG - 20.0, y + _STRIP_HIGH / 2))
    return Group(f"part-strip-{number + 1}", words, words, (Stroke("cut", outline, WIDE), *items))


def _grain(turn: float, at: Point) -> Iterator[Item]:
    """A double-headed arrow about a point, turned by `turn` rad."""
    u, v = 7.0 * math.cos(turn), 7.0 * math.sin(turn)
    tail, tip = (at[0] - u, at[1] - v), (at[0] + u, at[1] + v)
    yield from arrow(line([tail, tip]))
    yield from arrow(line([tip, tail]))[1:]
