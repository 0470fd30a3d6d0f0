"""The solved design: what the rest of the program reads."""

from collections.abc import Mapping
from types import MappingProxyType
from typing import TYPE_CHECKING, NamedTuple

from ringwright.geometry.part import Cutting, Part
from ringwright.lang.components.tree import Tree
from ringwright.lang.solve.solution import Solution
from ringwright.lang.units import Dimension, display
from ringwright.lang.values.plan import PlanScale

if TYPE_CHECKING:
    from ringwright.lang.design.balancing import Weighed
    from ringwright.lang.design.on_hand import OnHand
    from ringwright.lang.design.shopping import Bought, Piece
    from ringwright.lang.design.written_steps import WrittenStep
    from ringwright.lang.kinds.printing import Printing


class About(NamedTuple):
    """What the model says of itself. unit: 'mm' or 'in'; fraction: of an inch to show, or None."""

    name: str
    title: str
    revision: str
    unit: str
    fraction: int | None

    def shown(self, value: float, dimension: Dimension) -> str:
        """Return a value, mm, rad, g, with its unit as the model wants it: '30.6 mm'."""
        return display(value, dimension, self.unit, self.fraction)


class Design(NamedTuple):
    """A spec, solved.

    values: every name that was found, mm, rad, g, those measured from finished parts included; dimensions: what each
    is. provenance: 'measured', 'default' or 'derived' by name. parts: sorted by id. scaled: how many lengths follow
    the plan scale. defaults: name and default of each that was used. weighed: what all of it weighs and where; None
    where parts are missing. shopping: stocks and bought parts with their prices. pieces: of strip. printing: what
    the spec says of it, None where nothing. on_hand: what is there of each stock of which the spec says so.
    steps: those that the spec writes for the build book. colours: of layers that are not black, for a cutter.
    """

    tree: Tree
    about: About
    scale: PlanScale
    scaled: int
    solution: Solution
    values: Mapping[str, float]
    dimensions: Mapping[str, Dimension]
    parts: tuple[Part, ...]
    cutting: Cutting
    defaults: tuple[tuple[str, str], ...]
    weighed: "Weighed | None" = None
    shopping: "tuple[Bought, ...]" = ()
    pieces: "tuple[Piece, ...]" = ()
    printing: "Printing | None" = None
    on_hand: "Mapping[str, OnHand]" = MappingProxyType({})
    steps: "tuple[WrittenStep, ...]" = ()
    colours: tuple[tuple[str, str], ...] = ()
