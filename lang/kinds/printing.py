"""How pages are printed: on which paper, with which overlap, and by how much the printer is off."""

from collections.abc import Mapping
from typing import TYPE_CHECKING, NamedTuple

from ringwright.geometry.errors import GeometryError
from ringwright.geometry.numbers import short
from ringwright.lang.kinds.kind import Kind, Property

if TYPE_CHECKING:
    from ringwright.lang.components.tree import Component
    from ringwright.lang.design.making import Maker

LEAST, MOST = 140.0, 5000.0
"""Sides of paper, mm: it must hold check bars of 100 mm, and a PDF's page ends at 5080 mm."""
LEAST_LEFT = 62.0
"""Least side of what is left to print on, the strip for names of pages included, mm."""


class Printing(NamedTuple):
    """What the printer needs. paper: its name, 'roll' for a roll, or '' for one of `sheet`, (width, height) in mm.

    roll: width of roll paper, overlap: of pages that are joined, margin: edge that the printer leaves white, all mm.
    measured_bar: what a printed bar of 100 mm measured, mm.
    """

    paper: str
    sheet: tuple[float, float] | None
    roll: float
    overlap: float
    margin: float
    measured_bar: float


def printing_of(maker: "Maker", component: "Component") -> Printing:
    """Return what a spec says of printing. Raises Unsettled, GeometryError."""
    sheet = maker.size(component, "sheet") if maker.has(component, "sheet") else None
    paper = "" if sheet and maker.value(component, "paper") is None else maker.word(component, "paper")
    amounts = (maker.number(component, name) for name in ("roll", "overlap", "margin", "measured_bar"))
    found = Printing(paper, sheet, *amounts)
    if sheet and not (min(sheet) >= LEAST and max(sheet) <= MOST):
        raise GeometryError(
            "no-size",
            f"paper to print on is {short(LEAST, 0)} to {short(MOST, 0)} mm long and wide;"
            f" this is {short(sheet[0], 1)} by {short(sheet[1], 1)} mm",
        )
    left = (min(sheet) if sheet else 210.0) - 2 * found.margin - found.overlap
    if left < LEAST_LEFT:
        raise GeometryError(
            "no-size",
            f"margins of {short(found.margin, 1)} mm and an overlap of {short(found.overlap, 1)} mm leave"
            f" {short(left, 1)} mm of paper to print on; {short(LEAST_LEFT, 0)} mm is the least",
        )
    return found


def measures(maker: "Maker", component: "Component") -> Mapping[str, float]:
    """Judge what is said of printing, whether anything is printed or not. Raises GeometryError."""
    printing_of(maker, component)
    return {}


KIND = Kind(
    "printing",
    "how templates, plan and fit gauge are printed",
    (
        Property(
            "paper",
            "word",
            "what is printed on; portrait or landscape follows from which needs fewer pages",
            "paper = letter",
            default="a4",
            shown="a4",
            choices=("a4", "a3", "letter", "legal", "tabloid", "roll"),
        ),
        Property("sheet", "size", "paper of another size, width by height", "sheet = 330 mm by 483 mm", optional=True),
        Property(
            "roll", "amount", "how wide roll paper is", "roll = 914 mm", default=610.0, shown="610 mm",
            low=150.0, high=2000.0,
        ),
        Property(
            "overlap", "amount", "how far pages that are joined lie over each other", "overlap = 15 mm",
            default=10.0, shown="10 mm", low=0.0, high=50.0,
        ),
        Property(
            "margin", "amount", "edge of the paper that the printer leaves white", "margin = 6 mm",
            default=8.0, shown="8 mm", low=0.0, high=50.0,
        ),
        Property(
            "measured_bar",
            "amount",
            "what a bar of 100 mm measures when it is printed without this: the pages are stretched to put it right",
            "measured_bar = 98.5 mm",
            default=100.0,
            shown="100 mm",
            low=90.0,
            high=110.0,
        ),
    ),
    alone=True,
    measures=measures,
    example="printing { paper = letter, measured_bar = 98.5 mm }\n",
)  # fmt: skip
