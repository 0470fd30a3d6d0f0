"""Cells, searching on them and sliding off them, against the same asked of shapely and of loops."""

import math

import numpy as np
import pytest
import shapely
from hypothesis import assume, given
from hypothesis import strategies as st
from ringwright.geometry.nest.board import Board, empty, find, lay, put
from ringwright.geometry.nest.raster import Grid, bits, cells, grid, runs
from ringwright.geometry.nest.shape import FLATTEN, Pose, box, grow, posed
from ringwright.geometry.path import Path, canonical, closed, flattened

EXACT = 1e-6
GRID = grid(60.0, 40.0, 2.0, 1_000_000)


def edges_of(*rings: Path) -> "np.ndarray[tuple[int, ...], np.dtype[np.float64]]":
    """x0, y0, x1, y1 of the rings' edges as rows."""
    ends = [
        (*start, *end)
        for ring in rings
        for start, end in zip(ring.points, ring.points[1:] + ring.points[:1], strict=True)
    ]
    return np.array(ends).T


def pose_of(outline: Path) -> Pose:
    """A path as it is drawn to be laid, without a gap."""
    return posed(grow(outline, (), 0.0), box(outline, 0.0, 0.0, GRID), GRID)


# Corners on the grid, on a quarter of it and anywhere: edges along cell lines are where a raster goes wrong.
places = (
    st.integers(0, 10).map(lambda n: 2.0 * n)
    | st.integers(0, 40).map(lambda n: n / 2.0)
    | st.floats(0.0, 20.0)
)


@st.composite
def polygons(draw: st.DrawFn) -> Path:
    """A star-shaped polygon or a plate."""
    if draw(st.booleans()):
        x0, y0, x1, y1 = (draw(places) for _ in range(4))
        assume(abs(x1 - x0) > 0.01 and abs(y1 - y0) > 0.01)
        return canonical(closed([(x0, y0), (x1, y0), (x1, y1), (x0, y1)]))
    radii = draw(st.lists(st.floats(1.0, 10.0), min_size=3, max_size=12))
    turn = 2.0 * math.pi / len(radii)
    return closed(
        [(10.0 + r * math.cos(turn * i), 10.0 + r * math.sin(turn * i)) for i, r in enumerate(radii)]
    )


@given(polygons(), st.floats(0.0, 1.99) | st.just(0.0), st.floats(0.0, 1.99) | st.just(0.0))
def test_a_cell_is_taken_where_the_inside_touches_it_and_not_elsewhere(
    polygon: Path, across: float, up: float
) -> None:
    taken = cells(edges_of(polygon), across, up, 12, 12, GRID)
    shape = shapely.Polygon([(x + across, y + up) for x, y in polygon.points])
    for row in range(12):
        for column in range(12):
            cell = shapely.box(2.0 * column, 2.0 * row, 2.0 * column + 2.0, 2.0 * row + 2.0)
            shared = shape.intersection(cell).area
            if shared > 1e-5:
                assert taken[row, column]
            elif not shape.intersects(cell.buffer(1e-5)):
                assert not taken[row, column]


def test_an_edge_along_a_cell_line_does_not_claim_the_next_cell() -> None:
    plate = closed([(2.0, 4.0), (8.0, 4.0), (8.0, 6.0), (2.0, 6.0)])
    taken = cells(edges_of(plate), 0.0, 0.0, 6, 6, GRID)
    assert np.argwhere(taken).tolist() == [[2, 1], [2, 2], [2, 3]]


def test_a_level_edge_between_cell_lines_claims_its_row() -> None:
    sliver = closed([(1.0, 4.5), (9.0, 4.5), (9.0, 4.6), (1.0, 4.6)])
    taken = cells(edges_of(sliver), 0.0, 0.0, 6, 6, GRID)
    assert np.argwhere(taken).tolist() == [[2, column] for column in range(5)]


def test_a_hole_is_free() -> None:
    plate = closed([(0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (0.0, 10.0)])
    hole = closed([(4.0, 4.0), (4.0, 6.0), (6.0, 6.0), (6.0, 4.0)])
    taken = cells(edges_of(plate, hole), 0.0, 0.0, 5, 5, GRID)
    assert np.argwhere(~taken).tolist() == [[2, 2]]


def test_bits_and_runs_say_the_same() -> None:
    taken = np.array([[True, False, True, True], [False, True, True, False]])
    assert bits(taken, 5) == 0b00110_01101
    assert runs(taken) == [(0, 0, 1), (0, 2, 2), (1, 1, 2)]


@pytest.mark.parametrize(("width", "height"), [(60.3, 41.7), (1.2, 0.4), (5000.0, 3000.0)])
def test_cells_divide_the_sheet_evenly(width: float, height: float) -> None:
    on: Grid = grid(width, height, 2.0, 400_000)
    assert on.columns * on.cell_width == pytest.approx(width, rel=1e-12)
    assert on.rows * on.cell_height == pytest.approx(height, rel=1e-12)
    assert on.columns * on.rows <= 401_000


discs = st.floats(0.5, 40.0).map(lambda r: Path(((-r, 0.0), (r, 0.0)), (1.0, 1.0), True))


@given(polygons() | discs, st.sampled_from((0.0, 0.7, 2.0, 4.0, 10.0)))
def test_a_grown_outline_keeps_half_the_gap_and_hardly_more(outline: Path, gap: float) -> None:
    grown = grow(outline, (), gap)
    (ring,) = grown.rings
    ends = shapely.LinearRing(ring)
    part = shapely.Polygon(flattened(outline, 1e-4))
    assert shapely.Polygon(ring).buffer(1e-6).covers(part)
    curved = any(outline.bulges)
    if gap > 0.0 or curved:
        assert ends.distance(part) >= gap / 2.0 + 1e-4 * curved - EXACT
    assert grown.by <= (gap / 2.0 + FLATTEN * curved) * 1.03


def test_an_outline_that_crosses_itself_is_kept_clear_of_as_a_whole() -> None:
    bow = closed([(0.0, 0.0), (10.0, 10.0), (10.0, 0.0), (0.0, 10.0)])
    (ring,) = grow(bow, (), 0.0).rings
    assert shapely.Polygon(ring).equals(shapely.box(0.0, 0.0, 10.0, 10.0))


def taken_cells(board: Board) -> set[int]:
    count = board.grid.columns * board.grid.rows
    return {cell for cell in range(count) if not board.free >> cell & 1}


@given(
    st.lists(st.tuples(polygons(), st.floats(0.0, 35.0), st.floats(0.0, 15.0)), max_size=4),
    polygons(),
    st.integers(0, 300),
)
def test_the_lowest_then_leftmost_free_place_is_found(
    obstacles: list[tuple[Path, float, float]], polygon: Path, start: int
) -> None:
    board = empty(GRID)
    for key, (outline, x, y) in enumerate(obstacles):
        board = lay(board, key, pose_of(outline), x, y)
    pose = pose_of(polygon)
    own = [
        (int(row), int(column))
        for row, column in np.argwhere(cells(pose.edges, 0.0, 0.0, pose.box.columns, pose.box.rows, GRID))
    ]
    taken = taken_cells(board)
    free = [
        row * 30 + column
        for row in range(20 - pose.box.rows + 1)
        for column in range(30 - pose.box.columns + 1)
        if row * 30 + column >= start and not any((row + r) * 30 + column + c in taken for r, c in own)
    ]
    assert find(board, pose, start, GRID.rows) == (free[0] if free else None)


@given(st.lists(polygons(), min_size=2, max_size=8))
def test_pieces_come_to_rest_without_overlap(polygons: list[Path]) -> None:
    board = empty(GRID)
    laid: list[shapely.Polygon] = []
    for key, outline in enumerate(polygons):
        pose = pose_of(outline)
        cell = find(board, pose, 0, GRID.rows)
        if cell is None:
            continue
        board = put(board, key, pose, cell)
        piece = board.pieces[-1]
        row, column = divmod(cell, GRID.columns)
        assert piece.x <= column * GRID.cell_width
        assert piece.y <= row * GRID.cell_height
        shape = shapely.Polygon(
            [(x + piece.x + pose.box.x, y + piece.y + pose.box.y) for x, y in outline.points]
        )
        assert shape.bounds[0] >= -1e-9
        assert shape.bounds[1] >= -1e-9
        for other in laid:
            assert shape.intersection(other).area <= 1e-6 * (shape.length + other.length)
        laid.append(shape)
    assert laid


def test_a_plate_slides_down_until_it_stands_on_another() -> None:
    plate = closed([(0.0, 0.0), (9.1, 0.0), (9.1, 3.3), (0.0, 3.3)])
    pose = pose_of(plate)
    board = put(put(empty(GRID), 0, pose, 0), 1, pose, GRID.columns * 6 + 3)
    assert board.pieces[1].x == 0.0
    assert board.pieces[1].y == pytest.approx(3.3, abs=1.1e-6)
    assert board.pieces[1].y >= 3.3
