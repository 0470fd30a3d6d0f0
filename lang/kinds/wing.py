"""A wing: two halves, or one sheet across."""

from typing import TYPE_CHECKING

from ringwright.lang.kinds import lifting, surface
from ringwright.lang.kinds.kind import Kind, Property
from ringwright.lang.solve.algebra import divide
from ringwright.lang.solve.terms import Constant

if TYPE_CHECKING:
    from ringwright.lang.components.tree import Component
    from ringwright.lang.design.elaborate import Elaboration

SPAN = Property(
    "span",
    "amount",
    "from tip to tip, as it flies",
    "span = @900 mm",
    axis="across",
    low=lifting.LEAST,
    high=lifting.LARGEST,
)
HAND = Property(
    "hand",
    "word",
    "which halves are made; a plate without dihedral is one sheet across",
    "hand = right",
    default="both",
    shown="both",
    choices=("left", "right", "both"),
)


def equations(elaboration: "Elaboration", component: "Component") -> None:
    """Say what a surface of two halves is: its planform, and what is reckoned of that."""
    lifting.placed(elaboration, component)
    span = elaboration.unknown(component, "span")
    ends = lifting.planform(elaboration, component, divide(span, Constant(2.0)), True)
    lifting.reckoned(elaboration, component, ends, 2, span)


PROPERTIES = (
    lifting.AT,
    SPAN,
    *lifting.chords("root, in the middle", "tips"),
    *lifting.RISING,
    lifting.WASHOUT,
    lifting.INCIDENCE,
    *lifting.BUILT,
    HAND,
)
KIND = Kind(
    "wing",
    "a wing of two halves: a flat plate, ribs and spars, or a folded sheet",
    PROPERTIES,
    children=lifting.CHILDREN,
    solved=lifting.SOLVED,
    forward=lifting.MEASURES,
    equations=equations,
    parts=surface.parts,
    measures=surface.measures,
    example="wing main { at = 60 mm, span = 600 mm, root = 120 mm, tip = 90 mm, stock = board }\n",
)
