"""The table of offsets: stations, and the lines that run through them."""

from typing import TYPE_CHECKING

from ringwright.lang.kinds.kind import Kind
from ringwright.lang.values import offsets

if TYPE_CHECKING:
    from ringwright.lang.components.tree import Component
    from ringwright.lang.design.elaborate import Elaboration


def equations(elaboration: "Elaboration", component: "Component") -> None:
    """Read every cell, so that a slip in one is reported whether the line is asked for or not."""
    for finding in offsets.troubles(elaboration.evaluator, component):
        elaboration.findings.append(finding)


KIND = Kind(
    "offsets",
    "a table of offsets: a row is a station, a column a line along the fuselage",
    (),
    columns=(
        ("station", "the station's name, first"),
        ("x", "where it is along the fuselage"),
        (
            "half",
            "half of the width, empty where it was not measured; fuselage.half(60 mm) reads it anywhere between the first"
            " and the last, on a fair, smooth line through what was measured",
        ),
        ("top", "height of the top line"),
        ("bottom", "height of the bottom line"),
        ("half_bottom", "half of the width at the bottom"),
        ("LINE.half", "half of the width between the two of a line of your own, such as longeron.half"),
        ("LINE.height", "height of that line"),
    ),
    equations=equations,
    example=(
        "offsets fuselage {\n"
        "    | station | x [@mm] | half [@mm] | top [@mm] |\n"
        "    | F1      |   0     |   44       |   52      |\n"
        "    | F2      | 118     |   51       |   61      |\n"
        "}\n"
        "let wide = 2 * fuselage.half(60 mm)\n"
    ),
)
