"""What is left over of a sheet, and what of it is still free."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING

from ringwright.backends.room import Box, crossed, inside, near, segments, stacked
from ringwright.geometry.path import Path, bounds, line

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray
    from ringwright.backends.room import Floats, Truths

    Counts = NDArray[np.int64]

EDGE = 2.0
"""Lettering keeps this far from the edge of the sheet, mm."""
CELL = 3.0


class Waste:
    """What lies between the parts of a sheet, and what of it is still free.

    Places are first looked up in a raster of the cells that some line touches: a rectangle that covers such a
    cell whole is not free, and only those that cover none are tried against the lines themselves.
    """

    def __init__(
        self,
        width: float,
        height: float,
        parts: Sequence[tuple[Path, ...]],
        others: Sequence[Path],
        edges: Sequence[Path] = (),
    ) -> None:
        """width, height: of the sheet, mm.

        parts: outline and holes of each, as they lie on it. others: more lines to keep clear of.
        edges: of what there is no sheet: between the first, the sheet's box, and the second, and within the rest.
        """
        self.width, self.height = width, height
        self._outlines = [(bounds(rings[0]), segments([rings[0]])) for rings in parts]
        self._rings = segments([*edges, *(ring for rings in parts for ring in rings)])
        self.lines = stacked([self._rings, segments(others)])
        self._touched: Counts | None = None

    def copy(self) -> Waste:
        """The same waste, from which something else may be taken."""
        other = Waste.__new__(Waste)
        other.__dict__.update(self.__dict__)
        return other

    def become(self, other: Waste) -> None:
        """Be what another waste of the same sheet is."""
        self.__dict__.update(other.__dict__)

    def keep_clear(self, *paths: Path) -> None:
        """Keep clear of more lines from now on."""
        self.lines = stacked([self.lines, segments(paths)])
        self._touched = None

    def keep_box(self, box: Box) -> None:
        """Keep clear of a box, and of its middle lines so that nothing is set within it."""
        u, v = box.width / 2, box.height / 2
        self.keep_clear(
            Path(box.corners(), (0.0,) * 4, True),
            line([box.place(-u, 0.0), box.place(u, 0.0)]),
            line([box.place(0.0, -v), box.place(0.0, v)]),
        )

    def is_waste(self, points: Floats) -> Truths:
        """Whether each point lies in no part."""
        return ~inside(self._rings, points)

    def is_on_part(self, x: float, y: float) -> bool:
        """Whether a point lies on the material of some part."""
        import numpy as np

        return not self.is_waste(np.array([(x, y)]))[0]

    def holding(self, x: float, y: float) -> list[Floats]:
        """The outlines within which a point lies, openings or not."""
        import numpy as np

        point = np.array([(x, y)])
        return [
            lines
            for (left, low, right, high), lines in self._outlines
            if left <= x <= right and low <= y <= high and inside(lines, point)[0]
        ]

    def stays(self, points: Floats) -> Truths:
        """Whether each point lies in no outline: what falls out of an opening does not stay with the sheet."""
        import numpy as np

        held: Truths = np.zeros(len(points), dtype=bool)
        for _, lines in self._outlines:
            held |= inside(lines, points)
        return ~held

    def free(self, points: Floats, width: float, height: float) -> Floats:
        """Those of some points about which a level rectangle lies wholly in the waste and on the sheet."""
        across, up = width / 2 + EDGE, height / 2 + EDGE
        x, y = points[:, 0], points[:, 1]
        points = points[(x >= across) & (x <= self.width - across) & (y >= up) & (y <= self.height - up)]
        points = points[self._covers_none(points, width, height)]
        if len(points):
            lines = near(self.lines, points, max(width, height))
            points = points[~crossed(lines, points, width, height, (1.0, 0.0))]
        if len(points):
            points = points[self.is_waste(points)]
        return points

    def _covers_none(self, points: Floats, width: float, height: float) -> Truths:
        """Whether no cell that a line touches lies wholly within the rectangle about each point."""
        import numpy as np

        if self._touched is None:
            self._touched = _touched_cells(self.lines, self.width, self.height)
        sums = self._touched
        most = np.array([sums.shape[1] - 1, sums.shape[0] - 1])
        half = np.array([width / 2, height / 2])
        low = np.clip(np.ceil((points - half) / CELL), 0, most).astype(int)
        high = np.clip(np.floor((points + half) / CELL), 0, most).astype(int)
        high = np.maximum(low, high)
        x0, y0, x1, y1 = low[:, 0], low[:, 1], high[:, 0], high[:, 1]
        none: Truths = sums[y1, x1] - sums[y0, x1] - sums[y1, x0] + sums[y0, x0] == 0
        return none


def _touched_cells(lines: Floats, width: float, height: float) -> Counts:
    """Number of touched cells below and left of each corner of the raster."""
    import numpy as np

    columns, rows = math.ceil(width / CELL), math.ceil(height / CELL)
    along = lines[:, 2:] - lines[:, :2]
    counts = (np.ceil(np.abs(along).max(axis=1) / (CELL / 2)) + 1).astype(int)
    which = np.repeat(np.arange(len(lines)), counts)
    step = np.arange(len(which)) - np.repeat(np.cumsum(counts) - counts, counts)
    share = (step / np.maximum(counts - 1, 1)[which])[:, None]
    cells = np.floor((lines[which, :2] + share * along[which]) / CELL).astype(int)
    cells = cells[((cells >= 0) & (cells < (columns, rows))).all(axis=1)]
    sums: Counts = np.zeros((rows + 1, columns + 1), dtype=np.int64)
    sums[cells[:, 1] + 1, cells[:, 0] + 1] = 1
    return sums.cumsum(axis=0).cumsum(axis=1)
