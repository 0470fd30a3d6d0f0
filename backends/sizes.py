"""Lengths as they stand on sheets, in the unit that the model is read in."""

from ringwright.geometry.numbers import fixed, fraction_words, short
from ringwright.geometry.part import Stock

INCH = 25.4


NEAR = 0.02
"""A fraction of an inch that is off by more than this share of a length does not stand for it: a hole for a tube of 1/8
in is not 1/8 in."""
NEAR_THICK = 0.002
"""The same of a thickness, which was measured to tell it from what is printed on the sheet."""


def length_words(value: float, unit: str, fraction: int | None = None) -> str:
    """A length, mm, with its unit, as fine as a caliper reads: '4.8 mm', '0.189 in', '3/16 in'.

    unit: 'mm' or 'in'. fraction: inches are shown to the nearest 1/fraction, where that says what they are.
    """
    if unit != "in":
        return f"{short(value, 1)} mm"
    words = fraction_words(value / INCH, fraction, NEAR) if fraction else ""
    return f"{words or short(value / INCH, 3)} in"


def bare_words(value: float, unit: str, fraction: int | None = None) -> str:
    """The same without 'mm', which are not named on a part."""
    return length_words(value, unit, fraction).removesuffix(" mm")


def check_words(value: float, unit: str) -> str:
    """A length to be checked with a ruler, without its unit, always with as many decimals: '120.0', '4.72'."""
    return fixed(value / INCH, 2) if unit == "in" else fixed(value, 1)


def stock_words(stock: Stock, unit: str, fraction: int | None = None) -> str:
    """A stock and how thick it was taken to be: 'board 4.8', 'ply 0.0625 in', 'ply 1/16 in'."""
    return f"{stock.name} {thickness_words(stock, unit, fraction).removesuffix(' mm')}"


def thickness_words(stock: Stock, unit: str, fraction: int | None = None) -> str:
    """How thick a stock was taken to be, finer than other lengths: '0.38 mm', '0.0625 in', '1/16 in'."""
    value = stock.thickness
    if unit != "in":
        return f"{short(value, 2)} mm"
    words = fraction_words(value / INCH, fraction, NEAR_THICK) if fraction else ""
    return f"{words or short(value / INCH, 4)} in"


def size_words(width: float, height: float, unit: str) -> str:
    """The size of a piece of stock, as it is bought: '420 × 170 mm', '16.5 × 6.7 in'."""
    shown = [short(side / INCH, 1) if unit == "in" else short(side, 0) for side in (width, height)]
    return f"{shown[0]} × {shown[1]} {unit}"
