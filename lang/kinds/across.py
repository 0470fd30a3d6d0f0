"""Sheets across a fuselage, between the left and the right of one line: what decks and floors have in common."""

from ringwright.lang.kinds import element, lengthwise
from ringwright.lang.kinds.kind import Kind, Property
from ringwright.lang.kinds.side import ENDS, LINES
from ringwright.lang.kinds.wrap import SIZES


def across(name: str, where: str, line: str) -> Kind:
    """Return the kind of that name, whose sheets lie 'across the top' or 'across below' between the two of a line."""
    return Kind(
        name,
        f"a sheet {where} between the left and the right of a line, flat or bent along it",
        (
            Property(
                "between",
                "line",
                "the line whose left and right it lies between",
                f"between = {line}",
                required=True,
            ),
            element.STOCK,
            Property(
                "inset",
                "amount",
                "how far its edges lie inside the line, for sides that cover them",
                "inset = board.thickness",
                axis="across",
                default=0.0,
                shown="0 mm",
                low=-1e3,
                high=1e3,
            ),
            *ENDS,
        ),
        inside=("", "body"),
        children=("hole", "holes", "slot", "splice"),
        forward=(*SIZES, *element.MEASURES),
        parts=lengthwise.parts,
        measures=lengthwise.measures,
        example=(
            f"{LINES}{name} sheet {{\n    between = {line}\n    stock = board\n"
            "    hole hatch { diameter = 30 mm, at = (70 mm, 0 mm) }\n}\n"
        ),
    )
