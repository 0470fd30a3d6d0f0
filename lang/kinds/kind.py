"""What a kind of component is: its properties, its solved names, its equations and the parts that it makes.

Each kind is one file beside this one and ends in a value `KIND`. The grammar knows none of them.
"""

from collections.abc import Callable, Iterable, Mapping
from typing import TYPE_CHECKING, NamedTuple

from ringwright.lang.units import ANGLE, LENGTH, MASS, Dimension, with_article

if TYPE_CHECKING:
    from ringwright.geometry.part import Part
    from ringwright.lang.components.tree import Component
    from ringwright.lang.design.elaborate import Elaboration
    from ringwright.lang.design.making import Maker

INFINITE = float("inf")


class Property(NamedTuple):
    """One property of a kind.

    type: 'amount' (a quantity, known to the solver), 'place' (the same, a place along an axis: a station's name will
    do), 'text', 'flag' (yes, no), 'count' (whole number), 'word' (one of `choices`), 'bearing' (one of `choices` or
    an angle), 'stock' (the name of a stock), 'shape', 'point', 'point3', 'spot' (a point, or in a bent wall a place and an
    angle), 'element' (one of the same stack), 'component' (one of the kinds in `choices`), 'size', 'seam', 'scale', 'money', 'where' (one of `choices`: a 'place' along x, a
    'point' in the aircraft, a 'range' of places), 'things' (components or stocks).
    dimension: of an amount. default: in mm, rad, g, or a word; None where there is none. shown: the default as one
    would write it. axis: which way `@` stretches it on a copy stretched one way: 'along' or 'across'.
    low, high: physical bounds, mm, rad, g. doc: one line. example: one line of a spec. rather: the property that one
    would rather measure, where this one is open; '' for itself. also: other dimensions that it may have. at_station: left out, it is the section of the offsets
    where the component stands.
    """

    name: str
    type: str
    doc: str
    example: str
    dimension: Dimension = LENGTH
    default: float | str | bool | None = None
    shown: str = ""
    axis: str = ""
    optional: bool = False
    required: bool = False
    choices: tuple[str, ...] = ()
    low: float = -INFINITE
    high: float = INFINITE
    rather: str = ""
    at_station: bool = False
    also: tuple[Dimension, ...] = ()


class Solved(NamedTuple):
    """A solved name that is no property: an unknown of the solver, with its physical bounds (mm, rad, g)."""

    name: str
    doc: str
    dimension: Dimension = LENGTH
    low: float = -INFINITE
    high: float = INFINITE


class Measure(NamedTuple):
    """A name that is only known forward, from the finished part: its width, its mass.

    needs: the properties that it follows from; none: all that makes up the part. late: it follows from all parts of the
    aircraft, and is known once they are made.
    """

    name: str
    doc: str
    dimension: Dimension = LENGTH
    needs: tuple[str, ...] = ()
    late: bool = False


WEIGHED = Property(
    "weighed",
    "amount",
    "what the scale says of one: it stands for what was computed",
    "weighed = 34.2 g",
    MASS,
    optional=True,
    low=0.0,
)
"""Anything that has mass may carry it."""

TOGETHER = Property(
    "together", "text", "all that says the same is laid on one sheet", 'together = "tail"', optional=True
)
"""Anything that is cut may carry it, and a stack for all of its elements."""


Equations = Callable[["Elaboration", "Component"], None]
Making = Callable[["Maker", "Component"], "Iterable[Part]"]
Measuring = Callable[["Maker", "Component"], Mapping[str, float]]


def tilt(name: str, doc: str, example: str, most: float) -> Property:
    """Return an angle that is none unless given, and no steeper than `most` either way, rad."""
    return Property(name, "amount", doc, example, ANGLE, default=0.0, shown="0 deg", low=-most, high=most)


def no_equations(_elaboration: "Elaboration", _component: "Component") -> None:
    """A kind whose dimensions are just what the text says."""


def no_parts(_maker: "Maker", _component: "Component") -> "Iterable[Part]":
    """A kind that is not cut from anything."""
    return ()


def no_measures(_maker: "Maker", _component: "Component") -> Mapping[str, float]:
    """A kind of which nothing is known forward."""
    return {}


class Kind(NamedTuple):
    """A kind of component.

    inside: kinds that it may stand in ('' for the file itself). children: kinds that may stand in it.
    columns: of the table that it takes, each with what stands in it; none: it takes no table.
    alone: its name may be left out, and there may be only one. equations: adds the kind's own equations.
    numbered: what is known forward of each of several pieces that it is made as, by the piece's number: 'bow.2.slant'.
    article: what it is called, where that is not its name behind an 'a'. parts: makes the parts. measures: values of `forward`, from the solved design. check: findings about it once solved.
    """

    name: str
    doc: str
    properties: tuple[Property, ...]
    inside: tuple[str, ...] = ("",)
    children: tuple[str, ...] = ()
    alone: bool = False
    columns: tuple[tuple[str, str], ...] = ()
    solved: tuple[Solved, ...] = ()
    forward: tuple[Measure, ...] = ()
    numbered: tuple[Measure, ...] = ()
    equations: Equations = no_equations
    parts: Making = no_parts
    measures: Measuring = no_measures
    example: str = ""
    article: str = ""

    @property
    def called(self) -> str:
        """The kind with its article: 'a barrel', 'an offsets table'."""
        return self.article or with_article(self.name)
