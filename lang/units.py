"""The one table of units, the dimensions that they measure, and how a quantity is shown to people.

Inside, lengths are in mm, angles in rad and masses in g. Factors follow from definitions: the inch is 25.4
mm and the pound 453.59237 g exactly (NIST SP 811, appendix B.8; international yard and pound agreement of
1959), the ounce a sixteenth of the pound, a degree pi/180.
"""

import math
from collections.abc import Mapping
from typing import NamedTuple

from ringwright.geometry.numbers import fixed, fraction_words, short


class Dimension(NamedTuple):
    """What a number measures, as powers of the base units mm, g, rad and of one currency.

    currency: its ISO 4217 code where money is not 0, else ''. An area is `Dimension(length=2)`.
    """

    length: float = 0
    mass: float = 0
    angle: float = 0
    money: float = 0
    currency: str = ""


class Unit(NamedTuple):
    """A unit as it is written: one of it is `factor` in mm, g and rad."""

    name: str
    dimension: Dimension
    factor: float


NUMBER = Dimension()
LENGTH = Dimension(length=1)
AREA = Dimension(length=2)
VOLUME = Dimension(length=3)
ANGLE = Dimension(angle=1)
MASS = Dimension(mass=1)
LINEAR_MASS = Dimension(length=-1, mass=1)
AREAL_MASS = Dimension(length=-2, mass=1)
DENSITY = Dimension(length=-3, mass=1)
MOMENT = Dimension(length=1, mass=1)

_IN, _FT, _YD = 25.4, 304.8, 914.4
_LB = 453.59237
_OZ = _LB / 16

UNITS: Mapping[str, Unit] = {
    name: Unit(name, dimension, factor)
    for name, dimension, factor in (
        ("mm", LENGTH, 1.0),
        ("cm", LENGTH, 10.0),
        ("m", LENGTH, 1000.0),
        ("in", LENGTH, _IN),
        ("ft", LENGTH, _FT),
        ("deg", ANGLE, math.pi / 180),
        ("°", ANGLE, math.pi / 180),
        ("rad", ANGLE, 1.0),
        ("g", MASS, 1.0),
        ("kg", MASS, 1000.0),
        ("oz", MASS, _OZ),
        ("lb", MASS, _LB),
        ("mm2", AREA, 1.0),
        ("cm2", AREA, 100.0),
        ("dm2", AREA, 10_000.0),
        ("m2", AREA, 1e6),
        ("in2", AREA, _IN * _IN),
        ("ft2", AREA, _FT * _FT),
        ("g/m2", AREAL_MASS, 1 / 1e6),
        ("g/dm2", AREAL_MASS, 1 / 10_000),
        ("kg/m2", AREAL_MASS, 1000 / 1e6),
        ("oz/in2", AREAL_MASS, _OZ / (_IN * _IN)),
        ("oz/ft2", AREAL_MASS, _OZ / (_FT * _FT)),
        ("oz/yd2", AREAL_MASS, _OZ / (_YD * _YD)),
        ("g/m", LINEAR_MASS, 1 / 1000),
        ("g/cm", LINEAR_MASS, 1 / 10),
        ("kg/m3", DENSITY, 1000 / 1e9),
        ("g/cm3", DENSITY, 1 / 1000),
        ("lb/ft3", DENSITY, _LB / (_FT * _FT * _FT)),
        ("%", NUMBER, 0.01),
    )
}

_NAMES: Mapping[Dimension, str] = {
    NUMBER: "number",
    LENGTH: "length",
    AREA: "area",
    VOLUME: "volume",
    ANGLE: "angle",
    MASS: "mass",
    LINEAR_MASS: "mass per length",
    AREAL_MASS: "areal mass",
    DENSITY: "density",
    MOMENT: "moment",
}


def money(currency: str) -> Dimension:
    """Return the dimension of sums in one currency (ISO 4217 code); they are added, never converted."""
    return Dimension(money=1, currency=currency)


def find_unit(name: str) -> Unit | None:
    """Return the unit of that name, a currency's code included, or None where there is none."""
    if name in UNITS:
        return UNITS[name]
    if len(name) == 3 and name.isascii() and name.isalpha() and name.isupper():
        return Unit(name, money(name), 1.0)
    return None


def multiply(left: Dimension, right: Dimension) -> Dimension:
    """Return the dimension of a product."""
    worth = left.money + right.money
    currencies = dict.fromkeys(code for code in (left.currency, right.currency) if code)
    return Dimension(
        left.length + right.length,
        left.mass + right.mass,
        left.angle + right.angle,
        worth,
        "·".join(currencies) if worth or len(currencies) > 1 else "",
    )


def divide(left: Dimension, right: Dimension) -> Dimension:
    """Return the dimension of a quotient."""
    return multiply(left, power(right, -1))


def power(base: Dimension, exponent: float) -> Dimension:
    """Return the dimension of a power; an exponent of one third undoes a cube exactly."""
    length, mass, angle, worth = (round(part * exponent, 9) for part in base[:4])
    return Dimension(length, mass, angle, worth, base.currency if worth else "")


def with_article(words: str) -> str:
    """Return words with their article: 'a length', 'an angle'."""
    return f"{'an' if words[0] in 'aeio' else 'a'} {words}"


def name(dimension: Dimension) -> str:
    """Return what a builder calls it: 'length', 'areal mass', 'money in EUR'; else its units, as 'mm^4·g'."""
    if dimension in _NAMES:
        return _NAMES[dimension]
    if dimension == money(dimension.currency):
        return f"money in {dimension.currency}"
    parts = zip(("mm", "g", "rad", dimension.currency or "money"), dimension[:4], strict=True)
    return "·".join(base if power == 1 else f"{base}^{power:g}" for base, power in parts if power)


def display(value: float, dimension: Dimension, system: str = "mm", fraction: int | None = None) -> str:
    """Return a quantity for people: '30.6 mm', '12.656°', '34.2 g', '1 3/16 in'.

    value: in mm, rad, g and their powers; not finite raises GeometryError. system: 'mm' or 'in', for
    lengths and areas. fraction: with 'in', show lengths to the nearest 1/fraction of an inch, where that is near
    enough to say anything.
    """
    if system == "in" and dimension == LENGTH and fraction:
        words = fraction_words(value / _IN, fraction, _NEAR)
        if words:
            return f"{words} in"
    shown = _SHOWN_IN_INCHES.get(dimension) if system == "in" else None
    shown = shown or _SHOWN.get(dimension)
    if shown:
        unit, scale, decimals = shown
        return f"{short(value / scale, decimals)}{'' if unit == '°' else ' '}{unit}"
    if dimension == NUMBER:
        return short(value, 6)
    if dimension == money(dimension.currency):
        return f"{fixed(value, 2)} {dimension.currency}"
    return f"{short(value, 6)} {name(dimension)}"


def on_sheet(value: float, system: str = "mm", fraction: int | None = None) -> str:
    """Return a length, mm, as it is lettered on a part, as fine as a ruler is read: '2.2 mm', '0.087 in', '3/32 in'."""
    if system != "in":
        return f"{short(value, 1)} mm"
    words = fraction_words(value / _IN, fraction, _NEAR_ON_SHEET) if fraction else ""
    return f"{words or short(value / _IN, 3)} in"


def shown_in(dimension: Dimension, system: str = "mm") -> Unit:
    """Return the unit in which `display` shows a dimension; '' is the name of that of bare numbers."""
    shown = _SHOWN_IN_INCHES.get(dimension) if system == "in" else None
    shown = shown or _SHOWN.get(dimension)
    if shown:
        return Unit(shown[0], dimension, shown[1])
    return Unit(dimension.currency or ("" if dimension == NUMBER else name(dimension)), dimension, 1.0)


_SHOWN: Mapping[Dimension, tuple[str, float, int]] = {
    LENGTH: ("mm", 1.0, 3),
    AREA: ("cm2", 100.0, 2),
    VOLUME: ("cm3", 1000.0, 2),
    ANGLE: ("°", math.pi / 180, 3),
    MASS: ("g", 1.0, 2),
    LINEAR_MASS: ("g/m", 1 / 1000, 3),
    AREAL_MASS: ("g/m2", 1 / 1e6, 2),
    DENSITY: ("kg/m3", 1000 / 1e9, 2),
    MOMENT: ("g m", 1000.0, 3),
}

_SHOWN_IN_INCHES: Mapping[Dimension, tuple[str, float, int]] = {
    LENGTH: ("in", _IN, 4),
    AREA: ("in2", _IN * _IN, 2),
}


_NEAR = 0.1
"""A fraction of an inch that is off by more than this share of a length does not stand for it: decimals do."""
_NEAR_ON_SHEET = 0.02
"""The same of lengths that are cut or bevelled: a hole for a tube of 1/8 in is not 1/8 in."""
