"""Where a side, a floor or a deck that is longer than its sheet is joined, and how."""

from typing import TYPE_CHECKING

from ringwright.lang.components.tree import children_of
from ringwright.lang.kinds.kind import Kind, Property
from ringwright.lang.kinds.side import LINES, PIECES_SEAM

if TYPE_CHECKING:
    from ringwright.lang.components.tree import Component
    from ringwright.lang.design.elaborate import Elaboration


def equations(elaboration: "Elaboration", component: "Component") -> None:
    """Splices say in how many pieces their sheet is cut; a stock is that of a doubler."""
    sheet = elaboration.tree.components[component.parent]
    splices = [child for child in children_of(elaboration.tree, sheet) if child.kind is component.kind]
    if splices[0] is component:
        elaboration.idle(sheet, "pieces", f"the splices of '{sheet.id}' say in how many pieces it is cut")
    seam = elaboration.value(component, "seam") or elaboration.value(sheet, "seam")
    if getattr(seam, "kind", "butt") != "strap":
        elaboration.idle(
            component, "stock", "a stock is that of a doubler, and this joint has none: seam = strap(40 mm)"
        )


KIND = Kind(
    "splice",
    "where a sheet longer than its stock is joined, and how; its splices, and nothing else, say where it is cut",
    (
        Property(
            "at",
            "place",
            "where its pieces meet, a place along x; a scarf or a doubler lies half before it and half behind",
            "at = 120 mm",
            axis="along",
            required=True,
        ),
        PIECES_SEAM._replace(
            doc="how they meet: butt, strap(w), a doubler of that width inside, or scarf(w), both tapered over that width and"
            " laid one over the other; as the sheet's `seam` says unless given",
        ),
        Property(
            "stock",
            "stock",
            "what the doubler of a strap is cut from; the sheet's own unless given",
            "stock = card",
        ),
    ),
    inside=("side", "floor", "deck"),
    equations=equations,
    example=(
        f"{LINES}"
        "side flank {\n    upper = fuselage.top\n    lower = fuselage.bottom\n    stock = board\n"
        "    splice middle { at = 150 mm, seam = strap(40 mm), stock = card }\n}\n"
    ),
)
