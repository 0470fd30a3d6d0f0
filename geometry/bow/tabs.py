"""Glue tabs along a curved seam: of even depth, with a notch down to the fold between any two, so that they lie
flat when folded over.
"""

from ringwright.geometry.along import cut
from ringwright.geometry.path import Path, length, piece_length, pieces, point_at

_LEAN = 0.35
"""How far a tab's free corners stand back from its sides, as a share of its depth (our choice)."""


def tabbed(edge: Path, depth: float, pitch: float) -> Path:
    """An edge that runs up the right side of a gore, with tabs to its right, depth and pitch in mm.

    They end where the gore is narrower than they are deep: beyond, they would pass the neighbour they are
    glued to. The rest of the edge stays as it is.
    """
    reach = _reach(edge, depth)
    count = max(1, round(reach / pitch))
    if reach < depth:
        return edge
    points = [edge.points[0]]
    for tab in range(count):
        start, end = reach * tab / count, reach * (tab + 1) / count
        lean = min(_LEAN * depth, 0.3 * (end - start))
        for run, back in ((start, lean), (end, -lean)):
            (x, y), (dx, dy) = point_at(edge, run)
            points.append((x + depth * dy + back * dx, y - depth * dx + back * dy))
        points.append(point_at(edge, end)[0])
    rest = _rest(edge, reach)
    return Path((*points, *rest.points[1:]), (0.0,) * (len(points) - 1) + rest.bulges, False)


def _reach(edge: Path, depth: float) -> float:
    """Length along the edge up to which the gore is as wide as the tabs are deep."""
    whole = length(edge)
    steps = 200
    for step in range(steps + 1):
        if 2 * point_at(edge, whole * step / steps)[0][0] < depth:
            return whole * max(0, step - 1) / steps
    return whole


def _rest(edge: Path, run: float) -> Path:
    """What follows of an edge after a length."""
    kept = []
    for piece in pieces(edge):
        along = piece_length(piece)
        if run < along:
            kept.append(cut(piece, max(0.0, run / along), 1.0))
        run -= along
    if not kept:
        return Path(edge.points[-1:], (), False)
    return Path(tuple(piece[0] for piece in kept) + (kept[-1][1],), tuple(piece[2] for piece in kept), False)
