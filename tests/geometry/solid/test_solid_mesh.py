"""Meshes of parts: where their vertices lie, how many copies there are, and what a mirror shows."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from ringwright.geometry import outline, path, place
from ringwright.geometry.blank import Seam, blank
from ringwright.geometry.bow.dome import dome
from ringwright.geometry.bow.gore import gore
from ringwright.geometry.bow.petals import petals
from ringwright.geometry.inertia import spread_of
from ringwright.geometry.mass import measure
from ringwright.geometry.mirror import other_hand
from ringwright.geometry.part import Bent, Bevel, Facet, Part, Placement, Stock
from ringwright.geometry.ring import ring
from ringwright.geometry.solid.measure import box_of, centre, volume
from ringwright.geometry.solid.mesh import Solid, solids_of

CARD = Stock("card", "", "card", 0.4, 297, 420, "none", 280e-6, 0.0, None, "plain", 0.5, 5)


def part(shape: path.Path, placement: Placement | None, stock: Stock = CARD) -> Part:
    found = measure(shape, (), (), (), stock, placement)
    return Part(
        "p", "p", "p", "", stock, 1, shape, (), (), (), (), (), (), (), (), "free", placement, found
    )  # fmt: skip


def is_closed(solid: Solid) -> bool:
    """Every edge has one triangle on either side."""
    edges = [edge for a, b, c in solid.triangles for edge in ((a, b), (b, c), (c, a))]
    return len(set(edges)) == len(edges) and all((b, a) in set(edges) for a, b in edges)


def test_a_plate_lies_behind_its_drawn_face() -> None:
    plate = part(path.canonical(outline.rect(120, 60)), place.section_frame(50, 10, 20))
    (solid,) = solids_of(plate)
    assert is_closed(solid)
    assert box_of(solid) == (pytest.approx((49.6, -50, -10)), pytest.approx((50, 70, 50)))
    assert volume(solid) == pytest.approx(120 * 60 * 0.4)
    assert centre(solid) == pytest.approx(plate.properties.centroid)


def test_what_has_no_place_has_no_solid() -> None:
    assert solids_of(part(path.canonical(outline.rect(10, 10)), None)) == ()


@given(
    start=st.floats(20, 200), end=st.floats(20, 200), k=st.floats(0, 1), thick=st.floats(0.2, 5)
)  # k: which layer keeps its length
def test_a_ring_lies_between_its_diameters(start: float, end: float, k: float, thick: float) -> None:
    stock = CARD._replace(thickness=thick, neutral=k)
    made = ring(start + 12, end + 12, 40, thick, k)
    flat = blank(made, Seam("butt"))
    (placed,) = place.rolled(flat, (0, 0, 0), place.AFT, place.UP, place.STARBOARD, 0.3)
    (solid,) = solids_of(part(flat.outline, placed, stock))
    assert is_closed(solid)
    for x, y, z in solid.vertices:
        share = x / 40
        outside = (made.start + share * (made.end - made.start)) / 2
        inside = (made.start_inside + share * (made.end_inside - made.start_inside)) / 2
        assert min(abs(math.hypot(y, z) - radius) for radius in (inside, outside)) < 1e-6


def test_a_dome_of_gores_is_round() -> None:
    """Thirty gores of thin card: all corners 0.2 mm inside the sphere and outside it, and their middle half way up."""
    profile = dome(100, 50)
    made = gore(profile, 30, depth=0.2)
    places = petals(made, profile, 0.2, (7, 0, 0), place.AFT, place.UP, place.STARBOARD)
    whole = part(made.outline, places[0])._replace(others=places[1:])
    solids = solids_of(whole)
    assert len(solids) == 30
    for solid in solids:
        assert is_closed(solid)
        for x, y, z in solid.vertices:
            assert math.dist((x, y, z), (7, 0, 0)) == pytest.approx(50, abs=0.5)
    middle = math.fsum(centre(solid)[0] * volume(solid) for solid in solids)
    assert middle / math.fsum(map(volume, solids)) == pytest.approx(7 + 25, abs=0.2)
    # A thin hemisphere: R²/3 - (R/2)² along its axis, R²/3 across.
    xx, yy, zz, *_ = spread_of(whole)
    assert (xx, yy, zz) == pytest.approx((2500 / 12, 2500 / 3, 2500 / 3), rel=0.02)


def test_layers_spread_as_one_block() -> None:
    disc, thick = path.canonical(outline.circle(60)), CARD._replace(thickness=3.0)
    layers = part(disc, place.section_frame(9), thick)._replace(
        others=(place.section_frame(6), place.section_frame(3))
    )
    block = part(disc, place.section_frame(9), CARD._replace(thickness=9.0))
    assert spread_of(layers) == pytest.approx(spread_of(block))
    assert [box_of(solid)[1][0] for solid in solids_of(layers)] == pytest.approx([9, 6, 3])


def test_the_other_hand_is_the_mirror_image() -> None:
    shape = path.closed([(0, 0), (40, 0), (40, 20), (0, 30)])
    plate = part(shape, place.side_frame(-12), CARD._replace(thickness=4.0))
    plate = plate._replace(bevels=(Bevel(path.line([(40, 0), (40, 20)]), 0.0, 3.0),))
    (one,), (other,) = solids_of(plate), solids_of(other_hand(plate, "q", "right"))
    assert is_closed(one)
    assert volume(one) == pytest.approx(volume(other))
    assert sorted((round(x, 6), round(-y, 6), round(z, 6)) for x, y, z in one.vertices) == sorted(
        (round(x, 6), round(y, 6), round(z, 6)) for x, y, z in other.vertices
    )
    assert volume(one) == pytest.approx(40 * 25 * 4 - 20 * 3 * 4 / 2, rel=0.02)


def test_square_rims_lean_with_the_sheet() -> None:
    """A roof of two slopes of 45° about an edge along x: cut square to the sheet it keeps its thickness there, too."""
    left = [
        ((0.0, 0.0), (0, 10, 0)),
        ((20.0, 0.0), (20, 10, 0)),
        ((20.0, 14.142), (20, 0, 10)),
        ((0.0, 14.142), (0, 0, 10)),
    ]
    right = [((0.0, 14.142), (0, 0, 10)), ((20.0, 14.142), (20, 0, 10)), ((20.0, 28.284), (20, -10, 0)), ((0.0, 28.284), (0, -10, 0))]  # fmt: skip
    facets = []
    for a, b, c, d in (left, right):
        facets += [
            Facet((a[0], b[0], c[0]), (a[1], b[1], c[1])),
            Facet((a[0], c[0], d[0]), (a[1], c[1], d[1])),
        ]
    stock = CARD._replace(thickness=2.0, neutral=0.0)
    roof = part(path.canonical(outline.rect(20, 28.284)), Bent(tuple(facets), None), stock)
    roof = roof._replace(outline=path.closed([(0, 0), (20, 0), (20, 28.284), (0, 28.284)]))
    (solid,) = solids_of(roof)
    assert is_closed(solid)
    (_, _, low), (_, _, high) = box_of(solid)
    # The drawn face looks in; the other lies 2 mm over it, 2√2 mm over the ridge.
    assert (low, high) == pytest.approx((0.0, 10 + 2 * math.sqrt(2)), abs=1e-3)
