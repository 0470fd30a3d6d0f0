"""What parts are laid on: a whole sheet, or an offcut in its own shape, with its holes and damage."""

from typing import NamedTuple

from ringwright.geometry.crossing import simple
from ringwright.geometry.errors import GeometryError
from ringwright.geometry.nest.board import Board, empty, lay
from ringwright.geometry.nest.raster import Grid, grid
from ringwright.geometry.nest.shape import FLATTEN, Box, obstacle
from ringwright.geometry.part import Cutting, Offcut, Placed, Stock
from ringwright.geometry.path import flattened

_CELL = 2.0
"""mm: with exact sliding as good as 1 mm, at a third of the time."""

_ACROSS = 100
"""Least cells across the narrower side of a sheet: on a small one they are smaller."""

_CELLS = 400_000
"""Most cells of a sheet; beyond them they grow."""

FIXED = -1
"""Key of a piece that is not to be laid: it lies already, or is what an offcut lacks of its box."""


class Bed(NamedTuple):
    """A sheet as parts are laid on it.

    board: what lies there. x, y: where the lower left corner of the board's grid lies in the sheet's frame,
    mm. index: number of the sheet, 0 where it has none yet or is an offcut. kept: what lay there before.
    """

    board: Board
    x: float
    y: float
    index: int = 0  # type: ignore[assignment]
    offcut: Offcut | None = None
    kept: tuple[Placed, ...] = ()


def bed_of_sheet(stock: Stock, cutting: Cutting, clear: float) -> Bed:
    """A whole sheet. clear: mm that grown parts stand off the parts themselves."""
    off = cutting.margin - clear
    on = _grid(stock.width - 2.0 * off, stock.height - 2.0 * off)
    return Bed(empty(on), off, off)


def _grid(width: float, height: float) -> Grid:
    """The cells of a sheet."""
    return grid(width, height, min(_CELL, min(width, height) / _ACROSS), _CELLS)


def bed_of_offcut(offcut: Offcut, cutting: Cutting, clear: float) -> Bed:
    """An offcut: what of its box is not board lies there as pieces.

    Raises GeometryError 'crosses-itself' for an outline or hole that does. One that its margin leaves
    nothing of is a bed of one cell, on which nothing fits.
    """
    import numpy as np
    import shapely

    rings = []
    for path in (offcut.outline, *offcut.holes):
        try:
            rings.append(flattened(simple(path), FLATTEN))
        except GeometryError as error:
            raise GeometryError(error.code, f"offcut {offcut.name}: {error}") from None
    board = shapely.Polygon(rings[0]).difference(
        shapely.union_all([shapely.Polygon(ring) for ring in rings[1:]])
    )
    curved = any(bulge for path in (offcut.outline, *offcut.holes) for bulge in path.bulges)
    # Straight up and across, grown parts stand off by `clear`; aslant no more than half the gap is sure.
    level = shapely.box(*board.bounds).difference(board).area < 1e-6
    off = cutting.margin - (clear if level else cutting.gap / 2.0) + (FLATTEN if curved else 0.0)
    # Mitred, straight edges keep their distance to the last bit, and corners that point inwards rather more.
    room = board.buffer(-off, join_style="mitre")
    if room.is_empty:
        return Bed(empty(Grid(1e-3, 1e-3, 1, 1, 1e-3, 1e-3)), 0.0, 0.0, offcut=offcut)
    x0, y0, x1, y1 = (float(value) for value in np.round(room.bounds, 6))
    on = _grid(x1 - x0, y1 - y0)
    laid = empty(on)
    lacking = shapely.box(x0, y0, x1, y1).difference(room)
    for piece in shapely.get_parts(lacking):
        if piece.geom_type != "Polygon" or piece.area < 1e-6:
            continue
        ends = []
        for index, ring in enumerate((piece.exterior, *piece.interiors)):
            points = np.round(shapely.get_coordinates(ring)[:-1], 6) - (x0, y0)
            if ring.is_ccw != (index == 0):
                points = points[::-1]
            ends.append(np.concatenate((points.T, np.roll(points, -1, axis=0).T)))
        way = Box(0.0, on.width, on.height, 0.0, 0.0, on.columns, on.rows)
        laid = lay(laid, FIXED, obstacle(np.concatenate(ends, axis=1), way), 0.0, 0.0)
    return Bed(laid, x0, y0, offcut=offcut)
