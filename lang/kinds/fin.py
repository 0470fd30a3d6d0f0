"""A fin: a surface that stands."""

from typing import TYPE_CHECKING

from ringwright.lang.kinds import lifting, surface
from ringwright.lang.kinds.kind import Kind, Property, Solved
from ringwright.lang.units import NUMBER
from ringwright.lang.values.value import Word

if TYPE_CHECKING:
    from ringwright.lang.components.tree import Component
    from ringwright.lang.design.elaborate import Elaboration


def equations(elaboration: "Elaboration", component: "Component") -> None:
    """Say what a fin is: its planform, and its volume over the wing's area and span."""
    lifting.placed(elaboration, component)
    height = elaboration.unknown(component, "height")
    ends = lifting.planform(elaboration, component, height, False)
    lifting.reckoned(elaboration, component, ends, 1, height)
    hand = elaboration.value(component, "hand")
    both = isinstance(hand, Word) and hand.name == "both"
    lifting.tail_volume(elaboration, component, "span", 2.0 if both else 1.0)


KIND = Kind(
    "fin",
    "a fin, with its rudder where it has one",
    (
        lifting.AT,
        Property(
            "height",
            "amount",
            "from its root to its tip",
            "height = @110 mm",
            axis="across",
            low=lifting.LEAST,
            high=lifting.LARGEST,
        ),
        *lifting.chords("root, below", "tip"),
        lifting.WASHOUT._replace(doc="how far the tip is turned to starboard against the root"),
        *lifting.BUILT,
        Property(
            "tab",
            "size",
            "of a plate: a tab below its root, long by deep, through what it stands on",
            "tab = 40 mm by 4.8 mm",
        ),
        Property(
            "tab_at",
            "amount",
            "where the tab's middle is, aft of the root's leading edge; in the middle unless given",
            "tab_at = 30 mm",
            optional=True,
            low=0.0,
            high=lifting.LARGEST,
        ),
        Property(
            "hand",
            "word",
            "for one of two fins: which of them are made, where `at` gives the one to starboard",
            "hand = both",
            choices=("left", "right", "both"),
        ),
        lifting.WING,
    ),
    children=tuple(name for name in lifting.CHILDREN if name != "joiner"),
    solved=(
        *lifting.SOLVED,
        lifting.OF_TAIL[0],
        Solved(
            "volume",
            "tail volume: its area, that of both where both hands are made, times its arm, over the wing's area and span",
            NUMBER,
        ),
    ),
    forward=lifting.MEASURES,
    equations=equations,
    parts=surface.parts,
    measures=surface.measures,
    example="fin rudder_fin { at = (480 mm, 0 mm, 20 mm), height = 90 mm, root = 80 mm, tip = 50 mm, stock = board }\n",
)
