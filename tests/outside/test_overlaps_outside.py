"""Overlaps against scipy: what two plates have in common is convex, and Qhull knows its volume. And the demos: no two
parts of theirs lie in one another, of a stack neither, and every slot that takes a sheet has one in it.
"""

import math
from pathlib import Path

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from ringwright.geometry import path
from ringwright.geometry.mass import measure
from ringwright.geometry.part import Flat, Part, Stock
from ringwright.geometry.solid.overlap import overlaps
from ringwright.lang.components.project import reader
from ringwright.lang.pipeline import compile_spec
from scipy.optimize import linprog
from scipy.spatial import ConvexHull, HalfspaceIntersection, QhullError

SPECS = Path(__file__).parents[2] / "specs"
DEMOS = [spec for spec in sorted(SPECS.rglob("*.wright")) if spec.name != "workshop-stock.wright"]
BOARD = Stock("board", "", "foamboard", 6.0, 762, 508, "none", 450e-6, 0.3, None, "peeled", 0.5, 25)


def plate(id: str, frame: Flat) -> Part:
    shape = path.closed([(-30, -20), (30, -20), (30, 20), (-30, 20)])
    found = measure(shape, (), (), (), BOARD, frame)
    return Part(
        id, id, id, "", BOARD, 1, shape, (), (), (), (), (), (), (), (), "free", frame, found
    )  # fmt: skip


def turned(yaw: float, pitch: float, roll: float, at: tuple[float, float, float]) -> Flat:
    c, s, p, q, r, t = (
        math.cos(yaw),
        math.sin(yaw),
        math.cos(pitch),
        math.sin(pitch),
        math.cos(roll),
        math.sin(roll),
    )
    u = (c * p, s * p, -q)
    v = (c * q * t - s * r, s * q * t + c * r, p * t)
    return Flat(at, u, v)


def halfspaces(frame: Flat) -> np.ndarray:
    o, u, v = (np.array(each) for each in frame)
    n = np.cross(u, v)
    rows = []
    for way, low, high in ((u, -30, 30), (v, -20, 20), (n, -BOARD.thickness, 0)):
        rows += [[*way, -(way @ o) - high], [*-way, (way @ o) + low]]
    return np.array(rows)


def shared(one: Flat, other: Flat) -> tuple[float, float]:
    """Volume of what two plates share, and the radius of the largest ball in it (by linear programming)."""
    rows = np.concatenate([halfspaces(one), halfspaces(other)])
    norm = np.linalg.norm(rows[:, :3], axis=1)
    solved = linprog(
        [0, 0, 0, -1],
        A_ub=np.c_[rows[:, :3], norm],
        b_ub=-rows[:, 3],
        bounds=[(None, None)] * 3 + [(0, None)],
    )
    if not solved.success or solved.x[3] < 1e-6:
        return 0.0, 0.0
    try:
        points = HalfspaceIntersection(rows, solved.x[:3]).intersections
        return float(ConvexHull(points).volume), float(solved.x[3])
    except QhullError:
        return 0.0, 0.0


angles = st.floats(-1.5, 1.5)
places = st.tuples(*[st.floats(-25, 25)] * 3)


@given(angles, angles, angles, places)
def test_two_plates_as_they_may_lie(
    yaw: float, pitch: float, roll: float, at: tuple[float, float, float]
) -> None:
    one, other = turned(0, 0, 0, (0, 0, 0)), turned(yaw, pitch, roll, at)
    volume, radius = shared(one, other)
    found = overlaps([plate("one", one), plate("other", other)])
    assume(not 0.1 < radius < 0.8)  # about as deep as the tolerance
    assert bool(found) == (radius >= 0.8)
    if found:
        assert found[0].volume == pytest.approx(volume, rel=0.12, abs=5)


@pytest.mark.parametrize("spec", DEMOS, ids=lambda spec: spec.stem)
def test_no_two_parts_of_a_demo_lie_in_one_another(spec: Path) -> None:
    compiled = compile_spec(spec.name, reader(spec.parent), assembled=True)
    assert compiled.design is not None
    assert overlaps(compiled.design.parts) == ()
    assert not [f.message for f in compiled.findings if f.code in ("parts-overlap", "slot-empty")]


@pytest.mark.parametrize("spec", DEMOS, ids=lambda spec: spec.stem)
def test_a_part_that_lies_in_another_is_found(spec: Path) -> None:
    """Each part of a demo with a second one in its place: that one, and as deep as thin sheet is thick."""
    compiled = compile_spec(spec.name, reader(spec.parent))
    assert compiled.design is not None
    placed = [each for each in compiled.design.parts if each.placement is not None]
    for each in placed[:: max(1, len(placed) // 6)]:
        (found,) = overlaps([each, each._replace(id="copy", component="copy", edges=())])
        assert found.deep >= 0.5 * min(each.stock.thickness, 4), each.id
