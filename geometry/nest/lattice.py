"""Shapes on whole numbers, in which what lies inside what is decided exactly, on every machine alike.

A lattice has nodes a pitch apart, at which pieces may lie, and 2^20 steps from node to node for their
corners.
"""

from typing import TYPE_CHECKING, NamedTuple, TypeAlias

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray
    from shapely import Polygon

Corners: TypeAlias = "NDArray[np.int64]"

BITS = 20
STEPS = 1 << BITS
"""Steps from node to node."""

WIDEST = 500
"""Nodes that a form may measure: products of three such lengths in steps still are whole numbers of 63 bits."""

_COARSER = 30.0
"""By this part of a pitch a shape of more than so many corners may be enlarged to have fewer."""

_MANY = 24


class Form(NamedTuple):
    """A shape, or an obstacle, on the lattice.

    rings: of each piece without holes that it is made of, its corners, n x 2, steps, anticlockwise. x, y:
    first node that it may touch. columns, rows: nodes from there on.
    """

    rings: "tuple[Corners, ...]"
    x: int
    y: int
    columns: int
    rows: int


def form(shape: "Polygon", pitch: float) -> Form:
    """A polygon with its holes on a lattice of so many mm. One that comes to nothing has no rings."""
    import numpy as np
    import shapely

    rings = []
    for piece in _without_holes(_simpler(shape, pitch / _COARSER)):
        points = np.rint(shapely.get_coordinates(piece.exterior)[:-1] / pitch * STEPS).astype(np.int64)
        corners = _corners(points)
        if len(corners) >= 3:
            rings.append(corners)
    if not rings:
        return Form((), 0, 0, 0, 0)
    every = np.concatenate(rings)
    (x0, y0), (x1, y1) = every.min(axis=0).tolist(), every.max(axis=0).tolist()
    x, y = x0 >> BITS, y0 >> BITS
    return Form(tuple(rings), x, y, -(-x1 >> BITS) - x, -(-y1 >> BITS) - y)


def _simpler(shape: "Polygon", by: float) -> "Polygon":
    """The polygon with fewer corners where it has many, nowhere smaller, and hardly larger than by so many mm."""
    import shapely

    if shapely.get_num_coordinates(shape) < _MANY:
        return shape
    simpler = shapely.simplify(shape, by).buffer(by, join_style="mitre")
    few = shapely.get_num_coordinates(simpler) < 0.75 * shapely.get_num_coordinates(shape)
    return simpler if few and simpler.geom_type == "Polygon" and simpler.is_valid else shape


def area(form: Form) -> int:
    """Area of a form, in square steps."""
    import numpy as np

    twice = 0
    for ring in form.rings:
        x, y = (ring[:, axis] - ring[0, axis] for axis in (0, 1))
        twice += int((x * np.roll(y, -1) - np.roll(x, -1) * y).sum())
    return twice // 2


def _without_holes(shape: "Polygon") -> "list[Polygon]":
    """The polygon cut through its holes, upright, until no piece has one."""
    import shapely

    if not shape.interiors:
        return [shape]
    x0, y0, x1, y1 = shape.bounds
    left, _, right, _ = shape.interiors[0].bounds
    middle = (left + right) / 2.0
    pieces = []
    for half in (shapely.box(x0, y0, middle, y1), shapely.box(middle, y0, x1, y1)):
        for piece in shapely.get_parts(shape.intersection(half)):
            if piece.geom_type == "Polygon":
                pieces += _without_holes(piece)
    return pieces


def _corners(points: "Corners") -> "Corners":
    """A ring without points that repeat or that lie on a straight line, anticlockwise."""
    import numpy as np

    while len(points) >= 3:
        before, after = points - np.roll(points, 1, axis=0), np.roll(points, -1, axis=0) - points
        if not before.any(axis=1).all():
            points = points[before.any(axis=1)]
            continue
        bent = before[:, 0] * after[:, 1] != before[:, 1] * after[:, 0]
        if bent.all():
            break
        points = points[bent]
    x, y = (points[:, axis] - points[:1, axis] for axis in (0, 1))
    turning = int((x * np.roll(y, -1) - np.roll(x, -1) * y).sum()) if len(points) else 0
    return points if turning > 0 else points[::-1]
