"""Paper to print on, and which pages a drawing takes on it."""

import math
from collections.abc import Iterator
from typing import NamedTuple

from ringwright.geometry.errors import GeometryError
from ringwright.geometry.numbers import ceil_safe, short

# ISO 216 for A4 and A3; ASME Y14.1 (in inches: 8.5 x 11, 8.5 x 14, 11 x 17) for the others. mm, portrait.
PAPERS = {
    "a4": (210.0, 297.0),
    "a3": (297.0, 420.0),
    "letter": (215.9, 279.4),
    "legal": (215.9, 355.6),
    "tabloid": (279.4, 431.8),
}
ROLL_LENGTH = 5000.0
"""Longest piece of a roll, mm: a page of a PDF may be 14 400 points long, 5080 mm (ISO 32000-1, annex C)."""

BAND = 6.0
"""Strip within the margins, all round, for names of pages and marks to cut by, mm."""
LEAST_WINDOW = 50.0


class Paper(NamedTuple):
    """What is printed on, mm. name: for file names and people. height: infinite for a roll.

    overlap: of pages that are joined. margin: edge that stays white. stretch: what drawings are multiplied by so that
    the printer prints them true.
    """

    name: str
    width: float
    height: float
    overlap: float = 10.0
    margin: float = 8.0
    stretch: float = 1.0

    @property
    def is_roll(self) -> bool:
        """Whether its pages are as long as need be."""
        return math.isinf(self.height)


def paper_of(
    name: str,
    size: tuple[float, float] | None = None,
    roll: float = 610.0,
    overlap: float = 10.0,
    margin: float = 8.0,
    measured_bar: float = 100.0,
) -> Paper:
    """A paper by its name ('a4', 'roll', '330x483', '914xroll', case and '…' aside), or of a size where that is ''.

    ValueError where there is none of that name.
    """
    word = name.strip().lower()
    if size is not None and not word:
        word = "x".join(short(side, 1) for side in size)
    if word in PAPERS:
        width, height = PAPERS[word]
    elif word == "roll":
        word, width, height = f"{short(roll, 1)}xroll", roll, math.inf
    else:
        width, height = _sides(word)
    return Paper(word, width, height, overlap, margin, 100.0 / measured_bar)


def _sides(word: str) -> tuple[float, float]:
    """Width and height of 'WxH' in mm, height infinite for 'Wxroll'. ValueError."""
    sides: list[float] = []
    for side in word.removesuffix("mm").split("x"):
        digits = side.strip()
        plain = digits.replace(".", "", 1)
        if digits == "roll" and len(sides) == 1:
            sides.append(math.inf)
        elif (
            plain.isascii() and plain.isdigit() and len(plain) <= 6 and 140.0 <= float(digits) <= ROLL_LENGTH
        ):
            sides.append(float(digits))
        else:
            break
    if len(sides) != 2 or word.count("x") != 1:
        raise ValueError(
            f"there is no paper '{word}': {', '.join(PAPERS)}, roll, or its size in mm as 330x483 or 914xroll"
        )
    return sides[0], sides[1]


class Grid(NamedTuple):
    """Pages side by side over a drawing. All mm, true size.

    page_width, page_height: of the paper as it is fed. window_width, window_height: of the drawing that one page
    shows. left, top: of the drawing, where the first page begins. across, down: number of columns and rows.
    """

    page_width: float
    page_height: float
    window_width: float
    window_height: float
    overlap: float
    left: float
    top: float
    across: int
    down: int

    def window(self, column: int, row: int) -> tuple[float, float, float, float]:
        """(left, low, right, high) of what a page shows; columns from the left, rows from the top, from 0."""
        left = self.left + column * (self.window_width - self.overlap)
        high = self.top - row * (self.window_height - self.overlap)
        return left, high - self.window_height, left + self.window_width, high

    def cells(self) -> Iterator[tuple[int, int]]:
        """All (column, row), row by row."""
        return ((column, row) for row in range(self.down) for column in range(self.across))


def grids(paper: Paper, box: tuple[float, float, float, float]) -> list[Grid]:
    """The grids that cover (left, low, right, high) of a drawing: portrait and landscape, or both ways on a roll.

    GeometryError 'no-size' where margins and overlap leave no paper.
    """
    left, low, right, high = box
    wide, tall = right - left, high - low
    found = []
    edges = 2 * (paper.margin / paper.stretch + BAND)
    sides = [(paper.width / paper.stretch, paper.height / paper.stretch)]
    if paper.width != paper.height:
        sides.append((sides[0][1], sides[0][0]))
    for width, height in sides:
        if math.isinf(width):
            width = min(ROLL_LENGTH / paper.stretch, max(wide + edges, _LEAST_PAGE))
        if math.isinf(height):
            height = min(ROLL_LENGTH / paper.stretch, max(tall + edges, _LEAST_PAGE))
        across, down = width - edges, height - edges
        if min(across, down) - paper.overlap < LEAST_WINDOW:
            raise GeometryError(
                "no-size",
                f"paper {paper.name} with margins of {short(paper.margin, 1)} mm and an overlap of"
                f" {short(paper.overlap, 1)} mm leaves nothing to print on",
            )
        columns = max(1, ceil_safe((wide - paper.overlap) / (across - paper.overlap)))
        rows = max(1, ceil_safe((tall - paper.overlap) / (down - paper.overlap)))
        found.append(Grid(width, height, across, down, paper.overlap, left, high, columns, rows))
    return found


_LEAST_PAGE = 210.0


def cell_name(column: int, row: int) -> str:
    """Letters across and numbers down: A1, B3, AA1."""
    letters = ""
    column += 1
    while column:
        column, rest = divmod(column - 1, 26)
        letters = chr(ord("A") + rest) + letters
    return f"{letters}{row + 1}"
