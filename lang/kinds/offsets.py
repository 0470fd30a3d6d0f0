"""The table of offsets: stations, and the lines that run through them."""

from collections.abc import Mapping
from itertools import pairwise
from typing import TYPE_CHECKING

from ringwright.geometry.numbers import short
from ringwright.lang.components.table import line_names
from ringwright.lang.kinds.kind import Kind, Property
from ringwright.lang.solve.algebra import evaluate
from ringwright.lang.solve.terms import Stated, Term
from ringwright.lang.syntax import nodes
from ringwright.lang.units import NUMBER
from ringwright.lang.values import offsets
from ringwright.lang.values.trouble import Trouble

if TYPE_CHECKING:
    from ringwright.lang.components.tree import Component
    from ringwright.lang.design.elaborate import Elaboration
    from ringwright.lang.design.making import Maker


def equations(elaboration: "Elaboration", component: "Component") -> None:
    """Read every cell, so that a slip in one is reported whether the line is asked for or not."""
    for finding in offsets.troubles(elaboration.evaluator, component):
        elaboration.findings.append(finding)


def measures(maker: "Maker", component: "Component") -> Mapping[str, float]:
    """Look for stations that stick out of their line, once all is solved; a table has no measures."""
    from ringwright.geometry.errors import GeometryError
    from ringwright.geometry.takeoff.fairness import sticking_out

    _judge_order(maker, component)
    for line in () if component.table is None else line_names(component.table):
        try:
            measured = offsets.measured_points(maker.evaluator, component, line)
            found = sorted(
                (evaluate(x, maker.values), evaluate(value, maker.values), span, _scale_of(value))
                for x, value, span in measured
            )
            out = sticking_out([each[0] for each in found], [each[1] for each in found])
        except (Trouble, GeometryError, KeyError):
            continue  # said where the cell is read, or where the line is asked for
        for outlier in out:
            beyond = "more" if outlier.off > 0 else "less"
            # Told as the cell has it, which was read off the plan.
            *_, span, scale = found[outlier.station]
            maker.warn(
                "station-sticks-out",
                f"'{line}' is {short(abs(outlier.off) / scale, 1)} mm {beyond} here than a fair line through its neighbours,"
                f" which passes {short(outlier.fair / scale, 1)} mm{'' if scale == 1.0 else ' on the plan'}",
                span,
                'measure it again; where it is right: accept station-sticks-out because "…"',
            )
    return {}


def _scale_of(value: Term) -> float:
    return value.scale if isinstance(value, Stated) else 1.0


def _judge_order(maker: "Maker", component: "Component") -> None:
    """Warn of the first row that runs back along x, against the way of the others: a figure may be wrong."""
    stations = maker.tree.files[component.file].stations
    found = []
    names = [] if component.table is None else [column.name for column in component.table.columns]
    for row in () if component.table is None else component.table.rows:
        cell = row[names.index("station")]
        name = cell.value.parts[0] if isinstance(cell.value, nodes.Name) else ""
        x = maker.values.get(f"{stations.get(name)}.x")
        if x is not None:
            found.append((name, x, cell.span))
    way = found[-1][1] - found[0][1] if found else 0.0
    # The last row itself may be the one that is wrong: the way is that of most steps.
    steps = [after[1] - before[1] for before, after in pairwise(found)]
    forward = sum(step > 0 for step in steps) - sum(step < 0 for step in steps) or way
    for (before, x, _), (name, y, span) in pairwise(found):
        if (y - x) * forward < 0:
            maker.warn(
                "row-out-of-order",
                f"station '{name}' at {short(y, 2)} mm stands in the row below '{before}' at {short(x, 2)} mm",
                span,
                "look at the figures again, or put the rows in the order of x",
            )
            return


KIND = Kind(
    "offsets",
    "a table of offsets: a row is a station, a column a line along the fuselage",
    (
        Property(
            "section",
            "word",
            "what shape a section is drawn in: a station may then stand wherever a shape may, and fuselage.section(60 mm)"
            " is the one between stations",
            "section = box",
            choices=("box", "round", "oval", "curve"),
        ),
        Property(
            "power",
            "amount",
            "how full an oval is: 2 is an ellipse, more is nearer to a rectangle",
            "power = 2.2",
            NUMBER,
            optional=True,
            low=1.0,
            high=100.0,
        ),
    ),
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
    measures=measures,
    article="an offsets table",
    example=(
        "offsets fuselage {\n"
        "    | station | x [@mm] | half [@mm] | top [@mm] |\n"
        "    | F1      |   0     |   44       |   52      |\n"
        "    | F2      | 118     |   51       |   61      |\n"
        "}\n"
        "let wide = 2 * fuselage.half(60 mm)\n"
    ),
)
