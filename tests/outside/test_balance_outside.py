"""Weight and balance against worked examples of aviation handbooks, and moments of inertia against meshes.

FAA publications are in the public domain. The examples are in pounds and inches, and so are the specs here.
"""

import math

import numpy as np
import pytest
import trimesh
from ringwright.geometry import outline, path, place
from ringwright.geometry.blank import Seam, blank
from ringwright.geometry.inertia import spread_of
from ringwright.geometry.mass import ballast, measure
from ringwright.geometry.part import Flat, Part, Placement, Stock
from ringwright.geometry.path import Path
from ringwright.geometry.place import in_space
from ringwright.geometry.ring import ring
from ringwright.lang.pipeline import Compiled, compile_spec

POUND, INCH = 453.59237, 25.4
MODEL = 'model test { title = "Test" }\n'
BOARD = Stock("board", "", "foam", 4.0, 762, 508, "none", 450e-6, 0.0, None, "plain", 0.5, 0.0)


def weighed(text: str) -> Compiled:
    found = compile_spec("main.wright", lambda _: (MODEL + text).encode())
    assert not found.failed, found.findings
    return found


def loads(items: list[tuple[float, float]]) -> str:
    return "".join(f"load item_{n} {{ mass = {w} lb, at = {x} in }}\n" for n, (w, x) in enumerate(items))


@pytest.mark.parametrize(
    ("items", "weight", "moment"),
    [
        # FAA AC 43.13-1B, Acceptable Methods, Techniques, and Practices, 1998, ch. 10, Figure 10-10: most forward
        # loaded CG. It prints the empty moment 12391 for 1169 lb, and 11.2 in.
        ([(1169, 12391 / 1169), (17, -49), (170, 16), (83, 22)], 1439, 16104),
        # The same, Figure 10-13: maximum passengers. It prints 18.6 in where its own sums give 18.3: the sums count.
        ([(1169, 12391 / 1169), (17, -49), (170, 16), (170, 16), (340, 48), (234, 22)], 2100, 38466),
        # Own arithmetic in the manner of FAA-H-8083-1B, ch. 2 (law of the lever): 100, 100 and 200 lb at 0, 80, 100 in.
        ([(100, 0), (100, 80), (200, 100)], 400, 28000),
    ],
)
def test_loading_schedules(items: list[tuple[float, float]], weight: float, moment: float) -> None:
    found = weighed(loads(items))
    assert found.design is not None
    mass, at = (found.design.values[f"test.{name}"] for name in ("mass", "balance_x"))
    assert mass / POUND == pytest.approx(weight, rel=1e-9)
    assert mass * at / POUND / INCH == pytest.approx(moment, abs=1.0)


def test_the_forward_limit_as_it_is_printed() -> None:
    """FAA AC 43.13-1B, Figure 10-10: 11.2 in."""
    found = weighed(loads([(1169, 10.6), (17, -49), (170, 16), (83, 22)]))
    assert found.design is not None
    assert found.design.values["test.balance_x"] / INCH == pytest.approx(11.2, abs=0.05)


@pytest.mark.parametrize(
    ("whole", "at", "shifted", "start", "end", "after", "near"),
    [
        # FAA-H-8083-25, Pilot's Handbook of Aeronautical Knowledge, 'Shifting, Adding, and Removing Weight': 8000 lb
        # with 616 000 lb.in, 100 lb from station 30 to 150: 78.5 in.
        (8000, 77.0, 100, 30, 150, 78.5, 1e-3),
        # Humble Aviation, open tutorial, weight shift proportion formula, example one: 2700 lb, 180 lb from 110 to 142:
        # 2.13 in.
        (2700, 100.0, 180, 110, 142, 102.13, 5e-3),
    ],
)
def test_weight_shifts(
    whole: float, at: float, shifted: float, start: float, end: float, after: float, near: float
) -> None:
    rest = (whole * at - shifted * start) / (whole - shifted)

    def balance(x: float) -> float:
        found = weighed(loads([(whole - shifted, rest), (shifted, x)]))
        assert found.design is not None
        return found.design.values["test.balance_x"] / INCH

    assert balance(start) == pytest.approx(at, abs=1e-6)
    assert balance(end) == pytest.approx(after, abs=near)


def test_permanent_ballast() -> None:
    """FAA-H-8083-1B, Aircraft Weight and Balance Handbook, ch. 7: 1876 lb at +32.2, forward limit +33.0, ballast at
    station 228 (limit, station and the printed 7.7 lb from memory).
    """
    found = weighed(loads([(1876, 32.2)]) + "balance { target = 33.0 in, ballast_at = 228 in }\n")
    assert found.design is not None
    assert found.design.values["balance.ballast"] / POUND == pytest.approx(7.7, abs=0.05)


def test_the_ballast_formula() -> None:
    """Weight x (wanted CG - CG) / (ballast arm - wanted CG): Virginia CTE, Aviation Maintenance Technology II."""
    for weight, at, target, arm in ((310.0, 98.0, 90.0, -60.0), (1450.0, 12.0, 25.0, 400.0)):
        wanted = weight * (target - at) / (arm - target)
        assert ballast([(weight, at)], target, arm) == pytest.approx(wanted, rel=1e-12)


def test_the_usual_balance_points_lie_within_what_the_trade_says() -> None:
    """25 to 33 % of the mean chord for a first flight: common practice, no published source."""
    wing = "panel wing { outline = rect(9 mm, 9 mm), stock = board, place = (0 mm, 0 mm, 0 mm), let mean_chord = 200 mm, let mean_chord_x = 50 mm }\n"
    board = "stock board { kind = foam, thickness = 4 mm, sheet = 700 mm by 500 mm, mass = 400 g/m2 }\n"
    found = weighed(
        board + wing + loads([(1, 4)]) + "balance { target = behind(wing, 25 %) to behind(wing, 33 %) }\n"
    )
    assert found.design is not None
    assert found.design.weighed is not None
    wanted = found.design.weighed.wanted
    assert wanted is not None
    assert (wanted.low, wanted.high) == pytest.approx((100, 116))


# -- moments of inertia of solids, by trimesh -------------------------------------------------------


def part(shape: Path, placement: Placement, holes: tuple[Path, ...] = ()) -> Part:
    found = measure(shape, holes, (), (), BOARD, placement)
    return Part(
        "p", "p", "p", "", BOARD, 1, shape, holes, (), (), (), (), (), (), (), "free", placement, found
    )  # fmt: skip


def spread_of_mesh(mesh: trimesh.Trimesh) -> np.ndarray:
    """Second moments of a solid about its centroid, over its volume: from its inertia tensor J they are tr(J)/2 - J."""
    tensor = mesh.moment_inertia / mesh.volume
    return np.trace(tensor) / 2 * np.eye(3) - tensor


def matrix(spread: tuple[float, ...]) -> np.ndarray:
    xx, yy, zz, xy, xz, yz = spread
    return np.array([[xx, xy, xz], [xy, yy, yz], [xz, yz, zz]])


@pytest.mark.parametrize(
    "frame", [place.section_frame(118, 0, 7), place.side_frame(-40), place.top_frame(30)]
)
def test_flat_parts_against_solids(frame: Placement) -> None:
    """trimesh: an L with a hole in it, put together from boxes as thick as the sheet."""
    shape = path.closed([(0, 0), (90, 0), (90, 25), (30, 25), (30, 70), (0, 70)])
    hole = path.as_hole(outline.moved(outline.rect(10, 14), (14, 40)))
    made = part(shape, frame, (hole,))
    assert isinstance(frame, Flat)
    normal = np.cross(np.array(frame.u), np.array(frame.v))
    boxes = []
    for x0, x1, y0, y1 in ((0, 9, 0, 70), (9, 19, 0, 33), (9, 19, 47, 70), (19, 30, 0, 70), (30, 90, 0, 25)):
        solid = trimesh.creation.box(bounds=[(x0, y0, -BOARD.thickness), (x1, y1, 0)])
        corners = np.array([in_space(frame, (x, y)) for x, y, _ in solid.vertices])
        boxes.append(trimesh.Trimesh(corners + np.outer(solid.vertices[:, 2], normal), solid.faces))
    turned = trimesh.util.concatenate(boxes)
    assert turned.volume == pytest.approx(BOARD.thickness * made.properties.area)
    assert made.properties.centroid == pytest.approx(turned.center_mass, abs=1e-6)
    assert matrix(spread_of(made)) == pytest.approx(spread_of_mesh(turned), abs=1e-4)


@pytest.mark.parametrize(("start", "end"), [(120, 120), (130, 90), (80, 120)])
def test_rolled_parts_against_solids(start: float, end: float) -> None:
    """trimesh: the wall of a ring as a solid, a fine fan of prisms. A wall of 4 mm on ø 120 is heavier outside than a
    bent sheet by what it was stretched, so that the two agree to half a per cent."""
    sheet = blank(ring(start, end, 50, BOARD.thickness, 0.5), Seam("butt"))
    (placed,) = place.rolled(sheet, (20, 0, 5), place.AFT, place.UP, place.STARBOARD, 0.7)
    made = part(sheet.outline, placed)
    wall = BOARD.thickness / math.cos(math.atan2(abs(start - end) / 2, 50))
    count = 720
    turns = np.linspace(0, 2 * math.pi, count, endpoint=False)
    rims = [(20.0, start / 2), (20.0, start / 2 - wall), (70.0, end / 2 - wall), (70.0, end / 2)]
    vertices = np.array([(x, r * math.sin(t), 5 + r * math.cos(t)) for t in turns for x, r in rims])
    faces = []
    for n in range(count):
        a, b = 4 * n, 4 * ((n + 1) % count)
        for i in range(4):
            j = (i + 1) % 4
            faces += [(a + i, a + j, b + j), (a + i, b + j, b + i)]
    solid = trimesh.Trimesh(vertices, faces)
    solid.fix_normals()
    assert solid.is_watertight
    assert made.properties.centroid == pytest.approx(solid.center_mass, abs=0.15)
    ours, theirs = matrix(spread_of(made)), spread_of_mesh(solid)
    assert np.diag(ours) == pytest.approx(np.diag(theirs), rel=5e-3)
    assert ours - np.diag(np.diag(ours)) == pytest.approx(np.zeros((3, 3)), abs=1e-6)
