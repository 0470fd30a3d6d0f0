"""Lengths as they stand on sheets, in the unit that the model is read in."""

from ringwright.geometry.numbers import short
from ringwright.geometry.part import Stock

INCH = 25.4


def length_words(value: float, unit: str) -> str:
    """A length, mm, with its unit, as fine as a caliper reads: '4.8 mm', '0.189 in'. unit: 'mm' or 'in'."""
    return f"{short(value / INCH, 3)} in" if unit == "in" else f"{short(value, 1)} mm"


def bare_words(value: float, unit: str) -> str:
    """The same without 'mm', which are not named on a part."""
    return length_words(value, unit).removesuffix(" mm")


def stock_words(stock: Stock, unit: str) -> str:
    """A stock and how thick it was taken to be: 'board 4.8', 'ply 0.0625 in'."""
    return f"{stock.name} {thickness_words(stock, unit).removesuffix(' mm')}"


def thickness_words(stock: Stock, unit: str) -> str:
    """How thick a stock was taken to be, finer than other lengths: '0.38 mm', '0.0625 in'."""
    value = stock.thickness
    return f"{short(value / INCH, 4)} in" if unit == "in" else f"{short(value, 2)} mm"


def size_words(width: float, height: float, unit: str) -> str:
    """The size of a piece of stock, as it is bought: '420 × 170 mm', '16.5 × 6.7 in'."""
    shown = [short(side / INCH, 1) if unit == "in" else short(side, 0) for side in (width, height)]
    return f"{shown[0]} × {shown[1]} {unit}"
