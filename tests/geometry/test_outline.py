import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from ringwright.geometry import outline, path
from ringwright.geometry.crossing import crossing
from ringwright.geometry.errors import GeometryError
from ringwright.geometry.meet import distance_to
from ringwright.geometry.path import Path

size = st.floats(min_value=10, max_value=300)
HALF = [(0, 61), (38, 52), (51, 20), (51, -30), (33, -58), (0, -58)]


@st.composite
def formers(draw: st.DrawFn) -> Path:
    kind = draw(
        st.sampled_from(["circle", "rect", "round", "ellipse", "half", "half_curve", "flat_bottom", "super"])
    )
    a, b = draw(st.floats(min_value=60, max_value=200)), draw(st.floats(min_value=60, max_value=200))
    wide = [draw(st.floats(min_value=30, max_value=60)) for _ in range(3)]
    points = [(0.0, 60.0), (wide[0], 40.0), (wide[1], 0.0), (wide[2], -40.0)]
    match kind:
        case "circle":
            return outline.circle(a)
        case "rect":
            return outline.rect(a, b)
        case "round":
            return outline.rect(a, b, draw(st.floats(min_value=0.5, max_value=30)))
        case "ellipse":
            return outline.ellipse(a, b)
        case "half":
            return outline.half([*points, (0.0, -60.0)])
        case "half_curve":
            return outline.half_curve([*points, (0.0, -60.0)])
        case "flat_bottom":
            return outline.half_curve(points)
        case _:
            return outline.superellipse(a, b, draw(st.floats(min_value=2.0, max_value=5)))


def gap(inner: Path, outer: Path) -> tuple[float, float]:
    pieces = list(path.pieces(outer))
    distances = [min(distance_to(piece, point) for piece in pieces) for point in path.flattened(inner, 0.002)]
    return min(distances), max(distances)


@given(formers(), st.floats(min_value=0.5, max_value=12))
def test_an_inset_keeps_its_distance(former: Path, distance: float) -> None:
    inner = outline.inset(former, distance)
    assert path.canonical(inner) == inner
    assert crossing(inner) is None
    least, _ = gap(inner, former)
    assert least == pytest.approx(distance, abs=0.005)
    from shapely import Polygon

    flat = Polygon(path.flattened(former, 0.0005)).buffer(-distance, join_style="mitre", mitre_limit=10)
    # the oracle's own corners lose some area where a rounded corner becomes a sharp one
    assert path.signed_area(inner) == pytest.approx(flat.area, abs=0.002 * path.length(former) + 1)


@given(formers(), st.floats(min_value=0.5, max_value=12))
def test_outset_then_inset_of_a_convex_outline_returns_it(former: Path, distance: float) -> None:
    turns = [path.sweep_of(b) for b in former.bulges]
    if min(turns) < 0:
        return
    back = outline.inset(outline.outset(former, distance), distance)
    if len(back.points) != len(former.points):
        return  # a spike past the mitre limit was cut
    assert path.signed_area(back) == pytest.approx(path.signed_area(former), rel=1e-6)
    assert gap(back, former)[1] < 0.002


@given(size, st.floats(min_value=0.1, max_value=4.9))
def test_circles_and_rounded_rectangles_stay_exact(d: float, t: float) -> None:
    assert path.length(outline.inset(outline.circle(d), t)) == pytest.approx(math.pi * (d - 2 * t), rel=1e-12)
    assert len(outline.outset(outline.circle(d), t).points) == 2
    box = outline.inset(outline.rect(d, 2 * d, min(5.0, d / 2)), t)
    assert len(box.points) <= 8
    inner = (d - 2 * t) * (2 * d - 2 * t)
    corner = min(5.0, d / 2) - t
    assert path.signed_area(box) == pytest.approx(inner - (4 - math.pi) * corner**2, rel=1e-9)


def test_inset_past_a_corners_radius_leaves_a_sharp_corner() -> None:
    assert outline.inset(outline.rect(40, 30, 5), 8) == outline.rect(24, 14)


def test_reflex_corners_are_mitred() -> None:
    angle = outline.polygon([(0, 0), (80, 0), (80, 30), (30, 30), (30, 70), (0, 70)])
    assert outline.inset(angle, 4).points == ((4, 4), (76, 4), (76, 26), (26, 26), (26, 66), (4, 66))


def test_a_sharp_corner_set_out_reaches_its_mitre() -> None:
    # 20° corner, 3 mm out: 3 / sin 10°, from memory cut short by a mitre limit of 5
    half = math.radians(10)
    sharp = outline.polygon(
        [(0, 0), (100 * math.cos(half), -100 * math.sin(half)), (100 * math.cos(half), 100 * math.sin(half))]
    )
    assert outline.outset(sharp, 3).points[0][0] == pytest.approx(-3 / math.sin(half), abs=1e-9)


def test_a_flat_bottomed_curve_keeps_its_arcs() -> None:
    former = outline.half_curve([(0, 60), (30, 48), (44, 10), (36, -35)])
    inner = outline.inset(former, 5)
    assert len(inner.points) <= len(former.points)
    assert path.bounds(inner)[1] == pytest.approx(-30, abs=1e-9)


def test_cusps_are_trimmed_and_the_tightest_bend_says_when() -> None:
    oval = outline.ellipse(120, 80)
    assert outline.tightest_bend(oval) == pytest.approx(40**2 / 60, abs=0.05)
    # three corners at most: the evolute's cusps are gone, two points are left on the long axis
    assert crossing(outline.inset(oval, 32)) is None


def test_insets_that_leave_nothing_say_how_much_is_missing() -> None:
    with pytest.raises(GeometryError) as caught:
        outline.inset(outline.circle(50), 30)
    assert caught.value.code == "inset-too-deep"
    assert "5 mm too much" in str(caught.value)
    bar = outline.rect(40, 40)
    bar = outline.joined(
        outline.joined(bar, outline.moved(outline.rect(60, 6), (40, 0))), outline.moved(bar, (80, 0))
    )
    assert path.signed_area(outline.inset(bar, 2.9)) > 0
    with pytest.raises(GeometryError) as caught:
        outline.inset(bar, 4)
    assert caught.value.code == "waist-too-narrow"
    assert "2 mm too narrow" in str(caught.value)


def test_half_is_folded() -> None:
    former = outline.half([(0.2, 61), *HALF[1:]])
    assert former == outline.half(HALF)
    assert path.signed_area(former) == pytest.approx(10642, abs=1e-9)
    assert outline.mirrored(former) == former
    assert outline.half_ends(HALF) == ()
    assert outline.half_ends(HALF[1:-1]) == (HALF[1], HALF[-2])


def test_a_point_on_the_wrong_side_is_named() -> None:
    with pytest.raises(GeometryError) as caught:
        outline.half([(0, 61), (-38, 52), (0, -58)])
    assert caught.value.code == "left-of-centre"
    assert "(-38, 52)" in str(caught.value)


def test_a_half_curve_crosses_the_centre_line_square() -> None:
    former = outline.half_curve([(0, 60), (30, 48), (44, 10), (36, -35), (0, -52)])
    top = max(range(len(former.points)), key=lambda i: former.points[i][1])
    piece = list(path.pieces(former))[top]
    assert former.points[top] == pytest.approx((0, 60), abs=1e-9)
    assert path.piece_point(piece, 0)[1] == pytest.approx((-1, 0), abs=1e-9)
    assert path.signed_area(former) == pytest.approx(8208.605282343, abs=0.1)


def test_crossing_outlines_name_the_place() -> None:
    with pytest.raises(GeometryError) as caught:
        outline.polygon([(0, 0), (10, 10), (10, 0), (0, 10)])
    assert caught.value.code == "crosses-itself"
    assert "(5, 5)" in str(caught.value)
    with pytest.raises(GeometryError):
        outline.polygon([(0, 0), (10, 0), (5, 0), (5, 5)])


@given(st.floats(min_value=1.2, max_value=8), size, size)
def test_superellipse_area(power: float, wide: float, high: float) -> None:
    exact = wide * high * math.gamma(1 + 1 / power) ** 2 / math.gamma(1 + 2 / power)
    found = outline.superellipse(wide, high, power)
    assert path.signed_area(found) == pytest.approx(exact, abs=0.003 * path.length(found))


@pytest.mark.parametrize(
    ("make", "code"),
    [
        (lambda: outline.circle(0), "no-size"),
        (lambda: outline.rect(10, 20, 6), "corner-too-big"),
        (lambda: outline.superellipse(10, 10, 0.5), "hollow-superellipse"),
        (lambda: outline.polygon([(0, 0), (1, 0), (1, 1e-8)]), "too-few-points"),
        (lambda: outline.scaled(outline.circle(2), 0), "no-size"),
        (lambda: outline.joined(outline.circle(2), outline.moved(outline.circle(2), (9, 0))), "apart"),
        (lambda: outline.minus(outline.rect(10, 10), outline.circle(3)), "hole-inside"),
        (lambda: outline.minus(outline.circle(3), outline.rect(10, 10)), "nothing-left"),
        (lambda: outline.minus(outline.rect(30, 10), outline.rect(5, 20)), "apart"),
        (lambda: outline.common(outline.circle(2), outline.moved(outline.circle(2), (9, 0))), "nothing-left"),
    ],
)
def test_what_cannot_be(make, code: str) -> None:
    with pytest.raises(GeometryError) as caught:
        make()
    assert caught.value.code == code


def test_joined_minus_common_areas() -> None:
    disc, box = outline.circle(50), outline.moved(outline.rect(40, 40), (20, 0))
    areas = [path.signed_area(shape(disc, box)) for shape in (outline.joined, outline.minus, outline.common)]
    assert areas[0] == pytest.approx(areas[1] + 1600, abs=0.3)
    assert areas[1] + areas[2] == pytest.approx(path.signed_area(disc), abs=0.3)


def test_slots() -> None:
    assert path.bounds(outline.slot(20, 5)) == (-10, -2.5, 10, 2.5)
    assert path.signed_area(outline.slot(20, 5, round_ends=True)) == pytest.approx(75 + math.pi * 6.25)
