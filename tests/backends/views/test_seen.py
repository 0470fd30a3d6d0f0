"""Hidden lines: boxes whose edges can be counted, and every drawn and hidden spot tried with rays of its own."""

import math
from collections.abc import Callable
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from ringwright.backends.views.looking import FRONT, ISOMETRIC, SIDE, TOP, Look
from ringwright.backends.views.model_views import view_of
from ringwright.backends.views.seen import Seen, seen
from ringwright.geometry.part import Part, Vector
from ringwright.geometry.path import closed, length
from ringwright.geometry.place import section_frame
from ringwright.geometry.solid.mesh import Solid, solids_of


def box(low: Vector, high: Vector, name: str = "box") -> Solid:
    """A box as a solid."""
    corners = [(x, y, z) for x in (low[0], high[0]) for y in (low[1], high[1]) for z in (low[2], high[2])]
    quads = [(0, 1, 3, 2), (4, 6, 7, 5), (0, 4, 5, 1), (2, 3, 7, 6), (0, 2, 6, 4), (1, 5, 7, 3)]
    triangles = [t for a, b, c, d in quads for t in ((a, b, c), (a, c, d))]
    return Solid(name, 1, tuple(corners), tuple(triangles))


def drawn(found: Seen) -> float:
    return math.fsum(map(length, (*found.rims, *found.lines)))


def test_a_box_shows_nine_edges() -> None:
    found = seen([box((0, 0, 0), (10, 20, 30))], ISOMETRIC)
    assert math.fsum(map(length, found.rims)) == pytest.approx(2 * (10 + 20 + 30), abs=0.05)
    assert math.fsum(map(length, found.lines)) == pytest.approx(10 + 20 + 30, abs=0.05)


@pytest.mark.parametrize(("look", "size"), [(SIDE, (10, 30)), (TOP, (10, 20)), (FRONT, (20, 30))])
def test_from_square_before_it_is_its_outline(look: Look, size: tuple[float, float]) -> None:
    found = seen([box((0, 0, 0), (10, 20, 30))], look)
    assert drawn(found) == pytest.approx(2 * sum(size), abs=0.05)
    assert not found.lines


def test_what_lies_behind_is_left_out() -> None:
    far, near = box((2, 30, 2), (8, 40, 8), "far"), box((0, 0, 0), (10, 20, 30), "near")
    assert drawn(seen([far, near], SIDE)) == pytest.approx(drawn(seen([near], SIDE)))
    assert drawn(seen([far, near], SIDE, [far])) == 0
    # Half of it looks out at the left: three edges, of which two are cut short.
    half = box((-6, 30, 2), (6, 40, 8), "half")
    assert drawn(seen([half, near], SIDE, [half])) == pytest.approx(6 + 6 + 6, abs=0.05)


def test_nothing_of_nothing() -> None:
    assert seen([], SIDE) == Seen((), ())


def hits(spots: np.ndarray, eye: np.ndarray, solids: list[Solid]) -> np.ndarray:
    """Whether a ray from each spot to the eye meets a triangle, by Cramer's rule."""
    found = np.zeros(len(spots), dtype=bool)
    for solid in solids:
        points = np.array(solid.vertices)
        for a, b, c in solid.triangles:
            edges = np.stack([points[b] - points[a], points[c] - points[a], -eye], axis=1)
            if abs(np.linalg.det(edges)) < 1e-9:
                continue
            u, v, reach = np.linalg.solve(edges, (spots - points[a]).T)
            found |= (u > -1e-3) & (v > -1e-3) & (u + v < 1 + 1e-3) & (reach > 0.2)
    return found


EDGES = [(0, 1), (1, 3), (3, 2), (2, 0), (4, 5), (5, 7), (7, 6), (6, 4), (0, 4), (1, 5), (2, 6), (3, 7)]
cuboids = st.tuples(*[st.integers(-20, 20)] * 3, *[st.integers(3, 25)] * 3)


@given(st.lists(cuboids, min_size=2, max_size=4))
def test_rays_agree(given: list[tuple[int, ...]]) -> None:
    """Along every edge of every box: what no ray to the eye finds anything before is drawn."""
    import shapely

    solids = [box((x, y, z), (x + a, y + b, z + c), str(k)) for k, (x, y, z, a, b, c) in enumerate(given)]
    found = seen(solids, ISOMETRIC)
    lines = shapely.union_all([shapely.LineString(p.points) for p in (*found.rims, *found.lines)])
    eye, aside = np.array(ISOMETRIC.eye), 0.3 * np.array(ISOMETRIC.right)
    for solid in solids:
        for a, b in EDGES:
            ends = np.array([solid.vertices[a], solid.vertices[b]])
            spots = ends[0] + np.linspace(0.07, 0.93, 12)[:, None] * (ends[1] - ends[0])
            near = shapely.distance(lines, shapely.points([ISOMETRIC.at(tuple(s)) for s in spots])) < 0.03
            free = ~(
                hits(spots, eye, solids) | hits(spots + aside, eye, solids) | hits(spots - aside, eye, solids)
            )
            assert near[free].all()


def test_no_line_is_drawn_that_a_ray_finds_hidden(make_part: Callable[..., Part]) -> None:
    """Plates one behind another: from the front the first alone is seen."""
    frame = closed([(-30, -20), (30, -20), (30, 20), (-30, 20)])
    plates = [make_part(f"p{x}", frame, placement=section_frame(float(x))) for x in (0, 40, 80)]
    solids = [solid for plate in plates for solid in solids_of(plate)]
    whole = drawn(seen(solids, FRONT))
    assert whole == pytest.approx(2 * (60 + 40), abs=0.1)


def test_bold_is_the_part_that_is_meant() -> None:
    solids = [box((0, 0, 0), (10, 20, 30), "one"), box((12, 0, 0), (22, 20, 30), "two")]
    view = view_of(solids, ISOMETRIC, 1.0, frozenset(["one"]))
    wide = [stroke for stroke in view.strokes if stroke.width > 0.3]
    points = [point for stroke in wide for pair in pairwise(stroke.path.points) for point in pair]
    corners = [ISOMETRIC.at(c) for c in solids[0].vertices]
    assert all(min(c[0] for c in corners) - 0.1 <= x <= max(c[0] for c in corners) + 0.1 for x, _ in points)
    assert wide
