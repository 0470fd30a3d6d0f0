"""Parts as solids against trimesh: every mesh is closed, and its volume, centroid and inertia are those that the
balance is reckoned with, which come from integrals over the drawing and know no mesh.
"""

from collections import Counter
from functools import cache
from pathlib import Path

import numpy as np
import pytest
import trimesh
from hypothesis import assume, given
from hypothesis import strategies as st
from ringwright.geometry import outline, path, place
from ringwright.geometry.blank import Seam, blank
from ringwright.geometry.inertia import spread_of
from ringwright.geometry.mass import measure
from ringwright.geometry.part import Bent, Bevel, Flat, Groove, Part, Placement, Stock
from ringwright.geometry.ring import ring
from ringwright.geometry.solid.lay import lay_of
from ringwright.geometry.solid.measure import centre, volume
from ringwright.geometry.solid.mesh import Solid, solids_of
from ringwright.geometry.wrap.section import across
from ringwright.geometry.wrap.sheet import sheet
from ringwright.geometry.wrap.strip import skin
from ringwright.geometry.wrap.surface import facets
from ringwright.geometry.wrap.weigh import weighed
from ringwright.lang.pipeline import compile_spec

SPECS = Path(__file__).parents[2] / "specs"
DEMOS = [spec for spec in sorted(SPECS.rglob("*.wright")) if spec.name != "workshop-stock.wright"]
BOARD = Stock("board", "", "foamboard", 4.8, 762, 508, "none", 340e-6, 0.3, None, "peeled", 0.5, 25)


def as_trimesh(*solids: Solid) -> trimesh.Trimesh:
    return trimesh.util.concatenate(
        [trimesh.Trimesh(np.array(s.vertices), np.array(s.triangles), process=False) for s in solids]
    )


def is_closed(solid: Solid) -> bool:
    """Every edge is gone along as often one way as the other: more than once where two corners touch."""
    ways = Counter(edge for a, b, c in solid.triangles for edge in ((a, b), (b, c), (c, a)))
    return all(count == ways[b, a] for (a, b), count in ways.items())


def area(corners: tuple[path.Point, ...]) -> float:
    return abs(path.signed_area(path.closed(corners)))


def facets_of(each: Part) -> float:
    """Volume of a sheet with all that its facets have, strips beyond them apart."""
    assert each.placement is not None
    lay = lay_of(each.placement, each.stock)
    return sum(area(patch.flat) for patch in lay.patches) * each.stock.thickness


def part(shape: path.Path, placement: Placement, holes: tuple[path.Path, ...] = ()) -> Part:
    found = measure(shape, holes, (), (), BOARD, placement)
    return Part(
        "p", "p", "p", "", BOARD, 1, shape, holes, (), (), (), (), (), (), (), "free", placement, found
    )  # fmt: skip


def spread(mesh: trimesh.Trimesh) -> np.ndarray:
    """Mean of (r - c)(r - c)' over a mesh's volume: half its trace less trimesh's moments of inertia."""
    moments = np.array(mesh.moment_inertia) / mesh.volume
    return np.eye(3) * np.trace(moments) / 2 - moments


@cache
def parts_of(spec: Path) -> tuple[Part, ...]:
    compiled = compile_spec(spec.name, lambda name: (spec.parent / name).read_bytes())
    assert compiled.design is not None
    return compiled.design.parts


@pytest.mark.parametrize("spec", DEMOS, ids=lambda spec: spec.stem)
def test_every_part_of_the_demos(spec: Path) -> None:
    placed = [each for each in parts_of(spec) if each.placement is not None]
    assert placed
    for each in placed:
        solids = solids_of(each)
        mesh = as_trimesh(*solids)
        assert all(is_closed(solid) for solid in solids), each.id
        assert volume(solids[0]) == pytest.approx(mesh.volume / len(solids), rel=1e-9), each.id
        outer = abs(path.signed_area(each.outline)) * each.stock.thickness
        strips = not isinstance(each.placement, Flat) and facets_of(each) < 0.995 * outer
        if strips or each.peels or each.grooves or each.bevels or each.others or not each.properties.centroid:
            continue  # weighed with strips that lie over a neighbour, cut square, or all copies together
        assert mesh.volume == pytest.approx(each.properties.area * each.stock.thickness, rel=4e-3), each.id
        assert mesh.center_mass == pytest.approx(np.array(each.properties.centroid), abs=0.3), each.id
        if isinstance(each.placement, Bent) and (each.holes or mesh.volume < 0.995 * facets_of(each)):
            continue  # the spread of a bent sheet is that of all its facets, openings and cuts left in
        xx, yy, zz, xy, xz, yz = spread_of(each)
        want = np.array([[xx, xy, xz], [xy, yy, yz], [xz, yz, zz]])
        assert spread(mesh) == pytest.approx(want, abs=4e-3 * (xx + yy + zz)), each.id


sizes = st.floats(20.0, 200.0)


@given(start=sizes, end=sizes, length=st.floats(10.0, 120.0), turn=st.floats(-3.0, 3.0))
def test_a_ring_is_what_trimesh_revolves(start: float, end: float, length: float, turn: float) -> None:
    """trimesh.creation.revolve of the wall's section, on the same chords."""
    assume(abs(end - start) < 2 * length)  # steeper ones leave little inside
    made = ring(start + 12, end + 12, length, BOARD.thickness, BOARD.neutral)
    flat = blank(made, Seam("butt"))
    placed = place.rolled(flat, (7, -3, 5), place.AFT, place.UP, place.STARBOARD, turn)
    pieces = [part(flat.outline, each) for each in placed]
    solids = [solid for piece in pieces for solid in solids_of(piece)]
    mesh = as_trimesh(*solids)
    assert mesh.is_watertight
    section = [
        (made.start_inside / 2, 0.0),
        (made.start / 2, 0.0),
        (made.end / 2, length),
        (made.end_inside / 2, length),
        (made.start_inside / 2, 0.0),
    ]
    want = trimesh.creation.revolve(section, sections=2000)
    assert mesh.volume == pytest.approx(abs(want.volume), rel=0.1 / (min(start, end) / 2))
    along = mesh.center_mass[0] - 7
    assert along == pytest.approx(want.center_mass[2], abs=0.02)


@given(size=st.floats(60.0, 150.0), ratio=st.floats(0.5, 1.0), long=st.floats(30.0, 150.0))
def test_a_skin_weighs_as_it_is_thick(size: float, ratio: float, long: float) -> None:
    """A closed skin between an oval and a circle, whose bent layers have the drawing's area on average (k = 0.5)."""
    first, second = outline.superellipse(size, size * ratio, 2.5), outline.circle(size * 0.8)
    made = sheet(skin([across(first, 0.0), across(second, long)]).strips[0].surface)
    found = weighed(made.surface, made.outline, (), (), (), BOARD)
    bent = part(made.outline, place.top_frame(0.0))._replace(
        placement=Bent(facets(made.surface)), properties=found
    )
    mesh = as_trimesh(*solids_of(bent))
    assert mesh.is_watertight
    assert mesh.volume == pytest.approx(found.area * BOARD.thickness, rel=0.01)
    assert mesh.center_mass == pytest.approx(np.array(found.centroid), abs=0.25)


def test_a_bevelled_disc_is_a_frustum() -> None:
    """pi h (a² + ab + b²) / 3; trimesh finds the same on its chords."""
    disc = path.canonical(outline.circle(90))
    for drawn, back in ((0.0, 3.0), (3.0, 0.0)):
        plate = part(disc, place.top_frame(0.0))._replace(bevels=(Bevel(outline.circle(90), drawn, back),))
        (solid,) = solids_of(plate)
        assert as_trimesh(solid).volume == pytest.approx(
            np.pi * 4.8 * (45**2 + 45 * 42 + 42**2) / 3, rel=2e-3
        )
        assert (centre(solid)[2] > -2.4) == (back > 0)


def test_an_opening_in_a_bent_wall_and_a_groove() -> None:
    """Both take what the drawing says: area times depth, of a wall bent about its middle layer."""
    made = ring(100, 100, 60, BOARD.thickness, 0.5)
    flat = blank(made, Seam("butt"))
    (placed,) = place.rolled(flat, (0, 0, 0), place.AFT, place.UP, place.STARBOARD, 0.0)
    hole = path.as_hole(path.moved(outline.circle(20), (100, 30)))
    whole, holed = (as_trimesh(*solids_of(part(flat.outline, placed, holes))) for holes in ((), (hole,)))
    assert holed.is_watertight
    assert whole.volume - holed.volume == pytest.approx(np.pi * 100 * 4.8, rel=6e-3)
    square = path.canonical(outline.rect(60, 40))
    plate = part(square, place.top_frame(0.0))
    grooved = plate._replace(grooves=(Groove(path.canonical(outline.rect(60, 5)), 4.5, 5.0),))
    (solid,) = solids_of(grooved)
    assert volume(solid) == pytest.approx(60 * 40 * 4.8 - 60 * 5 * 4.5, rel=1e-9)
    assert centre(solid)[2] < -2.4
