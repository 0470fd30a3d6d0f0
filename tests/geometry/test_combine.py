"""Outlines combined: areas as shapely has them, arcs kept, corners where circles and lines meet."""

import math
from contextlib import suppress

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from ringwright.geometry import outline, path
from ringwright.geometry.combine import flat
from ringwright.geometry.crossing import crossing
from ringwright.geometry.errors import GeometryError
from ringwright.geometry.path import Path

shapes = st.one_of(
    st.builds(outline.circle, st.floats(20, 90)),
    st.builds(outline.rect, st.floats(20, 90), st.floats(20, 90), st.floats(0, 9)),
    st.builds(outline.ellipse, st.floats(20, 90), st.floats(20, 90)),
)


@st.composite
def placed(draw: st.DrawFn) -> Path:
    turned = outline.turned(draw(shapes), draw(st.floats(-3, 3)))
    return outline.moved(turned, (draw(st.floats(-40, 40)), draw(st.floats(-40, 40))))


WAYS = {
    "joined": (outline.joined, "union"),
    "minus": (outline.minus, "difference"),
    "common": (outline.common, "intersection"),
}


@given(placed(), placed(), st.sampled_from(sorted(WAYS)))
def test_areas_are_those_of_the_chords(a: Path, b: Path, way: str) -> None:
    combine, method = WAYS[way]
    shape = getattr(flat(a), method)(flat(b))
    if shape.geom_type != "Polygon" or shape.interiors or shape.area < 1e-5:
        with suppress(GeometryError):
            combine(a, b)  # specks of area may be passed over, and then it is one outline after all
        return
    made = combine(a, b)
    assert path.signed_area(made) == pytest.approx(shape.area, abs=0.002 * shape.length + 1e-3)
    assert path.canonical(made) == made
    assert crossing(made) is None


@given(st.floats(30, 100), st.floats(30, 100), st.floats(0.2, 0.95))
def test_two_circles_keep_their_arcs(d: float, e: float, share: float) -> None:
    """The lens of two circles in closed form."""
    r, q = d / 2, e / 2
    apart = abs(r - q) + share * (2 * min(r, q))
    assume(apart < r + q - 1e-3)
    a, b = outline.circle(d), outline.moved(outline.circle(e), (apart, 0))
    lens = (
        q * q * math.acos((apart**2 + q * q - r * r) / (2 * apart * q))
        + r * r * math.acos((apart**2 + r * r - q * q) / (2 * apart * r))
        - math.sqrt((-apart + r + q) * (apart + r - q) * (apart - r + q) * (apart + r + q)) / 2
    )
    assert path.signed_area(outline.common(a, b)) == pytest.approx(lens, rel=1e-9, abs=1e-7)
    whole = math.pi * (r * r + q * q) - lens
    assert path.signed_area(outline.joined(a, b)) == pytest.approx(whole, rel=1e-9)
    assert path.signed_area(outline.minus(a, b)) == pytest.approx(math.pi * r * r - lens, rel=1e-9, abs=1e-7)
    radii = {round(path.piece_radius(piece), 6) for piece in path.pieces(outline.joined(a, b))}
    assert radii <= {round(r, 6), round(q, 6)}


def test_a_shape_with_itself_is_itself() -> None:
    for shape in (outline.circle(100), outline.rect(40, 30, 5), outline.ellipse(80, 50)):
        assert outline.common(shape, shape) == shape
        assert outline.joined(shape, shape) == shape


def test_what_runs_on_in_line_is_one_piece() -> None:
    square = outline.rect(20, 20)
    assert outline.joined(square, outline.moved(square, (20, 0))) == outline.moved(
        outline.rect(40, 20), (10, 0)
    )


def test_a_scallop_is_cut_with_its_own_radius() -> None:
    made = outline.minus(outline.rect(100, 40), outline.moved(outline.circle(30), (0, 20)))
    hollow = [piece for piece in path.pieces(made) if piece[2]]
    assert {round(path.piece_radius(piece), 9) for piece in hollow} == {15}
    assert all(piece[2] < 0 for piece in hollow)
    assert path.signed_area(made) == pytest.approx(4000 - math.pi * 15**2 / 2)
